//! From the readings of a day to what they tell, point by point.

use serde::{Serialize, Serializer};

use super::joining::Part;
use super::{SweepChoice, SweepNote, SweepPoint, SweepSetting, SweepState};
use crate::project::{SweepReading, TorqueKind};
use crate::wording::{Unit, count, given_load, quantity, with_unit};
use crate::worksheet::{WorksheetError, as_words, check};

/// What the readings of timing sweeps tell.
#[derive(Clone, Debug)]
pub struct SweepAnswer {
    /// The operating points, in the order in which they were read.
    pub points: Vec<SweepPoint>,
    /// What is to be said about all readings.
    pub notes: Vec<SweepNote>,
    /// How many readings there are.
    pub readings: usize,
    /// How they were taken and judged.
    pub setting: SweepSetting,
}

impl SweepAnswer {
    /// Groups the readings, fits each operating point and says what follows.
    ///
    /// ```
    /// use sparkloft::project::{SweepReading, TorqueKind};
    /// use sparkloft::worksheet::{SweepAnswer, SweepChoice, SweepSetting};
    ///
    /// let torques = [110.9, 115.6, 119.1, 122.2, 124.0, 124.9, 124.6, 123.6, 121.3];
    /// let readings: Vec<SweepReading> = torques.iter().zip(0..).map(|(&torque, step)| {
    ///     let advance_deg = 14.0 + 3.0 * f64::from(step);
    ///     SweepReading { speed_rpm: 3000.0, load: 60.0, advance_deg, torque, ..SweepReading::default() }
    /// }).collect();
    /// let answer = SweepAnswer::of(&readings, &SweepSetting::new(TorqueKind::TorqueNm))?;
    /// let point = &answer.points[0];
    /// assert!((point.curve.as_ref().unwrap().best_deg - 30.2686).abs() < 1e-4);
    /// assert_eq!(point.chosen(SweepChoice::Least).deg, Some(25.5));
    /// # Ok::<(), sparkloft::worksheet::WorksheetError>(())
    /// ```
    ///
    /// # Errors
    /// [`WorksheetError`] if there are no readings, if one has no torque or an advance out of range, and for pulls without
    /// speeds to read them off at. What the readings do not tell is no error but a verdict.
    pub fn of(readings: &[SweepReading], setting: &SweepSetting) -> Result<Self, WorksheetError> {
        check_readings(readings, setting)?;
        let (points, notes) = Part::of(readings, setting)?.alone(setting);
        Ok(Self { points, notes, readings: readings.len(), setting: setting.clone() })
    }

    /// How many points are known that well.
    pub fn count(&self, state: SweepState) -> usize {
        self.points.iter().filter(|point| point.state() == state).count()
    }

    /// '14 points: 11 known, 2 limited by knock, 1 open'.
    pub fn summary(&self) -> String {
        let states = [
            (SweepState::Known, "known"),
            (SweepState::LimitedByKnock, "limited by knock"),
            (SweepState::Open, "open"),
        ];
        let told = states.map(|(state, words)| (self.count(state), words));
        let told: Vec<String> =
            told.iter().filter(|(number, _)| *number > 0).map(|(number, words)| format!("{number} {words}")).collect();
        format!("{}: {}", count(self.points.len(), "point"), told.join(", "))
    }

    /// What the loads are in.
    pub fn load_unit(&self) -> Unit {
        self.setting.load_unit()
    }

    /// What people call a point: its name, or its speed and load.
    pub fn name_of(&self, point: &SweepPoint) -> String {
        point.name.clone().unwrap_or_else(|| {
            let (speed_rpm, load) = point.called_at;
            let load = with_unit(&given_load(rounded(load)), self.load_unit());
            format!("{}, {load}", quantity(speed_rpm.round(), Unit::Rpm))
        })
    }

    /// One row for each point, by a choice.
    pub fn rows(&self, choice: SweepChoice) -> Vec<SweepRow> {
        self.points.iter().map(|point| self.row(point, choice)).collect()
    }

    fn row(&self, point: &SweepPoint, choice: SweepChoice) -> SweepRow {
        let curve = point.curve.as_ref();
        let chosen = point.chosen(choice);
        SweepRow {
            point: self.name_of(point),
            speed_rpm: point.speed_rpm,
            load: point.load,
            readings: point.readings.len(),
            left_out: point.left_out(),
            mbt_deg: curve.map(|curve| curve.best_deg),
            mbt_low_deg: curve.and_then(|curve| curve.best.low_deg),
            mbt_high_deg: curve.and_then(|curve| curve.best.high_deg),
            flat_low_deg: curve.and_then(|curve| curve.flat_low_deg),
            flat_low_low_deg: curve.and_then(|curve| curve.flat_low.low_deg),
            flat_low_high_deg: curve.and_then(|curve| curve.flat_low.high_deg),
            flat_high_deg: curve.and_then(|curve| curve.flat_high_deg),
            top_torque: curve.map(|curve| curve.top),
            scatter_pct: curve.map(|curve| 100.0 * curve.scatter / curve.top),
            drift_pct: curve.and_then(|curve| Some(100.0 * curve.drift? / curve.top)),
            parabola_mbt_deg: point.parabola.as_ref().map(|parabola| parabola.best_deg),
            clean_to_deg: point.knock.clean_to_deg,
            knock_from_deg: point.knock.from_deg,
            choice,
            choice_deg: chosen.deg,
            torque_at_choice_pct: chosen.torque_pct,
            verdicts: point.verdicts.clone(),
            speed_spread_rpm: point.speed_spread_rpm,
            load_spread: point.load_spread,
            next_deg: point.next_deg.clone(),
        }
    }
}

/// A load to one decimal, as part of a name.
fn rounded(load: f64) -> f64 {
    crate::wording::rounded(load, 1)
}

/// Whether all of them are readings at all.
pub(super) fn check_readings(readings: &[SweepReading], setting: &SweepSetting) -> Result<(), WorksheetError> {
    if readings.is_empty() {
        return Err(WorksheetError::Contradiction("there are no readings".into()));
    }
    (1..).zip(readings).try_for_each(|(row, reading)| check_reading(row, reading, setting))
}

fn check_reading(row: usize, reading: &SweepReading, setting: &SweepSetting) -> Result<(), WorksheetError> {
    let named = |what: &str| format!("reading {row}, {what}");
    check(&named("advance"), reading.advance_deg, -60.0, 90.0, Unit::Degree)?;
    check(&named("speed"), reading.speed_rpm, 0.0, 30_000.0, Unit::Rpm)?;
    if let Some(load) = setting.load {
        let (low, high) = load.range();
        check(&named("load"), reading.load, low, high, load.unit())?;
    }
    let is_positive = |value: f64| value.is_finite() && value > 0.0;
    let has_speed = setting.torque_kind != TorqueKind::PowerKw || reading.speed_rpm > 0.0;
    if !is_positive(reading.torque) || !has_speed || reading.torque_sd.is_some_and(|sd| !is_positive(sd)) {
        let message = "it must be more than 0; leave out what is not a reading".into();
        return Err(WorksheetError::Value { name: named("torque"), message });
    }
    if !reading.load.is_finite() {
        return Err(WorksheetError::Value { name: named("load"), message: "not a finite number".into() });
    }
    Ok(())
}

/// What there is to write down of one point; what is not known is empty.
#[derive(Clone, Debug, Serialize)]
#[expect(missing_docs, reason = "the names of columns, described in the help of the job")]
pub struct SweepRow {
    pub point: String,
    pub speed_rpm: f64,
    pub load: f64,
    pub readings: usize,
    pub left_out: usize,
    pub mbt_deg: Option<f64>,
    pub mbt_low_deg: Option<f64>,
    pub mbt_high_deg: Option<f64>,
    pub flat_low_deg: Option<f64>,
    pub flat_low_low_deg: Option<f64>,
    pub flat_low_high_deg: Option<f64>,
    pub flat_high_deg: Option<f64>,
    pub top_torque: Option<f64>,
    pub scatter_pct: Option<f64>,
    pub drift_pct: Option<f64>,
    pub parabola_mbt_deg: Option<f64>,
    pub clean_to_deg: Option<f64>,
    pub knock_from_deg: Option<f64>,
    pub choice: SweepChoice,
    pub choice_deg: Option<f64>,
    pub torque_at_choice_pct: Option<f64>,
    #[serde(serialize_with = "in_words")]
    pub verdicts: Vec<super::SweepVerdict>,
    pub speed_spread_rpm: f64,
    pub load_spread: f64,
    pub next_deg: Vec<f64>,
}

fn in_words<S: Serializer>(verdicts: &[super::SweepVerdict], serializer: S) -> Result<S::Ok, S::Error> {
    as_words(verdicts, serializer)
}
