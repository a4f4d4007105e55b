//! The engine and how its plugs share coils.

use serde::{Deserialize, Serialize};

use super::Fault;

/// What coils are called in firing sequence unless their project has other names.
pub(super) const COIL_NAMES: [&str; 4] = ["A", "B", "C", "D"];

/// How the charge reaches the cylinders.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Induction {
    /// Drawn in by the pistons alone.
    NaturallyAspirated,
    /// Pressed in; by a turbocharger unless told otherwise.
    Boosted,
    /// Pressed in by a supercharger, which has no hot turbine in the exhaust.
    Supercharged,
}

impl Induction {
    /// Whether the charge is pressed in, by whatever means.
    pub const fn is_boosted(self) -> bool {
        matches!(self, Self::Boosted | Self::Supercharged)
    }
}

/// The combustion chamber and where its plug sits: how fast the charge burns, and so how much advance it wants.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Chamber {
    /// Valves beside the bore.
    SideValve,
    /// Two valves, the plug at the side of the chamber.
    TwoValveSidePlug,
    /// Two valves, hemispherical.
    TwoValveHemispherical,
    /// Two valves and two plugs.
    TwoValveTwoPlugs,
    /// Four valves, the plug in the middle.
    FourValveCentralPlug,
    /// Made to burn fast: high tumble.
    FastBurnHighTumble,
}

impl Chamber {
    /// All of them, the oldest kind first.
    pub const ALL: [Self; 6] = [
        Self::SideValve,
        Self::TwoValveSidePlug,
        Self::TwoValveHemispherical,
        Self::TwoValveTwoPlugs,
        Self::FourValveCentralPlug,
        Self::FastBurnHighTumble,
    ];

    /// What each is called in files, in the same order.
    pub const NAMES: [&'static str; 6] = [
        "side_valve",
        "two_valve_side_plug",
        "two_valve_hemispherical",
        "two_valve_two_plugs",
        "four_valve_central_plug",
        "fast_burn_high_tumble",
    ];

    /// What it is called in files.
    pub const fn name(self) -> &'static str {
        Self::NAMES[self as usize]
    }

    /// What people call it.
    pub fn words(self) -> String {
        self.name().replace('_', " ")
    }

    /// Whether it has four valves: both such chambers burn fast and knock early, and want less advance.
    pub const fn has_four_valves(self) -> bool {
        matches!(self, Self::FourValveCentralPlug | Self::FastBurnHighTumble)
    }
}

/// How fuel and air meet.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Mixture {
    /// In one or more carburettors: late sparks can light the inlet.
    Carburettors,
    /// By injection.
    Injection,
}

/// The engine.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Engine {
    /// 4, 6 or 8.
    pub cylinders: u8,
    /// Each cylinder once, in the order in which they fire.
    pub firing_order: Vec<u8>,
    /// One coil channel per pair of cylinders, in the order in which they fire.
    pub channels: Vec<CoilChannel>,
    /// Swept volume of all cylinders, in litres.
    pub displacement_l: f64,
    /// Compression ratio (to one).
    pub compression_ratio: f64,
    /// How the charge reaches the cylinders.
    pub induction: Induction,
    /// How fuel and air meet.
    pub mixture: Mixture,
    /// Research octane number of the fuel the table is made for.
    pub fuel_octane_ron: f64,
    /// Warm idle speed.
    pub idle_speed_rpm: f64,
    /// Load at warm idle, in the load unit.
    pub idle_load: f64,
    /// The highest manifold pressure to expect, absolute.
    pub highest_pressure_kpa: f64,
    /// Plug type, free text.
    pub plugs: String,
    /// Plug gap.
    pub plug_gap_mm: f64,
    /// The combustion chamber.
    pub chamber: Chamber,
    /// The highest speed that the engine itself withstands; `None` when it is not known.
    pub highest_safe_speed_rpm: Option<f64>,
}

/// One coil channel: the two cylinders whose plugs it fires together, once a revolution.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct CoilChannel {
    /// Its name on the drawing and in the loom, such as `A`.
    pub name: String,
    /// The two cylinders, the one that fires first in the firing order first.
    pub cylinders: [u8; 2],
    /// Wire colours, connector pins and the like, free text.
    pub wiring: String,
}

/// The pairs of companion cylinders of an even-firing engine, in firing sequence.
///
/// Cylinders i and i + N/2 by position in the firing order share top dead centre, 360° of crank apart in the
/// four-stroke cycle. Common practice, no source. The order has an even number of entries.
pub fn companions(firing_order: &[u8]) -> Vec<[u8; 2]> {
    let (first, second) = firing_order.split_at(firing_order.len() / 2);
    first.iter().zip(second).map(|(&a, &b)| [a, b]).collect()
}

impl Engine {
    /// The engine's fields other than cylinders, firing order and coils, in the order in which people are shown
    /// them.
    pub const FACT_PATHS: [&str; 12] = [
        "engine.displacement_l",
        "engine.compression_ratio",
        "engine.chamber",
        "engine.induction",
        "engine.mixture",
        "engine.fuel_octane_ron",
        "engine.idle_speed_rpm",
        "engine.idle_load",
        "engine.highest_safe_speed_rpm",
        "engine.highest_pressure_kpa",
        "engine.plugs",
        "engine.plug_gap_mm",
    ];

    /// Coil channels for the firing order, named A, B, C, D in firing sequence.
    pub fn proposed_channels(firing_order: &[u8]) -> Vec<CoilChannel> {
        let pairs = companions(firing_order).into_iter();
        COIL_NAMES
            .into_iter()
            .zip(pairs)
            .map(|(name, cylinders)| CoilChannel { name: name.into(), cylinders, wiring: String::new() })
            .collect()
    }

    /// Why cylinders, firing order and coil channels do not fit together: the field, the reason and the remedy.
    pub(super) fn fault(&self) -> Option<Fault> {
        let fault = |path: &str, message: String, hint: String| Some(Fault { path: path.into(), message, hint });
        if !matches!(self.cylinders, 4 | 6 | 8) {
            let reason =
                "wasted spark needs companion cylinders that share top dead centre: 4, 6 or 8 cylinders firing evenly";
            return fault("engine.cylinders", format!("{} cylinders: {reason}", self.cylinders), String::new());
        }
        let mut sorted = self.firing_order.clone();
        sorted.sort_unstable();
        if !sorted.iter().copied().eq(1..=self.cylinders) {
            let reason = format!("the firing order must name each of cylinders 1 to {} once", self.cylinders);
            return fault("engine.firing_order", reason, "set cylinders, firing order and channels together".into());
        }
        let pairs = companions(&self.firing_order);
        let remedy = || format!("set engine.channels together with them: {}", in_ron(&self.firing_order));
        if self.channels.len() != pairs.len() {
            let reason = format!("{} coil channels, but {} pairs of cylinders", self.channels.len(), pairs.len());
            return fault("engine.channels", reason, remedy());
        }
        let mut both = self.channels.iter().zip(&pairs);
        let (channel, [a, b]) = both.find(|(channel, pair)| !same_pair(channel.cylinders, **pair))?;
        let [x, y] = channel.cylinders;
        let reason =
            format!("coil {} fires {x} and {y}, but the firing order pairs {a} and {b} in its place", channel.name);
        fault("engine.channels", reason, remedy())
    }
}

/// The coil channels of a firing order, written as `set` takes them.
fn in_ron(firing_order: &[u8]) -> String {
    let channel = |channel: CoilChannel| {
        let [a, b] = channel.cylinders;
        format!("(name: \"{}\", cylinders: ({a}, {b}), wiring: \"\")", channel.name)
    };
    let channels: Vec<String> = Engine::proposed_channels(firing_order).into_iter().map(channel).collect();
    format!("[{}]", channels.join(", "))
}

fn same_pair(a: [u8; 2], b: [u8; 2]) -> bool {
    a == b || a == [b[1], b[0]]
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn chambers_are_called_as_in_files() {
        for chamber in Chamber::ALL {
            assert_eq!(ron::to_string(&chamber).unwrap(), chamber.name());
        }
        assert_eq!(Chamber::FourValveCentralPlug.words(), "four valve central plug");
    }

    #[test]
    fn companions_of_common_firing_orders() {
        assert_eq!(companions(&[1, 3, 4, 2]), [[1, 4], [3, 2]]);
        assert_eq!(companions(&[1, 4, 3, 2]), [[1, 3], [4, 2]]);
        assert_eq!(companions(&[1, 5, 3, 6, 2, 4]), [[1, 6], [5, 2], [3, 4]]);
        assert_eq!(companions(&[1, 8, 4, 3, 6, 5, 7, 2]), [[1, 6], [8, 5], [4, 7], [3, 2]]);
    }
}
