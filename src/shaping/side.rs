//! Directions in a table.

use std::fmt;

use crate::table::{Axis, Cell, Selection, Table};

/// A direction: along which axis.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Along {
    /// Along the rows: speed changes, load stays.
    Speed,
    /// Along the columns: load changes, speed stays.
    Load,
}

impl Along {
    /// The axis of a table in that direction.
    pub fn axis(self, table: &Table) -> &Axis {
        match self {
            Self::Speed => table.speed(),
            Self::Load => table.load(),
        }
    }

    /// The other axis.
    pub const fn across(self) -> Self {
        match self {
            Self::Speed => Self::Load,
            Self::Load => Self::Speed,
        }
    }

    /// The cell at index `at` of line `line` in that direction.
    pub(super) const fn cell(self, line: usize, at: usize) -> Cell {
        match self {
            Self::Speed => Cell::new(line, at),
            Self::Load => Cell::new(at, line),
        }
    }
}

impl fmt::Display for Along {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Self::Speed => "speed",
            Self::Load => "load",
        })
    }
}

/// One of the four edges of a table.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Side {
    /// The column of the lowest speed.
    LowSpeed,
    /// The column of the highest speed.
    HighSpeed,
    /// The row of the lowest load.
    LowLoad,
    /// The row of the highest load.
    HighLoad,
}

impl Side {
    /// Every edge.
    pub const ALL: [Self; 4] = [Self::LowSpeed, Self::HighSpeed, Self::LowLoad, Self::HighLoad];

    /// The direction that leads to it.
    pub const fn along(self) -> Along {
        match self {
            Self::LowSpeed | Self::HighSpeed => Along::Speed,
            Self::LowLoad | Self::HighLoad => Along::Load,
        }
    }

    /// The edges to which a selection can be extended: it reaches them and leaves unselected lines on the way.
    pub fn reached_by(selection: &Selection) -> Vec<Self> {
        let Some(block) = selection.bounds() else {
            return Vec::new();
        };
        let reached = |side: &Self| {
            let (span, end) = match side.along() {
                Along::Speed => (&block.speeds, selection.speeds()),
                Along::Load => (&block.loads, selection.loads()),
            };
            if side.is_high() { span.end == end && span.start > 0 } else { span.start == 0 && span.end < end }
        };
        Self::ALL.into_iter().filter(reached).collect()
    }

    /// Whether it is at the upper end of its axis.
    pub(super) const fn is_high(self) -> bool {
        matches!(self, Self::HighSpeed | Self::HighLoad)
    }

    /// Index counted from this edge inward, as an index into the axis: `inward_from(0, …)` is the edge itself.
    pub(super) const fn inward_from(self, place: usize, count: usize) -> usize {
        if self.is_high() { count - 1 - place } else { place }
    }
}

impl fmt::Display for Side {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(match self {
            Self::LowSpeed => "lowest speed",
            Self::HighSpeed => "highest speed",
            Self::LowLoad => "lowest load",
            Self::HighLoad => "highest load",
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::shaping::sample::{block, even};

    #[test]
    fn finds_the_edges_worth_extending_to() {
        let table = even(4, 4, |_, _| 0.0);
        let corner = block(&table, 2..4, 0..2);
        assert_eq!(Side::reached_by(&corner), [Side::LowSpeed, Side::HighLoad]);
        assert_eq!(Side::reached_by(&block(&table, 0..4, 2..4)), [Side::HighSpeed]);
        assert_eq!(Side::reached_by(&block(&table, 1..2, 1..2)), []);
    }
}
