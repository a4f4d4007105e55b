//! The table as a grid of numbers.

use eframe::egui;

use crate::window::{Outbox, View};

/// What the view keeps for speed between frames.
#[derive(Default)]
pub struct GridView {}

impl GridView {
    /// Draws the view into the rest of `ui`.
    pub fn show(&mut self, _ui: &mut egui::Ui, _view: &View<'_>, _outbox: &mut Outbox) {}
}

/// Keys that the table takes: arrows, typing, Enter, Tab, Esc, clipboard.
pub fn keys(_ctx: &egui::Context, _view: &View<'_>, _outbox: &mut Outbox) {}
