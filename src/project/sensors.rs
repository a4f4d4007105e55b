//! What the unit measures besides crank angle.

use serde::{Deserialize, Serialize};

use super::Fault;
use crate::wording::{Unit, quantity};

/// What the load axis is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum LoadKind {
    /// Throttle opening, 0 to 100 %.
    Throttle,
    /// Manifold pressure, absolute, in kPa.
    Pressure,
}

impl LoadKind {
    /// The unit of a load value.
    pub const fn unit(self) -> Unit {
        match self {
            Self::Throttle => Unit::Percent,
            Self::Pressure => Unit::Kilopascal,
        }
    }

    /// The unit of a slope along load.
    pub const fn slope_unit(self) -> Unit {
        match self {
            Self::Throttle => Unit::DegreePerPercent,
            Self::Pressure => Unit::DegreePerKilopascal,
        }
    }

    /// The name of the quantity.
    pub const fn name(self) -> &'static str {
        match self {
            Self::Throttle => "throttle",
            Self::Pressure => "pressure",
        }
    }

    /// The lowest and highest load a breakpoint may have.
    pub const fn range(self) -> (f64, f64) {
        match self {
            Self::Throttle => (0.0, 100.0),
            Self::Pressure => (1.0, 500.0),
        }
    }
}

/// A sensor whose voltage is linear in what it measures, by two points of calibration.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct LinearSensor {
    /// Whether one is fitted.
    pub fitted: bool,
    /// Voltage at the first calibration point.
    pub first_v: f64,
    /// What it measures there: % throttle or kPa absolute.
    pub first_reads: f64,
    /// Voltage at the second calibration point.
    pub second_v: f64,
    /// What it measures there.
    pub second_reads: f64,
}

/// A resistive temperature sender in a divider.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Sender {
    /// Whether one is fitted.
    pub fitted: bool,
    /// Three temperatures of its data sheet, rising.
    pub points_c: [f64; 3],
    /// Its resistance at them.
    pub points_ohm: [f64; 3],
    /// The resistor from the sender to the supply.
    pub pull_up_ohm: f64,
    /// The temperature assumed when it has failed.
    pub stand_in_c: f64,
}

/// Every sensor but the trigger's.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Sensors {
    /// What the load axis is.
    pub load: LoadKind,
    /// The throttle position sensor.
    pub throttle: LinearSensor,
    /// The manifold pressure sensor.
    pub pressure: LinearSensor,
    /// The coolant temperature sender.
    pub coolant: Sender,
    /// The intake air temperature sender.
    pub air: Sender,
    /// The lowest supply voltage to expect, while cranking.
    pub lowest_battery_v: f64,
    /// The highest supply voltage to expect, while charging.
    pub highest_battery_v: f64,
}

impl Sensors {
    /// Why the sensors are not allowed, if they are not.
    pub(super) fn fault(&self) -> Option<Fault> {
        let (lowest_v, highest_v) = (self.lowest_battery_v, self.highest_battery_v);
        (lowest_v > highest_v).then(|| Fault {
            path: "sensors.lowest_battery_v".into(),
            message: format!(
                "{} is above the highest battery voltage, {}",
                quantity(lowest_v, Unit::Volt),
                quantity(highest_v, Unit::Volt)
            ),
            hint: "lower it, or raise sensors.highest_battery_v first".into(),
        })
    }
}
