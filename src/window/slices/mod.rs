//! The current row and column as curves.

use eframe::egui;

use crate::window::{Outbox, View};

/// What the view keeps for speed between frames.
#[derive(Default)]
pub struct SlicesView {}

impl SlicesView {
    /// Draws the view into the rest of `ui`.
    pub fn show(&mut self, _ui: &mut egui::Ui, _view: &View<'_>, _outbox: &mut Outbox) {}
}
