//! What the unit switches besides the coils.

use serde::{Deserialize, Serialize};

use super::LoadKind;

/// What a condition watches.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Signal {
    /// Engine speed, rpm.
    Speed,
    /// Load, in the load unit.
    Load,
    /// Throttle opening, %.
    Throttle,
    /// Manifold pressure, kPa absolute.
    Pressure,
    /// Coolant temperature, °C.
    Coolant,
    /// Intake air temperature, °C.
    Air,
    /// Battery voltage, V.
    Battery,
    /// Commanded advance, degrees before TDC.
    Advance,
}

impl Signal {
    /// Every signal.
    pub const ALL: [Self; 8] = [
        Self::Speed,
        Self::Load,
        Self::Throttle,
        Self::Pressure,
        Self::Coolant,
        Self::Air,
        Self::Battery,
        Self::Advance,
    ];

    /// Its name, as in files.
    pub const fn name(self) -> &'static str {
        match self {
            Self::Speed => "speed",
            Self::Load => "load",
            Self::Throttle => "throttle",
            Self::Pressure => "pressure",
            Self::Coolant => "coolant",
            Self::Air => "air",
            Self::Battery => "battery",
            Self::Advance => "advance",
        }
    }

    /// The unit of its thresholds.
    pub const fn unit(self, load: LoadKind) -> &'static str {
        match self {
            Self::Speed => "rpm",
            Self::Load => load.unit(),
            Self::Throttle => "%",
            Self::Pressure => "kPa",
            Self::Coolant | Self::Air => "°C",
            Self::Battery => "V",
            Self::Advance => "°",
        }
    }
}

/// How several conditions combine.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Combine {
    /// On when all are met.
    All,
    /// On when any is met.
    Any,
}

/// A threshold with hysteresis: `on > off` switches on when the signal rises to `on` and off when it falls to `off`;
/// `on < off` the other way about.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Condition {
    /// What is watched.
    pub signal: Signal,
    /// Where it switches on, in the signal's unit.
    pub on: f64,
    /// Where it switches off.
    pub off: f64,
}

/// A switched output: shift light, fan relay, warning lamp.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Output {
    /// Its name; no two outputs share one.
    pub name: String,
    /// Whether it is used.
    pub enabled: bool,
    /// What it waits for.
    pub conditions: Vec<Condition>,
    /// How the conditions combine.
    pub combine: Combine,
    /// Whether it is on when the conditions are not met.
    pub inverted: bool,
    /// The speed from which it blinks instead of shining, for a shift light.
    pub blinks_from_rpm: Option<f64>,
}

/// The tachometer signal: a square wave of `pulses_per_revolution × speed/60` Hz.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Tachometer {
    /// Whether it is used.
    pub enabled: bool,
    /// Pulses per crank revolution.
    pub pulses_per_revolution: f64,
}

/// Why the outputs cannot be: the path of the field and the reason.
pub(super) fn fault(outputs: &[Output]) -> Option<(String, String)> {
    for (index, output) in outputs.iter().enumerate() {
        if outputs[..index].iter().any(|other| other.name == output.name) {
            return Some((format!("outputs[{index}].name"), format!("two outputs are called '{}'", output.name)));
        }
        if let Some(at) = output.conditions.iter().position(|condition| condition.on == condition.off) {
            let reason = "a condition that switches on and off at the same value chatters; move one of them".into();
            return Some((format!("outputs[{index}].conditions[{at}].off"), reason));
        }
    }
    None
}
