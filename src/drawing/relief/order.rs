//! The order in which cells and triangles are painted, far from the eye first, and convex pieces cut where two surfaces
//! cross.

use super::grid::Stop;
use crate::drawing::{Color, Point};
use glam::{DVec2, DVec3};

/// The eye, and where it stands over the grid.
#[derive(Clone, Copy, Debug)]
pub(super) struct Eye {
    /// (x·w, y·w, z·w).
    at: DVec3,
    w: f64,
    /// The column and the row of cells over which it stands; −1 or the number of cells when beside them.
    column: isize,
    row: isize,
}

impl Eye {
    pub(super) fn new((at, w): (DVec3, f64), columns: &[Stop], rows: &[Stop]) -> Self {
        Self { at, w, column: slot(at.x, w, columns), row: slot(at.y, w, rows) }
    }

    /// On which side of the vertical plane through two places the eye is, and on which side a third place is: the
    /// same sign for the same side.
    pub(super) fn is_on_side_of(&self, place: DVec2, (a, b): (DVec2, DVec2)) -> bool {
        let along = b - a;
        let eye = along.perp_dot(self.at.truncate() - a * self.w);
        eye * along.perp_dot(place - a) > 0.0
    }

    /// Whether the eye is below the plane through three model points.
    pub(super) fn is_under(&self, [a, b, c]: [DVec3; 3]) -> bool {
        let normal = (b - a).cross(c - a);
        normal.z.signum() * normal.dot(self.at - a * self.w) < 0.0
    }

    /// Column indices of cells, far first.
    pub(super) fn columns(&self, count: usize) -> impl Iterator<Item = usize> + use<> {
        far_first(count, self.column)
    }

    /// Row indices of cells, far first.
    pub(super) fn rows(&self, count: usize) -> impl Iterator<Item = usize> + use<> {
        far_first(count, self.row)
    }

    /// Whether the cell in that column paints the mesh line on its (lower, upper) side: the nearer of two neighbours
    /// does, so that the line is not covered by half; at the border the only one does.
    pub(super) fn paints_columns(&self, cell: usize, count: usize) -> (bool, bool) {
        paints(cell, count, self.column)
    }

    /// The same for rows.
    pub(super) fn paints_rows(&self, cell: usize, count: usize) -> (bool, bool) {
        paints(cell, count, self.row)
    }
}

fn slot(at: f64, w: f64, stops: &[Stop]) -> isize {
    let above = if w > 0.0 {
        stops.partition_point(|stop| stop.model * w <= at)
    } else if at < 0.0 {
        0
    } else {
        stops.len()
    };
    above.cast_signed() - 1
}

fn far_first(count: usize, eye: isize) -> impl Iterator<Item = usize> {
    let before = eye.clamp(0, count.cast_signed()).cast_unsigned();
    let after = (eye + 1).clamp(0, count.cast_signed()).cast_unsigned();
    (0..before).chain((after..count).rev()).chain(before..after)
}

fn paints(cell: usize, count: usize, eye: isize) -> (bool, bool) {
    let index = cell.cast_signed();
    (cell == 0 || index <= eye, cell + 1 == count || index >= eye)
}

/// A corner as the camera sees it.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct Corner {
    /// (x·w, y·w, w).
    h: [f32; 3],
    pub(super) at: Point,
    /// Degrees.
    pub(super) value: f32,
    pub(super) color: Color,
    /// Its place in the plan, in model space.
    plan: [f32; 2],
    /// Whether the tint is not known there.
    pub(super) is_unknown: bool,
    /// The place of its tint among things with nothing between them; 0 at all corners of tints that blend.
    pub(super) place: usize,
}

impl Corner {
    #[expect(clippy::cast_possible_truncation, reason = "screen points are f32, and a contour needs no more")]
    pub(super) fn new(h: DVec3, value: f64, color: Color) -> Self {
        Self {
            h: [h.x as f32, h.y as f32, h.z as f32],
            at: Point::new((h.x / h.z) as f32, (h.y / h.z) as f32),
            value: value as f32,
            color,
            plan: [0.0; 2],
            is_unknown: false,
            place: 0,
        }
    }

    /// The same with the place of its tint among things with nothing between them.
    pub(super) fn of_place(self, place: usize) -> Self {
        Self { place, ..self }
    }

    /// The same with its place in the plan, and whether its tint is not known.
    #[expect(clippy::cast_possible_truncation, reason = "0..=1")]
    pub(super) fn over(self, (x, y): (f64, f64), is_unknown: bool) -> Self {
        Self { plan: [x as f32, y as f32], is_unknown, ..self }
    }

    /// Where it lies across the lines of a hatch.
    pub(super) fn across(&self) -> f32 {
        self.plan[0] + self.plan[1]
    }

    /// How far another is in the plan.
    pub(super) fn plan_distance(&self, other: &Self) -> f32 {
        (self.plan[0] - other.plan[0]).hypot(self.plan[1] - other.plan[1])
    }

    /// The corner `t` of the way to another, straight in model space.
    pub(super) fn toward(&self, other: &Self, t: f32) -> Self {
        Self {
            h: self.mixed(other, t),
            at: self.place_toward(other, t),
            value: self.value + (other.value - self.value) * t,
            color: self.color.lerp(other.color, t),
            plan: std::array::from_fn(|k| self.plan[k] + (other.plan[k] - self.plan[k]) * t),
            is_unknown: self.is_unknown || other.is_unknown,
            place: if t > 0.5 { other.place } else { self.place },
        }
    }

    /// Where that corner is seen.
    pub(super) fn place_toward(&self, other: &Self, t: f32) -> Point {
        let [x, y, w] = self.mixed(other, t);
        Point::new(x / w, y / w)
    }

    fn mixed(&self, other: &Self, t: f32) -> [f32; 3] {
        std::array::from_fn(|k| self.h[k] + (other.h[k] - self.h[k]) * t)
    }
}

/// What runs along a side of a piece.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub(super) enum Side {
    /// Nothing that this piece has to paint.
    #[default]
    Bare,
    /// A mesh line, of which so much is seen: up to 255.
    Mesh(u8),
    /// A mesh line with the outline of the selection on it.
    Selected,
}

/// A convex piece with three or four corners; `sides[k]` runs from corner k to the next.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct Piece {
    corners: [Corner; 4],
    sides: [Side; 4],
    count: usize,
}

impl Piece {
    pub(super) fn triangle(corners: [Corner; 3], sides: [Side; 3]) -> Self {
        let ([a, b, c], [ab, bc, ca]) = (corners, sides);
        Self { corners: [a, b, c, Corner::default()], sides: [ab, bc, ca, Side::Bare], count: 3 }
    }

    pub(super) fn corners(&self) -> &[Corner] {
        &self.corners[..self.count]
    }

    /// Each side: from, to, and what runs along it.
    pub(super) fn sides(&self) -> impl Iterator<Item = (&Corner, &Corner, Side)> {
        (0..self.count).map(|k| (&self.corners[k], &self.corners[(k + 1) % self.count], self.sides[k]))
    }

    /// Lines at 45° in the plan across it, so far apart in model space, as they are seen.
    pub(super) fn hatch(&self, step: f32, mut line: impl FnMut(Point, Point)) {
        let across = self.corners().iter().map(Corner::across);
        let (low, high) = across.fold((f32::MAX, f32::MIN), |(low, high), at| (low.min(at), high.max(at)));
        let mut at = (low / step).ceil() * step;
        while at < high {
            let mut crossings = self.sides().filter_map(|(from, to, _)| {
                let crosses = (from.across() >= at) != (to.across() >= at);
                crosses.then(|| from.place_toward(to, (at - from.across()) / (to.across() - from.across())))
            });
            if let (Some(from), Some(to)) = (crossings.next(), crossings.next()) {
                line(from, to);
            }
            at += step;
        }
    }

    fn push(&mut self, corner: Corner, side: Side) {
        if self.count < 4 {
            (self.corners[self.count], self.sides[self.count]) = (corner, side);
            self.count += 1;
        }
    }

    /// The part of a triangle where `sign`·gap ≥ 0; `gap` is linear over the triangle and given at its corners. The
    /// new side is bare (I. Sutherland, G. Hodgman 1974).
    pub(super) fn part(&self, gap: [f64; 3], sign: f64) -> Self {
        let mut part = Self::default();
        for k in 0..3 {
            let next = (k + 1) % 3;
            let (kept, next_kept) = (gap[k] * sign >= 0.0, gap[next] * sign >= 0.0);
            let crosses = gap[k] * gap[next] < 0.0;
            if kept {
                part.push(self.corners[k], if next_kept || crosses { self.sides[k] } else { Side::Bare });
            }
            if crosses {
                let crossing = self.corners[k].toward(&self.corners[next], crossing_share(gap[k], gap[next]));
                part.push(crossing, if next_kept { self.sides[k] } else { Side::Bare });
            }
        }
        part
    }
}

/// How far from the corner with gap `a` to that with gap `b`, of opposite signs, the gap is 0.
#[expect(clippy::cast_possible_truncation, reason = "0..=1")]
fn crossing_share(a: f64, b: f64) -> f32 {
    (a / (a - b)) as f32
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn far_cells_come_first() {
        let order = |eye| far_first(5, eye).collect::<Vec<_>>();
        assert_eq!(order(-1), [4, 3, 2, 1, 0]);
        assert_eq!(order(5), [0, 1, 2, 3, 4]);
        assert_eq!(order(4), [0, 1, 2, 3, 4]);
        assert_eq!(order(2), [0, 1, 4, 3, 2]);
        assert_eq!(order(0), [4, 3, 2, 1, 0]);
    }

    #[test]
    fn every_mesh_line_is_painted_once_and_by_the_later_cell() {
        for eye in -1..=5 {
            let turn: Vec<usize> = far_first(5, eye).collect();
            for line in 0..=5_usize {
                let low = line.checked_sub(1).filter(|&cell| paints(cell, 5, eye).1);
                let high = Some(line).filter(|&cell| cell < 5 && paints(cell, 5, eye).0);
                assert!(low.is_some() ^ high.is_some(), "eye {eye} line {line}");
                if (1..5).contains(&line) {
                    let painter = low.or(high).unwrap();
                    let other = if painter == line { line - 1 } else { line };
                    let when = |cell| turn.iter().position(|&c| c == cell);
                    assert!(when(painter) > when(other), "eye {eye} line {line}");
                }
            }
        }
    }
}
