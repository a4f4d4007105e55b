//! The command palette: type to find and run any command.

use eframe::egui;

use crate::window::{Outbox, View};

pub(super) fn show(_ctx: &egui::Context, _view: &View<'_>, _outbox: &mut Outbox) {}
