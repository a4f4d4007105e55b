//! The table with the trims added, or the change alone, as a grid to look at and to point into.

use eframe::egui::{
    self, Align2, EventFilter, Id, Key, Modifiers, Pos2, Rect, Role, ScrollArea, Sense, Stroke, StrokeKind, Ui,
    UiBuilder, WidgetInfo, pos2, vec2,
};

use super::effect::{Effect, Trimmed};
use crate::drawing::{ColorMap, Ground};
use crate::table::Cell;
use crate::window::kit::theme::color;
use crate::window::kit::theme::trims_sizes::{Sizes, sizes};
use crate::window::state::outbox::Outbox;
use crate::window::state::selection::CellSelection;
use crate::window::views::grip;
use crate::window::views::view::View;
use crate::wording::{given, signed, step_decimals};

/// The grid, which can have the keyboard: arrows move the table's cursor then.
pub fn id() -> Id {
    Id::unique("trimmed table")
}

struct Layout {
    /// Where the cells begin and where they are seen.
    origin: Pos2,
    clip: Rect,
    cell: egui::Vec2,
    loads: usize,
    speeds: usize,
}

impl Layout {
    /// Higher loads stand above.
    fn rect(&self, cell: Cell) -> Rect {
        #[expect(clippy::cast_precision_loss, reason = "at most 64 cells")]
        let (column, row) = (cell.speed as f32, (self.loads - 1).saturating_sub(cell.load) as f32);
        Rect::from_min_size(self.origin + vec2(column * self.cell.x, row * self.cell.y), self.cell)
    }

    fn at(&self, place: Pos2) -> Option<Cell> {
        let by = place - self.origin;
        if !self.clip.contains(place) || by.x < 0.0 || by.y < 0.0 {
            return None;
        }
        #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "not negative, a small count")]
        let (column, row) = ((by.x / self.cell.x) as usize, (by.y / self.cell.y) as usize);
        (column < self.speeds && row < self.loads).then(|| Cell::new(self.loads - 1 - row, column))
    }

    fn seen(&self) -> impl Iterator<Item = Cell> + '_ {
        let all = (0..self.loads).flat_map(|load| (0..self.speeds).map(move |speed| Cell::new(load, speed)));
        all.filter(|&cell| self.rect(cell).intersects(self.clip))
    }
}

/// Draws the grid into a place; the answer is the cell under the pointer.
pub(super) fn show(ui: &mut Ui, rect: Rect, effect: &Effect, view: &View<'_>, outbox: &mut Outbox) -> Option<Cell> {
    let sizes = sizes(view.theme.digits);
    let table = view.table();
    #[expect(clippy::cast_precision_loss, reason = "at most 64 cells")]
    let (columns, rows) = (table.speed().len() as f32, table.load().len() as f32);
    let room = rect.size() - vec2(sizes.load_width, sizes.speed_height);
    let cell = vec2((room.x / columns).floor(), (room.y / rows).floor()).max(sizes.least_cell).min(sizes.largest_cell);
    let whole = vec2(sizes.load_width + columns * cell.x, sizes.speed_height + rows * cell.y);
    let mut ui = ui.new_child(UiBuilder::new().max_rect(rect).id_salt("trimmed table"));
    if whole.x <= rect.width() + 0.5 && whole.y <= rect.height() + 0.5 {
        return draw(&mut ui, Rect::from_min_size(rect.min, whole), cell, &sizes, effect, view, outbox);
    }
    let area = ScrollArea::both().id_salt("trimmed table").auto_shrink(false);
    area.show(&mut ui, |ui| {
        let (place, _) = ui.allocate_exact_size(whole, Sense::hover());
        draw(ui, place, cell, &sizes, effect, view, outbox)
    })
    .inner
}

fn draw(
    ui: &mut Ui,
    place: Rect,
    cell: egui::Vec2,
    sizes: &Sizes,
    effect: &Effect,
    view: &View<'_>,
    outbox: &mut Outbox,
) -> Option<Cell> {
    let seen = place.intersect(ui.clip_rect());
    let corner = vec2(sizes.load_width, sizes.speed_height);
    let (loads, speeds) = (view.table().load().len(), view.table().speed().len());
    let layout = Layout {
        origin: place.min + corner,
        clip: Rect::from_min_max(seen.min + corner, seen.max),
        cell,
        loads,
        speeds,
    };
    let grid = ui.interact(layout.clip, id(), Sense::click());
    let what = if view.screen.trims.shows_change { "Change by the trims" } else { "Table with trims" };
    grid.widget_info(|| WidgetInfo::labeled(Role::Grid, true, what));
    react(ui, &grid, &layout, view, outbox);
    paint(ui, &layout, effect, view);
    names(ui, &grid, &layout, effect, view);
    headings(ui, seen, &layout, sizes, view);
    if grid.has_focus() {
        let stroke = Stroke::new(1.0, color(view.theme.palette.ink_secondary));
        ui.painter().rect_stroke(layout.clip, 0.0, stroke, StrokeKind::Inside);
    }
    let pointer = ui.input(|input| input.pointer.hover_pos()).filter(|_| grid.contains_pointer());
    grid.on_hover_text("Click a cell, or go with the arrow keys, to read what its advance is made of.");
    pointer.and_then(|at| layout.at(at))
}

fn react(ui: &Ui, grid: &egui::Response, layout: &Layout, view: &View<'_>, outbox: &mut Outbox) {
    let select = |cell: Cell, outbox: &mut Outbox| grip::select(CellSelection::cell(view.table(), cell), outbox);
    if let Some(cell) = grid.interact_pointer_pos().filter(|_| grid.clicked()).and_then(|at| layout.at(at)) {
        grid.request_focus();
        select(cell, outbox);
    }
    if !grid.has_focus() {
        return;
    }
    let filter = EventFilter { horizontal_arrows: true, vertical_arrows: true, ..EventFilter::default() };
    ui.memory_mut(|memory| memory.set_focus_lock_filter(grid.id, filter));
    let pressed = |key| ui.input_mut(|input| input.count_and_consume_key(Modifiers::NONE, key));
    let Cell { load, speed } = view.screen.selection.cursor;
    let (up, down) = (pressed(Key::ArrowUp), pressed(Key::ArrowDown));
    let (right, left) = (pressed(Key::ArrowRight), pressed(Key::ArrowLeft));
    let to = Cell::new(
        (load + up).saturating_sub(down).min(layout.loads - 1),
        (speed + right).saturating_sub(left).min(layout.speeds - 1),
    );
    if to != view.screen.selection.cursor {
        select(to, outbox);
    }
}

fn text(trimmed: Trimmed, view: &View<'_>) -> String {
    if view.screen.trims.shows_change {
        signed(trimmed.change_deg, step_decimals(view.project.step_deg))
    } else {
        view.degrees(trimmed.with_deg)
    }
}

fn paint(ui: &Ui, layout: &Layout, effect: &Effect, view: &View<'_>) {
    let palette = view.theme.palette;
    let painter = ui.painter().with_clip_rect(layout.clip.intersect(ui.clip_rect()));
    let map = ColorMap::new(palette.look, Ground::Grid);
    let shows_change = view.screen.trims.shows_change;
    let line = Stroke::new(1.0, color(palette.grid_line));
    for cell in layout.seen() {
        let (rect, trimmed) = (layout.rect(cell), effect.at(view.table().index(cell)));
        let tint = if shows_change {
            map.diverging(trimmed.change_deg / effect.full_deg())
        } else {
            map.sequential(view.scales.heights.share(trimmed.with_deg))
        };
        painter.rect_filled(rect, 0.0, color(tint));
        painter.vline(rect.right() - 0.5, rect.y_range(), line);
        painter.hline(rect.x_range(), rect.bottom() - 0.5, line);
        if shows_change && trimmed.change_deg == 0.0 {
            painter.circle_filled(rect.center(), 1.0, color(palette.ink_secondary));
        } else {
            painter.text(
                rect.center(),
                Align2::CENTER_CENTER,
                text(trimmed, view),
                view.theme.digits_font(),
                color(palette.ink),
            );
        }
    }
    let cursor = layout.rect(view.screen.selection.cursor);
    let stroke = Stroke::new(view.theme.selection_width, color(palette.accent));
    painter.rect_stroke(cursor, 0.0, stroke, StrokeKind::Inside);
}

fn names(ui: &mut Ui, grid: &egui::Response, layout: &Layout, effect: &Effect, view: &View<'_>) {
    if !ui.ctx().has_accesskit_node(grid.id) {
        return;
    }
    ui.scope_builder(UiBuilder::new().accessibility_parent(grid.id), |ui| {
        for cell in layout.seen() {
            let response = ui.interact(layout.rect(cell), grid.id.with((cell.load, cell.speed)), Sense::hover());
            let trimmed = effect.at(view.table().index(cell));
            let by = signed(trimmed.change_deg, step_decimals(view.project.step_deg));
            let name =
                format!("{}, {} degrees, trimmed by {by}", grip::place(view, cell), view.degrees(trimmed.with_deg));
            response.widget_info(|| WidgetInfo::labeled(Role::GridCell, true, &name));
        }
    });
}

/// Breakpoints, which stay in view while the cells scroll.
fn headings(ui: &Ui, seen: Rect, layout: &Layout, sizes: &Sizes, view: &View<'_>) {
    let palette = view.theme.palette;
    let (table, cursor) = (view.table(), view.screen.selection.cursor);
    let painter = ui.painter();
    let paper = color(palette.paper);
    let ink = |is_current: bool| color(if is_current { palette.ink } else { palette.ink_secondary });
    painter.rect_filled(Rect::from_min_size(seen.min, vec2(seen.width(), sizes.speed_height)), 0.0, paper);
    painter.rect_filled(Rect::from_min_size(seen.min, vec2(sizes.load_width, seen.height())), 0.0, paper);
    let mut free_from = f32::NEG_INFINITY;
    for (index, &speed) in table.speed().breakpoints().iter().enumerate() {
        let x = layout.rect(Cell::new(0, index)).center().x;
        let galley = painter.layout_no_wrap(given(speed, "rpm"), view.theme.small_font(), ink(index == cursor.speed));
        let left = x - galley.size().x / 2.0;
        if x < layout.clip.left() || x > layout.clip.right() || left < free_from {
            continue;
        }
        free_from = left + galley.size().x + 3.0;
        painter.galley(pos2(left, layout.clip.top() - 3.0 - galley.size().y), galley, paper);
    }
    for (index, &load) in table.load().breakpoints().iter().enumerate() {
        let y = layout.rect(Cell::new(index, 0)).center().y;
        if layout.clip.y_range().contains(y) {
            let at = pos2(layout.clip.left() - 6.0, y);
            painter.text(
                at,
                Align2::RIGHT_CENTER,
                given(load, "load"),
                view.theme.small_font(),
                ink(index == cursor.load),
            );
        }
    }
}
