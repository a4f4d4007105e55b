//! Where the model has nothing to say, and why.

use thiserror::Error;

use super::Description;
use super::charge::Charge;
use crate::project::Burning;
use crate::wording::{Unit, bounds, figure, quantity};

/// Why there is no opinion on an engine or on a place of its table.
#[derive(Clone, Debug, PartialEq, Error)]
pub enum NoOpinion {
    /// The engine is not of the kind that the model is for.
    #[error("{0}")]
    OtherKind(&'static str),
    /// A value of the description is beyond what the model is for.
    #[error("{what} of {} is outside {}, for which this model is meant", quantity(*value, *unit), bounds(*range, *unit))]
    Description {
        /// What it is called.
        what: &'static str,
        /// Its value.
        value: f64,
        /// What the model allows.
        range: (f64, f64),
        /// Its unit.
        unit: Unit,
    },
    /// Boost without the temperature of what leaves the cooler.
    #[error(
        "the temperature of the intake air after the cooler is not given, and with boost none is usual: give combustion.intake_air_c"
    )]
    IntakeAirUnknown,
    /// The load is a throttle opening and the engine is boosted.
    #[error("throttle opening does not tell boost")]
    ThrottleOfBoost,
    /// The throttle is as good as closed.
    #[error("the throttle is as good as closed here: overrun, or an idle that only measuring can tell")]
    ThrottleClosed,
    /// The unit cranks at this speed.
    #[error("cranking: starting sets the spark here, not burning at full speed")]
    Cranking,
    /// The engine idles.
    #[error("idle: steadiness and torque in reserve set the spark here, usually 8–20°, not best torque")]
    Idle,
    /// The engine is driven by the car.
    #[error("overrun: {} is too little charge to judge", quantity(*pressure_kpa, Unit::Kilopascal))]
    Overrun {
        /// The manifold pressure.
        pressure_kpa: f64,
    },
    /// Pressure beyond what the model was made for.
    #[error("{} is above 250 kPa, for which nothing was ever compared", quantity(*pressure_kpa, Unit::Kilopascal))]
    TooMuchPressure {
        /// The manifold pressure.
        pressure_kpa: f64,
    },
    /// A mixture beyond what burns as the model has it.
    #[error("a lambda of {} is outside 0.7..1.3", figure(*lambda, Unit::None))]
    Lambda {
        /// The ratio.
        lambda: f64,
    },
    /// An octane number for which the delay was not measured.
    #[error("{} octane, corrected for mixture and induction, is outside 75..110", figure(*octane, Unit::None))]
    Octane {
        /// The octane number that counts.
        octane: f64,
    },
    /// More residual gas than burns steadily.
    #[error("{} of residual gas is more than burns steadily (30 %)", figure(100.0 * *share, Unit::Percent))]
    Residual {
        /// Its share, 0 to 1.
        share: f64,
    },
    /// Charge hotter than engines have it.
    #[error("the charge would have {} before compression, more than 480 K", figure(*temperature_k, Unit::Kelvin))]
    TooHot {
        /// Its temperature.
        temperature_k: f64,
    },
    /// Pressure that no such engine bears.
    #[error("at best torque the pressure would peak above 150 bar")]
    PeakPressure,
    /// Best torque lies at an end of the sweep.
    #[error("best torque would lie at {}, at the end of what is computed", figure(*advance_deg, Unit::Degree))]
    BestTorqueAtEnd {
        /// Where, degrees before top dead centre.
        advance_deg: f64,
    },
    /// It knocks from −10° on.
    #[error("it knocks at any spark: no advance can be told")]
    KnocksAlways,
    /// It may knock from −10° on.
    #[error("within the doubt it knocks at any spark: no advance can be told")]
    MayKnockAlways,
}

/// Above this pressure there is no opinion, kPa.
const MOST_PRESSURE_KPA: f64 = 250.0;
/// Below this pressure the car drives the engine, kPa.
const OVERRUN_KPA: f64 = 25.0;
/// Below this speed and pressure the engine idles: rpm, kPa.
const IDLE: (f64, f64) = (1000.0, 45.0);
/// The most residual gas.
const MOST_RESIDUAL: f64 = 0.30;
const LAMBDAS: (f64, f64) = (0.7, 1.3);
const OCTANES: (f64, f64) = (75.0, 110.0);
const MOST_CHARGE_K: f64 = 480.0;
const MOST_PEAK_PA: f64 = 150e5;
/// Best torque must lie between these, degrees before top dead centre.
const BEST_TORQUES_DEG: (f64, f64) = (-8.0, 58.0);

impl NoOpinion {
    /// The reason without the numbers of one place, so that alike ones can be told together.
    pub fn kind_words(&self) -> String {
        match self {
            Self::Overrun { .. } => "overrun: too little charge to judge".into(),
            Self::TooMuchPressure { .. } => "pressure above 250 kPa, for which nothing was ever compared".into(),
            Self::Lambda { .. } => "a lambda outside 0.7..1.3".into(),
            Self::Octane { .. } => "an octane number outside 75..110, corrected for mixture and induction".into(),
            Self::Residual { .. } => "more residual gas than burns steadily (30 %)".into(),
            Self::TooHot { .. } => "a charge hotter than 480 K before compression".into(),
            Self::BestTorqueAtEnd { .. } => "best torque would lie at the end of what is computed".into(),
            other => other.to_string(),
        }
    }

    /// Why there is none on any place of an engine.
    pub(super) fn on_engine(description: &Description) -> Option<Self> {
        if let Some(kind) = other_kind(description.burning) {
            return Some(Self::OtherKind(kind));
        }
        if let Some((what, value, range, unit)) = beyond(description) {
            return Some(Self::Description { what, value, range, unit });
        }
        (description.induction.is_boosted() && description.intake_air_c.is_none()).then_some(Self::IntakeAirUnknown)
    }

    /// Why there is none on a speed in rpm and a manifold pressure in kPa.
    pub(super) fn on_place(description: &Description, speed_rpm: f64, pressure_kpa: f64) -> Result<(), Self> {
        if speed_rpm < description.cranking_below_rpm || speed_rpm <= 0.0 {
            return Err(Self::Cranking);
        }
        if pressure_kpa < OVERRUN_KPA {
            return Err(Self::Overrun { pressure_kpa });
        }
        if speed_rpm < IDLE.0 && pressure_kpa < IDLE.1 {
            return Err(Self::Idle);
        }
        if pressure_kpa > MOST_PRESSURE_KPA {
            return Err(Self::TooMuchPressure { pressure_kpa });
        }
        Ok(())
    }

    /// Why there is none on a charge.
    pub(super) fn on_charge(charge: &Charge) -> Result<(), Self> {
        if !is_within(charge.lambda, LAMBDAS) {
            return Err(Self::Lambda { lambda: charge.lambda });
        }
        if !is_within(charge.octane, OCTANES) {
            return Err(Self::Octane { octane: charge.octane });
        }
        if charge.residual_unbounded > MOST_RESIDUAL {
            return Err(Self::Residual { share: charge.residual_unbounded });
        }
        if charge.temperature_k > MOST_CHARGE_K {
            return Err(Self::TooHot { temperature_k: charge.temperature_k });
        }
        Ok(())
    }

    /// Why there is none on a best torque in degrees before top dead centre.
    pub(super) fn on_best_torque(advance_deg: f64) -> Result<(), Self> {
        let (low, high) = BEST_TORQUES_DEG;
        if low < advance_deg && advance_deg < high { Ok(()) } else { Err(Self::BestTorqueAtEnd { advance_deg }) }
    }

    /// Why there is none on a pressure at its peak, Pa.
    pub(super) fn on_peak_pressure(peak_pa: f64) -> Result<(), Self> {
        if peak_pa > MOST_PEAK_PA { Err(Self::PeakPressure) } else { Ok(()) }
    }
}

fn is_within(value: f64, (low, high): (f64, f64)) -> bool {
    (low..=high).contains(&value)
}

const fn other_kind(burning: Burning) -> Option<&'static str> {
    match burning {
        Burning::FourStrokePetrol => None,
        Burning::Alcohol => {
            Some("fuels with more than a tenth of alcohol burn and knock otherwise than this model knows")
        }
        Burning::Gas => Some("gas burns and knocks otherwise than this model knows"),
        Burning::Stratified => Some("petrol injected in layers burns otherwise than this model knows"),
        Burning::TwoStroke => Some("two-strokes trap their charge otherwise than this model knows"),
        Burning::Rotary => Some("rotary engines have another chamber than this model knows"),
    }
}

/// The first value of a description that is beyond what the model is for; NaN is.
fn beyond(description: &Description) -> Option<(&'static str, f64, (f64, f64), Unit)> {
    let Description { octane_ron: ron, octane_mon: mon, .. } = *description;
    let intake_air_c = description.intake_air_c.unwrap_or(Description::USUAL_INTAKE_AIR_C);
    let values = [
        ("a number of cylinders", f64::from(description.cylinders), (1.0, 16.0), Unit::None),
        ("a displacement", description.displacement_l, (0.1, 10.0), Unit::Litre),
        ("a compression ratio", description.compression_ratio, (6.0, 14.0), Unit::ToOne),
        ("a bore over stroke", description.bore_to_stroke, (0.7, 1.6), Unit::None),
        ("a rod over crank radius", description.rod_to_crank, (2.8, 5.0), Unit::None),
        ("a rated speed", description.rated_speed_rpm, (3000.0, 12_000.0), Unit::Rpm),
        ("a valve overlap", description.overlap_deg, (0.0, 100.0), Unit::Degree),
        ("a research octane number", ron, (80.0, 105.0), Unit::Ron),
        ("a motor octane number", mon, (60.0, ron), Unit::None),
        ("an intake air temperature", intake_air_c, (-30.0, 90.0), Unit::Celsius),
        ("a coolant temperature", description.coolant_c, (0.0, 130.0), Unit::Celsius),
        ("an ambient pressure", description.ambient_kpa, (60.0, 105.0), Unit::Kilopascal),
    ];
    values.into_iter().find(|(_, value, range, _)| !is_within(*value, *range))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::combustion::{Belief, Corrections, Load, SecondOpinion, Unknown};
    use crate::project::{Chamber, Induction};
    use crate::table::Curve;

    fn told(description: Description, speed_rpm: f64, load: Load) -> String {
        let opinion = SecondOpinion::new(description, Belief::untested());
        opinion.at(speed_rpm, load, 20.0).unwrap_err().to_string()
    }

    fn usual() -> Description {
        Description::default()
    }

    /// One mixture at every pressure.
    fn level(lambda: f64) -> Curve {
        Curve::from_points(&[(0.0, lambda), (300.0, lambda)]).unwrap()
    }

    fn at(pressure_kpa: f64) -> Load {
        Load::PressureKpa(pressure_kpa)
    }

    fn boosted() -> Description {
        Description { induction: Induction::Boosted, intake_air_c: Some(45.0), ..usual() }
    }

    #[test]
    fn places_that_best_torque_does_not_rule_are_refused() {
        assert_eq!(
            told(usual(), 900.0, at(40.0)),
            "idle: steadiness and torque in reserve set the spark here, usually 8–20°, not best torque"
        );
        assert!(SecondOpinion::new(usual(), Belief::untested()).at(900.0, at(46.0), 20.0).is_ok());
        assert!(SecondOpinion::new(usual(), Belief::untested()).at(1000.0, at(44.0), 20.0).is_ok());
        assert!(told(usual(), 300.0, at(95.0)).starts_with("cranking"));
        assert!(told(usual(), 0.0, at(95.0)).starts_with("cranking"));
        assert_eq!(told(usual(), 2500.0, at(24.5)), "overrun: 24.5 kPa is too little charge to judge");
        assert!(told(boosted(), 2500.0, at(251.0)).starts_with("251 kPa is above 250 kPa"));
    }

    #[test]
    fn a_throttle_that_tells_no_pressure_is_refused() {
        assert_eq!(told(boosted(), 2500.0, Load::ThrottlePct(50.0)), "throttle opening does not tell boost");
        assert!(told(usual(), 3000.0, Load::ThrottlePct(5.0)).starts_with("the throttle is as good as closed"));
    }

    #[test]
    fn charges_that_the_model_does_not_know_are_refused() {
        let with_lambda = |lambda: f64| Description { lambda: level(lambda), ..usual() };
        assert_eq!(told(with_lambda(0.65), 2500.0, at(60.0)), "a lambda of 0.7 is outside 0.7..1.3");
        assert!(told(with_lambda(1.31), 2500.0, at(60.0)).contains("outside 0.7..1.3"));
        let overlapping = Description { overlap_deg: 70.0, ..usual() };
        assert!(told(overlapping, 1200.0, at(35.0)).contains("more than burns steadily (30 %)"));
        let low = Description { octane_ron: 80.0, octane_mon: 60.0, ..with_lambda(0.95) };
        assert!(
            told(low, 2500.0, at(60.0)).contains("octane, corrected for mixture and induction, is outside 75..110")
        );
        let hot = Description { intake_air_c: Some(90.0), coolant_c: 130.0, overlap_deg: 55.0, ..usual() };
        assert!(told(hot, 2500.0, at(40.0)).contains("more than 480 K"));
    }

    #[test]
    fn results_at_the_end_of_the_model_are_refused() {
        let slow = Corrections::default().moved(Unknown::BurnTime, 0.6);
        let belief = Belief { mean: slow, ..Belief::untested() };
        let error = SecondOpinion::new(usual(), belief).at(5000.0, at(40.0), 30.0).unwrap_err();
        assert!(matches!(error, NoOpinion::BestTorqueAtEnd { .. }), "{error}");
        let squeezed = Description {
            compression_ratio: 13.5,
            octane_ron: 105.0,
            chamber: Chamber::FastBurnHighTumble,
            ..boosted()
        };
        assert_eq!(told(squeezed, 3000.0, at(220.0)), "at best torque the pressure would peak above 150 bar");
        let knocks = Description { compression_ratio: 12.0, octane_ron: 82.0, octane_mon: 72.0, ..boosted() };
        assert!(told(knocks.clone(), 2000.0, at(170.0)).contains("knocks at any spark"));
    }

    #[test]
    fn engines_that_the_model_is_not_for_are_refused() {
        for burning in [Burning::Alcohol, Burning::Gas, Burning::Stratified, Burning::TwoStroke, Burning::Rotary] {
            let told = told(Description { burning, ..usual() }, 2500.0, at(60.0));
            assert!(told.ends_with("than this model knows"), "{told}");
        }
        let unknown = Description { intake_air_c: None, ..boosted() };
        assert!(told(unknown, 2500.0, at(60.0)).contains("after the cooler is not given"));
        assert_eq!(
            told(Description { compression_ratio: 15.0, ..usual() }, 2500.0, at(60.0)),
            "a compression ratio of 15:1 is outside 6..14:1, for which this model is meant"
        );
        let nonsense = Description { displacement_l: f64::NAN, ..usual() };
        assert!(told(nonsense, 2500.0, at(60.0)).starts_with("a displacement of"));
    }
}
