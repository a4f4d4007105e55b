//! Floor 2: the arithmetic for setting up the ignition at the car. Readings go in; figures, verdicts in words,
//! and the project with the result applied come out.
//!
//! Every worksheet works the same way: a question checks its values and gives an answer or a
//! [`WorksheetError`]; the answer has numbers, and verdicts that say what they mean; where the result belongs
//! into the project, `apply` returns the changed project and `label` the name of that step.

mod coil;
mod filling;
mod first_start;
mod first_table;
mod least_squares;
mod opinion;
mod sender;
mod sweep;
mod throttle;
mod timing_light;
mod true_tdc;

use serde::ser::SerializeSeq;
use serde::{Serialize, Serializer};
use thiserror::Error;

use crate::project::{Fault, Project, Tree, field};
use crate::spark::{Breakdown, Conditions, Evaluation};
use crate::wording::{Unit, outside};

pub use coil::{CoilAnswer, CoilQuestion, CoilRow, CoilVerdict};
pub use filling::{
    ConvertedCell, Filling, FillingPair, FillingRefusal, FillingVerdict, FittedFilling, LoadConversion, LoggedFilling,
    STANDARD_ATMOSPHERE_KPA, Unreachable, settled,
};
pub use first_start::{FirstStart, FirstStartAnswer, FirstStartCoil, FirstStartVerdict, Steps};
pub use first_table::{
    Centrifugal, Depression, Distributor, DistributorParts, FirstTable, FirstTableVerdict, Port, Terms, Vacuum,
};
pub use opinion::{Assumed, MeasuredOf, PlaceOpinion, ProjectOpinion, WhatIf, measured_of};
pub use sender::{Divider, SenderAnswer, SenderLaw, SenderPlace, SenderRow, SenderVerdict};
pub use sweep::{
    Chosen, Counts, Curve, DegInterval, KnockBracket, OtherAnswer, PointReading, ReadingUse, SWEEP_THRESHOLDS, Stray,
    SweepAnswer, SweepBringing, SweepChoice, SweepLimits, SweepNote, SweepPoint, SweepRow, SweepSetting, SweepState,
    SweepVerdict,
};
pub use throttle::{GOOD_CLOSED_V, GOOD_OPEN_V, ThrottleAnswer, ThrottleVerdict};
pub use timing_light::{
    CRANKING_READINGS_BELOW_RPM, FAST_RPM, LightKind, MOST_EACH_DEG, MOST_MEAN_DEG, PRESCRIBED_READINGS, SAME_DEG,
    SAME_US, TimingAnswer, TimingSetting, TimingVerdict, Unproved, proof_words,
};
pub use true_tdc::{PistonStop, STRIP_DEG, Strip, StripMark, TdcVerdict, TrueTdc, pulley_deg, pulley_mm};

/// How serious a verdict is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Gravity {
    /// As it should be.
    Good,
    /// Worth knowing.
    Note,
    /// To be looked into before going on.
    Warning,
    /// The result must not be applied.
    Obstacle,
}

/// What a worksheet concludes from its figures.
pub trait Verdict {
    /// How serious it is.
    fn gravity(&self) -> Gravity;
    /// What it means and what to do, as sentences.
    fn words(&self) -> String;
}

/// The first verdict that forbids applying the result.
fn obstacle<V: Verdict>(verdicts: &[V]) -> Option<&V> {
    verdicts.iter().find(|verdict| verdict.gravity() == Gravity::Obstacle)
}

/// Serialises verdicts as their words.
fn as_words<V: Verdict, S: Serializer>(verdicts: &[V], serializer: S) -> Result<S::Ok, S::Error> {
    let mut list = serializer.serialize_seq(Some(verdicts.len()))?;
    verdicts.iter().try_for_each(|verdict| list.serialize_element(&verdict.words()))?;
    list.end()
}

/// Why a worksheet has no answer, or why its answer cannot be applied; the project is unchanged.
#[derive(Clone, Debug, PartialEq, Error)]
pub enum WorksheetError {
    /// A value out of range.
    #[error("{name}: {message}")]
    Value {
        /// What people call it.
        name: String,
        /// The value and the range allowed.
        message: String,
    },
    /// Values that contradict each other.
    #[error("{0}")]
    Contradiction(String),
    /// A verdict forbids applying the result.
    #[error("not applied: {0}")]
    Obstacle(String),
    /// The changed project would be invalid.
    #[error(transparent)]
    Fault(#[from] Fault),
}

/// Checks a value against the range of a project's field. `name` is what the worksheet calls it.
fn check_field(path: &str, name: &str, value: f64) -> Result<(), WorksheetError> {
    let refusal = field(path).and_then(|field| field.kind.refusal(&Tree::Number(value)));
    refusal.map_or(Ok(()), |message| Err(WorksheetError::Value { name: name.into(), message }))
}

/// Checks a value that no field holds against a range of its own.
fn check(name: &str, value: f64, low: f64, high: f64, unit: Unit) -> Result<(), WorksheetError> {
    if (low..=high).contains(&value) {
        return Ok(());
    }
    Err(WorksheetError::Value { name: name.into(), message: outside(value, (low, high), unit) })
}

/// Degrees turned in one microsecond at one rpm.
const DEG_PER_US_RPM: f64 = 6e-6;

/// What a timing light shows at one operating point once the zero is proved.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct LightShown {
    /// The commanded advance and what it is made up of.
    pub breakdown: Breakdown,
    /// By how much the sensor's latency delays the spark, in crank degrees: 0.036° per µs at 6000 rpm.
    pub lag_deg: f64,
    /// What the light shows in degrees before top dead centre; `None` where no spark comes.
    pub shown_deg: Option<f64>,
}

impl LightShown {
    /// Evaluates the point without memory, as if the speed were rising.
    pub fn of(project: &Project, conditions: &Conditions) -> Self {
        let breakdown = Evaluation::new(project).lookup(conditions);
        let lag_deg = project.trigger.latency_us * DEG_PER_US_RPM * conditions.speed_rpm;
        let shown_deg = breakdown.fires.then_some(breakdown.commanded_deg - lag_deg);
        Self { breakdown, lag_deg, shown_deg }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::project::{LoadKind, NewProject};
    use approx::assert_abs_diff_eq;

    #[test]
    fn values_out_of_range_are_named() {
        let error = check_field("trigger.latency_us", "latency", -5.0).unwrap_err();
        assert_eq!(error.to_string(), "latency: −5 is outside 0..1000 µs");
        assert_eq!(
            check("pitch", 0.5, 1.0, 60.0, Unit::Degree).unwrap_err().to_string(),
            "pitch: 0.5 is outside 1..60°"
        );
        assert!(check("pitch", f64::NAN, 1.0, 60.0, Unit::Degree).unwrap_err().to_string().contains("not finite"));
        assert_eq!(check("pitch", 6.0, 1.0, 60.0, Unit::Degree), Ok(()));
    }

    /// 100 µs are 3.6° at 6000 rpm, by hand.
    #[test]
    fn the_light_sees_the_lag_and_nothing_where_none_fires() {
        let new = NewProject { name: "l".into(), cylinders: 4, load: LoadKind::Throttle, speeds: 8, loads: 8 };
        let project = new.create().unwrap().edit(|parts| parts.trigger.latency_us = 100.0).unwrap();
        let at = |speed_rpm| LightShown::of(&project, &Conditions { speed_rpm, load: 20.0, ..Conditions::default() });
        let found = at(6000.0);
        assert_abs_diff_eq!(found.lag_deg, 3.6, epsilon = 1e-12);
        assert_abs_diff_eq!(found.shown_deg.unwrap(), found.breakdown.commanded_deg - 3.6, epsilon = 1e-12);
        assert_eq!((at(20.0).shown_deg, at(9000.0).shown_deg), (None, None));
    }
}
