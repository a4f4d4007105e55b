//! Where the badges of the regions stand.

use std::collections::HashSet;

use crate::compare::{CHANGED_ABOVE_DEG, Delta, Region};
use crate::table::Cell;

/// The unchanged point beside each region that has room for its badge; none where every neighbour is changed or taken.
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
pub(super) fn upper_left(region: &Region) -> Option<Cell> {
    let top = region.points.last()?.load;
    region.points.iter().copied().find(|point| point.load == top)
}
