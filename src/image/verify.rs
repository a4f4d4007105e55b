//! Comparing an image with a project, item by item.

use super::assemble::raws_of;
use super::number::physical;
use super::{ChecksumMismatch, EncodedItem, Image, Place, Quantity, Raw, checksum, stored_words};
use crate::project::{Parts, Project};
use crate::wording::Unit;

/// How an image differs from that of a project.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Comparison {
    /// Numbers that differ, in the order of the layout and within an item row by row.
    pub differences: Vec<Difference>,
    /// Bytes outside all items that differ.
    pub stray: Option<Stray>,
    /// A stored checksum that is not that of the image's bytes.
    pub mismatch: Option<ChecksumMismatch>,
}

impl Comparison {
    /// Whether both are the same, byte for byte.
    pub const fn is_same(&self) -> bool {
        self.differences.is_empty() && self.stray.is_none() && self.mismatch.is_none()
    }
}

/// A number that differs.
#[derive(Clone, Debug, PartialEq)]
pub struct Difference {
    /// The item.
    pub item: String,
    /// Where in it.
    pub place: Place,
    /// The address of its first byte.
    pub address: u64,
    /// The number that the project gives.
    pub expected: Raw,
    /// The number in the image.
    pub found: Raw,
    /// The value that the project gives, after rounding.
    pub expected_value: f64,
    /// The value in the image.
    pub found_value: f64,
    /// The unit of both values.
    pub unit: Unit,
}

impl std::fmt::Display for Difference {
    fn fmt(&self, formatter: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        let [expected, found] = [self.expected_value, self.found_value].map(|value| stored_words(value, self.unit));
        write!(
            formatter,
            "'{}'{} at address {:X}: the project gives {expected} (raw {}), the image holds {found} (raw {})",
            self.item, self.place, self.address, self.expected, self.found
        )
    }
}

/// Bytes outside every item that are not what the project gives: fill, or the stored checksum.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Stray {
    /// The first address.
    pub first: u64,
    /// How many bytes differ.
    pub bytes: usize,
}

/// Compares the image of `project` with another one of the same length.
pub(super) fn compare(expected: &Image, project: &Project, bytes: &[u8]) -> Comparison {
    let layout = &project.image;
    let mut differences = Vec::new();
    let mut of_item = vec![false; bytes.len()];
    for encoded in &expected.items {
        let item = &encoded.item;
        let from = item.address.saturating_sub(layout.start) as usize;
        let to = from + encoded.raws.len() * item.cell.size() as usize;
        if let Some(own) = of_item.get_mut(from..to) {
            own.fill(true);
        }
        if expected.bytes.get(from..to) != bytes.get(from..to) {
            differences.extend(item_differences(encoded, project, &raws_of(bytes, layout, project, item)));
        }
    }
    let strays = (0..bytes.len()).filter(|&at| !of_item[at] && expected.bytes.get(at) != bytes.get(at));
    let strays: Vec<usize> = strays.collect();
    let stray =
        strays.first().map(|&first| Stray { first: u64::from(layout.start) + first as u64, bytes: strays.len() });
    Comparison { differences, stray, mismatch: checksum::verify(layout, bytes).err() }
}

fn item_differences<'a>(
    encoded: &'a EncodedItem,
    project: &Parts,
    found: &'a [Raw],
) -> impl Iterator<Item = Difference> + use<'a> {
    let item = &encoded.item;
    let unit = Quantity::of(item, project).unit;
    let same = |a: Raw, b: Raw| a.number().to_bits() == b.number().to_bits();
    let pairs = encoded.raws.iter().copied().zip(found.iter().copied()).enumerate();
    pairs.filter(move |(_, (expected, found))| !same(*expected, *found)).map(move |(index, (expected, found))| {
        Difference {
            item: item.name.clone(),
            place: encoded.place(index),
            address: encoded.address_of(index),
            expected,
            found,
            expected_value: physical(expected, item),
            found_value: physical(found, item),
            unit,
        }
    })
}
