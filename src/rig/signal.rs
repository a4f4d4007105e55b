//! The trigger signal as sound: samples to be played into a real unit in place of a function generator.

use super::{Layout, Motion, Settings};
use crate::project::{Edge, Project};
use crate::rig::Run;

/// The shape of the signal.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Pulse {
    /// A square wave: at each edge it switches in the direction that marks a tooth, and half a pitch later
    /// back.
    Square,
    /// Like that of a coil and magnet: one sine wave per tooth, crossing zero at the edge in the direction that
    /// marks a tooth, and the stronger the faster the wheel turns.
    Smoothed,
}

/// The speed at which the smoothed pulse reaches full strength, in rpm.
const FULL_STRENGTH_RPM: f64 = 6000.0;
/// Full scale, the same in both directions: one step short of the most negative sample.
const FULL: f64 = 32_767.0;

/// The samples of a run's trigger signal, one channel, 16 bits.
///
/// Each sample is the mean over its own duration (for the square wave exactly so at steady speed), so that an
/// edge between two samples shows in their height and keeps its position when played.
#[derive(Clone, Debug)]
pub struct TriggerSignal {
    motion: Motion,
    layout: Layout,
    pulse: Pulse,
    /// 1 if a tooth is marked by a rising edge, −1 if by a falling one.
    direction: f64,
    rate_hz: f64,
    start_s: f64,
    samples: u64,
    sample: u64,
    span: usize,
    crank_deg: f64,
}

impl TriggerSignal {
    /// The signal of a run with the cyclic variation of run and settings, at `rate_hz` samples a second (at least 1).
    pub fn new(project: &Project, run: &Run, settings: &Settings, rate_hz: u32, pulse: Pulse) -> Self {
        let layout = Layout::new(project);
        let rate_hz = f64::from(rate_hz.max(1));
        #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "runs end within 10^6 s")]
        let samples = ((run.end_s() - run.start_s()) * rate_hz).floor() as u64;
        Self {
            motion: Motion::new(run, settings, &layout),
            layout,
            pulse,
            direction: if project.trigger.edge == Edge::Rising { 1.0 } else { -1.0 },
            rate_hz,
            start_s: run.start_s(),
            samples,
            sample: 0,
            span: 0,
            crank_deg: 0.0,
        }
    }

    /// How many pitches, from crank angle 0 to an angle in degrees, the square wave spends at its marked level.
    fn marked_pitches(&self, crank_deg: f64) -> f64 {
        let (turns, tooth, into) = self.place(crank_deg);
        let edges = f64::from(self.layout.wheel().edges());
        let whole = (tooth.min(edges)) * 0.5;
        let part = if tooth < edges { into.min(0.5) } else { 0.0 };
        turns * edges * 0.5 + whole + part
    }

    /// Whole turns, the index of the tooth place within the turn, and pitches since it.
    fn place(&self, crank_deg: f64) -> (f64, f64, f64) {
        let turns = (crank_deg / 360.0).floor();
        let pitches = (crank_deg - 360.0 * turns) / self.layout.wheel().pitch_deg();
        (turns, pitches.floor(), pitches - pitches.floor())
    }

    /// The square wave, −1..=1, from the angle at a sample's start to that at its end.
    fn square(&self, from_deg: f64, to_deg: f64) -> f64 {
        let pitches = (to_deg - from_deg) / self.layout.wheel().pitch_deg();
        if pitches < 1e-9 {
            let (_, tooth, into) = self.place(from_deg);
            let is_marked = into < 0.5 && tooth < f64::from(self.layout.wheel().edges());
            return if is_marked { 1.0 } else { -1.0 };
        }
        let share = (self.marked_pitches(to_deg) - self.marked_pitches(from_deg)) / pitches;
        (2.0 * share - 1.0).clamp(-1.0, 1.0)
    }

    /// The smoothed wave, −1..=1, at the middle of a sample.
    fn smoothed(&self, from_deg: f64, to_deg: f64) -> f64 {
        let (_, tooth, into) = self.place(0.5 * (from_deg + to_deg));
        // Each tooth's wave extends half a pitch to either side of its edge.
        let nearest = if into < 0.5 { tooth } else { tooth + 1.0 };
        let wheel = self.layout.wheel();
        if nearest >= f64::from(wheel.edges()) && nearest < f64::from(wheel.teeth) {
            return 0.0;
        }
        let speed_rpm = (to_deg - from_deg) * self.rate_hz / super::motion::DEG_PER_S;
        (speed_rpm / FULL_STRENGTH_RPM).min(1.0) * (std::f64::consts::TAU * into).sin()
    }
}

impl Iterator for TriggerSignal {
    type Item = i16;

    fn next(&mut self) -> Option<i16> {
        if self.sample == self.samples {
            return None;
        }
        self.sample += 1;
        #[expect(clippy::cast_precision_loss, reason = "far below 2^53 samples")]
        let end_s = self.start_s + self.sample as f64 / self.rate_hz;
        let to_deg = self.motion.crank_deg_from(&mut self.span, end_s);
        let from_deg = std::mem::replace(&mut self.crank_deg, to_deg);
        let level = match self.pulse {
            Pulse::Square => self.square(from_deg, to_deg),
            Pulse::Smoothed => self.smoothed(from_deg, to_deg),
        };
        #[expect(clippy::cast_possible_truncation, reason = "within −32767..=32767")]
        Some((self.direction * level * FULL).round() as i16)
    }

    fn size_hint(&self) -> (usize, Option<usize>) {
        let left = usize::try_from(self.samples - self.sample).unwrap_or(usize::MAX);
        (left, Some(left))
    }
}
