//! The coils and how long they are charged.

use serde::{Deserialize, Serialize};

use crate::table::Curve;

/// What one channel drives.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum CoilKind {
    /// One coil with two high-tension ends.
    DoubleEnded,
    /// Two coils driven together.
    TwoSingles,
}

/// The coils, their drivers and the dwell.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Coil {
    /// What one channel drives.
    pub kind: CoilKind,
    /// Primary resistance at `resistance_at_c`.
    pub resistance_ohm: f64,
    /// The temperature of the coil in service; copper's resistance rises 0.39 %/K above 20 °C.
    pub temperature_c: f64,
    /// Primary inductance.
    pub inductance_mh: f64,
    /// Resistance of the loom and connectors in the primary circuit.
    pub harness_ohm: f64,
    /// Voltage across the driver when it conducts.
    pub driver_drop_v: f64,
    /// The current at which the driver limits, if it does.
    pub current_limit_a: Option<f64>,
    /// The highest primary current the coil is rated for.
    pub rated_current_a: f64,
    /// How long the spark burns: charging starts no earlier than this after the coil's last spark.
    pub burn_time_ms: f64,
    /// Dwell in ms over battery voltage in V.
    pub dwell_ms: Curve,
}
