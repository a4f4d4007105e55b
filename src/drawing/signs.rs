//! The signs that mark a cell, as shapes. Each means one thing wherever it is drawn, and can be told from the others
//! without colours.

use super::{Color, Point, Rect, Shape};

/// A sign.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum CellSign {
    /// A filled corner at the upper left: the cell is held.
    Corner,
    /// A filled dot: the cell differs from the base.
    Dot,
    /// A filled octagon: an error was found.
    Octagon,
    /// A hollow triangle: there is a warning.
    Triangle,
    /// A ring: there is a note.
    Ring,
}

/// Thickness of hollow signs, as a share of their height, and at least so many points.
const STROKE: (f32, f32) = (0.13, 0.55);

impl CellSign {
    /// The shapes of the sign, in a colour, as large as a rectangle.
    pub fn shapes(self, rect: Rect, color: Color) -> Vec<Shape> {
        let stroke = (rect.height * STROKE.0).max(STROKE.1);
        let radius = rect.width.min(rect.height) / 2.0;
        let disc = |radius: f32, fill: Color, outline_width: f32| Shape::Dot {
            at: rect.center(),
            radius,
            fill,
            outline: color,
            outline_width,
        };
        match self {
            Self::Corner => {
                let Rect { left, top, width, height } = rect;
                let at = [Point::new(left, top), Point::new(left + width, top), Point::new(left, top + height)];
                vec![Shape::Triangle { at, colors: [color; 3] }]
            }
            Self::Dot => vec![disc(radius, color, 0.0)],
            Self::Octagon => octagon(rect.center(), radius, color),
            Self::Triangle => hollow_triangle(rect, stroke, color),
            Self::Ring => vec![disc(radius - stroke / 2.0, Color::default(), stroke)],
        }
    }
}

/// Its sides are `apothem` away from its middle; two of them are level.
fn octagon(middle: Point, apothem: f32, color: Color) -> Vec<Shape> {
    let eighth = std::f32::consts::FRAC_PI_4;
    let radius = apothem / (eighth / 2.0).cos();
    let corner = |index: u8| {
        let angle = (f32::from(index) + 0.5) * eighth;
        Point::new(middle.x + radius * angle.cos(), middle.y + radius * angle.sin())
    };
    let first = corner(0);
    (1..7).map(|index| Shape::Triangle { at: [first, corner(index), corner(index + 1)], colors: [color; 3] }).collect()
}

/// Points up, and fills its rectangle on the outside.
fn hollow_triangle(rect: Rect, stroke: f32, color: Color) -> Vec<Shape> {
    let Rect { left, top, width, height } = rect;
    let outer =
        [Point::new(left + width / 2.0, top), Point::new(left + width, top + height), Point::new(left, top + height)];
    let sides = [0, 1, 2].map(|at: usize| outer[(at + 1) % 3].distance(outer[(at + 2) % 3]));
    let around: f32 = sides.iter().sum();
    if around <= 0.0 {
        return Vec::new();
    }
    // Every side of the inner triangle is one stroke away: it is the outer one, made smaller about the incentre.
    let in_radius = width * height / around;
    let weighted =
        |of: fn(&Point) -> f32| outer.iter().zip(sides).map(|(at, side)| of(at) * side).sum::<f32>() / around;
    let incentre = Point::new(weighted(|at| at.x), weighted(|at| at.y));
    let inner = outer.map(|at| at.lerp(incentre, (stroke / in_radius).min(1.0)));
    let side = |at: usize| {
        let next = (at + 1) % 3;
        [[outer[at], outer[next], inner[next]], [outer[at], inner[next], inner[at]]]
    };
    (0..3).flat_map(side).map(|at| Shape::Triangle { at, colors: [color; 3] }).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    const RECT: Rect = Rect { left: 10.0, top: 20.0, width: 8.0, height: 7.0 };
    const ALL: [CellSign; 5] = [CellSign::Corner, CellSign::Dot, CellSign::Octagon, CellSign::Triangle, CellSign::Ring];

    fn ink() -> Color {
        Color::hex(0x10_2030)
    }

    fn is_in(at: Point, [a, b, c]: [Point; 3]) -> bool {
        let side = |p: Point, q: Point| (q.x - p.x) * (at.y - p.y) - (q.y - p.y) * (at.x - p.x);
        let sides = [side(a, b), side(b, c), side(c, a)];
        sides.iter().all(|s| *s >= 0.0) || sides.iter().all(|s| *s <= 0.0)
    }

    fn covers(sign: CellSign, at: Point) -> bool {
        sign.shapes(RECT, ink()).iter().any(|shape| match *shape {
            Shape::Triangle { at: corners, .. } => is_in(at, corners),
            Shape::Dot { at: middle, radius, fill, outline_width, .. } => {
                let off = at.distance(middle);
                off <= radius && fill.a == 255 || (off - radius).abs() <= outline_width / 2.0
            }
            Shape::Line { .. } => false,
        })
    }

    #[test]
    fn signs_fill_their_place_and_only_that() {
        for sign in ALL {
            let mut box_of = [f32::MAX, f32::MAX, f32::MIN, f32::MIN];
            let mut take = |x: f32, y: f32| {
                box_of = [box_of[0].min(x), box_of[1].min(y), box_of[2].max(x), box_of[3].max(y)];
            };
            for shape in sign.shapes(RECT, ink()) {
                match shape {
                    Shape::Triangle { at, .. } => at.iter().for_each(|at| take(at.x, at.y)),
                    Shape::Dot { at, radius, outline_width, .. } => {
                        let reach = radius + outline_width / 2.0;
                        take(at.x - reach, at.y - reach);
                        take(at.x + reach, at.y + reach);
                    }
                    Shape::Line { .. } => panic!("{sign:?} has a line"),
                }
            }
            let [left, top, right, bottom] = box_of;
            assert!(left >= 9.99 && top >= 19.99 && right <= 18.01 && bottom <= 27.01, "{sign:?}: {box_of:?}");
            assert!(bottom - top > 6.9, "{sign:?}: {box_of:?}");
        }
    }

    #[test]
    fn an_error_is_solid_and_a_warning_and_a_note_are_hollow() {
        let middle = RECT.center();
        let of_triangle = Point::new(14.0, 24.5);
        assert!(covers(CellSign::Octagon, middle) && covers(CellSign::Dot, middle));
        assert!(!covers(CellSign::Ring, middle) && !covers(CellSign::Triangle, of_triangle));
        // Its three sides.
        for at in [Point::new(14.0, 26.6), Point::new(11.6, 24.2), Point::new(16.4, 24.2)] {
            assert!(covers(CellSign::Triangle, at), "{at:?}");
        }
    }
}
