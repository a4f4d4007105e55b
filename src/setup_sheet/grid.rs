//! The advance table as a grid, tinted and with contours.

mod points;

use std::ops::Range;
use std::sync::Arc;

use super::grid_key::{self, CellSign};
use super::piece::{Piece, around, ink, letters, width};
use super::sizes;
use super::views::LOOK;
use crate::checks::{Finding, Severity, worst_by_cell};
use crate::compare::changed_cells;
use crate::drawing::{
    CellMarks, CellSpace, ColorMap, Ground, HeightScale, Levels, Point, Rect, break_around, joined_lines, nice_step,
    reads_as_minus,
};
use crate::project::{MeasuredPoint, Parts, Project};
use crate::table::{Cell, Selection, Table};
use crate::wording::{Unit, fixed, given_load, step_decimals};

/// The largest width and height of a cell, in points; then its usual and its least height, in type sizes of its
/// digits.
const LARGEST: (f32, f32) = (52.0, 18.0);
const HEIGHT: f32 = 1.95;
const LEAST_HEIGHT: f32 = 1.2;
/// Height of the speeds below the cells, in type sizes.
const HEADS: f32 = 1.6;
const STAGGER: f32 = 1.15;
/// Height of the heading, in points.
const HEADING: f32 = 20.0;
/// Space beside the digits of a cell, in type sizes: a contour passes between two numbers.
const PADDING: f32 = 0.75;

/// Thickness of the lines between cells and breakpoints, and between cells.
const AXIS: f32 = 0.9;
const BETWEEN_CELLS: f32 = 0.4;
/// Width and opacity of contours, of major ones and of the others: lighter than digits.
pub(super) const MAJOR: (f32, u8) = (0.8, 120);
pub(super) const MINOR: (f32, u8) = (0.5, 90);
/// What counts of an outline that digits break: a contour with its width.
const DIGITS_BESIDE: f32 = sizes::CLEAR + MAJOR.0 / 2.0;

/// The largest mark of a cell, how clear of digits and of the cell's sides it stays, and the size of a dot as a share of it.
const LARGEST_MARK: f32 = 4.8;
const MARK_CLEAR: f32 = 0.5;
const MARK_INSET: f32 = 0.5;
pub(super) const DOT: f32 = 0.55;

/// A table with more rows or columns than this has fewer contours, so that they do not hide its digits.
const DENSE: usize = 32;

/// How a table is laid out in a given width and height.
#[derive(Clone, Copy, Debug)]
struct GridLayout {
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
    /// The layout with the fewest bands whose digits are as large as text.
    fn fitting(project: &Project, room: (f32, f32)) -> Self {
        let columns = project.advance.table().speed().len();
        let layouts = (1..=columns).map(|bands| Self::new(project, room, bands));
        let mut fitting = layouts.filter(|layout| layout.digits >= sizes::BODY);
        fitting.next().unwrap_or_else(|| Self::new(project, room, columns))
    }

    /// The largest layout with that many bands, each of which has the whole height.
    #[expect(clippy::cast_precision_loss, reason = "at most 64 rows and columns")]
    fn new(project: &Project, (room_width, room_height): (f32, f32), bands: usize) -> Self {
        let table = project.advance.table();
        let texts = Texts::of(project);
        let band = table.speed().len().div_ceil(bands);
        let (columns, rows) = (band as f32, table.load().len() as f32);
        let head = Texts::widest(&texts.loads) + 1.0;
        let by_width = room_width / (columns * (Texts::widest(&texts.cells) + PADDING) + head);
        let room_height = room_height - HEADING;
        let by_height = room_height / (rows * LEAST_HEIGHT + HEADS + STAGGER);
        let digits = by_width.min(by_height).min(sizes::DIGITS);
        let heads = head * digits;
        let cell_width = ((room_width - heads) / columns).min(LARGEST.0);
        let staggered = (Texts::widest(&texts.speeds) + 0.3) * digits > cell_width;
        let heads_height = if staggered { HEADS + STAGGER } else { HEADS } * digits;
        let cell_height = (digits * HEIGHT).min((room_height - heads_height) / rows).min(LARGEST.1);
        Self { digits, staggered, cell: (cell_width, cell_height), heads, band }
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

/// Which cells have which mark.
pub(super) struct PrintedMarks {
    held: Selection,
    /// Against the base, if there is one.
    changed: Option<Selection>,
    found: Vec<(Cell, Severity)>,
    pub(super) points: Vec<Arc<MeasuredPoint>>,
}

impl PrintedMarks {
    pub(super) fn of(project: &Project, base: Option<&Parts>, findings: &[Finding]) -> Self {
        let same_load = base.filter(|base| base.sensors.load == project.sensors.load);
        Self {
            held: project.advance.held().clone(),
            changed: same_load.map(|base| changed_cells(base.advance.table(), project.advance.table())),
            found: worst_by_cell(findings),
            points: project.evidence.points.clone(),
        }
    }

    /// Whether changes from a base are marked.
    pub(super) const fn has_base(&self) -> bool {
        self.changed.is_some()
    }
}

/// The table as grids, one for each band of its columns: loads upwards, speeds to the right, tinted, with contours and
/// marks, and the key beside the first one if there is room or else below.
pub(super) fn grid(project: &Project, marks: &PrintedMarks, (room, height): (f32, f32)) -> Vec<Piece> {
    let table = project.advance.table();
    let unit = project.sensors.load.unit();
    let (low, high) = table.extremes();
    let is_dense = table.speed().len().max(table.load().len()) > DENSE;
    let heights = HeightScale::over(table);
    let levels = if is_dense { Levels::with_step(low, high, nice_step(high - low, 6)) } else { heights.levels(table) };
    let entries = grid_key::entries(project, marks, (high > low).then_some(&levels));
    let beside = room - grid_key::WIDTH - sizes::GUTTER;
    let narrow = GridLayout::fitting(project, (beside, height));
    let key_height = grid_key::beside(&entries).height;
    let is_beside = narrow.band == table.speed().len() && narrow.y(table.load().len()) >= key_height;
    let layout = if is_beside { narrow } else { GridLayout::fitting(project, (room, height - grid_key::BELOW)) };
    let title = format!("Advance table, ° before TDC, over speed in rpm and load in {unit}");
    let texts = Texts::of(project);
    let mut bands = Vec::new();
    for first in (0..table.speed().len()).step_by(layout.band) {
        let columns = first..(first + layout.band).min(table.speed().len());
        let mut piece = if first == 0 { Piece::headed(&title, room) } else { Piece::continued(&title, room) };
        let top = piece.height;
        let mut band = Band { table, texts: &texts, layout: &layout, columns, top, piece: &mut piece };
        band.tints();
        let digits = band.digits();
        let clear = |digits: &Rect| around(*digits, (DIGITS_BESIDE, DIGITS_BESIDE));
        let mut boxes: Vec<Rect> = [digits.iter().map(clear).collect(), band.marks(marks, &digits)].concat();
        boxes.extend(band.points(marks, &boxes));
        band.contours(&levels, &boxes);
        band.heads(unit);
        let heads = if layout.staggered { HEADS + STAGGER } else { HEADS };
        piece.height = top + layout.y(table.load().len()) + layout.digits * heads;
        bands.push(piece);
    }
    if let (true, Some(first)) = (is_beside, bands.first_mut()) {
        let top = Piece::headed("", room).height;
        first.put(&grid_key::beside(&entries), (room - grid_key::WIDTH, top));
    }
    if let (false, Some(last)) = (is_beside, bands.last_mut()) {
        let below = grid_key::below(&entries, room);
        let y = last.height;
        last.put(&below, (0.0, y));
        last.height += below.height;
    }
    bands
}

/// Some columns of the table, drawn from `top` down.
struct Band<'a> {
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
            self.piece.line((x, self.top), (x, bottom), BETWEEN_CELLS, ink().paper);
        }
        for row in 0..=self.rows() {
            let y = self.top + self.layout.y(row);
            self.piece.line((self.layout.heads, y), (right, y), BETWEEN_CELLS, ink().paper);
        }
    }

    /// Writes the cells; returns what their digits cover.
    fn digits(&mut self) -> Vec<Rect> {
        let size = self.layout.digits;
        let widest = Texts::widest(&self.texts.cells) * size;
        let begun = self.piece.texts.len();
        for cell in self.cells() {
            let (x, y) = self.corner(cell);
            let right = x + self.layout.cell.0 / 2.0 + widest / 2.0;
            let text = self.texts.cells.get(self.table.index(cell)).cloned().unwrap_or_default();
            let middle = y + self.layout.cell.1 / 2.0;
            self.piece.text_to((right, middle - half_line(size)), text, size, ink().ink);
        }
        self.piece.texts.iter().skip(begun).map(letters).collect()
    }

    fn contours(&mut self, levels: &Levels, boxes: &[Rect]) {
        for contour in CellSpace::new(self.table).contours(self.table, levels) {
            let (line_width, alpha) = if contour.major { MAJOR } else { MINOR };
            let mut pieces = Vec::new();
            for pair in contour.points.windows(2) {
                let Some((from, to)) = self.within(pair[0], pair[1]) else { continue };
                let ends = [self.place(from), self.place(to)];
                // Only the boxes nearby can touch it.
                let reach = 2.0 * self.layout.cell.1;
                let (low, high) = (ends[0].y.min(ends[1].y) - reach, ends[0].y.max(ends[1].y) + reach);
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

    /// What the digits of each cell leave room for: [`CellMarks`] says where; returns the boxes of the marks.
    fn marks(&mut self, marks: &PrintedMarks, digits: &[Rect]) -> Vec<Rect> {
        let (width, height) = self.layout.cell;
        let mut boxes = Vec::new();
        for (cell, digits) in self.cells().into_iter().zip(digits) {
            let (x, y) = self.corner(cell);
            let (left, top) = (x + BETWEEN_CELLS / 2.0, y + BETWEEN_CELLS / 2.0);
            let whole = Rect { left, top, width: width - BETWEEN_CELLS, height: height - BETWEEN_CELLS };
            let places = CellMarks { cell: whole, digits: around(*digits, (MARK_CLEAR, MARK_CLEAR)) };
            let found_at = places.found(LARGEST_MARK, MARK_INSET);
            let found = marks.found.binary_search_by_key(&cell, |(cell, _)| *cell).ok();
            let found = found.and_then(|at| marks.found.get(at)).map(|(_, severity)| CellSign::Found(*severity));
            let [corner, across, _] = places.held(LARGEST_MARK);
            let at = |left: f32, top: f32, side: f32| Rect { left, top, width: side, height: side };
            // As large beside the others as in the key.
            let radius = found_at.width * DOT / 2.0;
            let dot = places.changed(radius, LARGEST_MARK + MARK_INSET, MARK_INSET);
            let is_changed = marks.changed.as_ref().is_some_and(|changed| changed.contains(cell));
            let signs = [
                marks.held.contains(cell).then(|| (CellSign::Corner, at(corner.x, corner.y, across.x - corner.x))),
                is_changed.then(|| (CellSign::Dot, at(dot.x - radius, dot.y - radius, 2.0 * radius))),
                found.map(|sign| (sign, found_at)),
            ];
            for (sign, rect) in signs.into_iter().flatten() {
                self.piece.scene.shapes.extend(sign.shapes(rect, ink().ink));
                boxes.push(around(rect, (1.0, 1.0)));
            }
        }
        boxes
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
        let below = self.top + self.layout.y(self.rows()) + 1.2;
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

/// Half the height of a line of text.
fn half_line(size: f32) -> f32 {
    size * (crate::lettering::ASCENT + crate::lettering::DESCENT) / 2.0
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::checks::run;
    use crate::drawing::Shape;
    use crate::picture::Lettering;
    use crate::project::{LoadKind, NewProject, SAMPLES};

    const ROOM: (f32, f32) = (523.0, 750.0);

    fn bands(project: &Project) -> Vec<Piece> {
        let base = project.snapshots.last().map(|base| base.state.clone());
        grid(project, &PrintedMarks::of(project, base.as_deref(), &run(project)), ROOM)
    }

    /// The samples, and tables of other shapes.
    fn projects() -> Vec<Project> {
        let new = |speeds, loads| {
            NewProject { name: "trial".into(), cylinders: 4, load: LoadKind::Pressure, speeds, loads }.create().unwrap()
        };
        SAMPLES.iter().map(|sample| sample.project().unwrap()).chain([new(8, 8), new(30, 20), new(12, 64)]).collect()
    }

    fn is_number(text: &&Lettering) -> bool {
        text.text.starts_with(|c: char| c.is_ascii_digit() || c == '−')
    }

    /// The least distance between a segment and a rectangle, near enough: at points a twentieth of a point apart.
    fn distance(from: Point, to: Point, rect: &Rect) -> f32 {
        #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "no longer than a page, in points")]
        let steps = 20 * (from.distance(to).ceil().max(1.0) as u16);
        let off = |at: Point| {
            let x = (rect.left - at.x).max(at.x - rect.left - rect.width).max(0.0);
            x.hypot((rect.top - at.y).max(at.y - rect.top - rect.height).max(0.0))
        };
        (0..=steps).map(|k| off(from.lerp(to, f32::from(k) / f32::from(steps)))).fold(f32::MAX, f32::min)
    }

    #[test]
    fn contours_are_lighter_than_digits_and_clear_of_all_of_them() {
        for project in projects() {
            let mut lines = 0;
            for piece in bands(&project) {
                let digits: Vec<Rect> = piece.texts.iter().filter(is_number).map(letters).collect();
                for shape in &piece.scene.shapes {
                    let Shape::Line { from, to, width, color } = *shape else { continue };
                    if color.a == 255 {
                        continue;
                    }
                    lines += 1;
                    assert!(color.over(ink().paper).luminance() > ink().ink.luminance() + 0.2, "{color:?}");
                    let near = digits.iter().filter(|rect| rect.center().distance(from) < 60.0);
                    let clear = near.map(|rect| distance(from, to, rect) - width / 2.0).fold(f32::MAX, f32::min);
                    assert!(clear >= sizes::CLEAR - 0.01, "{}: {clear} at {from:?}", project.name);
                }
            }
            assert!(lines > 20, "{}: {lines}", project.name);
        }
    }

    /// The corners of all signs in a piece, which are all that is filled with ink.
    fn inked(piece: &Piece) -> Vec<Rect> {
        let of = |shape: &Shape| match *shape {
            Shape::Triangle { at, colors } if colors[0] == ink().ink => {
                let (xs, ys) = (at.map(|at| at.x), at.map(|at| at.y));
                let low = |values: [f32; 3]| values.into_iter().fold(f32::MAX, f32::min);
                let high = |values: [f32; 3]| values.into_iter().fold(f32::MIN, f32::max);
                let (left, top) = (low(xs), low(ys));
                Some(Rect { left, top, width: high(xs) - left, height: high(ys) - top })
            }
            Shape::Dot { at, radius, outline_width, .. } => {
                let reach = radius + outline_width / 2.0;
                Some(Rect { left: at.x - reach, top: at.y - reach, width: 2.0 * reach, height: 2.0 * reach })
            }
            _ => None,
        };
        piece.scene.shapes.iter().filter_map(of).collect()
    }

    #[test]
    fn marks_stand_beside_digits_never_upon_them() {
        for project in projects() {
            for piece in bands(&project) {
                for text in &piece.texts {
                    let letters = letters(text);
                    for mark in inked(&piece) {
                        let across = mark.left < letters.left + letters.width && letters.left < mark.left + mark.width;
                        let down = mark.top < letters.top + letters.height && letters.top < mark.top + mark.height;
                        assert!(!(across && down), "{}: '{}' {letters:?} {mark:?}", project.name, text.text);
                    }
                }
            }
        }
    }

    /// One sample is untidy on purpose.
    #[test]
    fn every_mark_of_the_window_is_in_the_grid() {
        let project = SAMPLES[3].project().unwrap();
        let base = project.snapshots.last().unwrap();
        let findings = run(&project);
        let marks = PrintedMarks::of(&project, Some(&base.state), &findings);
        let changed = marks.changed.as_ref().map_or(0, Selection::count);
        let warnings = marks.found.iter().filter(|(_, severity)| *severity == Severity::Warning).count();
        assert!(changed > 0 && warnings > 0 && marks.held.count() > 0);
        let piece = &bands(&project)[0];
        // Each is once more in the key.
        // A dot of the ground is the inside of a ring.
        let is_dot =
            |shape: &&Shape| matches!(shape, Shape::Dot { outline_width: 0.0, fill, .. } if *fill == ink().ink);
        let dots = piece.scene.shapes.iter().filter(is_dot);
        assert_eq!(dots.count(), changed + 1);
        let triangles = piece
            .scene
            .shapes
            .iter()
            .filter(|shape| matches!(shape, Shape::Triangle { colors, .. } if colors[0] == ink().ink));
        // Six for an octagon, which only the key has here, and one for a triangle and for a corner.
        assert_eq!(triangles.count(), warnings + 1 + 6 + marks.held.count() + 1);
    }

    /// As in the window: a filled corner at the upper left, a dot right of it, what was found at the upper right.
    #[test]
    fn marks_have_the_places_of_the_window() {
        let project = SAMPLES[3].project().unwrap();
        let base = project.snapshots.last().unwrap();
        let marks = PrintedMarks::of(&project, Some(&base.state), &run(&project));
        let layout = GridLayout::fitting(&project, ROOM);
        let texts = Texts::of(&project);
        let (mut piece, table) = (Piece::default(), project.advance.table());
        let columns = 0..layout.band;
        let mut band = Band { table, texts: &texts, layout: &layout, columns, top: 0.0, piece: &mut piece };
        let (cells, digits) = (band.cells(), band.digits());
        let middles: Vec<Point> = cells.iter().map(|&cell| band.corner(cell)).map(|(x, y)| Point::new(x, y)).collect();
        let mut seen = [0; 3];
        let drawn = band.marks(&marks, &digits);
        let mut drawn = drawn.iter().map(Rect::center);
        for (cell, corner) in cells.iter().zip(middles) {
            let share = |at: Point| ((at.x - corner.x) / layout.cell.0, (at.y - corner.y) / layout.cell.1);
            let is_found = marks.found.iter().any(|(found, _)| found == cell);
            let has = [marks.held.contains(*cell), marks.changed.as_ref().unwrap().contains(*cell), is_found];
            for (place, _) in has.into_iter().enumerate().filter(|(_, has)| *has) {
                seen[place] += 1;
                let (across, down) = share(drawn.next().unwrap());
                assert!(down < 0.5, "{place}: {down}");
                assert_eq!(across > 0.5, place == 2, "{place}: {across}");
            }
        }
        assert!(drawn.next().is_none() && seen.iter().all(|count| *count > 0), "{seen:?}");
    }

    #[test]
    fn digits_are_as_large_as_text() {
        for project in projects() {
            for text in bands(&project).iter().flat_map(|piece| &piece.texts) {
                assert!(text.size >= sizes::BODY, "{}: '{}' {}", project.name, text.text, text.size);
            }
        }
    }
}
