//! The frame around the sheets: top bar, navigation rail, status line, side panel, command palette.

pub mod bars;
mod cell_menu;
mod finder;
pub mod history_panel;
mod keys_panel;
mod legend_panel;
mod panels;
mod project_row;
mod rail;
mod status_line;
mod top_bar;

use eframe::egui::{self, CentralPanel, Frame, Panel};

use super::sheets::{self, Sheets};
use crate::window::kit::theme::color;
use crate::window::kit::theme::frame_sizes::PROJECT_ROW;
use crate::window::state::outbox::Outbox;
use crate::window::state::screen::SidePanel;
use crate::window::views::inspector::{breakpoints_panel, fairing_panel};
use crate::window::views::view::View;

/// Draws the whole window.
pub fn show(ui: &mut egui::Ui, view: &View<'_>, outbox: &mut Outbox, sheets: &mut Sheets) {
    let theme = view.theme;
    let paper = Frame::new().fill(color(theme.palette.paper));
    let panel = Frame::new().fill(color(theme.palette.panel));
    Panel::top("top bar").exact_size(theme.top_bar_height).frame(paper).show(ui, |ui| top_bar::show(ui, view, outbox));
    if view.projects.has_several() {
        Panel::top("open projects")
            .exact_size(PROJECT_ROW.height)
            .resizable(false)
            .frame(paper)
            .show(ui, |ui| project_row::show(ui, view, outbox));
    }
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
                SidePanel::Breakpoints => breakpoints_panel(ui, view, outbox),
                SidePanel::Fairing => fairing_panel(ui, view, outbox),
            });
    }
    let sheet = ui.available_rect_before_wrap();
    CentralPanel::no_frame().frame(paper).show(ui, |ui| {
        // Fields of the same name in two projects are two fields: a half-typed number stays where it was typed.
        ui.push_id(view.projects.shown_id(), |ui| sheets.show(ui, view, outbox));
    });
    bars::show(ui.ctx(), view, outbox, sheet);
    panels::show(ui.ctx(), view, outbox);
    finder::show(ui.ctx(), view, outbox);
    cell_menu::show(ui.ctx(), view, outbox);
    sheets::compare::snapshot_form(ui.ctx(), view, outbox);
}

/// Keys that belong to what is open over the sheet.
pub fn keys(ctx: &egui::Context, view: &View<'_>, outbox: &mut Outbox) {
    finder::keys(ctx, view, outbox);
    cell_menu::keys(ctx, view, outbox);
    panels::keys(ctx, view, outbox);
}
