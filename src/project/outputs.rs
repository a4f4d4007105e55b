//! What the unit switches besides the coils, with outputs and conditions to start from. Thresholds: common practice,
//! no source.

use serde::{Deserialize, Serialize};

use super::{Limits, LoadKind};
use crate::wording::{Unit, quantity};

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
    pub const fn unit(self, load: LoadKind) -> Unit {
        match self {
            Self::Speed => Unit::Rpm,
            Self::Load => load.unit(),
            Self::Throttle => Unit::Percent,
            Self::Pressure => Unit::Kilopascal,
            Self::Coolant | Self::Air => Unit::Celsius,
            Self::Battery => Unit::Volt,
            Self::Advance => Unit::Degree,
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

impl Output {
    /// What it does: 'on above 92 °C, off below 88 °C'; several conditions with their signals' names; an inverted output
    /// the other way about.
    pub fn words(&self, load: LoadKind) -> String {
        if !self.enabled {
            return "not used".into();
        }
        let states = if self.inverted { ["off", "on"] } else { ["on", "off"] };
        let told = match self.conditions.as_slice() {
            [] if !self.inverted => return "always off: it waits for nothing".into(),
            [] => "always on: it waits for nothing".into(),
            [one] => one.alone(load, states),
            several => {
                let several: Vec<String> = several.iter().map(|condition| condition.among(load)).collect();
                let join = match self.combine {
                    Combine::All => " and ",
                    Combine::Any => " or ",
                };
                format!("{} while {}", states[0], several.join(join))
            }
        };
        match self.blinks_from_rpm {
            Some(from_rpm) => format!("{told}; blinks from {}", quantity(from_rpm, Unit::Rpm)),
            None => told,
        }
    }
}

impl Condition {
    fn alone(&self, load: LoadKind, [met, unmet]: [&str; 2]) -> String {
        let [there, back] = self.sides();
        let [on, off] = self.quantities(load);
        format!("{met} {there} {on}, {unmet} {back} {off}")
    }

    fn among(&self, load: LoadKind) -> String {
        let [there, back] = self.sides();
        let [on, off] = self.quantities(load);
        format!("{} goes {there} {on} (until {back} {off})", self.signal.name())
    }

    /// On which side of its thresholds the condition is met, and on which it ends.
    const fn sides(&self) -> [&'static str; 2] {
        if self.on > self.off { ["above", "below"] } else { ["below", "above"] }
    }

    fn quantities(&self, load: LoadKind) -> [String; 2] {
        let unit = self.signal.unit(load);
        [self.on, self.off].map(|value| quantity(value, unit))
    }
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

/// Why the outputs are not allowed: the path of the field and the reason.
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

    fn output(conditions: &[(Signal, f64, f64)]) -> Output {
        let condition = |&(signal, on, off): &(Signal, f64, f64)| Condition { signal, on, off };
        Output {
            name: "fan".into(),
            enabled: true,
            conditions: conditions.iter().map(condition).collect(),
            combine: Combine::All,
            inverted: false,
            blinks_from_rpm: None,
        }
    }

    #[test]
    fn outputs_are_told_in_words() {
        let tell = |output: &Output| output.words(LoadKind::Throttle);
        let fan = output(&[(Signal::Coolant, 92.0, 88.0)]);
        assert_eq!(tell(&fan), "on above 92 °C, off below 88 °C");
        assert_eq!(tell(&output(&[(Signal::Battery, 11.5, 12.0)])), "on below 11.5 V, off above 12 V");
        let light = Output { blinks_from_rpm: Some(6400.0), ..output(&[(Signal::Speed, 6100.0, 5950.0)]) };
        assert_eq!(tell(&light), "on above 6100 rpm, off below 5950 rpm; blinks from 6400 rpm");
        let both = output(&[(Signal::Speed, 3000.0, 2800.0), (Signal::Load, 60.0, 50.0)]);
        assert_eq!(
            tell(&both),
            "on while speed goes above 3000 rpm (until below 2800 rpm) and load goes above 60 % (until below 50 %)"
        );
        assert!(tell(&Output { combine: Combine::Any, ..both }).contains(" or load"));
        assert_eq!(tell(&output(&[])), "always off: it waits for nothing");
        assert_eq!(tell(&Output { enabled: false, ..fan }), "not used");
    }

    #[test]
    fn an_inverted_output_is_told_the_other_way_about() {
        let inverted = |conditions| Output { inverted: true, ..output(conditions) }.words(LoadKind::Pressure);
        assert_eq!(inverted(&[(Signal::Speed, 5000.0, 4000.0)]), "off above 5000 rpm, on below 4000 rpm");
        assert_eq!(inverted(&[(Signal::Advance, -5.0, 0.0)]), "off below −5.0°, on above 0.0°");
        assert_eq!(inverted(&[]), "always on: it waits for nothing");
        let both = [(Signal::Speed, 3000.0, 2800.0), (Signal::Load, 60.0, 50.0)];
        assert!(inverted(&both).starts_with("off while speed goes above 3000 rpm"), "{}", inverted(&both));
    }

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
