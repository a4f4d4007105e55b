//! What a sweep is judged by: thresholds of the project, and how the readings were taken.

use crate::project::{AirStandard, KeptSweep, LoadKind, Parts, Threshold, TorqueKind, thresholds};
use crate::wording::Unit;

/// Readings count whose fitted torque is at least this share of the top. No threshold of the project: the fitted skew is
/// right for such readings, and simulated intervals hold the truth as often as they say with this share and no other.
pub(super) const WINDOW: f64 = 0.85;
/// The same for the parabola, which is wrong further away.
pub(super) const PARABOLA_WINDOW: f64 = 0.95;

/// The limits of judging sweeps, as the project has them among its thresholds.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SweepLimits {
    /// Readings belong to one operating point up to this far from its speed, in rpm …
    pub speed_rpm: f64,
    /// … or up to this share of it, in %, whichever is more.
    pub speed_pct: f64,
    /// And up to this far from its load, in its unit.
    pub load: f64,
    /// A pull is read off by its rows that are up to this share of a speed away from it, in %.
    pub pull_pct: f64,
    /// Knock keeps the advance at least this far below the least advance that knocked, in degrees.
    pub knock_margin_deg: f64,
    /// Readings scatter when they lie further off the curve than this, in % of the top.
    pub scatter_pct: f64,
    /// Torque drifts when it changes by more than this over the sweep, in % of the top.
    pub drift_pct: f64,
    /// The two curves disagree when their tops are further apart than this, in degrees.
    pub curves_deg: f64,
    /// Lambda may differ by this among the readings.
    pub lambda: f64,
    /// The coolant may differ by this, in K.
    pub coolant_k: f64,
    /// And is warm from here on, in °C.
    pub coolant_c: f64,
    /// The intake air may differ by this, in K.
    pub air_k: f64,
    /// Best torque is known when half of its interval is no wider than this, in degrees.
    pub half_width_deg: f64,
}

/// The thresholds among the catalogue's that sweeps are judged by.
pub const SWEEP_THRESHOLDS: &[Threshold] = &[
    thresholds::SWEEP_SPEED_RPM,
    thresholds::SWEEP_SPEED_PCT,
    thresholds::SWEEP_LOAD,
    thresholds::SWEEP_PULL_PCT,
    thresholds::SWEEP_KNOCK_MARGIN_DEG,
    thresholds::SWEEP_SCATTER_PCT,
    thresholds::SWEEP_DRIFT_PCT,
    thresholds::SWEEP_CURVES_DEG,
    thresholds::SWEEP_LAMBDA,
    thresholds::SWEEP_COOLANT_K,
    thresholds::SWEEP_COOLANT_C,
    thresholds::SWEEP_AIR_K,
    thresholds::SWEEP_HALF_WIDTH_DEG,
];

impl Default for SweepLimits {
    fn default() -> Self {
        Self::from(|threshold| threshold.default)
    }
}

impl SweepLimits {
    /// The limits of a project.
    pub fn of(parts: &Parts) -> Self {
        Self::from(|threshold| threshold.of(parts))
    }

    fn from(value: impl Fn(&Threshold) -> f64) -> Self {
        Self {
            speed_rpm: value(&thresholds::SWEEP_SPEED_RPM),
            speed_pct: value(&thresholds::SWEEP_SPEED_PCT),
            load: value(&thresholds::SWEEP_LOAD),
            pull_pct: value(&thresholds::SWEEP_PULL_PCT),
            knock_margin_deg: value(&thresholds::SWEEP_KNOCK_MARGIN_DEG),
            scatter_pct: value(&thresholds::SWEEP_SCATTER_PCT),
            drift_pct: value(&thresholds::SWEEP_DRIFT_PCT),
            curves_deg: value(&thresholds::SWEEP_CURVES_DEG),
            lambda: value(&thresholds::SWEEP_LAMBDA),
            coolant_k: value(&thresholds::SWEEP_COOLANT_K),
            coolant_c: value(&thresholds::SWEEP_COOLANT_C),
            air_k: value(&thresholds::SWEEP_AIR_K),
            half_width_deg: value(&thresholds::SWEEP_HALF_WIDTH_DEG),
        }
    }

    /// How far from an operating point's speed its readings may lie, in rpm.
    pub(super) fn speed_tolerance_rpm(&self, speed_rpm: f64) -> f64 {
        self.speed_rpm.max(self.speed_pct / 100.0 * speed_rpm)
    }

    /// How far a speed and a load lie from those of an operating point, in units of the tolerance; `None` beyond it.
    pub(super) fn distance(&self, (speed_rpm, load): (f64, f64), (point_rpm, point_load): (f64, f64)) -> Option<f64> {
        let right = (speed_rpm - point_rpm).abs() / self.speed_tolerance_rpm(point_rpm);
        let above = (load - point_load).abs() / self.load;
        (right <= 1.0 && above <= 1.0).then(|| right.hypot(above))
    }
}

/// The step of advances where there is no project, in degrees.
const STEP_DEG: f64 = 0.5;

/// What the readings were taken with, and how they are to be judged.
#[derive(Clone, Debug, PartialEq)]
pub struct SweepSetting {
    /// What the readings have for torque.
    pub torque_kind: TorqueKind,
    /// What the loads are; `None` where nobody said.
    pub load: Option<LoadKind>,
    /// Advances to be used are rounded down to this step, in degrees.
    pub step_deg: f64,
    /// The speeds in rpm at which pulls are read off: the breakpoints of the table.
    pub speeds_rpm: Vec<f64>,
    /// By which standard the torque of pulls is corrected for the air; `None` leaves it.
    pub air: Option<AirStandard>,
    /// Whether the engine is boosted: then no standard corrects its torque.
    pub is_boosted: bool,
    /// What the readings are judged by.
    pub limits: SweepLimits,
}

impl SweepSetting {
    /// The setting without a project.
    pub fn new(torque_kind: TorqueKind) -> Self {
        Self {
            torque_kind,
            load: None,
            step_deg: STEP_DEG,
            speeds_rpm: Vec::new(),
            air: None,
            is_boosted: false,
            limits: SweepLimits::default(),
        }
    }

    /// What the loads are in.
    pub fn load_unit(&self) -> Unit {
        self.load.map_or(Unit::None, LoadKind::unit)
    }

    /// The setting of a project.
    pub fn of(parts: &Parts, torque_kind: TorqueKind) -> Self {
        Self {
            load: Some(parts.sensors.load),
            step_deg: parts.step_deg,
            speeds_rpm: parts.advance.table().speed().breakpoints().to_vec(),
            is_boosted: parts.engine.induction.is_boosted(),
            limits: SweepLimits::of(parts),
            ..Self::new(torque_kind)
        }
    }

    /// The setting of a sweep that a project keeps.
    pub fn of_kept(parts: &Parts, sweep: &KeptSweep) -> Self {
        Self { air: sweep.air, ..Self::of(parts, sweep.torque_kind) }
    }
}
