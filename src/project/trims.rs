//! What is added to the table, kept apart from it, and never to be exceeded.

use serde::{Deserialize, Serialize};

use crate::table::Curve;

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

/// A reduction kept apart from the table so that it can be taken off again.
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
