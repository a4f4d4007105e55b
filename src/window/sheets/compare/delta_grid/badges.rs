//! Where the badges of the regions stand.

use std::collections::HashSet;

use eframe::egui::{FontId, Painter, Pos2, Rect, vec2};

use super::super::comparing::Compared;
use crate::compare::{CHANGED_ABOVE_DEG, Delta, Region, TableComparison};
use crate::table::Cell;
use crate::window::kit::grid::Layout;
use crate::window::kit::theme::compare_sizes::BETWEEN_CELLS;
use crate::window::kit::theme::{Theme, color};

/// The unchanged point next to each region that has room for its badge; `None` if every neighbour is changed or
/// taken.
///
/// Left of the upper left point first, then above it, then right of the upper row, then below and left of the lower
/// left point.
pub(in super::super) fn badge_points(delta: &Delta, regions: &[Region]) -> Vec<Option<Cell>> {
    let mut taken = HashSet::new();
    let (columns, rows) = (delta.speed_rpm().len(), delta.load().len());
    let mut free = |point: Option<Cell>| {
        let point = point.filter(|point| point.speed < columns && point.load < rows)?;
        let is_free = delta.at(point).abs() <= CHANGED_ABOVE_DEG && taken.insert(point);
        is_free.then_some(point)
    };
    regions
        .iter()
        .map(|region| {
            let upper_left = upper_left(region)?;
            let upper_right = region.points.last().copied()?;
            let lower_left = region.points.first().copied()?;
            let left = |point: Cell| Some(Cell::new(point.load, point.speed.checked_sub(1)?));
            let candidates = [
                left(upper_left),
                Some(Cell::new(upper_left.load + 1, upper_left.speed)),
                Some(Cell::new(upper_right.load, upper_right.speed + 1)),
                left(lower_left),
                lower_left.load.checked_sub(1).map(|load| Cell::new(load, lower_left.speed)),
            ];
            candidates.into_iter().find_map(&mut free)
        })
        .collect()
}

/// The first point of the region's highest load.
fn upper_left(region: &Region) -> Option<Cell> {
    let top = region.points.last()?.load;
    region.points.iter().copied().find(|point| point.load == top)
}

/// Paints the badges of the regions that are seen; those at the rim reach beyond the cells.
pub(super) fn paint(painter: &Painter, layout: &Layout, theme: &Theme, compared: &Compared, table: &TableComparison) {
    for (number, region) in table.regions.iter().enumerate() {
        let beside = compared.badges.get(number).copied().flatten();
        let place = match beside {
            Some(point) => layout.cell(point).map(|rect| rect.center()),
            None => upper_left(region).and_then(|point| layout.cell(point)).map(|rect| rect.left_top()),
        };
        // Between cells there is little room: no digit and no sign may be covered.
        let size = if beside.is_some() { 1.0 } else { BETWEEN_CELLS };
        if let Some(at) = place {
            badge(painter, at, number, size, theme);
        }
    }
}

/// A region's number in a disc; `size` 1 is the usual size.
pub(in super::super) fn badge(painter: &Painter, at: Pos2, number: usize, size: f32, theme: &Theme) {
    let palette = theme.palette;
    let radius = theme.compare.badge_radius * size;
    let text = (number + 1).to_string();
    let galley = painter.layout_no_wrap(text, FontId::proportional(theme.small * size), color(palette.paper));
    let width = (galley.size().x + 0.9 * radius).max(2.0 * radius);
    let disc = Rect::from_center_size(at, vec2(width, 2.0 * radius));
    painter.rect_filled(disc, radius, color(palette.ink));
    painter.galley(at - galley.size() / 2.0, galley, color(palette.paper));
}
