//! A timing sweep: torque over advance at one operating point, drawn small beside others or large by itself.
//!
//! Torque is in % of the top of its curve, so that all sweeps share one scale.

use super::{CHART, Look, Palette, Point, Rect, Scene, Shape};

/// How a reading is marked.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum ReadingMark {
    /// It counts: a dot.
    Used,
    /// It does not count: hollow.
    LeftOut,
    /// It knocked: a cross.
    Knock,
}

/// What a sweep shows. Places along are degrees before TDC; `None` at an end of an interval is an end that nobody knows.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct SweepLines {
    /// Advance, torque, mark.
    pub readings: Vec<(f64, f64, ReadingMark)>,
    /// The curve: advance, torque; empty if there is none.
    pub curve: Vec<(f64, f64)>,
    /// The 95 % band of the curve: advance, lower end, upper end.
    pub band: Vec<(f64, f64, f64)>,
    /// The parabola that stands beside it.
    pub parabola: Vec<(f64, f64)>,
    /// The least and the greatest advance of the readings that count: the curve is extrapolated beyond.
    pub read: Option<(f64, f64)>,
    /// The interval of the advance for best torque; `None` if there is none at all.
    pub best: Option<(Option<f64>, Option<f64>)>,
    /// Where torque is within 1 % of its top.
    pub flat: Option<(f64, f64)>,
    /// From here on it knocked.
    pub knock_from: Option<f64>,
}

/// What is set against a sweep.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct SweepSet {
    /// What the table has there; `None` outside its axes.
    pub table_deg: Option<f64>,
    /// The advance chosen from the sweep.
    pub choice_deg: Option<f64>,
    /// The advance pointed at, in this sweep or another.
    pub pointed_deg: Option<f64>,
}

/// The place of a sweep and its scales.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SweepPlot {
    /// Where to draw: the plot alone, without numbers. The wedge of the choice stands below it.
    pub plot: Rect,
    /// The degrees at its left and its right edge.
    pub along_deg: (f64, f64),
    /// The % of torque at its lower and its upper edge.
    pub up_pct: (f64, f64),
    /// Whether it stands by itself, with larger marks and the parabola.
    pub is_large: bool,
}

/// Sizes in points, small and large.
struct Sizes {
    dot: f32,
    cross: f32,
    line: f32,
    bar: f32,
    wedge: f32,
    flag: f32,
}

const SMALL: Sizes = Sizes { dot: 1.9, cross: 2.4, line: 1.5, bar: 3.0, wedge: 3.4, flag: 7.0 };
const LARGE: Sizes = Sizes { dot: 3.3, cross: 3.6, line: CHART.main, bar: 4.0, wedge: 5.0, flag: 9.0 };
/// How wide apart the lines of the hatches are: within 1 % of the top, and on the side of knock.
const FLAT_HATCH: f32 = 6.0;
const KNOCK_HATCH: f32 = 3.5;
/// Opacity of the band: 12 % of the ink.
const BAND_ALPHA: u8 = 31;
/// An open interval fades out over so much of its length, in so many pieces.
const FADING: (f32, u8) = (0.45, 6);

impl SweepPlot {
    /// Where an advance and a torque are seen; also outside the plot.
    pub fn place(&self, (deg, pct): (f64, f64)) -> Point {
        Point::new(self.x(deg), self.y(pct))
    }

    fn x(&self, deg: f64) -> f32 {
        self.plot.left + share(deg, self.along_deg) * self.plot.width
    }

    fn y(&self, pct: f64) -> f32 {
        self.plot.top + (1.0 - share(pct, self.up_pct)) * self.plot.height
    }

    /// The advance at a place on the screen, within the scale.
    pub fn deg_at(&self, x: f32) -> f64 {
        let share = f64::from(((x - self.plot.left) / self.plot.width).clamp(0.0, 1.0));
        self.along_deg.0 + share * (self.along_deg.1 - self.along_deg.0)
    }

    fn sizes(&self) -> &'static Sizes {
        if self.is_large { &LARGE } else { &SMALL }
    }

    /// Adds the sweep to a scene. Nothing but the wedge of the choice leaves the plot.
    pub fn draw(&self, lines: &SweepLines, set: &SweepSet, look: Look, scene: &mut Scene) {
        let palette = look.palette();
        self.draw_areas(lines, palette, scene);
        self.draw_band(lines, palette, scene);
        if self.is_large {
            let along = self.inside(&lines.parabola);
            along.iter().for_each(|part| scene.dashed(part, CHART.dashes, CHART.thin, palette.ink_secondary));
        }
        self.draw_curve(lines, palette, scene);
        self.draw_readings(lines, palette, scene);
        self.draw_best(lines, palette, scene);
        self.draw_set(set, palette, scene);
    }

    /// The hatches: thin within 1 % of the top, close on the side of knock.
    fn draw_areas(&self, lines: &SweepLines, palette: &Palette, scene: &mut Scene) {
        if let Some((low, high)) = lines.flat {
            scene.hatched(
                &self.upright(low, high),
                FLAT_HATCH,
                CHART.guide,
                palette.pattern.with_alpha(palette.pattern.a / 2),
            );
        }
        if let Some(from) = lines.knock_from {
            let area = self.upright(from, self.along_deg.1);
            scene.hatched(&area, KNOCK_HATCH, CHART.guide, palette.hatch);
            let x = area.left;
            if area.width > 0.0 {
                scene.line(Point::new(x, self.plot.top), Point::new(x, self.bottom()), CHART.thin, palette.ink);
            }
        }
    }

    /// The part of the plot between two advances.
    fn upright(&self, low: f64, high: f64) -> Rect {
        let (left, right) = (self.plot.left, self.plot.left + self.plot.width);
        let (from, to) = (self.x(low).clamp(left, right), self.x(high).clamp(left, right));
        Rect { left: from, width: (to - from).max(0.0), ..self.plot }
    }

    fn bottom(&self) -> f32 {
        self.plot.top + self.plot.height
    }

    fn draw_band(&self, lines: &SweepLines, palette: &Palette, scene: &mut Scene) {
        let ink = palette.ink.with_alpha(BAND_ALPHA);
        let (left, right) = (self.plot.left, self.plot.left + self.plot.width);
        let y = |pct: f64| self.y(pct).clamp(self.plot.top, self.bottom());
        for pair in lines.band.windows(2) {
            let ((from, low0, high0), (to, low1, high1)) = (pair[0], pair[1]);
            let (x0, x1) = (self.x(from).clamp(left, right), self.x(to).clamp(left, right));
            if x1 > x0 {
                let corners = [(x0, y(low0)), (x0, y(high0)), (x1, y(high1)), (x1, y(low1))];
                scene.quad(corners.map(|(x, y)| Point::new(x, y)), ink);
            }
        }
    }

    /// Solid over the readings, dashed and paler beyond.
    fn draw_curve(&self, lines: &SweepLines, palette: &Palette, scene: &mut Scene) {
        let (low, high) = lines.read.unwrap_or((f64::NEG_INFINITY, f64::INFINITY));
        let (mut before, mut over, mut after) = (Vec::new(), Vec::new(), Vec::new());
        for &at in &lines.curve {
            if at.0 <= low {
                before.push(at);
            }
            if (low..=high).contains(&at.0) {
                over.push(at);
            }
            if at.0 >= high {
                after.push(at);
            }
        }
        let width = self.sizes().line;
        for part in self.inside(&before).iter().chain(&self.inside(&after)) {
            scene.dashed(part, CHART.dashes, CHART.thin, palette.ink_secondary);
        }
        self.inside(&over).iter().for_each(|part| scene.polyline(part, width, palette.ink));
    }

    /// The parts of a line that lie inside the plot, on the screen.
    fn inside(&self, line: &[(f64, f64)]) -> Vec<Vec<Point>> {
        let mut parts: Vec<Vec<Point>> = Vec::new();
        let mut last: Option<Point> = None;
        for pair in line.windows(2) {
            let Some((from, to)) = cut(self.place(pair[0]), self.place(pair[1]), &self.plot) else {
                last = None;
                continue;
            };
            match parts.last_mut().filter(|_| last == Some(from)) {
                Some(part) => part.push(to),
                None => parts.push(vec![from, to]),
            }
            last = Some(to);
        }
        parts
    }

    fn draw_readings(&self, lines: &SweepLines, palette: &Palette, scene: &mut Scene) {
        let sizes = self.sizes();
        for &(deg, pct, mark) in &lines.readings {
            let at = self.place((deg, pct));
            if !self.plot.contains(at) {
                continue;
            }
            let dot = |fill, outline| Shape::Dot { at, radius: sizes.dot, fill, outline, outline_width: CHART.outline };
            match mark {
                ReadingMark::Used => scene.shapes.push(dot(palette.ink, palette.paper.with_alpha(0))),
                ReadingMark::LeftOut => scene.shapes.push(dot(palette.paper, palette.ink)),
                ReadingMark::Knock => {
                    let half = sizes.cross;
                    for up in [half, -half] {
                        let (from, to) = (Point::new(at.x - half, at.y - up), Point::new(at.x + half, at.y + up));
                        scene.line(from, to, sizes.line, palette.ink);
                    }
                }
            }
        }
    }

    /// The interval of best torque as a bar on the axis; an open end fades out and ends in an arrow.
    fn draw_best(&self, lines: &SweepLines, palette: &Palette, scene: &mut Scene) {
        let Some((low, high)) = lines.best else { return };
        let (left, right) = (self.plot.left, self.plot.left + self.plot.width);
        let x = |end: Option<f64>, open: f32| end.map_or(open, |deg| self.x(deg)).clamp(left, right);
        let (from, to) = (x(low, left), x(high, right));
        let height = self.sizes().bar;
        let y = self.bottom() - height / 2.0;
        let length = to - from;
        let fade = |open: bool| if open { length * FADING.0 } else { 0.0 };
        let (fade_low, fade_high) = (fade(low.is_none()), fade(high.is_none()));
        scene.line(Point::new(from + fade_low, y), Point::new(to - fade_high, y), height, palette.ink);
        for (is_open, start, towards, length) in
            [(low.is_none(), from + fade_low, -1.0, fade_low), (high.is_none(), to - fade_high, 1.0, fade_high)]
        {
            if is_open {
                self.fade(Point::new(start, y), towards * length, palette, scene);
            }
        }
    }

    /// A bar that grows paler along `length` (negative: to the left), with an arrow at its end.
    fn fade(&self, from: Point, length: f32, palette: &Palette, scene: &mut Scene) {
        let (height, pieces) = (self.sizes().bar, FADING.1);
        for piece in 0..pieces {
            let at = |piece: u8| from.x + length * f32::from(piece) / f32::from(pieces);
            let alpha = 255 - u8::try_from(u16::from(piece) * 190 / u16::from(pieces)).unwrap_or(255);
            let ends = (Point::new(at(piece), from.y), Point::new(at(piece + 1), from.y));
            scene.line(ends.0, ends.1, height, palette.ink.with_alpha(alpha));
        }
        let (tip, half) = (from.x + length, height.max(self.sizes().wedge));
        let back = tip - length.signum() * half * 1.4;
        let at = [Point::new(tip, from.y), Point::new(back, from.y - half), Point::new(back, from.y + half)];
        scene.shapes.push(Shape::Triangle { at, colors: [palette.ink; 3] });
    }

    /// The table as a hairline with a flag, the choice as a wedge below the axis, what is pointed at as a dashed line.
    fn draw_set(&self, set: &SweepSet, palette: &Palette, scene: &mut Scene) {
        let (top, bottom, sizes) = (self.plot.top, self.bottom(), self.sizes());
        let inside = |deg: &f64| (self.along_deg.0..=self.along_deg.1).contains(deg);
        if let Some(deg) = set.pointed_deg.filter(inside) {
            let x = self.x(deg);
            scene.dashed(
                &[Point::new(x, top), Point::new(x, bottom)],
                CHART.dashes,
                CHART.guide,
                palette.ink_secondary,
            );
        }
        if let Some(deg) = set.table_deg.filter(inside) {
            let (x, from) = (self.x(deg), top + sizes.flag * 2.0);
            scene.line(Point::new(x, from), Point::new(x, bottom), CHART.guide, palette.ink);
            let flag = [
                Point::new(x, from),
                Point::new(x + sizes.flag, from + sizes.flag * 0.4),
                Point::new(x, from + sizes.flag * 0.8),
            ];
            scene.shapes.push(Shape::Triangle { at: flag, colors: [palette.paper; 3] });
            for (a, b) in [(0, 1), (1, 2)] {
                scene.line(flag[a], flag[b], CHART.thin, palette.ink);
            }
        }
        if let Some(deg) = set.choice_deg.filter(inside) {
            let (x, half) = (self.x(deg), sizes.wedge);
            let at = [
                Point::new(x, bottom),
                Point::new(x - half, bottom + 1.5 * half),
                Point::new(x + half, bottom + 1.5 * half),
            ];
            scene.shapes.push(Shape::Triangle { at, colors: [palette.ink; 3] });
        }
    }
}

#[expect(clippy::cast_possible_truncation, reason = "screen places")]
fn share(value: f64, (low, high): (f64, f64)) -> f32 {
    ((value - low) / (high - low)) as f32
}

/// The part of a segment that lies in a rectangle (Liang and Barsky, "A new concept and method for line clipping", ACM
/// Transactions on Graphics 3, 1984, from memory).
fn cut(from: Point, to: Point, within: &Rect) -> Option<(Point, Point)> {
    let (dx, dy) = (to.x - from.x, to.y - from.y);
    let (right, bottom) = (within.left + within.width, within.top + within.height);
    let sides = [(-dx, from.x - within.left), (dx, right - from.x), (-dy, from.y - within.top), (dy, bottom - from.y)];
    let (mut enter, mut leave) = (0.0_f32, 1.0_f32);
    for (towards, room) in sides {
        if towards == 0.0 {
            if room < 0.0 {
                return None;
            }
            continue;
        }
        let at = room / towards;
        if towards < 0.0 {
            enter = enter.max(at);
        } else {
            leave = leave.min(at);
        }
    }
    (enter < leave).then(|| {
        (if enter > 0.0 { from.lerp(to, enter) } else { from }, if leave < 1.0 { from.lerp(to, leave) } else { to })
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    const PLOT: SweepPlot = SweepPlot {
        plot: Rect { left: 100.0, top: 50.0, width: 120.0, height: 90.0 },
        along_deg: (10.0, 45.0),
        up_pct: (90.0, 101.0),
        is_large: false,
    };

    fn lines(best: f64, bend: f64) -> SweepLines {
        let torque = |deg: f64| 100.0 - bend * (deg - best) * (deg - best);
        let degs = (0..60).map(|at| f64::from(at) - 5.0);
        SweepLines {
            readings: (3..9).map(|at| (f64::from(at) * 4.0, torque(f64::from(at) * 4.0), ReadingMark::Used)).collect(),
            curve: degs.clone().map(|deg| (deg, torque(deg))).collect(),
            band: degs.clone().map(|deg| (deg, torque(deg) - 1.0, torque(deg) + 1.0)).collect(),
            parabola: degs.map(|deg| (deg, torque(deg) + 0.2)).collect(),
            read: Some((12.0, 32.0)),
            best: Some((Some(best - 1.0), None)),
            flat: Some((best - 4.0, best + 4.0)),
            knock_from: Some(38.0),
        }
    }

    /// Every place that a scene covers.
    fn covered(scene: &Scene) -> Vec<Point> {
        let of = |shape: &Shape| match *shape {
            Shape::Triangle { at, .. } => at.to_vec(),
            Shape::Line { from, to, .. } => vec![from, to],
            Shape::Dot { at, .. } => vec![at],
        };
        scene.shapes.iter().flat_map(of).collect()
    }

    proptest! {
        #[test]
        fn nothing_but_the_wedge_leaves_the_plot(
            best in -20.0..70.0, bend in 0.001..2.0, choice in 0.0..60.0, is_large in any::<bool>(),
        ) {
            let plot = SweepPlot { is_large, ..PLOT };
            let set = SweepSet { table_deg: Some(choice), choice_deg: Some(choice), pointed_deg: Some(27.0) };
            let mut scene = Scene::default();
            plot.draw(&lines(best, bend), &set, Look::Light, &mut scene);
            let area = plot.plot;
            let air = 10.0;
            for at in covered(&scene) {
                prop_assert!(at.x.is_finite() && at.y.is_finite());
                prop_assert!((area.left - air..=area.left + area.width + air).contains(&at.x), "{at:?}");
                prop_assert!((area.top - 0.5..=area.top + area.height + air).contains(&at.y), "{at:?}");
            }
        }
    }

    #[test]
    fn an_advance_is_where_it_is_read() {
        for deg in [10.0, 27.0, 45.0] {
            let x = PLOT.place((deg, 95.0)).x;
            assert!((PLOT.deg_at(x) - deg).abs() < 1e-4);
        }
        assert_eq!((PLOT.deg_at(0.0), PLOT.deg_at(900.0)), (10.0, 45.0));
    }

    #[test]
    fn the_curve_is_dashed_beyond_the_readings() {
        let mut scene = Scene::default();
        PLOT.draw_curve(&lines(25.0, 0.02), Look::Light.palette(), &mut scene);
        let reach = |ink: crate::drawing::Color| {
            let xs = scene.shapes.iter().filter_map(|shape| match shape {
                Shape::Line { from, to, color, .. } if *color == ink => Some([from.x, to.x]),
                _ => None,
            });
            let xs: Vec<f32> = xs.flatten().collect();
            (xs.iter().copied().fold(f32::INFINITY, f32::min), xs.iter().copied().fold(f32::NEG_INFINITY, f32::max))
        };
        let palette = Look::Light.palette();
        let solid = reach(palette.ink);
        assert!((PLOT.deg_at(solid.0) - 12.0).abs() < 0.01 && (PLOT.deg_at(solid.1) - 32.0).abs() < 0.01);
        assert!(reach(palette.ink_secondary).1 > solid.1 + 5.0);
    }

    #[test]
    fn an_open_end_has_an_arrow_and_a_closed_one_none() {
        let arrows = |best: (Option<f64>, Option<f64>)| {
            let lines = SweepLines { best: Some(best), ..SweepLines::default() };
            let mut scene = Scene::default();
            PLOT.draw(&lines, &SweepSet::default(), Look::Dark, &mut scene);
            scene.shapes.iter().filter(|shape| matches!(shape, Shape::Triangle { .. })).count()
        };
        assert_eq!([arrows((Some(20.0), Some(30.0))), arrows((Some(20.0), None)), arrows((None, None))], [0, 1, 2]);
    }
}
