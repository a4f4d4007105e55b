//! From the readings of a day to what they tell, point by point.

use serde::{Serialize, Serializer};

use super::pulls::{self, PullsRead};
use super::{AirStandard, SweepChoice, SweepPoint, SweepSetting, SweepState};
use super::{grouping, judging};
use crate::project::{SweepReading, TorqueKind};
use crate::wording::{Unit, count, fixed, given_load, quantity, with_unit};
use crate::worksheet::{Gravity, Verdict, WorksheetError, as_words, check};

/// A reading that lies near no operating point.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Stray {
    /// Its row, counted from 1.
    pub row: usize,
    /// Its speed in rpm.
    pub speed_rpm: f64,
    /// Its load.
    pub load: f64,
}

/// What is to be said about the readings as a whole.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum SweepNote {
    /// A reading belongs to no point.
    Stray {
        /// Which.
        stray: Stray,
        /// What its load is in.
        load_unit: Unit,
    },
    /// Pulls were read off at the speeds of the table.
    Pulls {
        /// How many pulls.
        pulls: usize,
        /// How many readings they gave.
        readings: usize,
    },
    /// The air was too far from a standard day.
    FarAir {
        /// The furthest factor.
        factor: f64,
        /// By which standard.
        standard: AirStandard,
    },
    /// Pulls whose air was not read.
    WithoutAir {
        /// How many.
        pulls: usize,
    },
    /// No standard corrects a boosted engine's torque.
    Boosted,
}

impl Verdict for SweepNote {
    fn gravity(&self) -> Gravity {
        match self {
            Self::Stray { .. } | Self::FarAir { .. } | Self::WithoutAir { .. } => Gravity::Warning,
            Self::Pulls { .. } | Self::Boosted => Gravity::Note,
        }
    }

    fn words(&self) -> String {
        match *self {
            Self::Stray { stray: Stray { row, speed_rpm, load }, load_unit } => format!(
                "Reading {row} belongs to no point: {}, {}.",
                quantity(speed_rpm, Unit::Rpm),
                with_unit(&given_load(load), load_unit)
            ),
            Self::Pulls { pulls, readings } => format!(
                "{} gave {}, one at each speed of the table inside it.",
                count(pulls, "pull"),
                count(readings, "reading")
            ),
            Self::FarAir { factor, standard } => format!(
                "The air changes torque by a factor of {} ({}): too far from the standard to be compared.",
                fixed(factor, 3),
                standard.words()
            ),
            Self::WithoutAir { pulls } => {
                format!("{} without air_kpa and air_c throughout: not corrected for the air.", count(pulls, "pull"))
            }
            Self::Boosted => {
                "The engine is boosted: no standard corrects its torque for the air, and none was applied.".into()
            }
        }
    }
}

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
        if readings.is_empty() {
            return Err(WorksheetError::Contradiction("there are no readings".into()));
        }
        for (row, reading) in (1..).zip(readings) {
            check_reading(row, reading, setting)?;
        }
        let (taken, read) = pulls::take(readings, setting)?;
        let plain: Vec<SweepReading> = taken.iter().map(|taken| taken.reading.clone()).collect();
        let (groups, strays) = grouping::group(&plain, &setting.limits);
        let points = (1..).zip(&groups).map(|(number, group)| judging::point(number, group, &taken, setting)).collect();
        let load_unit = setting.load.map_or(Unit::None, |load| load.unit());
        let stray = |at: usize| {
            let taken = taken.get(at)?;
            let (speed_rpm, load) = (taken.reading.speed_rpm, taken.reading.load);
            Some(SweepNote::Stray { stray: Stray { row: taken.row, speed_rpm, load }, load_unit })
        };
        let mut notes: Vec<SweepNote> = strays.into_iter().filter_map(stray).collect();
        notes.extend(of_pulls(&read, setting));
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
        self.setting.load.map_or(Unit::None, |load| load.unit())
    }

    /// What people call a point: its name, or its speed and load.
    pub fn name_of(&self, point: &SweepPoint) -> String {
        point.name.clone().unwrap_or_else(|| {
            let load = with_unit(&given_load(rounded(point.load)), self.load_unit());
            format!("{}, {load}", quantity(point.speed_rpm.round(), Unit::Rpm))
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
            next_deg: point.next_deg.clone(),
        }
    }
}

/// A load to one decimal, as part of a name.
fn rounded(load: f64) -> f64 {
    crate::wording::rounded(load, 1)
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

fn of_pulls(read: &PullsRead, setting: &SweepSetting) -> Vec<SweepNote> {
    if read.pulls == 0 {
        return Vec::new();
    }
    let mut notes = vec![SweepNote::Pulls { pulls: read.pulls, readings: read.readings }];
    let Some(standard) = setting.air else { return notes };
    if setting.is_boosted {
        notes.push(SweepNote::Boosted);
    }
    notes.extend(read.far_factor.map(|factor| SweepNote::FarAir { factor, standard }));
    notes.extend((read.without_air > 0).then_some(SweepNote::WithoutAir { pulls: read.without_air }));
    notes
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
    pub next_deg: Vec<f64>,
}

fn in_words<S: Serializer>(verdicts: &[super::SweepVerdict], serializer: S) -> Result<S::Ok, S::Error> {
    as_words(verdicts, serializer)
}
