//! The ignition unit: how it reacts to each edge.

use std::sync::Arc;

use super::motion::DEG_PER_S;
use super::scheduler::{Asked, Instant, Scheduler};
use super::{Change, Decoder, Layout, Row, What};
use crate::project::Project;
use crate::spark::{Conditions, Evaluation, Memory, Outputs, Shown, Situation, State, TableLookup};

/// Through this the unit reports what it does, at the present instant.
pub(super) trait Bench {
    /// Something happens now.
    fn happens(&mut self, what: What);
    /// A coil fires now.
    fn fires(&mut self, channel: usize, plan: &super::scheduler::Plan);
}

/// The unit with everything that it remembers.
#[derive(Clone, Debug)]
pub(super) struct UnitOnRig<'a> {
    evaluation: Evaluation<'a>,
    memory: Memory,
    outputs: Outputs<'a>,
    watches_advance: bool,
    decoder: Decoder,
    scheduler: Scheduler<'a>,
    state: Option<State>,
    /// The position of the launch switch when it was last read.
    launch_switch: bool,
}

impl<'a> UnitOnRig<'a> {
    pub(super) fn new(project: &'a Project, table: Option<Arc<dyn TableLookup>>) -> Self {
        let outputs = Outputs::new(project);
        Self {
            evaluation: match table {
                Some(table) => Evaluation::with_table(project, table),
                None => Evaluation::new(project),
            },
            memory: Memory::default(),
            watches_advance: outputs.watches_advance(),
            outputs,
            decoder: Decoder::new(&project.trigger),
            scheduler: Scheduler::new(project, Layout::new(project)),
            state: None,
            launch_switch: false,
        }
    }

    /// When a coil begins to charge or fires next; infinite when nothing is due.
    #[inline]
    pub(super) fn due_s(&self) -> f64 {
        self.scheduler.due_s()
    }

    /// Carries out what is due.
    pub(super) fn due(&mut self, now_s: f64, bench: &mut impl Bench) {
        self.scheduler.due(now_s, bench);
    }

    /// When the crank counts as stalled unless another edge comes; infinite before the first edge and after a stall.
    #[inline]
    pub(super) fn stalls_at_s(&self) -> f64 {
        self.decoder.stalls_at_s().unwrap_or(f64::INFINITY)
    }

    /// An edge is seen.
    #[inline]
    pub(super) fn edge(&mut self, now_s: f64, row: &Row, bench: &mut impl Bench) {
        let seen = self.decoder.edge(now_s);
        let speed = self.decoder.speed_deg_per_s();
        let speed_rpm = speed / DEG_PER_S;
        bench.happens(What::Edge { speed_rpm });
        if let Some(ratio) = seen.gap {
            bench.happens(What::Gap { ratio });
        }
        if let Some(change) = seen.change {
            self.announce(change, bench);
        }
        let mut conditions = conditions(row, speed_rpm);
        // Until two whole periods are known the speed is unknown, although the crank turns: whatever depends on
        // the speed waits. Even the launch switch is not read before that, since whether launch may arm depends
        // on the speed.
        let is_known = speed > 0.0;
        if !is_known {
            conditions.launch_switch = self.launch_switch;
        }
        let situation = self.observe(&conditions, is_known, bench);
        if !self.decoder.in_sync() || speed <= 0.0 {
            return;
        }
        let instant = Instant {
            now_s,
            position_deg: self.decoder.position_deg(),
            to_next_deg: self.decoder.to_next_deg(),
            speed,
        };
        let mut asked = Asked::new(&self.evaluation, conditions, situation);
        if seen.change.is_some() {
            self.scheduler.place(&instant, &mut asked);
        }
        self.scheduler.serve(&instant, &mut asked, bench);
    }

    /// No edge came for too long.
    pub(super) fn stall(&mut self, row: &Row, bench: &mut impl Bench) {
        if let Some(change) = self.decoder.stall() {
            self.announce(change, bench);
        }
        self.observe(&conditions(row, 0.0), true, bench);
    }

    fn announce(&mut self, change: Change, bench: &mut impl Bench) {
        match change {
            Change::Found => bench.happens(What::Sync),
            Change::Lost(loss) => {
                bench.happens(What::SyncLost(loss));
                self.scheduler.let_down(bench);
            }
        }
    }

    /// Updates state and outputs; while the speed is unknown, only as far as they do not depend on it.
    #[inline]
    fn observe(&mut self, conditions: &Conditions, is_speed_known: bool, bench: &mut impl Bench) -> Situation {
        self.launch_switch = conditions.launch_switch;
        let situation = self.memory.observe(self.evaluation.parts(), conditions);
        if self.state != Some(situation.state) {
            self.state = Some(situation.state);
            bench.happens(What::State(situation.state));
        }
        let mut tell = |output, before: Shown, now: Shown| match (before.is_on(), now.is_on()) {
            (false, true) => bench.happens(What::OutputOn { output }),
            (true, false) => bench.happens(What::OutputOff { output }),
            // From steady to blinking or back, the output stays on.
            _ => {}
        };
        if is_speed_known {
            let advance_deg =
                self.watches_advance.then(|| self.evaluation.breakdown(conditions, situation).commanded_deg);
            self.outputs.update(conditions, advance_deg, tell);
        } else {
            self.outputs.update_but_speed(conditions, &mut tell);
        }
        situation
    }
}

#[inline]
fn conditions(row: &Row, speed_rpm: f64) -> Conditions {
    Conditions {
        speed_rpm,
        load: row.load,
        coolant_c: row.coolant_c,
        air_c: row.air_c,
        battery_v: Some(row.battery_v),
        throttle_pct: row.throttle_pct,
        launch_switch: row.launch,
    }
}
