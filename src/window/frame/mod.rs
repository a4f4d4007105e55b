//! The frame round the sheets: top bar, rail, status line, side panel, command palette.

mod finder;
mod history_panel;
mod keys_panel;
mod rail;
mod status_line;
mod top_bar;
pub mod widgets;

use eframe::egui::{self, CentralPanel, Frame, Panel};

use super::screen::SidePanel;
use super::sheets::{self, Sheets};
use super::theme::color;
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
    if let Some(open) = view.screen.panel {
        Panel::right("side panel").default_size(300.0).frame(paper.inner_margin(theme.margin)).show(
            ui,
            |ui| match open {
                SidePanel::History => history_panel::show(ui, view, outbox),
                SidePanel::Keys => keys_panel::show(ui, view, outbox),
                SidePanel::Breakpoints => super::inspector::breakpoints_panel(ui, view, outbox),
            },
        );
    }
    CentralPanel::no_frame().frame(paper).show(ui, |ui| sheets.show(ui, view, outbox));
    finder::show(ui.ctx(), view, outbox);
    sheets::compare::forms(ui.ctx(), view, outbox);
}
