//! The numbers of demands with their ranges, and what no table can be held against.

use super::demands::{Demands, Target, TargetBound, USUAL_WITHIN_DEG};
use crate::project::{ADVANCE_RANGE_DEG, LoadKind};
use crate::shaping::ShapingError;
use crate::shaping::error::within;
use crate::shaping::offer::{Number, Step};
use crate::table::{Axis, Table};
use crate::wording::Unit;

/// How far a cell may move.
pub const WITHIN: Number = Number {
    name: "fair within",
    called: "within",
    unit: |_| Unit::Degree,
    range: (0.0, 150.0),
    typed: (0.0, 150.0),
    step: Step::OfProject,
    default: USUAL_WITHIN_DEG,
    usual: "00.0",
    plus: false,
    argument: "within",
    help: "Move no cell by more than this many degrees",
};

/// The load from which on nothing rises with load.
pub const NOT_RISING: Number = Number {
    name: "fair never rising with load above",
    called: "never rising above load",
    unit: LoadKind::unit,
    range: (0.0, 1000.0),
    typed: (0.0, 1000.0),
    step: Step::By(1.0),
    default: 60.0,
    usual: "000",
    argument: "not-rising-above",
    help: "Let nothing rise with load between rows from this load on, in % or kPa",
    ..WITHIN
};

/// The most slope along speed.
pub const SLOPE_SPEED: Number = Number {
    name: "fair at most along speed",
    called: "most slope along speed",
    unit: |_| Unit::DegreePer1000Rpm,
    range: (0.0, 1e6),
    typed: (0.0, 1e6),
    step: Step::By(0.5),
    default: 12.0,
    argument: "max-slope-speed",
    help: "Most degrees per 1000 rpm between neighbours",
    ..WITHIN
};

/// The most slope along load.
pub const SLOPE_LOAD: Number = Number {
    name: "fair at most along load",
    called: "most slope along load",
    unit: LoadKind::slope_unit,
    range: (0.0, 1e6),
    typed: (0.0, 1e6),
    step: Step::By(0.1),
    default: 0.6,
    argument: "max-slope-load",
    help: "Most degrees per % or kPa between neighbours",
    ..WITHIN
};

/// The step of the cells.
pub const STEP: Number = Number {
    name: "fair on steps of",
    called: "step",
    range: (0.01, 90.0),
    typed: (0.01, 90.0),
    step: Step::By(0.1),
    default: 0.5,
    argument: "step",
    help: "Make every cell that may move a multiple of this many degrees",
    ..WITHIN
};

impl Demands {
    /// Refuses numbers out of range, and points that no table can be held against.
    pub(super) fn check(&self, table: &Table) -> Result<(), ShapingError> {
        let numbers = [
            (&WITHIN, self.within_deg),
            (&NOT_RISING, self.not_rising_above),
            (&SLOPE_SPEED, self.max_slope_per_1000rpm),
            (&SLOPE_LOAD, self.max_slope_per_load),
            (&STEP, self.step_deg),
        ];
        for (number, value) in numbers {
            value.map_or(Ok(()), |value| number.check(value))?;
        }
        let fits = self.idle.as_ref().is_none_or(|idle| idle.fits(table))
            && self.ceiling.as_ref().is_none_or(|ceiling| ceiling.fits(table));
        if !fits {
            return Err(ShapingError::Size);
        }
        self.points.iter().try_for_each(|point| point.check(table))
    }
}

impl Target {
    /// Refuses a point outside the axes and numbers that are none.
    pub(in crate::shaping) fn check(&self, table: &Table) -> Result<(), ShapingError> {
        let is_on = |axis: &Axis, x: f64| (axis.first()..=axis.last()).contains(&x);
        if !is_on(table.speed(), self.speed_rpm) || !is_on(table.load(), self.load) {
            return Err(ShapingError::PointOutside { speed_rpm: self.speed_rpm, load: self.load });
        }
        let (below_deg, above_deg) = match self.bound {
            TargetBound::About { below_deg, above_deg } => (below_deg, above_deg),
            TargetBound::AtMost { beyond_deg } | TargetBound::AtLeast { beyond_deg } => (beyond_deg, beyond_deg),
        };
        within("measured advance", self.advance_deg, ADVANCE_RANGE_DEG)?;
        within("tolerance of a measured point", below_deg, (0.0, 150.0))?;
        within("tolerance of a measured point", above_deg, (0.0, 150.0))?;
        within("spread of a measured point", self.sd_deg, (1e-3, 150.0))
    }
}
