//! A slice: one row or one column of a table as a curve that can be dragged.

use super::chart::{CHART, ChartFrame, ChartSpec, Handle, handle_radius, nearest, round_range, spaced};
use super::comb::LEAST_ROOM;
use super::{Comb, CombScale, Look, Palette, Point, Rect, Scene, SlicePoint};
use crate::wording::Unit;

/// A curve with less rise than this, in degrees, is not stretched to the full height.
const LEAST_RANGE_DEG: f64 = 10.0;

/// Room at the left for the numbers, and for half of the first one below the plot.
const GUTTER: f32 = CHART.gutter + 12.0;

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

/// What a slice shows besides its lines.
#[derive(Clone, Copy, Debug, Default)]
pub struct SliceMarks<'a> {
    /// The curvature comb behind the line.
    pub comb: Option<Comb<'a>>,
    /// Whether each point must be marked, however dense the points are; missing entries need not. The active, the
    /// selected and the hovered point are marked in any case.
    pub kept: &'a [bool],
    /// Measured points near the line, see [`points_near`](super::points_near).
    pub points: &'a [SlicePoint],
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
        let mut frame = ChartFrame::new(&ChartSpec {
            rect: spec.rect,
            along: (first, last),
            up: shown_range(spec),
            units: spec.units,
            gutter: GUTTER,
            is_upright: true,
            rows_below: 0.0,
        })?;
        frame.along.name_start();
        let points = spec.points.iter().map(|&point| frame.place(point)).collect();
        Some(Self { frame, points })
    }

    /// The scale at which the longest tooth of the comb nearly fills `room`, in points, and every tooth ends within the plot
    /// unless its point all but touches the edge.
    pub fn comb_scale(&self, bends: &[f64], room: f32) -> CombScale {
        let (bottom, top) = self.frame.up.screen;
        let free = |foot: &Point, bend: f64| if bend < 0.0 { foot.y - top } else { bottom - foot.y };
        let teeth = self.points.iter().zip(bends);
        CombScale::within(teeth.map(|(foot, &bend)| (bend, free(foot, bend).max(LEAST_ROOM).min(room))))
    }

    /// Index of the point nearest to a place, if one is at most `radius` points away.
    pub fn pick(&self, at: Point, radius: f32) -> Option<usize> {
        nearest(&self.points, at, radius)
    }

    /// Replaces the contents of `scene` with the slice.
    pub fn draw(&self, spec: &SliceSpec<'_>, scene: &mut Scene) {
        self.draw_with(spec, &SliceMarks::default(), scene);
    }

    /// The same with more marks.
    pub fn draw_with(&self, spec: &SliceSpec<'_>, marks: &SliceMarks<'_>, scene: &mut Scene) {
        scene.clear();
        let palette = spec.look.palette();
        let (left, right) = self.frame.along.screen;
        let (bottom, top) = self.frame.up.screen;
        scene.line(Point::new(left, bottom), Point::new(right, bottom), CHART.guide, palette.rule);
        self.frame.draw(spec.look, scene);
        if let Some(comb) = &marks.comb {
            comb.draw(&self.points, (top, bottom), palette, scene);
        }
        marks.points.iter().for_each(|point| point.draw_whisker(&self.frame, palette, scene));
        scene.dashed(&self.within(spec.base), CHART.dashes, CHART.thin, palette.base_line);
        scene.polyline(&self.within(spec.now), CHART.thin, palette.ink_secondary);
        let is_proposed = !spec.now.is_empty();
        if is_proposed {
            scene.dashed(&self.points, CHART.proposed_dashes, CHART.main, palette.proposed);
        } else {
            scene.polyline(&self.points, CHART.main, palette.ink);
        }
        // Below the handles, which must be grasped; the one under the pointer above the others.
        let (pointed, others): (Vec<&SlicePoint>, Vec<&SlicePoint>) =
            marks.points.iter().partition(|point| point.is_hovered);
        others.into_iter().chain(pointed).for_each(|point| point.draw(&self.frame, palette, scene));
        self.draw_handles(spec, marks.kept, palette, scene);
    }

    fn draw_handles(&self, spec: &SliceSpec<'_>, kept: &[bool], palette: &Palette, scene: &mut Scene) {
        let is_proposed = !spec.now.is_empty();
        let is_set = |marks: &[bool], index: usize| marks.get(index).copied().unwrap_or(false);
        let along: Vec<f32> = self.points.iter().map(|point| point.x).collect();
        let must = |index: usize| {
            let is_pointed = [spec.active, spec.hovered].contains(&Some(index));
            is_pointed || is_set(spec.selected, index) || is_set(kept, index)
        };
        let marked = spaced(&along, must, CHART.spacing);
        let (left, right) = self.frame.along.screen;
        let radius = handle_radius(right - left, marked.iter().filter(|marked| **marked).count());
        for (index, &at) in self.points.iter().enumerate().filter(|(index, _)| is_set(&marked, *index)) {
            let handle = Handle {
                at,
                is_active: spec.active == Some(index),
                is_selected: is_set(spec.selected, index),
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
        let along = ["500", "1000", "2000", "3000", "4000", "5000", "6000", "7000", "rpm"];
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
    fn guides_run_down_to_the_axis_at_every_number_and_from_the_first_breakpoint() {
        let narrow = SliceSpec { rect: Rect { width: 320.0, ..RECT }, ..spec(&[]) };
        let slice = Slice::new(&narrow).unwrap();
        let mut scene = Scene::default();
        slice.draw(&narrow, &mut scene);
        let ((left, right), (bottom, top)) = (slice.frame.along.screen, slice.frame.up.screen);
        let lines: Vec<[f32; 4]> = scene
            .shapes
            .iter()
            .filter_map(|shape| match shape {
                Shape::Line { from, to, color, .. } if *color == Look::Light.palette().rule => {
                    Some([from.x, from.y, to.x, to.y])
                }
                _ => None,
            })
            .collect();
        for tick in &slice.frame.along.ticks {
            let x = slice.frame.along.to_screen(tick.value);
            assert!(lines.contains(&[x, top, x, bottom]), "{tick:?}");
        }
        assert!(lines.contains(&[left, bottom, right, bottom]) && lines.contains(&[left, top, left, bottom]));
        let texts: Vec<&str> = slice.frame.along.ticks.iter().map(|tick| tick.text.as_str()).collect();
        assert_eq!(texts, ["500", "", "2000", "3000", "4000", "5000", "6000", "7000"], "too close to be written");
        let boxes: Vec<Rect> = scene.labels.iter().map(crate::drawing::label_box).collect();
        for (index, one) in boxes.iter().enumerate() {
            assert!(one.left >= narrow.rect.left && one.left + one.width <= narrow.rect.left + narrow.rect.width);
            let touches = |other: &Rect| {
                one.left < other.left + other.width
                    && other.left < one.left + one.width
                    && one.top < other.top + other.height
                    && other.top < one.top + one.height
            };
            assert!(!boxes[..index].iter().any(touches), "{:?}", scene.labels[index]);
        }
    }

    #[test]
    fn dense_points_are_not_all_marked_but_those_that_matter_are() {
        let points: Vec<(f64, f64)> = (0..64).map(|k| (f64::from(k), 20.0)).collect();
        let rect = Rect { width: 300.0, ..RECT };
        let mut selected = [false; 64];
        (selected[9], selected[10]) = (true, true);
        let mut kept = [false; 64];
        kept[40] = true;
        let dense =
            SliceSpec { points: &points, active: Some(21), hovered: Some(33), selected: &selected, rect, ..spec(&[]) };
        let slice = Slice::new(&dense).unwrap();
        let mut scene = Scene::default();
        slice.draw_with(&dense, &SliceMarks { kept: &kept, ..SliceMarks::default() }, &mut scene);
        let marked = |index: usize| {
            scene.shapes.iter().any(|shape| matches!(shape, Shape::Dot { at, .. } if *at == slice.points[index]))
        };
        assert!([9, 10, 21, 33, 40].into_iter().all(marked));
        assert!(!marked(8) && !marked(11) && !marked(22) && !marked(39));
        let count = (0..64).filter(|&index| marked(index)).count();
        assert!((25..40).contains(&count), "{count}");
    }

    #[test]
    fn the_comb_lies_behind_the_line() {
        let slice = Slice::new(&spec(&[])).unwrap();
        let bends = [0.0, -2.0, 1.0, 0.0];
        let comb = Comb { bends: &bends, scale: crate::drawing::CombScale::fitting(&bends, 40.0) };
        let mut scene = Scene::default();
        slice.draw_with(&spec(&[]), &SliceMarks { comb: Some(comb), ..SliceMarks::default() }, &mut scene);
        let palette = Look::Light.palette();
        let places = |ink: Color| -> Vec<usize> {
            let is_in = |(place, shape): (usize, &Shape)| {
                matches!(shape, Shape::Line { color, .. } if *color == ink).then_some(place)
            };
            scene.shapes.iter().enumerate().filter_map(is_in).collect()
        };
        assert_eq!(places(palette.comb).len(), 5, "two teeth, and from end to end along their tips");
        assert!(places(palette.comb).last() < places(palette.ink).first());
    }

    /// A hump high in the plot: its tooth had the length of any other, and was cut at the edge.
    #[test]
    fn the_longest_tooth_ends_within_the_plot() {
        let humped = [(500.0, 20.0), (2000.0, 20.0), (4200.0, 36.0), (7500.0, 20.0)];
        let spec = SliceSpec { points: &humped, ..spec(&[]) };
        let slice = Slice::new(&spec).unwrap();
        let (_, top) = slice.frame.up.screen;
        let free = slice.points[2].y - top;
        assert!((LEAST_ROOM..40.0).contains(&free), "{free}");
        let bends = [0.0, 1.0, -6.0, 0.0];
        let teeth = |scale| {
            let mut scene = Scene::default();
            slice.draw_with(
                &spec,
                &SliceMarks { comb: Some(Comb { bends: &bends, scale }), kept: &[], points: &[] },
                &mut scene,
            );
            let highest = |shape: &Shape| match *shape {
                Shape::Line { from, to, color, .. } if color == Look::Light.palette().comb => Some(from.y.min(to.y)),
                _ => None,
            };
            scene.shapes.iter().filter_map(highest).fold(f32::MAX, f32::min)
        };
        assert_eq!(teeth(CombScale::fitting(&bends, 40.0)), top, "cut");
        assert!(teeth(slice.comb_scale(&bends, 40.0)) > top);
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
