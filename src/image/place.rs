//! Which number of an item is meant; and, in words, a number as the image holds it.

use crate::table::Cell;
use crate::wording::{Unit, point, quantity, settle, with_unit, written};

/// Which number of an item is meant.
#[derive(Clone, Debug, PartialEq)]
pub enum Place {
    /// A cell of the advance table.
    Cell {
        /// Which.
        cell: Cell,
        /// Its speed.
        speed_rpm: f64,
        /// Its load.
        load: f64,
        /// `%` or `kPa`.
        load_unit: Unit,
    },
    /// A point of a curve.
    Point {
        /// Which, from 0.
        index: usize,
        /// Its breakpoint.
        at: f64,
        /// The breakpoint's unit.
        unit: Unit,
    },
    /// A breakpoint of an axis.
    Breakpoint {
        /// Which, from 0.
        index: usize,
    },
    /// The only number.
    Only,
}

impl Place {
    /// Its index among the item's numbers, row by row from the lowest load and speed, with `speeds` per row.
    pub fn index(&self, speeds: usize) -> usize {
        match self {
            Self::Cell { cell, .. } => cell.load * speeds + cell.speed,
            Self::Point { index, .. } | Self::Breakpoint { index } => *index,
            Self::Only => 0,
        }
    }
}

impl std::fmt::Display for Place {
    fn fmt(&self, formatter: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            Self::Cell { speed_rpm, load, load_unit, .. } => {
                write!(formatter, " at {}", point(*speed_rpm, *load, *load_unit))
            }
            Self::Point { at, unit, .. } => write!(formatter, " at {}", quantity(*at, *unit)),
            Self::Breakpoint { index } => write!(formatter, ", breakpoint {}", index + 1),
            Self::Only => Ok(()),
        }
    }
}

/// A number as the image holds it, with its unit: all the digits that follow from count and scale.
pub fn stored_words(value: f64, unit: Unit) -> String {
    with_unit(&written(settle(value)), unit)
}
