//! The runs that come with the program, fitted to a project. Speeds, times and voltages: common practice, no source.

use super::{Row, Run, RunError};
use crate::project::{LoadKind, Project, SPEED_RANGE_RPM};
use crate::wording::settle;

/// A built-in run.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum BuiltIn {
    /// The starter turns a warm engine, slower into each compression, until it fires and idles.
    CrankAndStart,
    /// Warm idle.
    Idle,
    /// Full load from idle to the over-speed limit, held there, and back: along the table's top row, and once
    /// more along the highest pressure.
    SweepToTheLimit,
    /// A cold start at −10 °C with a tired battery, and warming up.
    ColdStart,
    /// A standing start on the launch limit.
    Launch,
    /// From speed to standstill with the throttle closed.
    RunDown,
}

/// One step of a script: seconds since the previous step, and the conditions reached by then.
#[derive(Clone, Copy)]
struct Step {
    after_s: f64,
    speed_rpm: f64,
    /// 0 at idle load, 1 at full load.
    load: f64,
    coolant_c: f64,
    battery_v: f64,
    launch: bool,
}

const WARM_C: f64 = 85.0;
const AIR_C: f64 = 20.0;
const CHARGING_V: f64 = 14.0;
const CRANKING_V: f64 = 10.0;
/// Cyclic speed variation while the starter turns the engine over its compressions.
const CRANKING_VARIATION: f64 = 0.3;
/// The highest battery voltage that a run may have.
const HIGHEST_V: f64 = 60.0;

/// A warm engine without load.
const fn warm(after_s: f64, speed_rpm: f64, load: f64) -> Step {
    Step { after_s, speed_rpm, load, coolant_c: WARM_C, battery_v: CHARGING_V, launch: false }
}

impl BuiltIn {
    /// Every built-in run.
    pub const ALL: [Self; 6] =
        [Self::CrankAndStart, Self::Idle, Self::SweepToTheLimit, Self::ColdStart, Self::Launch, Self::RunDown];

    /// Its name on the command line.
    pub const fn name(self) -> &'static str {
        match self {
            Self::CrankAndStart => "crank-and-start",
            Self::Idle => "idle",
            Self::SweepToTheLimit => "sweep-to-the-limit",
            Self::ColdStart => "cold-start",
            Self::Launch => "launch",
            Self::RunDown => "run-down",
        }
    }

    /// What people call it.
    pub const fn label(self) -> &'static str {
        match self {
            Self::CrankAndStart => "crank and start",
            Self::Idle => "idle",
            Self::SweepToTheLimit => "sweep to the limit",
            Self::ColdStart => "cold start",
            Self::Launch => "launch",
            Self::RunDown => "run-down",
        }
    }

    /// The run for a project: its idle, its limits, its loads.
    ///
    /// # Errors
    /// [`RunError`] never for a valid project.
    pub fn run(self, project: &Project) -> Result<Run, RunError> {
        let steps = match self {
            Self::CrankAndStart => crank_and_start(project),
            Self::Idle => vec![warm(0.0, idle(project), 0.0), warm(10.0, idle(project), 0.0)],
            Self::SweepToTheLimit => sweep(project),
            Self::ColdStart => cold_start(project),
            Self::Launch => launch(project),
            Self::RunDown => run_down(project),
        };
        let run = Run::new(rows(project, &steps))?;
        let cranking_rpm = project.limits.cranking.below_rpm;
        Ok(if self == Self::CrankAndStart { run.unsteady(CRANKING_VARIATION, cranking_rpm) } else { run })
    }
}

fn idle(project: &Project) -> f64 {
    project.engine.idle_speed_rpm
}

/// The speed to accelerate to: the cut, or the end of the table where there is no cut.
fn top(project: &Project) -> f64 {
    let over = &project.limits.over_speed;
    if over.enabled { over.cuts_at_rpm } else { project.advance.table().speed().last() }
}

fn crank_and_start(project: &Project) -> Vec<Step> {
    let idle_rpm = idle(project);
    let cranking = |after_s, speed_rpm| Step { battery_v: CRANKING_V, ..warm(after_s, speed_rpm, 0.0) };
    vec![
        Step { battery_v: 12.5, ..warm(0.0, 0.0, 0.0) },
        cranking(0.3, 200.0),
        cranking(1.2, 220.0),
        warm(0.8, 1.35 * idle_rpm, 0.0),
        warm(1.5, idle_rpm, 0.0),
        warm(4.0, idle_rpm, 0.0),
    ]
}

/// Along the table's top row, and once more along the engine's highest pressure if that is not the top row.
fn sweep(project: &Project) -> Vec<Step> {
    let mut steps = sweep_along(project, 1.0);
    if let Some(load) = highest_pressure(project) {
        steps.extend(sweep_along(project, load).into_iter().skip(1));
    }
    steps
}

/// The engine's highest pressure as a share of the way from idle load to the top row; `None` if it is the top
/// row itself or if load is not pressure.
fn highest_pressure(project: &Project) -> Option<f64> {
    let (idle, top) = (project.engine.idle_load, project.advance.table().load().last());
    let load = (project.engine.highest_pressure_kpa - idle) / (top - idle);
    (project.sensors.load == LoadKind::Pressure && load > 0.0 && load < 1.0).then_some(load)
}

fn sweep_along(project: &Project, load: f64) -> Vec<Step> {
    let (idle_rpm, top_rpm) = (idle(project), top(project));
    let back_rpm = (project.limits.over_speed.fires_again_below_rpm - 30.0).clamp(0.0, top_rpm);
    let mut steps = vec![warm(0.0, idle_rpm, 0.0), warm(1.0, idle_rpm, 0.0), warm(0.3, idle_rpm, load)];
    steps.push(warm(7.0, top_rpm + 30.0, load));
    if project.limits.over_speed.enabled {
        for _ in 0..4 {
            steps.extend([warm(0.15, back_rpm, load), warm(0.2, top_rpm + 30.0, load)]);
        }
    }
    steps.extend([warm(0.2, 0.97 * top_rpm, 0.0), warm(3.0, idle_rpm, 0.0), warm(1.0, idle_rpm, 0.0)]);
    steps
}

fn cold_start(project: &Project) -> Vec<Step> {
    let idle_rpm = idle(project);
    let lowest_v = project.sensors.lowest_battery_v;
    let cold =
        |after_s, speed_rpm, coolant_c, battery_v| Step { coolant_c, battery_v, ..warm(after_s, speed_rpm, 0.0) };
    vec![
        cold(0.0, 0.0, -10.0, 12.2),
        cold(0.4, 120.0, -10.0, lowest_v),
        cold(2.0, 150.0, -10.0, lowest_v + 0.5),
        cold(1.0, 1.6 * idle_rpm, -9.0, 13.5),
        cold(20.0, 1.4 * idle_rpm, 25.0, CHARGING_V),
        cold(20.0, 1.1 * idle_rpm, 65.0, CHARGING_V),
        cold(15.0, idle_rpm, WARM_C, CHARGING_V),
    ]
}

fn launch(project: &Project) -> Vec<Step> {
    let (idle_rpm, launch) = (idle(project), &project.limits.launch);
    let on = |after_s, speed_rpm, load| Step { launch: true, ..warm(after_s, speed_rpm, load) };
    let back_rpm = (launch.cuts_at_rpm - launch.resume_drop_rpm - 30.0).max(0.0);
    let mut steps =
        vec![warm(0.0, idle_rpm, 0.0), on(1.0, idle_rpm.min(launch.arms_below_rpm), 0.0), on(0.3, 2000.0, 1.0)];
    steps.push(on(0.6, launch.cuts_at_rpm + 20.0, 1.0));
    for _ in 0..3 {
        steps.extend([on(0.15, back_rpm, 1.0), on(0.15, launch.cuts_at_rpm + 20.0, 1.0)]);
    }
    steps.extend([warm(0.05, 0.95 * launch.cuts_at_rpm, 1.0), warm(2.5, 0.95 * top(project), 1.0)]);
    steps.extend([warm(0.3, 0.9 * top(project), 0.0), warm(3.0, idle_rpm, 0.0)]);
    steps
}

fn run_down(project: &Project) -> Vec<Step> {
    let idle_rpm = idle(project);
    let still = |after_s, speed_rpm| Step { battery_v: 12.5, ..warm(after_s, speed_rpm, 0.0) };
    vec![
        warm(0.0, 0.6 * top(project), 0.0),
        warm(1.0, 0.6 * top(project), 0.0),
        warm(3.0, 1.1 * idle_rpm, 0.0),
        still(1.5, 0.0),
        still(1.5, 0.0),
    ]
}

fn rows(project: &Project, steps: &[Step]) -> Vec<Row> {
    let (idle_load, full_load) = (project.engine.idle_load, project.advance.table().load().last());
    let mut time_s = 0.0;
    let row = |step: &Step| {
        time_s = settle(time_s + step.after_s);
        let load = idle_load + step.load * (full_load - idle_load);
        // Where pressure is the load, the throttle is assumed to open with it.
        let throttle_pct = (project.sensors.load == LoadKind::Pressure).then_some(step.load * 100.0);
        Row {
            time_s,
            // A limit may be close to the highest speed that a run can have; the run must not go beyond.
            speed_rpm: step.speed_rpm.clamp(SPEED_RANGE_RPM.0, SPEED_RANGE_RPM.1),
            load,
            coolant_c: Some(step.coolant_c),
            air_c: Some(AIR_C),
            battery_v: step.battery_v.min(HIGHEST_V),
            throttle_pct,
            launch: step.launch,
        }
    };
    steps.iter().map(row).collect()
}
