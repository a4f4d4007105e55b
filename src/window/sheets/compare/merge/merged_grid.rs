//! The merged table: what stands in each cell, and who changed it.

use eframe::egui::{
    self, Align2, Color32, EventFilter, Id, Label, Painter, Rect, Response, Role, ScrollArea, Sense, Shape, Stroke,
    StrokeKind, UiBuilder, WidgetInfo, pos2, vec2,
};

use super::super::delta_grid::{Layout, cell_size};
use super::super::rows::{second, small};
use super::merging::{ChangedBy, Merged};
use crate::compare::Version;
use crate::drawing::{ColorMap, Ground, LEAST_FULL_DEG};
use crate::table::Cell;
use crate::window::kit::marks::nil;
use crate::window::kit::part::part;
use crate::window::kit::theme::merge_sizes::MergeSizes;
use crate::window::kit::theme::{color, strong_label};
use crate::window::state::outbox::Outbox;
use crate::window::state::screen_message::ScreenMessage;
use crate::window::state::selection::CellSelection;
use crate::window::views::view::View;
use crate::wording::{at_most, point};

/// Width of the lines of a bracket.
const BRACKET_WIDTH: f32 = 1.6;

/// The grid as a focusable widget.
pub(in super::super) fn grid_id() -> Id {
    Id::unique("merged grid")
}

/// What the grid keeps between frames.
#[derive(Default)]
pub(super) struct MergedGrid {
    pointed_at: Option<Cell>,
    /// The conflict whose cell was pressed: it is to be brought into view.
    pub(super) show: Option<usize>,
    /// The cursor as it was drawn last: when it moves it is brought into view.
    cursor: Option<Cell>,
}

struct Paint<'a> {
    painter: &'a Painter,
    layout: &'a Layout,
    view: &'a View<'a>,
    merged: &'a Merged,
    full_deg: f64,
}

impl MergedGrid {
    /// Whether the pointer is over a cell.
    pub(super) fn is_pointed_at(&self, cell: Cell) -> bool {
        self.pointed_at == Some(cell)
    }

    /// The width at which every column is seen.
    pub(super) fn least_width(ui: &egui::Ui, view: &View<'_>, merged: &Merged) -> f32 {
        let cell = vec2(least_cell_width(ui, view, merged).ceil(), 0.0);
        view.theme.compare.load_width + Layout::total(cell, merged.table().speed().len(), 0).x
    }

    /// Draws heading, grid and key.
    pub(super) fn show(&mut self, ui: &mut egui::Ui, view: &View<'_>, merged: &Merged, outbox: &mut Outbox) {
        let theme = view.theme;
        ui.horizontal(|ui| {
            ui.set_height(theme.compare.header_height);
            strong_label(ui, "Merged table °", theme.heading_font());
            ui.label(small("tinted by the difference from the base", theme));
        });
        if !merged.is_by_cell() {
            let told = "The three tables do not have the same breakpoints: the table is taken whole, from one side.";
            ui.add(Label::new(second(told, theme)).wrap());
            return;
        }
        let whole = ui.available_rect_before_wrap();
        let key_height = theme.compare.line_height;
        let grid = Rect::from_min_max(whole.min, whole.max - vec2(0.0, key_height));
        self.cells(&mut part(ui, grid), view, merged, outbox);
        let at = Rect::from_min_max(pos2(whole.left(), grid.bottom()), whole.max);
        key(&part(ui, at), view, at);
    }

    fn cells(&mut self, ui: &mut egui::Ui, view: &View<'_>, merged: &Merged, outbox: &mut Outbox) {
        let (theme, sizes) = (view.theme, &view.theme.compare);
        let table = merged.table();
        let (columns, rows) = (table.speed().len(), table.load().len());
        let whole = ui.available_rect_before_wrap();
        let body = Rect::from_min_max(whole.min + vec2(sizes.load_width, sizes.speed_height), whole.max);
        let cell = cell_size(body.size(), columns, rows, least_cell_width(ui, view, merged), sizes);
        let cursor = view.screen.selection.cursor;
        let moved = self.cursor.replace(cursor).is_some_and(|before| before != cursor);
        let mut inner = ui.new_child(UiBuilder::new().max_rect(body));
        let full_deg = full_deg(merged);
        let area = ScrollArea::both().id_salt("merged grid").auto_shrink(false);
        let scrolled = area.show_viewport(&mut inner, |ui, _| {
            let (rect, _) = ui.allocate_exact_size(Layout::total(cell, columns, rows), Sense::hover());
            let layout = Layout { origin: rect.min, clip: ui.clip_rect().intersect(body), cell, columns, rows };
            let response = ui.interact(rect.intersect(body), grid_id(), Sense::click());
            if moved {
                ui.scroll_to_rect(layout.rect(cursor).expand2(cell), None);
            }
            self.pointed_at = response.hover_pos().and_then(|at| layout.at(at));
            let paint = Paint { painter: ui.painter(), layout: &layout, view, merged, full_deg };
            paint.cells();
            if let Some(cell) = select(ui, &response, &layout, view, outbox)
                && let ChangedBy::Conflict(number) = merged.changed_by(cell)
            {
                self.show = Some(number);
            }
            name_cells(ui, &response, &layout, view, merged);
            layout
        });
        let paint = Paint { painter: ui.painter(), layout: &scrolled.inner, view, merged, full_deg };
        paint.axes(cursor);
        let unit = format!("load {}", merged.version(Version::Mine).sensors.load.unit());
        let ink = color(theme.palette.ink_secondary);
        let corner = pos2(whole.left(), body.top() - theme.gap * 1.2);
        ui.painter().text(corner, Align2::LEFT_BOTTOM, unit, theme.small_font(), ink);
    }
}

/// Wide enough for the longest value.
fn least_cell_width(ui: &egui::Ui, view: &View<'_>, merged: &Merged) -> f32 {
    let (low, high) = merged.table().extremes();
    let ink = color(view.theme.palette.ink);
    let width = |text: String| ui.painter().layout_no_wrap(text, view.theme.digits_font(), ink).size().x;
    [low, high, 88.0].map(|deg| width(view.degrees(deg))).into_iter().fold(0.0, f32::max) + view.theme.gap
}

/// The difference from the base with the strongest tint.
fn full_deg(merged: &Merged) -> f64 {
    let base = merged.version(Version::Base).advance.table().values();
    let differences = merged.table().values().iter().zip(base).map(|(is, was)| (is - was).abs());
    differences.fold(LEAST_FULL_DEG, f64::max)
}

/// A press selects a cell; gives which.
fn select(ui: &egui::Ui, response: &Response, layout: &Layout, view: &View<'_>, outbox: &mut Outbox) -> Option<Cell> {
    if response.has_focus() {
        let arrows = EventFilter { horizontal_arrows: true, vertical_arrows: true, ..EventFilter::default() };
        ui.memory_mut(|memory| memory.set_focus_lock_filter(response.id, arrows));
    }
    if !response.clicked() {
        return None;
    }
    let cell = response.interact_pointer_pos().and_then(|at| layout.at(at))?;
    response.request_focus();
    outbox.send(ScreenMessage::Select(CellSelection::cell(view.table(), cell)));
    Some(cell)
}

fn name_cells(ui: &mut egui::Ui, grid: &Response, layout: &Layout, view: &View<'_>, merged: &Merged) {
    grid.widget_info(|| WidgetInfo::labeled(Role::Grid, true, "Merged table in degrees"));
    if !ui.ctx().has_accesskit_node(grid.id) {
        return;
    }
    ui.scope_builder(UiBuilder::new().accessibility_parent(grid.id), |ui| {
        for cell in layout.seen() {
            let rect = layout.rect(cell).intersect(layout.clip);
            let response = ui.interact(rect, grid.id.with((cell.load, cell.speed)), Sense::hover());
            let name = name_of(cell, view, merged);
            response.widget_info(|| WidgetInfo::labeled(Role::GridCell, true, &name));
        }
    });
}

/// '2800 rpm, 40 %, 24.5 degrees, changed by theirs'.
fn name_of(cell: Cell, view: &View<'_>, merged: &Merged) -> String {
    let table = merged.table();
    let at = |breakpoints: &[f64], index: usize| breakpoints.get(index).copied().unwrap_or_default();
    let (speed_rpm, load) = (at(table.speed().breakpoints(), cell.speed), at(table.load().breakpoints(), cell.load));
    let place = point(speed_rpm, load, merged.version(Version::Mine).sensors.load.unit());
    let value = view.degrees(table.at(cell));
    let who = match merged.changed_by(cell) {
        ChangedBy::Nobody => "unchanged",
        ChangedBy::Mine => "changed by mine",
        ChangedBy::Theirs => "changed by theirs",
        ChangedBy::Both => "changed by both alike",
        ChangedBy::Conflict(number) => match merged.decision(number) {
            None => return format!("{place}, to be decided"),
            Some(Version::Base) => "decided: base",
            Some(Version::Mine) => "decided: mine",
            Some(Version::Theirs) => "decided: theirs",
        },
    };
    format!("{place}, {value} degrees, {who}")
}

impl Paint<'_> {
    fn cells(&self) {
        let (theme, palette) = (self.view.theme, self.view.theme.palette);
        let map = ColorMap::new(palette.look, Ground::Grid);
        let rule = Stroke::new(1.0, color(palette.rule));
        let clip = self.layout.clip;
        let right = self.layout.left(self.layout.columns).min(clip.right());
        for row in self.layout.seen_rows() {
            let y = self.layout.top(row) + self.layout.cell.y - 0.5;
            self.painter.hline(clip.left()..=right, y, rule);
        }
        for cell in self.layout.seen() {
            self.cell(cell, &map);
        }
        let accent = Stroke::new(theme.selection_width, color(palette.accent));
        for cell in self.layout.seen().filter(|cell| self.view.screen.selection.cursor == *cell) {
            self.painter.rect_stroke(self.layout.rect(cell), 0.0, accent, StrokeKind::Inside);
        }
    }

    fn cell(&self, cell: Cell, map: &ColorMap) {
        let (theme, palette) = (self.view.theme, self.view.theme.palette);
        let rect = self.layout.rect(cell);
        let who = self.merged.changed_by(cell);
        if who == ChangedBy::Nobody {
            nil(self.painter, rect.center(), color(palette.ink_secondary));
            return;
        }
        let value = self.merged.table().at(cell);
        let base = self.merged.version(Version::Base).advance.table().at(cell);
        let is_open = self.is_open(who);
        if !is_open {
            self.painter.rect_filled(rect, 0.0, color(map.diverging((value - base) / self.full_deg)));
        }
        let line = Stroke::new(1.0, color(palette.grid_line));
        self.painter.vline(rect.right() - 0.5, rect.y_range(), line);
        self.painter.hline(rect.x_range(), rect.bottom() - 0.5, line);
        let text = if is_open { "?".to_owned() } else { self.view.degrees(value) };
        self.painter.text(rect.center(), Align2::CENTER_CENTER, text, theme.digits_font(), color(palette.ink));
        let ink = color(palette.ink);
        let length = MergeSizes::of(theme).bracket;
        if matches!(who, ChangedBy::Mine | ChangedBy::Both) {
            bracket(self.painter, rect.shrink(1.0), length, ink);
        }
        if matches!(who, ChangedBy::Theirs | ChangedBy::Both) {
            bracket(self.painter, rect.shrink(1.0), -length, ink);
        }
        if matches!(who, ChangedBy::Conflict(_)) {
            let frame = Stroke::new(theme.compare.outline_width, ink);
            self.painter.rect_stroke(rect.shrink(1.0), 0.0, frame, StrokeKind::Inside);
        }
    }

    /// Whether the cell is a conflict that is to be decided.
    fn is_open(&self, who: ChangedBy) -> bool {
        matches!(who, ChangedBy::Conflict(number) if self.merged.decision(number).is_none())
    }

    /// Speeds above and loads beside the cells, as many as have room, the cursor's in ink.
    fn axes(&self, cursor: Cell) {
        let (theme, palette) = (self.view.theme, self.view.theme.palette);
        let table = self.merged.table();
        let ink = |is_current: bool| color(if is_current { palette.ink } else { palette.ink_secondary });
        let clip = self.layout.clip;
        let (above, beside) = (clip.top() - theme.gap * 1.2, clip.left() - theme.gap * 1.2);
        let mut free_from = f32::NEG_INFINITY;
        for column in self.layout.seen_columns() {
            let Some(&speed) = table.speed().breakpoints().get(column) else { continue };
            let x = self.layout.left(column) + self.layout.cell.x / 2.0;
            let galley = self.axis_text(speed, ink(cursor.speed == column));
            let left = x - galley.size().x / 2.0;
            if left >= free_from && clip.x_range().contains(x) {
                free_from = left + galley.size().x + 3.0;
                self.painter.galley(pos2(left, above - galley.size().y), galley, Color32::PLACEHOLDER);
            }
        }
        for row in self.layout.seen_rows() {
            let Some(&load) = table.load().breakpoints().get(row) else { continue };
            let y = self.layout.top(row) + self.layout.cell.y / 2.0;
            if clip.y_range().contains(y) {
                let galley = self.axis_text(load, ink(cursor.load == row));
                let at = Align2::RIGHT_CENTER.anchor_size(pos2(beside, y), galley.size()).min;
                self.painter.galley(at, galley, Color32::PLACEHOLDER);
            }
        }
    }

    fn axis_text(&self, value: f64, ink: Color32) -> std::sync::Arc<egui::Galley> {
        self.painter.layout_no_wrap(at_most(value, 3), self.view.theme.small_font(), ink)
    }
}

/// A bracket round one side of a cell, its ends so long: the left side is mine, the right one, with ends to the left,
/// theirs. Both together nearly make the frame of what both changed otherwise. Corners and dots have meanings of their own
/// on the Advance sheet.
fn bracket(painter: &Painter, rect: Rect, ends: f32, ink: Color32) {
    let inside = rect.shrink(BRACKET_WIDTH / 2.0);
    let x = if ends > 0.0 { inside.left() } else { inside.right() };
    let (top, bottom) = (inside.top(), inside.bottom());
    let points = vec![pos2(x + ends, top), pos2(x, top), pos2(x, bottom), pos2(x + ends, bottom)];
    painter.add(Shape::line(points, Stroke::new(BRACKET_WIDTH, ink)));
}

/// What the brackets and the frame mean.
fn key(ui: &egui::Ui, view: &View<'_>, at: Rect) {
    let (theme, palette) = (view.theme, view.theme.palette);
    let (ink, weak) = (color(palette.ink), color(palette.ink_secondary));
    let sizes = MergeSizes::of(theme);
    let mut left = at.left() + theme.compare.load_width;
    let words = ["mine", "theirs", "both changed it: to be decided, or decided"];
    for (place, words) in words.into_iter().enumerate() {
        let swatch = Rect::from_center_size(pos2(left + sizes.swatch.x / 2.0, at.center().y), sizes.swatch);
        let frame = Stroke::new(1.0, color(palette.rule_strong));
        ui.painter().rect_stroke(swatch, 0.0, frame, StrokeKind::Inside);
        match place {
            0 => bracket(ui.painter(), swatch, sizes.bracket, ink),
            1 => bracket(ui.painter(), swatch, -sizes.bracket, ink),
            _ => {
                let frame = Stroke::new(theme.compare.outline_width, ink);
                ui.painter().rect_stroke(swatch, 0.0, frame, StrokeKind::Inside);
            }
        }
        let text = pos2(swatch.right() + theme.gap, at.center().y);
        let words = ui.painter().text(text, Align2::LEFT_CENTER, words, theme.small_font(), weak);
        left = words.right() + theme.margin;
    }
}
