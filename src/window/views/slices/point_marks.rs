//! What the points of a slice are marked with over the curve.

use eframe::egui::{Rect, Stroke, StrokeKind, Ui, vec2};

use super::line::Line;
use crate::drawing::{Scene, Shape, Slice};
use crate::shaping::lift_share;
use crate::table::Cell;
use crate::window::kit::marks;
use crate::window::kit::scene_painter::pos;
use crate::window::kit::theme::kit_sizes::CHART_SIZES;
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

/// The shapes of severities above the points with findings.
pub(super) fn mark_found(ui: &Ui, line: &Line, slice: &Slice, view: &View<'_>) {
    for (&cell, &at) in line.cells.iter().zip(&slice.points) {
        let rect = Rect::from_center_size(pos(at) - vec2(0.0, CHART_SIZES.found_above), CHART_SIZES.found.into());
        let points = view.checked.points(view.table());
        let severity = points.binary_search_by_key(&cell, |(cell, _)| *cell).ok().map(|at| points[at].1);
        if let Some(severity) = severity {
            ui.painter().add(marks::severity(rect, severity, color(severity_ink(view.theme, severity))));
        }
    }
}

/// Squares over held points, which no tool moves.
pub(super) fn mark_held(ui: &Ui, line: &Line, slice: &Slice, view: &View<'_>) {
    let (palette, held) = (view.theme.palette, view.advance().held());
    let points = line.cells.iter().zip(&slice.points).enumerate();
    for (index, (_, &at)) in points.filter(|&(_, (&cell, _))| held.contains(cell)) {
        let is_active = index == line.active;
        let (usual, active) = CHART_SIZES.held;
        let half = if is_active { active } else { usual };
        let selected = line.selected.get(index).copied().unwrap_or(false);
        let fill = if is_active || selected { palette.accent } else { palette.handle };
        let square = Rect::from_center_size(pos(at), vec2(2.0 * half, 2.0 * half));
        ui.painter().rect(
            square,
            0.0,
            color(fill),
            Stroke::new(CHART_SIZES.held_outline, color(palette.ink)),
            StrokeKind::Middle,
        );
    }
}
