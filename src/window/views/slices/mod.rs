//! The current row and column as curves with draggable points, which can also be drawn freehand.

mod curve;
mod line;
mod point_marks;
mod stroke;

use eframe::egui::{self, Id, Rect};

use self::curve::Curve;
pub(in crate::window) use self::point_marks::held_corners;
use crate::shaping::Along;
use crate::window::kit::theme::view_sizes::SLICES_SIZES;
use crate::window::state::outbox::Outbox;
use crate::window::views::view::View;

/// The id of one of the two slices, which can have the keyboard focus; arrows then move the table's cursor.
pub fn id(along: Along) -> Id {
    Id::unique(match along {
        Along::Speed => "slice along speed",
        Along::Load => "slice along load",
    })
}

/// What the view caches between frames, and the drags in progress.
pub struct SlicesView {
    along_speed: Curve,
    along_load: Curve,
}

impl Default for SlicesView {
    fn default() -> Self {
        Self { along_speed: Curve::new(Along::Speed), along_load: Curve::new(Along::Load) }
    }
}

impl SlicesView {
    /// Draws the view into the rest of `ui`.
    pub fn show(&mut self, ui: &mut egui::Ui, view: &View<'_>, outbox: &mut Outbox) {
        let margin = view.theme.margin;
        let whole = ui.available_rect_before_wrap();
        ui.expand_to_include_rect(whole);
        let (left, right) = (whole.left() + margin, whole.right() - margin);
        // On whole points, so that emphasised headings look the same.
        let split = (left + (right - left - SLICES_SIZES.between) * SLICES_SIZES.speed_share).round();
        let part = |from: f32, to: f32| Rect::from_x_y_ranges(from..=to, whole.y_range());
        self.along_speed.show(ui, part(left, split), view, outbox);
        self.along_load.show(ui, part(split + SLICES_SIZES.between, right), view, outbox);
    }
}
