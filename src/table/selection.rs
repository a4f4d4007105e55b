//! Sets of cells of a table, and which of them touch each other.

use std::collections::BTreeSet;
use std::ops::Range;

use thiserror::Error;

use super::{Axis, Table};
use crate::wording::Unit;

/// One cell of a table by its indices, lowest first.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Cell {
    /// Index of the load row.
    pub load: usize,
    /// Index of the speed column.
    pub speed: usize,
}

impl Cell {
    /// The cell in load row `load` and speed column `speed`.
    pub const fn new(load: usize, speed: usize) -> Self {
        Self { load, speed }
    }
}

/// A rectangle of cells.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Block {
    /// Its load rows.
    pub loads: Range<usize>,
    /// Its speed columns.
    pub speeds: Range<usize>,
}

impl Block {
    /// The smallest block that holds both cells.
    pub fn between(a: Cell, b: Cell) -> Self {
        Self {
            loads: a.load.min(b.load)..a.load.max(b.load) + 1,
            speeds: a.speed.min(b.speed)..a.speed.max(b.speed) + 1,
        }
    }

    /// Its cells, row by row.
    pub fn cells(&self) -> impl Iterator<Item = Cell> + use<> {
        let speeds = self.speeds.clone();
        self.loads.clone().flat_map(move |load| speeds.clone().map(move |speed| Cell { load, speed }))
    }

    /// How many cells it has.
    pub fn count(&self) -> usize {
        self.loads.len() * self.speeds.len()
    }
}

/// A set of cells of one table size, at most 64 × 64.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Selection {
    speeds: usize,
    rows: Vec<u64>,
}

/// Why a range of axis values selects nothing.
#[derive(Clone, Debug, PartialEq, Error)]
pub enum RangeError {
    /// The range runs from high to low.
    #[error("the {axis} range {} runs backwards; write the lower value first", crate::wording::bounds((*.low, *.high), Unit::None))]
    Backwards {
        /// `speed` or `load`.
        axis: &'static str,
        /// As given.
        low: f64,
        /// As given.
        high: f64,
    },
    /// No breakpoint lies in the range.
    #[error("no {axis} breakpoint lies in {}; the axis runs {}", crate::wording::bounds((*.low, *.high), Unit::None), crate::wording::bounds((*.first, *.last), Unit::None))]
    Empty {
        /// `speed` or `load`.
        axis: &'static str,
        /// As given.
        low: f64,
        /// As given.
        high: f64,
        /// The lowest breakpoint.
        first: f64,
        /// The highest breakpoint.
        last: f64,
    },
}

impl Selection {
    /// No cell of a table with `loads` rows and `speeds` columns, each at most 64.
    pub fn none(loads: usize, speeds: usize) -> Self {
        assert!(loads <= 64 && speeds <= 64, "a row is a word of 64 bits");
        Self { speeds, rows: vec![0; loads] }
    }

    /// Every cell of a table.
    pub fn all(table: &Table) -> Self {
        Self::block(table, &table.block())
    }

    /// The cells of a block that lie in the table.
    pub fn block(table: &Table, block: &Block) -> Self {
        let mut selection = Self::none(table.load().len(), table.speed().len());
        selection.extend(block.cells());
        selection
    }

    /// One cell of a table.
    pub fn cell(table: &Table, cell: Cell) -> Self {
        Self::block(table, &Block::between(cell, cell))
    }

    /// The cells whose breakpoints lie in the ranges, in axis units and inclusive; `None` is the whole axis.
    ///
    /// ```
    /// use sparkloft::table::{Axis, Selection, Table};
    ///
    /// let (speed, load) = (Axis::new(vec![1000.0, 2000.0, 3000.0])?, Axis::new(vec![20.0, 100.0])?);
    /// let table = Table::from_fn(speed, load, |_, _| 10.0)?;
    /// assert_eq!(Selection::ranges(&table, Some((1500.0, 3000.0)), None)?.count(), 4);
    /// # Ok::<(), Box<dyn std::error::Error>>(())
    /// ```
    ///
    /// # Errors
    /// [`RangeError`] when a range runs backwards or holds no breakpoint.
    pub fn ranges(table: &Table, speed: Option<(f64, f64)>, load: Option<(f64, f64)>) -> Result<Self, RangeError> {
        let speeds = within(table.speed(), "speed", speed)?;
        let loads = within(table.load(), "load", load)?;
        Ok(Self::block(table, &Block { loads, speeds }))
    }

    /// How many load rows the table has.
    pub fn loads(&self) -> usize {
        self.rows.len()
    }

    /// How many speed columns the table has.
    pub fn speeds(&self) -> usize {
        self.speeds
    }

    /// Whether it was made for a table of this size.
    pub fn fits(&self, table: &Table) -> bool {
        self.rows.len() == table.load().len() && self.speeds == table.speed().len()
    }

    /// Whether the cell is in it; a cell outside the table is not.
    pub fn contains(&self, cell: Cell) -> bool {
        cell.speed < self.speeds && self.rows.get(cell.load).is_some_and(|row| row >> cell.speed & 1 == 1)
    }

    /// Adds a cell, or takes it away; a cell outside the table is ignored.
    pub fn set(&mut self, cell: Cell, selected: bool) {
        if cell.speed >= self.speeds {
            return;
        }
        if let Some(row) = self.rows.get_mut(cell.load) {
            let bit = 1 << cell.speed;
            *row = if selected { *row | bit } else { *row & !bit };
        }
    }

    /// How many cells it has.
    pub fn count(&self) -> usize {
        self.rows.iter().map(|row| row.count_ones() as usize).sum()
    }

    /// Whether it has no cell.
    pub fn is_empty(&self) -> bool {
        self.rows.iter().all(|&row| row == 0)
    }

    /// Its cells, row by row.
    pub fn cells(&self) -> impl Iterator<Item = Cell> + '_ {
        let columns = 0..self.speeds;
        let rows = self.rows.iter().enumerate();
        rows.flat_map(move |(load, &row)| {
            columns.clone().filter(move |speed| row >> speed & 1 == 1).map(move |speed| Cell { load, speed })
        })
    }

    /// The smallest block that holds it.
    pub fn bounds(&self) -> Option<Block> {
        let used = self.rows.iter().fold(0, |all, row| all | row);
        let first_row = self.rows.iter().position(|&row| row != 0)?;
        let last_row = self.rows.iter().rposition(|&row| row != 0)?;
        let (first, last) = (used.trailing_zeros() as usize, 63 - used.leading_zeros() as usize);
        Some(Block { loads: first_row..last_row + 1, speeds: first..last + 1 })
    }

    /// The selection as a block, if its cells fill one.
    pub fn as_block(&self) -> Option<Block> {
        self.bounds().filter(|block| block.count() == self.count())
    }
}

impl Extend<Cell> for Selection {
    fn extend<T: IntoIterator<Item = Cell>>(&mut self, cells: T) {
        for cell in cells {
            self.set(cell, true);
        }
    }
}

fn within(axis: &Axis, name: &'static str, range: Option<(f64, f64)>) -> Result<Range<usize>, RangeError> {
    let Some((low, high)) = range else {
        return Ok(0..axis.len());
    };
    if low > high {
        return Err(RangeError::Backwards { axis: name, low, high });
    }
    let empty = RangeError::Empty { axis: name, low, high, first: axis.first(), last: axis.last() };
    let indices = axis.within(low, high).ok_or(empty)?;
    Ok(*indices.start()..indices.end() + 1)
}

/// Groups cells that share a side and for which `joins` holds; cells that only meet at a corner are not joined.
/// The cells of a group are in row order, the groups in the order of their first cells.
pub fn connected(cells: impl IntoIterator<Item = Cell>, joins: impl Fn(Cell, Cell) -> bool) -> Vec<Vec<Cell>> {
    let mut left: BTreeSet<Cell> = cells.into_iter().collect();
    let mut groups = Vec::new();
    while let Some(first) = left.pop_first() {
        let mut group = vec![first];
        let mut at = 0;
        while let Some(&cell) = group.get(at) {
            let joined = beside(cell).into_iter().flatten();
            group.extend(joined.filter(|next| left.contains(next) && joins(cell, *next) && left.remove(next)));
            at += 1;
        }
        group.sort_unstable();
        groups.push(group);
    }
    groups
}

fn beside(Cell { load, speed }: Cell) -> [Option<Cell>; 4] {
    [
        speed.checked_sub(1).map(|speed| Cell::new(load, speed)),
        Some(Cell::new(load, speed + 1)),
        load.checked_sub(1).map(|load| Cell::new(load, speed)),
        Some(Cell::new(load + 1, speed)),
    ]
}

#[cfg(test)]
mod tests {
    use super::*;

    fn table() -> Table {
        let axis = |step: f64| Axis::new((0..4).map(|i| step * f64::from(i)).collect()).unwrap();
        Table::from_fn(axis(1000.0), axis(10.0), |_, _| 0.0).unwrap()
    }

    #[test]
    fn selects_by_ranges_inclusively() {
        let chosen = Selection::ranges(&table(), Some((1000.0, 2500.0)), Some((10.0, 10.0))).unwrap();
        assert_eq!(chosen.cells().collect::<Vec<_>>(), [Cell::new(1, 1), Cell::new(1, 2)]);
        assert!(matches!(Selection::ranges(&table(), Some((5.0, 1.0)), None), Err(RangeError::Backwards { .. })));
        assert!(matches!(Selection::ranges(&table(), None, Some((11.0, 12.0))), Err(RangeError::Empty { .. })));
        assert_eq!(Selection::ranges(&table(), None, None).unwrap().count(), 16);
    }

    #[test]
    fn knows_when_it_is_a_block() {
        let mut selection = Selection::block(&table(), &Block { loads: 1..3, speeds: 0..2 });
        assert_eq!(selection.as_block(), Some(Block { loads: 1..3, speeds: 0..2 }));
        selection.set(Cell::new(0, 3), true);
        assert_eq!(selection.as_block(), None);
        assert_eq!(selection.bounds(), Some(Block { loads: 0..3, speeds: 0..4 }));
        selection.set(Cell::new(9, 9), true);
        assert_eq!(selection.count(), 5);
        assert!(!selection.contains(Cell::new(9, 9)));
        assert_eq!(Selection::none(4, 4).bounds(), None);
    }

    fn grouped(joins: impl Fn(Cell, Cell) -> bool) -> Vec<Vec<(usize, usize)>> {
        let cells = [(2, 2), (0, 0), (0, 1), (1, 2), (3, 0)].map(|(load, speed)| Cell::new(load, speed));
        let groups = connected(cells, joins).into_iter();
        groups.map(|group| group.into_iter().map(|cell| (cell.load, cell.speed)).collect()).collect()
    }

    #[test]
    fn sides_join_and_corners_do_not() {
        assert_eq!(grouped(|_, _| true), [vec![(0, 0), (0, 1)], vec![(1, 2), (2, 2)], vec![(3, 0)]]);
    }

    #[test]
    fn only_what_is_to_be_joined_is() {
        assert_eq!(grouped(|a, b| a.load == b.load), [vec![(0, 0), (0, 1)], vec![(1, 2)], vec![(2, 2)], vec![(3, 0)]]);
    }
}
