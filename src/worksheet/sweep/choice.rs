//! Which advance to use of an operating point, and how it counts.

use serde::Serialize;

/// Which advance of a sweep is wanted.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize)]
#[serde(rename_all = "snake_case")]
pub enum SweepChoice {
    /// The least advance that loses no more than 1 % of torque.
    #[default]
    Least,
    /// Best torque.
    Best,
    /// What knock allows, less the margin; nothing where nothing knocked.
    Knock,
}

impl SweepChoice {
    /// Every choice.
    pub const ALL: [Self; 3] = [Self::Least, Self::Best, Self::Knock];

    /// Its name on the command line.
    pub const fn name(self) -> &'static str {
        match self {
            Self::Least => "least",
            Self::Best => "best",
            Self::Knock => "knock",
        }
    }

    /// What people call it.
    pub const fn words(self) -> &'static str {
        match self {
            Self::Least => "least advance",
            Self::Best => "best torque",
            Self::Knock => "below knock",
        }
    }
}

/// How an advance that was found counts.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub enum Counts {
    /// The readings say nothing that counts.
    #[default]
    Nothing,
    /// The right advance is this.
    About {
        /// In degrees.
        deg: f64,
        /// Its interval; both ends are known.
        low_deg: f64,
        /// The upper end.
        high_deg: f64,
    },
    /// It is at least this, in degrees: the interval is open above.
    AtLeast(f64),
    /// It is at most this, in degrees: the interval is open below.
    AtMost(f64),
    /// Knock allows at most this, in degrees.
    Knock(f64),
}

/// The advance of one choice.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Chosen {
    /// The advance to use, rounded down to the step, in degrees; `None` where the readings do not allow one.
    pub deg: Option<f64>,
    /// What knock allows, rounded down to the step, in degrees; `None` where nothing knocked.
    pub knock_most_deg: Option<f64>,
    /// Torque there, in % of the top.
    pub torque_pct: Option<f64>,
    /// How it counts as evidence.
    pub counts: Counts,
}
