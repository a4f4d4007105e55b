//! Where keys move the cursor.

use crate::table::{Block, Cell, Selection, Table};
use crate::window::state::selection::CellSelection;

/// A move of the cursor in the grid; up is towards the highest load.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Motion {
    /// That many rows towards high load, or towards low load if negative.
    Rows(isize),
    /// That many columns towards high speed, or towards low speed if negative.
    Columns(isize),
    /// To the first column, and optionally to the top row.
    Start {
        /// Whether the row changes too.
        top: bool,
    },
    /// To the last column, and optionally to the bottom row.
    End {
        /// Whether the row changes too.
        bottom: bool,
    },
}

/// As many rows or columns as the largest table has, so that a move by this many reaches the edge.
pub(super) const TO_THE_EDGE: isize = 64;

impl Motion {
    /// The cell that it leads to from another; it stops at the edges.
    pub(super) fn from(self, table: &Table, cell: Cell) -> Cell {
        let (last_load, last_speed) = (table.load().len() - 1, table.speed().len() - 1);
        match self {
            Self::Rows(by) => Cell::new(cell.load.saturating_add_signed(by).min(last_load), cell.speed),
            Self::Columns(by) => Cell::new(cell.load, cell.speed.saturating_add_signed(by).min(last_speed)),
            Self::Start { top } => Cell::new(if top { last_load } else { cell.load }, 0),
            Self::End { bottom } => Cell::new(if bottom { 0 } else { cell.load }, last_speed),
        }
    }
}

/// The block from the anchor to a cell. If whole rows or columns were selected, they stay whole in the
/// direction across the move.
pub(super) fn extended(selection: &CellSelection, table: &Table, motion: Motion, to: Cell) -> CellSelection {
    let mut block = Block::between(selection.anchor, to);
    let before = selection.cells.as_block();
    let whole = table.block();
    match motion {
        Motion::Columns(_) if before.as_ref().is_some_and(|block| block.loads == whole.loads) => {
            block.loads = whole.loads;
        }
        Motion::Rows(_) if before.is_some_and(|block| block.speeds == whole.speeds) => block.speeds = whole.speeds,
        _ => {}
    }
    CellSelection { cells: Selection::block(table, &block), cursor: to, anchor: selection.anchor }
}

/// The order in which Tab and Enter walk through several selected cells.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Walk {
    /// Row by row from the highest load, as Tab does.
    Rows,
    /// Column by column from the lowest speed, as Enter does.
    Columns,
}

impl Walk {
    /// The selected cell after the cursor, or before it, wrapping around.
    pub fn next(self, selection: &CellSelection, back: bool) -> Cell {
        let mut cells: Vec<Cell> = selection.cells.cells().collect();
        let down = |cell: &Cell| usize::MAX - cell.load;
        match self {
            Self::Rows => cells.sort_by_key(|cell| (down(cell), cell.speed)),
            Self::Columns => cells.sort_by_key(|cell| (cell.speed, down(cell))),
        }
        let count = cells.len().max(1);
        let step = if back { count - 1 } else { 1 };
        let at = cells.iter().position(|&cell| cell == selection.cursor).map_or(0, |at| (at + step) % count);
        cells.get(at).copied().unwrap_or(selection.cursor)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::table::Axis;

    fn table() -> Table {
        let axis = || Axis::new(vec![0.0, 10.0, 20.0, 30.0]).unwrap();
        Table::from_fn(axis(), axis(), |_, _| 0.0).unwrap()
    }

    #[test]
    fn moves_stop_at_the_edges() {
        let from = Cell::new(1, 2);
        let cases = [
            (Motion::Rows(1), Cell::new(2, 2)),
            (Motion::Rows(-TO_THE_EDGE), Cell::new(0, 2)),
            (Motion::Rows(TO_THE_EDGE), Cell::new(3, 2)),
            (Motion::Columns(-1), Cell::new(1, 1)),
            (Motion::Columns(9), Cell::new(1, 3)),
            (Motion::Start { top: false }, Cell::new(1, 0)),
            (Motion::Start { top: true }, Cell::new(3, 0)),
            (Motion::End { bottom: true }, Cell::new(0, 3)),
        ];
        for (motion, expected) in cases {
            assert_eq!(motion.from(&table(), from), expected, "{motion:?}");
        }
    }

    #[test]
    fn whole_columns_stay_whole_when_extended_sideways() {
        let table = table();
        let column = Selection::block(&table, &Block { loads: 0..4, speeds: 1..2 });
        let selection = CellSelection { cells: column, cursor: Cell::new(2, 1), anchor: Cell::new(2, 1) };
        let wider = extended(&selection, &table, Motion::Columns(1), Cell::new(2, 2));
        assert_eq!(wider.cells.as_block(), Some(Block { loads: 0..4, speeds: 1..3 }));
        let upward = extended(&selection, &table, Motion::Rows(1), Cell::new(3, 1));
        assert_eq!(upward.cells.as_block(), Some(Block { loads: 2..4, speeds: 1..2 }));
    }

    #[test]
    fn walks_through_the_selection_and_round() {
        let table = table();
        let mut selection = CellSelection::block(&table, Cell::new(2, 0), Cell::new(1, 1));
        selection.cursor = Cell::new(2, 0);
        let mut seen = Vec::new();
        for _ in 0..4 {
            selection.cursor = Walk::Rows.next(&selection, false);
            seen.push((selection.cursor.load, selection.cursor.speed));
        }
        assert_eq!(seen, [(2, 1), (1, 0), (1, 1), (2, 0)]);
        assert_eq!(Walk::Columns.next(&selection, false), Cell::new(1, 0));
        assert_eq!(Walk::Columns.next(&selection, true), Cell::new(1, 1));
    }
}
