//! Outputs and conditions to start from. Thresholds: common practice, no source.

use super::{Combine, Condition, Limits, Output, Signal};

/// Speeds of ready-made conditions are multiples of this.
const ROUND_RPM: f64 = 50.0;

/// An output that is offered ready to use.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum ReadyOutput {
    /// Shines below the over-speed limit, blinks just below it.
    ShiftLight,
    /// Cools the radiator.
    Fan,
    /// Runs while the engine turns, and stops with it.
    FuelPump,
}

impl ReadyOutput {
    /// Every one, in the order in which they are offered.
    pub const ALL: [Self; 3] = [Self::ShiftLight, Self::Fan, Self::FuelPump];

    /// What the output is called.
    pub const fn name(self) -> &'static str {
        match self {
            Self::ShiftLight => "shift light",
            Self::Fan => "fan",
            Self::FuelPump => "fuel pump",
        }
    }

    /// What it is for, in one sentence.
    pub const fn purpose(self) -> &'static str {
        match self {
            Self::ShiftLight => "Comes on below the over-speed limit and blinks just below it",
            Self::Fan => "Switches a radiator fan on coolant temperature",
            Self::FuelPump => "Runs the fuel pump while the engine turns and stops it when the engine stands",
        }
    }

    /// The output, its speeds fitted to the limits.
    pub fn output(self, limits: &Limits) -> Output {
        let speed = |on, off| Condition { signal: Signal::Speed, on, off };
        let (condition, blinks_from_rpm) = match self {
            Self::ShiftLight => {
                let condition = Condition::usual(Signal::Speed, limits);
                let blinks_rpm = condition.on + 2.0 * ROUND_RPM;
                (condition, Some(blinks_rpm))
            }
            Self::Fan => (Condition::usual(Signal::Coolant, limits), None),
            Self::FuelPump => (speed(2.0 * ROUND_RPM, ROUND_RPM), None),
        };
        Output {
            name: self.name().into(),
            enabled: true,
            conditions: vec![condition],
            combine: Combine::All,
            inverted: false,
            blinks_from_rpm,
        }
    }
}

impl Condition {
    /// Usual thresholds of a signal; speeds keep below the over-speed limit.
    pub fn usual(signal: Signal, limits: &Limits) -> Self {
        let below_limit_rpm = limits.over_speed.eases_from_rpm - 4.0 * ROUND_RPM;
        let on_rpm = ((below_limit_rpm / ROUND_RPM).round() * ROUND_RPM).max(3.0 * ROUND_RPM);
        let (on, off) = match signal {
            Signal::Speed => (on_rpm, on_rpm - 3.0 * ROUND_RPM),
            Signal::Load | Signal::Throttle => (80.0, 70.0),
            Signal::Pressure => (130.0, 120.0),
            Signal::Coolant => (96.0, 91.0),
            Signal::Air => (60.0, 55.0),
            Signal::Battery => (11.5, 12.2),
            Signal::Advance => (35.0, 33.0),
        };
        Self { signal, on, off }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::project::{LoadKind, NewProject};

    fn limits() -> Limits {
        let new = NewProject { name: "trial".into(), cylinders: 4, load: LoadKind::Throttle, speeds: 8, loads: 8 };
        new.create().unwrap().limits.clone()
    }

    #[test]
    fn each_says_what_it_does() {
        let told = ReadyOutput::ALL.map(|ready| ready.output(&limits()).words(LoadKind::Throttle));
        assert_eq!(
            told,
            [
                "on above 6050 rpm, off below 5900 rpm; blinks from 6150 rpm",
                "on above 96 °C, off below 91 °C",
                "on above 100 rpm, off below 50 rpm",
            ]
        );
    }

    #[test]
    fn speeds_stay_positive_where_the_limit_is_low() {
        let mut limits = limits();
        limits.over_speed.eases_from_rpm = 120.0;
        let condition = Condition::usual(Signal::Speed, &limits);
        assert_eq!((condition.on, condition.off), (150.0, 0.0));
    }
}
