//! The sums of a run.

use serde::{Serialize, Serializer};

use super::{Event, What};
use crate::project::Parts;
use crate::spark::State;

/// The sums of a run. A field is `None` if nothing of its kind happened.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct Summary {
    /// From the run's start to its end, or to where the sink stopped it.
    pub duration_s: f64,
    /// Edges seen.
    pub edges: u64,
    /// Gaps found.
    pub gaps: u64,
    /// Times sync was found.
    pub syncs: u64,
    /// Times it was lost.
    pub sync_losses: u64,
    /// Coil events that fired.
    pub sparks: u64,
    /// Coil events that the evaluation cut.
    pub cuts: u64,
    /// Coil events left out because there was no time for enough dwell.
    pub skips: u64,
    /// Charging coils let down without a spark.
    pub let_downs: u64,
    /// Charges that began too late for the dwell of the curve: set late, or right after the last spark.
    pub short_dwells: u64,
    /// Crank degrees from the start to the first spark.
    pub degrees_before_first_spark: Option<f64>,
    /// The largest timing error, either way.
    pub max_abs_error_deg: Option<f64>,
    /// The root mean square of the timing errors.
    pub rms_error_deg: Option<f64>,
    /// The least energy in a coil at its spark.
    pub min_energy_mj: Option<f64>,
    /// The longest dwell.
    pub max_dwell_ms: Option<f64>,
    /// The shortest dwell.
    pub min_dwell_ms: Option<f64>,
    /// How long each state lasted, in seconds, in the order of [`State::ALL`].
    #[serde(rename = "states", serialize_with = "by_name")]
    pub states_s: [f64; 7],
    /// What each output did, in the project's order.
    #[serde(serialize_with = "by_output")]
    pub outputs: Vec<OutputTally>,
}

/// What an output did.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct OutputTally {
    /// Its name.
    #[serde(skip)]
    pub name: String,
    /// How often it came on.
    pub switches: u64,
    /// For how long it was on, in seconds.
    pub on_s: f64,
}

impl Summary {
    /// How long a state lasted, in seconds.
    pub fn state_s(&self, state: State) -> f64 {
        self.states_s[state as usize]
    }
}

/// Differences of dwell below this are rounding error.
const ROUNDING_MS: f64 = 1e-6;

/// Adds up the sums as the events come.
#[derive(Clone, Debug)]
pub(super) struct Tally {
    summary: Summary,
    start_s: f64,
    state: State,
    state_since_s: f64,
    on_since_s: Vec<Option<f64>>,
    error_squares: f64,
}

impl Tally {
    pub(super) fn new(parts: &Parts, start_s: f64) -> Self {
        let tally = |name: &String| OutputTally { name: name.clone(), switches: 0, on_s: 0.0 };
        let summary = Summary {
            duration_s: 0.0,
            edges: 0,
            gaps: 0,
            syncs: 0,
            sync_losses: 0,
            sparks: 0,
            cuts: 0,
            skips: 0,
            let_downs: 0,
            short_dwells: 0,
            degrees_before_first_spark: None,
            max_abs_error_deg: None,
            rms_error_deg: None,
            min_energy_mj: None,
            max_dwell_ms: None,
            min_dwell_ms: None,
            states_s: [0.0; 7],
            outputs: parts.outputs.iter().map(|output| tally(&output.name)).collect(),
        };
        Self {
            summary,
            start_s,
            state: State::Stopped,
            state_since_s: start_s,
            on_since_s: vec![None; parts.outputs.len()],
            error_squares: 0.0,
        }
    }

    #[inline]
    pub(super) fn add(&mut self, event: &Event) {
        let sums = &mut self.summary;
        match event.what {
            What::Edge { .. } => sums.edges += 1,
            What::Gap { .. } => sums.gaps += 1,
            What::Sync => sums.syncs += 1,
            What::SyncLost(_) => sums.sync_losses += 1,
            What::Charge { dwell_ms, asked_ms, .. } => {
                sums.short_dwells += u64::from(dwell_ms < asked_ms - ROUNDING_MS);
            }
            What::Spark { .. } => self.add_spark(event),
            What::Cut { .. } => sums.cuts += 1,
            What::Skip { .. } => sums.skips += 1,
            What::LetDown { .. } => sums.let_downs += 1,
            What::OutputOn { output } => self.switch(output, Some(event.time_s)),
            What::OutputOff { output } => {
                self.settle_output(output, event.time_s);
                self.switch(output, None);
            }
            What::State(state) => {
                self.settle_state(event.time_s);
                self.state = state;
            }
        }
    }

    fn add_spark(&mut self, event: &Event) {
        let What::Spark { dwell_ms, energy_mj, .. } = event.what else { return };
        let error_deg = event.what.error_deg().unwrap_or(0.0);
        let sums = &mut self.summary;
        sums.sparks += 1;
        sums.degrees_before_first_spark.get_or_insert(event.crank_deg);
        self.error_squares += error_deg * error_deg;
        let least = |so_far: Option<f64>, x: f64| Some(so_far.map_or(x, |least| least.min(x)));
        let most = |so_far: Option<f64>, x: f64| Some(so_far.map_or(x, |most| most.max(x)));
        sums.max_abs_error_deg = most(sums.max_abs_error_deg, error_deg.abs());
        sums.min_energy_mj = least(sums.min_energy_mj, energy_mj);
        sums.max_dwell_ms = most(sums.max_dwell_ms, dwell_ms);
        sums.min_dwell_ms = least(sums.min_dwell_ms, dwell_ms);
    }

    fn settle_state(&mut self, time_s: f64) {
        self.summary.states_s[self.state as usize] += time_s - self.state_since_s;
        self.state_since_s = time_s;
    }

    fn settle_output(&mut self, output: usize, time_s: f64) {
        let since_s = self.on_since_s.get(output).copied().flatten();
        if let (Some(since_s), Some(tally)) = (since_s, self.summary.outputs.get_mut(output)) {
            tally.on_s += time_s - since_s;
        }
    }

    fn switch(&mut self, output: usize, on_since_s: Option<f64>) {
        if let (Some(since_s), Some(tally)) = (self.on_since_s.get_mut(output), self.summary.outputs.get_mut(output)) {
            *since_s = on_since_s;
            tally.switches += u64::from(on_since_s.is_some());
        }
    }

    pub(super) fn finish(mut self, end_s: f64) -> Summary {
        self.settle_state(end_s);
        (0..self.on_since_s.len()).for_each(|output| self.settle_output(output, end_s));
        self.summary.duration_s = end_s - self.start_s;
        #[expect(clippy::cast_precision_loss, reason = "no run has 2^53 sparks")]
        let sparks = self.summary.sparks as f64;
        self.summary.rms_error_deg = (sparks > 0.0).then(|| (self.error_squares / sparks).sqrt());
        self.summary
    }
}

fn by_name<S: Serializer>(states_s: &[f64; 7], serializer: S) -> Result<S::Ok, S::Error> {
    serializer.collect_map(State::ALL.iter().map(|state| state.name()).zip(states_s))
}

fn by_output<S: Serializer>(outputs: &[OutputTally], serializer: S) -> Result<S::Ok, S::Error> {
    serializer.collect_map(outputs.iter().map(|output| (&output.name, output)))
}
