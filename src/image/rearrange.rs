//! Changes to the layout: adding, moving, resizing and removing items. The project itself refuses items that
//! would overlap or leave the image.

use thiserror::Error;

use super::{ItemDescription, Quantity, describe};
use crate::project::{CellType, ChecksumKind, Content, CoveredPart, Fault, Item, Parts, Project, StartingLayout};

/// Why an item cannot be added.
#[derive(Clone, Debug, PartialEq, Error)]
pub enum AddError {
    /// No room.
    #[error("no gap of the image has {bytes} bytes for {label}; make the image larger, or move or remove an item")]
    NoGap {
        /// How many bytes are needed.
        bytes: u64,
        /// What for.
        label: String,
    },
    /// The project would be invalid.
    #[error(transparent)]
    Fault(#[from] Fault),
}

/// The project with one more item, in the first gap that is large enough, stored as a 16-bit layout would store
/// it. Also returns the item's index in the layout. `field` is the path for [`Content::Field`], otherwise
/// unused.
///
/// # Errors
/// [`AddError`] when there is no gap for it.
pub fn add_item(project: &Project, content: Content, field: &str) -> Result<(Project, usize), AddError> {
    let item = new_item(project, content, field);
    let size = project.content_size(&item);
    let bytes = (size.speeds * size.loads) as u64 * u64::from(item.cell.size());
    let label = Quantity::of(&item, project).label.to_owned();
    let address = gap(project, bytes, item.cell.size()).ok_or(AddError::NoGap { bytes, label })?;
    let place = project.image.items.len();
    let added = project.edit(|parts| parts.image.items.push(Item { address, ..item }))?;
    Ok((added, place))
}

fn new_item(project: &Parts, content: Content, field: &str) -> Item {
    let words = StartingLayout::Words.layout(project.sensors.load).items;
    let alike =
        words.into_iter().find(|item| item.content == content && (content != Content::Field || item.field == field));
    let plain = alike.unwrap_or_else(|| Item::plain(field.replace(['.', '['], "_").replace(']', ""), content, field));
    let (cell, scale) =
        if plain.cell == CellType::F32 { storage(&Quantity::of(&plain, project)) } else { (plain.cell, plain.scale) };
    Item { name: free_name(project, &plain.name), cell, scale, ..plain }
}

/// The finest decimal scale with which two bytes hold every value that a project may have; if there is none,
/// whole numbers in four bytes.
fn storage(quantity: &Quantity) -> (CellType, f64) {
    let whole = quantity.unit.is_none() && quantity.low.fract() == 0.0 && quantity.high.fract() == 0.0;
    let scales: &[f64] = if whole { &[1.0] } else { &[0.001, 0.01, 0.1, 1.0] };
    for &scale in scales {
        let (low, high) = (quantity.low / scale, quantity.high / scale);
        if low >= 0.0 && high <= 255.0 && whole {
            return (CellType::U8, scale);
        }
        if low >= 0.0 && high <= 65_535.0 {
            return (CellType::U16, scale);
        }
        if low >= -32_768.0 && high <= 32_767.0 {
            return (CellType::I16, scale);
        }
    }
    (CellType::F32, 1.0)
}

fn free_name(project: &Parts, name: &str) -> String {
    let is_taken = |name: &str| project.image.items.iter().any(|item| item.name == name);
    let numbered = (2..).map(|number| format!("{name}_{number}"));
    std::iter::once(name.to_owned()).chain(numbered).find(|name| !is_taken(name)).unwrap_or_default()
}

/// The first address, a multiple of `step` from the image's start, from which `bytes` bytes are unused.
fn gap(project: &Parts, bytes: u64, step: u32) -> Option<u32> {
    gap_from(project, project.image.start.into(), bytes, step)
}

/// The same, but not before the address `least`.
fn gap_from(project: &Parts, least: u64, bytes: u64, step: u32) -> Option<u32> {
    let layout = &project.image;
    let mut taken: Vec<(u64, u64)> =
        describe(project).iter().map(|item| (u64::from(item.item.address), item.end)).collect();
    if layout.checksum.kind != ChecksumKind::None {
        let at = u64::from(layout.checksum.stored_at);
        taken.push((at, at + u64::from(layout.checksum.kind.size())));
    }
    taken.sort_unstable();
    let (start, end) = (u64::from(layout.start), u64::from(layout.start) + u64::from(layout.size));
    let aligned = |address: u64| start + (address - start).div_ceil(u64::from(step)) * u64::from(step);
    let mut from = least.max(start);
    for (first, next) in taken.into_iter().chain([(end, end)]) {
        let at = aligned(from);
        if at + bytes <= first {
            return u32::try_from(at).ok();
        }
        from = from.max(next);
    }
    None
}

/// What was added to an image, and what there was no room for.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Completed {
    /// The names of the new items.
    pub added: Vec<String>,
    /// The parts for which there was not enough room.
    pub no_room: Vec<CoveredPart>,
}

/// The project with an item for everything that its image lacks, each part completely or not at all; behind
/// everything that is there, if the image has room for that. A curve gets the room of the largest curve. Parts
/// that are folded into the table or not applied by the unit get no items.
///
/// # Errors
/// [`AddError`] if the project would be invalid.
pub fn add_missing(project: &Project) -> Result<(Project, Completed), AddError> {
    let mut completed = Completed::default();
    let mut whole = project.clone();
    for part in CoveredPart::ALL {
        let missing = whole.covered(part).missing().to_vec();
        let mut with_part = whole.clone();
        let mut names = Vec::new();
        let mut has_room = true;
        for needed in missing {
            let item = new_item(&with_part, needed.content, &needed.field);
            let Some(address) = roomy_gap(&with_part, &item) else {
                has_room = false;
                break;
            };
            names.push(item.name.clone());
            with_part = with_part.edit(|parts| parts.image.items.push(Item { address, ..item }))?;
        }
        if has_room {
            completed.added.extend(names);
            whole = with_part;
        } else {
            completed.no_room.push(part);
        }
    }
    Ok((whole, completed))
}

/// The most points that a curve can have.
const MOST_POINTS: u64 = 64;

/// Behind everything with room for the largest curve; else behind everything; else the first gap that is large
/// enough.
fn roomy_gap(project: &Parts, item: &Item) -> Option<u32> {
    let size = project.content_size(item);
    let width = u64::from(item.cell.size());
    let bytes = (size.speeds * size.loads) as u64 * width;
    let largest = if item.content.curve().is_some() { MOST_POINTS * width } else { bytes };
    let end = |description: &ItemDescription<'_>| match description.item.content.curve() {
        Some(_) => u64::from(description.item.address) + MOST_POINTS * u64::from(description.item.cell.size()),
        None => description.end,
    };
    let behind = describe(project).iter().map(end).max().unwrap_or_else(|| project.image.start.into());
    let from = |bytes| gap_from(project, behind, bytes, item.cell.size());
    from(largest).or_else(|| from(bytes)).or_else(|| gap(project, bytes, item.cell.size()))
}

/// The project without an item.
///
/// # Errors
/// [`Fault`] never for an existing item; an index without an item changes nothing.
pub fn remove_item(project: &Project, place: usize) -> Result<Project, Fault> {
    project.edit(|parts| {
        if place < parts.image.items.len() {
            parts.image.items.remove(place);
        }
    })
}

/// The project with an item at another address.
///
/// # Errors
/// [`Fault`] when it would share addresses or leave the image.
pub fn move_item(project: &Project, place: usize, address: u32) -> Result<Project, Fault> {
    project.edit(|parts| {
        if let Some(item) = parts.image.items.get_mut(place) {
            item.address = address;
        }
    })
}

/// The project with an item that has the unit's own size along speed (or its only axis) and load; `None` is the
/// project's size. Items that share that axis and had the same size change with it, so that values and their
/// breakpoints still fit.
///
/// # Errors
/// [`Fault`] when items would share addresses, leave the image, or have a size that no item may have.
pub fn resize_item(project: &Project, place: usize, speeds: Option<u16>, loads: Option<u16>) -> Result<Project, Fault> {
    let Some(of) = project.image.items.get(place) else {
        return Ok(project.clone());
    };
    let before = project.content_size(of);
    let along_speed =
        |item: &Item| shares_speeds(item.content, of.content) && project.content_size(item).speeds == before.speeds;
    let along_load =
        |item: &Item| shares_loads(item.content, of.content) && project.content_size(item).loads == before.loads;
    let follow: Vec<(bool, bool)> =
        project.image.items.iter().map(|item| (along_speed(item), along_load(item))).collect();
    project.edit(|parts| {
        for (item, (speed_goes, load_goes)) in parts.image.items.iter_mut().zip(follow) {
            item.speeds = if speed_goes { speeds } else { item.speeds };
            item.loads = if load_goes { loads } else { item.loads };
        }
    })
}

/// Whether two contents have the same breakpoints along speed, or along their only axis.
fn shares_speeds(a: Content, b: Content) -> bool {
    let family = |content: Content| match content {
        Content::AdvanceCells | Content::AdvanceSpeeds => Some("advance"),
        other => other.curve().map(|curve| curve.path),
    };
    family(a).is_some() && family(a) == family(b)
}

/// Whether both have the loads of the advance table.
const fn shares_loads(a: Content, b: Content) -> bool {
    const fn has(content: Content) -> bool {
        matches!(content, Content::AdvanceCells | Content::AdvanceLoads)
    }
    has(a) && has(b)
}

/// The project with the whole image, its items and its checksum at another first address.
///
/// # Errors
/// [`Fault`] when the image would end beyond 32-bit addresses.
pub fn rebase(project: &Project, start: u32) -> Result<Project, Fault> {
    let layout = &project.image;
    if u64::from(start) + u64::from(layout.size) > 1 << 32 {
        return Err(Fault::new("image.start", "the image would end beyond the 32-bit address range"));
    }
    let moved = |address: u32| start.wrapping_add(address.wrapping_sub(layout.start));
    project.edit(|parts| {
        let image = &mut parts.image;
        image.items.iter_mut().for_each(|item| item.address = moved(item.address));
        image.checksum.from = moved(image.checksum.from);
        image.checksum.stored_at = moved(image.checksum.stored_at);
        image.start = start;
    })
}

/// The project with another kind of checksum. If it is stored in the last bytes of the image, or is new, it is
/// stored in the last bytes again, and covers the same bytes as far as there is room.
///
/// # Errors
/// [`Fault`] if it would overlap an item.
pub fn set_checksum_kind(project: &Project, kind: ChecksumKind) -> Result<Project, Fault> {
    let is_last = project.image.checksum.kind == ChecksumKind::None || stands_last(project);
    project.edit(|parts| {
        parts.image.checksum.kind = kind;
        if is_last && kind != ChecksumKind::None {
            put_last(parts);
        }
    })
}

/// The project with an image of another size. A checksum in the last bytes stays in the last bytes; if it
/// covered everything before it, it still does.
///
/// # Errors
/// [`Fault`] if something would lie outside the image.
pub fn set_image_size(project: &Project, size: u32) -> Result<Project, Fault> {
    let is_last = stands_last(project);
    project.edit(|parts| {
        let checksum = &mut parts.image.checksum;
        let covers_all = checksum.from.checked_add(checksum.length) == Some(checksum.stored_at);
        parts.image.size = size;
        if is_last {
            put_last(parts);
            let checksum = &mut parts.image.checksum;
            if covers_all {
                checksum.length = checksum.stored_at.saturating_sub(checksum.from);
            }
        }
    })
}

fn stands_last(project: &Parts) -> bool {
    let (layout, checksum) = (&project.image, &project.image.checksum);
    let end = u64::from(layout.start) + u64::from(layout.size);
    checksum.kind != ChecksumKind::None && u64::from(checksum.stored_at) + u64::from(checksum.kind.size()) == end
}

fn put_last(parts: &mut Parts) {
    let layout = &mut parts.image;
    let end = layout.start.wrapping_add(layout.size);
    let checksum = &mut layout.checksum;
    checksum.stored_at = end.wrapping_sub(checksum.kind.size());
    checksum.length = checksum.length.min(checksum.stored_at.saturating_sub(checksum.from));
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::image::encode;
    use crate::image::samples::{project, reference_project};
    use crate::project::{FIELDS, FieldKind, list_fields};

    #[test]
    fn items_go_into_the_first_gap_that_has_room() {
        let project = reference_project();
        let (added, place) = add_item(&project, Content::Field, "trigger.zero_offset_deg").unwrap();
        let item = &added.image.items[place];
        assert_eq!((item.address, item.name.as_str(), item.cell.size()), (0x1008, "zero_offset", 2));
        let (again, place) = add_item(&added, Content::Field, "trigger.zero_offset_deg").unwrap();
        assert_eq!((again.image.items[place].address, &*again.image.items[place].name), (0x100A, "zero_offset_2"));
        let error = add_item(&project, Content::AdvanceCells, "").unwrap_err();
        assert_eq!(
            error.to_string(),
            "no gap of the image has 24 bytes for Advance; make the image larger, or move or remove an item"
        );
        assert_eq!(remove_item(&again, place).unwrap(), added);
    }

    #[test]
    fn what_is_missing_is_added_whole_or_not_at_all() {
        let project = project().edit(|parts| parts.image.items.truncate(17)).unwrap();
        let (whole, completed) = add_missing(&project).unwrap();
        assert_eq!(completed.no_room, []);
        assert_eq!(whole.not_in_image(), []);
        assert!(completed.added.contains(&"margin".to_owned()) && completed.added.len() > 30, "{completed:?}");
        let kept = |project: &Project| project.image.items[..17].to_vec();
        assert_eq!(kept(&whole), kept(&project));
        let image = encode(&whole).unwrap();
        assert_eq!(image.bytes.len(), encode(&project).unwrap().bytes.len());
        // A curve may grow to its maximum number of points without touching its neighbours.
        let grown: Vec<f64> = (0..64).map(|at| f64::from(at) * 1.5).collect();
        let curve = crate::table::Curve::new(grown.clone(), vec![0.0; 64]).unwrap();
        assert!(whole.edit(|parts| parts.safety_margin.degrees = curve).is_ok());
        let (same, nothing) = add_missing(&whole).unwrap();
        assert_eq!((same, nothing), (whole, Completed::default()));
        let tight = reference_project();
        let (after, completed) = add_missing(&tight).unwrap();
        assert!(completed.no_room.contains(&CoveredPart::Margin), "{completed:?}");
        assert!(matches!(after.covered(CoveredPart::Margin), crate::project::Covered::ByHand(_)));
    }

    #[test]
    fn every_number_of_a_project_can_be_an_item() {
        let mut all = project();
        let fields = list_fields(&all).unwrap();
        let mut count = 0;
        for field in fields {
            let known = crate::project::field(&field.path).map(|field| field.kind);
            if !matches!(
                known,
                Some(FieldKind::Number { .. } | FieldKind::Whole { .. } | FieldKind::Flag | FieldKind::Choice(_))
            ) {
                continue;
            }
            let (added, place) = add_item(&all, Content::Field, &field.path).unwrap();
            if let Ok(image) = encode(&added) {
                let loss = image.items[place].loss.as_ref().map_or(0.0, |loss| loss.amount().abs());
                assert!(loss < 1.0, "{}: {loss}", field.path);
                count += 1;
            }
            all = remove_item(&added, place).unwrap();
        }
        assert!(count > FIELDS.len() / 2, "{count}");
    }

    #[test]
    fn values_and_breakpoints_keep_together() {
        let project = project();
        let at = |name: &str| project.image.items.iter().position(|item| item.name == name).unwrap();
        let resized = resize_item(&project, at("advance"), Some(6), Some(5)).unwrap();
        let size = |name: &str| (resized.image.items[at(name)].speeds, resized.image.items[at(name)].loads);
        assert_eq!((size("advance"), size("advance_speeds")), ((Some(6), Some(5)), (Some(6), None)));
        assert_eq!((size("advance_loads"), size("coolant_trim")), ((None, Some(5)), (None, None)));
        assert!(encode(&resized).is_ok());
        let back = resize_item(&resized, at("advance_speeds"), None, None).unwrap();
        assert_eq!(back.image.items[at("advance")].speeds, None);
        assert_eq!(back.image.items[at("advance")].loads, Some(5));
        let whole = resize_item(&project, at("wheel_teeth"), Some(6), None).unwrap();
        assert_eq!(whole, project);
    }

    #[test]
    fn overlaps_and_overruns_are_refused_in_words() {
        let project = reference_project();
        let words = |address| move_item(&project, 2, address).unwrap_err().to_string();
        assert!(words(0x1003).contains("'speeds' and 'map' share addresses from 1003"), "{}", words(0x1003));
        assert!(words(0x1018).contains("leaves the image 1000 to 101F"), "{}", words(0x1018));
        assert_eq!(move_item(&project, 2, 0x1010).unwrap(), project);
    }

    #[test]
    fn the_whole_image_moves_together() {
        let project = reference_project();
        let moved = rebase(&project, 0x0800_0000).unwrap();
        assert_eq!(moved.image.items[2].address, 0x0800_0010);
        assert_eq!(encode(&moved).unwrap().bytes, encode(&project).unwrap().bytes);
        assert_eq!(rebase(&moved, 0x1000).unwrap(), project);
        assert!(rebase(&project, 0xFFFF_FFF0).is_err());
    }

    #[test]
    fn a_checksum_in_the_last_bytes_stays_there() {
        let project = project();
        let end = |project: &Project| {
            let checksum = &project.image.checksum;
            (checksum.from, checksum.length, checksum.stored_at + checksum.kind.size() - project.image.size)
        };
        let size = project.image.size;
        assert_eq!(end(&project), (0, size - 2, 0));
        let longer = set_checksum_kind(&project, ChecksumKind::Crc32IsoHdlc).unwrap();
        assert_eq!(end(&longer), (0, size - 4, 0));
        assert!(encode(&longer).is_ok());
        let grown = set_image_size(&longer, 2 * size).unwrap();
        assert_eq!(end(&grown), (0, 2 * size - 4, 0));
        let none = set_checksum_kind(&grown, ChecksumKind::None).unwrap();
        let again = set_checksum_kind(&none, ChecksumKind::Sum8).unwrap();
        assert_eq!(again.image.checksum.stored_at, 2 * size - 1);
        assert!(set_image_size(&project, 64).unwrap_err().to_string().contains("leaves the image"));
        let inside = reference_project().edit(|parts| parts.image.size = 0x40).unwrap();
        let words = set_checksum_kind(&inside, ChecksumKind::Sum8).unwrap().image.checksum.clone();
        assert_eq!((words.stored_at, words.length), (0x101C, 12), "it does not stand in the last bytes");
    }
}
