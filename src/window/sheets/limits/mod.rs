//! Cranking, over-speed, launch, clamp, tachometer and switched outputs.

use eframe::egui;

use crate::window::{Outbox, View};

/// What the sheet's views keep for speed.
#[derive(Default)]
pub struct LimitsSheet;

impl LimitsSheet {
    /// Draws the sheet.
    pub fn show(&mut self, _ui: &mut egui::Ui, _view: &View<'_>, _outbox: &mut Outbox) {}
}
