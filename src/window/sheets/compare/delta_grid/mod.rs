//! The delta as a grid of numbers: the union of both tables' breakpoints, with the breakpoints frozen when it scrolls.
//!
//! It shows the advance table's own selection: a point is selected when it is a cell of the edited table and that cell
//! is. Points where only the base has breakpoints have no cell, cannot be selected; such breakpoints are slanted.

mod badges;
mod layout;
mod paint;

use eframe::egui::{
    self, Align2, EventFilter, Id, Rect, Response, Role, ScrollArea, Sense, UiBuilder, WidgetInfo, vec2,
};

pub(super) use self::layout::{Layout, cell_size};
use self::paint::Paint;
use super::comparing::Compared;
use super::names;
use crate::compare::TableComparison;
use crate::table::Cell;
use crate::window::kit::theme::color;
use crate::window::state::compare_state::CompareMessage;
use crate::window::state::outbox::Outbox;
use crate::window::state::screen_message::ScreenMessage;
use crate::window::state::selection::CellSelection;
use crate::window::views::view::View;

pub(super) use badges::badge_points;
pub(super) use paint::badge;

/// The grid as a focusable widget.
pub(super) fn grid_id() -> Id {
    Id::unique("delta grid")
}

/// What the grid keeps between frames.
#[derive(Default)]
pub(super) struct DeltaGrid {
    /// The point to bring into view.
    pub(super) show: Option<Cell>,
    /// The cursor as it was drawn last: when it moves it is brought into view.
    cursor: Option<Cell>,
}

impl DeltaGrid {
    /// The width that cells of such a delta need.
    pub(super) fn least_width(ui: &egui::Ui, view: &View<'_>, compared: &Compared, table: &TableComparison) -> f32 {
        let sizes = &view.theme.compare;
        let columns = table.delta.speed_rpm().len();
        let cell = vec2(least_cell_width(ui, view, compared, table), 0.0);
        sizes.load_width + Layout::total(cell, columns, 0).x
    }

    /// Draws the grid into the rest of `ui`.
    pub(super) fn show(
        &mut self,
        ui: &mut egui::Ui,
        view: &View<'_>,
        (compared, table): (&Compared, &TableComparison),
        outbox: &mut Outbox,
    ) {
        let (theme, sizes) = (view.theme, &view.theme.compare);
        let (columns, rows) = (table.delta.speed_rpm().len(), table.delta.load().len());
        let whole = ui.available_rect_before_wrap();
        let body = Rect::from_min_max(whole.min + vec2(sizes.load_width, sizes.speed_height), whole.max);
        let cell = cell_size(body.size(), columns, rows, least_cell_width(ui, view, compared, table), sizes);
        let cursor = compared.point_of(view.screen.selection.cursor);
        self.follow(cursor);
        let mut inner = ui.new_child(UiBuilder::new().max_rect(body));
        let scrolled =
            ScrollArea::both().id_salt("delta grid").auto_shrink(false).show_viewport(&mut inner, |ui, _| {
                let (rect, _) = ui.allocate_exact_size(Layout::total(cell, columns, rows), Sense::hover());
                let layout = Layout { origin: rect.min, clip: ui.clip_rect().intersect(body), cell, columns, rows };
                let response = ui.interact(rect.intersect(body), grid_id(), Sense::click_and_drag());
                if let Some(point) = self.show.take() {
                    ui.scroll_to_rect(layout.rect(point).expand2(cell), None);
                }
                let hover = hovered(&response, &layout);
                let painter = ui.painter();
                let paint = Paint { painter, layout: &layout, theme, compared, table };
                paint.cells(&view.screen.selection.cells, hover);
                tell_hover(hover, view, compared, table, outbox);
                select(ui, &response, &layout, view, compared, outbox);
                name_cells(ui, &response, &layout, view, compared, table);
                layout
            });
        let paint = Paint { painter: ui.painter(), layout: &scrolled.inner, theme, compared, table };
        paint.speeds(ui.painter(), cursor);
        paint.loads(ui.painter(), cursor);
        paint.badges(ui.painter());
        let unit = format!("load {}", compared.edited().sensors.load.unit());
        let ink = color(theme.palette.ink_secondary);
        let corner = egui::pos2(whole.left(), body.top() - theme.gap * 1.2);
        ui.painter().text(corner, Align2::LEFT_BOTTOM, unit, theme.small_font(), ink);
        ui.allocate_rect(whole, Sense::hover());
    }

    fn follow(&mut self, cursor: Option<Cell>) {
        if self.cursor != cursor {
            let is_first = self.cursor.is_none();
            self.cursor = cursor;
            if !is_first {
                self.show = self.show.or(cursor);
            }
        }
    }
}

/// Wide enough for the longest delta that is there.
fn least_cell_width(ui: &egui::Ui, view: &View<'_>, compared: &Compared, table: &TableComparison) -> f32 {
    let extremes = [table.figures.largest_rise, table.figures.largest_fall].into_iter().flatten();
    let step = compared.edited().step_deg;
    let texts = extremes.map(|extreme| names::delta(extreme.deg, step)).chain(["+0.0".into()]);
    let width = |text: String| {
        let ink = color(view.theme.palette.ink);
        ui.painter().layout_no_wrap(text, view.theme.digits_font(), ink).size().x
    };
    texts.map(width).fold(0.0, f32::max) + view.theme.gap
}

fn hovered(response: &Response, layout: &Layout) -> Option<Cell> {
    let pointer = response.hover_pos().or_else(|| response.interact_pointer_pos())?;
    layout.at(pointer)
}

/// Tells the screen what the pointer is over, when that has changed.
fn tell_hover(hover: Option<Cell>, view: &View<'_>, compared: &Compared, table: &TableComparison, outbox: &mut Outbox) {
    let place = hover.map(|point| table.delta.place(point));
    let cell = hover.and_then(|point| compared.cell_at(point));
    if place != view.screen.compare.hover || cell != view.screen.pointer.cell {
        outbox.send(CompareMessage::Point(place));
        outbox.send(ScreenMessage::Point(cell));
    }
}

/// Click selects a cell, Shift-click and dragging a block, Ctrl-click adds.
fn select(
    ui: &egui::Ui,
    response: &Response,
    layout: &Layout,
    view: &View<'_>,
    compared: &Compared,
    outbox: &mut Outbox,
) {
    if response.has_focus() {
        let arrows = EventFilter { horizontal_arrows: true, vertical_arrows: true, ..EventFilter::default() };
        ui.memory_mut(|memory| memory.set_focus_lock_filter(response.id, arrows));
    }
    if !response.clicked() && !response.dragged() {
        return;
    }
    let (press, now) = (ui.input(|input| input.pointer.press_origin()), response.interact_pointer_pos());
    let cell_at =
        |place: Option<egui::Pos2>| place.and_then(|place| layout.at(place)).map(|point| compared.cell_at(point));
    let Some(target) = cell_at(now) else {
        return;
    };
    response.request_focus();
    let Some(target) = target else {
        if response.clicked() {
            outbox.say("Only the base has a breakpoint here: there is no cell to select");
        }
        return;
    };
    let (table, old) = (view.table(), view.selection);
    let modifiers = ui.input(|input| input.modifiers);
    let origin = cell_at(press).flatten().filter(|_| response.dragged());
    let mut new = match origin {
        Some(origin) => CellSelection::block(table, origin, target),
        None if modifiers.shift => CellSelection::block(table, old.anchor, target),
        None => CellSelection::cell(table, target),
    };
    if modifiers.command && origin.is_none() && old.cells.fits(table) {
        new.cells.extend(old.cells.cells());
    }
    outbox.send(ScreenMessage::Select(new));
}

/// Gives the grid and each visible cell its name.
fn name_cells(
    ui: &mut egui::Ui,
    grid: &Response,
    layout: &Layout,
    view: &View<'_>,
    compared: &Compared,
    table: &TableComparison,
) {
    let name = format!("Difference in degrees, edited minus {}", view.base.name);
    grid.widget_info(|| WidgetInfo::labeled(Role::Grid, true, &name));
    if !ui.ctx().has_accesskit_node(grid.id) {
        return;
    }
    ui.scope_builder(UiBuilder::new().accessibility_parent(grid.id), |ui| {
        for point in layout.seen() {
            let rect = layout.rect(point).intersect(layout.clip);
            let cell = ui.interact(rect, grid.id.with((point.load, point.speed)), Sense::hover());
            let name = names::cell(compared, point, table.delta.at(point), table.delta.place(point));
            cell.widget_info(|| WidgetInfo::labeled(Role::GridCell, true, &name));
        }
    });
}
