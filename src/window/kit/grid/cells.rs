//! The cells themselves: backgrounds, lines between them, numbers.

use std::collections::HashMap;
use std::ops::Range;
use std::sync::Arc;

use eframe::egui::text::{LayoutJob, TextFormat};
use eframe::egui::{self, Color32, FontId, Galley, Mesh, Painter, Pos2, Rangef, Rect, Shape, pos2, vec2};

use super::layout::Layout;
use super::spec::{Contents, Spec, Text};
use crate::table::Cell;
use crate::window::kit::marks::nil;
use crate::window::kit::theme::kit_sizes::{DIGITS_AIR, FOUND_MARK, HAIRLINE};
use crate::window::kit::theme::{Theme, color, strong_font};

/// How a text is aligned in its cell.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Stands {
    Upright,
    Faint,
    Slanted,
    InTheMiddle,
}

/// Which cells are visible, and where.
type Place = (Vec<f32>, Vec<f32>, Range<usize>, Range<usize>);

/// The painted cells, kept as long as nothing they depend on changes.
#[derive(Default)]
pub(super) struct Painted {
    place: Option<Place>,
    below: Vec<Shape>,
    above: Vec<Shape>,
    marks: Vec<Shape>,
    /// The distinct texts.
    texts: Vec<String>,
    /// For each visible cell, the index of its text and how it is aligned, if it has one.
    text_of: Vec<Option<(usize, Stands)>>,
}

impl Painted {
    /// Paints the cells.
    pub(super) fn paint(
        &mut self,
        ui: &egui::Ui,
        spec: &Spec<'_>,
        layout: &Layout,
        contents: &dyn Contents,
        is_fresh: bool,
    ) {
        let painter = ui.painter().with_clip_rect(layout.cells.intersect(ui.clip_rect()));
        let place = layout.key();
        if is_fresh || self.place.as_ref() != Some(&place) {
            self.build(&painter, spec, layout, contents);
            self.place = Some(place);
        }
        painter.extend(self.below.iter().cloned());
        self.paint_texts(&painter, spec, layout);
        painter.extend(self.above.iter().cloned());
    }

    /// Paints the marks, over whatever is drawn upon the cells; those of the first row may reach above it.
    pub(super) fn paint_marks(&self, ui: &egui::Ui, layout: &Layout) {
        let cells = layout.cells.with_min_y(layout.cells.top() - FOUND_MARK);
        ui.painter().with_clip_rect(cells.intersect(ui.clip_rect())).extend(self.marks.iter().cloned());
    }

    fn build(&mut self, painter: &Painter, spec: &Spec<'_>, layout: &Layout, contents: &dyn Contents) {
        let fills = self.write(layout, contents);
        let font = spec.theme.digits_font_of(layout.digits);
        let galleys = self.galleys(painter, &font, Color32::BLACK);
        let widest = self.widest_number(&galleys);
        let columns = layout.columns.len();
        let first = (layout.columns.start, layout.load_rows().next().unwrap_or(0));
        let index = |cell: Cell| {
            let (line, column) = (first.1.checked_sub(cell.load)?, cell.speed.checked_sub(first.0)?);
            (column < columns).then_some(line * columns + column)
        };
        let galley_of = |cell: Cell| {
            let (text, stands) = (*self.text_of.get(index(cell)?)?)?;
            Some((galleys.get(text)?, stands))
        };
        let digits = |cell: Cell| {
            let rect = layout.cell(cell)?;
            let (galley, _) = galley_of(cell)?;
            let right = right_edge(rect, widest);
            let height = spec.theme.grid.digits_height * layout.digits * 0.8;
            let size = vec2(galley.size().x + 2.0 * DIGITS_AIR, height + DIGITS_AIR);
            Some(Rect::from_min_size(pos2(right + DIGITS_AIR - size.x, rect.center().y - size.y / 2.0), size))
        };
        let mut below = vec![grounds(layout, &fills), lines(spec.theme, layout, &fills)];
        below.extend(contents.below(layout, &digits));
        self.below = below;
        self.above = contents.above(layout);
        self.marks = contents.marks(layout, &|cell| {
            let rect = layout.cell(cell)?;
            let (galley, stands) = galley_of(cell)?;
            Some(galley.mesh_bounds.translate(corner_of(rect, galley, stands, widest).to_vec2()))
        });
    }

    /// Writes the texts of the visible cells; returns their backgrounds.
    fn write(&mut self, layout: &Layout, contents: &dyn Contents) -> Vec<Option<Color32>> {
        self.texts.clear();
        self.text_of.clear();
        let mut known: HashMap<String, usize> = HashMap::new();
        let mut fills = Vec::new();
        for cell in layout.visible_cells() {
            let look = contents.look(cell);
            fills.push(look.fill);
            let (text, stands) = match look.text {
                Text::Number(text) => (text, Stands::Upright),
                Text::Faint(text) => (text, Stands::Faint),
                Text::Proposed(text) => (text, Stands::Slanted),
                Text::Word(text) => (text, Stands::InTheMiddle),
                Text::Nothing => {
                    self.text_of.push(None);
                    continue;
                }
            };
            let at = known.get(&text).copied().unwrap_or_else(|| {
                self.texts.push(text.clone());
                known.insert(text, self.texts.len() - 1);
                self.texts.len() - 1
            });
            self.text_of.push(Some((at, stands)));
        }
        fills
    }

    /// Laid out anew in each frame: the fonts cache their layouts, and may have to drop them.
    fn galleys(&self, painter: &Painter, font: &FontId, ink: Color32) -> Vec<Arc<Galley>> {
        self.texts.iter().map(|text| painter.layout_no_wrap(text.clone(), font.clone(), ink)).collect()
    }

    /// The same texts slanted, if any of them is.
    fn slanted(&self, painter: &Painter, font: FontId, ink: Color32) -> Vec<Arc<Galley>> {
        if !self.text_of.iter().flatten().any(|(_, stands)| *stands == Stands::Slanted) {
            return Vec::new();
        }
        let format = TextFormat { italics: true, ..TextFormat::simple(font, ink) };
        let slanted = |text: &String| LayoutJob::single_section(text.clone(), format.clone());
        self.texts.iter().map(|text| painter.layout_job(slanted(text))).collect()
    }

    fn widest_number(&self, galleys: &[Arc<Galley>]) -> f32 {
        let numbers = self.text_of.iter().flatten().filter(|(_, stands)| *stands != Stands::InTheMiddle);
        numbers.filter_map(|(text, _)| galleys.get(*text)).map(|galley| galley.size().x).fold(0.0, f32::max)
    }

    fn paint_texts(&self, painter: &Painter, spec: &Spec<'_>, layout: &Layout) {
        let palette = spec.theme.palette;
        let font = spec.theme.digits_font_of(layout.digits);
        let (ink, second, ghost) = (color(palette.digits), color(palette.ink_secondary), color(palette.proposed));
        let pale = color(palette.ink_pale);
        let galleys = self.galleys(painter, &font, ink);
        let slanted = self.slanted(painter, font.clone(), ghost);
        let widest = self.widest_number(&galleys);
        let emphasised = match spec.selection.cells.count() {
            0 | 1 => Vec::new(),
            _ => self.galleys(painter, &strong_font(&font), ink),
        };
        for (cell, written) in layout.visible_cells().zip(&self.text_of) {
            let Some(rect) = layout.cell(cell) else { continue };
            let Some((text, stands)) = *written else {
                nil(painter, rect.center(), second);
                continue;
            };
            let emphasised = emphasised.get(text).filter(|_| spec.is_selected(cell));
            let Some(galley) = emphasised.or_else(|| galleys.get(text)) else { continue };
            let at = corner_of(rect, galley, stands, widest);
            match slanted.get(text).filter(|_| stands == Stands::Slanted) {
                Some(slanted) => painter.galley(at, slanted.clone(), ghost),
                None if stands == Stands::Faint => painter.galley_with_override_text_color(at, galley.clone(), pale),
                None => painter.galley(at, galley.clone(), ink),
            }
        }
    }
}

/// Where a text of a cell begins.
fn corner_of(rect: Rect, galley: &Galley, stands: Stands, widest: f32) -> Pos2 {
    let left = match stands {
        Stands::InTheMiddle => rect.center().x - galley.size().x / 2.0,
        Stands::Upright | Stands::Faint | Stands::Slanted => right_edge(rect, widest) - galley.size().x,
    };
    pos2(left, rect.center().y - galley.size().y / 2.0)
}

/// Where the numbers of a cell end, so that their decimal points are aligned and the widest is centred.
fn right_edge(rect: Rect, widest: f32) -> f32 {
    (rect.center().x + widest / 2.0).min(rect.right() - HAIRLINE)
}

/// One mesh for all backgrounds.
fn grounds(layout: &Layout, fills: &[Option<Color32>]) -> Shape {
    let mut mesh = Mesh::default();
    for (cell, fill) in layout.visible_cells().zip(fills) {
        if let (Some(rect), Some(fill)) = (layout.cell(cell), fill) {
            mesh.add_colored_rect(rect, *fill);
        }
    }
    Shape::mesh(mesh)
}

/// Lines between cells with a background of their own, and a line under every cell without one.
fn lines(theme: &Theme, layout: &Layout, fills: &[Option<Color32>]) -> Shape {
    let (line, rule) = (color(theme.palette.grid_line), color(theme.palette.rule));
    let (columns, rows) = (layout.columns.len(), layout.rows());
    let is_filled = |row: usize, column: usize| fills.get(row * columns + column).is_some_and(Option::is_some);
    let column_at = |column: usize| layout.column(layout.columns.start + column).unwrap_or(Rangef::NOTHING);
    let row_spans: Vec<Rangef> = layout.load_rows().filter_map(|load| layout.row(load)).collect();
    let mut mesh = Mesh::default();
    for column in 0..columns.saturating_sub(1) {
        let x = column_at(column).max;
        let pieces = row_spans.iter().enumerate().map(|(row, span)| (*span, is_filled(row, column).then_some(line)));
        for (y, ink) in joined(pieces) {
            mesh.add_colored_rect(Rect::from_x_y_ranges(x - HAIRLINE..=x, y), ink);
        }
    }
    for (row, span) in row_spans.iter().enumerate() {
        let y = span.max;
        let ink = |column: usize| match is_filled(row, column) {
            true => (row + 1 < rows).then_some(line),
            false => Some(rule),
        };
        for (x, ink) in joined((0..columns).map(|column| (column_at(column), ink(column)))) {
            mesh.add_colored_rect(Rect::from_x_y_ranges(x, y - HAIRLINE..=y), ink);
        }
    }
    Shape::mesh(mesh)
}

/// Joins adjacent pieces of the same colour.
fn joined(pieces: impl Iterator<Item = (Rangef, Option<Color32>)>) -> Vec<(Rangef, Color32)> {
    let mut joined: Vec<(Rangef, Color32)> = Vec::new();
    let mut before = None;
    for (span, ink) in pieces {
        match (joined.last_mut(), ink) {
            (Some((whole, _)), Some(_)) if before == ink => whole.max = span.max,
            (_, Some(ink)) => joined.push((span, ink)),
            (_, None) => {}
        }
        before = ink;
    }
    joined
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn neighbours_of_one_ink_become_one_line() {
        let (a, b) = (Some(Color32::BLACK), Some(Color32::WHITE));
        let inks = [a, a, None, a, b, b];
        let pieces = inks.iter().zip(0u8..).map(|(ink, at)| (Rangef::new(f32::from(at), f32::from(at) + 1.0), *ink));
        let found: Vec<_> = joined(pieces).into_iter().map(|(span, ink)| (span.min, span.max, Some(ink))).collect();
        assert_eq!(found, [(0.0, 2.0, a), (3.0, 4.0, a), (4.0, 6.0, b)]);
    }
}
