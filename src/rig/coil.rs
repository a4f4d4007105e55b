//! One coil channel: idle, set to charge, charging.

/// The least dwell worth a spark, in seconds: common practice, no source.
pub(super) const LEAST_DWELL_S: f64 = 0.5e-3;

/// A coil event that is under way.
#[derive(Clone, Copy, Debug)]
pub(super) struct Plan {
    /// The latched advance in degrees before TDC.
    pub(super) commanded_deg: f64,
    /// The spark's place by the decoder's count of degrees.
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
    /// Its coil events so far for which the alternate pattern held.
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

    /// When charging begins for a spark at `spark_s`, but not before the last spark is over.
    pub(super) fn start_s(&self, spark_s: f64, dwell_s: f64) -> f64 {
        (spark_s - dwell_s).max(self.free_s)
    }

    /// Whether the alternate pattern leaves its next coil event out: in every other pair of them, so that each cylinder
    /// of the pair misses every other of its own power strokes. `at` is the channel's place in the firing sequence; those
    /// at odd places begin with the pair left out.
    ///
    /// The count goes on from one cut to the next. Beginning anew each time would favour the same coils whenever the
    /// engine hunts at its limit in cuts shorter than two cycles.
    pub(super) fn alternates(&mut self, at: usize) -> bool {
        let cycle = self.alternated / 2;
        self.alternated += 1;
        cycle.is_multiple_of(2) != at.is_multiple_of(2)
    }

    /// Done with this dead centre; the next one is a revolution on.
    pub(super) fn move_on(&mut self) {
        self.phase = Phase::Idle;
        self.tdc_deg += 360.0;
    }

    /// Idle before the first dead centre, `tdc_deg` or any whole turns from it, whose spark is still to come.
    pub(super) fn place(&mut self, tdc_deg: f64, advance_deg: f64, position_deg: f64) {
        let turns = ((tdc_deg - advance_deg - position_deg) / 360.0).floor();
        self.phase = Phase::Idle;
        self.tdc_deg = tdc_deg - 360.0 * turns;
    }
}
