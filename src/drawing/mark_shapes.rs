//! The shapes of marks, alike in the window, in pictures and on paper, and where a mark stands beside digits.

use super::{Color, Palette, Point, Rect, Scene, Shape};

/// The shape of a severity. Nothing else has these shapes, so that they are distinguished without colour.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum MarkShape {
    /// Filled: an error.
    Octagon,
    /// Hollow: a warning.
    Triangle,
    /// Hollow: a note.
    Ring,
}

/// Width of the line of a hollow mark as a share of its height, and at least, in points.
const LINE: (f32, f32) = (0.13, 1.2);

impl MarkShape {
    /// Every shape, the worst first.
    pub const ALL: [Self; 3] = [Self::Octagon, Self::Triangle, Self::Ring];

    /// Its ink in a look.
    pub const fn ink(self, palette: &Palette) -> Color {
        match self {
            Self::Octagon => palette.error,
            Self::Triangle => palette.warning,
            Self::Ring => palette.ink_secondary,
        }
    }

    /// The width of its line in a rectangle.
    pub fn line_width(rect: &Rect) -> f32 {
        (LINE.0 * rect.height).max(LINE.1)
    }

    /// Its corners in a rectangle, for a hollow shape those of the middle of its line; none for the ring.
    pub fn corners(self, rect: &Rect) -> Vec<Point> {
        match self {
            Self::Octagon => octagon(rect.center(), rect.width.min(rect.height) / 2.0),
            Self::Triangle => grown(outer_triangle(rect), -Self::line_width(rect) / 2.0).to_vec(),
            Self::Ring => Vec::new(),
        }
    }

    /// The radius of the middle of the ring's line in a rectangle.
    pub fn radius(rect: &Rect) -> f32 {
        (rect.width.min(rect.height) - Self::line_width(rect)) / 2.0
    }

    /// Adds it to a scene; `ground` is inside a hollow shape, and around the shape for `rim` points.
    pub fn draw(self, rect: &Rect, ink: Color, ground: Color, rim: f32, scene: &mut Scene) {
        self.draw_lined(rect, Self::line_width(rect), ink, ground, rim, scene);
    }

    /// The same with a line of a given width.
    pub fn draw_lined(self, rect: &Rect, line: f32, ink: Color, ground: Color, rim: f32, scene: &mut Scene) {
        match self {
            Self::Octagon => {
                let half = rect.width.min(rect.height) / 2.0;
                for (half, color) in [(half + rim, ground), (half, ink)] {
                    fan(&octagon(rect.center(), half), color, scene);
                }
            }
            Self::Triangle => {
                for (by, color) in [(rim, ground), (0.0, ink), (-line, ground)] {
                    let at = grown(outer_triangle(rect), by);
                    scene.shapes.push(Shape::Triangle { at, colors: [color; 3] });
                }
            }
            Self::Ring => {
                let (at, radius) = (rect.center(), (rect.width.min(rect.height) - line) / 2.0);
                let around = radius + line / 2.0 + rim;
                scene.shapes.extend([
                    Shape::Dot { at, radius: around, fill: ground, outline: ground, outline_width: 0.0 },
                    Shape::Dot { at, radius, fill: ground, outline: ink, outline_width: line },
                ]);
            }
        }
    }
}

/// An octagon whose sides are at a distance from its middle.
fn octagon(centre: Point, half: f32) -> Vec<Point> {
    let radius = half / (std::f32::consts::PI / 8.0).cos();
    let corner = |eighth: u8| {
        let (sine, cosine) = (std::f32::consts::FRAC_PI_4 * (f32::from(eighth) + 0.5)).sin_cos();
        Point::new(centre.x + radius * cosine, centre.y + radius * sine)
    };
    (0..8).map(corner).collect()
}

fn fan(corners: &[Point], color: Color, scene: &mut Scene) {
    let Some((&first, rest)) = corners.split_first() else { return };
    for pair in rest.windows(2) {
        scene.shapes.push(Shape::Triangle { at: [first, pair[0], pair[1]], colors: [color; 3] });
    }
}

fn outer_triangle(rect: &Rect) -> [Point; 3] {
    let (right, bottom) = (rect.left + rect.width, rect.top + rect.height);
    [Point::new(rect.center().x, rect.top), Point::new(right, bottom), Point::new(rect.left, bottom)]
}

/// A triangle whose sides are moved outwards by a distance, inwards if it is negative.
fn grown(corners: [Point; 3], by: f32) -> [Point; 3] {
    let [a, b, c] = corners;
    let (of_a, of_b, of_c) = (b.distance(c), c.distance(a), a.distance(b));
    let around = of_a + of_b + of_c;
    let mean = |x: fn(Point) -> f32| (of_a * x(a) + of_b * x(b) + of_c * x(c)) / around;
    let middle = Point::new(mean(|at| at.x), mean(|at| at.y));
    let twice_area = ((b.x - a.x) * (c.y - a.y) - (c.x - a.x) * (b.y - a.y)).abs();
    let inner = twice_area / around;
    let scale = ((inner + by) / inner.max(f32::EPSILON)).max(0.0);
    corners.map(|at| middle.lerp(at, scale))
}

/// Half the length of the cross of a spot height, the width of its lines, and the rim that sets it off.
const CROSS: (f32, f32) = (2.6, 1.3);
const CROSS_RIM: f32 = 1.2;
/// Side of the square that the cross takes with its rim.
pub(super) const CROSS_SIDE: f32 = 2.0 * (CROSS.0 + CROSS_RIM);

/// The mark of a spot height: a small diagonal cross on a rim; a dot marks what is changed from the base.
pub fn draw_cross(at: Point, ink: Color, rim: Color, scene: &mut Scene) {
    for (half, width, color) in [(CROSS.0 + CROSS_RIM, CROSS.1 + 2.0 * CROSS_RIM, rim), (CROSS.0, CROSS.1, ink)] {
        // Upright, it would read as the sign of the number beside it.
        scene.line(Point::new(at.x - half, at.y - half), Point::new(at.x + half, at.y + half), width, color);
        scene.line(Point::new(at.x - half, at.y + half), Point::new(at.x + half, at.y - half), width, color);
    }
}

/// Radius of the dot in the ring of a measured point, as a share of its height.
const MEASURED_DOT: f32 = 0.18;
/// Into how many pieces the ring of one that is not in use is broken, and the width of a gap as a share of its height.
const BROKEN_RING: (u8, f32) = (4, 0.27);

/// The mark of a measured point: a ring with a dot in its middle, and a broken ring without one for a point that nothing
/// goes by. A whole ring without a dot is a note's. `ground` is inside, and around it for `rim` points.
pub fn draw_measured(rect: &Rect, is_in_use: bool, ink: Color, ground: Color, rim: f32, scene: &mut Scene) {
    draw_measured_lined(rect, MarkShape::line_width(rect), is_in_use, (ink, ground), rim, scene);
}

/// The same with a line of a given width.
pub fn draw_measured_lined(
    rect: &Rect,
    line: f32,
    is_in_use: bool,
    (ink, ground): (Color, Color),
    rim: f32,
    scene: &mut Scene,
) {
    let (at, radius) = (rect.center(), (rect.width.min(rect.height) - line) / 2.0);
    let mut dot = |radius: f32, fill: Color, outline: Color, outline_width: f32| {
        scene.shapes.push(Shape::Dot { at, radius, fill, outline, outline_width });
    };
    dot(radius + line / 2.0 + rim, ground, ground, 0.0);
    dot(radius, ground, ink, line);
    if is_in_use {
        dot(MEASURED_DOT * rect.width.min(rect.height), ink, ink, 0.0);
        return;
    }
    // Gaps are drawn over the ring: short lines along an arc would be pale.
    let (pieces, gap) = BROKEN_RING;
    for piece in 0..pieces {
        let turned = (f32::from(piece) + 0.5) * std::f32::consts::TAU / f32::from(pieces);
        let along = |radius: f32| Point::new(at.x + radius * turned.cos(), at.y + radius * turned.sin());
        scene.line(along(radius - line), along(radius + line / 2.0 + rim), gap * rect.height, ground);
    }
}

/// Where marks stand in a cell, clear of its digits and of those of the row above it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct CellMarks {
    /// The cell.
    pub cell: Rect,
    /// What its digits cover.
    pub digits: Rect,
}

impl CellMarks {
    /// The place of a mark of severity, as large as `side` or as the digits of two rows leave room for: in the upper
    /// right corner, `inset` from its sides, and above the cell as far as the digits take that corner.
    pub fn found(&self, side: f32, inset: f32) -> Rect {
        let Self { cell, digits } = self;
        let side = side.min(cell.height - digits.height).max(0.0);
        let left = cell.left + cell.width - inset - side;
        let top = cell.top + inset;
        let is_beside = left >= digits.left + digits.width;
        Rect { left, top: if is_beside { top } else { top.min(digits.top - side) }, width: side, height: side }
    }

    /// The corners of the mark of a held cell, with sides of `side` unless the digits take some of it.
    pub fn held(&self, side: f32) -> [Point; 3] {
        let Self { cell, digits } = self;
        let free = (digits.left - cell.left).max(digits.top - cell.top);
        let side = side.min(free).max(0.0);
        let corner = |right: f32, down: f32| Point::new(cell.left + right, cell.top + down);
        [corner(0.0, 0.0), corner(side, 0.0), corner(0.0, side)]
    }

    /// The middle of the dot of a changed cell: at its upper edge, `aside` from the left, where it is right of the mark of
    /// a held cell. Below the digits it could be read as a decimal point.
    pub fn changed(&self, radius: f32, aside: f32, inset: f32) -> Point {
        let Self { cell, digits } = self;
        let (x, y) = (cell.left + aside + radius, cell.top + inset + radius);
        Point::new(x, if x + radius <= digits.left { y } else { y.min(digits.top - radius) })
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::drawing::Look;
    use proptest::prelude::*;

    /// The box of everything that a shape covers.
    fn bounds(scene: &Scene) -> Rect {
        let mut points = Vec::new();
        for shape in &scene.shapes {
            match *shape {
                Shape::Triangle { at, .. } => points.extend(at),
                Shape::Dot { at, radius, outline_width, .. } => {
                    let reach = radius + outline_width / 2.0;
                    points.extend([Point::new(at.x - reach, at.y - reach), Point::new(at.x + reach, at.y + reach)]);
                }
                Shape::Line { from, to, .. } => points.extend([from, to]),
            }
        }
        let span = |of: fn(&Point) -> f32| {
            let all = points.iter().map(of);
            (all.clone().fold(f32::INFINITY, f32::min), all.fold(f32::NEG_INFINITY, f32::max))
        };
        let ((left, right), (top, bottom)) = (span(|at| at.x), span(|at| at.y));
        Rect { left, top, width: right - left, height: bottom - top }
    }

    #[test]
    fn every_shape_stays_in_its_rectangle() {
        let palette = Look::Light.palette();
        for side in [4.0, 8.0, 13.0] {
            let rect = Rect { left: 10.0, top: 20.0, width: side, height: side };
            for shape in MarkShape::ALL {
                let mut scene = Scene::default();
                shape.draw(&rect, shape.ink(palette), palette.paper, 0.0, &mut scene);
                let covered = bounds(&scene);
                assert!((covered.left - rect.left).abs() < 0.01 && (covered.width - side).abs() < 0.01, "{shape:?}");
                assert!(covered.top > rect.top - 0.01 && covered.height < side + 0.01, "{shape:?} {covered:?}");
            }
        }
    }

    /// In use or not, whole or broken: neither is a note's ring.
    #[test]
    fn a_measured_point_is_told_from_a_note_at_eight_points() {
        let rect = Rect { left: 3.0, top: 5.0, width: 8.0, height: 8.0 };
        let (ink, ground) = (Color::hex(0), Color::hex(0xFF_FFFF));
        let drawn = |is_in_use: bool| {
            let mut scene = Scene::default();
            draw_measured(&rect, is_in_use, ink, ground, 0.0, &mut scene);
            let covered = bounds(&scene);
            assert!((covered.width - 8.0).abs() < 0.01 && (covered.left - 3.0).abs() < 0.01, "{covered:?}");
            scene.shapes
        };
        let inner = MarkShape::radius(&rect) - MarkShape::line_width(&rect) / 2.0;
        let dots = drawn(true).into_iter().filter_map(|shape| match shape {
            Shape::Dot { radius, fill, .. } if fill == ink => Some(radius),
            _ => None,
        });
        let [dot] = dots.collect::<Vec<_>>()[..] else { panic!("one dot") };
        assert!(dot > 1.2 && inner - dot > 1.2, "a pixel and more of ground between dot and ring: {dot} {inner}");
        let gaps: Vec<f32> = drawn(false)
            .iter()
            .filter_map(|shape| match *shape {
                Shape::Line { from, to, width, color } => {
                    let reach = [from, to].map(|end| end.distance(rect.center()));
                    assert!(
                        reach[0] < inner && reach[1] > 3.99 && color == ground,
                        "through the whole ring: {reach:?}"
                    );
                    Some(width)
                }
                Shape::Dot { fill, .. } => {
                    assert_ne!(fill, ink, "no dot");
                    None
                }
                Shape::Triangle { .. } => None,
            })
            .collect();
        let piece = std::f32::consts::TAU * MarkShape::radius(&rect) / f32::from(BROKEN_RING.0) - gaps[0];
        assert_eq!(gaps.len(), usize::from(BROKEN_RING.0));
        assert!(gaps[0] > 2.0 && piece > 2.5, "gaps are seen, and so is the ring: {gaps:?} {piece}");
    }

    fn touch(one: &Rect, other: &Rect) -> bool {
        const ROUNDING: f32 = 0.01;
        one.left + ROUNDING < other.left + other.width
            && other.left + ROUNDING < one.left + one.width
            && one.top + ROUNDING < other.top + other.height
            && other.top + ROUNDING < one.top + one.height
    }

    /// Two are hollow, each with another outline, and one is filled.
    #[test]
    fn shapes_are_told_apart_without_colour_at_eight_points() {
        let rect = Rect { left: 0.0, top: 0.0, width: 8.0, height: 8.0 };
        let line = MarkShape::line_width(&rect);
        assert_eq!(MarkShape::Octagon.corners(&rect).len(), 8);
        let triangle: [Point; 3] = MarkShape::Triangle.corners(&rect).try_into().unwrap();
        let inside = grown(triangle, -line / 2.0);
        assert!(inside[1].x - inside[2].x > 3.0, "the triangle is hollow: {inside:?}");
        assert!(2.0 * MarkShape::radius(&rect) - line > 4.0, "the ring is hollow");
    }

    proptest! {
        /// At any size of cell no mark touches digits, its own or those of the row above, and none touches another.
        #[test]
        fn no_mark_touches_digits(
            width in 24.0_f32..60.0,
            height in 16.4_f32..40.0,
            share in (0.3_f32..0.98, 0.3_f32..0.52),
            right in 0.0_f32..1.0,
        ) {
            let digits = |top: f32| {
                let (own, tall) = (width * share.0, height * share.1);
                let left = (width - own) * right;
                Rect { left, top: top + (height - tall) / 2.0, width: own, height: tall }
            };
            let cell = |top: f32| Rect { left: 0.0, top, width, height };
            let marks = CellMarks { cell: cell(0.0), digits: digits(0.0) };
            let found = marks.found(8.0, 1.0);
            prop_assert!(found.width >= 7.5, "{found:?}");
            let [corner, across, _] = marks.held(6.0);
            let held = Rect { left: corner.x, top: corner.y, width: across.x - corner.x, height: across.x - corner.x };
            let dot = marks.changed(1.6, 7.5, 2.0);
            let dot = Rect { left: dot.x - 1.6, top: dot.y - 1.6, width: 3.2, height: 3.2 };
            prop_assert!(![(found, held), (found, dot), (held, dot)].iter().any(|(one, other)| touch(one, other)));
            for mark in [found, held, dot] {
                for taken in [digits(0.0), digits(-height)] {
                    prop_assert!(!touch(&mark, &taken), "{mark:?} {taken:?}");
                }
            }
            prop_assert!(dot.top + dot.height <= height && dot.top >= 0.0 && held.width > 0.0);
        }
    }
}
