//! Runs the rig from instant to instant.

use std::ops::ControlFlow;
use std::sync::Arc;

use super::edges::{SeenEdge, SeenEdges};
use super::scheduler::Plan;
use super::summary::Tally;
use super::unit::{Bench, UnitOnRig};
use super::{EdgeTimes, Event, Layout, Motion, Row, Run, Settings, SettingsError, Sink, Summary, What};
use crate::project::{Coil, Project};
use crate::spark::TableLookup;

/// The rig for one project.
#[derive(Clone, Debug)]
pub struct Rig<'a> {
    project: &'a Project,
    /// The project that the unit was set up with, and its table if the unit computes that in its own way.
    unit: &'a Project,
    table: Option<Arc<dyn TableLookup>>,
    settings: Settings,
}

impl<'a> Rig<'a> {
    /// Puts a project on the rig.
    ///
    /// # Errors
    /// [`SettingsError`] for a setting out of range.
    pub fn new(project: &'a Project, settings: Settings) -> Result<Self, SettingsError> {
        settings.check()?;
        Ok(Self { project, unit: project, table: None, settings })
    }

    /// Puts the engine of `project` on the rig, with a unit set up as `unit` and looking its table up in its
    /// own way.
    ///
    /// # Errors
    /// [`SettingsError`] for a setting out of range.
    pub fn with_unit(
        project: &'a Project,
        (unit, table): (&'a Project, Option<Arc<dyn TableLookup>>),
        settings: Settings,
    ) -> Result<Self, SettingsError> {
        settings.check()?;
        Ok(Self { project, unit, table, settings })
    }

    /// How the crank turns in a run.
    pub fn motion(&self, run: &Run) -> Motion {
        Motion::new(run, &self.settings, &Layout::new(self.project))
    }

    /// Drives a whole run, giving every event to `sink` in order of time, and returns its sums.
    ///
    /// ```
    /// use sparkloft::project::SAMPLES;
    /// use sparkloft::rig::{BuiltIn, Rig, Settings};
    ///
    /// let project = SAMPLES[0].project()?;
    /// let run = BuiltIn::Idle.run(&project)?;
    /// let summary = Rig::new(&project, Settings::default())?.run(&run, &mut ());
    /// assert!(summary.sparks > 0 && summary.sync_losses == 0);
    /// # Ok::<(), Box<dyn std::error::Error>>(())
    /// ```
    pub fn run(&self, run: &Run, sink: &mut impl Sink) -> Summary {
        let motion = self.motion(run);
        let mut drive = self.drive(run, &motion);
        // The result is ignored: the duration in the summary tells whether the sink stopped the run.
        let _ = drive.until(run.end_s(), sink);
        drive.summary()
    }

    /// A run at its start, to be driven piece by piece. `motion` is that of [`Rig::motion`] for the same run.
    pub fn drive<'d>(&self, run: &'d Run, motion: &'d Motion) -> Drive<'d>
    where
        'a: 'd,
    {
        let layout = Layout::new(self.project);
        let mut edges = SeenEdges::new(EdgeTimes::new(motion, &layout), run.start_s(), &self.settings);
        Drive {
            motion,
            layout,
            coil: &self.project.coil,
            unit: UnitOnRig::new(self.unit, self.table.clone()),
            next: edges.next(),
            edges,
            rows: Rows::new(run.rows()),
            tally: Tally::new(self.project, run.start_s()),
            crank: Crank { span: 0, now_s: run.start_s(), deg: 0.0 },
            end_s: run.end_s(),
            reached_s: run.start_s(),
            is_broken_off: false,
        }
    }
}

/// A run in progress. It can pause at any time and continue from there; a copy continues independently.
#[derive(Clone, Debug)]
pub struct Drive<'a> {
    motion: &'a Motion,
    layout: Layout,
    coil: &'a Coil,
    unit: UnitOnRig<'a>,
    edges: SeenEdges<'a>,
    next: Option<SeenEdge>,
    rows: Rows<'a>,
    tally: Tally,
    crank: Crank,
    end_s: f64,
    reached_s: f64,
    /// Whether a sink stopped it.
    is_broken_off: bool,
}

impl Drive<'_> {
    /// Continues to a time, or to the end of the run if that is earlier: every event up to and including that
    /// time is given to `sink`. Returns `Break` if the sink stopped it; further calls do nothing then and return
    /// `Break` as well.
    ///
    /// It advances from one instant to the next: an edge, a coil that is due, or a stall; of two at once the
    /// coil comes first.
    pub fn until(&mut self, until_s: f64, sink: &mut impl Sink) -> ControlFlow<()> {
        if self.is_broken_off {
            return ControlFlow::Break(());
        }
        let until_s = until_s.min(self.end_s);
        let Self { unit, edges, next, rows, .. } = self;
        let mut stage = Stage {
            motion: self.motion,
            layout: self.layout,
            coil: self.coil,
            sink,
            tally: &mut self.tally,
            crank: &mut self.crank,
            is_broken_off: false,
        };
        while !stage.is_broken_off {
            let edge_s = next.map_or(f64::INFINITY, |edge| edge.time_s);
            let (due_s, stalls_at_s) = (unit.due_s(), unit.stalls_at_s());
            if due_s.min(edge_s).min(stalls_at_s) > until_s {
                self.reached_s = self.reached_s.max(until_s);
                return ControlFlow::Continue(());
            }
            if due_s <= edge_s && due_s <= stalls_at_s {
                stage.turn_to(due_s, None);
                unit.due(due_s, &mut stage);
            } else if edge_s <= stalls_at_s {
                stage.turn_to(edge_s, next.and_then(|edge| edge.crank_deg));
                unit.edge(edge_s, &rows.at(edge_s), &mut stage);
                *next = edges.next();
            } else {
                stage.turn_to(stalls_at_s, None);
                unit.stall(&rows.at(stalls_at_s), &mut stage);
            }
        }
        self.reached_s = stage.crank.now_s;
        self.is_broken_off = true;
        ControlFlow::Break(())
    }

    /// How far it is, in seconds of the run.
    pub fn reached_s(&self) -> f64 {
        self.reached_s
    }

    /// The sums so far.
    pub fn summary(&self) -> Summary {
        self.tally.clone().finish(self.reached_s)
    }
}

/// The run's rows, read at non-decreasing times.
#[derive(Clone, Debug)]
struct Rows<'a> {
    rows: &'a [Row],
    place: usize,
    per_s: f64,
}

impl<'a> Rows<'a> {
    fn new(rows: &'a [Row]) -> Self {
        let mut new = Self { rows, place: 0, per_s: 0.0 };
        new.settle();
        new
    }

    fn settle(&mut self) {
        self.per_s = 1.0 / (self.rows[self.place + 1].time_s - self.rows[self.place].time_s);
    }

    #[inline]
    fn at(&mut self, time_s: f64) -> Row {
        while self.place + 2 < self.rows.len() && self.rows[self.place + 1].time_s <= time_s {
            self.place += 1;
            self.settle();
        }
        let (from, to) = (&self.rows[self.place], &self.rows[self.place + 1]);
        from.toward(to, (time_s - from.time_s) * self.per_s)
    }
}

/// Where the crank is.
#[derive(Clone, Copy, Debug)]
struct Crank {
    /// The span of the motion.
    span: usize,
    now_s: f64,
    deg: f64,
}

/// What is outside the unit: the crank, the coils' currents, and the observers.
struct Stage<'a, S> {
    motion: &'a Motion,
    layout: Layout,
    coil: &'a Coil,
    sink: &'a mut S,
    tally: &'a mut Tally,
    crank: &'a mut Crank,
    is_broken_off: bool,
}

impl<S> Stage<'_, S> {
    /// Moves on to an instant; `crank_deg` if it is known already.
    #[inline]
    fn turn_to(&mut self, now_s: f64, crank_deg: Option<f64>) {
        self.crank.now_s = now_s;
        self.crank.deg = crank_deg.unwrap_or_else(|| self.motion.crank_deg_from(&mut self.crank.span, now_s));
    }
}

impl<S: Sink> Bench for Stage<'_, S> {
    #[inline]
    fn happens(&mut self, what: What) {
        if self.is_broken_off {
            return;
        }
        let event = Event { time_s: self.crank.now_s, crank_deg: self.crank.deg, what };
        self.tally.add(&event);
        self.is_broken_off = self.sink.take(&event) == ControlFlow::Break(());
    }

    fn fires(&mut self, channel: usize, plan: &Plan) {
        let dwell_ms = (self.crank.now_s - plan.start_s) * 1e3;
        let current_a = self.coil.current_a(dwell_ms, plan.battery_v);
        self.happens(What::Spark {
            channel,
            commanded_deg: plan.commanded_deg,
            actual_deg: self.layout.before_tdc_deg(channel, self.crank.deg),
            dwell_ms,
            current_a,
            energy_mj: self.coil.energy_mj(current_a),
        });
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::project::SAMPLES;
    use crate::rig::{BuiltIn, Event};

    /// Stops at its third event, and counts.
    struct Stops(usize);

    impl Sink for Stops {
        fn take(&mut self, _: &Event) -> ControlFlow<()> {
            self.0 += 1;
            if self.0 == 3 { ControlFlow::Break(()) } else { ControlFlow::Continue(()) }
        }
    }

    #[test]
    fn a_drive_that_was_stopped_stays_so() {
        let project = SAMPLES[0].project().unwrap();
        let run = BuiltIn::Idle.run(&project).unwrap();
        let rig = Rig::new(&project, Settings::default()).unwrap();
        let motion = rig.motion(&run);
        let mut drive = rig.drive(&run, &motion);
        let mut sink = Stops(0);
        assert!(drive.until(run.end_s(), &mut sink).is_break());
        let reached_s = drive.reached_s();
        for until_s in [reached_s, run.end_s()] {
            assert!(drive.until(until_s, &mut sink).is_break());
            assert_eq!((sink.0, drive.reached_s()), (3, reached_s));
        }
    }
}
