//! Convex pieces of a surface: their corners, and cutting them where two surfaces cross.

use glam::DVec3;

use crate::drawing::{Color, Point};

/// A corner as the camera sees it.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct Corner {
    /// (x·w, y·w, w).
    h: [f32; 3],
    pub(super) at: Point,
    /// Degrees.
    pub(super) value: f32,
    pub(super) color: Color,
}

impl Corner {
    #[expect(clippy::cast_possible_truncation, reason = "screen points are f32, and a contour needs no more")]
    pub(super) fn new(h: DVec3, value: f64, color: Color) -> Self {
        Self {
            h: [h.x as f32, h.y as f32, h.z as f32],
            at: Point::new((h.x / h.z) as f32, (h.y / h.z) as f32),
            value: value as f32,
            color,
        }
    }

    /// The corner `t` of the way to another, straight in model space.
    pub(super) fn toward(&self, other: &Self, t: f32) -> Self {
        Self {
            h: self.mixed(other, t),
            at: self.place_toward(other, t),
            value: self.value + (other.value - self.value) * t,
            color: self.color.lerp(other.color, t),
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
    /// Nothing, or nothing that this piece has to paint.
    #[default]
    Bare,
    /// A mesh line.
    Mesh,
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
