//! One revolution closely, as an oscilloscope would show it: wheel, coil currents, sparks, dead centres, outputs.

use super::plot::{CHARACTER, LINE, NAMES_WIDTH, RIGHT, TraceRow, fill, text, text_over};
use super::trace::band_color;
use super::{Look, Palette, Point, Rect, Scene, Shape, SliceAxis};
use crate::project::Parts;
use crate::rig::{Coil, CoilEnd, Instant, Motion, Record, Revolution, Settings, What};
use crate::table::{fixed, shortest};

const AXIS: f32 = 20.0;
const BAND: f32 = 17.0;
const BAND_THICK: f32 = 11.0;
/// Heights of the wheel's row, and of its wave.
const WHEEL: f32 = 46.0;
const WAVE: f32 = 24.0;
const LEAST_COIL: f32 = 34.0;
const MOST_COIL: f32 = 92.0;
const LINE_WIDTH: f32 = 1.2;
const SPARK_WIDTH: f32 = 2.6;
const DASHES: (f32, f32) = (3.0, 3.0);
/// So many straight pieces make a current's curve.
const PIECES: u16 = 24;
/// Round crank angles.
const ANGLE_STEPS: [f64; 5] = [15.0, 30.0, 45.0, 90.0, 180.0];
const ANGLE_ROOM: f32 = 56.0;
/// A cut's cross, half its side.
const CROSS: f32 = 5.0;

/// What runs along the strip.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum StripAxis {
    /// Crank degrees; 0 is top dead centre of the first channel's pair.
    #[default]
    Crank,
    /// Milliseconds from that dead centre.
    Time,
}

/// What a strip shows.
#[derive(Clone, Copy, Debug)]
pub struct StripSpec<'a> {
    /// The installation.
    pub parts: &'a Parts,
    /// What happens in the revolution.
    pub revolution: &'a Revolution,
    /// How the crank turns.
    pub motion: &'a Motion,
    /// The whole run, for the outputs.
    pub record: &'a Record,
    /// The rig's settings, whose faults are marked.
    pub settings: &'a Settings,
    /// What runs along it.
    pub axis: StripAxis,
    /// Colours.
    pub look: Look,
    /// Where to draw, names and numbers included.
    pub rect: Rect,
    /// Whether the names of the rows are drawn as well.
    pub names: bool,
}

/// A strip laid out on the screen.
#[derive(Clone, Debug, PartialEq)]
pub struct Strip {
    /// What runs along it.
    pub axis: StripAxis,
    /// Degrees or milliseconds from the dead centre, to the right.
    pub along: SliceAxis,
    /// Its rows from the top: wheel, each coil, each output that comes on in the run.
    pub rows: Vec<TraceRow>,
    outputs: Vec<usize>,
    channels: usize,
    zero: Instant,
    most_a: f64,
}

impl Strip {
    /// Lays out a strip; `None` without room for it.
    pub fn new(spec: &StripSpec<'_>) -> Option<Self> {
        let channels = spec.parts.engine.channels.len();
        let outputs = spec.record.outputs_used();
        #[expect(clippy::cast_precision_loss, reason = "a project has few coils and outputs")]
        let (coils, bands) = (channels as f32, outputs.len() as f32 * BAND);
        let left_for_coils = (spec.rect.height - WHEEL - AXIS - bands) / coils.max(1.0);
        let (left, width) = (spec.rect.left + NAMES_WIDTH, spec.rect.width - NAMES_WIDTH - RIGHT);
        if left_for_coils < LEAST_COIL || width < 60.0 {
            return None;
        }
        let coil_height = left_for_coils.min(MOST_COIL);
        let mut top = spec.rect.top;
        let mut rows = Vec::new();
        let mut row = |name: String, remark: String, height: f32| {
            rows.push(TraceRow::new(name, remark, Rect { left, top, width, height }));
            top += height;
        };
        let wheel = spec.parts.trigger.wheel;
        row("Wheel".into(), format!("{}\u{2212}{}, edges as seen", wheel.teeth, wheel.missing), WHEEL);
        for (at, channel) in spec.parts.engine.channels.iter().enumerate() {
            let [a, b] = channel.cylinders;
            row(format!("Coil {}  {a} + {b}", channel.name), spark_words(spec.revolution, at), coil_height);
        }
        outputs.iter().filter_map(|&at| spec.parts.outputs.get(at)).for_each(|output| {
            row(output.name.clone(), String::new(), BAND);
        });
        let highest = |coil: &Coil| spec.parts.coil.current_a(coil.dwell_ms(), coil.battery_v);
        let most_a = spec.revolution.coils.iter().map(highest).fold(spec.parts.coil.rated_current_a, f64::max);
        let zero = zero(spec);
        let along = along(spec, zero, (left, left + width));
        Some(Self { axis: spec.axis, along, rows, outputs, channels, zero, most_a })
    }

    /// Where an instant lies along the strip.
    pub fn x(&self, (time_s, crank_deg): Instant) -> f32 {
        match self.axis {
            StripAxis::Crank => self.along.to_screen(crank_deg - self.zero.1),
            StripAxis::Time => self.along.to_screen((time_s - self.zero.0) * 1e3),
        }
    }

    /// The instant at a place along the strip, where the run has one.
    pub fn instant(&self, x: f32, motion: &Motion) -> Option<Instant> {
        let at = self.along.from_screen(x);
        match self.axis {
            StripAxis::Crank => {
                let crank_deg = self.zero.1 + at;
                Some((motion.time_s(crank_deg)?, crank_deg))
            }
            StripAxis::Time => {
                let time_s = self.zero.0 + at / 1e3;
                Some((time_s, motion.crank_deg(time_s)))
            }
        }
    }

    /// The row at a height.
    pub fn row_at(&self, y: f32) -> Option<usize> {
        self.rows.iter().position(|row| y < row.bottom() && y >= row.rect.top)
    }

    /// The coil channel that a row shows.
    pub fn channel_of(&self, row: usize) -> Option<usize> {
        row.checked_sub(1).filter(|&channel| channel < self.channels)
    }

    /// The area in which it is plotted.
    pub fn plot(&self) -> Rect {
        let (first, last) = (&self.rows[0], &self.rows[self.rows.len() - 1]);
        Rect { height: last.bottom() - first.rect.top, ..first.rect }
    }

    /// Replaces the contents of `scene` by the strip.
    pub fn draw(&self, spec: &StripSpec<'_>, scene: &mut Scene) {
        scene.clear();
        let palette = spec.look.palette();
        if spec.names {
            self.rows.iter().for_each(|row| row.write_name(palette, scene));
        }
        self.draw_scale(palette, scene);
        self.draw_wheel(spec, palette, scene);
        for coil in &spec.revolution.coils {
            self.draw_charge(coil, spec, palette, scene);
        }
        self.draw_dead_centres(spec, palette, scene);
        self.draw_cuts(spec, palette, scene);
        self.draw_sync(spec, palette, scene);
        self.draw_outputs(spec, scene);
    }

    fn draw_scale(&self, palette: &Palette, scene: &mut Scene) {
        let plot = self.plot();
        let bottom = plot.top + plot.height;
        for &at in &self.along.ticks.values {
            let x = self.along.to_screen(at);
            scene.line(Point::new(x, plot.top), Point::new(x, bottom), 1.0, palette.rule);
            let unit = if self.axis == StripAxis::Crank { "°" } else { " ms" };
            let words = format!("{}{unit}", self.along.ticks.text(at));
            text(scene, Point::new(x, bottom + 5.0), (0.5, 0.0), words, palette.ink_secondary);
        }
        for row in &self.rows[1..=self.channels] {
            let y = self.base(row);
            scene.line(Point::new(plot.left, y), Point::new(plot.left + plot.width, y), 1.0, palette.rule_strong);
        }
    }

    /// The line of no current.
    fn base(&self, row: &TraceRow) -> f32 {
        row.bottom() - if row.rect.height > 60.0 { LINE } else { 3.0 }
    }

    /// Each edge that the unit saw, half a pitch high, half low; the gap is named where it is.
    fn draw_wheel(&self, spec: &StripSpec<'_>, palette: &Palette, scene: &mut Scene) {
        let row = &self.rows[0].rect;
        let (high, low) = (row.top + 2.0, row.top + 2.0 + WAVE);
        let (left, right) = self.along.screen;
        let half_deg = spec.parts.trigger.wheel.pitch_deg() / 2.0;
        let edges = &spec.revolution.edges;
        let mut from = left;
        for (at, &edge) in edges.iter().enumerate() {
            let rises = self.x(edge).clamp(left, right);
            let ends = edge.1 + half_deg;
            let falls = self.x((spec.motion.time_s(ends).unwrap_or(edge.0), ends));
            let next = edges.get(at + 1).map_or(right, |&next| f32::midpoint(self.x(edge), self.x(next)));
            let falls = falls.min(next).clamp(rises, right);
            scene.line(Point::new(from, low), Point::new(rises, low), LINE_WIDTH, palette.ink);
            scene.line(Point::new(rises, low), Point::new(rises, high), LINE_WIDTH, palette.ink);
            scene.line(Point::new(rises, high), Point::new(falls, high), LINE_WIDTH, palette.ink);
            scene.line(Point::new(falls, high), Point::new(falls, low), LINE_WIDTH, palette.ink);
            from = falls;
        }
        scene.line(Point::new(from, low), Point::new(right, low), LINE_WIDTH, palette.ink);
        self.name_gaps(spec, low, palette, scene);
        self.name_faults(spec, low, palette, scene);
    }

    fn name_gaps(&self, spec: &StripSpec<'_>, low: f32, palette: &Palette, scene: &mut Scene) {
        let gap_deg = spec.parts.trigger.wheel.gap_deg();
        let (first, last) = spec.revolution.turn.deg;
        let mut reference_deg = 360.0 * ((first + gap_deg) / 360.0).ceil();
        while reference_deg <= last {
            let middle_deg = reference_deg - gap_deg / 2.0;
            if let Some(time_s) = spec.motion.time_s(middle_deg) {
                let at = Point::new(self.x((time_s, middle_deg)), low + 2.0);
                text(scene, at, (0.5, 0.0), format!("gap {}°", shortest(gap_deg)), palette.ink_secondary);
            }
            reference_deg += 360.0;
        }
    }

    fn name_faults(&self, spec: &StripSpec<'_>, low: f32, palette: &Palette, scene: &mut Scene) {
        let (from_s, to_s) = spec.revolution.turn.time_s;
        let faults = spec.settings;
        for (times, words) in [(&faults.dropped_at_s, "edge dropped"), (&faults.extra_at_s, "extra edge")] {
            for &time_s in times.iter().filter(|&&time_s| (from_s..=to_s).contains(&time_s)) {
                let x = self.x((time_s, spec.motion.crank_deg(time_s)));
                super::plot::pointer(scene, Point::new(x, low + 1.0), -6.0, palette.warning);
                text_over(scene, Point::new(x + 7.0, low + 2.0), (0.0, 0.0), words, palette);
            }
        }
    }

    fn draw_charge(&self, coil: &Coil, spec: &StripSpec<'_>, palette: &Palette, scene: &mut Scene) {
        let Some(row) = self.rows.get(coil.channel + 1) else { return };
        let (base, top) = (self.base(row), row.rect.top + LINE * 0.7);
        let (left, right) = self.along.screen;
        let place = |(ms, current_a): (f64, f64)| {
            let time_s = coil.from.0 + ms / 1e3;
            let x = self.x((time_s, spec.motion.crank_deg(time_s)));
            #[expect(clippy::cast_possible_truncation, reason = "a share of the row")]
            let share = (current_a / self.most_a) as f32;
            Point::new(x.clamp(left, right), base - (base - top) * share)
        };
        let curve: Vec<Point> = coil.current_curve(&spec.parts.coil, PIECES).into_iter().map(place).collect();
        let color = band_color(spec.look).with_alpha(120);
        for pair in curve.windows(2).filter(|pair| pair[1].x > pair[0].x) {
            let (below, beside) = (Point::new(pair[0].x, base), Point::new(pair[1].x, base));
            scene.shapes.push(Shape::Triangle { at: [pair[0], pair[1], beside], colors: [color; 3] });
            scene.shapes.push(Shape::Triangle { at: [pair[0], beside, below], colors: [color; 3] });
        }
        for pair in curve.windows(2).filter(|pair| pair[1].x > pair[0].x) {
            scene.line(pair[0], pair[1], LINE_WIDTH, palette.ink);
        }
        self.draw_end(coil, curve.last().copied(), base, palette, scene);
        if row.rect.height > 60.0 {
            let (from, to) = (self.x(coil.from).max(left), self.x(coil.to).min(right));
            let words = format!("dwell {:.1} ms", coil.dwell_ms());
            if coil.end != CoilEnd::Beyond && to - from > 10.0 * CHARACTER {
                text(scene, Point::new(f32::midpoint(from, to), base + 1.0), (0.5, 0.0), words, palette.ink_secondary);
            }
        }
    }

    /// The spark as a strong line with an arrow head, or that there was none.
    fn draw_end(&self, coil: &Coil, end: Option<Point>, base: f32, palette: &Palette, scene: &mut Scene) {
        let Some(end) = end.filter(|_| coil.end != CoilEnd::Beyond) else { return };
        scene.line(Point::new(end.x, end.y), Point::new(end.x, base), LINE_WIDTH, palette.ink);
        let words = match coil.end {
            CoilEnd::Spark { actual_deg, .. } => {
                scene.line(Point::new(end.x, end.y - 4.0), Point::new(end.x, base + 4.0), SPARK_WIDTH, palette.ink);
                super::plot::pointer(scene, Point::new(end.x, base + 9.0), 7.0, palette.ink);
                format!("spark {}°", fixed(actual_deg, 1))
            }
            CoilEnd::LetDown => "let down, no spark".to_owned(),
            CoilEnd::Beyond => return,
        };
        // Beside the line on its left, or where there is no room, on its right.
        let has_room = end.x - self.along.screen.0 > 12.0 * CHARACTER;
        let (x, side) = if has_room { (end.x - 5.0, 1.0) } else { (end.x + 5.0, 0.0) };
        text(scene, Point::new(x, end.y - 3.0), (side, 1.0), words, palette.ink);
    }

    fn draw_dead_centres(&self, spec: &StripSpec<'_>, palette: &Palette, scene: &mut Scene) {
        for &(channel, instant) in &spec.revolution.dead_centres {
            let (Some(row), Some(coil)) = (self.rows.get(channel + 1), spec.parts.engine.channels.get(channel)) else {
                continue;
            };
            let x = self.x(instant);
            let ends = [Point::new(x, row.rect.top + 2.0), Point::new(x, self.base(row) + 4.0)];
            scene.dashed(&ends, DASHES, 1.2, palette.ink_secondary);
            let [a, b] = coil.cylinders;
            // At the right end there is no room; the same dead centre was named a revolution before.
            if self.along.screen.1 - x < 10.0 * CHARACTER {
                continue;
            }
            // Low down: the words of a spark stand above, and between spark and dead centre nothing charges.
            let at = Point::new(x + 4.0, self.base(row) - 2.0);
            text(scene, at, (0.0, 1.0), format!("TDC {a}, {b}"), palette.ink_secondary);
        }
    }

    /// Where the unit found its position or lost it.
    fn draw_sync(&self, spec: &StripSpec<'_>, palette: &Palette, scene: &mut Scene) {
        let plot = self.plot();
        for event in &spec.revolution.others {
            let (words, color) = match event.what {
                What::Sync => ("in sync from here".to_owned(), palette.ink),
                What::SyncLost(loss) => (format!("sync lost: {}", loss.words()), palette.error),
                _ => continue,
            };
            let x = self.x((event.time_s, event.crank_deg));
            scene.dashed(&[Point::new(x, plot.top), Point::new(x, plot.top + plot.height)], DASHES, 1.4, color);
            let has_room = self.along.screen.1 - x > 30.0 * CHARACTER;
            let (at, side) = if has_room { (x + 5.0, 0.0) } else { (x - 5.0, 1.0) };
            text(scene, Point::new(at, plot.top + WAVE + 4.0), (side, 0.0), words, color);
        }
    }

    /// A cross where a coil event was left out, with the reason.
    fn draw_cuts(&self, spec: &StripSpec<'_>, palette: &Palette, scene: &mut Scene) {
        for event in &spec.revolution.others {
            let words = match event.what {
                What::Cut { state, .. } => state.words(),
                What::Skip { .. } => "skipped: no time to charge",
                _ => continue,
            };
            let Some(row) = event.what.channel().and_then(|channel| self.rows.get(channel + 1)) else { continue };
            let (x, y) = (self.x((event.time_s, event.crank_deg)), self.base(row) - CROSS - 2.0);
            let at = |right: f32, down: f32| Point::new(x + right * CROSS, y + down * CROSS);
            scene.line(at(-1.0, -1.0), at(1.0, 1.0), 2.0, palette.ink);
            scene.line(at(-1.0, 1.0), at(1.0, -1.0), 2.0, palette.ink);
            text(scene, Point::new(x + CROSS + 4.0, y), (0.0, 0.5), words, palette.ink);
        }
    }

    fn draw_outputs(&self, spec: &StripSpec<'_>, scene: &mut Scene) {
        let color = band_color(spec.look);
        let (left, right) = self.along.screen;
        for (row, &output) in self.rows[1 + self.channels..].iter().zip(&self.outputs) {
            let told = |what: &What| match *what {
                What::OutputOn { output: at } if at == output => Some(true),
                What::OutputOff { output: at } if at == output => Some(false),
                _ => None,
            };
            let x = |time_s: f64| self.x((time_s, spec.motion.crank_deg(time_s))).clamp(left, right);
            for (from_s, to_s, _) in spec.record.stretches(told).into_iter().filter(|stretch| stretch.2) {
                let (from, to) = (x(from_s), x(to_s));
                if to > from {
                    let top = row.rect.top + (BAND - BAND_THICK) / 2.0;
                    fill(scene, Rect { left: from, top, width: to - from, height: BAND_THICK }, color);
                }
            }
        }
    }
}

/// The dead centre of the first channel: the middle of the strip's scale.
fn zero(spec: &StripSpec<'_>) -> Instant {
    let turn = &spec.revolution.turn;
    let time_s = spec.motion.time_s(turn.tdc_deg).unwrap_or(turn.time_s.1);
    (time_s, turn.tdc_deg)
}

fn along(spec: &StripSpec<'_>, zero: Instant, screen: (f32, f32)) -> SliceAxis {
    let turn = &spec.revolution.turn;
    match spec.axis {
        StripAxis::Crank => {
            let mut axis = SliceAxis::new((turn.deg.0 - zero.1, turn.deg.1 - zero.1), screen, ANGLE_ROOM);
            let (low, high) = axis.range;
            let per_deg = f64::from(screen.1 - screen.0) / (high - low);
            let fits = |step: &&f64| **step * per_deg >= f64::from(ANGLE_ROOM);
            let step = ANGLE_STEPS.iter().find(fits).copied().unwrap_or(180.0);
            axis.ticks.step = step;
            axis.ticks.values = super::ticks::multiples(step, low, high).map(|(_, at)| at).collect();
            axis
        }
        StripAxis::Time => {
            let ms = |time_s: f64| (time_s - zero.0) * 1e3;
            // A crank that does not move still gets a scale.
            let (from, to) = (ms(turn.time_s.0), ms(turn.time_s.1));
            SliceAxis::new((from, to.max(from + 1e-3)), screen, 70.0)
        }
    }
}

/// '7.4 A, 101 mJ' of the channel's last spark.
fn spark_words(revolution: &Revolution, channel: usize) -> String {
    let mut own = revolution.coils.iter().rev().filter(|coil| coil.channel == channel);
    let end = own.find_map(|coil| match coil.end {
        CoilEnd::Spark { current_a, energy_mj, .. } => Some((current_a, energy_mj)),
        _ => None,
    });
    end.map_or_else(|| "no spark".to_owned(), |(current_a, energy_mj)| format!("{current_a:.1} A, {energy_mj:.0} mJ"))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::project::SAMPLES;
    use crate::rig::{BuiltIn, Layout, Replay, Rig, Turn};

    const RECT: Rect = Rect { left: 20.0, top: 40.0, width: 800.0, height: 300.0 };

    /// Draws the strip of a sample at a time of a run and gives it to a check.
    fn with_strip(
        sample: usize,
        run: BuiltIn,
        time_s: f64,
        axis: StripAxis,
        check: impl Fn(&Strip, &Scene, &Revolution, &Motion),
    ) {
        let project = SAMPLES[sample].project().unwrap();
        let run = run.run(&project).unwrap();
        let settings = Settings::default();
        let rig = Rig::new(&project, settings.clone()).unwrap();
        let (motion, layout) = (rig.motion(&run), Layout::new(&project));
        let mut record = Record::new(&run, 1000);
        let replay = Replay::new(rig.drive(&run, &motion), &run, &mut record).unwrap();
        let turn = Turn::at(time_s, &run, &motion, &layout);
        let mut events = Vec::new();
        replay.events(turn.wanted_s().0, turn.wanted_s().1, &mut events);
        let revolution = Revolution::new(turn, &events, &motion, &layout);
        let (parts, look) = (&project, Look::Light);
        let spec = StripSpec {
            parts,
            revolution: &revolution,
            motion: &motion,
            record: &record,
            settings: &settings,
            axis,
            look,
            rect: RECT,
            names: true,
        };
        let (strip, mut scene) = (Strip::new(&spec).unwrap(), Scene::default());
        strip.draw(&spec, &mut scene);
        check(&strip, &scene, &revolution, &motion);
    }

    fn texts(scene: &Scene) -> Vec<&str> {
        scene.labels.iter().map(|label| label.text.as_str()).collect()
    }

    #[test]
    fn a_spark_stands_its_advance_before_its_dead_centre() {
        with_strip(0, BuiltIn::SweepToTheLimit, 4.0, StripAxis::Crank, |strip, scene, revolution, _| {
            let spark = revolution.coils.iter().find(|coil| coil.channel == 0).unwrap();
            let CoilEnd::Spark { actual_deg, .. } = spark.end else { panic!("no spark") };
            let at = strip.along.from_screen(strip.x(spark.to));
            assert!((at + actual_deg).abs() < 1e-3, "{at} {actual_deg}");
            let texts = texts(scene);
            for text in
                [format!("spark {actual_deg:.1}°"), "TDC 1, 4".into(), "TDC 3, 2".into(), "gap 18°".into(), "0°".into()]
            {
                assert!(texts.contains(&text.as_str()), "{text}: {texts:?}");
            }
        });
    }

    #[test]
    fn everything_stays_inside_over_angle_and_over_time() {
        for (sample, run, time_s) in [
            (0, BuiltIn::SweepToTheLimit, 8.6),
            (1, BuiltIn::Launch, 2.3),
            (2, BuiltIn::ColdStart, 1.5),
            (3, BuiltIn::RunDown, 5.4),
            (0, BuiltIn::CrankAndStart, 0.0),
        ] {
            for axis in [StripAxis::Crank, StripAxis::Time] {
                with_strip(sample, run, time_s, axis, |strip, scene, _, motion| {
                    for shape in &scene.shapes {
                        let Shape::Line { from, to, .. } = shape else { continue };
                        for at in [from, to] {
                            let near = at.x >= RECT.left - 1.0 && at.x <= RECT.left + RECT.width + 1.0;
                            assert!(near && at.y <= RECT.top + RECT.height + 1.0, "{sample} {run:?} {axis:?} {at:?}");
                        }
                    }
                    let (left, right) = strip.along.screen;
                    // What lies at a place is drawn at that place.
                    let middle = strip.instant(f32::midpoint(left, right), motion);
                    if let Some(instant) = middle.filter(|_| axis == StripAxis::Crank) {
                        assert!((strip.x(instant) - f32::midpoint(left, right)).abs() < 0.01);
                    }
                });
            }
        }
    }

    #[test]
    fn a_cut_is_a_cross_with_its_reason() {
        with_strip(0, BuiltIn::SweepToTheLimit, 8.35, StripAxis::Crank, |_, scene, revolution, _| {
            let cuts = revolution.others.iter().filter(|event| matches!(event.what, What::Cut { .. })).count();
            assert!(cuts > 0);
            assert_eq!(texts(scene).iter().filter(|text| **text == "cut").count(), cuts);
        });
    }
}
