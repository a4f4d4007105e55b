//! What the points of a slice are marked with over the curve.

use eframe::egui::{Pos2, Rect, Ui, vec2};

use super::line::Line;
use crate::drawing::{Label, LabelRoom, Scene, Shape, Slice};
use crate::shaping::lift_share;
use crate::table::Cell;
use crate::window::kit::marks;
use crate::window::kit::scene_painter::{pos, viewport};
use crate::window::kit::theme::kit_sizes::{CHART_SIZES, HELD_MARK};
use crate::window::kit::theme::{color, severity_ink};
use crate::window::views::grip;
use crate::window::views::view::View;

/// Dots on the neighbours that a lift moves along, larger the more they move.
pub(super) fn mark_falloff(
    scene: &mut Scene,
    line: &Line,
    slice: &Slice,
    (centre, radius): (Cell, f64),
    view: &View<'_>,
) {
    let palette = view.theme.palette;
    let moved = grip::moved_with(view, centre, Some(radius));
    for (&cell, &at) in line.cells.iter().zip(&slice.points).filter(|(cell, _)| moved.contains(**cell)) {
        #[expect(clippy::cast_possible_truncation, reason = "0..=1")]
        let share = lift_share(centre, cell, radius) as f32;
        if share > 0.0 && cell != centre {
            let radius = CHART_SIZES.falloff.0 + CHART_SIZES.falloff.1 * share;
            let (fill, outline) = (palette.accent, palette.accent);
            scene.shapes.push(Shape::Dot { at, radius, fill, outline, outline_width: 0.0 });
        }
    }
}

/// The shapes of severities above the points with findings, or below them where a label stands there or the chart ends.
pub(super) fn mark_found(ui: &Ui, line: &Line, slice: &Slice, labels: &[Label], view: &View<'_>) {
    let room = LabelRoom::beside(labels);
    let top = ui.clip_rect().top();
    for (&cell, &at) in line.cells.iter().zip(&slice.points) {
        let Some(severity) = view.checked.severity_at(view.table(), cell) else { continue };
        let place = |down: f32| Rect::from_center_size(pos(at) + vec2(0.0, down), CHART_SIZES.found.into());
        let places = [place(-CHART_SIZES.found_away), place(CHART_SIZES.found_away)];
        let is_free = |rect: &&Rect| rect.top() > top && room.is_free(&viewport(**rect));
        if let Some(&rect) = places.iter().find(is_free) {
            let ink = color(severity_ink(view.theme, severity));
            ui.painter().add(marks::severity_on(rect, severity, ink, color(view.theme.palette.paper)));
        }
    }
}

/// The corner of held cells, at the upper left of their points.
pub(super) fn mark_held(ui: &Ui, line: &Line, slice: &Slice, view: &View<'_>) {
    let (ink, held) = (color(view.theme.palette.ink), view.advance().held());
    for (_, &at) in line.cells.iter().zip(&slice.points).filter(|&(&cell, _)| held.contains(cell)) {
        ui.painter().add(marks::held(held_corners(pos(at)), ink));
    }
}

/// The corner at the upper left of a held point.
pub(in crate::window) fn held_corners(point: Pos2) -> [Pos2; 3] {
    let corner = point - vec2(CHART_SIZES.held_off, CHART_SIZES.held_off);
    [corner, corner + vec2(HELD_MARK, 0.0), corner + vec2(0.0, HELD_MARK)]
}
