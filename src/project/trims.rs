//! What is added to the table, kept apart from it, and never to be exceeded.

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
    /// The most that it adds at a load, in degrees, at any temperature; it may also be left out.
    pub fn most_deg(&self, load: f64) -> f64 {
        let most_deg = self.degrees.values().iter().copied().fold(0.0, f64::max);
        if self.enabled { most_deg * self.weight.lookup(load) } else { 0.0 }
    }

    /// The most that it takes away at a load, in degrees, 0 or less.
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

    /// Breakpoints of the weights: with those of the table, all loads at which the sum of both may bend.
    pub fn loads_of_sum(&self, table_loads: &Axis) -> Vec<f64> {
        let axes = [table_loads, self.coolant.weight.axis(), self.air.weight.axis()];
        let mut loads: Vec<f64> = axes.iter().flat_map(|axis| axis.breakpoints()).copied().collect();
        loads.sort_by(f64::total_cmp);
        loads.dedup();
        loads
    }
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
