//! The selected cells, and the number being typed over them.

use crate::table::{Block, Cell, Selection, Table};

/// The selection of the table: the selected cells, the cursor among them, and the corner that Shift keeps.
#[derive(Clone, Debug, PartialEq)]
pub struct CellSelection {
    /// The selected cells; never empty.
    pub cells: Selection,
    /// Where the next arrow key starts.
    pub cursor: Cell,
    /// The corner that stays when Shift extends the selection.
    pub anchor: Cell,
}

impl CellSelection {
    /// One cell.
    pub fn cell(table: &Table, cell: Cell) -> Self {
        Self { cells: Selection::cell(table, cell), cursor: cell, anchor: cell }
    }

    /// The block between `anchor` and `cursor`.
    pub fn block(table: &Table, anchor: Cell, cursor: Cell) -> Self {
        Self { cells: Selection::block(table, &Block::between(anchor, cursor)), cursor, anchor }
    }

    /// The selection after a click on a cell: the cell alone; with Shift the block from the anchor; with Ctrl
    /// the cell in addition.
    pub fn clicked(&self, table: &Table, cell: Cell, shift: bool, ctrl: bool) -> Self {
        if shift {
            return Self::block(table, self.anchor, cell);
        }
        let mut clicked = Self::cell(table, cell);
        if ctrl && self.cells.fits(table) {
            clicked.cells.extend(self.cells.cells());
        }
        clicked
    }

    /// These cells, with the cursor where it is if it is among them, otherwise at the first of them. An empty
    /// set leaves the selection unchanged.
    pub fn with_cells(&self, cells: Selection) -> Self {
        if cells.contains(self.cursor) {
            return Self { cells, cursor: self.cursor, anchor: self.anchor };
        }
        let first = cells.cells().next();
        match first {
            Some(first) => Self { cells, cursor: first, anchor: first },
            None => self.clone(),
        }
    }

    /// The selection after a box over cells; there must always be one, so that a box that would leave nothing changes
    /// nothing.
    pub fn boxed(&self, inside: impl Iterator<Item = Cell>, join: Join) -> Self {
        let mut cells = match join {
            Join::Replace => Selection::none(self.cells.loads(), self.cells.speeds()),
            Join::Add | Join::TakeAway => self.cells.clone(),
        };
        inside.for_each(|cell| cells.set(cell, join != Join::TakeAway));
        self.with_cells(cells)
    }

    /// The same selection if it fits the table, otherwise the nearest cell that does.
    pub fn fitted(self, table: &Table) -> Self {
        if self.cells.fits(table) {
            return self;
        }
        let (loads, speeds) = (table.load().len(), table.speed().len());
        Self::cell(table, Cell::new(self.cursor.load.min(loads - 1), self.cursor.speed.min(speeds - 1)))
    }
}

/// What becomes of the cells selected before when a box is drawn over others.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Join {
    /// The box alone counts.
    Replace,
    /// They stay selected.
    Add,
    /// Those in the box are not selected any more.
    TakeAway,
}

/// Text being typed over the selected cells.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct CellEditor {
    /// The text so far.
    pub text: String,
    /// Where the next character goes, counted in characters.
    pub caret: usize,
    /// Whether it edits the one cell's value in place (F2) instead of replacing all selected cells.
    pub in_place: bool,
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::project::{LoadKind, NewProject};

    #[test]
    fn a_box_replaces_adds_or_takes_away_and_never_leaves_nothing() {
        let new = NewProject { name: "trial".into(), cylinders: 4, load: LoadKind::Throttle, speeds: 8, loads: 8 };
        let project = new.create().unwrap();
        let table = project.advance.table();
        let at = |load, speed| Cell::new(load, speed);
        let before = CellSelection::block(table, at(1, 1), at(2, 2));
        let cells = |join, inside: &[Cell]| {
            let boxed = before.boxed(inside.iter().copied(), join);
            assert!(boxed.cells.contains(boxed.cursor));
            boxed.cells.cells().collect::<Vec<_>>()
        };
        let whole = [at(1, 1), at(1, 2), at(2, 1), at(2, 2)];
        assert_eq!(cells(Join::Replace, &[at(5, 5), at(2, 2)]), [at(2, 2), at(5, 5)]);
        assert_eq!(cells(Join::Add, &[at(5, 5), at(2, 2)]), [&whole[..], &[at(5, 5)]].concat());
        assert_eq!(cells(Join::TakeAway, &[at(5, 5), at(2, 2)]), whole[..3]);
        for (join, inside) in [(Join::Replace, &[][..]), (Join::Add, &[]), (Join::TakeAway, &whole)] {
            assert_eq!(before.boxed(inside.iter().copied(), join), before, "{join:?}");
        }
    }
}
