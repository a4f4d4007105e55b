//! Controls with a name, a tooltip with keys, and a reason when they are disabled.

use eframe::egui::{self, Response, RichText};

use crate::window::state::commands::Command;
use crate::window::state::outbox::Outbox;
use crate::window::views::availability::{Availability, availability};
use crate::window::views::view::View;

/// A button that runs a command; disabled with the reason as its tooltip.
pub fn button(
    ui: &mut egui::Ui,
    view: &View<'_>,
    outbox: &mut Outbox,
    command: Command,
    text: impl Into<RichText>,
) -> Response {
    let button = egui::Button::new(text.into());
    let response = match availability(command, view) {
        Availability::Available => ui.add(button).on_hover_text(view.keys.tooltip(command)),
        Availability::Not(reason) => ui.add_enabled(false, button).on_disabled_hover_text(reason),
    };
    if response.clicked() {
        outbox.run(command);
    }
    response
}

/// The same without a border, for the top bar and lists.
pub fn icon_button(
    ui: &mut egui::Ui,
    view: &View<'_>,
    outbox: &mut Outbox,
    command: Command,
    text: impl Into<RichText>,
) -> Response {
    ui.scope(|ui| {
        ui.visuals_mut().button_frame = false;
        button(ui, view, outbox, command, text)
    })
    .inner
}
