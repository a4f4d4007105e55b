//! Project name with an unsaved mark, undo and redo with what they would do, command palette, save state.

use eframe::egui::{self, Align, Align2, FontId, Rect, Response, Role, Sense, WidgetInfo, pos2, vec2};

use crate::checks::Severity;
use crate::window::kit::theme::frame_sizes::{PROBLEM_MARK, PROBLEM_ROOM, TOP_BAR};
use crate::window::kit::theme::kit_sizes::MARK;
use crate::window::kit::theme::{Theme, color, elided, elided_middle, hairline, strong_family, strong_font};
use crate::window::kit::{marks, numbers};
use crate::window::state::commands::Command;
use crate::window::state::outbox::Outbox;
use crate::window::views::availability::{Availability, availability};
use crate::window::views::view::View;

/// The positions of the parts: they depend on the window's width and the project's name only.
struct Places {
    name: Rect,
    undo: Rect,
    redo: Rect,
    find: Rect,
    state: Rect,
    save: Rect,
}

impl Places {
    /// The name gets the room that it needs, as long as undo can still say what it would undo.
    fn of(bar: Rect, theme: &Theme, name_width: f32) -> Self {
        let margin = theme.margin;
        let span = |left: f32, right: f32| Rect::from_x_y_ranges(left..=right, bar.y_range());
        let find_width = (bar.width() * TOP_BAR.find_share).clamp(TOP_BAR.find_width.0, TOP_BAR.find_width.1);
        let find = Rect::from_center_size(bar.center(), vec2(find_width, theme.find_height));
        let (left, right) = (bar.left() + margin, find.left() - margin);
        let least = (right - left) * TOP_BAR.least_name_share;
        let most = (right - left - TOP_BAR.least_undo).max(least);
        let middle = left + (name_width + TOP_BAR.unsaved_width + TOP_BAR.after_name).clamp(least, most);
        let save = span(bar.right() - margin - TOP_BAR.save_width, bar.right() - margin);
        Self {
            name: span(left, middle - TOP_BAR.after_name),
            undo: span(middle, right - TOP_BAR.redo_width - TOP_BAR.air),
            redo: span(right - TOP_BAR.redo_width, right),
            find,
            state: span(find.right() + margin, save.left() - TOP_BAR.air),
            save,
        }
    }
}

pub(super) fn show(ui: &mut egui::Ui, view: &View<'_>, outbox: &mut Outbox) {
    let title = title(view);
    let font = FontId::new(view.theme.title, strong_family());
    let wide = ui.painter().layout_no_wrap(title.clone(), font, egui::Color32::BLACK).size().x;
    let places = Places::of(ui.max_rect(), view.theme, wide + 2.0 * TOP_BAR.name_inset);
    name(ui, view, places.name, title);
    undo(ui, view, outbox, places.undo);
    redo(ui, view, outbox, places.redo);
    find(ui, view, outbox, places.find);
    state(ui, view, places.state);
    save(ui, view, outbox, places.save);
}

/// What the project is called; a locked-timing copy says so first.
fn title(view: &View<'_>) -> String {
    view.project.locked_timing_words().map_or_else(
        || view.document.title(),
        |words| format!("{} · {}", words.replace("locked timing", "LOCKED"), view.document.title()),
    )
}

fn name(ui: &mut egui::Ui, view: &View<'_>, rect: Rect, title: String) {
    let theme = view.theme;
    let is_changed = view.document.is_changed();
    let ink = color(theme.palette.ink);
    let inset = TOP_BAR.name_inset;
    let room =
        Rect::from_x_y_ranges(rect.left() + inset..=rect.right() - TOP_BAR.unsaved_width + inset, rect.y_range());
    let line = elided_middle(ui, room, &title, FontId::new(theme.title, strong_family()));
    let written = line.paint(ui, Align::Min, ink);
    let after = written.right() + TOP_BAR.after_name;
    if is_changed {
        let at = pos2(after, rect.center().y);
        let weak = color(theme.palette.ink_secondary);
        ui.painter().text(at, Align2::LEFT_CENTER, "unsaved", theme.small_font(), weak);
    }
    let said = if is_changed { format!("{title}, unsaved") } else { title };
    let response = ui.interact(rect, ui.scope_id().with("name"), Sense::hover());
    response.widget_info(|| WidgetInfo::labeled(Role::Label, true, &said));
    let place = view.document.path().map_or_else(|| "no file yet".to_owned(), |path| path.display().to_string());
    response.on_hover_text(format!("{said}\n{place}"));
}

/// A flat control for a command in a fixed place: accessible name, tooltip, reason when disabled.
fn control(
    ui: &mut egui::Ui,
    view: &View<'_>,
    outbox: &mut Outbox,
    command: Command,
    rect: Rect,
    label: &str,
    told: &str,
) -> Response {
    let available = availability(command, view);
    let is_enabled = available == Availability::Available;
    let sense = if is_enabled { Sense::click() } else { Sense::hover() };
    let mut response = ui.interact(rect, ui.scope_id().with(command), sense);
    response.widget_info(|| WidgetInfo::labeled(Role::Button, is_enabled, label));
    response = match available {
        Availability::Available => response.on_hover_text(told),
        Availability::Not(reason) => response.on_hover_text(format!("{told}\nNot now: {reason}")),
    };
    let hover = rect.shrink2(vec2(0.0, TOP_BAR.hover_inset));
    if is_enabled && (response.hovered() || response.has_focus()) {
        ui.painter().rect_filled(hover, f32::from(view.theme.radius), color(view.theme.palette.field_hover));
    }
    if response.clicked() {
        outbox.run(command);
    }
    response
}

fn ink_of(view: &View<'_>, command: Command) -> egui::Color32 {
    let is_enabled = availability(command, view) == Availability::Available;
    color(if is_enabled { view.theme.palette.ink } else { view.theme.palette.ink_disabled })
}

fn undo(ui: &mut egui::Ui, view: &View<'_>, outbox: &mut Outbox, rect: Rect) {
    let undone = view.document.undo_label();
    let label = undone.map_or_else(|| "Undo".to_owned(), |label| format!("Undo {label}"));
    let told = format!("{label}\n{}", view.keys.tooltip(Command::Undo));
    let room =
        Rect::from_x_y_ranges(rect.left() + TOP_BAR.undo_words..=rect.right() - TOP_BAR.undo_end, rect.y_range());
    let line = elided(ui, room, undone.unwrap_or("Undo"), view.theme.body_font());
    let used = Rect::from_x_y_ranges(
        rect.left()..=rect.left() + TOP_BAR.undo_words + line.width() + TOP_BAR.undo_end,
        rect.y_range(),
    );
    control(ui, view, outbox, Command::Undo, used, &label, &told);
    let ink = ink_of(view, Command::Undo);
    let arrow = Rect::from_center_size(pos2(rect.left() + TOP_BAR.arrow_middle, rect.center().y), TOP_BAR.arrow);
    marks::back(ui.painter(), arrow, ink, false);
    line.paint(ui, Align::Min, ink);
}

fn redo(ui: &mut egui::Ui, view: &View<'_>, outbox: &mut Outbox, rect: Rect) {
    let label = view.document.redo_label().map_or_else(|| "Redo".to_owned(), |label| format!("Redo {label}"));
    let told = format!("{label}\n{}", view.keys.tooltip(Command::Redo));
    control(ui, view, outbox, Command::Redo, rect, &label, &told);
    let arrow = Rect::from_center_size(rect.center(), TOP_BAR.arrow);
    marks::back(ui.painter(), arrow, ink_of(view, Command::Redo), true);
}

fn find(ui: &mut egui::Ui, view: &View<'_>, outbox: &mut Outbox, rect: Rect) {
    let theme = view.theme;
    let response = ui.interact(rect, ui.scope_id().with("find"), Sense::click());
    response.widget_info(|| WidgetInfo::labeled(Role::Button, true, Command::Finder.text()));
    let fill = if response.hovered() { theme.palette.field_hover } else { theme.palette.field };
    let edge = if response.has_focus() { theme.palette.ink } else { theme.palette.rule_strong };
    let stroke = hairline(color(edge));
    ui.painter().rect(rect, f32::from(theme.radius), color(fill), stroke, egui::StrokeKind::Inside);
    let weak = color(theme.palette.ink_secondary);
    let (left, right) =
        (rect.left_center() + vec2(TOP_BAR.find_inset, 0.0), rect.right_center() - vec2(TOP_BAR.find_inset, 0.0));
    ui.painter().text(left, Align2::LEFT_CENTER, Command::Finder.text(), theme.body_font(), weak);
    let keys = view.keys.of(Command::Finder).first().map_or_else(String::new, |keys| keys.text().replace('+', " "));
    ui.painter().text(right, Align2::RIGHT_CENTER, keys, theme.small_font(), weak);
    if response.on_hover_text(view.keys.tooltip(Command::Finder)).clicked() {
        outbox.run(Command::Finder);
    }
}

/// How the project relates to its file, in words.
fn state(ui: &mut egui::Ui, view: &View<'_>, rect: Rect) {
    let document = view.document;
    let fault = document.recovery_fault().filter(|_| document.is_changed() && !view.dialogs.saving);
    let words = match (document.path().is_some(), document.is_read_only(), document.is_changed()) {
        _ if view.dialogs.saving => "saving\u{2026}",
        _ if fault.is_some() => "not saved, no recovery copy",
        (_, true, _) => "read-only",
        (false, _, _) => "no file yet",
        (true, _, true) => "changes not in the file",
        (true, _, false) => "as in the file",
    };
    let palette = view.theme.palette;
    let (mark, ink) = if fault.is_some() { (PROBLEM_ROOM, palette.error) } else { (0.0, palette.ink_secondary) };
    let text = Rect::from_min_max(rect.min + vec2(mark, 0.0), rect.max);
    let place = elided(ui, text, words, view.theme.small_font()).paint(ui, Align::Max, color(ink));
    if fault.is_some() {
        let mark = Rect::from_center_size(pos2(place.left() - PROBLEM_MARK, rect.center().y), MARK);
        ui.painter().add(marks::severity(mark, Severity::Error, color(ink)));
    }
    let response = ui.interact(rect, ui.scope_id().with("state"), Sense::hover());
    response.widget_info(|| WidgetInfo::labeled(Role::Label, true, words));
    let copy = document.recovery_copy_at().map(|at| format!("Recovery copy at {}", numbers::time(at)));
    let fault = fault.map(|fault| format!("Save now: if the program ended, these changes would be lost. Why: {fault}"));
    let told = [Some(words.to_owned()), fault, document.note().map(str::to_owned), copy];
    response.on_hover_text(told.into_iter().flatten().collect::<Vec<_>>().join("\n"));
}

fn save(ui: &mut egui::Ui, view: &View<'_>, outbox: &mut Outbox, rect: Rect) {
    control(ui, view, outbox, Command::Save, rect, Command::Save.text(), &view.keys.tooltip(Command::Save));
    let font = strong_font(&view.theme.body_font());
    let ink =
        if view.document.is_changed() { ink_of(view, Command::Save) } else { color(view.theme.palette.ink_secondary) };
    elided(ui, rect, Command::Save.text(), font).paint(ui, Align::Center, ink);
}
