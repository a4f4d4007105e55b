//! A run on the rig, from instant to instant.

use std::ops::ControlFlow;

use super::coil::Plan;
use super::edges::SeenEdges;
use super::summary::Tally;
use super::unit::{Bench, Unit};
use super::{EdgeTimes, Event, Layout, Motion, Row, Run, Settings, SettingsError, Sink, Summary, What};
use crate::project::{Coil, Project};

/// The rig with a project on it.
#[derive(Clone, Debug)]
pub struct Rig<'a> {
    project: &'a Project,
    settings: Settings,
}

impl<'a> Rig<'a> {
    /// Puts a project on the rig.
    ///
    /// # Errors
    /// [`SettingsError`] for a setting out of range.
    pub fn new(project: &'a Project, settings: Settings) -> Result<Self, SettingsError> {
        settings.check()?;
        Ok(Self { project, settings })
    }

    /// How the crank turns in a run.
    pub fn motion(&self, run: &Run) -> Motion {
        Motion::new(run, self.settings.swing(&Layout::new(self.project)))
    }

    /// Drives a run through, giving every event to `sink` in order of time, and sums it up.
    pub fn run(&self, run: &Run, sink: &mut impl Sink) -> Summary {
        let layout = Layout::new(self.project);
        let motion = self.motion(run);
        let edges = SeenEdges::new(EdgeTimes::new(&motion, &layout), run.start_s(), &self.settings);
        let stage = Stage {
            motion: &motion,
            layout,
            coil: &self.project.coil,
            sink,
            tally: Tally::new(self.project, run.start_s()),
            span: 0,
            now_s: run.start_s(),
            crank_deg: 0.0,
            is_broken_off: false,
        };
        drive(Unit::new(self.project), edges, run, stage)
    }
}

/// From one instant to the next: an edge, a coil that is due, or a stall; of two at once the coil comes first.
fn drive<S: Sink>(mut unit: Unit<'_>, mut edges: SeenEdges<'_>, run: &Run, mut stage: Stage<'_, S>) -> Summary {
    let end_s = run.end_s();
    let mut rows = Rows::new(run.rows());
    let mut next = edges.next();
    while !stage.is_broken_off {
        let edge_s = next.map_or(f64::INFINITY, |edge| edge.time_s);
        let (due_s, stalls_at_s) = (unit.due_s(), unit.stalls_at_s());
        if due_s.min(edge_s).min(stalls_at_s) > end_s {
            break;
        }
        if due_s <= edge_s && due_s <= stalls_at_s {
            stage.turn_to(due_s, None);
            unit.due(due_s, &mut stage);
        } else if edge_s <= stalls_at_s {
            stage.turn_to(edge_s, next.and_then(|edge| edge.crank_deg));
            unit.edge(edge_s, &rows.at(edge_s), &mut stage);
            next = edges.next();
        } else {
            stage.turn_to(stalls_at_s, None);
            unit.stall(&rows.at(stalls_at_s), &mut stage);
        }
    }
    let reached_s = if stage.is_broken_off { stage.now_s } else { end_s };
    stage.tally.finish(reached_s)
}

/// The run's rows at times that grow.
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

/// What is outside the unit: the crank, the coils' currents, and those who watch.
struct Stage<'a, S> {
    motion: &'a Motion,
    layout: Layout,
    coil: &'a Coil,
    sink: &'a mut S,
    tally: Tally,
    span: usize,
    now_s: f64,
    crank_deg: f64,
    is_broken_off: bool,
}

impl<S> Stage<'_, S> {
    /// The present instant; `crank_deg` where it is known without reckoning.
    #[inline]
    fn turn_to(&mut self, now_s: f64, crank_deg: Option<f64>) {
        self.now_s = now_s;
        self.crank_deg = crank_deg.unwrap_or_else(|| self.motion.crank_deg_from(&mut self.span, now_s));
    }
}

impl<S: Sink> Bench for Stage<'_, S> {
    #[inline]
    fn happens(&mut self, what: What) {
        if self.is_broken_off {
            return;
        }
        let event = Event { time_s: self.now_s, crank_deg: self.crank_deg, what };
        self.tally.add(&event);
        self.is_broken_off = self.sink.take(&event) == ControlFlow::Break(());
    }

    fn fires(&mut self, channel: usize, plan: &Plan) {
        let dwell_ms = (self.now_s - plan.start_s) * 1e3;
        let current_a = self.coil.current_a(dwell_ms, plan.battery_v);
        self.happens(What::Spark {
            channel,
            commanded_deg: plan.commanded_deg,
            actual_deg: self.layout.before_tdc_deg(channel, self.crank_deg),
            dwell_ms,
            current_a,
            energy_mj: self.coil.energy_mj(current_a),
        });
    }
}
