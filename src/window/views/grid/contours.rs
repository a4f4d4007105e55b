//! Contour lines through the cells, interrupted around digits.

use eframe::egui::{Rect, Shape, Stroke};

use crate::drawing::{self, CellSpace, Levels, Palette, Point, break_around, joined_lines, reads_as_minus};
use crate::table::{Cell, Table};
use crate::window::kit::grid::Layout;
use crate::window::kit::scene_painter::pos;
use crate::window::kit::theme::advance_sizes::LONGEST_MINUS;
use crate::window::kit::theme::chart_sizes::CHART;
use crate::window::kit::theme::{color, hairline};

/// The contour lines of a table as shapes; `digits` gives the box of a cell's number.
pub(in crate::window) fn lines(
    table: &Table,
    levels: &Levels,
    layout: &Layout,
    palette: &Palette,
    digits: &dyn Fn(Cell) -> Option<Rect>,
) -> Vec<Shape> {
    let mut shapes = Vec::new();
    for contour in CellSpace::new(table).contours(table, levels) {
        let stroke = if contour.major {
            Stroke::new(CHART.outline, color(palette.contour_major.with_alpha(palette.contour_major.a / 2)))
        } else {
            hairline(color(palette.contour_minor.with_alpha(palette.contour_minor.a / 2)))
        };
        let mut pieces = Vec::new();
        for pair in contour.points.windows(2) {
            let boxes = near(pair[0], pair[1]).filter_map(digits).map(to_drawing).collect::<Vec<_>>();
            let ends = [layout.at(pair[0]), layout.at(pair[1])].map(|at| Point::new(at.x, at.y));
            break_around(&ends, &boxes, &mut pieces);
        }
        let lines = joined_lines(&pieces).into_iter().filter(|line| !reads_as_minus(line, LONGEST_MINUS));
        shapes.extend(lines.map(|line| Shape::line(line.into_iter().map(pos).collect(), stroke)));
    }
    shapes
}

/// The cells whose numbers may touch a line between two points in cell coordinates.
#[expect(clippy::cast_possible_truncation, reason = "places in a table, at most 63")]
fn near(from: (f64, f64), to: (f64, f64)) -> impl Iterator<Item = Cell> {
    let span = |a: f64, b: f64| (a.min(b).round().max(0.0) as usize)..=(a.max(b).round().max(0.0) as usize);
    let columns = span(from.0, to.0);
    span(from.1, to.1).flat_map(move |load| columns.clone().map(move |speed| Cell::new(load, speed)))
}

fn to_drawing(rect: Rect) -> drawing::Rect {
    drawing::Rect { left: rect.left(), top: rect.top(), width: rect.width(), height: rect.height() }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_cells_beside_a_segment_are_near() {
        let cells: Vec<_> = near((0.4, 1.0), (0.6, 1.2)).collect();
        assert_eq!(cells, [Cell::new(1, 0), Cell::new(1, 1)]);
    }
}
