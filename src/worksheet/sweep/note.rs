//! What there is to say about the readings of a sweep as a whole.

use serde::Serialize;

use super::SweepSetting;
use super::pulls::PullsRead;
use crate::project::AirStandard;
use crate::wording::{Unit, count, fixed, given_load, quantity, with_unit};
use crate::worksheet::{Gravity, Verdict};

/// A reading that lies near no operating point.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Stray {
    /// Its row, counted from 1.
    pub row: usize,
    /// Its speed in rpm.
    pub speed_rpm: f64,
    /// Its load.
    pub load: f64,
}

/// What is to be said about the readings as a whole.
#[derive(Clone, Debug, PartialEq)]
pub enum SweepNote {
    /// A reading belongs to no point.
    Stray {
        /// Which.
        stray: Stray,
        /// What its load is in.
        load_unit: Unit,
    },
    /// Pulls were read off at the speeds of the table.
    Pulls {
        /// How many pulls.
        pulls: usize,
        /// How many readings they gave.
        readings: usize,
    },
    /// The air was too far from a standard day.
    FarAir {
        /// The furthest factor.
        factor: f64,
        /// By which standard.
        standard: AirStandard,
    },
    /// Pulls whose air was not read.
    WithoutAir {
        /// How many.
        pulls: usize,
    },
    /// No standard corrects a boosted engine's torque.
    Boosted,
    /// Readings of this sweep complete a point of an earlier one.
    Joined {
        /// How many.
        readings: usize,
        /// What people call that point.
        point: String,
        /// The earlier sweep's name.
        sweep: String,
    },
    /// Some readings of a file were kept already.
    Known {
        /// How many.
        known: usize,
        /// How many the file has.
        readings: usize,
    },
}

impl Verdict for SweepNote {
    fn gravity(&self) -> Gravity {
        match self {
            Self::Stray { .. } | Self::FarAir { .. } | Self::WithoutAir { .. } => Gravity::Warning,
            Self::Pulls { .. } | Self::Boosted | Self::Joined { .. } | Self::Known { .. } => Gravity::Note,
        }
    }

    fn words(&self) -> String {
        match self {
            &Self::Stray { stray: Stray { row, speed_rpm, load }, load_unit } => format!(
                "Reading {row} belongs to no point: {}, {}.",
                quantity(speed_rpm, Unit::Rpm),
                with_unit(&given_load(load), load_unit)
            ),
            &Self::Pulls { pulls, readings } => format!(
                "{} gave {}, one at each speed of the table inside it.",
                count(pulls, "pull"),
                count(readings, "reading")
            ),
            &Self::FarAir { factor, standard } => format!(
                "The air changes torque by a factor of {} ({}): too far from the standard to be compared.",
                fixed(factor, 3),
                standard.words()
            ),
            &Self::WithoutAir { pulls } => {
                format!("{} without air_kpa and air_c throughout: not corrected for the air.", count(pulls, "pull"))
            }
            Self::Boosted => {
                "The engine is boosted: no standard corrects its torque for the air, and none was applied.".into()
            }
            Self::Joined { readings, point, sweep } => {
                let verb = if *readings == 1 { "joins" } else { "join" };
                format!("{} {verb} the sweep at {point} ({sweep}).", count(*readings, "reading"))
            }
            Self::Known { known, readings } if known == readings => {
                "The project has these readings already: they count once.".into()
            }
            Self::Known { known, readings } => {
                let verb = if *known == 1 { "is" } else { "are" };
                format!("{known} of {} {verb} in the project already, and counted once.", count(*readings, "reading"))
            }
        }
    }
}

/// What there is to say about pulls.
pub(super) fn of_pulls(read: &PullsRead, setting: &SweepSetting) -> Vec<SweepNote> {
    if read.pulls == 0 {
        return Vec::new();
    }
    let mut notes = vec![SweepNote::Pulls { pulls: read.pulls, readings: read.readings }];
    let Some(standard) = setting.air else { return notes };
    if setting.is_boosted {
        notes.push(SweepNote::Boosted);
    }
    notes.extend(read.far_factor.map(|factor| SweepNote::FarAir { factor, standard }));
    notes.extend((read.without_air > 0).then_some(SweepNote::WithoutAir { pulls: read.without_air }));
    notes
}
