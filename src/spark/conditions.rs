//! What the unit knows at one moment.

use crate::project::{LoadKind, Signal};

/// The conditions of one moment, as the unit sees them. Finite numbers.
///
/// A temperature that is `None` leaves its trim out; for a failed sender give the project's stand-in.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Conditions {
    /// Crank speed in rpm.
    pub speed_rpm: f64,
    /// Load in the project's load unit; beyond the table it is taken as at its edge.
    pub load: f64,
    /// Coolant temperature in °C.
    pub coolant_c: Option<f64>,
    /// Intake air temperature in °C.
    pub air_c: Option<f64>,
    /// Battery voltage in V.
    pub battery_v: Option<f64>,
    /// Throttle opening in %; where throttle is the load, the load serves when this is `None`.
    pub throttle_pct: Option<f64>,
    /// Whether the launch switch is closed.
    pub launch_switch: bool,
}

impl Conditions {
    /// Throttle opening in %, if there is such a signal.
    pub fn throttle(&self, load: LoadKind) -> Option<f64> {
        self.throttle_pct.or((load == LoadKind::Throttle).then_some(self.load))
    }

    /// What a signal reads, if it is there. The advance is not among the conditions and comes from the caller.
    pub fn signal(&self, signal: Signal, load: LoadKind, advance_deg: Option<f64>) -> Option<f64> {
        match signal {
            Signal::Speed => Some(self.speed_rpm),
            Signal::Load => Some(self.load),
            Signal::Throttle => self.throttle(load),
            Signal::Pressure => (load == LoadKind::Pressure).then_some(self.load),
            Signal::Coolant => self.coolant_c,
            Signal::Air => self.air_c,
            Signal::Battery => self.battery_v,
            Signal::Advance => advance_deg,
        }
    }
}
