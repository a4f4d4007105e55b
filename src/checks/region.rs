//! Groups adjacent faults of one kind into one finding.

use std::collections::BTreeMap;

use crate::table::{Cell, connected};

/// A group of adjacent faults.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Region {
    /// The cell of each, in order, and how bad it is.
    pub(super) faults: Vec<(Cell, f64)>,
}

impl Region {
    /// The largest by magnitude; of equal ones the first.
    pub(super) fn worst(&self) -> (Cell, f64) {
        let mut faults = self.faults.iter().copied();
        let first = faults.next().unwrap_or((Cell::new(0, 0), 0.0));
        faults.fold(first, |worst, next| if next.1.abs() > worst.1.abs() { next } else { worst })
    }

    pub(super) fn cells(&self) -> impl Iterator<Item = Cell> + '_ {
        self.faults.iter().map(|(cell, _)| *cell)
    }
}

/// Groups faults that share a side. The regions are in the order of their first cells.
pub(super) fn regions(faults: impl IntoIterator<Item = (Cell, f64)>) -> Vec<Region> {
    let faults: BTreeMap<Cell, f64> = faults.into_iter().collect();
    let groups = connected(faults.keys().copied(), |_, _| true).into_iter();
    groups
        .map(|group| Region {
            faults: group.into_iter().filter_map(|cell| Some((cell, *faults.get(&cell)?))).collect(),
        })
        .collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn sides_join_and_corners_do_not() {
        let faults = [(0, 0, 1.0), (0, 1, -3.0), (1, 2, 2.0), (2, 2, 2.5)];
        let found = regions(faults.map(|(load, speed, deg)| (Cell::new(load, speed), deg)));
        assert_eq!(found.iter().map(|region| region.faults.len()).collect::<Vec<_>>(), [2, 2]);
        assert_eq!(found[0].worst(), (Cell::new(0, 1), -3.0));
        assert_eq!(found[1].cells().collect::<Vec<_>>(), [Cell::new(1, 2), Cell::new(2, 2)]);
    }
}
