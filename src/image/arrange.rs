//! In which order the numbers of an item follow each other.

use super::Raw;
use super::number::number_in;
use crate::project::{CellOrder, ContentSize, Direction, ImageLayout, Item, Parts};
use crate::table::Cell;

/// The cells of an item in the order in which they are stored. Cells are counted as everywhere: lowest load and lowest
/// speed are 0, whatever the directions of the item. A curve or axis over speed, temperature or voltage is a table of
/// one load; an axis of loads is a table of one speed.
pub(super) fn stored_cells(item: &Item, size: ContentSize) -> impl Iterator<Item = Cell> {
    let ContentSize { speeds, loads } = size;
    let order = item.order;
    let (speed_direction, load_direction) = (item.speed_direction, item.load_direction);
    (0..speeds * loads).map(move |place| {
        let (load, speed) = match order {
            CellOrder::RowsFirst => (place / speeds, place % speeds),
            CellOrder::ColumnsFirst => (place % loads, place / loads),
        };
        Cell::new(along(load_direction, load, loads), along(speed_direction, speed, speeds))
    })
}

/// The address of the first byte of the number at an index, counted row by row from the lowest load and speed.
pub(super) const fn address_of(item: &Item, size: ContentSize, index: usize) -> u64 {
    let ContentSize { speeds, loads } = size;
    let load = along(item.load_direction, index / speeds, loads);
    let speed = along(item.speed_direction, index % speeds, speeds);
    let place = match item.order {
        CellOrder::RowsFirst => load * speeds + speed,
        CellOrder::ColumnsFirst => speed * loads + load,
    };
    item.address as u64 + place as u64 * item.cell.size() as u64
}

const fn along(direction: Direction, step: usize, count: usize) -> usize {
    match direction {
        Direction::Ascending => step,
        Direction::Descending => count - 1 - step,
    }
}

/// The raw numbers of an item in an image, lowest load and lowest speed first, row by row.
pub(super) fn raws_of(bytes: &[u8], layout: &ImageLayout, project: &Parts, item: &Item) -> Vec<Raw> {
    let size = project.content_size(item);
    let width = item.cell.size() as usize;
    let from = item.address.saturating_sub(layout.start) as usize;
    let mut raws = vec![Raw::Count(0); size.speeds * size.loads];
    let places = bytes.get(from..).unwrap_or_default().chunks_exact(width);
    for (place, cell) in places.zip(stored_cells(item, size)) {
        raws[cell.load * size.speeds + cell.speed] = number_in(place, item.cell, layout.byte_order);
    }
    raws
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::image::samples::item;
    use crate::project::Content;

    fn order(item: &Item) -> Vec<(usize, usize)> {
        stored_cells(item, ContentSize { speeds: 3, loads: 2 }).map(|cell| (cell.load, cell.speed)).collect()
    }

    #[test]
    fn addresses_follow_the_order() {
        for order in [CellOrder::RowsFirst, CellOrder::ColumnsFirst] {
            for speed_direction in [Direction::Ascending, Direction::Descending] {
                let plain = item("map", Content::AdvanceCells, 100);
                let item = Item { order, speed_direction, load_direction: Direction::Descending, ..plain };
                let size = ContentSize { speeds: 3, loads: 2 };
                for (place, cell) in stored_cells(&item, size).enumerate() {
                    assert_eq!(address_of(&item, size, cell.load * 3 + cell.speed), 100 + place as u64);
                }
            }
        }
    }

    #[test]
    fn rows_columns_and_directions() {
        let rows = item("map", Content::AdvanceCells, 0);
        assert_eq!(order(&rows), [(0, 0), (0, 1), (0, 2), (1, 0), (1, 1), (1, 2)]);
        let columns = Item { order: CellOrder::ColumnsFirst, ..rows.clone() };
        assert_eq!(order(&columns), [(0, 0), (1, 0), (0, 1), (1, 1), (0, 2), (1, 2)]);
        let speed_down = Item { speed_direction: Direction::Descending, ..rows.clone() };
        assert_eq!(order(&speed_down), [(0, 2), (0, 1), (0, 0), (1, 2), (1, 1), (1, 0)]);
        let load_down = Item { load_direction: Direction::Descending, ..columns };
        assert_eq!(order(&load_down), [(1, 0), (0, 0), (1, 1), (0, 1), (1, 2), (0, 2)]);
    }
}
