//! What sits where, for a list and for the drawing of the memory.

use super::arrange::stored_cells;
use super::{EncodedItem, Image, Place, Quantity};
use crate::project::{ContentSize, Item, Parts};

/// One item of the layout with everything a reader of the image needs.
#[derive(Clone, Debug, PartialEq)]
pub struct ItemDescription<'a> {
    /// As the layout has it: name, address, type, scale, offset, order, directions.
    pub item: &'a Item,
    /// Its size in numbers.
    pub size: ContentSize,
    /// The address after its last byte.
    pub end: u64,
    /// What its numbers measure.
    pub quantity: Quantity,
}

/// Every item of a project's layout, in ascending addresses.
pub fn describe(project: &Parts) -> Vec<ItemDescription<'_>> {
    let description = |item| {
        let size = project.content_size(item);
        let bytes = (size.speeds * size.loads) as u64 * u64::from(item.cell.size());
        ItemDescription { item, size, end: u64::from(item.address) + bytes, quantity: Quantity::of(item, project) }
    };
    let mut items: Vec<ItemDescription<'_>> = project.image.items.iter().map(description).collect();
    items.sort_by_key(|description| description.item.address);
    items
}

impl Image {
    /// The item to which a byte belongs, and where in it.
    pub fn owner(&self, address: u64) -> Option<(&EncodedItem, Place)> {
        let owns = |encoded: &&EncodedItem| {
            let from = u64::from(encoded.item.address);
            (from..from + encoded.raws.len() as u64 * u64::from(encoded.item.cell.size())).contains(&address)
        };
        let encoded = self.items.iter().find(owns)?;
        let item = &encoded.item;
        let place = (address - u64::from(item.address)) / u64::from(item.cell.size());
        let cell = stored_cells(item, encoded.size).nth(usize::try_from(place).ok()?)?;
        Some((encoded, encoded.place(cell.load * encoded.size.speeds + cell.speed)))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::image::encode;
    use crate::image::samples::project;
    use crate::table::Cell;

    #[test]
    fn items_ascend_and_bytes_know_their_cell() {
        let project = project();
        let items = describe(&project);
        assert!(items.windows(2).all(|pair| pair[0].end <= u64::from(pair[1].item.address)));
        let cells = items.iter().find(|description| description.item.name == "advance").unwrap();
        assert_eq!(cells.end - u64::from(cells.item.address), 2 * 64);
        let image = encode(&project).unwrap();
        let at = u64::from(cells.item.address) + 2 * 9 + 1;
        let (item, place) = image.owner(at).unwrap();
        assert_eq!(item.item.name, "advance");
        assert!(matches!(place, Place::Cell { cell: Cell { load: 1, speed: 1 }, .. }));
        assert!(image.owner(cells.end).is_none());
    }
}
