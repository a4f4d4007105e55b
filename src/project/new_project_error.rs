//! Why a new project cannot be made.

use thiserror::Error;

use super::starter::StarterError;
use super::{Fault, NoFreeReference};
use crate::table::{CurveError, MAX_BREAKPOINTS, MIN_BREAKPOINTS};
use crate::wording::{Unit, count, lower_first, quantity};

/// Why the new project cannot be made.
#[derive(Clone, Debug, PartialEq, Error)]
pub enum NewProjectError {
    /// Not 4, 6 or 8.
    #[error(
        "{0} cylinders: wasted spark needs companion cylinders that share top dead centre: 4, 6 or 8 cylinders firing evenly"
    )]
    Cylinders(u8),
    /// A size outside 2 to 64.
    #[error(
        "a table of {} × {}; each axis has {MIN_BREAKPOINTS} to {MAX_BREAKPOINTS} breakpoints",
        count(*.speeds, "speed"), count(*.loads, "load")
    )]
    Size {
        /// Speeds asked for.
        speeds: usize,
        /// Loads asked for.
        loads: usize,
    },
    /// An impossible figure of the engine.
    #[error("{}: {what}", lower_first(.label))]
    Engine {
        /// What it is called.
        label: &'static str,
        /// What is wrong with it.
        what: String,
    },
    /// No room for the limits.
    #[error(
        "idle at {} and a highest safe speed of {}: 1000 rpm at least must lie between them",
        quantity(*.idle_rpm, Unit::Rpm), quantity(*.safe_rpm, Unit::Rpm)
    )]
    Speeds {
        /// Idle.
        idle_rpm: f64,
        /// The highest safe speed.
        safe_rpm: f64,
    },
    /// A wheel whose gap is hit by sparks wherever the sensor sits.
    #[error(transparent)]
    Gap(#[from] NoFreeReference),
    /// A mistake in the defaults.
    #[error("{0}")]
    Defaults(String),
}

impl From<CurveError> for NewProjectError {
    fn from(error: CurveError) -> Self {
        Self::Defaults(error.to_string())
    }
}

impl From<Fault> for NewProjectError {
    fn from(fault: Fault) -> Self {
        Self::Defaults(fault.to_string())
    }
}

impl From<StarterError> for NewProjectError {
    fn from(error: StarterError) -> Self {
        Self::Defaults(error.to_string())
    }
}
