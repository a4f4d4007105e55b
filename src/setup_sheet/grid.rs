//! The advance table as a grid, tinted and with contours.

use std::ops::Range;

use super::piece::{Piece, ink, width};
use super::sizes;
use super::views::LOOK;
use crate::checks::{Severity, run, worst_by_cell};
use crate::drawing::{
    CellMarks, CellSpace, ColorMap, Ground, HeightScale, Levels, Point, Rect, Shape, break_around, joined_lines,
    nice_step, reads_as_minus,
};
use crate::project::Project;
use crate::table::{Cell, Table};
use crate::wording::{Unit, fixed, given_load, step_decimals, with_unit, written};

/// The largest width and height of a cell, in points; then its usual and its least height, in type sizes of its
/// digits.
const LARGEST: (f32, f32) = (62.0, 18.0);
const HEIGHT: f32 = 1.75;
const LEAST_HEIGHT: f32 = 1.2;
/// Height of the speeds below the cells, in type sizes.
const HEADS: f32 = 2.3;
const STAGGER: f32 = 1.15;
/// Height of the heading and of the key, in points.
const OTHER_HEIGHT: f32 = 32.0;
/// Space beside the digits of a cell, in type sizes.
const PADDING: f32 = 0.26;

/// Side of the mark of a finding, in type sizes.
const FOUND: f32 = 0.7;

/// Thickness of the lines between cells and breakpoints.
const AXIS: f32 = 0.9;

/// A table with more rows or columns than this has fewer contours, so that they do not hide its digits.
const DENSE: usize = 32;

/// How a table is laid out in a given width and height.
#[derive(Clone, Copy, Debug)]
pub(super) struct GridLayout {
    digits: f32,
    /// Whether the speeds are wider than the cells, so that they alternate between two lines.
    staggered: bool,
    cell: (f32, f32),
    heads: f32,
    /// How many columns are next to each other; the rest continues in a band below.
    band: usize,
}

/// Texts of a table: its cells with the decimals of the step, and its axes.
struct Texts {
    cells: Vec<String>,
    speeds: Vec<String>,
    loads: Vec<String>,
}

impl Texts {
    fn of(project: &Project) -> Self {
        let table = project.advance.table();
        let decimals = step_decimals(project.step_deg);
        let axis = |breakpoints: &[f64]| breakpoints.iter().map(|&at| given_load(at)).collect();
        Self {
            cells: table.values().iter().map(|&deg| fixed(deg, decimals)).collect(),
            speeds: axis(table.speed().breakpoints()),
            loads: axis(table.load().breakpoints()),
        }
    }

    /// The widest of some texts, in ems.
    fn widest(texts: &[String]) -> f32 {
        texts.iter().map(|text| width(text, 1.0)).fold(0.0, f32::max)
    }
}

impl GridLayout {
    /// The largest layout that fits with that many bands, one below the other.
    #[expect(clippy::cast_precision_loss, reason = "at most 64 rows and columns")]
    pub(super) fn new(project: &Project, (room_width, room_height): (f32, f32), bands: usize) -> Self {
        let table = project.advance.table();
        let texts = Texts::of(project);
        let band = table.speed().len().div_ceil(bands);
        let (columns, rows) = (band as f32, table.load().len() as f32);
        let head = Texts::widest(&texts.loads) + 1.2;
        let by_width = room_width / (columns * (Texts::widest(&texts.cells) + PADDING) + head);
        let room_height = (room_height - OTHER_HEIGHT) / bands as f32;
        let by_height = room_height / (rows * LEAST_HEIGHT + HEADS + STAGGER);
        let digits = by_width.min(by_height).min(sizes::DIGITS.0);
        let heads = head * digits;
        let cell_width = ((room_width - heads) / columns).min(LARGEST.0);
        let staggered = (Texts::widest(&texts.speeds) + PADDING) * digits > cell_width;
        let heads_height = if staggered { HEADS + STAGGER } else { HEADS } * digits;
        let cell_height = (digits * HEIGHT).min((room_height - heads_height) / rows).min(LARGEST.1);
        Self { digits, staggered, cell: (cell_width, cell_height), heads, band }
    }

    /// The type size of its digits.
    pub(super) fn digits(&self) -> f32 {
        self.digits
    }

    /// Whether its digits are nearly as large as running text.
    pub(super) fn is_comfortable(&self) -> bool {
        self.digits >= sizes::DIGITS.1
    }

    #[expect(clippy::cast_precision_loss, reason = "at most 64")]
    fn x(&self, column: usize) -> f32 {
        self.heads + column as f32 * self.cell.0
    }

    /// Distance down to the upper edge of a row counted from the top.
    #[expect(clippy::cast_precision_loss, reason = "at most 64")]
    fn y(&self, from_top: usize) -> f32 {
        from_top as f32 * self.cell.1
    }
}

/// The table as a grid: loads upwards, speeds to the right, tinted, with contours, and held cells marked.
pub(super) fn grid(project: &Project, layout: &GridLayout, room: f32) -> Piece {
    let table = project.advance.table();
    let unit = project.sensors.load.unit();
    let (low, high) = table.extremes();
    let is_dense = table.speed().len().max(table.load().len()) > DENSE;
    let heights = HeightScale::over(table);
    let levels = if is_dense { Levels::with_step(low, high, nice_step(high - low, 6)) } else { heights.levels(table) };
    let title = format!("Advance table, ° before TDC, over speed in rpm and load in {unit}");
    let mut piece = Piece::headed(&title, room);
    let found = worst_by_cell(&run(project));
    let texts = Texts::of(project);
    for first in (0..table.speed().len()).step_by(layout.band) {
        let columns = first..(first + layout.band).min(table.speed().len());
        let top = piece.height;
        let mut band = Band { project, table, texts: &texts, layout, columns, top, piece: &mut piece };
        band.tints();
        let boxes = band.digits();
        band.contours(&levels, &boxes);
        band.marks(&boxes, &found);
        band.heads(unit);
        let heads = if layout.staggered { HEADS + STAGGER } else { HEADS };
        piece.height = top + layout.y(table.load().len()) + layout.digits * heads;
    }
    let held = project.advance.held().count();
    let held =
        if held == 0 { String::new() } else { " A corner mark: held, so that no shaping tool moves the cell.".into() };
    let held = format!("{held}{}", found_words(&found));
    let key = if high > low {
        format!(
            "Lines join equal advance, every {}, strong every {}.{held}",
            with_unit(&written(levels.step), Unit::Degree),
            with_unit(&written(levels.major_step()), Unit::Degree)
        )
    } else {
        format!("Every cell is the same.{held}")
    };
    piece.paragraph(&key, room, sizes::SMALL, ink().ink_secondary);
    piece
}

/// Some columns of the table, drawn from `top` down.
struct Band<'a> {
    project: &'a Project,
    table: &'a Table,
    texts: &'a Texts,
    layout: &'a GridLayout,
    columns: Range<usize>,
    top: f32,
    piece: &'a mut Piece,
}

impl Band<'_> {
    fn rows(&self) -> usize {
        self.table.load().len()
    }

    /// The upper left corner of a cell of the band.
    fn corner(&self, cell: Cell) -> (f32, f32) {
        let row = self.rows() - 1 - cell.load;
        (self.layout.x(cell.speed - self.columns.start), self.top + self.layout.y(row))
    }

    /// The cells from the highest load down, in reading order.
    fn cells(&self) -> Vec<Cell> {
        let loads = (0..self.rows()).rev();
        loads.flat_map(|load| self.columns.clone().map(move |speed| Cell::new(load, speed))).collect()
    }

    fn tints(&mut self) {
        let map = ColorMap::new(LOOK, Ground::Grid);
        let heights = HeightScale::over(self.table);
        for cell in self.cells() {
            let color = map.sequential(heights.share(self.table.at(cell)));
            self.piece.bar(self.corner(cell), self.layout.cell, color);
        }
        let (right, bottom) = (self.layout.x(self.columns.len()), self.top + self.layout.y(self.rows()));
        for column in 0..=self.columns.len() {
            let x = self.layout.x(column);
            self.piece.line((x, self.top), (x, bottom), 0.4, ink().paper);
        }
        for row in 0..=self.rows() {
            let y = self.top + self.layout.y(row);
            self.piece.line((self.layout.heads, y), (right, y), 0.4, ink().paper);
        }
    }

    /// Writes the cells; returns the boxes of their digits.
    fn digits(&mut self) -> Vec<Rect> {
        let size = self.layout.digits;
        let widest = Texts::widest(&self.texts.cells) * size;
        let mut boxes = Vec::new();
        for cell in self.cells() {
            let (x, y) = self.corner(cell);
            let right = x + self.layout.cell.0 / 2.0 + widest / 2.0;
            let text = self.texts.cells.get(self.table.index(cell)).cloned().unwrap_or_default();
            let own = width(&text, size);
            let middle = y + self.layout.cell.1 / 2.0;
            self.piece.text_to((right, middle - half_line(size)), text, size, ink().ink);
            let height = size * 0.86;
            boxes.push(Rect { left: right - own - 1.2, top: middle - height / 2.0, width: own + 2.4, height });
        }
        boxes
    }

    fn contours(&mut self, levels: &Levels, boxes: &[Rect]) {
        for contour in CellSpace::new(self.table).contours(self.table, levels) {
            let (line_width, alpha) = if contour.major { (0.8, 150) } else { (0.45, 120) };
            let mut pieces = Vec::new();
            for pair in contour.points.windows(2) {
                let Some((from, to)) = self.within(pair[0], pair[1]) else { continue };
                let ends = [self.place(from), self.place(to)];
                // Only the boxes nearby can touch it.
                let (low, high) = (ends[0].y.min(ends[1].y) - 12.0, ends[0].y.max(ends[1].y) + 12.0);
                let near: Vec<Rect> = boxes.iter().filter(|near| (low..=high).contains(&near.top)).copied().collect();
                break_around(&ends, &near, &mut pieces);
            }
            let lines = joined_lines(&pieces).into_iter();
            for line in lines.filter(|line| !reads_as_minus(line, 1.3 * self.layout.digits)) {
                for pair in line.windows(2) {
                    let (from, to) = ((pair[0].x, pair[0].y), (pair[1].x, pair[1].y));
                    self.piece.line(from, to, line_width, ink().ink.with_alpha(alpha));
                }
            }
        }
    }

    /// The part of a segment, in cell coordinates, that lies within the band.
    #[expect(clippy::cast_precision_loss, reason = "at most 64")]
    fn within(&self, from: (f64, f64), to: (f64, f64)) -> Option<((f64, f64), (f64, f64))> {
        let (low, high) = (self.columns.start as f64 - 0.5, self.columns.end as f64 - 0.5);
        let at = |column: f64| {
            let share = if to.0 == from.0 { 0.0 } else { (column.clamp(low, high) - from.0) / (to.0 - from.0) };
            (column.clamp(low, high), from.1 + (to.1 - from.1) * share)
        };
        if from.0.max(to.0) < low || from.0.min(to.0) > high {
            return None;
        }
        if from.0 == to.0 { Some((from, to)) } else { Some((at(from.0), at(to.0))) }
    }

    fn place(&self, (column, row): (f64, f64)) -> Point {
        #[expect(clippy::cast_possible_truncation, reason = "at most 63")]
        let (column, row) = (column as f32, row as f32);
        #[expect(clippy::cast_precision_loss, reason = "at most 64")]
        let (first, rows) = (self.columns.start as f32, self.rows() as f32);
        let (width, height) = self.layout.cell;
        Point::new(self.layout.heads + (column - first + 0.5) * width, self.top + (rows - 0.5 - row) * height)
    }

    /// A corner at the upper left of each held cell, and the shape of what was found at the upper right.
    fn marks(&mut self, boxes: &[Rect], found: &[(Cell, Severity)]) {
        let side = (self.layout.digits * 0.42).min(self.layout.cell.1 * 0.32);
        let held = self.project.advance.held();
        for (cell, &digits) in self.cells().into_iter().zip(boxes) {
            let ((left, top), (width, height)) = (self.corner(cell), self.layout.cell);
            let (left, top, width, height) = (left + 0.5, top + 0.5, width - 1.0, height - 1.0);
            let marks = CellMarks { cell: Rect { left, top, width, height }, digits };
            if held.contains(cell) {
                let at = marks.held(side);
                self.piece.scene.shapes.push(Shape::Triangle { at, colors: [ink().ink; 3] });
            }
            if let Ok(at) = found.binary_search_by_key(&cell, |(cell, _)| *cell) {
                let (shape, place) = (found[at].1.shape(), marks.found(FOUND * self.layout.digits, 0.0));
                shape.draw(&place, shape.ink(ink()), ink().paper, 0.0, &mut self.piece.scene);
            }
        }
    }

    /// The lines between cells and breakpoints.
    fn axes(&mut self) {
        let (left, bottom) = (self.layout.heads, self.top + self.layout.y(self.rows()));
        let right = self.layout.x(self.columns.len());
        self.piece.line((left, self.top), (left, bottom), AXIS, ink().ink);
        self.piece.line((left - AXIS / 2.0, bottom), (right, bottom), AXIS, ink().ink);
    }

    fn heads(&mut self, unit: Unit) {
        let (size, color) = (self.layout.digits, ink().ink);
        self.axes();
        let right = self.layout.heads - 0.6 * size;
        for (load, text) in self.texts.loads.iter().enumerate() {
            let (_, y) = self.corner(Cell::new(load, self.columns.start));
            let y = y + self.layout.cell.1 / 2.0 - half_line(size);
            self.piece.text_to((right, y), text.clone(), size, color);
        }
        let below = self.top + self.layout.y(self.rows()) + 1.5;
        let widest = Texts::widest(&self.texts.speeds) * size;
        let lines = if self.layout.staggered { 2 } else { 1 };
        // Line by line, in reading order.
        for line in 0..lines {
            #[expect(clippy::cast_precision_loss, reason = "0 or 1")]
            let y = below + line as f32 * STAGGER * size;
            for speed in self.columns.clone().skip(line).step_by(lines) {
                let x = self.layout.x(speed - self.columns.start) + self.layout.cell.0 / 2.0 + widest / 2.0;
                let text = self.texts.speeds.get(speed).cloned().unwrap_or_default();
                self.piece.text_to((x, y), text, size, color);
            }
        }
        self.piece.text_to((right, below), unit.text().to_owned(), size, color);
    }
}

/// What the shapes of findings mean, those that occur.
fn found_words(found: &[(Cell, Severity)]) -> String {
    let words = |severity: &Severity| match severity {
        Severity::Error => "an octagon an error",
        Severity::Warning => "a triangle a warning",
        Severity::Note => "a ring a note",
    };
    let occurring = Severity::ALL.iter().filter(|severity| found.iter().any(|(_, other)| other == *severity));
    let parts: Vec<&str> = occurring.map(words).collect();
    if parts.is_empty() { String::new() } else { format!(" Of the checks: {}.", parts.join(", ")) }
}

/// Half the height of a line of text.
fn half_line(size: f32) -> f32 {
    size * (crate::lettering::ASCENT + crate::lettering::DESCENT) / 2.0
}
