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

    /// The same selection if it fits the table, otherwise the nearest cell that does.
    pub fn fitted(self, table: &Table) -> Self {
        if self.cells.fits(table) {
            return self;
        }
        let (loads, speeds) = (table.load().len(), table.speed().len());
        Self::cell(table, Cell::new(self.cursor.load.min(loads - 1), self.cursor.speed.min(speeds - 1)))
    }
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
