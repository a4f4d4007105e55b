//! From the numbers of a project to the bytes of its image, item by item, each in its own order.

use super::number::{bytes_of, number_in, physical, quantise};
use super::unit_axis::check_apart;
use super::values::{Standing, Values, values_of};
use super::{ImageError, PastRange, Place, Quantity, Raw, Resampled, checksum};
use crate::project::{ByteOrder, CellOrder, ContentSize, Direction, ImageLayout, Item, Parts, Project, Tree};
use crate::table::Cell;

/// A change by rounding of at most this is binary rounding error and not a loss; far below any count of a unit.
const DUST: f64 = 1e-9;

/// An image: its bytes and what they hold.
#[derive(Clone, Debug, PartialEq)]
pub struct Image {
    /// The first address.
    pub start: u32,
    /// Every byte, fill and checksum included.
    pub bytes: Vec<u8>,
    /// What the items hold, in the order of the layout.
    pub items: Vec<EncodedItem>,
    /// The checksum that is stored, where there is one.
    pub checksum: Option<u32>,
}

/// One item as it is in the image.
#[derive(Clone, Debug, PartialEq)]
pub struct EncodedItem {
    /// Its description in the layout.
    pub item: Item,
    /// Its size in numbers.
    pub size: ContentSize,
    /// Its numbers, lowest load and lowest speed first, row by row, whatever the order in the image.
    pub raws: Vec<Raw>,
    /// The same numbers before rounding, in the project's unit.
    pub wanted: Vec<f64>,
    /// The largest loss by rounding; `None` if every value is held exactly.
    pub loss: Option<Loss>,
    /// What was done to bring it to the unit's own size; `None` if the unit has the project's size.
    pub resampled: Option<Resampled>,
    pub(super) standing: Standing,
}

impl EncodedItem {
    /// Where the number at an index of [`EncodedItem::raws`] belongs.
    pub fn place(&self, index: usize) -> Place {
        self.standing.place(index)
    }

    /// The value that the unit reads at an index of [`EncodedItem::raws`]; NaN beyond them.
    pub fn value(&self, index: usize) -> f64 {
        self.raws.get(index).map_or(f64::NAN, |&raw| physical(raw, &self.item))
    }

    /// The address of the first byte of the number at an index of [`EncodedItem::raws`].
    pub const fn address_of(&self, index: usize) -> u64 {
        address_of(&self.item, self.size, index)
    }
}

/// A value that rounding changes.
#[derive(Clone, Debug, PartialEq)]
pub struct Loss {
    /// The value before rounding.
    pub value: f64,
    /// The value that the unit reads.
    pub stored: f64,
    /// Where it belongs.
    pub place: Place,
    /// How many values of the item rounding changes.
    pub changed: usize,
}

impl Loss {
    /// Stored minus wanted, in the item's unit.
    pub fn amount(&self) -> f64 {
        self.stored - self.value
    }
}

/// The image of a project that already has everything folded into its table, without checking that it can be
/// read back.
pub(super) fn assemble(project: &Project) -> Result<Image, ImageError> {
    let layout = &project.image;
    let fields = project.field_tree()?;
    let mut bytes = vec![layout.fill; layout.size as usize];
    let mut items = Vec::with_capacity(layout.items.len());
    for item in &layout.items {
        let encoded = encoded(project, &fields, item)?;
        put(&mut bytes, layout.start, layout.byte_order, &encoded);
        items.push(encoded);
    }
    let checksum = checksum::store(layout, &mut bytes);
    Ok(Image { start: layout.start, bytes, items, checksum })
}

pub(super) fn encoded(project: &Project, fields: &Tree, item: &Item) -> Result<EncodedItem, ImageError> {
    let encoded = encode_item(item, values_of(project, fields, item)?)?;
    past_range(project, &encoded).map_or(Ok(encoded), Err)
}

/// The first value that rounding moves out of the range that the project allows for it.
fn past_range(project: &Project, encoded: &EncodedItem) -> Option<ImageError> {
    let Quantity { low, high, unit, .. } = Quantity::of(&encoded.item, project);
    let is_past = |index: usize| !(low..=high).contains(&encoded.value(index));
    let index = (0..encoded.raws.len()).find(|&index| is_past(index))?;
    Some(ImageError::PastRange {
        item: encoded.item.name.clone(),
        place: encoded.place(index),
        past: Box::new(PastRange {
            value: encoded.wanted.get(index).copied().unwrap_or(f64::NAN),
            rounded: encoded.value(index),
            range: (low, high),
            unit,
        }),
    })
}

pub(super) fn encode_item(item: &Item, values: Values) -> Result<EncodedItem, ImageError> {
    let mut raws = Vec::with_capacity(values.numbers.len());
    for (index, &value) in values.numbers.iter().enumerate() {
        let refused = |raw| ImageError::out_of_range(item, values.standing.place(index), value, raw);
        raws.push(quantise(value, item).map_err(refused)?);
    }
    if item.content.is_axis() {
        check_apart(item, &values.numbers, &raws)?;
    }
    let loss = loss(item, &values, &raws);
    let Values { numbers: wanted, size, resampled, standing } = values;
    Ok(EncodedItem { item: item.clone(), size, raws, wanted, loss, resampled, standing })
}

fn loss(item: &Item, values: &Values, raws: &[Raw]) -> Option<Loss> {
    let stored: Vec<f64> = raws.iter().map(|&raw| physical(raw, item)).collect();
    let amount = |index: usize| (stored[index] - values.numbers[index]).abs();
    let lost: Vec<usize> = (0..stored.len()).filter(|&index| amount(index) > DUST).collect();
    let mut largest = *lost.first()?;
    for &index in &lost {
        if amount(index) > amount(largest) {
            largest = index;
        }
    }
    let (value, stored) = (values.numbers[largest], stored[largest]);
    Some(Loss { value, stored, place: values.standing.place(largest), changed: lost.len() })
}

/// Puts an item's bytes in their place. In a project's layout every item lies within the image.
fn put(image: &mut [u8], start: u32, order: ByteOrder, encoded: &EncodedItem) {
    let item = &encoded.item;
    let from = item.address.saturating_sub(start) as usize;
    let size = item.cell.size() as usize;
    let places = image.get_mut(from..).unwrap_or_default().chunks_exact_mut(size);
    for (place, cell) in places.zip(stored_cells(item, encoded.size)) {
        let raw = encoded.raws[cell.load * encoded.size.speeds + cell.speed];
        place.copy_from_slice(&bytes_of(raw, item.cell, order));
    }
}

/// The cells of an item in the order in which they are stored. Cells are counted as everywhere: the lowest load
/// and the lowest speed are 0, whatever the directions of the item. A curve or axis over speed, temperature or
/// voltage is a table with one load; an axis of loads is a table with one speed.
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
