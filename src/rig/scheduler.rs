//! From position and speed to charging and firing coils, as a control unit in a car does it.
//!
//! At each edge, an idle coil is set if its charge must begin before the next edge is expected; its advance is
//! latched at that moment. Each later edge that is at least the lead before the spark re-times it, so that the
//! last such edge decides: delay = remaining angle ÷ speed over the last period. Common practice, no source.

use super::unit::Bench;
use super::{Layout, What};
use crate::project::{CutPattern, Parts};
use crate::spark::{Breakdown, Conditions, Evaluation, Situation, State};

/// Every coil with its plan.
#[derive(Clone, Debug)]
pub(super) struct Scheduler<'a> {
    parts: &'a Parts,
    layout: Layout,
    channels: Vec<Channel>,
    /// For the battery voltage that was last asked for.
    dwell: Dwell,
    lead_deg: f64,
    due_s: f64,
}

/// The dwell from the curve at a battery voltage.
#[derive(Clone, Copy, Debug)]
struct Dwell {
    battery_v: f64,
    dwell_s: f64,
}

/// What is known of position and speed at an edge.
#[derive(Clone, Copy, Debug)]
pub(super) struct Instant {
    pub(super) now_s: f64,
    /// Crank degrees by the decoder's count.
    pub(super) position_deg: f64,
    /// Crank degrees to the next edge.
    pub(super) to_next_deg: f64,
    /// Degrees per second, above 0.
    pub(super) speed: f64,
}

impl Instant {
    /// When the crank will have turned that many degrees further at the present speed.
    fn after_s(&self, ahead_deg: f64) -> f64 {
        self.now_s + ahead_deg / self.speed
    }
}

/// The spark for the conditions of an instant, evaluated when it is first asked for.
#[derive(Debug)]
pub(super) struct Asked<'e, 'a> {
    evaluation: &'e Evaluation<'a>,
    conditions: Conditions,
    situation: Situation,
    found: Option<Breakdown>,
}

impl<'e, 'a> Asked<'e, 'a> {
    pub(super) fn new(evaluation: &'e Evaluation<'a>, conditions: Conditions, situation: Situation) -> Self {
        Self { evaluation, conditions, situation, found: None }
    }

    fn commanded_deg(&mut self) -> f64 {
        let Self { evaluation, conditions, situation, found } = self;
        found.get_or_insert_with(|| evaluation.breakdown(conditions, *situation)).commanded_deg
    }
}

impl<'a> Scheduler<'a> {
    pub(super) fn new(parts: &'a Parts, layout: Layout) -> Self {
        Self {
            parts,
            channels: vec![Channel::new(); layout.channels()],
            layout,
            dwell: Dwell { battery_v: 0.0, dwell_s: parts.coil.dwell_ms.lookup(0.0) / 1e3 },
            lead_deg: parts.trigger.lead_pitches * parts.trigger.wheel.pitch_deg(),
            due_s: f64::INFINITY,
        }
    }

    /// When a coil begins to charge or fires next; infinite when nothing is due.
    #[inline]
    pub(super) fn due_s(&self) -> f64 {
        self.due_s
    }

    /// Called when the position becomes known: every coil waits for its next dead centre.
    pub(super) fn place(&mut self, instant: &Instant, asked: &mut Asked<'_, '_>) {
        let advance_deg = asked.commanded_deg();
        for (at, channel) in self.channels.iter_mut().enumerate() {
            channel.place(self.layout.tdc_deg(at), advance_deg, instant.position_deg);
        }
    }

    /// Called for an edge in sync: sets idle coils whose time has come, re-times the others.
    #[inline]
    pub(super) fn serve(&mut self, instant: &Instant, asked: &mut Asked<'_, '_>, bench: &mut impl Bench) {
        let dwell = self.dwell_at(asked.conditions.battery_v.unwrap_or(0.0));
        let ceiling_deg = self.parts.limits.clamp.ceiling_deg;
        let reach_deg = instant.position_deg + instant.to_next_deg + dwell.dwell_s * instant.speed + ceiling_deg;
        let mut is_changed = false;
        for at in 0..self.channels.len() {
            let channel = self.channels[at];
            match channel.phase {
                // Even with the largest possible advance its charge would not begin before the next edge.
                Phase::Idle if channel.tdc_deg >= reach_deg => continue,
                Phase::Idle => is_changed |= self.consider(at, dwell, instant, asked, bench),
                Phase::Set(plan) | Phase::Charging(plan) => is_changed |= self.time_anew(at, plan, instant, bench),
            }
        }
        if is_changed {
            self.find_due();
        }
    }

    fn find_due(&mut self) {
        self.due_s = self.channels.iter().map(Channel::due_s).fold(f64::INFINITY, f64::min);
    }

    /// The dwell from the curve; it is looked up only when the voltage has changed.
    #[inline]
    fn dwell_at(&mut self, battery_v: f64) -> Dwell {
        if battery_v != self.dwell.battery_v {
            self.dwell = Dwell { battery_v, dwell_s: self.parts.coil.dwell_ms.lookup(battery_v) / 1e3 };
        }
        self.dwell
    }

    /// Sets an idle coil if its charge must begin before the next edge; returns whether it did.
    fn consider(
        &mut self,
        at: usize,
        Dwell { battery_v, dwell_s }: Dwell,
        now: &Instant,
        asked: &mut Asked<'_, '_>,
        bench: &mut impl Bench,
    ) -> bool {
        let commanded_deg = asked.commanded_deg();
        let target_deg = self.channels[at].tdc_deg - commanded_deg;
        let spark_s = now.after_s(target_deg - now.position_deg);
        let start_s = self.channels[at].start_s(spark_s, dwell_s);
        if start_s >= now.after_s(now.to_next_deg) {
            return false;
        }
        let start_s = start_s.max(now.now_s);
        if self.is_suppressed(at, asked.situation, commanded_deg, bench) {
            self.channels[at].move_on();
        } else if spark_s - start_s < LEAST_DWELL_S {
            bench.happens(What::Skip { channel: at, commanded_deg, dwell_ms: (spark_s - start_s) * 1e3 });
            self.channels[at].move_on();
        } else {
            let plan = Plan { commanded_deg, target_deg, dwell_s, start_s, spark_s, battery_v };
            self.channels[at].phase = Phase::Set(plan);
        }
        true
    }

    /// Whether the coil event that would begin now is left out, because of a cut or because the engine is too
    /// slow.
    fn is_suppressed(&mut self, channel: usize, now: Situation, commanded_deg: f64, bench: &mut impl Bench) -> bool {
        let is_cut = match now.cut {
            None => return now.state == State::Stopped,
            Some(CutPattern::All) => true,
            Some(CutPattern::AlternateCoils) => self.channels[channel].alternates(channel),
        };
        if is_cut {
            bench.happens(What::Cut { channel, commanded_deg, state: now.state });
        }
        is_cut
    }

    /// Re-times a spark if this edge keeps the lead; returns whether it did. A charge that has not begun moves
    /// with it.
    fn time_anew(&mut self, at: usize, mut plan: Plan, now: &Instant, bench: &mut impl Bench) -> bool {
        let ahead_deg = plan.target_deg - now.position_deg;
        if ahead_deg < self.lead_deg {
            return false;
        }
        plan.spark_s = now.after_s(ahead_deg);
        let channel = &mut self.channels[at];
        if let Phase::Charging(_) = channel.phase {
            channel.phase = Phase::Charging(plan);
            return true;
        }
        plan.start_s = channel.start_s(plan.spark_s, plan.dwell_s).max(now.now_s);
        if plan.spark_s - plan.start_s < LEAST_DWELL_S {
            let dwell_ms = (plan.spark_s - plan.start_s) * 1e3;
            channel.move_on();
            bench.happens(What::Skip { channel: at, commanded_deg: plan.commanded_deg, dwell_ms });
        } else {
            channel.phase = Phase::Set(plan);
        }
        true
    }

    /// Begins the charges and fires the coils that are due.
    pub(super) fn due(&mut self, now_s: f64, bench: &mut impl Bench) {
        for (at, channel) in self.channels.iter_mut().enumerate() {
            if channel.due_s() > now_s {
                continue;
            }
            match channel.phase {
                Phase::Idle => {}
                Phase::Set(plan) => {
                    channel.phase = Phase::Charging(plan);
                    let (dwell_ms, asked_ms) = ((plan.spark_s - plan.start_s) * 1e3, plan.dwell_s * 1e3);
                    let Plan { commanded_deg, battery_v, .. } = plan;
                    bench.happens(What::Charge { channel: at, commanded_deg, dwell_ms, asked_ms, battery_v });
                }
                Phase::Charging(plan) => {
                    bench.fires(at, &plan);
                    channel.move_on();
                    channel.free_s = now_s + self.parts.coil.burn_time_ms / 1e3;
                }
            }
        }
        self.find_due();
    }

    /// Lets down softly whatever is charging: a spark at an unknown angle breaks engines.
    pub(super) fn let_down(&mut self, bench: &mut impl Bench) {
        for (at, channel) in self.channels.iter_mut().enumerate() {
            if let Phase::Charging(_) = channel.phase {
                bench.happens(What::LetDown { channel: at });
            }
            channel.phase = Phase::Idle;
        }
        self.due_s = f64::INFINITY;
    }
}

/// The shortest dwell worth a spark, in seconds: common practice, no source.
pub(super) const LEAST_DWELL_S: f64 = 0.5e-3;

/// A coil event that is under way.
#[derive(Clone, Copy, Debug)]
pub(super) struct Plan {
    /// The latched advance in degrees before TDC.
    pub(super) commanded_deg: f64,
    /// The angle of the spark by the decoder's count of degrees.
    pub(super) target_deg: f64,
    /// The dwell asked for.
    pub(super) dwell_s: f64,
    /// When charging begins.
    pub(super) start_s: f64,
    /// When the spark comes.
    pub(super) spark_s: f64,
    /// The battery voltage when it was set.
    pub(super) battery_v: f64,
}

/// What a coil is doing.
#[derive(Clone, Copy, Debug)]
pub(super) enum Phase {
    Idle,
    Set(Plan),
    Charging(Plan),
}

/// One coil channel.
#[derive(Clone, Copy, Debug)]
pub(super) struct Channel {
    pub(super) phase: Phase,
    /// The dead centre to be served next, by the decoder's count of degrees.
    pub(super) tdc_deg: f64,
    /// When its last spark is over.
    pub(super) free_s: f64,
    /// How many of its coil events so far were subject to the alternate pattern.
    alternated: u64,
}

impl Channel {
    pub(super) const fn new() -> Self {
        Self { phase: Phase::Idle, tdc_deg: 0.0, free_s: f64::NEG_INFINITY, alternated: 0 }
    }

    /// When something happens next; infinite when nothing is due.
    pub(super) fn due_s(&self) -> f64 {
        match self.phase {
            Phase::Idle => f64::INFINITY,
            Phase::Set(plan) => plan.start_s,
            Phase::Charging(plan) => plan.spark_s,
        }
    }

    /// When charging must begin for a spark at `spark_s`, but not before the last spark is over.
    pub(super) fn start_s(&self, spark_s: f64, dwell_s: f64) -> f64 {
        (spark_s - dwell_s).max(self.free_s)
    }

    /// Whether the alternate pattern cuts this channel's next coil event. It cuts every other pair of
    /// consecutive events, so that each of the channel's two cylinders misses every other power stroke. `at` is
    /// the channel's index in the firing sequence; channels with an odd index begin with a pair that is cut.
    ///
    /// The count continues from one cut to the next. Starting it anew each time would favour the same coils
    /// whenever the engine hunts at its limit in cuts shorter than two cycles.
    pub(super) fn alternates(&mut self, at: usize) -> bool {
        let cycle = self.alternated / 2;
        self.alternated += 1;
        cycle.is_multiple_of(2) != at.is_multiple_of(2)
    }

    /// Moves on from this dead centre to the one a revolution later.
    pub(super) fn move_on(&mut self) {
        self.phase = Phase::Idle;
        self.tdc_deg += 360.0;
    }

    /// Makes the channel idle, waiting for the first dead centre (`tdc_deg` plus whole turns) whose spark is
    /// still to come.
    pub(super) fn place(&mut self, tdc_deg: f64, advance_deg: f64, position_deg: f64) {
        let turns = ((tdc_deg - advance_deg - position_deg) / 360.0).floor();
        self.phase = Phase::Idle;
        self.tdc_deg = tdc_deg - 360.0 * turns;
    }
}
