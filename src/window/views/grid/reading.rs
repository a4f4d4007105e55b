//! What every grid over the advance table has in common: its widget, its axes, and what is asked of the screen.

use eframe::egui::{self, EventFilter, Id, Rect};

use crate::window::kit::grid::{Axis, Contents, Grid, Shown, Spec, take_keys};
use crate::window::state::grid_state::GridMessage;
use crate::window::state::outbox::Outbox;
use crate::window::state::screen_message::ScreenMessage;
use crate::window::state::selection::CellSelection;
use crate::window::views::view::View;
use crate::wording::Unit;

/// The widget that has the keyboard while cells are looked at or edited, on whichever sheet a table is.
pub fn id() -> Id {
    Id::unique("table of cells")
}

/// The breakpoints of the table on show: speeds, loads.
pub fn axes<'a>(view: &View<'a>) -> [Axis<'a>; 2] {
    let (table, unit) = (view.table(), view.project.sensors.load.unit());
    [Axis::of("speed", Unit::Rpm, table.speed()), Axis::of("load", unit, table.load())]
}

/// Shows a grid that is read and selected in, while nothing is typed into its cells. Like the advance table it has the keys
/// as long as no other control shows that it has them; Tab leads out of it.
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

/// The keys of such a grid.
pub fn keys_to_read(ctx: &egui::Context, view: &View<'_>, outbox: &mut Outbox) {
    let screen = view.screen;
    if let Some(selection) = take_keys(ctx, id(), &screen.selection, view.table(), screen.grid.rows) {
        select(selection, outbox);
    }
}

/// Asks for what came of a grid: the selection, and what a page of the page keys is.
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
