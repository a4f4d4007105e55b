//! Cranking, over-speed, launch and the clamp.

use serde::{Deserialize, Serialize};

use super::Parts;

/// The advance while the starter turns the engine, and the way out of it.
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
    /// Over so many rpm above `leave_at_rpm` the advance ramps to the table's.
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

/// Launch: a lower limit with late sparks for a standing start.
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
    /// They fire again so many rpm below `cuts_at_rpm`.
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

impl Parts {
    /// The highest speed in rpm at which a coil still fires: the last cut, or the end of the table where nothing is cut.
    pub fn top_speed_rpm(&self) -> f64 {
        let over = &self.limits.over_speed;
        match over.pattern {
            _ if !over.enabled => self.advance.table().speed().last(),
            CutPattern::AlternateCoils => over.cuts_at_rpm.max(over.cuts_all_at_rpm),
            CutPattern::All => over.cuts_at_rpm,
        }
    }
}
