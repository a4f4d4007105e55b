//! Arrow keys on the Compare sheet: they move the table's selection. Nothing is typed into cells here.

use eframe::egui::{self, Key, Modifiers};

use super::delta_grid::grid_id;
use super::merge;
use crate::table::{Cell, Table};
use crate::window::state::outbox::Outbox;
use crate::window::state::screen_message::ScreenMessage;
use crate::window::state::selection::CellSelection;
use crate::window::views::view::View;

const ARROWS: [(Key, isize, isize); 4] =
    [(Key::ArrowUp, 1, 0), (Key::ArrowDown, -1, 0), (Key::ArrowRight, 0, 1), (Key::ArrowLeft, 0, -1)];

/// Moves the cursor, with Shift the far corner of the selected block.
pub(super) fn take(ctx: &egui::Context, view: &View<'_>, outbox: &mut Outbox) {
    let grid_has_keys =
        ctx.memory(|memory| memory.focused().is_none_or(|id| id == grid_id() || id == merge::grid_id()));
    if !grid_has_keys {
        return;
    }
    let mut selection = view.selection.clone();
    for (key, loads, speeds) in ARROWS {
        for (modifiers, extends) in [(Modifiers::SHIFT, true), (Modifiers::NONE, false)] {
            let presses = ctx.input_mut(|input| input.count_and_consume_key(modifiers, key));
            for _ in 0..presses {
                selection = stepped(view.table(), &selection, (loads, speeds), extends);
            }
        }
    }
    if selection != *view.selection {
        outbox.send(ScreenMessage::Select(selection));
    }
}

fn stepped(table: &Table, from: &CellSelection, (loads, speeds): (isize, isize), extends: bool) -> CellSelection {
    let within = |at: usize, by: isize, count: usize| at.saturating_add_signed(by).min(count - 1);
    let load = within(from.cursor.load, loads, table.load().len());
    let to = Cell::new(load, within(from.cursor.speed, speeds, table.speed().len()));
    if extends { CellSelection::block(table, from.anchor, to) } else { CellSelection::cell(table, to) }
}
