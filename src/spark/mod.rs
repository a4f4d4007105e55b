//! Floor 2: from conditions to spark. What advance is commanded, what it is made up of, whether a spark fires,
//! and what the switched outputs do.
//!
//! [`Evaluation`] is a project prepared for this. [`Evaluation::lookup`] has no memory and answers for one set
//! of conditions as if the speed were rising; with a [`Memory`] each answer depends on the ones before it, as
//! in a running unit.

mod breakdown;
mod evaluation;
mod memory;
mod outputs;
#[cfg(test)]
mod proofs;

use thiserror::Error;

use crate::project::{LoadKind, Signal, signal_range};
use crate::wording::{Unit, outside};

pub use breakdown::{Breakdown, Contributions, State};
pub use evaluation::{Evaluation, TableLookup};
pub use memory::{Memory, Situation};
pub use outputs::{Outputs, Shown, tachometer_hz};

/// The conditions of one moment, as the unit sees them. Finite numbers.
///
/// A temperature that is `None` leaves its trim out; for a failed sender, give the project's stand-in
/// temperature.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Conditions {
    /// Crank speed in rpm.
    pub speed_rpm: f64,
    /// Load in the project's load unit; beyond the table it is clamped to the table's edge.
    pub load: f64,
    /// Coolant temperature in °C.
    pub coolant_c: Option<f64>,
    /// Intake air temperature in °C.
    pub air_c: Option<f64>,
    /// Battery voltage in V.
    pub battery_v: Option<f64>,
    /// Throttle opening in %; if it is `None` and throttle is the load, the load is used.
    pub throttle_pct: Option<f64>,
    /// Whether the launch switch is closed.
    pub launch_switch: bool,
}

/// A condition that is impossible on any engine.
#[derive(Clone, Copy, Debug, PartialEq, Error)]
#[error("{}", outside(*.value, *.range, *.unit))]
pub struct OutOfRange {
    /// Which signal.
    pub signal: Signal,
    /// The value refused.
    pub value: f64,
    /// The least and the greatest value.
    pub range: (f64, f64),
    /// The unit of the value and the range.
    pub unit: Unit,
}

impl Conditions {
    /// Checks every condition against the range of its signal. A load within the range may still lie beyond the
    /// table.
    ///
    /// # Errors
    /// [`OutOfRange`] for the first condition out of its range.
    #[inline]
    pub fn check(&self, load: LoadKind) -> Result<(), OutOfRange> {
        let given = [
            (Signal::Speed, Some(self.speed_rpm)),
            (Signal::Load, Some(self.load)),
            (Signal::Coolant, self.coolant_c),
            (Signal::Air, self.air_c),
            (Signal::Battery, self.battery_v),
            (Signal::Throttle, self.throttle_pct),
        ];
        for (signal, value) in given {
            let range = signal_range(signal, load);
            if let Some(value) = value.filter(|value| !(range.0..=range.1).contains(value)) {
                return Err(OutOfRange { signal, value, range, unit: signal.unit(load) });
            }
        }
        Ok(())
    }

    /// Throttle opening in %, if there is such a signal.
    pub fn throttle(&self, load: LoadKind) -> Option<f64> {
        self.throttle_pct.or((load == LoadKind::Throttle).then_some(self.load))
    }

    /// The value of a signal, if it is known. The advance is not among the conditions and comes from the
    /// caller.
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

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn conditions_that_cannot_be_are_named() {
        let told = |load, change: fn(&mut Conditions)| {
            let mut at = Conditions { speed_rpm: 3000.0, load: 40.0, ..Conditions::default() };
            change(&mut at);
            at.check(load).err().map(|refused| (refused.signal, refused.to_string()))
        };
        let throttle = |change| told(LoadKind::Throttle, change);
        assert_eq!(throttle(|_| ()), None);
        let refused = |signal, words: &str| Some((signal, words.to_owned()));
        assert_eq!(throttle(|at| at.speed_rpm = -5.0), refused(Signal::Speed, "−5 is outside 0..30000 rpm"));
        assert_eq!(throttle(|at| at.load = 101.0), refused(Signal::Load, "101 is outside 0..100 %"));
        assert_eq!(told(LoadKind::Pressure, |at| at.load = 501.0), refused(Signal::Load, "501 is outside 1..500 kPa"));
        assert_eq!(throttle(|at| at.throttle_pct = Some(101.0)), refused(Signal::Throttle, "101 is outside 0..100 %"));
        assert_eq!(throttle(|at| at.battery_v = Some(-1.0)), refused(Signal::Battery, "−1 is outside 0..60 V"));
        assert_eq!(throttle(|at| at.coolant_c = Some(f64::NAN)).unwrap().0, Signal::Coolant);
        assert_eq!(throttle(|at| at.air_c = Some(200.5)).unwrap().0, Signal::Air);
    }
}
