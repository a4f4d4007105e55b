//! What every grid over the advance table has in common: its widget, its axes, and its messages to the screen.

use eframe::egui::{self, EventFilter, Id, Rect};

use crate::window::kit::grid::{Axis, Contents, Grid, Shown, Spec, take_keys};
use crate::window::state::grid_state::GridMessage;
use crate::window::state::outbox::Outbox;
use crate::window::state::screen_message::ScreenMessage;
use crate::window::state::selection::CellSelection;
use crate::window::views::view::View;
use crate::wording::Unit;

/// The id of the widget that has the keyboard focus while cells are looked at or edited, on whichever sheet the
/// table is.
pub fn id() -> Id {
    Id::unique("table of cells")
}

/// The breakpoints of the table on show: speeds, loads.
pub fn axes<'a>(view: &View<'a>) -> [Axis<'a>; 2] {
    let (table, unit) = (view.table(), view.project.sensors.load.unit());
    [Axis::of("speed", Unit::Rpm, table.speed()), Axis::of("load", unit, table.load())]
}

/// Shows a read-only grid with a selection. Like the advance table it gets the keys as long as no other control
/// visibly has the focus; Tab leads out of it.
pub fn show_to_read(
    ui: &mut egui::Ui,
    view: &View<'_>,
    outbox: &mut Outbox,
    (grid, area): (&mut Grid, Rect),
    spec: &Spec<'_>,
    contents: &dyn Contents,
) -> Shown {
    let moving = EventFilter { horizontal_arrows: true, vertical_arrows: true, escape: true, ..EventFilter::default() };
    ui.memory_mut(|memory| memory.set_focus_lock_filter(spec.id, moving));
    let shown = grid.show(ui, [area, area], spec, contents, true);
    heed(view, outbox, &shown);
    shown
}

/// Handles the keys of such a grid.
pub fn keys_to_read(ctx: &egui::Context, view: &View<'_>, outbox: &mut Outbox) {
    let screen = view.screen;
    if let Some(selection) = take_keys(ctx, id(), &screen.selection, view.table(), screen.grid.rows) {
        select(selection, outbox);
    }
}

/// Sends the result of a grid: the selection, and how many rows the page keys move by.
pub(in crate::window) fn heed(view: &View<'_>, outbox: &mut Outbox, shown: &Shown) {
    let rows = shown.layout.rows();
    if view.screen.grid.rows != rows {
        outbox.send(GridMessage::Rows(rows));
    }
    if let Some(selection) = &shown.selection {
        select(selection.clone(), outbox);
    }
}

fn select(selection: CellSelection, outbox: &mut Outbox) {
    outbox.send(ScreenMessage::Select(selection));
}
