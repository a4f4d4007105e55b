//! Marks over the surface: handle, hovered vertex, falloff of a lift.

use super::{Marks, Relief};
use crate::drawing::{Color, Point, Projector, Scene, Shape};
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

/// Half the width and the height of a mark over a vertex, its distance from it, and the widths of its rim and its line.
const FOUND: (f32, f32) = (5.0, 9.0);
const FOUND_ABOVE: f32 = 5.0;
const FOUND_RIM: f32 = 1.6;
const FOUND_LINE: f32 = 1.5;

/// A hollow triangle standing over a place, as for every warning, with a rim that sets it off from the surface.
fn triangle(at: Point, ink: Color, paper: Color, scene: &mut Scene) {
    for (grown, color) in [(FOUND_RIM, paper), (0.0, ink), (-FOUND_LINE, paper)] {
        let (half, foot) = (FOUND.0 + 1.5 * grown, at.y - FOUND_ABOVE + grown);
        let top = Point::new(at.x, at.y - FOUND_ABOVE - FOUND.1 - 2.0 * grown);
        let corners = [top, Point::new(at.x + half, foot), Point::new(at.x - half, foot)];
        scene.shapes.push(Shape::Triangle { at: corners, colors: [color; 3] });
    }
}

/// A filled octagon standing over a place, as for every error, with a rim that sets it off from the surface.
fn octagon(at: Point, ink: Color, paper: Color, scene: &mut Scene) {
    let centre = Point::new(at.x, at.y - FOUND_ABOVE - FOUND.1 / 2.0);
    for (radius, color) in [(FOUND.0 + FOUND_RIM, paper), (FOUND.0, ink)] {
        let corner = |eighth: u8| {
            let (sine, cosine) = (std::f32::consts::FRAC_PI_4 * (f32::from(eighth) + 0.5)).sin_cos();
            Point::new(centre.x + radius * cosine, centre.y + radius * sine)
        };
        for eighth in 0..8 {
            let corners = [centre, corner(eighth), corner(eighth + 1)];
            scene.shapes.push(Shape::Triangle { at: corners, colors: [color; 3] });
        }
    }
}

impl Relief {
    /// Marks are never hidden: what the hand is on must be seen.
    pub(super) fn draw_marks(&self, projector: &Projector, marks: &Marks<'_>, scene: &mut Scene) {
        let palette = self.look.palette();
        for &(cell, is_error) in marks.found {
            if let Some(point) = self.vertex(cell) {
                let at = projector.project(point);
                if is_error {
                    octagon(at, palette.error, palette.paper, scene);
                } else {
                    triangle(at, palette.warning, palette.paper, scene);
                }
            }
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
        }
    }
}
