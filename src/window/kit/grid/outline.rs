//! What is drawn over the cells: the outline of the selection, the frame of the cursor, the cell under the
//! pointer.

use eframe::egui::{self, Rect, Stroke, StrokeKind};

use super::layout::Layout;
use super::spec::Spec;
use crate::table::Cell;
use crate::window::kit::theme::kit_sizes::{CURSOR_LINE, HAIRLINE};
use crate::window::kit::theme::{color, hairline};

/// Paints the selection's outline, the cursor's frame and the hovered cell.
pub(super) fn paint(ui: &egui::Ui, spec: &Spec<'_>, layout: &Layout, hovered: Option<Cell>) {
    let theme = spec.theme;
    let palette = theme.palette;
    // The outline is centred on the edges of cells, so half of it lies outside.
    let clip = layout.cells.expand(theme.selection_width).intersect(ui.clip_rect());
    let painter = ui.painter().with_clip_rect(clip);
    if let Some(rect) = hovered.and_then(|place| layout.cell(place)) {
        painter.rect_stroke(rect, 0.0, hairline(color(palette.ink_secondary)), StrokeKind::Inside);
    }
    let accent = color(palette.accent);
    for bar in outlines(layout, theme.selection_width, &|place| spec.is_selected(place).then_some(0)) {
        painter.rect_filled(bar, 0.0, accent);
    }
    if let Some(rect) = spec.place_of(spec.selection.cursor).and_then(|place| layout.cell(place)) {
        let inset = theme.selection_width / 2.0 + HAIRLINE;
        painter.rect_stroke(rect.shrink(inset), 0.0, Stroke::new(CURSOR_LINE, color(palette.ink)), StrokeKind::Inside);
    }
}

/// The outlines of groups of cells as bars, where visible: along every edge between a cell of a group and a
/// cell outside it, with consecutive edges joined into one bar. Cells in no group have no outline.
pub fn outlines(layout: &Layout, width: f32, group: &dyn Fn(Cell) -> Option<usize>) -> Vec<Rect> {
    let half = width / 2.0;
    let mut bars = Vec::new();
    let rows: Vec<usize> = layout.load_rows().collect();
    let columns: Vec<usize> = layout.columns.clone().collect();
    for &load in &rows {
        let Some(y) = layout.row(load) else { continue };
        let above = runs(&columns, |speed| borders(group, load, speed, (1, 0)));
        let below = runs(&columns, |speed| borders(group, load, speed, (-1, 0)));
        let sides = [(above, y.min), (below, y.max)];
        for ((first, last), y) in sides.into_iter().flat_map(|(runs, y)| runs.into_iter().map(move |run| (run, y))) {
            if let (Some(from), Some(to)) = (layout.column(first), layout.column(last)) {
                bars.push(Rect::from_x_y_ranges(from.min - half..=to.max + half, y - half..=y + half));
            }
        }
    }
    for &speed in &columns {
        let Some(x) = layout.column(speed) else { continue };
        let left = runs(&rows, |load| borders(group, load, speed, (0, -1)));
        let right = runs(&rows, |load| borders(group, load, speed, (0, 1)));
        let sides = [(left, x.min), (right, x.max)];
        for ((first, last), x) in sides.into_iter().flat_map(|(runs, x)| runs.into_iter().map(move |run| (run, x))) {
            if let (Some(from), Some(to)) = (layout.row(first), layout.row(last)) {
                bars.push(Rect::from_x_y_ranges(x - half..=x + half, from.min - half..=to.max + half));
            }
        }
    }
    bars
}

/// Whether a cell is in a group and its neighbour is not in the same group; beyond the grid there is no group.
fn borders(group: &dyn Fn(Cell) -> Option<usize>, load: usize, speed: usize, (up, right): (isize, isize)) -> bool {
    let own = group(Cell::new(load, speed));
    let neighbour = load.checked_add_signed(up).zip(speed.checked_add_signed(right));
    own.is_some() && neighbour.and_then(|(load, speed)| group(Cell::new(load, speed))) != own
}

/// First and last of each run of consecutive entries that have a property.
fn runs(line: &[usize], has: impl Fn(usize) -> bool) -> Vec<(usize, usize)> {
    let mut runs: Vec<(usize, usize)> = Vec::new();
    let mut is_open = false;
    for &at in line {
        let belongs = has(at);
        match runs.last_mut() {
            Some(run) if belongs && is_open => run.1 = at,
            _ if belongs => runs.push((at, at)),
            _ => {}
        }
        is_open = belongs;
    }
    runs
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn runs_join_neighbours() {
        let line: Vec<usize> = (2..9).collect();
        assert_eq!(runs(&line, |at| [2, 3, 5, 8].contains(&at)), [(2, 3), (5, 5), (8, 8)]);
        let downward: Vec<usize> = (0..4).rev().collect();
        assert_eq!(runs(&downward, |at| at > 0), [(3, 1)]);
    }

    #[test]
    fn edges_are_where_selected_meets_unselected() {
        let has = |cell: Cell| (cell.load == 0 && cell.speed < 2).then_some(7);
        assert!(borders(&has, 0, 0, (1, 0)) && borders(&has, 0, 0, (-1, 0)));
        assert!(!borders(&has, 0, 0, (0, 1)) && borders(&has, 0, 1, (0, 1)));
        assert!(!borders(&has, 1, 0, (-1, 0)));
    }
}
