//! What is believed of an engine beyond its description: six corrections, and how sure of them one is.

use super::small_matrix::{Matrix, diagonal, quadratic};

/// A correction that measured points can tell.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Unknown {
    /// ln of a factor on both burn angles.
    BurnTime,
    /// An addition to the exponent of speed in the burn angles.
    SpeedExponent,
    /// ln of a factor on the residual gas.
    Residual,
    /// ln of a factor on the time to knock.
    KnockTime,
    /// An addition to the temperature of the trapped charge, in K.
    ChargeTemperature,
    /// ln of a factor on the heat lost to the walls.
    HeatLoss,
}

/// Every unknown, in the order of [`Corrections::values`].
pub const UNKNOWNS: [Unknown; COUNT] = [
    Unknown::BurnTime,
    Unknown::SpeedExponent,
    Unknown::Residual,
    Unknown::KnockTime,
    Unknown::ChargeTemperature,
    Unknown::HeatLoss,
];
/// How many there are.
pub(super) const COUNT: usize = 6;

impl Unknown {
    /// Its place in [`Corrections::values`].
    pub const fn index(self) -> usize {
        self as usize
    }

    /// How far it may be off before anything is measured, as a standard deviation. Assumed.
    pub const fn prior_sigma(self) -> f64 {
        match self {
            Self::BurnTime => 0.10,
            Self::SpeedExponent => 0.08,
            Self::Residual => 0.25,
            Self::KnockTime => 0.30,
            Self::ChargeTemperature => 10.0,
            Self::HeatLoss => 0.20,
        }
    }

    /// What people call it; `None` for one that is only there so that the others do not have to answer for it.
    pub const fn words(self) -> Option<&'static str> {
        match self {
            Self::BurnTime => Some("burns slower"),
            Self::SpeedExponent => Some("speed exponent"),
            Self::Residual => Some("residual gas"),
            Self::KnockTime => Some("time to knock"),
            Self::ChargeTemperature | Self::HeatLoss => None,
        }
    }

    /// Whether it is ln of a factor, and shown as that factor.
    pub const fn is_factor(self) -> bool {
        matches!(self, Self::BurnTime | Self::Residual | Self::KnockTime | Self::HeatLoss)
    }
}

/// Corrections of the model for one engine; all zero for none. See [`Unknown`] for each.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Corrections(pub [f64; COUNT]);

impl Corrections {
    /// One of them.
    pub const fn of(&self, unknown: Unknown) -> f64 {
        self.0[unknown.index()]
    }

    /// Their values in the order of [`UNKNOWNS`].
    pub const fn values(&self) -> &[f64; COUNT] {
        &self.0
    }

    /// The same with one of them changed by an amount.
    #[must_use]
    pub const fn moved(mut self, unknown: Unknown, by: f64) -> Self {
        self.0[unknown.index()] += by;
        self
    }
}

/// How much the points told of one unknown.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct LearntOf {
    /// Which.
    pub unknown: Unknown,
    /// Its value: a factor, or an addition.
    pub value: f64,
    /// Between these it lies in 8 cases of 10.
    pub interval: (f64, f64),
    /// The share of its variance that the points took away, 0 to 1.
    pub learnt: f64,
}

/// Below this share the points did not tell of it. Assumed.
const LEAST_LEARNT: f64 = 0.2;

impl LearntOf {
    /// Whether the points told anything of it.
    pub fn is_told(&self) -> bool {
        self.learnt >= LEAST_LEARNT
    }
}

/// So many standard deviations to either side hold 8 cases of 10 of a normal distribution.
pub(super) const SIGMAS_OF_8_IN_10: f64 = 1.28;

/// Where something was measured that the model was calibrated with.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Anchor {
    pub(super) speed_rpm: f64,
    pub(super) pressure_kpa: f64,
    /// Whether it told of knock, and else of best torque.
    pub(super) is_of_knock: bool,
}

/// Corrections with their covariance, and where they were learnt.
#[derive(Clone, Debug, PartialEq)]
pub struct Belief {
    pub(super) mean: Corrections,
    pub(super) covariance: Matrix<COUNT>,
    pub(super) anchors: Vec<Anchor>,
}

impl Default for Belief {
    fn default() -> Self {
        Self::untested()
    }
}

/// By how much a model may be off whatever its corrections, near a measured point and far from all, as standard deviations.
#[derive(Clone, Copy, Debug)]
struct Discrepancy {
    near: f64,
    far: f64,
}

/// In degrees of best torque. Assumed.
const OF_BEST_TORQUE: Discrepancy = Discrepancy { near: NEAR_BEST_TORQUE_DEG, far: 2.5 };
/// In ln of the knock integral. Assumed.
const OF_KNOCK: Discrepancy = Discrepancy { near: NEAR_KNOCK_LN, far: 0.20 };
/// The model's own error of best torque at a measured point, degrees. Assumed.
pub(super) const NEAR_BEST_TORQUE_DEG: f64 = 1.5;
/// The model's own error of ln of the knock integral at a measured point. Assumed.
pub(super) const NEAR_KNOCK_LN: f64 = 0.10;
/// How far a point speaks for its surroundings: in ln of speed and ln of pressure. Assumed.
const REACH_LN: (f64, f64) = (0.5, 0.35);

impl Belief {
    /// What is believed before anything was measured.
    pub fn untested() -> Self {
        let variances = UNKNOWNS.map(|unknown| unknown.prior_sigma().powi(2));
        Self { mean: Corrections::default(), covariance: diagonal(variances), anchors: Vec::new() }
    }

    /// Whether any measured point stands behind it.
    pub fn is_calibrated(&self) -> bool {
        !self.anchors.is_empty()
    }

    /// The corrections believed most.
    pub const fn corrections(&self) -> &Corrections {
        &self.mean
    }

    /// What was learnt of each unknown that people are shown.
    pub fn learnt(&self) -> Vec<LearntOf> {
        let shown = UNKNOWNS.into_iter().filter(|unknown| unknown.words().is_some());
        shown.map(|unknown| self.learnt_of(unknown)).collect()
    }

    fn learnt_of(&self, unknown: Unknown) -> LearntOf {
        let at = unknown.index();
        let variance = self.covariance[at][at];
        let reach = SIGMAS_OF_8_IN_10 * variance.sqrt();
        let shown = |value: f64| if unknown.is_factor() { value.exp() } else { value };
        let mean = self.mean.of(unknown);
        LearntOf {
            unknown,
            value: shown(mean),
            interval: (shown(mean - reach), shown(mean + reach)),
            learnt: (1.0 - variance / unknown.prior_sigma().powi(2)).max(0.0),
        }
    }

    /// The variance of something that answers to the unknowns with these slopes.
    pub(super) fn variance_along(&self, slopes: &[f64; COUNT]) -> f64 {
        quadratic(&self.covariance, slopes)
    }

    /// The variance of the model's own error in best torque, degrees².
    pub(super) fn best_torque_discrepancy(&self, speed_rpm: f64, pressure_kpa: f64) -> f64 {
        self.discrepancy(OF_BEST_TORQUE, false, speed_rpm, pressure_kpa)
    }

    /// The variance of the model's own error in ln of the knock integral.
    pub(super) fn knock_discrepancy(&self, speed_rpm: f64, pressure_kpa: f64) -> f64 {
        self.discrepancy(OF_KNOCK, true, speed_rpm, pressure_kpa)
    }

    fn discrepancy(&self, of: Discrepancy, is_of_knock: bool, speed_rpm: f64, pressure_kpa: f64) -> f64 {
        let (speed_reach, pressure_reach) = REACH_LN;
        let nearness = |anchor: &Anchor| {
            let speeds = (speed_rpm / anchor.speed_rpm).ln() / speed_reach;
            let pressures = (pressure_kpa / anchor.pressure_kpa).ln() / pressure_reach;
            (-0.5 * (speeds * speeds + pressures * pressures)).exp()
        };
        let anchors = self.anchors.iter().filter(|anchor| anchor.is_of_knock == is_of_knock);
        let nearest = anchors.map(nearness).fold(0.0, f64::max);
        of.far.powi(2) - (of.far.powi(2) - of.near.powi(2)) * nearest
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn untested_nothing_is_learnt() {
        let belief = Belief::untested();
        assert!(!belief.is_calibrated());
        let learnt = belief.learnt();
        assert_eq!(learnt.len(), 4);
        assert!(learnt.iter().all(|of| of.learnt.abs() < 1e-12 && !of.is_told()));
        assert!((learnt[0].interval.1 - 0.128_f64.exp()).abs() < 1e-12);
        for (index, unknown) in UNKNOWNS.into_iter().enumerate() {
            assert_eq!(unknown.index(), index);
        }
    }

    #[test]
    fn the_models_own_error_is_least_at_a_point_and_grows_away_from_it() {
        let anchor = Anchor { speed_rpm: 3000.0, pressure_kpa: 97.0, is_of_knock: false };
        let belief = Belief { anchors: vec![anchor], ..Belief::untested() };
        assert_eq!(belief.best_torque_discrepancy(3000.0, 97.0), 2.25);
        assert_eq!(belief.knock_discrepancy(3000.0, 97.0), 0.2_f64.powi(2));
        let further = belief.best_torque_discrepancy(4000.0, 97.0);
        assert!(2.25 < further && further < belief.best_torque_discrepancy(6000.0, 97.0));
        assert!((belief.best_torque_discrepancy(3000.0, 1.0) - 6.25).abs() < 1e-6);
    }
}
