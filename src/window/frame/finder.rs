//! The command palette: type to find and run any command, or to open a recent file.

use std::path::PathBuf;

use eframe::egui::{
    self, Align, Align2, Area, Frame, Id, Key, Modifiers, Order, Rect, Role, ScrollArea, Sense, TextEdit, WidgetInfo,
    pos2, vec2,
};

use super::project_row::GO_TO;
use crate::window::kit::theme::frame_sizes::{
    FINDER_ABOVE, FINDER_INSET, FINDER_MOST_ROWS, FINDER_PART_GAP, FINDER_ROW, FINDER_WIDTH,
};
use crate::window::kit::theme::kit_sizes::LIST_MARGIN;
use crate::window::kit::theme::{color, elided, strong_font};
use crate::window::state::commands::Command;
use crate::window::state::compare_state::{BaseChoice, CompareMessage};
use crate::window::state::file_jobs::{Next, file_name};
use crate::window::state::notice::Cause;
use crate::window::state::outbox::{FileAction, Outbox};
use crate::window::state::projects::ProjectTab;
use crate::window::state::screen::{Finder, ScreenMessage};
use crate::window::views::availability::{Availability, availability};
use crate::window::views::view::View;

/// What a row stands for.
#[derive(Clone, Debug, PartialEq)]
enum Entry {
    Command(Command),
    File(PathBuf),
    /// Another open project, and its name and place.
    GoTo(ProjectTab),
    /// Compare with that.
    CompareWith(ProjectTab),
}

impl Entry {
    fn text(&self) -> String {
        match self {
            Self::Command(command) => command.text().to_owned(),
            Self::File(path) => format!("Open {}", file_name(path)),
            Self::GoTo(tab) => format!("{GO_TO} {}", tab.name),
            Self::CompareWith(tab) => format!("Compare with {}", tab.name),
        }
    }

    /// Whether that is its whole name, or that of the layer or the sheet that it shows.
    fn is_called(&self, typed: &str) -> bool {
        let shown = match self {
            Self::Command(Command::Layer(layer)) => Some(layer.name()),
            Self::Command(Command::Sheet(sheet)) => Some(sheet.row().name),
            _ => None,
        };
        shown.is_some_and(|name| name.to_lowercase() == typed) || self.text().to_lowercase() == typed
    }

    fn told(&self) -> String {
        match self {
            Self::Command(command) => command.tooltip().to_owned(),
            Self::File(path) => path.display().to_string(),
            Self::GoTo(tab) | Self::CompareWith(tab) => {
                tab.path.as_ref().map_or_else(|| "no file yet".to_owned(), |path| path.display().to_string())
            }
        }
    }

    fn keys(&self, view: &View<'_>) -> String {
        match self {
            Self::Command(command) => {
                let keys: Vec<String> = view.keys.of(*command).iter().map(|keys| keys.text()).collect();
                keys.join(" or ")
            }
            Self::File(_) => "recent".to_owned(),
            Self::GoTo(_) | Self::CompareWith(_) => "open".to_owned(),
        }
    }

    /// Why it cannot be run now.
    fn reason(&self, view: &View<'_>) -> Option<&'static str> {
        match self {
            Self::Command(command) => match availability(*command, view) {
                Availability::Available => None,
                Availability::Not(reason) => Some(reason),
            },
            Self::File(_) | Self::GoTo(_) | Self::CompareWith(_) => None,
        }
    }
}

/// The rows for the typed text: what is called so, then those with all its words in their name, then those with all its
/// words in name or tooltip.
fn entries(view: &View<'_>, typed: &str) -> Vec<Entry> {
    let words: Vec<String> = typed.split_whitespace().map(str::to_lowercase).collect();
    let called = words.join(" ");
    let commands = Command::ALL.iter().filter(|&&command| command != Command::Finder);
    let files = view.dialogs.recent.iter().cloned().map(Entry::File);
    let others = || view.projects.others().cloned();
    let projects = others().map(Entry::GoTo).chain(others().map(Entry::CompareWith));
    let all = commands.map(|&command| Entry::Command(command)).chain(projects).chain(files);
    let has_all = |text: &str| words.iter().all(|word| text.contains(word));
    let rank = |entry: &Entry| {
        let text = entry.text().to_lowercase();
        let whole = format!("{text} {}", entry.told().to_lowercase());
        match () {
            () if entry.is_called(&called) => Some(0),
            () if has_all(&text) => Some(1),
            () => has_all(&whole).then_some(2),
        }
    };
    let mut ranked: Vec<(u8, Entry)> = all.filter_map(|entry| Some((rank(&entry)?, entry))).collect();
    ranked.sort_by_key(|(rank, _)| *rank);
    ranked.into_iter().map(|(_, entry)| entry).collect()
}

/// Keys of the open palette: up, down, Enter, Esc.
pub(super) fn keys(ctx: &egui::Context, view: &View<'_>, outbox: &mut Outbox) {
    let Some(finder) = &view.screen.finder else {
        return;
    };
    let entries = entries(view, &finder.text);
    let pressed = |key: Key| ctx.input_mut(|input| input.count_and_consume_key(Modifiers::NONE, key));
    let last = entries.len().saturating_sub(1);
    let row = finder.row.min(last) + pressed(Key::ArrowDown) + 8 * pressed(Key::PageDown);
    let row = row.min(last).saturating_sub(pressed(Key::ArrowUp) + 8 * pressed(Key::PageUp));
    if row != finder.row {
        outbox.send(ScreenMessage::MarkFound(row));
    }
    if pressed(Key::Escape) > 0 {
        outbox.send(ScreenMessage::CloseFinder);
    }
    if pressed(Key::Enter) > 0
        && let Some(entry) = entries.get(row)
    {
        run(view, outbox, entry);
    }
}

/// Runs a row and closes the palette; if a row cannot be run, the palette stays open with the reason.
fn run(view: &View<'_>, outbox: &mut Outbox, entry: &Entry) {
    if let Some(reason) = entry.reason(view) {
        let text = format!("{}: {reason}", entry.text());
        return match entry {
            Entry::Command(Command::Undo | Command::Redo) => outbox.say(text),
            Entry::Command(command) => outbox.complain_of(Cause::Command(*command), text),
            Entry::File(_) | Entry::GoTo(_) | Entry::CompareWith(_) => outbox.complain(text),
        };
    }
    outbox.send(ScreenMessage::CloseFinder);
    match entry {
        Entry::Command(command) => outbox.run(*command),
        Entry::File(path) => outbox.file(FileAction::Leave(Next::Open(path.clone()))),
        Entry::GoTo(tab) => outbox.file(FileAction::Leave(Next::Show(tab.id))),
        Entry::CompareWith(tab) => outbox.send(CompareMessage::Base(BaseChoice::Project(tab.id))),
    }
}

pub(super) fn show(ctx: &egui::Context, view: &View<'_>, outbox: &mut Outbox) {
    let Some(finder) = &view.screen.finder else {
        return;
    };
    let theme = view.theme;
    let at = pos2(ctx.content_rect().center().x, theme.top_bar_height - FINDER_ABOVE);
    let frame = Frame::window(&ctx.global_style()).inner_margin(LIST_MARGIN);
    let area = Area::new(Id::unique("finder")).order(Order::Foreground).pivot(Align2::CENTER_TOP).fixed_pos(at);
    let shown = area.show(ctx, |ui| {
        frame.show(ui, |ui| {
            ui.set_width(FINDER_WIDTH);
            field(ui, finder, outbox);
            rows(ui, view, outbox, finder);
        });
    });
    if shown.response.clicked_elsewhere() {
        outbox.send(ScreenMessage::CloseFinder);
    }
}

fn field(ui: &mut egui::Ui, finder: &Finder, outbox: &mut Outbox) {
    let mut text = finder.text.clone();
    let edit = TextEdit::singleline(&mut text)
        .align(Align2::LEFT_CENTER)
        .hint_text("Find a command")
        .desired_width(f32::INFINITY);
    let response = ui.add(edit.id(Id::unique("finder field"))).accessible_name("Search commands");
    if !response.has_focus() {
        response.request_focus();
    }
    if response.changed() {
        outbox.send(ScreenMessage::Find(text));
    }
}

fn rows(ui: &mut egui::Ui, view: &View<'_>, outbox: &mut Outbox, finder: &Finder) {
    let entries = entries(view, &finder.text);
    if entries.is_empty() {
        ui.label("No command has all these words. Fewer letters find more.");
        return;
    }
    ui.spacing_mut().item_spacing.y = 0.0;
    // As high as its rows need, even after a search has narrowed it: the area only offers the height that it
    // had before.
    let height =
        (FINDER_MOST_ROWS * FINDER_ROW).min(ui.ctx().content_rect().bottom() - ui.cursor().top() - 2.0 * FINDER_ROW);
    ScrollArea::vertical().max_height(height).min_scrolled_height(height).show(ui, |ui| {
        let marked = finder.row.min(entries.len() - 1);
        for (index, entry) in entries.iter().enumerate() {
            if row(ui, view, entry, index == marked, FINDER_ROW).clicked() {
                run(view, outbox, entry);
            }
        }
    });
}

/// A command as a row of a list, with its keys, and greyed with the reason if it cannot be run now.
pub(super) fn command_row(
    ui: &mut egui::Ui,
    view: &View<'_>,
    command: Command,
    is_marked: bool,
    height: f32,
) -> egui::Response {
    row(ui, view, &Entry::Command(command), is_marked, height)
}

fn row(ui: &mut egui::Ui, view: &View<'_>, entry: &Entry, is_marked: bool, height: f32) -> egui::Response {
    let (theme, palette) = (view.theme, view.theme.palette);
    let (rect, response) = ui.allocate_exact_size(vec2(ui.available_width(), height), Sense::click());
    let reason = entry.reason(view);
    let text = entry.text();
    response.widget_info(|| WidgetInfo::selected(Role::ListItem, reason.is_none(), is_marked, &text));
    if is_marked {
        response.scroll_to_me(None);
    }
    if is_marked || response.hovered() {
        let fill = if is_marked { palette.field_pressed } else { palette.field_hover };
        ui.painter().rect_filled(rect, f32::from(theme.radius), color(fill));
    }
    let inner = rect.shrink2(vec2(FINDER_INSET, 0.0));
    let ink = color(if reason.is_none() { palette.ink } else { palette.ink_disabled });
    let keys = entry.keys(view);
    let keys_at = ui.painter().text(
        inner.right_center(),
        Align2::RIGHT_CENTER,
        keys,
        theme.small_font(),
        color(palette.ink_secondary),
    );
    let room = Rect::from_x_y_ranges(inner.left()..=keys_at.left() - FINDER_PART_GAP, rect.y_range());
    let font = if is_marked { strong_font(&theme.body_font()) } else { theme.body_font() };
    let line = elided(ui, room, &text, font);
    let after = line.paint(ui, Align::Min, ink);
    if let Some(reason) = reason {
        let room = Rect::from_x_y_ranges(after.right() + FINDER_PART_GAP..=room.right(), rect.y_range());
        elided(ui, room, reason, theme.small_font()).paint(ui, Align::Min, color(palette.ink_secondary));
    }
    let told = entry.told();
    line.tip_on(response)
        .on_hover_text(reason.map_or_else(|| told.clone(), |reason| format!("{told}\nNot now: {reason}")))
}
