//! Where things lie: headings, breakpoints, and the cells that are visible.

use std::ops::Range;

use eframe::egui::{self, FontId, Pos2, Rect, pos2, vec2};

use super::scroll::{Scroll, THICKNESS};
use crate::table::Cell;
use crate::window::kit::theme::Theme;
use crate::window::views::view::View;
use crate::wording::{fixed, given, step_decimals};

/// Height of the line with the heading.
const HEADING: f32 = 30.0;
/// Where the middle of the heading is, below the upper edge: level with the headings beside it.
pub(in crate::window) const HEADING_MIDDLE: f32 = 17.0;
/// Room between neighbouring numbers.
const PAD: f32 = 4.0;
/// Room above and below digits together.
const ROOM_ABOVE_AND_BELOW: f32 = 2.0;
/// Cells of small tables do not grow beyond this.
const LARGEST: egui::Vec2 = vec2(96.0, 56.0);

/// Where things lie in the grid. Only whole cells are visible; x and y of their edges are on pixels.
pub(in crate::window) struct Layout {
    /// The line with the heading.
    pub(in crate::window) heading: Rect,
    /// Above the loads and left of the speeds: the name of the load axis.
    pub(in crate::window) corner: Rect,
    /// The speed breakpoints.
    pub(in crate::window) speeds: Rect,
    /// The load breakpoints.
    pub(in crate::window) loads: Rect,
    /// The visible cells.
    pub(in crate::window) cells: Rect,
    /// The visible speed columns.
    pub(in crate::window) columns: Range<usize>,
    /// The visible rows, counted from the highest load down.
    lines: Range<usize>,
    /// How many columns and rows there are.
    pub(in crate::window) size: (usize, usize),
    xs: Vec<f32>,
    ys: Vec<f32>,
}

impl Layout {
    pub(in crate::window) fn new(ui: &egui::Ui, view: &View<'_>, rect: Rect, scroll: &mut Scroll) -> Self {
        let theme = view.theme;
        let inner = rect.shrink2(vec2(theme.margin, 0.0));
        let sizes = Sizes::of(ui, view);
        let top = rect.top() + HEADING + sizes.strip;
        let left = inner.left() + sizes.side;
        let room = vec2(inner.right() - left, rect.bottom() - theme.gap - top);
        let table = view.table();
        let size = (table.speed().len(), table.load().len());
        let fits = |room: f32, cell: f32, count: usize| cell * count as f32 <= room + 0.01;
        // A bar along one axis takes room from the other.
        let mut shown_room = room;
        if !fits(room.x, sizes.cell.x, size.0) {
            shown_room.y -= THICKNESS;
        }
        if !fits(room.y, sizes.cell.y, size.1) {
            shown_room.x -= THICKNESS;
        }
        let (columns, wide) = visible(shown_room.x, sizes.cell.x, size.0, LARGEST.x);
        let (rows, high) = visible(shown_room.y, sizes.cell.y, size.1, LARGEST.y);
        let (first, first_line) = scroll.place(ui, view, (columns, rows), size);
        let pixels = ui.ctx().pixels_per_point();
        let xs = edges(left, wide, columns, pixels);
        let ys = edges(top, high, rows, pixels);
        let cells = Rect::from_min_max(pos2(xs[0], ys[0]), pos2(xs[columns], ys[rows]));
        Self {
            heading: Rect::from_min_max(inner.left_top(), pos2(inner.right(), rect.top() + HEADING)),
            corner: Rect::from_min_max(pos2(inner.left(), top - sizes.strip), cells.left_top()),
            speeds: Rect::from_min_max(pos2(cells.left(), top - sizes.strip), cells.right_top()),
            loads: Rect::from_min_max(pos2(inner.left(), cells.top()), cells.left_bottom()),
            cells,
            columns: first..first + columns,
            lines: first_line..first_line + rows,
            size,
            xs,
            ys,
        }
    }

    /// How many load rows are visible.
    pub(in crate::window) fn rows(&self) -> usize {
        self.lines.len()
    }

    /// The visible load rows by index, from the top of the grid down.
    pub(in crate::window) fn load_rows(&self) -> impl Iterator<Item = usize> + use<> {
        let last = self.size.1 - 1;
        self.lines.clone().map(move |line| last - line)
    }

    /// The visible cells, row by row from the top.
    pub(in crate::window) fn visible_cells(&self) -> impl Iterator<Item = Cell> + use<> {
        let columns = self.columns.clone();
        self.load_rows().flat_map(move |load| columns.clone().map(move |speed| Cell::new(load, speed)))
    }

    /// The size of a cell, give or take a pixel.
    pub(in crate::window) fn cell_size(&self) -> egui::Vec2 {
        self.cells.size() / vec2(self.columns.len() as f32, self.rows() as f32)
    }

    fn line(&self, load: usize) -> usize {
        self.size.1 - 1 - load
    }

    /// The rectangle of a visible cell.
    pub(in crate::window) fn cell(&self, cell: Cell) -> Option<Rect> {
        let x = self.column(cell.speed)?;
        let y = self.row(cell.load)?;
        Some(Rect::from_x_y_ranges(x, y))
    }

    /// From where to where a visible column reaches.
    pub(in crate::window) fn column(&self, speed: usize) -> Option<egui::Rangef> {
        let at = speed.checked_sub(self.columns.start)?;
        Some(egui::Rangef::new(*self.xs.get(at)?, *self.xs.get(at + 1)?))
    }

    /// From where to where a visible row reaches.
    pub(in crate::window) fn row(&self, load: usize) -> Option<egui::Rangef> {
        let at = self.line(load).checked_sub(self.lines.start)?;
        Some(egui::Rangef::new(*self.ys.get(at)?, *self.ys.get(at + 1)?))
    }

    /// The point at a place in cell coordinates: whole numbers are the middles of cells.
    #[expect(clippy::cast_possible_truncation, reason = "places in a table, at most 63")]
    pub(in crate::window) fn at(&self, (column, row): (f64, f64)) -> Pos2 {
        let size = self.cell_size();
        let line = (self.size.1 - 1) as f32 - row as f32;
        pos2(
            self.cells.left() + (column as f32 + 0.5 - self.columns.start as f32) * size.x,
            self.cells.top() + (line + 0.5 - self.lines.start as f32) * size.y,
        )
    }

    /// The column at an x, or the one just outside on that side.
    pub(in crate::window) fn speed_at(&self, x: f32) -> usize {
        let at = self.xs.partition_point(|&edge| edge <= x);
        (self.columns.start + at).saturating_sub(1).min(self.size.0 - 1)
    }

    /// The row at a y, or the one just outside on that side.
    pub(in crate::window) fn load_at(&self, y: f32) -> usize {
        let at = self.ys.partition_point(|&edge| edge <= y);
        self.size.1 - 1 - (self.lines.start + at).saturating_sub(1).min(self.size.1 - 1)
    }

    /// The cell at a point, or the one just outside on that side.
    pub(in crate::window) fn nearest(&self, at: Pos2) -> Cell {
        Cell::new(self.load_at(at.y), self.speed_at(at.x))
    }

    /// Whether two layouts put the same cells in the same places.
    pub(in crate::window) fn key(&self) -> (Vec<f32>, Vec<f32>, Range<usize>, Range<usize>) {
        (self.xs.clone(), self.ys.clone(), self.columns.clone(), self.lines.clone())
    }

    /// The first visible column and row from the top, and how many of each.
    pub(in crate::window) fn window(&self) -> (Range<usize>, Range<usize>) {
        (self.columns.clone(), self.lines.clone())
    }
}

/// The size of the view at which every cell is seen.
pub(in crate::window) fn whole_size(ui: &egui::Ui, view: &View<'_>) -> egui::Vec2 {
    let sizes = Sizes::of(ui, view);
    let cells = vec2(view.table().speed().len() as f32, view.table().load().len() as f32) * sizes.cell;
    let around = vec2(2.0 * view.theme.margin + sizes.side, HEADING + sizes.strip + view.theme.gap);
    (cells + around).ceil()
}

/// How many cells of at least a size fit, and the size they get.
#[expect(clippy::cast_possible_truncation, reason = "a screen has few cells")]
fn visible(room: f32, least: f32, count: usize, largest: f32) -> (usize, f32) {
    let fit = ((room + 0.01) / least).floor().max(1.0) as usize;
    let shown = fit.min(count).max(1);
    (shown, (room / shown as f32).min(largest).max(least.min(room.max(1.0))))
}

fn edges(from: f32, size: f32, count: usize, pixels: f32) -> Vec<f32> {
    (0..=count).map(|at| ((from + at as f32 * size) * pixels).round() / pixels).collect()
}

/// The least sizes that the numbers need.
struct Sizes {
    cell: egui::Vec2,
    /// Width of the load breakpoints.
    side: f32,
    /// Height of the speed breakpoints.
    strip: f32,
}

impl Sizes {
    fn of(ui: &egui::Ui, view: &View<'_>) -> Self {
        let (theme, table) = (view.theme, view.table());
        let (low, high) = table.extremes();
        let step = view.project.step_deg;
        // Two digits at least, so that nothing jumps when a value passes ten.
        let numbers = [low, high, 88.0].map(|deg| fixed(deg, step_decimals(step)));
        let digits = match view.flashed {
            Some(_) => widest(ui, &theme.digits_font(), table.cells().map(|cell| view.cell_text(cell))),
            None => widest(ui, &theme.digits_font(), numbers),
        };
        let speeds = widest(ui, &theme.small_font(), table.speed().breakpoints().iter().map(|&x| given(x, "rpm")));
        let loads = table.load().breakpoints().iter().map(|&y| given(y, view.project.sensors.load.unit()));
        let loads = widest(ui, &theme.small_font(), loads.chain([load_title(view)]));
        Self {
            cell: vec2(digits.x.max(speeds.x) + PAD, digits_height(theme) + ROOM_ABOVE_AND_BELOW),
            side: loads.x + 2.0 * PAD,
            strip: speeds.y + 2.0 * PAD,
        }
    }
}

/// The height that digits themselves take: they have no descenders.
pub(in crate::window) fn digits_height(theme: &Theme) -> f32 {
    theme.digits * 1.2
}

fn widest(ui: &egui::Ui, font: &FontId, texts: impl IntoIterator<Item = String>) -> egui::Vec2 {
    let painter = ui.painter();
    let size = |text: String| painter.layout_no_wrap(text, font.clone(), egui::Color32::BLACK).size();
    texts.into_iter().map(size).fold(egui::Vec2::ZERO, egui::Vec2::max)
}

/// The name of the load axis.
pub(super) fn load_title(view: &View<'_>) -> String {
    format!("load {}", view.project.sensors.load.unit())
}

/// The widget that has the keyboard while cells are edited, on whichever sheet a table is.
pub fn id() -> egui::Id {
    egui::Id::unique("table of cells")
}
