//! The cells themselves: tints, lines between them, contour lines, digits and marks.

use std::collections::HashMap;
use std::ops::Range;
use std::sync::Arc;

use eframe::egui::text::{LayoutJob, TextFormat};
use eframe::egui::{self, Color32, FontId, Galley, Mesh, Painter, Rect, Shape, Stroke, pos2, vec2};

use super::contours;
use super::layout::{Layout, digits_height};
use crate::checks::Severity;
use crate::drawing::{ColorMap, Ground as PaintedOn, HeightScale, Look};
use crate::project::{Advance, Origin};
use crate::table::{Cell, Selection, Table};
use crate::window::kit::marks;
use crate::window::kit::theme::{color, severity_ink, strong_galley};
use crate::window::views::view::View;

/// Side of the triangle that marks a held cell.
const HELD: f32 = 6.0;
/// Radius of the dot that marks a cell changed from base.
const CHANGED: f32 = 1.6;

/// Length and distance of the dashes round cells that are only proposed.
const DASHES: (f32, f32) = (4.0, 3.0);

/// A triangle that marks a finding, and its distance from the cell's corner.
const FOUND: egui::Vec2 = vec2(8.0, 7.0);
const FOUND_INSET: f32 = 2.0;

/// Everything that the painted cells depend on.
#[derive(Clone, PartialEq)]
struct Key {
    advance: Advance,
    base: Table,
    look: Look,
    place: (Vec<f32>, Vec<f32>, Range<usize>, Range<usize>),
    contours: bool,
    step_deg: f64,
    digits: f32,
    /// Whether the unit's table is shown, and in counts.
    flashed: Option<bool>,
    heights: HeightScale,
    proposed: Option<Selection>,
    found: Vec<(Cell, Severity)>,
}

impl Key {
    fn of(view: &View<'_>, layout: &Layout) -> Self {
        Self {
            advance: view.advance().clone(),
            base: view.base.project.advance.table().clone(),
            look: view.theme.palette.look,
            place: layout.key(),
            contours: view.screen.grid.contours,
            step_deg: view.project.step_deg,
            digits: view.theme.digits,
            flashed: view.flashed.map(|flashed| flashed.in_counts),
            heights: view.scales.heights,
            proposed: view.proposed.map(|proposed| proposed.cells.clone()),
            found: view.checked.marked(view.table()).to_vec(),
        }
    }
}

/// The painted cells, kept as long as nothing they depend on changes.
pub(in crate::window) struct Ground {
    key: Option<Key>,
    below: Vec<Shape>,
    above: Vec<Shape>,
    texts: Vec<String>,
    /// Per visible cell: which of the texts.
    text_of: Vec<usize>,
    changed: Selection,
}

impl Default for Ground {
    fn default() -> Self {
        let (below, above, texts, text_of) = Default::default();
        Self { key: None, below, above, texts, text_of, changed: Selection::none(0, 0) }
    }
}

impl Ground {
    /// Paints the cells.
    pub(in crate::window) fn paint(&mut self, ui: &egui::Ui, view: &View<'_>, layout: &Layout) {
        let painter = ui.painter().with_clip_rect(layout.cells.intersect(ui.clip_rect()));
        let key = Key::of(view, layout);
        if self.key.as_ref() != Some(&key) {
            self.build(&painter, view, layout);
            self.key = Some(key);
        }
        painter.extend(self.below.iter().cloned());
        self.paint_digits(&painter, view, layout);
        painter.extend(self.above.iter().cloned());
        if view.screen.grid.origins {
            paint_origins(&painter, view, layout);
        }
    }

    fn build(&mut self, painter: &Painter, view: &View<'_>, layout: &Layout) {
        let table = view.table();
        self.write(view, layout);
        let galleys = self.galleys(painter, &view.theme.digits_font(), Color32::BLACK);
        self.below = vec![tints(view, layout), grid_lines(view, layout)];
        if view.screen.grid.contours {
            let first = (layout.columns.start, layout.load_rows().next().unwrap_or(0));
            let box_of = |cell: Cell| {
                let rect = layout.cell(cell)?;
                let at = (first.1 - cell.load) * layout.columns.len() + cell.speed - first.0;
                let galley = galleys.get(*self.text_of.get(at)?)?;
                let right = right_edge(rect, widest(&galleys));
                let height = digits_height(view.theme) * 0.8;
                let size = vec2(galley.size().x + 4.0, height + 2.0);
                Some(Rect::from_min_size(pos2(right + 2.0 - size.x, rect.center().y - size.y / 2.0), size))
            };
            let lines = contours::lines(table, &view.scales.heights.levels(table), layout, view.theme.palette, box_of);
            self.below.extend(lines);
        }
        self.changed = changed_from(view.base.project.advance.table(), table);
        self.above = marks(view, layout, &self.changed);
        self.above.extend(proposed_outline(view, layout));
        self.above.extend(findings(view, layout));
    }

    /// The cells that differ from the base, as last painted.
    pub(in crate::window) fn changed(&self) -> &Selection {
        &self.changed
    }

    /// Writes the visible cells' numbers, equal ones once.
    fn write(&mut self, view: &View<'_>, layout: &Layout) {
        self.texts.clear();
        self.text_of.clear();
        let mut known: HashMap<u64, usize> = HashMap::new();
        for cell in layout.visible_cells() {
            let value = view.table().at(cell);
            let at = *known.entry(value.to_bits()).or_insert_with(|| {
                self.texts.push(view.cell_text(cell));
                self.texts.len() - 1
            });
            self.text_of.push(at);
        }
    }

    /// Laid out anew each frame: the fonts keep what they laid out, and may have to drop it.
    fn galleys(&self, painter: &Painter, font: &FontId, ink: Color32) -> Vec<Arc<Galley>> {
        self.texts.iter().map(|text| painter.layout_no_wrap(text.clone(), font.clone(), ink)).collect()
    }

    /// The same numbers slanted, for cells that are only proposed.
    fn ghosts(&self, painter: &Painter, font: &FontId, ink: Color32) -> Vec<Arc<Galley>> {
        let format = TextFormat { font_id: font.clone(), color: ink, italics: true, ..TextFormat::default() };
        let slanted = |text: &String| LayoutJob::single_section(text.clone(), format.clone());
        self.texts.iter().map(|text| painter.layout_job(slanted(text))).collect()
    }

    fn paint_digits(&self, painter: &Painter, view: &View<'_>, layout: &Layout) {
        let (ink, ghost) = (color(view.theme.palette.ink), color(view.theme.palette.proposed));
        let galleys = self.galleys(painter, &view.theme.digits_font(), ink);
        let ghosts =
            view.proposed.map(|proposed| (&proposed.cells, self.ghosts(painter, &view.theme.digits_font(), ghost)));
        let widest = widest(&galleys);
        let selected = &view.screen.selection.cells;
        let emphasises = selected.count() > 1;
        for (cell, &text) in layout.visible_cells().zip(&self.text_of) {
            let (Some(rect), Some(galley)) = (layout.cell(cell), galleys.get(text)) else { continue };
            let left = right_edge(rect, widest) - galley.size().x;
            let at = pos2(left, rect.center().y - galley.size().y / 2.0);
            let ghosted =
                ghosts.as_ref().filter(|(cells, _)| cells.contains(cell)).and_then(|(_, ghosts)| ghosts.get(text));
            if let Some(ghosted) = ghosted {
                painter.galley(at, ghosted.clone(), ghost);
            } else if emphasises && selected.contains(cell) {
                strong_galley(painter, at, galley.clone(), ink);
            } else {
                painter.galley(at, galley.clone(), ink);
            }
        }
    }
}

/// The letter of each cell's origin, in its lower left corner.
fn paint_origins(painter: &Painter, view: &View<'_>, layout: &Layout) {
    let ink = color(view.theme.palette.ink);
    let font = FontId::proportional(view.theme.small - 1.0);
    let letters =
        Origin::ALL.map(|origin| (origin, painter.layout_no_wrap(origin.letter().to_string(), font.clone(), ink)));
    for cell in layout.visible_cells() {
        let origin = view.advance().origin(cell);
        let galley = letters.iter().find(|(other, _)| *other == origin).map(|(_, galley)| galley);
        if let (Some(rect), Some(galley)) = (layout.cell(cell), galley) {
            painter.galley(rect.left_bottom() + vec2(2.0, 1.0 - galley.size().y), galley.clone(), ink);
        }
    }
}

fn widest(galleys: &[Arc<Galley>]) -> f32 {
    galleys.iter().map(|galley| galley.size().x).fold(0.0, f32::max)
}

/// Where the numbers of a cell end, so that their points stand below each other and the widest in the middle.
fn right_edge(rect: Rect, widest: f32) -> f32 {
    (rect.center().x + widest / 2.0).min(rect.right() - 1.0)
}

/// One mesh for all tints.
fn tints(view: &View<'_>, layout: &Layout) -> Shape {
    let map = ColorMap::new(view.theme.palette.look, PaintedOn::Grid);
    let mut mesh = Mesh::default();
    for cell in layout.visible_cells() {
        if let Some(rect) = layout.cell(cell) {
            mesh.add_colored_rect(rect, color(map.sequential(view.scales.heights.share(view.table().at(cell)))));
        }
    }
    Shape::mesh(mesh)
}

fn grid_lines(view: &View<'_>, layout: &Layout) -> Shape {
    let ink = color(view.theme.palette.grid_line);
    let thin = 1.0;
    let mut mesh = Mesh::default();
    for speed in layout.columns.clone().skip(1) {
        if let Some(span) = layout.column(speed) {
            mesh.add_colored_rect(Rect::from_x_y_ranges(span.min - thin..=span.min, layout.cells.y_range()), ink);
        }
    }
    for load in layout.load_rows().skip(1) {
        if let Some(span) = layout.row(load) {
            mesh.add_colored_rect(Rect::from_x_y_ranges(layout.cells.x_range(), span.min - thin..=span.min), ink);
        }
    }
    Shape::mesh(mesh)
}

/// Cells whose value differs from the base's surface at their breakpoints.
fn changed_from(base: &Table, table: &Table) -> Selection {
    let mut changed = Selection::none(table.load().len(), table.speed().len());
    if base == table {
        return changed;
    }
    for cell in table.cells() {
        let (speed, load) = (table.speed().breakpoints()[cell.speed], table.load().breakpoints()[cell.load]);
        let is_changed = (table.at(cell) - base.lookup(speed, load)).abs() > 1e-9;
        changed.set(cell, is_changed);
    }
    changed
}

/// Held: a triangle in the upper left corner. Changed: a dot in the upper right.
fn marks(view: &View<'_>, layout: &Layout, changed: &Selection) -> Vec<Shape> {
    let palette = view.theme.palette;
    let ink = color(palette.ink);
    let held = view.advance().held();
    let mut shapes = Vec::new();
    for cell in layout.visible_cells() {
        let Some(rect) = layout.cell(cell) else { continue };
        if held.contains(cell) {
            let corner = rect.left_top();
            let points = vec![corner, corner + vec2(HELD, 0.0), corner + vec2(0.0, HELD)];
            shapes.push(Shape::convex_polygon(points, ink, Stroke::NONE));
        }
        if changed.contains(cell) {
            let inset = CHANGED + 2.0;
            shapes.push(Shape::circle_filled(rect.right_top() + vec2(-inset, inset), CHANGED, ink));
        }
    }
    shapes
}

/// Dashes along the edges of what is only proposed, inside its cells, so that the selection's outline does not hide them.
fn proposed_outline(view: &View<'_>, layout: &Layout) -> Vec<Shape> {
    let Some(proposed) = view.proposed else {
        return Vec::new();
    };
    let theme = view.theme;
    let stroke = Stroke::new(theme.proposed_width, color(theme.palette.proposed));
    let inset = theme.selection_width / 2.0 + theme.proposed_width;
    let mut shapes = Vec::new();
    for cell in layout.visible_cells().filter(|&cell| proposed.cells.contains(cell)) {
        let Some(rect) = layout.cell(cell).map(|rect| rect.shrink(inset)) else { continue };
        let neighbour = |up: isize, right: isize| {
            let at = cell.load.checked_add_signed(up).zip(cell.speed.checked_add_signed(right));
            at.is_some_and(|(load, speed)| proposed.cells.contains(Cell::new(load, speed)))
        };
        let sides = [
            (neighbour(1, 0), [rect.left_top(), rect.right_top()]),
            (neighbour(-1, 0), [rect.left_bottom(), rect.right_bottom()]),
            (neighbour(0, -1), [rect.left_top(), rect.left_bottom()]),
            (neighbour(0, 1), [rect.right_top(), rect.right_bottom()]),
        ];
        for (_, side) in sides.into_iter().filter(|(goes_on, _)| !goes_on) {
            shapes.extend(Shape::dashed_line(&side, stroke, DASHES.0, DASHES.1));
        }
    }
    shapes
}

/// The shape of the severity in the lower right corner.
fn findings(view: &View<'_>, layout: &Layout) -> Vec<Shape> {
    let mark = |&(cell, severity): &(Cell, Severity)| {
        let corner = layout.cell(cell)?.right_bottom() - vec2(FOUND_INSET, FOUND_INSET);
        let rect = Rect::from_min_max(corner - FOUND, corner);
        Some(marks::severity(rect, severity, color(severity_ink(view.theme, severity))))
    };
    view.checked.marked(view.table()).iter().filter_map(mark).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::table::Axis;

    #[test]
    fn changes_are_found_on_other_breakpoints_too() {
        let axis = |values: &[f64]| Axis::new(values.to_vec()).unwrap();
        let plane = |x: f64, y: f64| x / 100.0 + y;
        let base = Table::from_fn(axis(&[0.0, 1000.0]), axis(&[0.0, 10.0]), plane).unwrap();
        let table = Table::from_fn(axis(&[0.0, 300.0, 1000.0]), axis(&[0.0, 5.0, 10.0]), plane).unwrap();
        assert!(changed_from(&base, &table).is_empty());
        let mut values = table.values().to_vec();
        values[4] += 1e-6;
        let edited = table.with_values(values).unwrap();
        assert_eq!(changed_from(&base, &edited).cells().collect::<Vec<_>>(), [Cell::new(1, 1)]);
    }
}
