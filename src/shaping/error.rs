//! Why a tool gives no table: it refuses, or the watch that a long-running tool asks before every round makes it stop.

use std::fmt;

use thiserror::Error;

use super::{Along, Contradiction, Side};
use crate::project::{ADVANCE_RANGE_DEG, AdvanceError};
use crate::table::{AxisError, Cell, Table};
use crate::watch::Stopped;
use crate::wording::{Unit, bounds, given_load, outside, quantity, rounded, scientific, with_unit, written};

/// A cell with its breakpoints and value, to identify it in a message.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Place {
    /// Its indices.
    pub cell: Cell,
    /// Its speed breakpoint.
    pub speed_rpm: f64,
    /// Its load breakpoint, % or kPa.
    pub load: f64,
    /// Its value, degrees before TDC.
    pub deg: f64,
}

impl Place {
    pub(super) fn of(table: &Table, cell: Cell) -> Self {
        let speed_rpm = table.speed().breakpoints()[cell.speed];
        Self { cell, speed_rpm, load: table.load().breakpoints()[cell.load], deg: table.at(cell) }
    }
}

impl fmt::Display for Place {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let [deg, speed] = [quantity(self.deg, Unit::Degree), quantity(self.speed_rpm, Unit::Rpm)];
        write!(f, "{deg} at {speed}, load {}", given_load(self.load))
    }
}

/// Why a tool refuses. The table stays as it was.
#[derive(Clone, Debug, PartialEq, Error)]
pub enum ShapingError {
    /// A selection made for another table size.
    #[error("the selection is for another table size; select again")]
    Size,
    /// No cell is selected.
    #[error("no cell is selected; select the cells to reshape")]
    NothingSelected,
    /// A parameter is NaN, infinite or outside its range.
    #[error("{what} {}", outside(*.value, (*.low, *.high), Unit::None))]
    Parameter {
        /// Which parameter.
        what: &'static str,
        /// The value refused.
        value: f64,
        /// The lowest allowed.
        low: f64,
        /// The highest allowed.
        high: f64,
    },
    /// The lower bound of a clamp is above the upper.
    #[error("clamping to {} runs backwards; give the lower bound first", bounds((*.low_deg, *.high_deg), Unit::Degree))]
    Backwards {
        /// As given.
        low_deg: f64,
        /// As given.
        high_deg: f64,
    },
    /// A tool that needs a block was given other cells.
    #[error("the selected cells fill no rectangle; {tool} needs a block")]
    NoBlock {
        /// What needs it.
        tool: &'static str,
    },
    /// A cell that is not in the table.
    #[error("the table has no cell in load row {row}, speed column {column}", row = .cell.load + 1, column = .cell.speed + 1)]
    NoCell {
        /// The cell.
        cell: Cell,
    },
    /// There is no row or column beside the selection to repeat.
    #[error("nothing lies beside the selection towards the {side}; leave the line to repeat unselected")]
    NothingBeside {
        /// Towards which edge.
        side: Side,
    },
    /// No selected cell reaches the edge.
    #[error("no selected cell reaches the {side}; select the cells up to that edge")]
    EdgeNotReached {
        /// Which edge.
        side: Side,
    },
    /// Too few cells are left to extend from.
    #[error(
        "extending to the {side} needs {needed} unselected cells beside the selection in every line; line {line} has {found}"
    )]
    NothingToExtend {
        /// Which edge.
        side: Side,
        /// Which row or column, counted from 1.
        line: usize,
        /// How many are needed: two for linear, one for flat.
        needed: usize,
        /// How many there are.
        found: usize,
    },
    /// Cells that may not move differ by more than the limit allows.
    #[error(
        "the limit allows {} between {from} and {to}, and neither may move; release one, select more, or allow more",
        quantity(*.allowed_deg, Unit::Degree)
    )]
    SlopeForbidden {
        /// One of the two.
        from: Place,
        /// The other.
        to: Place,
        /// The largest difference that the limit allows between them.
        allowed_deg: f64,
    },
    /// The search for the nearest table did not converge.
    #[error(
        "the nearest table within so small a slope limit was not found to 0.000001° in {steps} steps; allow more, or 0 for \
         a level table, or select fewer cells"
    )]
    SlopeUnsolved {
        /// How many steps were made.
        steps: usize,
    },
    /// The smoothing system was not solved accurately enough.
    #[error(
        "smoothing missed its minimum (gradient {}, allowed {}); breakpoints may be too close",
        scientific(*.gradient), scientific(*.allowed)
    )]
    SmoothUnsolved {
        /// The largest component of the gradient.
        gradient: f64,
        /// The largest allowed.
        allowed: f64,
    },
    /// The search for the least bent table did not come to its end.
    #[error(
        "the least bent table was missed by {}° (allowed {}°); breakpoints may be too close, or demands too many",
        scientific(*.missed_deg), scientific(*.allowed_deg)
    )]
    FairUnsolved {
        /// By how much, degrees.
        missed_deg: f64,
        /// The most allowed, degrees.
        allowed_deg: f64,
    },
    /// Demands that cannot all be kept.
    #[error("{0}")]
    Contradiction(Box<Contradiction>),
    /// Idle is left alone, and nothing else is selected.
    #[error("every selected cell is one in which the engine idles; select others, or let idle cells move as well")]
    AllIdle,
    /// Nothing to fit to.
    #[error("there is no measured point to fit to; add some")]
    NoPoints,
    /// Two readings at one place that cannot both be right.
    #[error(
        "two readings at {}, load {} disagree by {}; leave one of them out, or measure there again",
        quantity(*.speed_rpm, Unit::Rpm), given_load(*.load), quantity(*.by_deg, Unit::Degree)
    )]
    ReadingsDisagree {
        /// Their speed.
        speed_rpm: f64,
        /// Their load, % or kPa.
        load: f64,
        /// By how much, degrees.
        by_deg: f64,
    },
    /// A measured point lies beyond the table.
    #[error(
        "the measured point at {}, load {} lies outside the table's axes; leave it out, or extend the table",
        quantity(*.speed_rpm, Unit::Rpm), given_load(*.load)
    )]
    PointOutside {
        /// Its speed.
        speed_rpm: f64,
        /// Its load, % or kPa.
        load: f64,
    },
    /// Whoever watches the tool had it stop.
    #[error("{0}; the table is as it was")]
    Stopped(#[from] Stopped),
    /// Numbers can only be kept if the table has as many breakpoints as before.
    #[error(
        "{speeds} speeds and {loads} loads cannot keep the numbers of {old_speeds} speeds and {old_loads} loads; give as many breakpoints, or keep the surface"
    )]
    KeepNumbers {
        /// New speed breakpoints.
        speeds: usize,
        /// New load breakpoints.
        loads: usize,
        /// Present speed breakpoints.
        old_speeds: usize,
        /// Present load breakpoints.
        old_loads: usize,
    },
    /// The new breakpoints do not make an axis.
    #[error("{along} breakpoints: {error}")]
    Axis {
        /// Which axis.
        along: Along,
        /// What is wrong.
        error: AxisError,
    },
    /// A result is out of range.
    #[error(
        "the result {} at {}, load {} is outside {}; select fewer cells, ask for less, or hold what must stay",
        with_unit(&result(.0.deg), Unit::Degree), quantity(.0.speed_rpm, Unit::Rpm), given_load(.0.load), bounds(ADVANCE_RANGE_DEG, Unit::Degree)
    )]
    Result(Place),
    /// The result is not a valid advance table.
    #[error(transparent)]
    Advance(#[from] AdvanceError),
}

/// A result at the smallest step there is, or with all its decimals where it would otherwise read as allowed.
fn result(deg: f64) -> String {
    let near = rounded(deg, 2);
    let is_told = !(ADVANCE_RANGE_DEG.0..=ADVANCE_RANGE_DEG.1).contains(&near);
    written(if is_told { near } else { deg })
}

/// Refuses a parameter that is NaN or outside `range`.
pub(super) fn within(what: &'static str, value: f64, range: (f64, f64)) -> Result<(), ShapingError> {
    let (low, high) = range;
    if (low..=high).contains(&value) { Ok(()) } else { Err(ShapingError::Parameter { what, value, low, high }) }
}
