//! A part of a sheet as a `Ui` of its own.

use eframe::egui::{Rect, Ui, UiBuilder};

/// So far beyond the edge of a part its contents are still seen: the ring of what has the keyboard.
const RING: f32 = 3.0;

/// A part of a sheet, clipped to its rectangle.
pub fn part(ui: &mut Ui, rect: Rect) -> Ui {
    clipped(ui, UiBuilder::new().max_rect(rect), rect)
}

/// The same with a name that its widgets' identities begin with, where parts before it may come and go.
pub fn named_part(ui: &mut Ui, rect: Rect, name: &str) -> Ui {
    clipped(ui, UiBuilder::new().id_salt(name).max_rect(rect), rect)
}

fn clipped(ui: &mut Ui, builder: UiBuilder, rect: Rect) -> Ui {
    let mut part = ui.new_child(builder);
    part.set_clip_rect(rect.expand(RING).intersect(ui.clip_rect()));
    part
}
