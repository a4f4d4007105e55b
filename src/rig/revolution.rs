//! What happens around one revolution of the crank, in detail: edges, coils, dead centres.

use super::{Event, Layout, Motion, Run, What};

/// Shown before the top dead centre of the first channel's pair, in crank degrees. Together with the part after
/// it this is more than a revolution, so that a charge is seen from its start.
const BEFORE_DEG: f64 = 120.0;
const AFTER_DEG: f64 = 270.0;
/// How long before the window a charge that ends in it may have begun: longer than any dwell curve allows.
const LONGEST_DWELL_S: f64 = 0.1;

/// Which revolution: the stretch of crank angle and of time.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Turn {
    /// Counts the revolutions; 0 is the one with the first dead centre of the first channel after the run's
    /// start.
    pub number: i64,
    /// The crank angle of that dead centre, from the run's start.
    pub tdc_deg: f64,
    /// The crank angles at both ends.
    pub deg: (f64, f64),
    /// The times at both ends, within the run.
    pub time_s: (f64, f64),
}

impl Turn {
    /// The revolution in which a time of the run lies.
    pub fn at(time_s: f64, run: &Run, motion: &Motion, layout: &Layout) -> Self {
        let first_deg = layout.tdc_deg(0);
        let turns = ((motion.crank_deg(time_s) - first_deg + BEFORE_DEG) / 360.0).floor();
        let tdc_deg = first_deg + 360.0 * turns;
        let deg = (tdc_deg - BEFORE_DEG, tdc_deg + AFTER_DEG);
        let from_s = motion.time_s(deg.0).unwrap_or_else(|| run.start_s());
        let to_s = motion.time_s(deg.1).unwrap_or_else(|| run.end_s());
        #[expect(clippy::cast_possible_truncation, reason = "a run turns fewer than 2^63 times")]
        let number = turns as i64;
        Self { number, tdc_deg, deg, time_s: (from_s, to_s) }
    }

    /// The stretch of time whose events [`Revolution::new`] needs.
    ///
    /// It extends beyond the revolution on both sides, to include the coil events next to it.
    pub fn wanted_s(&self) -> (f64, f64) {
        let (from_s, to_s) = self.time_s;
        (from_s - (to_s - from_s).max(LONGEST_DWELL_S), to_s + (to_s - from_s))
    }
}

/// An instant in time and crank angle.
pub type Instant = (f64, f64);

/// How a coil event ended.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum CoilEnd {
    /// It fired.
    Spark {
        /// Where the crank really stood before the channel's TDC, in degrees.
        actual_deg: f64,
        /// The primary current, in A.
        current_a: f64,
        /// The energy stored, in mJ.
        energy_mj: f64,
    },
    /// It was let down softly, without a spark.
    LetDown,
    /// It continues beyond the window.
    Beyond,
}

/// One charge of a coil.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Coil {
    /// Which channel.
    pub channel: usize,
    /// When and where it began.
    pub from: Instant,
    /// When and where it ended.
    pub to: Instant,
    /// The latched advance, in degrees before TDC.
    pub commanded_deg: f64,
    /// The battery voltage that the unit computes with, in V.
    pub battery_v: f64,
    /// How it ended.
    pub end: CoilEnd,
}

impl Coil {
    /// How long it charged, in ms.
    pub fn dwell_ms(&self) -> f64 {
        (self.to.0 - self.from.0) * 1e3
    }

    /// The primary current over time since the charge began: `steps` + 1 instants in ms and A, the last at the end.
    pub fn current_curve(&self, coil: &crate::project::Coil, steps: u16) -> Vec<(f64, f64)> {
        let steps = steps.max(1);
        let at = |step: u16| self.dwell_ms() * f64::from(step) / f64::from(steps);
        (0..=steps).map(at).map(|ms| (ms, coil.current_a(ms, self.battery_v))).collect()
    }
}

/// One revolution with everything in it.
#[derive(Clone, Debug, PartialEq)]
pub struct Revolution {
    /// Which revolution.
    pub turn: Turn,
    /// The edges that the unit saw.
    pub edges: Vec<Instant>,
    /// The charges.
    pub coils: Vec<Coil>,
    /// The dead centres: channel, when and where. Those that the run does not reach are left out.
    pub dead_centres: Vec<(usize, Instant)>,
    /// Every other event: cuts, skips, sync, states, outputs.
    pub others: Vec<Event>,
    /// The times of all coil events, fired or cut, in the wanted stretch.
    coil_events_s: Vec<f64>,
}

impl Revolution {
    /// Sorts the events of the time that [`Turn::wanted_s`] asks for into a revolution.
    pub fn new(turn: Turn, events: &[Event], motion: &Motion, layout: &Layout) -> Self {
        let is_coil_event = |event: &&Event| matches!(event.what, What::Spark { .. } | What::Cut { .. });
        let mut new = Self {
            turn,
            edges: Vec::new(),
            coils: Vec::new(),
            dead_centres: Vec::new(),
            others: Vec::new(),
            coil_events_s: events.iter().filter(is_coil_event).map(|event| event.time_s).collect(),
        };
        let mut charging: Vec<Option<Coil>> = vec![None; layout.channels()];
        let last = (turn.time_s.1, motion.crank_deg(turn.time_s.1));
        for event in events.iter().take_while(|event| event.time_s <= turn.time_s.1) {
            let now = (event.time_s, event.crank_deg);
            let ended = event.what.channel().and_then(|channel| charging.get_mut(channel));
            match (event.what, ended) {
                (What::Edge { .. }, _) => new.edges.push(now),
                (What::Charge { channel, commanded_deg, battery_v, .. }, Some(slot)) => {
                    *slot = Some(Coil { channel, from: now, to: last, commanded_deg, battery_v, end: CoilEnd::Beyond });
                }
                (What::Spark { actual_deg, current_a, energy_mj, .. }, Some(slot)) => {
                    let end = CoilEnd::Spark { actual_deg, current_a, energy_mj };
                    new.coils.extend(slot.take().map(|coil| Coil { to: now, end, ..coil }));
                }
                (What::LetDown { .. }, Some(slot)) => {
                    let coil = slot.take().map(|coil| Coil { to: now, end: CoilEnd::LetDown, ..coil });
                    new.coils.extend(coil);
                }
                _ if event.time_s >= turn.time_s.0 => new.others.push(*event),
                _ => {}
            }
        }
        new.coils.extend(charging.into_iter().flatten());
        new.edges.retain(|edge| edge.0 >= turn.time_s.0);
        new.coils.retain(|coil| coil.to.0 >= turn.time_s.0);
        new.dead_centres = dead_centres(&turn, motion, layout);
        new
    }

    /// The first coil event, fired or cut, after a time, if there is one in the wanted stretch.
    pub fn next_s(&self, time_s: f64) -> Option<f64> {
        self.coil_events_s.iter().copied().find(|&at| at > time_s)
    }

    /// The last coil event, fired or cut, before a time, if there is one in the wanted stretch.
    pub fn previous_s(&self, time_s: f64) -> Option<f64> {
        self.coil_events_s.iter().rev().copied().find(|&at| at < time_s)
    }
}

fn dead_centres(turn: &Turn, motion: &Motion, layout: &Layout) -> Vec<(usize, Instant)> {
    let mut found = Vec::new();
    for channel in 0..layout.channels() {
        let first = ((turn.deg.0 - layout.tdc_deg(channel)) / 360.0).ceil();
        let mut at = layout.tdc_deg(channel) + 360.0 * first;
        while at <= turn.deg.1 {
            if let Some(time_s) = motion.time_s(at) {
                found.push((channel, (time_s, at)));
            }
            at += 360.0;
        }
    }
    found.sort_by(|a, b| a.1.1.total_cmp(&b.1.1));
    found
}
