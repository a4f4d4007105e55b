//! What is selected, and the shaping sentences.

use eframe::egui;

use crate::window::{Outbox, View};

/// Draws the inspector.
pub fn show(_ui: &mut egui::Ui, _view: &View<'_>, _outbox: &mut Outbox) {}
