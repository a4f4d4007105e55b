//! Controls that run a command, with a name, a tooltip with keys, and a reason when they are disabled; the head
//! of a panel; and giving the keyboard focus to what has just appeared.

use eframe::egui::{self, Align, Id, Layout, Response, RichText, Role, Sense, Vec2, WidgetInfo};

use crate::window::kit::marks;
use crate::window::kit::theme::kit_sizes::CLOSE_INSET;
use crate::window::kit::theme::{color, strong_label};
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

/// Gives a control the keyboard focus if what it belongs to has just appeared.
pub fn focus_when_new(response: &Response, shown: &str) {
    let id = Id::unique("last shown").with(response.id);
    let now = (shown.to_owned(), response.ctx.cumulative_frame_nr());
    let is_new = response.ctx.data_mut(|data| {
        let before: Option<(String, u64)> = data.get_temp(id);
        data.insert_temp(id, now.clone());
        before.is_none_or(|(text, frame)| text != now.0 || frame + 1 < now.1)
    });
    if is_new {
        response.request_focus();
    }
}

/// The head of a side panel: its name, and a cross to close it.
pub fn panel_head(ui: &mut egui::Ui, view: &View<'_>, outbox: &mut Outbox, name: &str, command: Command) {
    ui.horizontal(|ui| {
        strong_label(ui, name, view.theme.heading_font());
        ui.with_layout(Layout::right_to_left(Align::Center), |ui| {
            let (rect, response) = ui.allocate_exact_size(Vec2::splat(view.theme.handle_size), Sense::click());
            response.widget_info(|| WidgetInfo::labeled(Role::Button, true, format!("Close {name}")));
            let ink = if response.hovered() { view.theme.palette.ink } else { view.theme.palette.ink_secondary };
            marks::cross(ui.painter(), rect.shrink(CLOSE_INSET), color(ink));
            if response.on_hover_text(format!("Put away. {}", view.keys.tooltip(command))).clicked() {
                outbox.run(command);
            }
        });
    });
}
