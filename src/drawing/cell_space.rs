//! Cell coordinates: positions in a grid whose columns are equally wide.

use super::{Contour, Levels, Point, Rect, contour_lines};
use crate::table::{Axis, Table, blend};

/// Maps axis coordinates to cell coordinates, linearly between breakpoints, and back. Clamped to the axes.
#[derive(Clone, Debug, PartialEq)]
pub struct CellSpace {
    speed: Axis,
    load: Axis,
}

impl CellSpace {
    /// The cells of a table.
    pub fn new(table: &Table) -> Self {
        Self { speed: table.speed().clone(), load: table.load().clone() }
    }

    /// (column, row) of a speed and a load; whole at breakpoints.
    #[expect(clippy::cast_precision_loss, reason = "at most 63")]
    pub fn from_axes(&self, (speed, load): (f64, f64)) -> (f64, f64) {
        let (column, row) = (self.speed.locate(speed), self.load.locate(load));
        (column.index as f64 + column.fraction, row.index as f64 + row.fraction)
    }

    /// The speed and load of a (column, row).
    pub fn to_axes(&self, (column, row): (f64, f64)) -> (f64, f64) {
        (breakpoint_at(&self.speed, column), breakpoint_at(&self.load, row))
    }

    /// The contour lines of a table with these axes, in cell coordinates.
    pub fn contours(&self, table: &Table, levels: &Levels) -> Vec<Contour> {
        let mut lines = contour_lines(table, levels);
        for point in lines.iter_mut().flat_map(|line| &mut line.points) {
            *point = self.from_axes(*point);
        }
        lines
    }
}

fn breakpoint_at(axis: &Axis, place: f64) -> f64 {
    let last = axis.len() - 1;
    #[expect(clippy::cast_precision_loss, reason = "at most 63")]
    let place = place.clamp(0.0, last as f64);
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "clamped; NaN gives 0")]
    let index = (place as usize).min(last - 1);
    #[expect(clippy::cast_precision_loss, reason = "at most 63")]
    let fraction = place - index as f64;
    blend(axis.breakpoints()[index], axis.breakpoints()[index + 1], fraction)
}

/// The parts of a polyline outside all boxes, as segments: contour lines are interrupted around digits.
pub fn break_around(points: &[Point], boxes: &[Rect], out: &mut Vec<(Point, Point)>) {
    for pair in points.windows(2) {
        let (from, to) = (pair[0], pair[1]);
        let mut covered: Vec<(f32, f32)> = boxes.iter().filter_map(|rect| covered(from, to, rect)).collect();
        covered.sort_by(|a, b| a.0.total_cmp(&b.0));
        let mut free_from = 0.0_f32;
        for (start, end) in covered.into_iter().chain([(1.0, 1.0)]) {
            if start > free_from {
                out.push((from.lerp(to, free_from), from.lerp(to, start)));
            }
            free_from = free_from.max(end);
        }
    }
}

/// The range of a segment, as two shares of its length, that lies in a box (Y.-D. Liang, B. Barsky 1984).
fn covered(from: Point, to: Point, rect: &Rect) -> Option<(f32, f32)> {
    let (dx, dy) = (to.x - from.x, to.y - from.y);
    let (mut enter, mut leave) = (0.0_f32, 1.0_f32);
    let sides = [
        (-dx, from.x - rect.left),
        (dx, rect.left + rect.width - from.x),
        (-dy, from.y - rect.top),
        (dy, rect.top + rect.height - from.y),
    ];
    for (speed, room) in sides {
        if speed == 0.0 && room < 0.0 {
            return None;
        }
        if speed < 0.0 {
            enter = enter.max(room / speed);
        } else if speed > 0.0 {
            leave = leave.min(room / speed);
        }
    }
    (enter < leave).then_some((enter, leave))
}

/// A piece with more points than a line has in two cells counts as a line of its own.
const LEVEL_POINTS: usize = 9;

/// Whether a piece is so short and level that next to a number it could be mistaken for a minus sign;
/// `longest_minus` in points.
pub fn reads_as_minus(line: &[Point], longest_minus: f32) -> bool {
    let (Some(from), Some(to)) = (line.first(), line.last()) else {
        return false;
    };
    let (x, y) = (to.x - from.x, to.y - from.y);
    line.len() <= LEVEL_POINTS && x.abs() < longest_minus && y.abs() < 0.5 * x.abs()
}

/// Joins consecutive segments into polylines.
pub fn joined_lines(pieces: &[(Point, Point)]) -> Vec<Vec<Point>> {
    let mut lines: Vec<Vec<Point>> = Vec::new();
    for &(from, to) in pieces {
        match lines.last_mut() {
            Some(line) if line.last().is_some_and(|last| last.distance(from) < 1e-2) => line.push(to),
            _ => lines.push(vec![from, to]),
        }
    }
    lines
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn table() -> Table {
        let axis = |list: &[f64]| Axis::new(list.to_vec()).unwrap();
        Table::from_fn(axis(&[500.0, 800.0, 3000.0]), axis(&[0.0, 10.0, 100.0]), |x, y| x / 100.0 - y / 10.0).unwrap()
    }

    #[test]
    fn breakpoints_are_whole_and_the_rest_between() {
        let space = CellSpace::new(&table());
        assert_eq!(space.from_axes((800.0, 10.0)), (1.0, 1.0));
        assert_eq!(space.from_axes((1900.0, 55.0)), (1.5, 1.5));
        assert_eq!(space.from_axes((9000.0, -5.0)), (2.0, 0.0));
        assert_eq!(space.to_axes((7.0, f64::NAN)).0, 3000.0);
    }

    #[test]
    fn contours_stay_within_the_cells() {
        let lines = CellSpace::new(&table()).contours(&table(), &Levels::over(-5.0, 30.0));
        assert!(!lines.is_empty());
        for (column, row) in lines.iter().flat_map(|line| &line.points) {
            assert!((0.0..=2.0).contains(column) && (0.0..=2.0).contains(row));
        }
    }

    #[test]
    fn lines_break_around_boxes() {
        let boxes = [20.0, 60.0].map(|left| Rect { left, top: -5.0, width: 10.0, height: 10.0 });
        let mut out = Vec::new();
        break_around(&[Point::new(0.0, 0.0), Point::new(100.0, 0.0)], &boxes, &mut out);
        let spans: Vec<(f32, f32)> = out.iter().map(|(a, b)| (a.x.round(), b.x.round())).collect();
        assert_eq!(spans, [(0.0, 20.0), (30.0, 60.0), (70.0, 100.0)]);
        out.clear();
        break_around(&[Point::new(22.0, 0.0), Point::new(28.0, 1.0)], &boxes, &mut out);
        assert!(out.is_empty());
    }

    #[test]
    fn segments_join_where_they_meet() {
        let p = Point::new;
        let pieces = [(p(0.0, 0.0), p(1.0, 0.0)), (p(1.0, 0.0), p(2.0, 1.0)), (p(3.0, 1.0), p(4.0, 1.0))];
        assert_eq!(joined_lines(&pieces).iter().map(Vec::len).collect::<Vec<_>>(), [3, 2]);
    }

    #[test]
    fn short_level_pieces_could_be_signs() {
        let line = |x: f32, y: f32| [Point::new(0.0, 0.0), Point::new(x, y)];
        assert!(reads_as_minus(&line(8.0, 1.0), 14.0) && reads_as_minus(&line(-8.0, 0.0), 14.0));
        assert!(!reads_as_minus(&line(30.0, 1.0), 14.0) && !reads_as_minus(&line(2.0, 9.0), 14.0));
    }

    proptest! {
        #[test]
        fn back_and_forth_is_the_same(column in 0.0..2.0, row in 0.0..2.0) {
            let space = CellSpace::new(&table());
            let (c, r) = space.from_axes(space.to_axes((column, row)));
            prop_assert!((c - column).abs() < 1e-9 && (r - row).abs() < 1e-9);
        }
    }
}
