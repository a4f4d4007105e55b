//! Arrow keys on the Compare sheet: they move the table's selection. Nothing is typed into cells here.

use eframe::egui::{self, Key, Modifiers};

use super::delta_grid::grid_id;
use super::merge;
use crate::table::Cell;
use crate::window::state::outbox::Outbox;
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
    for (key, loads, speeds) in ARROWS {
        for (modifiers, extends) in [(Modifiers::SHIFT, true), (Modifiers::NONE, false)] {
            let presses = ctx.input_mut(|input| input.count_and_consume_key(modifiers, key));
            for _ in 0..presses {
                step(view, (loads, speeds), extends, outbox);
            }
        }
    }
}

fn step(view: &View<'_>, (loads, speeds): (isize, isize), extends: bool, outbox: &mut Outbox) {
    let table = view.table().clone();
    outbox.screen(move |screen| {
        let within = |at: usize, by: isize, count: usize| at.saturating_add_signed(by).min(count - 1);
        let at = screen.selection.cursor;
        let load = within(at.load, loads, table.load().len());
        let to = Cell::new(load, within(at.speed, speeds, table.speed().len()));
        screen.selection = if extends {
            CellSelection::block(&table, screen.selection.anchor, to)
        } else {
            CellSelection::cell(&table, to)
        };
    });
}
