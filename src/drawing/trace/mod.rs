//! A run over time, all of it or a stretch: speed, commanded and actual advance, timing error, states, sync, outputs, cuts.

mod bands;
mod lines;
mod overview;
mod words;

pub(super) use self::bands::band_color;
use self::lines::Plotter;
pub use self::overview::Overview;
pub use self::words::Taken;
use super::chart::{CHART, ChartAxis, Direction, round_range};
use super::plot::{DrivenRun, Frame, NAMES_WIDTH, RIGHT, TraceRow};
use super::{Palette, Point, Rect, Scene};
use crate::rig::{Reach, Record};
use crate::wording::Unit;

/// Height of a row of bands, and of the numbers below.
const BAND: f32 = 17.0;
/// Room above the sync row where losses are named.
const LOSSES: f32 = 11.0;
const AXIS: f32 = 20.0;
/// Distance between two plotted rows.
const GAP: f32 = 12.0;
/// The least height of the plotted rows together that still says something, and that a sheet should give them.
const LEAST_PLOTTED: f32 = 60.0;
const GOOD_PLOTTED: f32 = 96.0;
/// Share of the plotted height for speed and for commanded advance; the timing error gets the rest.
const SHARES: (f32, f32) = (0.40, 0.36);
const LINE_WIDTH: f32 = 1.4;
const RUN_WIDTH: f32 = 1.0;
/// The least span of the scales of timing error and of advance, in degrees.
const LEAST_ERROR_DEG: f64 = 1.0;
const LEAST_ADVANCE_DEG: f64 = 10.0;
/// Speeds above the highest speed of the run times this are marked at the edge instead of compressing the rest.
const SPEED_ROOM: f64 = 1.25;
/// Rows are low, so their scales end close to the values shown.
const RANGE_STEPS: usize = 10;

/// What a trace shows.
#[derive(Clone, Copy, Debug)]
pub struct TraceSpec<'a> {
    /// The run.
    pub driven: DrivenRun<'a>,
    /// Which stretch of the run, in s.
    pub shown_s: (f64, f64),
    /// How and where it is drawn.
    pub frame: Frame,
}

/// Indices of the rows that every trace has.
const STATE: usize = Trace::STATE;
const SPEED: usize = Trace::SPEED;
const COMMANDED: usize = Trace::ADVANCE;
const ERROR: usize = Trace::ERROR;
const SYNC: usize = Trace::SYNC;
const FIRST_OUTPUT: usize = 5;

/// A trace laid out on the screen.
#[derive(Clone, Debug, PartialEq)]
pub struct Trace {
    /// Time in seconds, to the right.
    pub time: ChartAxis,
    /// Its rows from the top: state, speed, advance, timing error, sync, each output that comes on, cuts.
    pub rows: Vec<TraceRow>,
    /// Which of the project's outputs have a row.
    outputs: Vec<usize>,
    speed: ChartAxis,
    commanded: ChartAxis,
    error: ChartAxis,
}

impl Trace {
    /// Index of the row with the unit's state.
    pub const STATE: usize = 0;
    /// Index of the row with the speed.
    pub const SPEED: usize = 1;
    /// Index of the row with the advance, commanded and actual.
    pub const ADVANCE: usize = 2;
    /// Index of the row with the timing error.
    pub const ERROR: usize = 3;
    /// Index of the row that says where the unit was in sync.
    pub const SYNC: usize = 4;

    /// Lays out a trace; `None` if there is not enough room.
    pub fn new(spec: &TraceSpec<'_>) -> Option<Self> {
        let outputs = spec.driven.record.outputs_used().to_vec();
        let losses = losses_height(spec.driven.record);
        let plotted = spec.frame.rect.height - beside_plotted(outputs.len(), losses);
        let (left, width) = (spec.frame.rect.left + NAMES_WIDTH, spec.frame.rect.width - NAMES_WIDTH - RIGHT);
        if plotted < LEAST_PLOTTED || width < 60.0 {
            return None;
        }
        let mut top = spec.frame.rect.top;
        let mut rows = Vec::new();
        let mut row = |name: &str, remark: &str, height: f32, gap: f32| {
            rows.push(TraceRow::new(name, remark, Rect { left, top, width, height }));
            top += height + gap;
        };
        row("State", "", BAND, 2.0);
        row("Speed", "rpm", plotted * SHARES.0, GAP);
        row("Advance", "° before TDC", plotted * SHARES.1, GAP);
        row("Timing error", "° of crank", plotted * (1.0 - SHARES.0 - SHARES.1), GAP - 2.0 + losses);
        row("Sync", "", BAND, 0.0);
        outputs
            .iter()
            .filter_map(|&at| spec.driven.parts.outputs.get(at))
            .for_each(|output| row(&output.name, "", BAND, 0.0));
        row("Sparks cut", "", BAND, 0.0);
        let whole = spec.driven.record.whole();
        let axis = |row: &TraceRow, range: (f64, f64)| {
            let within = (row.rect.top - GAP / 2.0, row.bottom() + GAP / 2.0);
            ChartAxis::new(Direction::Up, range, (row.bottom(), row.rect.top), within, Unit::None)
        };
        Some(Self {
            time: ChartAxis::new(
                Direction::Along,
                spec.shown_s,
                (left, left + width),
                (left - NAMES_WIDTH, left + width + RIGHT),
                Unit::Second,
            ),
            speed: axis(&rows[SPEED], (0.0, top_speed(spec))),
            commanded: axis(&rows[COMMANDED], advance_range(whole.commanded_deg)),
            error: axis(&rows[ERROR], error_range(whole.error_deg)),
            outputs,
            rows,
        })
    }

    /// The height that a trace should have at least.
    pub fn least_height(record: &Record) -> f32 {
        GOOD_PLOTTED + beside_plotted(record.outputs_used().len(), losses_height(record))
    }

    /// The output that a row shows, by its index in the project.
    pub fn output_of(&self, row: usize) -> Option<usize> {
        self.outputs.get(row.checked_sub(FIRST_OUTPUT)?).copied()
    }

    /// The row at a height of the screen.
    pub fn row_at(&self, y: f32) -> Option<usize> {
        self.rows.iter().position(|row| y < row.bottom() && y >= row.rect.top)
    }

    /// The plot area.
    pub fn plot(&self) -> Rect {
        let (first, last) = (&self.rows[STATE], &self.rows[self.rows.len() - 1]);
        Rect { height: last.bottom() - first.rect.top, ..first.rect }
    }

    /// Replaces the contents of `scene` with the trace.
    pub fn draw(&self, spec: &TraceSpec<'_>, scene: &mut Scene) {
        scene.clear();
        let palette = spec.frame.look.palette();
        if spec.frame.names {
            self.rows.iter().for_each(|row| row.write_name(palette, scene));
        }
        self.draw_grounds(palette, scene);
        self.draw_limits(spec, palette, scene);
        self.draw_states(spec, palette, scene);
        self.draw_lines(spec, palette, scene);
        self.draw_sync(spec, palette, scene);
        self.draw_bands(spec, palette, scene);
        self.write_words(spec, palette, scene);
    }

    fn draw_grounds(&self, palette: &Palette, scene: &mut Scene) {
        for (row, axis) in [(SPEED, &self.speed), (COMMANDED, &self.commanded), (ERROR, &self.error)] {
            let rect = &self.rows[row].rect;
            axis.draw_up((rect.left, rect.left + rect.width), palette, scene);
        }
        let plot = self.plot();
        let right = plot.left + plot.width;
        for row in &self.rows[SYNC..] {
            let y = row.bottom() - BAND / 2.0;
            scene.line(Point::new(plot.left, y), Point::new(right, y), 1.0, palette.rule);
        }
        let bottom = plot.top + plot.height;
        for tick in &self.time.ticks {
            let x = self.time.to_screen(tick.value);
            scene.line(Point::new(x, bottom), Point::new(x, bottom + 4.0), CHART.guide, palette.rule_strong);
        }
        self.time.draw_along(bottom, palette, scene);
    }

    /// Draws dashed lines where sparks are cut.
    fn draw_limits(&self, spec: &TraceSpec<'_>, palette: &Palette, scene: &mut Scene) {
        for (rpm, _) in self.limits(spec) {
            let y = self.speed.to_screen(rpm);
            let (left, right) = self.time.screen;
            let ends = [Point::new(left, y), Point::new(right, y)];
            scene.dashed(&ends, CHART.dashes, CHART.thin, palette.base_line);
        }
    }

    fn draw_lines(&self, spec: &TraceSpec<'_>, palette: &Palette, scene: &mut Scene) {
        let run: Vec<Point> = self
            .rows_shown(spec)
            .map(|(time_s, speed_rpm)| Point::new(self.time.to_screen(time_s), self.speed.to_screen(speed_rpm)))
            .collect();
        run.windows(2).for_each(|pair| scene.line(pair[0], pair[1], RUN_WIDTH, palette.base_line));
        let (record, detail) = (spec.driven.record, spec.driven.record.detail());
        let plotter = |row: usize, axis| Plotter { trace: self, row: &self.rows[row], axis, palette };
        let speed = detail.map(|detail| &detail.speed_rpm);
        plotter(SPEED, &self.speed).draw(record, |column| column.speed_rpm, speed, scene);
        let commanded = detail.map(|detail| &detail.commanded_deg);
        plotter(COMMANDED, &self.commanded).draw(record, |column| column.commanded_deg, commanded, scene);
        let error = detail.map(|detail| &detail.error_deg);
        plotter(ERROR, &self.error).draw(record, |column| column.error_deg, error, scene);
        if let Some(detail) = detail {
            plotter(COMMANDED, &self.commanded).draw_actual(detail, scene);
        }
    }

    /// The speeds of the run where its rows are, and at both ends of what is shown.
    fn rows_shown<'a>(&self, spec: &TraceSpec<'a>) -> impl Iterator<Item = (f64, f64)> + use<'a> {
        let (run, (from_s, to_s)) = (spec.driven.run, self.time.range);
        let end = |time_s: f64| (time_s, run.at(time_s).speed_rpm);
        let inside = run.rows().iter().filter(move |row| from_s < row.time_s && row.time_s < to_s);
        let inside = inside.map(|row| (row.time_s, row.speed_rpm));
        std::iter::once(end(from_s)).chain(inside).chain(std::iter::once(end(to_s)))
    }
}

/// The room above the sync row for the names of losses, if there are any.
fn losses_height(record: &Record) -> f32 {
    if record.is_sync_lost() { LOSSES } else { 0.0 }
}

/// The height of all but the plotted rows.
#[expect(clippy::cast_precision_loss, reason = "a few outputs")]
fn beside_plotted(outputs: usize, losses: f32) -> f32 {
    AXIS + (outputs + 3) as f32 * BAND + losses + 3.0 * GAP
}

/// What the scale of the speed must reach: the speeds of the run and the limits, but not every spike in what
/// the unit measures.
fn top_speed(spec: &TraceSpec<'_>) -> f64 {
    let over = &spec.driven.parts.limits.over_speed;
    let of_run = spec.driven.run.rows().iter().map(|row| row.speed_rpm).fold(100.0, f64::max);
    let nearly = over.enabled && over.cuts_at_rpm < SPEED_ROOM * of_run;
    let wanted = if nearly { of_run.max(over.cuts_at_rpm) } else { of_run };
    let seen = spec.driven.record.whole().speed_rpm.high;
    let wanted = if seen > wanted { seen.min(SPEED_ROOM * wanted) } else { wanted };
    round_range((0.0, wanted), 0.0, RANGE_STEPS).1
}

fn advance_range(reach: Reach) -> (f64, f64) {
    let (low, high) = if reach.is_empty() { (0.0, LEAST_ADVANCE_DEG) } else { (reach.low, reach.high) };
    round_range((low, high), LEAST_ADVANCE_DEG, RANGE_STEPS)
}

fn error_range(reach: Reach) -> (f64, f64) {
    let (low, high) = if reach.is_empty() { (0.0, 0.0) } else { (reach.low.min(0.0), reach.high.max(0.0)) };
    round_range((low, high), LEAST_ERROR_DEG, RANGE_STEPS)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::drawing::{Look, Shape};
    use crate::project::{Project, SAMPLES};
    use crate::rig::{BuiltIn, Motion, Record, Rig, Run, Settings};

    const RECT: Rect = Rect { left: 20.0, top: 40.0, width: 900.0, height: 320.0 };

    fn driven(settings: &Settings) -> (Project, Run, Motion, Record) {
        let project = SAMPLES[0].project().unwrap();
        let run = BuiltIn::SweepToTheLimit.run(&project).unwrap();
        let mut record = Record::new(&run, 4096).in_detail();
        let rig = Rig::new(&project, settings.clone()).unwrap();
        rig.run(&run, &mut record);
        let motion = rig.motion(&run);
        (project, run, motion, record)
    }

    fn drawn(settings: &Settings) -> (Trace, Scene) {
        drawn_closely(settings, None)
    }

    fn drawn_closely(settings: &Settings, shown_s: Option<(f64, f64)>) -> (Trace, Scene) {
        let (project, run, motion, record) = driven(settings);
        let driven = DrivenRun { parts: &project, run: &run, motion: &motion, record: &record, settings };
        let shown_s = shown_s.unwrap_or(record.span_s());
        let spec = TraceSpec { driven, shown_s, frame: Frame { look: Look::Light, rect: RECT, names: true } };
        let (trace, mut scene) = (Trace::new(&spec).unwrap(), Scene::default());
        trace.draw(&spec, &mut scene);
        (trace, scene)
    }

    fn corners(shape: &Shape) -> Vec<Point> {
        match *shape {
            Shape::Triangle { at, .. } => at.to_vec(),
            Shape::Line { from, to, .. } => vec![from, to],
            Shape::Dot { at, .. } => vec![at],
        }
    }

    #[test]
    fn everything_stays_inside_and_the_rows_follow_each_other() {
        let faults = Settings { dropped_at_s: vec![3.0], extra_at_s: vec![6.0], ..Settings::default() };
        let (trace, scene) = drawn(&faults);
        let inside = |at: &Point| RECT.contains(Point::new(at.x.round(), at.y.round()));
        for shape in &scene.shapes {
            assert!(corners(shape).iter().all(inside), "{shape:?}");
        }
        assert!(scene.labels.iter().all(|label| RECT.contains(label.at)));
        let names: Vec<&str> = trace.rows.iter().map(|row| row.name.as_str()).collect();
        let expected =
            ["State", "Speed", "Advance", "Timing error", "Sync", "shift light", "oil cooler fan", "Sparks cut"];
        assert_eq!(names, expected);
        assert!(trace.rows.windows(2).all(|pair| pair[0].bottom() <= pair[1].rect.top));
        let texts: Vec<&str> = scene.labels.iter().map(|label| label.text.as_str()).collect();
        for text in ["cuts at 7400", "running", "lost: a gap too early", "edge dropped", "extra edge", "s", "2"] {
            assert!(texts.contains(&text), "{text}: {texts:?}");
        }
    }

    /// A single dropped edge halves the speed that the unit measures, for 0.3 ms: the line must still reach
    /// that low.
    #[test]
    fn a_spike_of_one_period_reaches_its_height() {
        let lowest = |settings: &Settings| {
            let (trace, scene) = drawn(settings);
            let row = &trace.rows[SPEED].rect;
            let x = trace.time.to_screen(7.0);
            let near = |at: &Point| (at.x - x).abs() < 3.0 && (row.top..=row.top + row.height).contains(&at.y);
            let lines =
                scene.shapes.iter().filter(|shape| matches!(shape, Shape::Line { width, .. } if *width == LINE_WIDTH));
            let y = lines.flat_map(corners).filter(near).map(|at| at.y).fold(0.0, f32::max);
            trace.speed.from_screen(y)
        };
        let usual = lowest(&Settings::default());
        let dropped = lowest(&Settings { dropped_at_s: vec![7.0], ..Settings::default() });
        assert!(usual > 6000.0 && dropped < 0.55 * usual, "{usual} {dropped}");
    }

    /// Looked at from 6.9 s to 7.1 s, the same spike is as high, and nothing is drawn beside the plot.
    #[test]
    fn a_stretch_is_drawn_to_its_ends_and_keeps_its_spike() {
        let faults = Settings { dropped_at_s: vec![7.0], ..Settings::default() };
        let (trace, scene) = drawn_closely(&faults, Some((6.9, 7.1)));
        assert_eq!(trace.time.range, (6.9, 7.1));
        let (left, right) = trace.time.screen;
        let speed = &trace.rows[SPEED].rect;
        let of_speed = |shape: &&Shape| matches!(shape, Shape::Line { width, .. } if *width == LINE_WIDTH);
        let corners: Vec<Point> = scene.shapes.iter().filter(of_speed).flat_map(corners).collect();
        assert!(corners.iter().all(|at| at.x >= left - 1.0 && at.x <= right + 1.0));
        let inside = |at: &&Point| (speed.top..=speed.top + speed.height).contains(&at.y);
        let lowest = corners.iter().filter(inside).map(|at| at.y).fold(0.0, f32::max);
        assert!(trace.speed.from_screen(lowest) < 4000.0);
        let ends = corners.iter().filter(inside).fold((right, left), |ends, at| (ends.0.min(at.x), ends.1.max(at.x)));
        assert!(ends.0 < left + 1.0 && ends.1 > right - 1.0, "{ends:?}");
        // Sparks are far enough apart here to be seen one by one: each of them has a ring.
        let rings = scene.shapes.iter().filter(|shape| matches!(shape, Shape::Dot { .. })).count();
        let (.., record) = driven(&faults);
        let sparks = record.between(6.9, 7.1).sparks;
        assert!(sparks > 30 && rings == usize::try_from(sparks).unwrap(), "{rings} rings, {sparks} sparks");
    }

    /// At any zoom, unless the engine rides on the limit from end to end, where no place near the line is free.
    #[test]
    fn words_stand_on_no_curve_and_upon_no_other_words() {
        let faults = Settings { dropped_at_s: vec![7.0], ..Settings::default() };
        for shown_s in [None, Some((0.0, 4.0)), Some((6.9, 7.1)), Some((6.99, 7.01))] {
            let (_, scene) = drawn_closely(&faults, shown_s);
            for words in ["cuts at 7400", "line: commanded · rings: sparks", "late above"] {
                let (own, rest): (Vec<_>, Vec<_>) = scene.labels.iter().cloned().partition(|label| label.text == words);
                let [label] = &own[..] else { panic!("{words}: {own:?}") };
                let others = Scene { labels: rest, ..scene.clone() };
                let taken = Taken::between(&others, (RECT.left, RECT.left + RECT.width));
                assert!(taken.is_free(&crate::drawing::label_box(label)), "{words} at {shown_s:?}");
                assert!(
                    !Taken::between(&scene, (RECT.left, RECT.left + RECT.width))
                        .is_free(&crate::drawing::label_box(label))
                );
            }
        }
    }

    /// In a high lane the scale of the timing error has many lines.
    #[test]
    fn no_line_of_the_scale_runs_through_what_is_said_of_the_timing_error() {
        let settings = Settings::default();
        let (project, run, motion, record) = driven(&settings);
        let driven = DrivenRun { parts: &project, run: &run, motion: &motion, record: &record, settings: &settings };
        for height in [300.0, 420.0, 560.0, 700.0] {
            let rect = Rect { height, ..RECT };
            let shown_s = record.span_s();
            let spec = TraceSpec { driven, shown_s, frame: Frame { look: Look::Light, rect, names: true } };
            let (trace, mut scene) = (Trace::new(&spec).unwrap(), Scene::default());
            trace.draw(&spec, &mut scene);
            let label = scene.labels.iter().find(|label| label.text == "late above").unwrap();
            let own = crate::drawing::label_box(label);
            let mut lines = trace.error.ticks.iter().map(|tick| trace.error.to_screen(tick.value));
            assert!(lines.all(|y| y <= own.top + 1.0 || y >= own.top + own.height), "{height}: {own:?}");
        }
    }

    #[test]
    fn without_room_there_is_none() {
        let settings = Settings::default();
        let (project, run, motion, record) = driven(&settings);
        let driven = DrivenRun { parts: &project, run: &run, motion: &motion, record: &record, settings: &settings };
        let rect = Rect { height: 120.0, ..RECT };
        let shown_s = record.span_s();
        let spec = TraceSpec { driven, shown_s, frame: Frame { look: Look::Dark, rect, names: false } };
        assert_eq!(Trace::new(&spec), None);
    }
}
