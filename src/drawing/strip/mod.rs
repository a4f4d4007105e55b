//! One revolution in detail, as an oscilloscope would show it: wheel, coil currents, sparks, dead centres,
//! outputs.

mod coils;

use self::coils::spark_words;
use super::chart::{CHART, ChartAxis, Direction};
use super::label_room::overlaps;
use super::plot::{CHARACTER, DrivenRun, Frame, LINE, NAMES_WIDTH, RIGHT, TraceRow, fill};
use super::trace::band_color;
use super::{Color, Label, LabelRole, Palette, Point, Rect, Scene, label_box};
use crate::rig::{Coil, Instant, Motion, Revolution, What};
use crate::wording::Unit;

const AXIS: f32 = 20.0;
const BAND: f32 = 17.0;
const BAND_THICK: f32 = 11.0;
/// Heights of the wheel's row, and of its wave.
const WHEEL: f32 = 46.0;
const WAVE: f32 = 24.0;
const LEAST_COIL: f32 = 34.0;
const MOST_COIL: f32 = 92.0;
const LINE_WIDTH: f32 = 1.2;
/// Steps of crank angle between the numbers of the scale.
const ANGLE_STEPS: [f64; 5] = [15.0, 30.0, 45.0, 90.0, 180.0];

/// The quantity along the strip.
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
    /// The whole run; its outputs and the faults of its rig are marked.
    pub driven: DrivenRun<'a>,
    /// What happens in the revolution.
    pub revolution: &'a Revolution,
    /// The quantity along it.
    pub axis: StripAxis,
    /// How and where it is drawn.
    pub frame: Frame,
}

/// A strip laid out on the screen.
#[derive(Clone, Debug, PartialEq)]
pub struct Strip {
    /// The quantity along it.
    pub axis: StripAxis,
    /// Degrees or milliseconds from the dead centre, to the right.
    pub along: ChartAxis,
    /// Its rows from the top: wheel, each coil, each output that comes on in the run.
    pub rows: Vec<TraceRow>,
    outputs: Vec<usize>,
    channels: usize,
    zero: Instant,
    most_a: f64,
}

impl Strip {
    /// Lays out a strip; `None` if there is not enough room.
    pub fn new(spec: &StripSpec<'_>) -> Option<Self> {
        let channels = spec.driven.parts.engine.channels.len();
        let outputs = spec.driven.record.outputs_used().to_vec();
        #[expect(clippy::cast_precision_loss, reason = "a project has few coils and outputs")]
        let (coils, bands) = (channels.max(1) as f32, outputs.len() as f32 * BAND);
        let left_for_coils = (spec.frame.rect.height - WHEEL - AXIS - bands) / coils;
        let (left, width) = (spec.frame.rect.left + NAMES_WIDTH, spec.frame.rect.width - NAMES_WIDTH - RIGHT);
        if left_for_coils < LEAST_COIL || width < 60.0 {
            return None;
        }
        let coil_height = left_for_coils.min(MOST_COIL);
        let mut top = spec.frame.rect.top;
        let mut rows = Vec::new();
        let mut row = |name: String, remark: String, height: f32| {
            rows.push(TraceRow::new(name, remark, Rect { left, top, width, height }));
            top += height;
        };
        let wheel = spec.driven.parts.trigger.wheel;
        row("Wheel".into(), format!("{}\u{2212}{}, edges as seen", wheel.teeth, wheel.missing), WHEEL);
        for (at, channel) in spec.driven.parts.engine.channels.iter().enumerate() {
            let [a, b] = channel.cylinders;
            row(format!("Coil {}  {a} + {b}", channel.name), spark_words(spec.revolution, at), coil_height);
        }
        outputs.iter().filter_map(|&at| spec.driven.parts.outputs.get(at)).for_each(|output| {
            row(output.name.clone(), String::new(), BAND);
        });
        let highest = |coil: &Coil| spec.driven.parts.coil.current_a(coil.dwell_ms(), coil.battery_v);
        let most_a = spec.revolution.coils.iter().map(highest).fold(spec.driven.parts.coil.rated_current_a, f64::max);
        let zero = zero(spec);
        let along = along(spec, zero, (left, left + width));
        Some(Self { axis: spec.axis, along, rows, outputs, channels, zero, most_a })
    }

    /// The least and the largest height that a strip makes use of.
    #[expect(clippy::cast_precision_loss, reason = "a project has few coils and outputs")]
    pub fn heights(driven: &DrivenRun<'_>) -> (f32, f32) {
        let beside_coils = WHEEL + AXIS + driven.record.outputs_used().len() as f32 * BAND;
        let coils = driven.parts.engine.channels.len().max(1) as f32;
        (beside_coils + coils * LEAST_COIL, beside_coils + coils * MOST_COIL)
    }

    /// Where an instant is along the strip.
    pub fn x(&self, (time_s, crank_deg): Instant) -> f32 {
        match self.axis {
            StripAxis::Crank => self.along.to_screen(crank_deg - self.zero.1),
            StripAxis::Time => self.along.to_screen((time_s - self.zero.0) * 1e3),
        }
    }

    /// The instant at a position along the strip; `None` if the run does not reach it.
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

    /// The row at a height of the screen.
    pub fn row_at(&self, y: f32) -> Option<usize> {
        self.rows.iter().position(|row| y < row.bottom() && y >= row.rect.top)
    }

    /// The coil channel that a row shows.
    pub fn channel_of(&self, row: usize) -> Option<usize> {
        row.checked_sub(1).filter(|&channel| channel < self.channels)
    }

    /// The plot area.
    pub fn plot(&self) -> Rect {
        let (first, last) = (&self.rows[0], &self.rows[self.rows.len() - 1]);
        Rect { height: last.bottom() - first.rect.top, ..first.rect }
    }

    /// Replaces the contents of `scene` with the strip.
    pub fn draw(&self, spec: &StripSpec<'_>, scene: &mut Scene) {
        scene.clear();
        let palette = spec.frame.look.palette();
        if spec.frame.names {
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
        for tick in &self.along.ticks {
            let x = self.along.to_screen(tick.value);
            scene.line(Point::new(x, plot.top), Point::new(x, bottom), CHART.guide, palette.rule);
        }
        self.along.draw_along(bottom, palette, scene);
        for row in &self.rows[1..=self.channels] {
            let y = self.base(row);
            scene.line(Point::new(plot.left, y), Point::new(plot.left + plot.width, y), 1.0, palette.rule_strong);
        }
    }

    /// The line of zero current.
    fn base(&self, row: &TraceRow) -> f32 {
        row.bottom() - if row.rect.height > 60.0 { LINE } else { 3.0 }
    }

    /// Marks where the unit found its position or lost it.
    fn draw_sync(&self, spec: &StripSpec<'_>, palette: &Palette, scene: &mut Scene) {
        let plot = self.plot();
        for event in &spec.revolution.others {
            let (words, color) = match event.what {
                What::Sync => ("in sync from here".to_owned(), palette.ink),
                What::SyncLost(loss) => (format!("sync lost: {}", loss.words()), palette.error),
                _ => continue,
            };
            let x = self.x((event.time_s, event.crank_deg));
            scene.dashed(&[Point::new(x, plot.top), Point::new(x, plot.top + plot.height)], CHART.dashes, 1.4, color);
            let has_room = self.along.screen.1 - x > 30.0 * CHARACTER;
            let (at, side) = if has_room { (x + 5.0, 0.0) } else { (x - 5.0, 1.0) };
            let mut label = Label {
                at: Point::new(at, plot.top + WAVE + 4.0),
                anchor: (side, 0.0),
                text: words,
                role: LabelRole::Tick,
                color,
                halo: Color::default(),
            };
            // A fault at the same place has its words there.
            if scene.labels.iter().any(|other| overlaps(&label_box(other), &label_box(&label))) {
                label.at.y += LINE;
            }
            scene.labels.push(label);
        }
    }

    fn draw_outputs(&self, spec: &StripSpec<'_>, scene: &mut Scene) {
        let color = band_color(spec.frame.look);
        let (left, right) = self.along.screen;
        for (row, &output) in self.rows[1 + self.channels..].iter().zip(&self.outputs) {
            let told = |what: &What| match *what {
                What::OutputOn { output: at } if at == output => Some(true),
                What::OutputOff { output: at } if at == output => Some(false),
                _ => None,
            };
            let x = |time_s: f64| self.x((time_s, spec.driven.motion.crank_deg(time_s))).clamp(left, right);
            for (from_s, to_s, _) in spec
                .driven
                .record
                .stretches_within(spec.revolution.turn.time_s, told)
                .into_iter()
                .filter(|stretch| stretch.2)
            {
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
    let time_s = spec.driven.motion.time_s(turn.tdc_deg).unwrap_or(turn.time_s.1);
    (time_s, turn.tdc_deg)
}

fn along(spec: &StripSpec<'_>, zero: Instant, screen: (f32, f32)) -> ChartAxis {
    let turn = &spec.revolution.turn;
    let within = (screen.0 - NAMES_WIDTH, screen.1 + RIGHT);
    match spec.axis {
        StripAxis::Crank => {
            let range = (turn.deg.0 - zero.1, turn.deg.1 - zero.1);
            ChartAxis::with_steps(Direction::Along, range, screen, within, Unit::Degree, &ANGLE_STEPS)
        }
        StripAxis::Time => {
            let ms = |time_s: f64| (time_s - zero.0) * 1e3;
            // A crank that does not move still needs a scale.
            let (from, to) = (ms(turn.time_s.0), ms(turn.time_s.1));
            ChartAxis::new(Direction::Along, (from, to.max(from + 1e-3)), screen, within, Unit::Millisecond)
        }
    }
}

#[cfg(test)]
mod tests;
