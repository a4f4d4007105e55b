//! What a sweep is judged by. Common practice, no source, unless said otherwise.

use crate::project::{LoadKind, Parts, TorqueKind};

/// The limits of judging sweeps.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct SweepLimits {
    /// Readings belong to one operating point up to this far from its speed, in rpm …
    pub speed_rpm: f64,
    /// … or up to this share of it, in %, whichever is more.
    pub speed_pct: f64,
    /// And up to this far from its load, in its unit.
    pub load: f64,
    /// Readings count whose fitted torque is at least this share of the top.
    pub window: f64,
    /// The same for the parabola, which is wrong further away.
    pub parabola_window: f64,
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

impl Default for SweepLimits {
    fn default() -> Self {
        Self {
            speed_rpm: 50.0,
            speed_pct: 1.5,
            load: 2.0,
            window: 0.85,
            parabola_window: 0.95,
            knock_margin_deg: 2.0,
            scatter_pct: 1.0,
            drift_pct: 2.0,
            curves_deg: 1.5,
            lambda: 0.05,
            coolant_k: 8.0,
            coolant_c: 70.0,
            air_k: 5.0,
            half_width_deg: 1.5,
        }
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
    pub air: Option<super::AirStandard>,
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

    /// The setting of a project.
    pub fn of(parts: &Parts, torque_kind: TorqueKind) -> Self {
        Self {
            load: Some(parts.sensors.load),
            step_deg: parts.step_deg,
            speeds_rpm: parts.advance.table().speed().breakpoints().to_vec(),
            is_boosted: parts.engine.induction.is_boosted(),
            ..Self::new(torque_kind)
        }
    }
}
