//! The runs that need no file: those that come with the program, fitted to a project, and those that a project keeps.
//! Speeds, times and voltages: common practice, no source.

use thiserror::Error;

use super::{Row, Run, RunError};
use crate::project::{KeptRow, KeptRun, LoadKind, Project, SPEED_RANGE_RPM};
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

/// The battery voltage where a run does not give it: that of a working charging system; common practice, no
/// source.
pub const BATTERY_V: f64 = 13.8;

/// Why the rows of a kept run do not make a run yet.
#[derive(Clone, Debug, PartialEq, Error)]
pub enum KeptRunError {
    /// A mandatory number is missing.
    #[error("row {}: {column}: a number is missing", .row + 1)]
    Missing {
        /// Which row, counted from 0.
        row: usize,
        /// The column's name.
        column: &'static str,
    },
    /// A value out of range or out of order.
    #[error("row {}: {reason}", .row + 1)]
    Row {
        /// Which row, counted from 0.
        row: usize,
        /// What is wrong with it.
        reason: RunError,
    },
    /// Too few rows.
    #[error(transparent)]
    Run(RunError),
}

impl Run {
    /// The run that the rows make, with loads of that kind. Temperatures and throttle that were left out are
    /// unknown; a battery voltage that was left out is 13.8 V.
    ///
    /// # Errors
    /// [`KeptRunError`] naming the first row that is not finished, out of range or out of order.
    pub fn of_kept(kept: &KeptRun, load: LoadKind) -> Result<Self, KeptRunError> {
        let rows = kept.rows.iter().enumerate().map(|(row, kept)| {
            let there = |value: Option<f64>, column| value.ok_or(KeptRunError::Missing { row, column });
            Ok(Row {
                time_s: there(kept.time_s, "time")?,
                speed_rpm: there(kept.speed_rpm, "speed")?,
                load: there(kept.load, "load")?,
                coolant_c: kept.coolant_c,
                air_c: kept.air_c,
                battery_v: kept.battery_v.unwrap_or(BATTERY_V),
                throttle_pct: kept.throttle_pct,
                launch: kept.launch,
            })
        });
        let rows = rows.collect::<Result<_, KeptRunError>>()?;
        let placed = |reason: RunError| match reason.row() {
            Some(row) => KeptRunError::Row { row, reason },
            None => KeptRunError::Run(reason),
        };
        let run = Self::new(rows).map_err(placed)?;
        run.check_loads(load).map_err(placed)?;
        Ok(if kept.variation > 0.0 { run.unsteady(kept.variation, kept.varies_below_rpm) } else { run })
    }

    /// This run in the form that a project keeps, under a name: its rows and its own variation.
    pub fn to_be_kept(&self, name: String) -> KeptRun {
        let rows = self.rows().iter().map(KeptRow::from).collect();
        let (variation, varies_below_rpm) =
            self.own_variation().map_or((0.0, 0.0), |own| (own.variation, own.below_rpm));
        KeptRun { name, rows, variation, varies_below_rpm }
    }
}

impl From<&Row> for KeptRow {
    fn from(row: &Row) -> Self {
        Self {
            time_s: Some(row.time_s),
            speed_rpm: Some(row.speed_rpm),
            load: Some(row.load),
            coolant_c: row.coolant_c,
            air_c: row.air_c,
            battery_v: Some(row.battery_v),
            throttle_pct: row.throttle_pct,
            launch: row.launch,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::project::SAMPLES;
    use crate::rig::BuiltIn;

    fn kept(rows: &[KeptRow]) -> KeptRun {
        KeptRun { name: "hill".into(), rows: rows.to_vec(), ..KeptRun::default() }
    }

    fn row(time_s: f64) -> KeptRow {
        KeptRow { time_s: Some(time_s), speed_rpm: Some(900.0), load: Some(20.0), ..KeptRow::default() }
    }

    #[test]
    fn what_was_left_out_is_not_known_and_the_battery_charges() {
        let run = Run::of_kept(&kept(&[row(0.0), row(1.5)]), LoadKind::Throttle).unwrap();
        let Row { coolant_c, battery_v, launch, .. } = run.rows()[1];
        assert_eq!((coolant_c, battery_v, launch), (None, 13.8, false));
    }

    #[test]
    fn what_is_wrong_is_told_by_row() {
        let told = |rows: &[KeptRow]| Run::of_kept(&kept(rows), LoadKind::Throttle).unwrap_err().to_string();
        let unfinished = KeptRow { load: None, ..row(1.0) };
        assert_eq!(told(&[row(0.0), unfinished]), "row 2: load: a number is missing");
        assert_eq!(told(&[row(0.0), row(0.0)]), "row 2: time_s 0 is not after 0 of the row before; times must rise");
        let high = KeptRow { load: Some(150.0), ..row(1.0) };
        assert!(told(&[row(0.0), high]).starts_with("row 2: load 150 "), "{}", told(&[row(0.0), high]));
        assert_eq!(told(&[row(0.0)]), "a run needs two rows at least, and there is one");
    }

    #[test]
    fn every_built_in_run_can_be_kept_with_its_variation() {
        for sample in SAMPLES {
            let project = sample.project().unwrap();
            for built_in in BuiltIn::ALL {
                let run = built_in.run(&project).unwrap();
                assert_eq!(run.own_variation().is_some(), built_in == BuiltIn::CrankAndStart);
                let kept = run.to_be_kept("kept".into());
                assert_eq!(Run::of_kept(&kept, project.sensors.load).unwrap(), run);
            }
        }
    }
}
