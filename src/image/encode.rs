//! From a project to the bytes of its image, and what lies where in it.

#[cfg(test)]
mod tests;

use super::assemble::{assemble, encoded, stored_cells};
use super::decode::reads_back;
use super::folding::as_exported;
use super::verify::{Comparison, compare};
use super::{DecodeError, EncodedItem, Image, ImageError, Place, Quantity};
use crate::project::{ContentSize, Item, Parts, Project};

/// The image of a project: the numbers of every item are brought to the unit's size, rounded to counts, ordered
/// and put at their addresses; everything else is fill; then comes the checksum. The same project gives the
/// same bytes.
///
/// ```
/// use sparkloft::image::{encode, verify};
/// use sparkloft::project::SAMPLES;
///
/// let project = SAMPLES[0].project()?;
/// let image = encode(&project)?;
/// assert_eq!(image.bytes.len(), project.image.size as usize);
/// assert!(verify(&project, &image.bytes)?.is_same());
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
///
/// # Errors
/// [`ImageError`] naming the item and the place: a value that its type cannot hold, breakpoints that coincide
/// after rounding, a field that is not a number, sizes that do not fit, and values that no project may have
/// after rounding, since such an image could not be read back.
pub fn encode(project: &Project) -> Result<Image, ImageError> {
    let image = assemble(&as_exported(project)?)?;
    unreadable(project, &image).map_or(Ok(image), Err)
}

/// The same, with every reason why a project makes no image: one for each item at fault, in the order of the layout.
///
/// # Errors
/// Those of [`encode`]; never none.
pub fn encode_or_all_faults(project: &Project) -> Result<Image, Vec<ImageError>> {
    encode(project).map_err(|error| {
        let of_items = item_faults(project);
        if of_items.is_empty() { vec![error] } else { of_items }
    })
}

fn item_faults(project: &Project) -> Vec<ImageError> {
    let Ok(exported) = as_exported(project) else {
        return Vec::new();
    };
    let Ok(fields) = exported.field_tree() else {
        return Vec::new();
    };
    exported.image.items.iter().filter_map(|item| encoded(&exported, &fields, item).err()).collect()
}

/// Why an image could not be read back as a project although every item fits: values that are consistent only
/// before rounding. Breakpoints without values, of another number than the project's, are accepted: the layout
/// asks for them.
fn unreadable(project: &Project, image: &Image) -> Option<ImageError> {
    match reads_back(&image.bytes, project) {
        Ok(()) | Err(DecodeError::AxisAlone { .. }) => None,
        Err(why) => Some(ImageError::Unreadable { why: Box::new(why) }),
    }
}

/// Compares a project with an image, which may be damaged: damage is reported in the result, not refused.
///
/// # Errors
/// [`DecodeError`] if the image has another size, or the project does not make an image.
pub fn verify(project: &Project, bytes: &[u8]) -> Result<Comparison, DecodeError> {
    let expected = encode(project)?;
    if bytes.len() != expected.bytes.len() {
        return Err(DecodeError::Size { given: bytes.len(), expected: project.image.size });
    }
    Ok(compare(&expected, project, bytes))
}

/// One item of the layout with everything that a reader of the image needs.
#[derive(Clone, Debug, PartialEq)]
pub struct ItemDescription<'a> {
    /// Its description in the layout: name, address, type, scale, offset, order, directions.
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
mod describe_tests {
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
