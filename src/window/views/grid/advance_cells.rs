//! The contents of the cells of the advance table: tints, numbers, contour lines, marks, and their names.

use eframe::egui::{FontId, Painter, Rect, Shape, Stroke, vec2};

use crate::checks::Severity;
use crate::compare::changed_cells;
use crate::drawing;
use crate::drawing::{
    CellSpace, ColorMap, Ground, HeightScale, Levels, Look as Looks, Palette, Point, break_around, joined_lines,
    reads_as_minus,
};
use crate::project::{Advance, Origin};
use crate::table::{Cell, Selection, Table};
use crate::window::kit::grid::{Contents, Layout, Look, Text, Told};
use crate::window::kit::marks;
use crate::window::kit::scene_painter::pos;
use crate::window::kit::theme::kit_sizes::{CHART, TYPE_STEP};
use crate::window::kit::theme::view_sizes::{
    CHANGED_DOT, FOUND_MARK, FOUND_MARK_INSET, HELD_MARK, LONGEST_MINUS, ORIGIN_LETTER, PROPOSED_CELL_DASHES,
};
use crate::window::kit::theme::{color, hairline, severity_ink};
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
    heights: HeightScale,
    proposed: Option<Selection>,
    found: Vec<(Cell, Severity)>,
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
            heights: view.scales.heights,
            proposed: view.proposed.map(|proposed| proposed.cells.clone()),
            found: view.checked.marked(view.table()).to_vec(),
        }
    }
}

/// What was shown last, to decide whether the same shapes can be painted again.
pub(in crate::window) struct Kept {
    key: Option<Key>,
    /// The cells that differ from the base.
    changed: Selection,
}

impl Default for Kept {
    fn default() -> Self {
        Self { key: None, changed: Selection::none(0, 0) }
    }
}

impl Kept {
    /// Updates it; returns whether anything has changed.
    pub(in crate::window) fn settle(&mut self, view: &View<'_>) -> bool {
        let key = Key::of(view);
        let is_fresh = self.key.as_ref() != Some(&key);
        if is_fresh {
            self.changed = changed_cells(&key.base, key.advance.table());
            self.key = Some(key);
        }
        is_fresh
    }

    /// The contents of the cells.
    pub(in crate::window) fn cells<'a>(&'a self, view: &'a View<'a>) -> AdvanceCells<'a> {
        AdvanceCells { map: ColorMap::new(view.theme.palette.look, Ground::Grid), changed: Some(&self.changed), view }
    }
}

/// The cells of the advance table.
pub(in crate::window) struct AdvanceCells<'a> {
    view: &'a View<'a>,
    map: ColorMap,
    changed: Option<&'a Selection>,
}

impl<'a> AdvanceCells<'a> {
    /// The same without painting, to know how much room the cells need.
    pub(in crate::window) fn to_measure(view: &'a View<'a>) -> Self {
        AdvanceCells { map: ColorMap::new(view.theme.palette.look, Ground::Grid), changed: None, view }
    }

    fn is_changed(&self, cell: Cell) -> bool {
        self.changed.is_some_and(|changed| changed.contains(cell))
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
        let share = view.scales.heights.share(view.table().at(cell));
        let text = view.cell_text(cell);
        let is_proposed = view.proposed.is_some_and(|proposed| proposed.cells.contains(cell));
        Look {
            text: if is_proposed { Text::Proposed(text) } else { Text::Number(text) },
            fill: Some(color(self.map.sequential(share))),
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
        Told { words, description: format!("{origin}{changed}{found}") }
    }

    fn below(&self, layout: &Layout, digits: &dyn Fn(Cell) -> Option<Rect>) -> Vec<Shape> {
        let view = self.view;
        if !view.screen.has_contours() {
            return Vec::new();
        }
        let table = view.table();
        lines(table, &view.scales.heights.levels(table), layout, view.theme.palette, digits)
    }

    fn above(&self, layout: &Layout) -> Vec<Shape> {
        let mut shapes = self.marks(layout);
        shapes.extend(proposed_outline(self.view, layout));
        shapes.extend(findings(self.view, layout));
        shapes
    }

    /// The letter of each cell's origin, in its lower left corner.
    fn lettering(&self, painter: &Painter, layout: &Layout) {
        let view = self.view;
        if !view.screen.grid.origins {
            return;
        }
        let ink = color(view.theme.palette.ink);
        let font = FontId::proportional(view.theme.small - TYPE_STEP);
        let letters =
            Origin::ALL.map(|origin| (origin, painter.layout_no_wrap(origin.letter().to_string(), font.clone(), ink)));
        for cell in layout.visible_cells() {
            let origin = view.advance().origin(cell);
            let galley = letters.iter().find(|(other, _)| *other == origin).map(|(_, galley)| galley);
            if let (Some(rect), Some(galley)) = (layout.cell(cell), galley) {
                painter.galley(rect.left_bottom() + ORIGIN_LETTER - vec2(0.0, galley.size().y), galley.clone(), ink);
            }
        }
    }
}

impl AdvanceCells<'_> {
    /// Held cells have a triangle in the upper left corner, changed cells a dot in the upper right.
    fn marks(&self, layout: &Layout) -> Vec<Shape> {
        let view = self.view;
        let palette = view.theme.palette;
        let ink = color(palette.ink);
        let held = view.advance().held();
        let mut shapes = Vec::new();
        for cell in layout.visible_cells() {
            let Some(rect) = layout.cell(cell) else { continue };
            if held.contains(cell) {
                let corner = rect.left_top();
                let points = vec![corner, corner + vec2(HELD_MARK, 0.0), corner + vec2(0.0, HELD_MARK)];
                shapes.push(Shape::convex_polygon(points, ink, Stroke::NONE));
            }
            if self.is_changed(cell) {
                let inset = CHANGED_DOT + 2.0;
                shapes.push(Shape::circle_filled(rect.right_top() + vec2(-inset, inset), CHANGED_DOT, ink));
            }
        }
        shapes
    }
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

/// The shape of the severity in the lower right corner.
fn findings(view: &View<'_>, layout: &Layout) -> Vec<Shape> {
    let mark = |&(cell, severity): &(Cell, Severity)| {
        let corner = layout.cell(cell)?.right_bottom() - vec2(FOUND_MARK_INSET, FOUND_MARK_INSET);
        let rect = Rect::from_min_max(corner - FOUND_MARK, corner);
        Some(marks::severity(rect, severity, color(severity_ink(view.theme, severity))))
    };
    view.checked.marked(view.table()).iter().filter_map(mark).collect()
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
            let boxes = near(pair[0], pair[1]).filter_map(digits).map(to_drawing).collect::<Vec<_>>();
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

fn to_drawing(rect: Rect) -> drawing::Rect {
    drawing::Rect { left: rect.left(), top: rect.top(), width: rect.width(), height: rect.height() }
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
