//! The table as a body in space.

use eframe::egui;

use crate::window::{Outbox, View};

/// What the view keeps for speed between frames.
#[derive(Default)]
pub struct SurfaceView {}

impl SurfaceView {
    /// Draws the view into the rest of `ui`.
    pub fn show(&mut self, _ui: &mut egui::Ui, _view: &View<'_>, _outbox: &mut Outbox) {}
}
