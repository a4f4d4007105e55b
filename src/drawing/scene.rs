//! A scene: shapes in painting order, and labels.

use super::Color;

/// A place on the screen, in points; y grows downwards.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Point {
    /// To the right.
    pub x: f32,
    /// Down.
    pub y: f32,
}

impl Point {
    /// The point (x, y).
    pub const fn new(x: f32, y: f32) -> Self {
        Self { x, y }
    }

    /// The distance to another point.
    pub fn distance(self, other: Self) -> f32 {
        (self.x - other.x).hypot(self.y - other.y)
    }

    /// Between this point (0) and another (1).
    pub fn lerp(self, other: Self, t: f32) -> Self {
        Self { x: self.x + (other.x - self.x) * t, y: self.y + (other.y - self.y) * t }
    }
}

/// A rectangle on the screen, in points.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Rect {
    /// Left edge.
    pub left: f32,
    /// Upper edge.
    pub top: f32,
    /// To the right edge.
    pub width: f32,
    /// To the lower edge.
    pub height: f32,
}

/// The part of the screen that a drawing fills.
pub type Viewport = Rect;

impl Rect {
    /// Whether a point lies in it or on its edge.
    pub fn contains(&self, at: Point) -> bool {
        (self.left..=self.left + self.width).contains(&at.x) && (self.top..=self.top + self.height).contains(&at.y)
    }

    /// Its middle.
    pub fn center(&self) -> Point {
        Point::new(self.left + self.width / 2.0, self.top + self.height / 2.0)
    }
}

/// One thing to paint.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Shape {
    /// A filled triangle with a colour at each corner, blended between them.
    Triangle {
        /// The corners, in either sense of rotation.
        at: [Point; 3],
        /// The colour at each.
        colors: [Color; 3],
    },
    /// A straight line with square ends that do not extend beyond its points.
    Line {
        /// One end.
        from: Point,
        /// The other end.
        to: Point,
        /// Width in points.
        width: f32,
        /// Its colour.
        color: Color,
    },
    /// A disc with an outline centred on its edge.
    Dot {
        /// The centre.
        at: Point,
        /// Radius in points.
        radius: f32,
        /// Colour of the inside; transparent for a ring.
        fill: Color,
        /// Outline colour.
        outline: Color,
        /// Outline width in points; 0 for none.
        outline_width: f32,
    },
}

/// The kind of a label, from which the painter picks the type size.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum LabelRole {
    /// A number on an axis.
    Tick,
    /// The name and unit of an axis.
    AxisName,
    /// The degrees of a contour line; painted over a halo of the label's `halo` colour.
    Contour,
    /// The degrees of a peak or a hole, beside its mark; over a halo as well.
    Spot,
}

/// A text at a place.
#[derive(Clone, Debug, PartialEq)]
pub struct Label {
    /// Its position.
    pub at: Point,
    /// Which point of the text's box is at `at`: (0, 0) its upper left, (1, 1) its lower right corner.
    pub anchor: (f32, f32),
    /// The text.
    pub text: String,
    /// Its kind.
    pub role: LabelRole,
    /// Its colour.
    pub color: Color,
    /// The colour behind it, transparent for none.
    pub halo: Color,
}

/// Shapes in painting order, and labels, which are painted last. Reuse it: clearing keeps the allocated memory.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Scene {
    /// From first to last.
    pub shapes: Vec<Shape>,
    /// Painted after all shapes.
    pub labels: Vec<Label>,
}

impl Scene {
    /// Removes everything, but keeps the allocated memory.
    pub fn clear(&mut self) {
        self.shapes.clear();
        self.labels.clear();
    }

    pub(super) fn line(&mut self, from: Point, to: Point, width: f32, color: Color) {
        self.shapes.push(Shape::Line { from, to, width, color });
    }

    /// Adds a line through all points.
    pub(super) fn polyline(&mut self, points: &[Point], width: f32, color: Color) {
        for pair in points.windows(2) {
            self.line(pair[0], pair[1], width, color);
        }
    }

    /// A filled quadrilateral; its corners in order around it.
    pub(super) fn quad(&mut self, [a, b, c, d]: [Point; 4], color: Color) {
        for at in [[a, b, c], [a, c, d]] {
            self.shapes.push(Shape::Triangle { at, colors: [color; 3] });
        }
    }

    /// Adds a small text without a halo.
    pub(super) fn note(&mut self, at: Point, anchor: (f32, f32), text: String, color: Color) {
        self.labels.push(Label { at, anchor, text, role: LabelRole::Tick, color, halo: Color::default() });
    }

    /// Adds lines rising at 45° over a rectangle, `step` apart to the right. They go on from one rectangle to the next.
    pub(super) fn hatched(&mut self, rect: &Rect, step: f32, width: f32, color: Color) {
        let (right, bottom) = (rect.left + rect.width, rect.top + rect.height);
        // On one line right plus down is the same everywhere.
        let mut sum = ((rect.left + rect.top) / step).ceil() * step;
        while sum < right + bottom {
            let from = Point::new((sum - bottom).max(rect.left), (sum - rect.left).min(bottom));
            let to = Point::new((sum - rect.top).min(right), (sum - right).max(rect.top));
            if to.x > from.x {
                self.line(from, to, width, color);
            }
            sum += step;
        }
    }

    /// Adds dashes along a polyline; the pattern continues around its corners.
    pub(super) fn dashed(&mut self, points: &[Point], (dash, gap): (f32, f32), width: f32, color: Color) {
        let period = dash + gap;
        let mut travelled = 0.0_f32;
        for pair in points.windows(2) {
            let length = pair[0].distance(pair[1]);
            let mut at = 0.0_f32;
            while at < length {
                let phase = (travelled + at) % period;
                let rest = if phase < dash { dash - phase } else { period - phase };
                let end = (at + rest.max(0.01)).min(length);
                if phase < dash {
                    self.line(pair[0].lerp(pair[1], at / length), pair[0].lerp(pair[1], end / length), width, color);
                }
                at = end;
            }
            travelled += length;
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_hatch_stays_in_its_rectangle_and_goes_on_in_the_next() {
        let rect = Rect { left: 13.0, top: 7.0, width: 20.0, height: 11.0 };
        let mut scene = Scene::default();
        scene.hatched(&rect, 5.0, 1.0, Color::hex(0));
        scene.hatched(&Rect { left: 33.0, ..rect }, 5.0, 1.0, Color::hex(0));
        for shape in &scene.shapes {
            let Shape::Line { from, to, .. } = *shape else { panic!("{shape:?}") };
            assert!((from.x - to.x + from.y - to.y).abs() < 1e-4, "at 45°");
            let sum = (from.x + from.y) / 5.0;
            assert!((sum - sum.round()).abs() < 1e-4, "on the same lines");
            let wide = Rect { width: 40.0, ..rect };
            assert!(wide.contains(from) && wide.contains(to), "{shape:?}");
        }
        assert!(scene.shapes.len() > 8);
    }

    #[test]
    fn dashes_keep_their_share_over_corners() {
        let mut scene = Scene::default();
        let points = [Point::new(0.0, 0.0), Point::new(33.0, 0.0), Point::new(33.0, 67.0)];
        scene.dashed(&points, (3.0, 2.0), 1.0, Color::hex(0));
        let inked: f32 = scene
            .shapes
            .iter()
            .map(|shape| match shape {
                Shape::Line { from, to, .. } => from.distance(*to),
                _ => 0.0,
            })
            .sum();
        assert!((inked - 60.0).abs() < 0.01, "{inked}");
    }
}
