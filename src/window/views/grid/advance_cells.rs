//! The contents of the cells of the advance table: tints, numbers, contour lines, marks, and their names.

use std::cell::RefCell;
use std::collections::BTreeMap;
use std::sync::Arc;

use eframe::egui::{Mesh, Pos2, Rect, Shape, Stroke};

use super::point_rings::{Rings, ring_at, rings};
use crate::checks::Severity;
use crate::compare::changed_cells;
use crate::drawing::{
    CellMarks, CellSpace, ColorMap, Ground, Layer, LayerScale, Levels, Look as Looks, Palette, Point, break_around,
    joined_lines, origin_of, reads_as_minus,
};
use crate::project::{Advance, MeasuredPoint};
use crate::shaping::Along;
use crate::table::{Cell, Selection, Table};
use crate::window::kit::grid::{Contents, Layout, Look, Text, Told};
use crate::window::kit::marks;
use crate::window::kit::patterns::{self, Pattern};
use crate::window::kit::scene_painter::{pos, to_egui, viewport};
use crate::window::kit::theme::kit_sizes::{
    CHANGED_ASIDE, CHANGED_DOT, CHANGED_INSET, CHART, FOUND_INSET, FOUND_MARK, HAIRLINE, HELD_MARK,
};
use crate::window::kit::theme::view_sizes::{LONGEST_MINUS, PROPOSED_CELL_DASHES, STANDING_BAR};
use crate::window::kit::theme::{color, hairline, severity_ink};
use crate::window::tasks::preview::Outcome;
use crate::window::views::layers;
use crate::window::views::measured;
use crate::window::views::view::View;
use crate::wording::{fixed, step_decimals};

/// Everything that the painted cells depend on.
#[derive(Clone, PartialEq)]
struct Key {
    advance: Advance,
    base: Table,
    look: Looks,
    contours: bool,
    step_deg: f64,
    /// Whether the unit's table is shown, and if so whether in counts.
    flashed: Option<bool>,
    scale: LayerScale,
    is_base_comparable: bool,
    proposed: Option<Selection>,
    found: Vec<(Cell, Severity)>,
    points: Vec<Arc<MeasuredPoint>>,
    /// Which answer of how sure the cells are.
    sure: u64,
}

impl Key {
    fn of(view: &View<'_>) -> Self {
        Self {
            advance: view.advance().clone(),
            base: view.base.project.advance.table().clone(),
            look: view.theme.palette.look,
            contours: view.screen.has_contours(),
            step_deg: view.project.step_deg,
            flashed: view.flashed.map(|flashed| flashed.in_counts),
            scale: view.scales.layer,
            is_base_comparable: layers::comparable_base(view).is_some(),
            proposed: view.proposed.map(|proposed| proposed.cells.clone()),
            found: view.checked.marked(view.table()).to_vec(),
            points: view.project.evidence.points.clone(),
            sure: view.sure.serial,
        }
    }
}

/// What was shown last, to decide whether the same shapes can be painted again.
pub(in crate::window) struct Kept {
    key: Option<Key>,
    /// The cells that differ from the base.
    changed: Selection,
    /// The values of the layer, one for each cell.
    layer: Vec<f64>,
    /// The measured points nearest to each cell.
    measured: BTreeMap<Cell, Vec<usize>>,
    /// Where their rings were painted, which is found while the cells are.
    rings: RefCell<Rings>,
}

impl Default for Kept {
    fn default() -> Self {
        let (measured, rings) = (BTreeMap::new(), RefCell::default());
        Self { key: None, changed: Selection::none(0, 0), layer: Vec::new(), measured, rings }
    }
}

impl Kept {
    /// Updates it; returns whether anything has changed.
    pub(in crate::window) fn settle(&mut self, view: &View<'_>) -> bool {
        let key = Key::of(view);
        let is_fresh = self.key.as_ref() != Some(&key);
        if is_fresh {
            self.changed = changed_cells(&key.base, key.advance.table());
            self.layer = layers::values(view);
            self.measured = measured::by_cell(view.project);
            self.key = Some(key);
        }
        is_fresh
    }

    /// The measured point whose ring is at a place.
    pub(in crate::window) fn ring_at(&self, at: Pos2) -> Option<usize> {
        ring_at(&self.rings.borrow(), at)
    }

    /// The contents of the cells.
    pub(in crate::window) fn cells<'a>(&'a self, view: &'a View<'a>) -> AdvanceCells<'a> {
        AdvanceCells {
            map: ColorMap::new(view.theme.palette.look, Ground::Grid),
            kept: Some(self),
            layer: &self.layer,
            view,
        }
    }
}

/// The cells of the advance table.
pub(in crate::window) struct AdvanceCells<'a> {
    view: &'a View<'a>,
    map: ColorMap,
    /// What is known of the cells; `None` if nothing is painted.
    kept: Option<&'a Kept>,
    /// The values of the layer; empty if nothing is painted.
    layer: &'a [f64],
}

impl<'a> AdvanceCells<'a> {
    /// The same without painting, to know how much room the cells need.
    pub(in crate::window) fn to_measure(view: &'a View<'a>) -> Self {
        AdvanceCells { map: ColorMap::new(view.theme.palette.look, Ground::Grid), kept: None, layer: &[], view }
    }

    /// The value of the layer at a cell; NaN where it is not known.
    fn layer_at(&self, cell: Cell) -> f64 {
        let place = cell.load * self.view.table().speed().len() + cell.speed;
        self.layer.get(place).copied().unwrap_or(f64::NAN)
    }

    /// What tells a value of the layer besides its colour.
    fn pattern(&self, cell: Cell) -> Pattern {
        let value = self.layer_at(cell);
        match self.view.scales.layer.layer {
            _ if value.is_nan() => Pattern::Hatch,
            Layer::Origin => origin_of(value).map_or(Pattern::Hatch, layers::pattern),
            Layer::Sure => layers::rests_on(self.view, cell).map_or(Pattern::Hatch, layers::pattern_of_rest),
            _ => Pattern::Plain,
        }
    }

    /// Hatches and patterns below the numbers.
    fn patterns(&self, layout: &Layout, digits: &dyn Fn(Cell) -> Option<Rect>) -> Shape {
        let palette = self.view.theme.palette;
        let mut mesh = Mesh::default();
        for cell in layout.visible_cells() {
            let pattern = self.pattern(cell);
            let ink = if pattern == Pattern::Hatch { palette.hatch } else { palette.pattern };
            if let Some(rect) = layout.cell(cell).filter(|_| pattern != Pattern::Plain) {
                patterns::add(&mut mesh, rect.shrink(HAIRLINE), digits(cell), pattern, color(ink));
            }
        }
        Shape::mesh(mesh)
    }

    /// The measured points in a cell: ', measured P3 24.5° (23.9–25.2°)'.
    fn measured_words(&self, cell: Cell) -> String {
        let points = self.kept.and_then(|kept| kept.measured.get(&cell)).into_iter().flatten();
        let points = points.filter_map(|&index| self.view.project.evidence.points.get(index));
        points.map(|point| format!(", {}", measured::brief_words(point))).collect()
    }

    fn is_changed(&self, cell: Cell) -> bool {
        self.kept.is_some_and(|kept| kept.changed.contains(cell))
    }
}

impl Contents for AdvanceCells<'_> {
    fn widest(&self) -> Vec<String> {
        let view = self.view;
        let table = view.table();
        if view.flashed.is_some() {
            return table.cells().map(|cell| view.cell_text(cell)).collect();
        }
        let (low, high) = table.extremes();
        // At least two digits, so that nothing jumps when a value passes ten.
        [low, high, 88.0].map(|deg| fixed(deg, step_decimals(view.project.step_deg))).into()
    }

    fn look(&self, cell: Cell) -> Look {
        let view = self.view;
        let text = view.cell_text(cell);
        let is_proposed = view.proposed.is_some_and(|proposed| proposed.cells.contains(cell));
        Look {
            text: if is_proposed { Text::Proposed(text) } else { Text::Number(text) },
            fill: Some(color(view.scales.layer.color(&self.map, self.layer_at(cell)))),
        }
    }

    /// '28.5 degrees, held'.
    fn told(&self, cell: Cell) -> Told {
        let view = self.view;
        let (now, then) = view.now_and_then(cell);
        let degrees = view.degrees(now);
        let proposed = then.map_or_else(String::new, |deg| format!(", proposed {} degrees", view.degrees(deg)));
        let held = if view.advance().held().contains(cell) { ", held" } else { "" };
        let words = match view.flashed {
            Some(flashed) => {
                let (text, raw) = (view.cell_text(cell), flashed.table.raw(cell));
                let degrees = if flashed.in_counts { degrees } else { text };
                format!("{degrees} degrees, count {raw}{held}")
            }
            None => format!("{degrees} degrees{proposed}{held}"),
        };
        let origin = view.advance().origin(cell).name();
        let changed = if self.is_changed(cell) { ", changed from base" } else { "" };
        let found = view.checked.severity_at(view.table(), cell);
        let found = found.map_or_else(String::new, |severity| format!(", {}", severity.name()));
        // The origin and the degrees are told in any case.
        let is_told = matches!(view.scales.layer.layer, Layer::Advance | Layer::Origin);
        let layer = layers::value_words(view, cell, self.layer_at(cell)).filter(|_| !is_told);
        let layer = layer.map_or_else(String::new, |words| format!(", {words}"));
        let measured = self.measured_words(cell);
        Told { words, description: format!("{origin}{changed}{layer}{measured}{found}") }
    }

    fn below(&self, layout: &Layout, digits: &dyn Fn(Cell) -> Option<Rect>) -> Vec<Shape> {
        let view = self.view;
        let mut shapes = vec![self.patterns(layout, digits)];
        // Contour lines belong to the scale of the degrees.
        if view.screen.has_contours() && view.scales.layer.layer == Layer::Advance {
            let table = view.table();
            shapes.extend(lines(table, &view.scales.heights.levels(table), layout, view.theme.palette, digits));
        }
        shapes
    }

    fn above(&self, layout: &Layout) -> Vec<Shape> {
        let mut shapes = proposed_outline(self.view, layout);
        shapes.extend(standing_bars(self.view, layout));
        shapes
    }

    /// Held cells have a corner at the upper left, changed cells a dot right of it, findings their shape at the
    /// upper right, measured points a ring at their places or beside them: none covers a digit.
    fn marks(&self, layout: &Layout, digits: &dyn Fn(Cell) -> Option<Rect>) -> Vec<Shape> {
        let view = self.view;
        let palette = view.theme.palette;
        let (ink, paper, held) = (color(palette.ink), color(palette.paper), view.advance().held());
        let mut shapes: Vec<Shape> = Vec::new();
        for cell in layout.visible_cells() {
            let Some((cell_rect, digits)) = layout.cell(cell).zip(digits(cell)) else { continue };
            let places = CellMarks { cell: viewport(cell_rect), digits: viewport(digits) };
            if held.contains(cell) {
                shapes.push(marks::held(places.held(HELD_MARK).map(pos), ink));
            }
            if self.is_changed(cell) {
                let aside = if held.contains(cell) { CHANGED_ASIDE } else { CHANGED_INSET };
                shapes.push(marks::changed(pos(places.changed(CHANGED_DOT, aside, CHANGED_INSET)), ink));
            }
            if let Some(severity) = view.checked.severity_at(view.table(), cell) {
                let rect = to_egui(&places.found(FOUND_MARK, FOUND_INSET));
                shapes.push(marks::severity_on(rect, severity, color(severity_ink(view.theme, severity)), paper));
            }
        }
        let marked = shapes.iter().map(|shape| viewport(shape.visual_bounding_rect())).collect();
        let (rings, drawn) = rings(view, layout, digits, marked);
        if let Some(kept) = self.kept {
            kept.rings.replace(rings);
        }
        shapes.extend(drawn);
        shapes
    }

    fn found_at_heading(&self, along: Along, line: usize) -> Option<(Severity, String)> {
        let found = self.view.checked.at_heading(self.view.table(), along, line)?;
        Some((found.severity, found.words.clone()))
    }
}

/// A bar at the foot of each proposed cell that a demand keeps from being smoother.
fn standing_bars(view: &View<'_>, layout: &Layout) -> Vec<Shape> {
    let Some(Outcome::Done(done)) = view.preview.filter(|_| view.proposed.is_some()) else { return Vec::new() };
    let Some(faired) = &done.shaped.faired else { return Vec::new() };
    let stroke = Stroke::new(STANDING_BAR.1, color(view.theme.palette.proposed));
    let bar = |rect: Rect| {
        let (half, y) = (rect.width() * STANDING_BAR.0 / 2.0, rect.bottom() - STANDING_BAR.1);
        let middle = rect.center().x;
        Shape::line_segment([Pos2::new(middle - half, y), Pos2::new(middle + half, y)], stroke)
    };
    faired.standing.iter().filter_map(|standing| layout.cell(standing.cell)).map(bar).collect()
}

/// Dashes along the edges of proposed cells, inside the cells, so that the selection's outline does not hide
/// them.
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
            shapes.extend(Shape::dashed_line(&side, stroke, PROPOSED_CELL_DASHES.0, PROPOSED_CELL_DASHES.1));
        }
    }
    shapes
}

/// The contour lines of a table as shapes; `digits` gives the box of a cell's number.
pub(in crate::window) fn lines(
    table: &Table,
    levels: &Levels,
    layout: &Layout,
    palette: &Palette,
    digits: &dyn Fn(Cell) -> Option<Rect>,
) -> Vec<Shape> {
    let mut shapes = Vec::new();
    for contour in CellSpace::new(table).contours(table, levels) {
        let stroke = if contour.major {
            Stroke::new(CHART.outline, color(palette.contour_major.with_alpha(palette.contour_major.a / 2)))
        } else {
            hairline(color(palette.contour_minor.with_alpha(palette.contour_minor.a / 2)))
        };
        let mut pieces = Vec::new();
        for pair in contour.points.windows(2) {
            let boxes = near(pair[0], pair[1]).filter_map(digits).map(viewport).collect::<Vec<_>>();
            let ends = [layout.at(pair[0]), layout.at(pair[1])].map(|at| Point::new(at.x, at.y));
            break_around(&ends, &boxes, &mut pieces);
        }
        let lines = joined_lines(&pieces).into_iter().filter(|line| !reads_as_minus(line, LONGEST_MINUS));
        shapes.extend(lines.map(|line| Shape::line(line.into_iter().map(pos).collect(), stroke)));
    }
    shapes
}

/// The cells whose numbers may touch a line between two points in cell coordinates.
#[expect(clippy::cast_possible_truncation, reason = "places in a table, at most 63")]
fn near(from: (f64, f64), to: (f64, f64)) -> impl Iterator<Item = Cell> {
    let span = |a: f64, b: f64| (a.min(b).round().max(0.0) as usize)..=(a.max(b).round().max(0.0) as usize);
    let columns = span(from.0, to.0);
    span(from.1, to.1).flat_map(move |load| columns.clone().map(move |speed| Cell::new(load, speed)))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_cells_beside_a_segment_are_near() {
        let cells: Vec<_> = near((0.4, 1.0), (0.6, 1.2)).collect();
        assert_eq!(cells, [Cell::new(1, 0), Cell::new(1, 1)]);
    }
}
