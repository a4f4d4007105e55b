//! Keys that move the cursor in a grid: arrows, Home, End and the page keys; with Shift they extend, with Ctrl
//! they jump.

use eframe::egui::{self, Event, Id, Key, Modifiers};

use crate::table::{Block, Cell, Selection, Table};
use crate::window::state::selection::CellSelection;

/// The selection after a key, if it is one that moves the cursor; a page has `page` rows.
pub fn moved(
    selection: &CellSelection,
    table: &Table,
    page: usize,
    key: Key,
    modifiers: Modifiers,
) -> Option<CellSelection> {
    let motion = motion(key, modifiers.command, page)?;
    let to = motion.from(table, selection.cursor);
    Some(if modifiers.shift { extended(selection, table, motion, to) } else { CellSelection::cell(table, to) })
}

fn motion(key: Key, ctrl: bool, page: usize) -> Option<Motion> {
    let far = if ctrl { TO_THE_EDGE } else { 1 };
    let page = isize::try_from(page).unwrap_or(1).max(1);
    Some(match key {
        Key::ArrowUp => Motion::Rows(far),
        Key::ArrowDown => Motion::Rows(-far),
        Key::ArrowLeft => Motion::Columns(-far),
        Key::ArrowRight => Motion::Columns(far),
        Key::PageUp => Motion::Rows(page),
        Key::PageDown => Motion::Rows(-page),
        Key::Home => Motion::Start { top: ctrl },
        Key::End => Motion::End { bottom: ctrl },
        _ => return None,
    })
}

/// Handles the keys of a grid without a cell editor, in order, unless another control has the keyboard focus;
/// returns the resulting selection. Escape reduces several selected cells to that of the cursor.
pub fn take_keys(
    ctx: &egui::Context,
    id: Id,
    selection: &CellSelection,
    table: &Table,
    page: usize,
) -> Option<CellSelection> {
    if !ctx.memory(|memory| memory.focused().is_none_or(|focused| focused == id)) {
        return None;
    }
    let mut now = selection.clone();
    ctx.input_mut(|input| {
        input.events.retain(|event| {
            let Event::Key { key, pressed: true, modifiers, .. } = event else { return true };
            let next = match key {
                _ if modifiers.alt => None,
                Key::Escape if now.cells.count() > 1 => Some(CellSelection::cell(table, now.cursor)),
                key => moved(&now, table, page, *key, *modifiers),
            };
            let is_taken = next.is_some();
            now = next.unwrap_or_else(|| now.clone());
            !is_taken
        });
    });
    (now != *selection).then_some(now)
}

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
    use crate::table::{Axis, Cell};

    #[test]
    fn keys_move_jump_and_extend() {
        let axis = || Axis::new((0u8..8).map(f64::from).collect()).unwrap();
        let table = Table::from_fn(axis(), axis(), |_, _| 0.0).unwrap();
        let from = CellSelection::cell(&table, Cell::new(4, 3));
        let cases = [
            (Key::ArrowUp, Modifiers::NONE, (5, 3), 1),
            (Key::ArrowLeft, Modifiers::COMMAND, (4, 0), 1),
            (Key::ArrowRight, Modifiers::COMMAND | Modifiers::SHIFT, (4, 7), 5),
            (Key::PageDown, Modifiers::NONE, (1, 3), 1),
            (Key::PageUp, Modifiers::SHIFT, (7, 3), 4),
            (Key::Home, Modifiers::NONE, (4, 0), 1),
            (Key::End, Modifiers::COMMAND, (0, 7), 1),
        ];
        for (key, modifiers, (load, speed), count) in cases {
            let to = moved(&from, &table, 3, key, modifiers).unwrap();
            assert_eq!((to.cursor, to.cells.count()), (Cell::new(load, speed), count), "{key:?} {modifiers:?}");
        }
        assert_eq!(moved(&from, &table, 3, Key::Enter, Modifiers::NONE), None);
    }

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
