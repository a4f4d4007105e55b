//! Positions: breakpoints, and the cells that are visible.

use std::ops::Range;

use eframe::egui::{self, FontId, Pos2, Rect, Vec2, pos2, vec2};

use super::spec::{Contents, Spec};
use crate::table::Cell;

/// The sizes that the numbers need.
pub struct Measures {
    /// The least cell.
    cell: Vec2,
    /// The cell for digits of the theme's size.
    usual: Vec2,
    /// Width of the widest number for each point of its size, and what stands beside it.
    number: f32,
    beside_number: f32,
    /// Width of the load breakpoints.
    side: f32,
    /// Height of the speed breakpoints.
    strip: f32,
}

impl Measures {
    /// What these contents need.
    pub fn new(ui: &egui::Ui, spec: &Spec<'_>, contents: &dyn Contents) -> Self {
        let (theme, sizes) = (spec.theme, &spec.theme.grid);
        let (speeds, loads) = (&spec.speeds, &spec.loads);
        let (least, most) = sizes.digits;
        let number = widest(ui, &theme.digits_font_of(least), contents.widest()).x / least;
        let above =
            |digits: f32| widest(ui, &theme.breakpoints_font(digits), (0..speeds.at.len()).map(|at| speeds.text(at)));
        let beside = widest(ui, &theme.breakpoints_font(most), (0..loads.at.len()).map(|at| loads.text(at)));
        let title = widest(ui, &theme.small_font(), [loads.title()]);
        let beside_number = contents.beside_number();
        let cell = |digits: f32| {
            let width = (number * digits + beside_number).max(above(digits).x) + sizes.pad;
            vec2(width, sizes.digits_height * digits + sizes.above_and_below)
        };
        Self {
            cell: cell(least),
            usual: cell(theme.digits),
            number,
            beside_number,
            side: beside.x.max(title.x) + 2.0 * sizes.pad,
            strip: above(most).y + 2.0 * sizes.pad,
        }
    }

    /// The size at which every row and column is visible, with digits of the theme's size.
    pub fn whole_size(&self, spec: &Spec<'_>) -> Vec2 {
        self.size_of(spec, self.usual)
    }

    /// The same with the least digits.
    pub fn least_size(&self, spec: &Spec<'_>) -> Vec2 {
        self.size_of(spec, self.cell)
    }

    /// The size with cells of this size, or of the least where that is larger.
    pub fn size_of(&self, spec: &Spec<'_>, cell: Vec2) -> Vec2 {
        let (columns, rows) = spec.size();
        vec2(columns as f32, rows as f32) * cell.max(self.cell) + vec2(self.side, self.strip)
    }

    /// The size of digits in cells of a size: they grow with what the cells have beyond their need, but the theme's size
    /// comes before air.
    fn digits(&self, spec: &Spec<'_>, cell: Vec2) -> f32 {
        let sizes = &spec.theme.grid;
        let (least, most) = sizes.digits;
        let grown = least + ((cell - self.cell) * sizes.growth).min_elem();
        let fits = ((cell.x - sizes.pad - self.beside_number) / self.number.max(f32::EPSILON))
            .min((cell.y - sizes.above_and_below) / sizes.digits_height);
        // In halves of a point, so that digits change their size in few steps.
        let size = grown.max(spec.theme.digits.min(fits));
        ((size * 2.0).floor() / 2.0).clamp(least, most)
    }

    /// The distance from the left edge of the grid to its cells.
    pub fn side(&self) -> f32 {
        self.side
    }
}

/// The positions of everything in the grid. Only whole cells are visible; their edges are on pixels.
pub struct Layout {
    /// Above the loads and to the left of the speeds: the name of the load axis.
    pub corner: Rect,
    /// The speed breakpoints.
    pub speeds: Rect,
    /// The load breakpoints.
    pub loads: Rect,
    /// The visible cells.
    pub cells: Rect,
    /// The visible speed columns.
    pub columns: Range<usize>,
    /// The visible rows, counted from the highest load down.
    lines: Range<usize>,
    /// How many columns and rows there are.
    pub size: (usize, usize),
    /// The size of the digits.
    pub digits: f32,
    xs: Vec<f32>,
    ys: Vec<f32>,
}

impl Layout {
    /// Lays a grid out in an area; `first` gives the first visible column and row, from how many are visible
    /// and how many there are.
    pub fn new(
        ui: &egui::Ui,
        spec: &Spec<'_>,
        measures: &Measures,
        area: Rect,
        first: impl FnOnce((usize, usize), (usize, usize)) -> (usize, usize),
    ) -> Self {
        let sizes = &spec.theme.grid;
        let size = spec.size();
        let corner = area.min + vec2(measures.side, measures.strip);
        let room = area.max - corner;
        let fits = |room: f32, cell: f32, count: usize| cell * count as f32 <= room + 0.01;
        // A scroll bar along one axis takes room from the other.
        let mut shown_room = room;
        if !fits(room.x, measures.cell.x, size.0) {
            shown_room.y -= sizes.bar;
        }
        if !fits(room.y, measures.cell.y, size.1) {
            shown_room.x -= sizes.bar;
        }
        let (columns, wide) = visible(shown_room.x, measures.cell.x, size.0, sizes.largest_cell.x);
        let (rows, high) = visible(shown_room.y, measures.cell.y, size.1, sizes.largest_cell.y);
        let (first, first_line) = first((columns, rows), size);
        let pixels = ui.ctx().pixels_per_point();
        let xs = edges(corner.x, wide, columns, pixels);
        let ys = edges(corner.y, high, rows, pixels);
        let cells = Rect::from_min_max(pos2(xs[0], ys[0]), pos2(xs[columns], ys[rows]));
        Self {
            corner: Rect::from_min_max(area.min, cells.left_top()),
            speeds: Rect::from_min_max(pos2(cells.left(), area.top()), cells.right_top()),
            loads: Rect::from_min_max(pos2(area.left(), cells.top()), cells.left_bottom()),
            cells,
            columns: first..first + columns,
            lines: first_line..first_line + rows,
            size,
            digits: measures.digits(spec, vec2(wide, high)),
            xs,
            ys,
        }
    }

    /// How many load rows are visible.
    pub fn rows(&self) -> usize {
        self.lines.len()
    }

    /// The visible load rows by index, from the top of the grid down.
    pub fn load_rows(&self) -> impl Iterator<Item = usize> + use<> {
        let last = self.size.1 - 1;
        self.lines.clone().map(move |line| last - line)
    }

    /// The visible cells, row by row from the top.
    pub fn visible_cells(&self) -> impl Iterator<Item = Cell> + use<> {
        let columns = self.columns.clone();
        self.load_rows().flat_map(move |load| columns.clone().map(move |speed| Cell::new(load, speed)))
    }

    /// The size of a cell, to within a pixel.
    pub fn cell_size(&self) -> Vec2 {
        self.cells.size() / vec2(self.columns.len() as f32, self.rows() as f32)
    }

    fn line(&self, load: usize) -> usize {
        self.size.1 - 1 - load
    }

    /// The rectangle of a visible cell.
    pub fn cell(&self, cell: Cell) -> Option<Rect> {
        let x = self.column(cell.speed)?;
        let y = self.row(cell.load)?;
        Some(Rect::from_x_y_ranges(x, y))
    }

    /// The extent of a visible column.
    pub fn column(&self, speed: usize) -> Option<egui::Rangef> {
        let at = speed.checked_sub(self.columns.start)?;
        Some(egui::Rangef::new(*self.xs.get(at)?, *self.xs.get(at + 1)?))
    }

    /// The extent of a visible row.
    pub fn row(&self, load: usize) -> Option<egui::Rangef> {
        let at = self.line(load).checked_sub(self.lines.start)?;
        Some(egui::Rangef::new(*self.ys.get(at)?, *self.ys.get(at + 1)?))
    }

    /// The point for cell coordinates: whole numbers are the centres of cells.
    #[expect(clippy::cast_possible_truncation, reason = "places in a table, at most 63")]
    pub fn at(&self, (column, row): (f64, f64)) -> Pos2 {
        let size = self.cell_size();
        let line = (self.size.1 - 1) as f32 - row as f32;
        pos2(
            self.cells.left() + (column as f32 + 0.5 - self.columns.start as f32) * size.x,
            self.cells.top() + (line + 0.5 - self.lines.start as f32) * size.y,
        )
    }

    /// The column at an x, or the one just outside on that side.
    pub fn speed_at(&self, x: f32) -> usize {
        let at = self.xs.partition_point(|&edge| edge <= x);
        (self.columns.start + at).saturating_sub(1).min(self.size.0 - 1)
    }

    /// The row at a y, or the one just outside on that side.
    pub fn load_at(&self, y: f32) -> usize {
        let at = self.ys.partition_point(|&edge| edge <= y);
        self.size.1 - 1 - (self.lines.start + at).saturating_sub(1).min(self.size.1 - 1)
    }

    /// The cell at a point, or the one just outside on that side.
    pub fn nearest(&self, at: Pos2) -> Cell {
        Cell::new(self.load_at(at.y), self.speed_at(at.x))
    }

    /// What identifies a layout: two with the same key have the same cells in the same positions.
    pub fn key(&self) -> (Vec<f32>, Vec<f32>, Range<usize>, Range<usize>) {
        (self.xs.clone(), self.ys.clone(), self.columns.clone(), self.lines.clone())
    }

    /// The first visible column and row from the top, and how many of each.
    pub fn window(&self) -> (Range<usize>, Range<usize>) {
        (self.columns.clone(), self.lines.clone())
    }
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

fn widest(ui: &egui::Ui, font: &FontId, texts: impl IntoIterator<Item = String>) -> Vec2 {
    let painter = ui.painter();
    let size = |text: String| painter.layout_no_wrap(text, font.clone(), egui::Color32::BLACK).size();
    texts.into_iter().map(size).fold(Vec2::ZERO, Vec2::max)
}
