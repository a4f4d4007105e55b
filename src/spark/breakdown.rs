//! The result: the commanded advance, what it is made up of, and whether the spark fires.

use serde::{Serialize, Serializer, ser::SerializeMap};

use crate::project::CutPattern;

/// What the unit is doing; if several apply, the first in this order.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum State {
    /// Too slow for any spark.
    Stopped,
    /// The starter turns the engine: the cranking advance alone.
    Cranking,
    /// Sparks are cut at the over-speed limit.
    LimitCut,
    /// Sparks are cut at the launch limit.
    LaunchCut,
    /// The advance eases off below the over-speed limit.
    OverSpeed,
    /// Launch is on.
    Launch,
    /// None of the others.
    Running,
}

impl State {
    /// Every state, in order.
    pub const ALL: [Self; 7] =
        [Self::Stopped, Self::Cranking, Self::LimitCut, Self::LaunchCut, Self::OverSpeed, Self::Launch, Self::Running];

    /// Its name in files.
    pub const fn name(self) -> &'static str {
        match self {
            Self::Stopped => "stopped",
            Self::Cranking => "cranking",
            Self::LimitCut => "limit_cut",
            Self::LaunchCut => "launch_cut",
            Self::OverSpeed => "over_speed",
            Self::Launch => "launch",
            Self::Running => "running",
        }
    }

    /// What people call it.
    pub const fn words(self) -> &'static str {
        match self {
            Self::Stopped => "stopped",
            Self::Cranking => "cranking",
            Self::LimitCut => "cut",
            Self::LaunchCut => "launch cut",
            Self::OverSpeed => "easing off",
            Self::Launch => "launch",
            Self::Running => "running",
        }
    }

    /// Whether the cranking advance stands alone, without table, trims, retards and margin; floor and ceiling apply.
    pub const fn is_cranking_or_stopped(self) -> bool {
        matches!(self, Self::Stopped | Self::Cranking)
    }

    /// Whether sparks come at all: in no cut, and not stopped.
    pub const fn fires(self) -> bool {
        !matches!(self, Self::Stopped | Self::LimitCut | Self::LaunchCut)
    }
}

/// What the commanded advance is made up of, in crank degrees. 0 where something does not apply, `None` where
/// it is left out because its temperature is unknown.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Contributions {
    /// The cranking advance, while it stands alone.
    pub cranking: f64,
    /// The ramp from the cranking advance to the table's.
    pub blend: f64,
    /// The advance table.
    pub table: f64,
    /// By coolant temperature.
    pub coolant_trim: Option<f64>,
    /// By intake air temperature.
    pub air_trim: Option<f64>,
    /// Taken off by launch, 0 or less.
    pub launch: f64,
    /// Taken off below the over-speed limit, 0 or less.
    pub over_speed: f64,
    /// Taken off by the safety margin, 0 or less.
    pub margin: f64,
    /// What the floor adds or the ceiling takes off.
    pub clamp: f64,
}

impl Contributions {
    /// Every contribution by name, in the order in which they are added.
    pub fn named(&self) -> [(&'static str, Option<f64>); 9] {
        [
            ("cranking", Some(self.cranking)),
            ("blend", Some(self.blend)),
            ("table", Some(self.table)),
            ("coolant_trim", self.coolant_trim),
            ("air_trim", self.air_trim),
            ("launch", Some(self.launch)),
            ("over_speed", Some(self.over_speed)),
            ("margin", Some(self.margin)),
            ("clamp", Some(self.clamp)),
        ]
    }

    /// Their sum in degrees; those left out count as 0.
    pub fn sum(&self) -> f64 {
        let Self { cranking, blend, table, coolant_trim, air_trim, launch, over_speed, margin, clamp } = *self;
        let trims = coolant_trim.unwrap_or(0.0) + air_trim.unwrap_or(0.0);
        cranking + blend + table + trims + launch + over_speed + margin + clamp
    }
}

impl Serialize for Contributions {
    fn serialize<S: Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        let mut map = serializer.serialize_map(Some(9))?;
        for (name, deg) in self.named() {
            map.serialize_entry(name, &deg)?;
        }
        map.end()
    }
}

/// The spark for one set of conditions.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Breakdown {
    /// What the unit is doing.
    pub state: State,
    /// Whether a spark comes. In a cut it is `false`, even though every other spark may still fire: see `cut`.
    pub fires: bool,
    /// Which sparks are cut, if any.
    #[serde(skip)]
    pub cut: Option<CutPattern>,
    /// What the advance is made up of; their sum is `commanded_deg` to within rounding.
    pub contributions: Contributions,
    /// The commanded advance in crank degrees before TDC, within floor and ceiling; also given where no spark
    /// fires.
    pub commanded_deg: f64,
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_in_files_are_the_serialized_ones() {
        for state in State::ALL {
            assert_eq!(serde_json::to_string(&state).unwrap(), format!("\"{}\"", state.name()));
        }
    }

    #[test]
    fn contributions_are_written_in_order_with_null_for_the_ones_left_out() {
        let contributions = Contributions { table: 20.5, air_trim: Some(-1.0), ..Contributions::default() };
        let expected = "{\"cranking\":0.0,\"blend\":0.0,\"table\":20.5,\"coolant_trim\":null,\"air_trim\":-1.0,\
                        \"launch\":0.0,\"over_speed\":0.0,\"margin\":0.0,\"clamp\":0.0}";
        assert_eq!(serde_json::to_string(&contributions).unwrap(), expected);
        assert_eq!(contributions.sum(), 19.5);
    }
}
