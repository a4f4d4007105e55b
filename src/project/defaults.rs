//! A new project: sensible, complete, valid. Figures: common practice, no source, unless said.

use super::assumed::assumed_at_new;
use super::starter::{self, Starter};
use super::{
    Advance, CheckSettings, Coil, CoilKind, Combustion, Edge, Evidence, FormatVersion, FullLoadLine, GapPlace,
    KnownEngine, Limits, LinearSensor, LoadKind, NewProjectError, Origin, Parts, Project, Sender, SensorKind, Sensors,
    StartingLayout, Tachometer, TimingLight, Trigger, Wheel, new_tuning,
};
use crate::table::{Curve, CurveError, MAX_BREAKPOINTS, MIN_BREAKPOINTS};

/// What a new project is made for.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct NewProject {
    /// What the car is called.
    pub name: String,
    /// 4, 6 or 8.
    pub cylinders: u8,
    /// What the load axis is.
    pub load: LoadKind,
    /// Speed breakpoints, 2 to 64.
    pub speeds: usize,
    /// Load breakpoints, 2 to 64.
    pub loads: usize,
}

impl NewProject {
    /// Makes a project for an engine about which nothing is known.
    ///
    /// ```
    /// use sparkloft::project::{LoadKind, NewProject};
    ///
    /// let new = NewProject { name: "Heron".into(), cylinders: 6, load: LoadKind::Pressure, speeds: 16, loads: 12 };
    /// let project = new.create()?;
    /// assert_eq!((project.engine.channels.len(), project.advance.table().values().len()), (3, 16 * 12));
    /// # Ok::<(), Box<dyn std::error::Error>>(())
    /// ```
    ///
    /// # Errors
    /// [`NewProjectError`] for a cylinder count or a size that cannot be.
    pub fn create(&self) -> Result<Project, NewProjectError> {
        self.create_for(&KnownEngine::default())
    }

    /// Makes a project for what is known of the engine; the rest is assumed and marked as such.
    ///
    /// # Errors
    /// [`NewProjectError`] for a cylinder count, a size or a figure of the engine that cannot be.
    pub fn create_for(&self, known: &KnownEngine) -> Result<Project, NewProjectError> {
        Ok(Project::new(self.parts(known)?)?)
    }

    fn parts(&self, known: &KnownEngine) -> Result<Parts, NewProjectError> {
        let Self { ref name, cylinders, load, speeds, loads } = *self;
        let firing_order = firing_order(cylinders).ok_or(NewProjectError::Cylinders(cylinders))?;
        let size = MIN_BREAKPOINTS..=MAX_BREAKPOINTS;
        if !size.contains(&speeds) || !size.contains(&loads) {
            return Err(NewProjectError::Size { speeds, loads });
        }
        let engine = known.engine(firing_order, load)?;
        let line = FullLoadLine::of(&engine, load)?;
        let limits = new_tuning::limits(&engine);
        let trims = new_tuning::trims(&engine, load)?;
        let step_deg = 0.5;
        let speeds = starter::speed_axis(speeds, limits.over_speed.cuts_at_rpm).map_err(defaults)?;
        let loads = starter::load_axis(load, loads, engine.highest_pressure_kpa).map_err(defaults)?;
        let starter = Starter { engine: &engine, load, trims: &trims, line: &line, step_deg };
        let advance = starter.table(speeds, loads)?;
        let wheel = Wheel { teeth: 36, missing: 1 };
        let reference_deg = GapPlace::usual(wheel, cylinders).middle_deg()?;
        let trigger = trigger(wheel, reference_deg);
        let mut parts = Parts {
            format: FormatVersion,
            name: name.clone(),
            notes: String::new(),
            step_deg,
            locked_timing_deg: None,
            assumed: assumed_at_new(known, load),
            combustion: Combustion::default(),
            sensors: sensors(load, engine.highest_pressure_kpa),
            coil: coil(&limits)?,
            advance,
            full_load_line: line,
            safety_margin: new_tuning::safety_margin(load)?,
            trims,
            limits,
            tachometer: Tachometer { enabled: true, pulses_per_revolution: f64::from(cylinders) / 2.0 },
            outputs: Vec::new(),
            image: StartingLayout::Words.layout(load),
            timing_light: TimingLight {
                taken_at: String::new(),
                wheel,
                reference_deg,
                zero_offset_deg: 0.0,
                sensor: trigger.sensor,
                latency_us: trigger.latency_us,
                readings: Vec::new(),
            },
            engine,
            trigger,
            typed_readings: Vec::new(),
            runs: Vec::new(),
            evidence: Evidence::default(),
            checks: CheckSettings::default(),
            last_export: None,
            snapshots: Vec::new(),
        };
        let lowered = parts.under_full_load_line().map_err(defaults)?;
        let starter =
            Starter { engine: &parts.engine, load, trims: &parts.trims, line: &parts.full_load_line, step_deg };
        let table = starter.eased(lowered.table())?;
        let idle_deg = table.lookup(parts.engine.idle_speed_rpm, parts.engine.idle_load);
        parts.advance = Advance::uniform(table, Origin::Starter).map_err(defaults)?;
        new_tuning::leave_some_at_idle(&mut parts.trims, &parts.engine, idle_deg)?;
        Ok(parts)
    }
}

fn defaults(error: impl std::fmt::Display) -> NewProjectError {
    NewProjectError::Defaults(error.to_string())
}

/// The usual firing order.
fn firing_order(cylinders: u8) -> Option<Vec<u8>> {
    match cylinders {
        4 => Some(vec![1, 3, 4, 2]),
        6 => Some(vec![1, 5, 3, 6, 2, 4]),
        8 => Some(vec![1, 8, 4, 3, 6, 5, 7, 2]),
        _ => None,
    }
}

fn trigger(wheel: Wheel, reference_deg: f64) -> Trigger {
    Trigger {
        wheel,
        reference_deg,
        zero_offset_deg: 0.0,
        sensor: SensorKind::Inductive,
        edge: Edge::Falling,
        latency_us: 0.0,
        lead_pitches: 0.1,
        gaps_to_sync: 2,
    }
}

fn sensors(load: LoadKind, highest_kpa: f64) -> Sensors {
    // The usual sensor, or the next larger one that still covers the highest pressure and some overboost.
    let reads_to_kpa = [250.0, 300.0, 400.0].into_iter().find(|&kpa| kpa >= 1.15 * highest_kpa).unwrap_or(500.0);
    // A 2.5 kΩ (at 20 °C) sender.
    let sender = |stand_in_c| Sender {
        fitted: true,
        points_c: [0.0, 50.0, 100.0],
        points_ohm: [5975.0, 806.9, 175.7],
        pull_up_ohm: 2200.0,
        stand_in_c,
    };
    Sensors {
        load,
        throttle: LinearSensor { fitted: true, first_v: 0.5, first_reads: 0.0, second_v: 4.5, second_reads: 100.0 },
        pressure: LinearSensor {
            fitted: load == LoadKind::Pressure,
            first_v: 0.5,
            first_reads: 20.0,
            second_v: 4.5,
            second_reads: reads_to_kpa,
        },
        coolant: sender(80.0),
        air: sender(50.0),
        lowest_battery_v: 8.0,
        highest_battery_v: 15.0,
    }
}

fn coil(limits: &Limits) -> Result<Coil, CurveError> {
    // The dwell reaches about 7 A with the resistances below: t = −(L/R)·ln(1 − I·R/(V − V_driver)). From 12 V
    // up there must still be time for it at the speed where every spark is cut.
    let dwell = [(6.0, 10.0), (8.0, 7.0), (10.0, 4.4), (12.0, 3.2), (14.0, 2.6), (16.0, 2.1)];
    let burn_time_ms = 1.0;
    let time_ms = 60_000.0 / limits.over_speed.cuts_all_at_rpm - burn_time_ms;
    let most_ms = (time_ms.max(0.5) * 10.0).floor() / 10.0;
    let dwell = dwell.map(|(volts, ms): (f64, f64)| (volts, if volts < 12.0 { ms } else { ms.min(most_ms) }));
    Ok(Coil {
        kind: CoilKind::DoubleEnded,
        resistance_ohm: 0.5,
        temperature_c: 80.0,
        inductance_mh: 3.7,
        harness_ohm: 0.15,
        driver_drop_v: 1.2,
        current_limit_a: None,
        rated_current_a: 8.0,
        burn_time_ms,
        dwell_ms: Curve::from_points(&dwell)?,
        secondary_voltage_kv: None,
    })
}

#[cfg(test)]
fn two_outputs(limits: &Limits) -> Vec<super::Output> {
    use super::ReadyOutput::{Fan, ShiftLight};
    [ShiftLight, Fan].map(|ready| ready.output(limits)).to_vec()
}

/// A point and a sweep in which every value is there.
#[cfg(test)]
fn measured() -> Evidence {
    use super::{AirStandard, KeptSweep, MeasuredPoint, PointBound, PointKind, SweepReading};
    let point = MeasuredPoint {
        name: "P3".into(),
        speed_rpm: 3000.0,
        load: 60.0,
        advance_deg: 24.5,
        low_deg: Some(23.9),
        high_deg: Some(25.2),
        sd_deg: Some(0.4),
        bound: PointBound::About,
        kind: PointKind::BestTorque,
        source: "May sweep".into(),
        taken_at: "2026-05-04".into(),
        note: "fuel 98".into(),
        in_use: true,
    };
    let reading = |advance_deg| SweepReading {
        speed_rpm: 3000.0,
        load: 60.0,
        advance_deg,
        torque: 100.0,
        knock: Some(0.0),
        lambda: Some(0.9),
        coolant_c: Some(85.0),
        air_c: Some(25.0),
        air_kpa: Some(99.0),
        humidity_pct: Some(40.0),
        time_s: Some(10.0 * advance_deg),
        point: Some("P3".into()),
        pull: Some(1),
        torque_sd: Some(0.5),
        left_out: Some("a gust".into()),
    };
    let may = KeptSweep {
        name: "May sweep".into(),
        taken_at: "2026-05-04".into(),
        note: "fuel 98".into(),
        air: Some(AirStandard::Iso),
        readings: vec![reading(20.0), reading(22.0)],
        ..KeptSweep::default()
    };
    Evidence { points: vec![point.into()], sweeps: vec![may.into()] }
}

#[cfg(test)]
impl NewProject {
    /// The same with a shift light and a fan, so that tests have outputs to work on.
    pub(crate) fn create_with_outputs(&self) -> Project {
        let add = |parts: &mut Parts| parts.outputs = two_outputs(&parts.limits);
        self.create().unwrap().edit(add).unwrap()
    }

    /// A project in which every list has an entry and every optional value is there.
    pub(crate) fn sample_with_everything() -> Result<Parts, NewProjectError> {
        use super::{AcceptedFinding, FindingPlace, KeptRow, KeptRun, TimingReading, TypedReading};
        let new = Self { name: "everything".into(), cylinders: 4, load: LoadKind::Throttle, speeds: 16, loads: 16 };
        let mut parts = new.parts(&KnownEngine::default())?;
        parts.coil.current_limit_a = Some(9.0);
        parts.outputs = two_outputs(&parts.limits);
        parts.image.items[2].speeds = Some(16);
        parts.image.items[2].loads = Some(16);
        parts.timing_light.readings.push(TimingReading { commanded_deg: 10.0, observed_deg: 14.0, speed_rpm: 900.0 });
        parts.checks.thresholds.insert("stands_out_deg".into(), 2.5);
        parts.checks.threshold_reasons.insert("stands_out_deg".into(), "rough by design".into());
        parts.assumed = ["engine.chamber".to_owned()].into();
        let typed = TypedReading { commanded_deg: Some(10.0), observed_deg: Some(13.5), speed_rpm: Some(2000.0) };
        parts.typed_readings.push(typed);
        let row = |time_s| KeptRow {
            time_s: Some(time_s),
            speed_rpm: Some(900.0),
            load: Some(20.0),
            coolant_c: Some(85.0),
            air_c: Some(25.0),
            battery_v: Some(13.8),
            throttle_pct: Some(20.0),
            launch: false,
        };
        let hill = KeptRun { name: "hill".into(), rows: vec![row(0.0), row(5.0)], ..KeptRun::default() };
        parts.runs.push(hill.into());
        parts.evidence = measured();
        parts.combustion = Combustion {
            bore_to_stroke: Some(0.95),
            rod_to_crank: Some(3.4),
            rated_speed_rpm: Some(6200.0),
            overlap_deg: Some(30.0),
            fuel_octane_mon: Some(86.0),
            intake_air_c: Some(28.0),
            coolant_c: Some(88.0),
            ambient_kpa: Some(99.0),
            ..Combustion::default()
        };
        let place = FindingPlace { of: "A".into(), at: Some(12.0), ..FindingPlace::cells((900.0, 1300.0), (0.0, 3.0)) };
        let accepted = AcceptedFinding { id: "idle_slope".into(), place, value: 3.5, reason: "steady".into() };
        parts.checks.accepted.push(accepted);
        Ok(parts)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_kind_of_new_project_is_valid() {
        for cylinders in [4, 6, 8] {
            for load in [LoadKind::Throttle, LoadKind::Pressure] {
                for (speeds, loads) in [(2, 2), (8, 8), (16, 12), (64, 64)] {
                    let project = NewProject { name: "new".into(), cylinders, load, speeds, loads }.create().unwrap();
                    assert_eq!(project.advance.table().values().len(), speeds * loads);
                    assert_eq!(project.engine.channels.len(), usize::from(cylinders) / 2);
                }
            }
        }
    }

    #[test]
    fn nothing_is_switched_that_nobody_asked_for() {
        let new = NewProject { name: "new".into(), cylinders: 4, load: LoadKind::Throttle, speeds: 8, loads: 8 };
        assert_eq!(new.create().unwrap().outputs, []);
    }

    #[test]
    fn engines_without_companions_are_refused() {
        let new =
            |cylinders| NewProject { name: "new".into(), cylinders, load: LoadKind::Throttle, speeds: 8, loads: 8 };
        for cylinders in [1, 3, 5, 12] {
            assert_eq!(new(cylinders).create().unwrap_err(), NewProjectError::Cylinders(cylinders));
        }
    }
}
