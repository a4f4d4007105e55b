//! Every key, to look up and to change.

use eframe::egui::{self, Align, Button, Layout, RichText, ScrollArea, TextEdit};

use crate::window::kit::theme::frame_sizes::{FORM_GAP, GROUP_GAP};
use crate::window::kit::theme::{color, strong_label};
use crate::window::state::commands::{Command, KeyMap, held_text};
use crate::window::state::dialogs::DialogMessage;
use crate::window::state::outbox::{FileAction, Outbox};
use crate::window::views::command_buttons::panel_head;
use crate::window::views::view::View;

pub(super) fn show(ui: &mut egui::Ui, view: &View<'_>, outbox: &mut Outbox) {
    panel_head(ui, view, outbox, "Keys", Command::Keys);
    let theme = view.theme;
    let help = "Click a command's keys and press others. Numbers, arrows, Enter, Tab and Esc belong to the table.";
    let refusal = view.dialogs.capture_refusal.as_deref().filter(|_| view.dialogs.capture.is_some());
    let ink = if refusal.is_some() { theme.palette.error } else { theme.palette.ink_secondary };
    let said = refusal.map_or_else(|| help.to_owned(), |why| format!("Refused: {why}."));
    ui.scope(|ui| {
        ui.set_min_height(2.6 * theme.body);
        ui.add(egui::Label::new(RichText::new(said).size(theme.small).color(color(ink))).wrap());
    });
    let is_changed = *view.keys != KeyMap::default();
    let reset = ui.add_enabled(is_changed, Button::new("Reset all keys"));
    let reset = reset.on_hover_text("All keys as they were at first.").on_disabled_hover_text("No key was changed.");
    if reset.clicked() {
        outbox.file(FileAction::ResetKeys);
    }
    filter(ui, view, outbox);
    ui.separator();
    ScrollArea::vertical().auto_shrink(false).show(ui, |ui| groups(ui, view, outbox));
}

fn filter(ui: &mut egui::Ui, view: &View<'_>, outbox: &mut Outbox) {
    let mut text = view.dialogs.keys_filter.clone();
    let edit = TextEdit::singleline(&mut text).hint_text("Filter by command or key").desired_width(f32::INFINITY);
    if ui.add(edit).accessible_name("Filter the keys").changed() {
        outbox.send(DialogMessage::FilterKeys(text));
    }
}

fn groups(ui: &mut egui::Ui, view: &View<'_>, outbox: &mut Outbox) {
    let filter = view.dialogs.keys_filter.trim().to_lowercase();
    let mut is_empty = true;
    for (name, commands) in Command::groups() {
        let is_whole = name.to_lowercase().contains(&filter);
        let found = commands.iter().filter(|command| is_whole || matches(view, **command, &filter));
        let found: Vec<Command> = found.copied().collect();
        if found.is_empty() {
            continue;
        }
        is_empty = false;
        ui.add_space(GROUP_GAP);
        strong_label(ui, name, view.theme.small_font());
        for command in found {
            row(ui, view, outbox, command);
        }
    }
    if is_empty {
        ui.label("No command or key has this text.");
    }
}

/// Whether a command's name or keys contain a text in lower case.
fn matches(view: &View<'_>, command: Command, filter: &str) -> bool {
    let has = |text: &str| text.to_lowercase().contains(filter);
    has(command.text()) || view.keys.of(command).iter().any(|keys| has(&keys.text()))
}

fn row(ui: &mut egui::Ui, view: &View<'_>, outbox: &mut Outbox, command: Command) {
    ui.allocate_ui_with_layout(
        egui::vec2(ui.available_width(), view.theme.sentence_height),
        Layout::right_to_left(Align::Center),
        |ui| {
            ui.add_space(FORM_GAP);
            keys(ui, view, outbox, command);
            if view.keys.is_changed(command) {
                reset(ui, view, outbox, command);
            }
            ui.with_layout(Layout::left_to_right(Align::Center), |ui| {
                ui.add(egui::Label::new(command.text()).truncate().selectable(false)).on_hover_text(command.tooltip());
            });
        },
    );
}

fn keys(ui: &mut egui::Ui, view: &View<'_>, outbox: &mut Outbox, command: Command) {
    let is_capturing = view.dialogs.capture == Some(command);
    let texts: Vec<String> = view.keys.of(command).iter().map(|keys| keys.text()).collect();
    let text = match (is_capturing, texts.is_empty()) {
        // The modifiers held are the beginning of the shortcut.
        (true, _) => match held_text(ui.input(|input| input.modifiers)) {
            held if held.is_empty() => "press keys…".to_owned(),
            held => format!("{held}…"),
        },
        (false, true) => "none".to_owned(),
        (false, false) => texts.join(" or "),
    };
    let response = ui.add(Button::new(RichText::new(text).size(view.theme.small)).selected(is_capturing));
    let response = response.accessible_name(format!("Keys of {}", command.text()));
    let told =
        if is_capturing { "Press the new keys; Esc leaves it as it was." } else { "Click, then press other keys." };
    if response.on_hover_text(told).clicked() {
        outbox.send(DialogMessage::Capture((!is_capturing).then_some(command)));
    }
}

fn reset(ui: &mut egui::Ui, view: &View<'_>, outbox: &mut Outbox, command: Command) {
    let response = ui.add(Button::new(RichText::new("Reset").size(view.theme.small)));
    let response = response.accessible_name(format!("Reset keys of {}", command.text()));
    if response.on_hover_text("The keys as they were at first.").clicked() {
        outbox.file(FileAction::SetKeys(command, command.default_keys()));
    }
}
