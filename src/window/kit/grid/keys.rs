//! Keys that move the cursor in a grid: arrows, Home, End and the page keys; with Shift they extend, with Ctrl
//! they jump.

use eframe::egui::{self, Event, Id, Key, Modifiers};

use super::motion::{Motion, TO_THE_EDGE, extended};
use crate::table::Table;
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
}
