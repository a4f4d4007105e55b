//! Marks over the surface: handle, hovered vertex, falloff of a lift.

use super::labels::square;
use super::{Marks, Relief};
use crate::drawing::{Color, Label, LabelRoom, MarkShape, Point, Projector, Rect, Scene, Shape};
use crate::table::Cell;

/// A vertex that a lift moves along.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Ring {
    /// Which.
    pub cell: Cell,
    /// Its share of the lift, 0..=1; shown by the ring's size.
    pub weight: f32,
}

/// The mark of a finding at its place.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Found {
    /// What it takes with its rim.
    pub(super) place: Rect,
    /// Its shape.
    pub(super) shape: MarkShape,
}

pub(super) const ACTIVE_RADIUS: f32 = 4.5;
const HOVERED_RADIUS: f32 = 4.0;
const RING_RADIUS: (f32, f32) = (1.2, 4.2);

/// The point in the middle of the ring of the hovered vertex.
const HOVERED_POINT: f32 = 1.4;
/// Side of a mark of a finding, and the rim that sets it off from the surface.
const FOUND: f32 = 9.0;
const FOUND_RIM: f32 = 1.6;
/// How far the middle of such a mark is from its vertex, and the directions in which it may be, the first that is free.
const FOUND_AWAY: f32 = 9.5;
const FOUND_TOWARDS: [(f32, f32); 8] =
    [(0.0, -1.0), (0.7, -0.7), (-0.7, -0.7), (1.0, 0.0), (-1.0, 0.0), (0.7, 0.7), (-0.7, 0.7), (0.0, 1.0)];
/// Farther away if all of these are taken.
const FARTHER: [f32; 3] = [1.0, 1.8, 2.6];

impl Relief {
    /// The places of the marks of findings with their rims: above their vertices, or beside them where a label stands
    /// there. Where labels leave a vertex no room at all, it has none.
    pub(super) fn found_places(&self, projector: &Projector, marks: &Marks<'_>, labels: &[Label]) -> Vec<Found> {
        let room = LabelRoom::beside(labels);
        let place = |at: Point| {
            let tried = FARTHER.into_iter().flat_map(|share| {
                FOUND_TOWARDS.map(|(x, y)| Point::new(at.x + share * FOUND_AWAY * x, at.y + share * FOUND_AWAY * y))
            });
            tried.map(|middle| square(middle, FOUND + 2.0 * FOUND_RIM)).find(|place| room.is_free(place))
        };
        let found = marks.found.iter().filter_map(|&(cell, shape)| {
            let at = projector.project(self.vertex(cell)?);
            Some(Found { place: place(at)?, shape })
        });
        let mut found: Vec<Found> = found.collect();
        // The worst is drawn last, over the others.
        found.sort_by_key(|found| std::cmp::Reverse(found.shape));
        found
    }

    /// Marks are never hidden: what the hand is on must be seen.
    pub(super) fn draw_marks(&self, projector: &Projector, marks: &Marks<'_>, found: &[Found], scene: &mut Scene) {
        let palette = self.look.palette();
        for &Found { place, shape } in found {
            let mark = square(place.center(), FOUND);
            shape.draw(&mark, shape.ink(palette), palette.paper, FOUND_RIM, scene);
        }
        let mut dot = |cell: Cell, radius: f32, fill: Color, outline: Color, outline_width: f32| {
            if let Some(point) = self.vertex(cell) {
                scene.shapes.push(Shape::Dot { at: projector.project(point), radius, fill, outline, outline_width });
            }
        };
        for ring in marks.rings.iter().filter(|ring| ring.weight > 0.0) {
            let radius = RING_RADIUS.0 + (RING_RADIUS.1 - RING_RADIUS.0) * ring.weight.min(1.0);
            dot(ring.cell, radius, palette.accent, palette.handle, 0.8);
        }
        if let Some(cell) = marks.active {
            dot(cell, ACTIVE_RADIUS, palette.handle, palette.ink, 1.8);
        }
        if let Some(cell) = marks.hovered {
            dot(cell, HOVERED_RADIUS, Color::default(), palette.ink_secondary, 2.0);
            dot(cell, HOVERED_POINT, palette.ink_secondary, palette.ink_secondary, 0.0);
        }
    }
}
