//! What a screen reader reads: every visible cell and breakpoint by name.

use eframe::egui::accesskit::{Action, Role};
use eframe::egui::{self, Id, Rect, Sense, UiBuilder, WidgetInfo};

use super::editor_view::editor_id;
use super::layout::Layout;
use crate::table::{Cell, Selection};
use crate::window::state::outbox::Outbox;
use crate::window::state::screen_message::ScreenMessage;
use crate::window::state::selection::CellSelection;
use crate::window::views::view::View;
use crate::wording::{point, quantity};

/// Names the visible cells and breakpoints, when someone listens.
pub(in crate::window) fn tell(
    ui: &mut egui::Ui,
    view: &View<'_>,
    outbox: &mut Outbox,
    layout: &Layout,
    changed: &Selection,
) {
    let (loads, speeds) = (view.table().load().len(), view.table().speed().len());
    let focused = if view.screen.grid.editor.is_some() { editor_id() } else { cell_id(view.screen.selection.cursor) };
    let listens = ui.ctx().accesskit_node_builder(super::layout::id(), |node| {
        node.set_row_count(loads);
        node.set_column_count(speeds);
        node.set_active_descendant(focused.accesskit_id());
    });
    if listens.is_none() {
        return;
    }
    ui.scope_builder(UiBuilder::new().accessibility_parent(super::layout::id()), |ui| {
        breakpoints(ui, view, layout);
        for cell in layout.visible_cells() {
            if let Some(rect) = layout.cell(cell) {
                name_cell(ui, view, outbox, (cell, rect), changed);
            }
        }
    });
}

fn cell_id(cell: Cell) -> Id {
    super::layout::id().with(("cell", cell.load, cell.speed))
}

fn name_cell(ui: &egui::Ui, view: &View<'_>, outbox: &mut Outbox, (cell, rect): (Cell, Rect), changed: &Selection) {
    let id = cell_id(cell);
    let response = ui.interact(rect, id, Sense::hover());
    response.widget_info(|| WidgetInfo::labeled(Role::GridCell, true, label(view, cell)));
    let is_selected = view.screen.selection.cells.contains(cell);
    let origin = view.advance().origin(cell).name();
    let changed = if changed.contains(cell) { ", changed from base" } else { "" };
    let found = view.checked.severity_at(view.table(), cell);
    let found = found.map_or_else(String::new, |severity| format!(", {}", severity.name()));
    let row = view.table().load().len() - 1 - cell.load;
    ui.ctx().accesskit_node_builder(id, |node| {
        node.set_selected(is_selected);
        node.set_description(format!("{origin}{changed}{found}"));
        node.set_row_index(row);
        node.set_column_index(cell.speed);
        node.add_action(Action::Click);
    });
    if ui.input(|input| input.has_accesskit_action_request(id, Action::Click)) {
        outbox.send(ScreenMessage::Select(CellSelection::cell(view.table(), cell)));
    }
}

/// A cell in words: 'advance 3000 rpm, 60 kPa, 28.5 degrees, held'.
fn label(view: &View<'_>, cell: Cell) -> String {
    let table = view.table();
    let (speed_rpm, load) = (table.speed().breakpoints()[cell.speed], table.load().breakpoints()[cell.load]);
    let place = point(speed_rpm, load, view.project.sensors.load.unit());
    let (now, then) = view.now_and_then(cell);
    let degrees = view.degrees(now);
    let proposed = then.map_or_else(String::new, |deg| format!(", proposed {} degrees", view.degrees(deg)));
    let held = if view.advance().held().contains(cell) { ", held" } else { "" };
    match view.flashed {
        Some(flashed) => {
            let (text, raw) = (view.cell_text(cell), flashed.table.raw(cell));
            let degrees = if flashed.in_counts { degrees } else { text };
            format!("as flashed, advance {place}, {degrees} degrees, count {raw}{held}")
        }
        None => format!("advance {place}, {degrees} degrees{proposed}{held}"),
    }
}

fn breakpoints(ui: &egui::Ui, view: &View<'_>, layout: &Layout) {
    let (table, unit) = (view.table(), view.project.sensors.load.unit());
    let name = |id: Id, rect: Rect, role: Role, text: String| {
        ui.interact(rect, id, Sense::hover()).widget_info(|| WidgetInfo::labeled(role, true, &text));
    };
    name(super::layout::id().with("corner"), layout.corner, Role::ColumnHeader, "select the whole table".into());
    for speed in layout.columns.clone() {
        if let Some(span) = layout.column(speed) {
            let rect = Rect::from_x_y_ranges(span, layout.speeds.y_range());
            let text = format!("speed {}", quantity(table.speed().breakpoints()[speed], "rpm"));
            name(super::layout::id().with(("speed", speed)), rect, Role::ColumnHeader, text);
        }
    }
    for load in layout.load_rows() {
        if let Some(span) = layout.row(load) {
            let rect = Rect::from_x_y_ranges(layout.loads.x_range(), span);
            let text = format!("load {}", quantity(table.load().breakpoints()[load], unit));
            name(super::layout::id().with(("load", load)), rect, Role::RowHeader, text);
        }
    }
}
