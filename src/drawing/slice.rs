//! A slice: one row or one column of a table as a curve to look at and to drag.

use super::ticks::{Ticks, nice_step, widened};
use super::{Color, Label, LabelRole, Look, Point, Rect, Scene, Shape};

const GUIDE_WIDTH: f32 = 1.0;
const CURVE_WIDTH: f32 = 1.8;
const BASE_WIDTH: f32 = 1.1;
const DASHES: (f32, f32) = (4.0, 3.0);
const PROPOSED_DASHES: (f32, f32) = (7.0, 3.0);
const POINT_RADIUS: f32 = 2.8;
/// Points of a dense slice are smaller: this share of their mean distance, but at least this radius.
const SPACING_SHARE: f32 = 0.3;
const LEAST_RADIUS: f32 = 1.5;
const ACTIVE_RADIUS: f32 = 4.5;
/// Room for the numbers left of and below the curve, and free of the handle's radius above and to the right.
const MARGIN: (f32, f32, f32, f32) = (28.0, 8.0, 8.0, 24.0);
/// Points of the screen for one number along and up.
const TICK_ROOM: (f32, f32) = (60.0, 34.0);
/// A curve with less rise than this, in degrees, is not stretched to the full height.
const LEAST_RANGE_DEG: f64 = 10.0;

/// What a slice shows.
#[derive(Clone, Copy, Debug)]
pub struct SliceSpec<'a> {
    /// Points (axis value, degrees), ascending.
    pub points: &'a [(f64, f64)],
    /// The base along the same line, if there is one; parts outside the axis of `points` are not shown.
    pub base: &'a [(f64, f64)],
    /// Lowest and highest degrees to show at least; give the whole table's, so that the scale keeps still from slice
    /// to slice. Points beyond it widen it.
    pub value_range: (f64, f64),
    /// Whether the scale stands at `value_range` also where points lie beyond it.
    pub scale_stands: bool,
    /// The line as it is, where `points` are only proposed; empty where they are the line itself.
    pub now: &'a [(f64, f64)],
    /// Index of the point with the handle.
    pub active: Option<usize>,
    /// Index of the point under the pointer.
    pub hovered: Option<usize>,
    /// Whether a point is selected, one each; missing ones are not.
    pub selected: &'a [bool],
    /// Colours.
    pub look: Look,
    /// Where to draw, labels included.
    pub rect: Rect,
}

/// One of the two directions: from numbers to points of the screen and back.
#[derive(Clone, Debug, PartialEq)]
pub struct SliceAxis {
    /// Shown range.
    pub range: (f64, f64),
    /// Where its ends lie on the screen.
    pub screen: (f32, f32),
    /// Its round numbers.
    pub ticks: Ticks,
}

impl SliceAxis {
    /// A direction whose round numbers stand at least about `room` apart.
    pub fn new(range: (f64, f64), screen: (f32, f32), room: f32) -> Self {
        #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "a small count")]
        let most = (((screen.1 - screen.0).abs() / room) as usize).clamp(2, 12);
        Self { range, screen, ticks: Ticks::within(range.0, range.1, most) }
    }

    /// Where a number lies; linear also outside the range.
    pub fn to_screen(&self, value: f64) -> f32 {
        let (start, end) = (f64::from(self.screen.0), f64::from(self.screen.1));
        #[expect(clippy::cast_possible_truncation, reason = "screen points are f32")]
        let at = (start + (end - start) * (value - self.range.0) / (self.range.1 - self.range.0)) as f32;
        at
    }

    /// The number at a place; linear also outside the range.
    pub fn from_screen(&self, at: f32) -> f64 {
        let (start, end) = (f64::from(self.screen.0), f64::from(self.screen.1));
        self.range.0 + (self.range.1 - self.range.0) * (f64::from(at) - start) / (end - start)
    }
}

/// A slice laid out on the screen.
#[derive(Clone, Debug, PartialEq)]
pub struct Slice {
    /// Along the axis of the table, to the right.
    pub along: SliceAxis,
    /// Degrees, upwards.
    pub value: SliceAxis,
    /// Where its points are seen.
    pub points: Vec<Point>,
}

impl Slice {
    /// Lays out a slice; `None` with fewer than two points or no room.
    pub fn new(spec: &SliceSpec<'_>) -> Option<Self> {
        let (first, last) = (spec.points.first()?.0, spec.points.last()?.0);
        let (left, top, right, bottom) = MARGIN;
        let rect = spec.rect;
        let (width, height) = (rect.width - left - right, rect.height - top - bottom);
        if last <= first || width < 1.0 || height < 1.0 {
            return None;
        }
        let range = shown_range(spec);
        let (x, y) = (rect.left + left, rect.top + top);
        let along = SliceAxis::new((first, last), (x, x + width), TICK_ROOM.0);
        let value = SliceAxis::new(range, (y + height, y), TICK_ROOM.1);
        let place = |&(at, deg): &(f64, f64)| Point::new(along.to_screen(at), value.to_screen(deg));
        let points = spec.points.iter().map(place).collect();
        Some(Self { along, value, points })
    }

    /// Index of the point nearest to a place, at most `radius` points away.
    pub fn pick(&self, at: Point, radius: f32) -> Option<usize> {
        let near = self.points.iter().enumerate().map(|(index, point)| (index, point.distance(at)));
        near.filter(|&(_, distance)| distance <= radius).min_by(|a, b| a.1.total_cmp(&b.1)).map(|(index, _)| index)
    }

    /// Replaces the contents of `scene` by the slice.
    pub fn draw(&self, spec: &SliceSpec<'_>, scene: &mut Scene) {
        scene.clear();
        self.draw_scales(spec.look, scene);
        let palette = spec.look.palette();
        let (start, end) = self.along.range;
        let within = clipped(spec.base, start, end);
        let base: Vec<Point> = within.iter().map(|&(x, y)| self.place(x, y)).collect();
        scene.dashed(&base, DASHES, BASE_WIDTH, palette.base_line);
        let is_proposed = !spec.now.is_empty();
        let now: Vec<Point> = clipped(spec.now, start, end).iter().map(|&(x, y)| self.place(x, y)).collect();
        for pair in now.windows(2) {
            scene.line(pair[0], pair[1], BASE_WIDTH, palette.ink_secondary);
        }
        if is_proposed {
            scene.dashed(&self.points, PROPOSED_DASHES, CURVE_WIDTH, palette.proposed);
        } else {
            for pair in self.points.windows(2) {
                scene.line(pair[0], pair[1], CURVE_WIDTH, palette.ink);
            }
        }
        let rim = if is_proposed { palette.proposed } else { palette.ink };
        let point_radius = self.point_radius();
        for (index, &at) in self.points.iter().enumerate() {
            let selected = spec.selected.get(index).copied().unwrap_or(false);
            let (radius, fill, outline) = match (spec.active == Some(index), selected) {
                (true, _) => (ACTIVE_RADIUS, palette.accent, palette.ink),
                (_, true) => (point_radius, palette.accent, palette.accent),
                _ => (point_radius, palette.handle, rim),
            };
            scene.shapes.push(Shape::Dot { at, radius, fill, outline, outline_width: 1.2 });
            if spec.hovered == Some(index) {
                let (fill, outline) = (Color::default(), palette.ink_secondary);
                scene.shapes.push(Shape::Dot { at, radius: radius + 3.0, fill, outline, outline_width: 1.5 });
            }
        }
    }

    /// Radius of the points, so that neighbours do not touch.
    pub fn point_radius(&self) -> f32 {
        let (left, right) = self.along.screen;
        #[expect(clippy::cast_precision_loss, reason = "at most 64 points")]
        let spacing = (right - left) / (self.points.len() - 1) as f32;
        (spacing * SPACING_SHARE).clamp(LEAST_RADIUS, POINT_RADIUS)
    }

    fn place(&self, along: f64, deg: f64) -> Point {
        Point::new(self.along.to_screen(along), self.value.to_screen(deg))
    }

    fn draw_scales(&self, look: Look, scene: &mut Scene) {
        let palette = look.palette();
        let (left, right) = self.along.screen;
        let mut label = |at: Point, anchor: (f32, f32), text: String| {
            let (color, halo) = (palette.ink_secondary, Color::default());
            scene.labels.push(Label { at, anchor, text, role: LabelRole::Tick, color, halo });
        };
        for &deg in &self.value.ticks.values {
            label(Point::new(left - 7.0, self.value.to_screen(deg)), (1.0, 0.5), self.value.ticks.text(deg));
        }
        for &at in &self.along.ticks.values {
            label(
                Point::new(self.along.to_screen(at), self.value.screen.0 + 8.0),
                (0.5, 0.0),
                self.along.ticks.text(at),
            );
        }
        for &deg in &self.value.ticks.values {
            let y = self.value.to_screen(deg);
            scene.line(Point::new(left, y), Point::new(right, y), GUIDE_WIDTH, palette.rule);
        }
    }
}

/// The given range widened to hold the points and to round numbers.
fn shown_range(spec: &SliceSpec<'_>) -> (f64, f64) {
    let (low, high) = if spec.scale_stands {
        spec.value_range
    } else {
        let points = spec.points.iter().chain(spec.base);
        points.fold(spec.value_range, |(low, high), &(_, deg)| (low.min(deg), high.max(deg)))
    };
    let short = (LEAST_RANGE_DEG - (high - low)).max(0.0) / 2.0;
    let (low, high) = (low - short, high + short);
    widened(low, high, nice_step(high - low, 8))
}

/// The part of a polyline between two axis values, cut there.
fn clipped(points: &[(f64, f64)], start: f64, end: f64) -> Vec<(f64, f64)> {
    let mut part = Vec::with_capacity(points.len());
    for pair in points.windows(2) {
        let ((x0, y0), (x1, y1)) = (pair[0], pair[1]);
        let (from, to) = (x0.max(start), x1.min(end));
        if from >= to {
            continue;
        }
        let at = |x: f64| (x, y0 + (y1 - y0) * (x - x0) / (x1 - x0));
        if part.is_empty() {
            part.push(at(from));
        }
        part.push(at(to));
    }
    part
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    const POINTS: [(f64, f64); 4] = [(500.0, 9.0), (2000.0, 21.0), (4200.0, 27.0), (7500.0, 29.5)];
    const RECT: Rect = Rect { left: 100.0, top: 530.0, width: 460.0, height: 240.0 };

    fn spec<'a>(base: &'a [(f64, f64)]) -> SliceSpec<'a> {
        SliceSpec {
            points: &POINTS,
            base,
            value_range: (9.0, 39.0),
            scale_stands: false,
            now: &[],
            active: Some(2),
            hovered: Some(1),
            selected: &[true],
            look: Look::Light,
            rect: RECT,
        }
    }

    #[test]
    fn everything_stays_inside_and_scales_are_round() {
        let slice = Slice::new(&spec(&[])).unwrap();
        let mut scene = Scene::default();
        slice.draw(&spec(&[]), &mut scene);
        assert_eq!(slice.value.range, (5.0, 40.0));
        assert_eq!(slice.value.ticks.values, [10.0, 20.0, 30.0, 40.0]);
        assert_eq!(slice.along.ticks.values, [1000.0, 2000.0, 3000.0, 4000.0, 5000.0, 6000.0, 7000.0]);
        assert!(slice.points.iter().all(|&at| RECT.contains(at)));
        assert!(scene.labels.iter().all(|label| RECT.contains(label.at)));
        let dots = scene.shapes.iter().filter(|shape| matches!(shape, Shape::Dot { .. }));
        assert_eq!(dots.count(), 5);
    }

    #[test]
    fn the_base_is_cut_at_the_ends_and_widens_the_scale() {
        assert_eq!(
            clipped(&[(0.0, 0.0), (1000.0, 10.0), (9000.0, 10.0)], 500.0, 7500.0),
            [(500.0, 5.0), (1000.0, 10.0), (7500.0, 10.0)]
        );
        assert_eq!(clipped(&[(0.0, 0.0), (100.0, 1.0)], 500.0, 7500.0), []);
        assert_eq!(Slice::new(&spec(&[(500.0, -12.0), (7500.0, 5.0)])).unwrap().value.range.0, -20.0);
    }

    #[test]
    fn a_scale_that_stands_lets_points_go_beyond_it() {
        let points = [(500.0, 9.0), (7500.0, 61.0)];
        let standing = SliceSpec { points: &points, scale_stands: true, ..spec(&[]) };
        let slice = Slice::new(&standing).unwrap();
        assert_eq!(slice.value.range, Slice::new(&spec(&[])).unwrap().value.range);
        assert!(slice.points[1].y < RECT.top);
        assert_eq!(Slice::new(&SliceSpec { scale_stands: false, ..standing }).unwrap().value.range.1, 70.0);
    }

    #[test]
    fn what_is_proposed_is_dashed_over_the_line_as_it_is() {
        let proposed = SliceSpec { now: &[(500.0, 8.0), (7500.0, 30.0)], ..spec(&[]) };
        let slice = Slice::new(&proposed).unwrap();
        let mut scene = Scene::default();
        slice.draw(&proposed, &mut scene);
        let inked = |ink: Color| {
            scene.shapes.iter().filter(|shape| matches!(shape, Shape::Line { color, .. } if *color == ink)).count()
        };
        let palette = Look::Light.palette();
        assert_eq!((inked(palette.ink), inked(palette.ink_secondary)), (0, 1));
        assert!(inked(palette.proposed) > 10);
    }

    #[test]
    fn picks_the_nearest_point_within_reach() {
        let slice = Slice::new(&spec(&[])).unwrap();
        let at = slice.points[2];
        assert_eq!(slice.pick(Point::new(at.x + 8.0, at.y - 5.0), 12.0), Some(2));
        assert_eq!(slice.pick(Point::new(at.x + 8.0, at.y - 25.0), 12.0), None);
    }

    #[test]
    fn needs_two_points_and_room() {
        assert!(Slice::new(&SliceSpec { points: &POINTS[..1], ..spec(&[]) }).is_none());
        assert!(Slice::new(&SliceSpec { rect: Rect { width: 20.0, ..RECT }, ..spec(&[]) }).is_none());
    }

    proptest! {
        #[test]
        fn dragging_reads_what_was_drawn(deg in -60.0..90.0) {
            let slice = Slice::new(&spec(&[])).unwrap();
            prop_assert!((slice.value.from_screen(slice.value.to_screen(deg)) - deg).abs() < 1e-3);
        }
    }
}
