//! A slice: one row or one column of a table as a curve that can be dragged.

use super::chart::{CHART, ChartFrame, ChartSpec, Handle, handle_radius, nearest, round_range};
use super::{Look, Point, Rect, Scene};
use crate::wording::Unit;

/// A curve with less rise than this, in degrees, is not stretched to the full height.
const LEAST_RANGE_DEG: f64 = 10.0;

/// What a slice shows.
#[derive(Clone, Copy, Debug)]
pub struct SliceSpec<'a> {
    /// Points (axis value, degrees), ascending.
    pub points: &'a [(f64, f64)],
    /// The base along the same line, if there is one; parts outside the axis of `points` are not shown.
    pub base: &'a [(f64, f64)],
    /// Lowest and highest degrees to show at least. Pass the range of the whole table, so that the scale does
    /// not change from slice to slice. Points beyond it widen it.
    pub value_range: (f64, f64),
    /// Whether the scale stays at `value_range` even if points lie beyond it.
    pub scale_stands: bool,
    /// The line as it is, if `points` are only proposed; empty if they are the line itself.
    pub now: &'a [(f64, f64)],
    /// Index of the active point.
    pub active: Option<usize>,
    /// Index of the point under the pointer.
    pub hovered: Option<usize>,
    /// Whether each point is selected; missing entries are not.
    pub selected: &'a [bool],
    /// The units of the axis and of the values; none if they are stated elsewhere.
    pub units: (Unit, Unit),
    /// Colours.
    pub look: Look,
    /// Where to draw, including the labels.
    pub rect: Rect,
}

/// A slice laid out on the screen.
#[derive(Clone, Debug, PartialEq)]
pub struct Slice {
    /// Its scales: the axis of the table to the right, degrees upwards.
    pub frame: ChartFrame,
    /// Where its points are seen.
    pub points: Vec<Point>,
}

impl Slice {
    /// Lays out a slice; `None` if there are fewer than two points or not enough room.
    pub fn new(spec: &SliceSpec<'_>) -> Option<Self> {
        let (first, last) = (spec.points.first()?.0, spec.points.last()?.0);
        if last <= first {
            return None;
        }
        let frame = ChartFrame::new(&ChartSpec {
            rect: spec.rect,
            along: (first, last),
            up: shown_range(spec),
            units: spec.units,
            gutter: CHART.gutter,
            is_upright: false,
            rows_below: 0.0,
        })?;
        let points = spec.points.iter().map(|&point| frame.place(point)).collect();
        Some(Self { frame, points })
    }

    /// Index of the point nearest to a place, if one is at most `radius` points away.
    pub fn pick(&self, at: Point, radius: f32) -> Option<usize> {
        nearest(&self.points, at, radius)
    }

    /// Replaces the contents of `scene` with the slice.
    pub fn draw(&self, spec: &SliceSpec<'_>, scene: &mut Scene) {
        scene.clear();
        self.frame.draw(spec.look, scene);
        let palette = spec.look.palette();
        scene.dashed(&self.within(spec.base), CHART.dashes, CHART.thin, palette.base_line);
        scene.polyline(&self.within(spec.now), CHART.thin, palette.ink_secondary);
        let is_proposed = !spec.now.is_empty();
        if is_proposed {
            scene.dashed(&self.points, CHART.proposed_dashes, CHART.main, palette.proposed);
        } else {
            scene.polyline(&self.points, CHART.main, palette.ink);
        }
        let (left, right) = self.frame.along.screen;
        let radius = handle_radius(right - left, self.points.len());
        for (index, &at) in self.points.iter().enumerate() {
            let handle = Handle {
                at,
                is_active: spec.active == Some(index),
                is_selected: spec.selected.get(index).copied().unwrap_or(false),
                rim: if is_proposed { palette.proposed } else { palette.ink },
                ring: (spec.hovered == Some(index)).then_some(palette.ink_secondary),
            };
            handle.draw(radius, palette, scene);
        }
    }

    /// The part of a line that lies over the axis, in screen coordinates.
    fn within(&self, line: &[(f64, f64)]) -> Vec<Point> {
        let (start, end) = self.frame.along.range;
        clipped(line, start, end).into_iter().map(|point| self.frame.place(point)).collect()
    }
}

/// The given range, widened to include the points and to end at round numbers.
fn shown_range(spec: &SliceSpec<'_>) -> (f64, f64) {
    let range = if spec.scale_stands {
        spec.value_range
    } else {
        let points = spec.points.iter().chain(spec.base);
        points.fold(spec.value_range, |(low, high), &(_, deg)| (low.min(deg), high.max(deg)))
    };
    round_range(range, LEAST_RANGE_DEG, 8)
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
    use crate::drawing::{Color, Shape};
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
            units: (Unit::Rpm, Unit::Degree),
            look: Look::Light,
            rect: RECT,
        }
    }

    #[test]
    fn everything_stays_inside_and_scales_are_round() {
        let slice = Slice::new(&spec(&[])).unwrap();
        let mut scene = Scene::default();
        slice.draw(&spec(&[]), &mut scene);
        assert_eq!(slice.frame.up.range, (5.0, 40.0));
        let texts: Vec<&str> = scene.labels.iter().map(|label| label.text.as_str()).collect();
        let along = ["1000", "2000", "3000", "4000", "5000", "6000", "7000", "rpm"];
        assert_eq!(texts, [&["10°", "20°", "30°", "40°"][..], &along].concat());
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
        assert_eq!(Slice::new(&spec(&[(500.0, -12.0), (7500.0, 5.0)])).unwrap().frame.up.range.0, -20.0);
    }

    #[test]
    fn a_scale_that_stands_lets_points_go_beyond_it() {
        let points = [(500.0, 9.0), (7500.0, 61.0)];
        let standing = SliceSpec { points: &points, scale_stands: true, ..spec(&[]) };
        let slice = Slice::new(&standing).unwrap();
        assert_eq!(slice.frame.up.range, Slice::new(&spec(&[])).unwrap().frame.up.range);
        assert!(slice.points[1].y < RECT.top);
        assert_eq!(Slice::new(&SliceSpec { scale_stands: false, ..standing }).unwrap().frame.up.range.1, 70.0);
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
            prop_assert!((slice.frame.up.from_screen(slice.frame.up.to_screen(deg)) - deg).abs() < 1e-3);
        }
    }
}
