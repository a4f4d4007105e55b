//! Every key, to look up and to change.

use eframe::egui;

use crate::window::{Outbox, View};

pub(super) fn show(_ui: &mut egui::Ui, _view: &View<'_>, _outbox: &mut Outbox) {}
