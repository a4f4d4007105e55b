//! What is kept apart from the table: temperature trims, safety margin, full-load line, cranking, over-speed,
//! launch and the clamp.

use serde::{Deserialize, Serialize};

use crate::table::{Axis, Curve};

/// Degrees added for a temperature, weighted over load.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Trim {
    /// Whether it applies.
    pub enabled: bool,
    /// Degrees added over temperature in °C.
    pub degrees: Curve,
    /// Weight 0 to 1 over load.
    pub weight: Curve,
}

/// The temperature trims.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Trims {
    /// By coolant temperature.
    pub coolant: Trim,
    /// By intake air temperature.
    pub air: Trim,
}

impl Trim {
    /// The most that it adds at a load at any temperature, in degrees; 0 or more, since it may also be left out.
    pub fn most_deg(&self, load: f64) -> f64 {
        let most_deg = self.degrees.values().iter().copied().fold(0.0, f64::max);
        if self.enabled { most_deg * self.weight.lookup(load) } else { 0.0 }
    }

    /// The most that it takes away at a load at any temperature, in degrees, 0 or less.
    pub fn least_deg(&self, load: f64) -> f64 {
        let least_deg = self.degrees.values().iter().copied().fold(0.0, f64::min);
        if self.enabled { least_deg * self.weight.lookup(load) } else { 0.0 }
    }
}

impl Trims {
    /// The most that both add at a load, in degrees, at any temperature.
    pub fn most_deg(&self, load: f64) -> f64 {
        self.coolant.most_deg(load) + self.air.most_deg(load)
    }

    /// Breakpoints of the weights: together with those of the table, every load at which the sum of table and
    /// trims may bend.
    pub fn loads_of_sum(&self, table_loads: &Axis) -> Vec<f64> {
        let axes = [table_loads, self.coolant.weight.axis(), self.air.weight.axis()];
        let mut loads: Vec<f64> = axes.iter().flat_map(|axis| axis.breakpoints()).copied().collect();
        loads.sort_by(f64::total_cmp);
        loads.dedup();
        loads
    }
}

/// A reduction kept apart from the table so that it can be removed again.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct SafetyMargin {
    /// Whether it is switched on.
    pub enabled: bool,
    /// Degrees taken off over load, 0 or more.
    pub degrees: Curve,
}

/// A line never to be exceeded by table and trims at full load.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct FullLoadLine {
    /// Whether it is checked.
    pub enabled: bool,
    /// The load from which it holds, in the load unit.
    pub from_load: f64,
    /// The most advance allowed over speed in rpm, in degrees.
    pub most_deg: Curve,
    /// Degrees less allowed over load (for boost), 0 or more.
    pub less_deg: Curve,
}

/// The advance while the starter turns the engine, and the transition out of it.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Cranking {
    /// Advance while cranking, in degrees before TDC.
    pub advance_deg: f64,
    /// Below this speed there is no spark at all.
    pub no_spark_below_rpm: f64,
    /// Below this speed the engine is cranking.
    pub below_rpm: f64,
    /// Above this speed cranking is left.
    pub leave_at_rpm: f64,
    /// The advance ramps to the table's over this many rpm above `leave_at_rpm`.
    pub blend_rpm: f64,
}

/// Which sparks are cut at the over-speed limit.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum CutPattern {
    /// Every other engine cycle of each coil, so that every cylinder misses every other of its own power strokes; all of
    /// them from `cuts_all_at_rpm`.
    AlternateCoils,
    /// Every coil event.
    All,
}

/// The over-speed limit.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct OverSpeed {
    /// Whether it is switched on.
    pub enabled: bool,
    /// From this speed the advance is reduced.
    pub eases_from_rpm: f64,
    /// Degrees taken off at `cuts_at_rpm`.
    pub eases_by_deg: f64,
    /// From this speed sparks are cut.
    pub cuts_at_rpm: f64,
    /// Below this speed they fire again.
    pub fires_again_below_rpm: f64,
    /// From this speed the alternate pattern cuts every spark.
    pub cuts_all_at_rpm: f64,
    /// Which sparks are cut.
    pub pattern: CutPattern,
}

/// Launch: a lower speed limit with late sparks for a standing start.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Launch {
    /// Whether it is switched on.
    pub enabled: bool,
    /// The speed must be at or below this when the switch closes.
    pub arms_below_rpm: f64,
    /// From this speed the advance falls towards `advance_deg`.
    pub retards_from_rpm: f64,
    /// From this speed sparks are cut.
    pub cuts_at_rpm: f64,
    /// They fire again this many rpm below `cuts_at_rpm`.
    pub resume_drop_rpm: f64,
    /// The advance reached at `cuts_at_rpm`.
    pub advance_deg: f64,
    /// Needs at least this much throttle, where a throttle signal exists.
    pub throttle_above_pct: f64,
}

/// No advance ever leaves this range.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Clamp {
    /// The least advance.
    pub floor_deg: f64,
    /// The most advance.
    pub ceiling_deg: f64,
}

/// Everything that limits the spark.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Limits {
    /// While the starter turns the engine.
    pub cranking: Cranking,
    /// The over-speed limit.
    pub over_speed: OverSpeed,
    /// The standing start.
    pub launch: Launch,
    /// The range no advance leaves.
    pub clamp: Clamp,
}
