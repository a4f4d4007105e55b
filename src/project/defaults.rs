//! A new project: sensible, complete, valid. Figures: common practice, no source, unless said.

use std::collections::BTreeSet;

use thiserror::Error;

use super::{
    Chamber, CheckSettings, Clamp, Coil, CoilKind, Cranking, CutPattern, Edge, Engine, Fault, FormatVersion,
    FullLoadLine, GapPlace, Induction, Launch, Limits, LinearSensor, LoadKind, Mixture, NoFreeReference, OverSpeed,
    Parts, Project, SafetyMargin, Sender, SensorKind, Sensors, StartingLayout, Tachometer, TimingLight, Trigger, Trim,
    Trims, Wheel, starter,
};
use crate::table::{Curve, CurveError, MAX_BREAKPOINTS, MIN_BREAKPOINTS};
use crate::wording::count;

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

/// Why there is no such new project.
#[derive(Clone, Debug, PartialEq, Error)]
pub enum NewProjectError {
    /// Not 4, 6 or 8.
    #[error(
        "{0} cylinders: wasted spark needs companion cylinders that share top dead centre: 4, 6 or 8 cylinders firing evenly"
    )]
    Cylinders(u8),
    /// A size outside 2 to 64.
    #[error(
        "a table of {} × {}; each axis has {MIN_BREAKPOINTS} to {MAX_BREAKPOINTS} breakpoints",
        count(*.speeds, "speed"), count(*.loads, "load")
    )]
    Size {
        /// Speeds asked for.
        speeds: usize,
        /// Loads asked for.
        loads: usize,
    },
    /// A wheel whose gap is in the way of sparks wherever the sensor sits.
    #[error(transparent)]
    Gap(#[from] NoFreeReference),
    /// A mistake in the defaults.
    #[error("{0}")]
    Defaults(String),
}

impl From<CurveError> for NewProjectError {
    fn from(error: CurveError) -> Self {
        Self::Defaults(error.to_string())
    }
}

impl From<Fault> for NewProjectError {
    fn from(fault: Fault) -> Self {
        Self::Defaults(fault.to_string())
    }
}

impl NewProject {
    /// Makes the project.
    ///
    /// # Errors
    /// [`NewProjectError`] for a cylinder count or a size that cannot be.
    pub fn create(&self) -> Result<Project, NewProjectError> {
        Ok(Project::new(self.parts()?)?)
    }

    fn parts(&self) -> Result<Parts, NewProjectError> {
        let Self { ref name, cylinders, load, speeds, loads } = *self;
        let firing_order = firing_order(cylinders).ok_or(NewProjectError::Cylinders(cylinders))?;
        let size = MIN_BREAKPOINTS..=MAX_BREAKPOINTS;
        if !size.contains(&speeds) || !size.contains(&loads) {
            return Err(NewProjectError::Size { speeds, loads });
        }
        let advance =
            starter::table(load, speeds, loads).map_err(|error| NewProjectError::Defaults(error.to_string()))?;
        let wheel = Wheel { teeth: 36, missing: 1 };
        let reference_deg = GapPlace::usual(wheel, cylinders).middle_deg()?;
        let parts = Parts {
            format: FormatVersion,
            name: name.clone(),
            notes: String::new(),
            step_deg: 0.5,
            locked_timing_deg: None,
            assumed: BTreeSet::new(),
            engine: engine(cylinders, firing_order, load),
            trigger: trigger(wheel, reference_deg),
            sensors: sensors(load),
            coil: coil()?,
            advance,
            full_load_line: full_load_line(load)?,
            safety_margin: SafetyMargin {
                enabled: false,
                degrees: Curve::from_points(&[(half_load(load), 0.0), (full_load(load), 2.0)])?,
            },
            trims: trims(load)?,
            limits: limits(),
            tachometer: Tachometer { enabled: true, pulses_per_revolution: f64::from(cylinders) / 2.0 },
            outputs: Vec::new(),
            image: StartingLayout::Words.layout(load),
            timing_light: TimingLight {
                taken_at: String::new(),
                wheel,
                reference_deg,
                zero_offset_deg: 0.0,
                sensor: SensorKind::Inductive,
                latency_us: 0.0,
                readings: Vec::new(),
            },
            typed_readings: Vec::new(),
            runs: Vec::new(),
            checks: CheckSettings::default(),
            last_export: None,
            snapshots: Vec::new(),
        };
        Ok(parts)
    }
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

fn full_load(load: LoadKind) -> f64 {
    match load {
        LoadKind::Throttle => 100.0,
        LoadKind::Pressure => 120.0,
    }
}

fn half_load(load: LoadKind) -> f64 {
    match load {
        LoadKind::Throttle => 50.0,
        LoadKind::Pressure => 70.0,
    }
}

fn idle_load(load: LoadKind) -> f64 {
    match load {
        LoadKind::Throttle => 3.0,
        LoadKind::Pressure => 40.0,
    }
}

fn engine(cylinders: u8, firing_order: Vec<u8>, load: LoadKind) -> Engine {
    Engine {
        cylinders,
        channels: Engine::proposed_channels(&firing_order),
        firing_order,
        displacement_l: f64::from(cylinders) / 2.0,
        compression_ratio: 9.0,
        induction: Induction::NaturallyAspirated,
        mixture: Mixture::Carburettors,
        fuel_octane_ron: 95.0,
        idle_speed_rpm: 900.0,
        idle_load: idle_load(load),
        highest_pressure_kpa: 100.0,
        plugs: String::new(),
        plug_gap_mm: 0.8,
        chamber: Chamber::TwoValveSidePlug,
        highest_safe_speed_rpm: None,
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

fn sensors(load: LoadKind) -> Sensors {
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
            second_reads: 250.0,
        },
        coolant: sender(80.0),
        air: sender(50.0),
        lowest_battery_v: 8.0,
        highest_battery_v: 15.0,
    }
}

fn coil() -> Result<Coil, CurveError> {
    // The dwell reaches about 7 A with the resistances below: t = −(L/R)·ln(1 − I·R/(V − V_driver)).
    let dwell = [(6.0, 10.0), (8.0, 7.0), (10.0, 4.4), (12.0, 3.2), (14.0, 2.6), (16.0, 2.1)];
    Ok(Coil {
        kind: CoilKind::DoubleEnded,
        resistance_ohm: 0.5,
        temperature_c: 60.0,
        inductance_mh: 3.7,
        harness_ohm: 0.15,
        driver_drop_v: 1.2,
        current_limit_a: None,
        rated_current_a: 8.0,
        burn_time_ms: 1.0,
        dwell_ms: Curve::from_points(&dwell)?,
        secondary_voltage_kv: None,
    })
}

fn full_load_line(load: LoadKind) -> Result<FullLoadLine, CurveError> {
    Ok(FullLoadLine {
        enabled: false,
        from_load: match load {
            LoadKind::Throttle => 80.0,
            LoadKind::Pressure => 90.0,
        },
        most_deg: Curve::from_points(&[(1000.0, 20.0), (2000.0, 26.0), (4000.0, 32.0), (7000.0, 34.0)])?,
        less_deg: Curve::from_points(&[(full_load(load) * 0.8, 0.0), (full_load(load), 0.0)])?,
    })
}

fn trims(load: LoadKind) -> Result<Trims, CurveError> {
    let coolant =
        [(-20.0, 4.0), (20.0, 3.0), (40.0, 2.0), (60.0, 1.0), (75.0, 0.0), (98.0, 0.0), (105.0, -2.0), (115.0, -5.0)];
    let air = [(30.0, 0.0), (40.0, -1.0), (50.0, -2.0), (60.0, -4.0), (70.0, -6.0)];
    Ok(Trims {
        coolant: Trim {
            enabled: true,
            degrees: Curve::from_points(&coolant)?,
            weight: Curve::from_points(&[(idle_load(load), 1.0), (full_load(load), 1.0)])?,
        },
        air: Trim {
            enabled: true,
            degrees: Curve::from_points(&air)?,
            weight: Curve::from_points(&[(idle_load(load), 0.0), (half_load(load), 1.0)])?,
        },
    })
}

fn limits() -> Limits {
    let cuts_at_rpm = 6500.0;
    Limits {
        cranking: Cranking {
            advance_deg: 8.0,
            no_spark_below_rpm: 50.0,
            below_rpm: 400.0,
            leave_at_rpm: 500.0,
            blend_rpm: 200.0,
        },
        over_speed: OverSpeed {
            enabled: true,
            eases_from_rpm: cuts_at_rpm - 250.0,
            eases_by_deg: 10.0,
            cuts_at_rpm,
            fires_again_below_rpm: cuts_at_rpm - 120.0,
            cuts_all_at_rpm: cuts_at_rpm + 200.0,
            pattern: CutPattern::AlternateCoils,
        },
        launch: Launch {
            enabled: false,
            arms_below_rpm: 1500.0,
            retards_from_rpm: 3500.0,
            cuts_at_rpm: 4200.0,
            resume_drop_rpm: 150.0,
            advance_deg: 0.0,
            throttle_above_pct: 60.0,
        },
        clamp: Clamp { floor_deg: -10.0, ceiling_deg: 45.0 },
    }
}

#[cfg(test)]
fn two_outputs(limits: &Limits) -> Vec<super::Output> {
    use super::ReadyOutput::{Fan, ShiftLight};
    [ShiftLight, Fan].map(|ready| ready.output(limits)).to_vec()
}

#[cfg(test)]
impl NewProject {
    /// The same with a shift light and a fan, so that there are outputs to work on.
    pub(crate) fn create_with_outputs(&self) -> Project {
        let add = |parts: &mut Parts| parts.outputs = two_outputs(&parts.limits);
        self.create().unwrap().edit(add).unwrap()
    }

    /// A project in which every list has an entry and every optional value is there.
    pub(crate) fn sample_with_everything() -> Result<Parts, NewProjectError> {
        use super::{AcceptedFinding, FindingPlace, KeptRow, KeptRun, TimingReading, TypedReading};
        let new = Self { name: "everything".into(), cylinders: 4, load: LoadKind::Throttle, speeds: 16, loads: 16 };
        let mut parts = new.parts()?;
        parts.coil.current_limit_a = Some(9.0);
        parts.outputs = two_outputs(&parts.limits);
        parts.image.items[2].speeds = Some(16);
        parts.image.items[2].loads = Some(16);
        parts.timing_light.readings.push(TimingReading { commanded_deg: 10.0, observed_deg: 14.0, speed_rpm: 900.0 });
        parts.checks.thresholds.insert("stands_out_deg".into(), 2.5);
        parts.checks.threshold_reasons.insert("stands_out_deg".into(), "rough by design".into());
        parts.assumed.insert("engine.chamber".into());
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
