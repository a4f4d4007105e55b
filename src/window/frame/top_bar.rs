//! Project name with an unsaved mark, undo and redo, command palette, save state.

use eframe::egui::{self, Align, Layout, RichText};

use super::{button, icon_button};
use crate::window::commands::Command;
use crate::window::theme::color;
use crate::window::{Outbox, View};

pub(super) fn show(ui: &mut egui::Ui, view: &View<'_>, outbox: &mut Outbox) {
    let theme = view.theme;
    ui.horizontal_centered(|ui| {
        ui.add_space(theme.margin);
        ui.label(RichText::new(view.document.title()).size(theme.title).strong());
        let unsaved = if view.document.is_changed() { "unsaved" } else { "" };
        ui.label(RichText::new(unsaved).color(color(theme.palette.ink_secondary)));
        let undo = view.document.undo_label().map_or_else(|| "Undo".to_owned(), |label| format!("Undo {label}"));
        icon_button(ui, view, outbox, Command::Undo, undo);
        icon_button(ui, view, outbox, Command::Redo, "Redo");
        button(ui, view, outbox, Command::Finder, "Find a command");
        ui.with_layout(Layout::right_to_left(Align::Center), |ui| {
            ui.add_space(theme.margin);
            icon_button(ui, view, outbox, Command::Save, "Save");
        });
    });
}
