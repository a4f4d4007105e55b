//! A part of a sheet as a `Ui` of its own.

use eframe::egui::{Rect, Ui, UiBuilder};

use crate::window::kit::theme::kit_sizes::FOCUS_RING;

/// A part of a sheet, clipped to its rectangle.
pub fn part(ui: &mut Ui, rect: Rect) -> Ui {
    clipped(ui, UiBuilder::new().max_rect(rect), rect)
}

/// The same with a name that the ids of its widgets begin with, for where parts before it may come and go.
pub fn named_part(ui: &mut Ui, rect: Rect, name: &str) -> Ui {
    clipped(ui, UiBuilder::new().id_salt(name).max_rect(rect), rect)
}

fn clipped(ui: &mut Ui, builder: UiBuilder, rect: Rect) -> Ui {
    let mut part = ui.new_child(builder);
    part.set_clip_rect(rect.expand(FOCUS_RING).intersect(ui.clip_rect()));
    part
}
