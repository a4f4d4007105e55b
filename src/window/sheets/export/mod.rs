//! The bytes for the flashing tool.

use eframe::egui;

use crate::window::{Outbox, View};

/// What the sheet's views keep for speed.
#[derive(Default)]
pub struct ExportSheet;

impl ExportSheet {
    /// Draws the sheet.
    pub fn show(&mut self, _ui: &mut egui::Ui, _view: &View<'_>, _outbox: &mut Outbox) {}
}
