//! Marks over the surface: handle, hovered vertex, falloff of a lift.

use super::{Marks, Relief};
use crate::drawing::{Color, Projector, Scene, Shape};
use crate::table::Cell;

/// A vertex that a lift moves along.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Ring {
    /// Which.
    pub cell: Cell,
    /// Its share of the lift, 0..=1; shown by the ring's size.
    pub weight: f32,
}

const ACTIVE_RADIUS: f32 = 4.5;
const HOVERED_RADIUS: f32 = 4.0;
const RING_RADIUS: (f32, f32) = (1.2, 4.2);

impl Relief {
    /// Marks are never hidden: what the hand is on must be seen.
    pub(super) fn draw_marks(&self, projector: &Projector, marks: &Marks<'_>, scene: &mut Scene) {
        let palette = self.look.palette();
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
            dot(cell, HOVERED_RADIUS, Color::default(), palette.accent, 2.0);
        }
    }
}
