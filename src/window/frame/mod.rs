//! The frame round the sheets: top bar, rail, status line, side panel, command palette.

pub mod bars;
mod finder;
pub mod history_panel;
mod keys_panel;
mod legend_panel;
pub mod marks;
mod panels;
mod rail;
mod status_line;
mod top_bar;
pub mod widgets;

use eframe::egui::{self, Align, CentralPanel, Frame, Id, Layout, Panel, Response, Role, Sense, WidgetInfo, vec2};

use super::commands::Command;
use super::screen::SidePanel;
use super::sheets::{self, Sheets};
use super::theme::{color, strong_label};
use super::{Outbox, View};

pub use widgets::{button, icon_button};

/// Draws the whole window.
pub fn show(ui: &mut egui::Ui, view: &View<'_>, outbox: &mut Outbox, sheets: &mut Sheets) {
    let theme = view.theme;
    let paper = Frame::new().fill(color(theme.palette.paper));
    let panel = Frame::new().fill(color(theme.palette.panel));
    Panel::top("top bar").exact_size(theme.top_bar_height).frame(paper).show(ui, |ui| top_bar::show(ui, view, outbox));
    Panel::bottom("status line")
        .exact_size(theme.status_height)
        .frame(paper)
        .show(ui, |ui| status_line::show(ui, view, outbox));
    Panel::left("rail")
        .exact_size(theme.rail_width)
        .resizable(false)
        .frame(panel)
        .show(ui, |ui| rail::show(ui, view, outbox));
    bars::show_mark(ui, view, outbox);
    if let Some(open) = view.screen.panel {
        Panel::right("side panel")
            .resizable(false)
            .exact_size(theme.side_panel_width)
            .frame(paper.inner_margin(theme.margin))
            .show(ui, |ui| match open {
                SidePanel::History => history_panel::show(ui, view, outbox),
                SidePanel::Keys => keys_panel::show(ui, view, outbox),
                SidePanel::Marks => legend_panel::show(ui, view, outbox),
                SidePanel::Breakpoints => super::inspector::breakpoints_panel(ui, view, outbox),
            });
    }
    let sheet = ui.available_rect_before_wrap();
    CentralPanel::no_frame().frame(paper).show(ui, |ui| sheets.show(ui, view, outbox));
    bars::show(ui.ctx(), view, outbox, sheet);
    panels::show(ui.ctx(), view, outbox);
    finder::show(ui.ctx(), view, outbox);
    sheets::compare::snapshot_form(ui.ctx(), view, outbox);
}

/// Keys that belong to what is open over the sheet.
pub fn keys(ctx: &egui::Context, view: &View<'_>, outbox: &mut Outbox) {
    finder::keys(ctx, view, outbox);
    panels::keys(ctx, view, outbox);
}

/// Gives a control the keyboard when what it belongs to has just appeared.
fn focus_when_new(response: &Response, shown: &str) {
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

/// The head of a side panel: its name, and a cross to put it away.
pub(super) fn panel_head(ui: &mut egui::Ui, view: &View<'_>, outbox: &mut Outbox, name: &str, command: Command) {
    ui.horizontal(|ui| {
        strong_label(ui, name, view.theme.heading_font());
        ui.with_layout(Layout::right_to_left(Align::Center), |ui| {
            let (rect, response) = ui.allocate_exact_size(vec2(24.0, 24.0), Sense::click());
            response.widget_info(|| WidgetInfo::labeled(Role::Button, true, format!("Close {name}")));
            let ink = if response.hovered() { view.theme.palette.ink } else { view.theme.palette.ink_secondary };
            marks::cross(ui.painter(), rect.shrink(7.5), color(ink));
            if response.on_hover_text(format!("Put away. {}", view.keys.tooltip(command))).clicked() {
                outbox.run(command);
            }
        });
    });
}
