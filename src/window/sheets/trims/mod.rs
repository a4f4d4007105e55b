//! Degrees added for coolant and air temperature.

use eframe::egui;

use crate::window::{Outbox, View};

/// What the sheet's views keep for speed.
#[derive(Default)]
pub struct TrimsSheet;

impl TrimsSheet {
    /// Draws the sheet.
    pub fn show(&mut self, _ui: &mut egui::Ui, _view: &View<'_>, _outbox: &mut Outbox) {}
}
