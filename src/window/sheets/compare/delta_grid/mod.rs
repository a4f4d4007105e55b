//! The delta as a grid of numbers: the union of both tables' breakpoints.
//!
//! It shows the advance table's own selection: a point is selected if it is a cell of the edited table and that
//! cell is selected. Points where only the base has breakpoints have no cell and cannot be selected; such
//! breakpoints are slanted.

mod badges;
mod delta_cells;

use eframe::egui::{self, Vec2};

use self::delta_cells::DeltaCells;
use super::comparing::Compared;
use crate::compare::TableComparison;
use crate::table::Cell;
use crate::window::kit::grid::{Axis, Grid, Layout, Measures, Shown, Spec};
use crate::window::state::compare_state::CompareMessage;
use crate::window::state::outbox::Outbox;
use crate::window::state::screen_message::ScreenMessage;
use crate::window::state::selection::CellSelection;
use crate::window::views::grid::{id, show_to_read};
use crate::window::views::view::View;
use crate::wording::Unit;

pub(super) use badges::{badge, badge_points};

/// What the grid keeps between frames.
#[derive(Default)]
pub(super) struct DeltaGrid {
    grid: Grid,
}

impl DeltaGrid {
    /// The size at which all of such a delta is visible.
    pub(super) fn whole_size(ui: &egui::Ui, view: &View<'_>, compared: &Compared, table: &TableComparison) -> Vec2 {
        let selection = selection(view, compared);
        let spec = spec(view, (compared, table), &selection, "");
        Measures::new(ui, &spec, &DeltaCells::new(view, compared, table)).whole_size(&spec)
    }

    /// Brings a point into view.
    pub(super) fn bring_into_view(&mut self, point: Cell) {
        self.grid.bring_into_view(point);
    }

    /// Draws the grid into the rest of `ui`; gives where its cells are.
    pub(super) fn show(
        &mut self,
        ui: &mut egui::Ui,
        view: &View<'_>,
        (compared, table): (&Compared, &TableComparison),
        outbox: &mut Outbox,
    ) -> Layout {
        let rect = ui.available_rect_before_wrap();
        let name = format!("Difference in degrees, edited minus {}", view.base.name);
        let selection = selection(view, compared);
        let spec = spec(view, (compared, table), &selection, &name);
        let cells = DeltaCells::new(view, compared, table);
        let shown = show_to_read(ui, view, outbox, (&mut self.grid, rect), &spec, &cells);
        if shown.refused {
            outbox.say("Only the base has a breakpoint here: there is no cell to select");
        }
        tell_hover(&shown, view, compared, table, outbox);
        badges::paint(ui.painter(), &shown.layout, view.theme, compared, table);
        ui.advance_cursor_after_rect(rect);
        shown.layout
    }
}

/// The selection in the edited table that was compared, which may be the one before.
fn selection(view: &View<'_>, compared: &Compared) -> CellSelection {
    view.screen.selection.clone().fitted(compared.edited().advance.table())
}

fn spec<'a>(
    view: &View<'a>,
    (compared, table): (&'a Compared, &'a TableComparison),
    selection: &'a CellSelection,
    name: &'a str,
) -> Spec<'a> {
    let edited = compared.edited().advance.table();
    let otherwise = "only in the base";
    let hovered = view.screen.compare.hover.and_then(|(speed_rpm, load)| table.delta.point_at(speed_rpm, load));
    Spec {
        id: id(),
        name,
        cell_name: "difference",
        speeds: Axis { name: "speed", unit: Unit::Rpm, at: table.delta.speed_rpm(), own: edited.speed(), otherwise },
        loads: Axis {
            name: "load",
            unit: compared.edited().sensors.load.unit(),
            at: table.delta.load(),
            own: edited.load(),
            otherwise,
        },
        table: edited,
        selection,
        hovered,
        active: None,
        theme: view.theme,
    }
}

/// Tells the screen what the pointer is over, when that has changed.
fn tell_hover(shown: &Shown, view: &View<'_>, compared: &Compared, table: &TableComparison, outbox: &mut Outbox) {
    let place = shown.hovered.map(|point| table.delta.place(point));
    let cell = shown.hovered.and_then(|point| compared.cell_at(point));
    if place != view.screen.compare.hover || cell != view.screen.pointer.cell {
        outbox.send(CompareMessage::Point(place));
        outbox.send(ScreenMessage::Point(cell));
    }
}
