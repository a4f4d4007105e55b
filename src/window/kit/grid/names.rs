//! What a screen reader reads: the name of every visible cell and breakpoint.

use eframe::egui::accesskit::{Action, Role};
use eframe::egui::{self, Id, Rect, Sense, UiBuilder, WidgetInfo};

use super::layout::Layout;
use super::spec::{Axis, Contents, Spec};
use crate::shaping::Along;
use crate::table::Cell;
use crate::window::state::selection::CellSelection;

/// Names the visible cells and breakpoints if a screen reader is active; returns the selection that it asked
/// for.
pub(super) fn tell(
    ui: &mut egui::Ui,
    spec: &Spec<'_>,
    layout: &Layout,
    contents: &dyn Contents,
) -> Option<CellSelection> {
    let (speeds, loads) = layout.size;
    let cursor = || spec.place_of(spec.selection.cursor).map(|place| cell_id(spec, place));
    let attended = spec.active.or_else(cursor);
    let listens = ui.ctx().accesskit_node_builder(spec.id, |node| {
        node.set_row_count(loads);
        node.set_column_count(speeds);
        if let Some(id) = attended {
            node.set_active_descendant(id.accesskit_id());
        }
    });
    listens?;
    ui.scope_builder(UiBuilder::new().accessibility_parent(spec.id), |ui| {
        headings(ui, spec, layout, contents);
        // Each breakpoint is part of the names of a whole row or column.
        let texts = |axis: &Axis<'_>| (0..axis.at.len()).map(|place| axis.quantity(place)).collect::<Vec<_>>();
        let (speeds, loads) = (texts(&spec.speeds), texts(&spec.loads));
        let mut asked = None;
        for place in layout.visible_cells() {
            let (Some(speed), Some(load)) = (speeds.get(place.speed), loads.get(place.load)) else { continue };
            if let Some(rect) = layout.cell(place)
                && name_cell(ui, spec, contents, (place, rect, &format!("{} {speed}, {load}", spec.cell_name)))
            {
                asked = spec.own_at(place).map(|cell| CellSelection::cell(spec.table, cell));
            }
        }
        asked
    })
    .inner
}

fn cell_id(spec: &Spec<'_>, place: Cell) -> Id {
    spec.id.with(("cell", place.load, place.speed))
}

/// Names a cell at a place, which is told in words; returns whether a screen reader asked to select it.
fn name_cell(ui: &egui::Ui, spec: &Spec<'_>, contents: &dyn Contents, (place, rect, at): (Cell, Rect, &str)) -> bool {
    let id = cell_id(spec, place);
    let told = contents.told(place);
    let name = format!("{at}, {}", told.words);
    let response = ui.interact(rect, id, Sense::hover());
    response.widget_info(|| WidgetInfo::labeled(Role::GridCell, true, &name));
    let is_selectable = spec.own_at(place).is_some();
    ui.ctx().accesskit_node_builder(id, |node| {
        node.set_selected(spec.is_selected(place));
        if !told.description.is_empty() {
            node.set_description(told.description);
        }
        node.set_row_index(spec.loads.at.len() - 1 - place.load);
        node.set_column_index(place.speed);
        if is_selectable {
            node.add_action(Action::Click);
        }
    });
    is_selectable && ui.input(|input| input.has_accesskit_action_request(id, Action::Click))
}

fn headings(ui: &egui::Ui, spec: &Spec<'_>, layout: &Layout, contents: &dyn Contents) {
    let name = |id: Id, rect: Rect, role: Role, text: &str| {
        ui.interact(rect, id, Sense::hover()).widget_info(|| WidgetInfo::labeled(role, true, text));
    };
    let describe = |id: Id, along: Along, line: usize| {
        if let Some((_, words)) = contents.found_at_heading(along, line) {
            ui.ctx().accesskit_node_builder(id, |node| node.set_description(words));
        }
    };
    name(spec.id.with("corner"), layout.corner, Role::ColumnHeader, "select the whole table");
    for speed in layout.columns.clone() {
        if let Some(span) = layout.column(speed) {
            let rect = Rect::from_x_y_ranges(span, layout.speeds.y_range());
            let id = spec.id.with(("speed", speed));
            name(id, rect, Role::ColumnHeader, &heading(&spec.speeds, speed));
            describe(id, Along::Speed, speed);
        }
    }
    for load in layout.load_rows() {
        if let Some(span) = layout.row(load) {
            let rect = Rect::from_x_y_ranges(layout.loads.x_range(), span);
            let id = spec.id.with(("load", load));
            name(id, rect, Role::RowHeader, &heading(&spec.loads, load));
            describe(id, Along::Load, load);
        }
    }
}

/// 'speed 3000 rpm'.
fn heading(axis: &Axis<'_>, index: usize) -> String {
    let name = format!("{} {}", axis.name, axis.quantity(index));
    if axis.own_at(index).is_some() { name } else { format!("{name}, {}", axis.otherwise) }
}
