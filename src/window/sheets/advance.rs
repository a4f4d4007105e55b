//! The advance table: grid, surface, slices and inspector together.

use eframe::egui::{self, CentralPanel, Frame, Panel};

use crate::window::grid::GridView;
use crate::window::inspector;
use crate::window::slices::SlicesView;
use crate::window::surface::SurfaceView;
use crate::window::{Outbox, View};

/// What the sheet's views keep for speed.
#[derive(Default)]
pub struct AdvanceSheet {
    grid: GridView,
    surface: SurfaceView,
    slices: SlicesView,
}

impl AdvanceSheet {
    /// Draws the sheet.
    pub fn show(&mut self, ui: &mut egui::Ui, view: &View<'_>, outbox: &mut Outbox) {
        let none = Frame::new();
        Panel::bottom("below").resizable(true).default_size(264.0).frame(none).show(ui, |ui| {
            Panel::right("inspector")
                .resizable(false)
                .exact_size(352.0)
                .frame(none)
                .show(ui, |ui| inspector::show(ui, view, outbox));
            CentralPanel::no_frame().show(ui, |ui| self.slices.show(ui, view, outbox));
        });
        Panel::right("surface")
            .resizable(true)
            .default_size(524.0)
            .frame(none)
            .show(ui, |ui| self.surface.show(ui, view, outbox));
        CentralPanel::no_frame().show(ui, |ui| self.grid.show(ui, view, outbox));
    }
}
