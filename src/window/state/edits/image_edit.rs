//! Changes to the layout of the image, and to how each part of the project reaches the unit.

use crate::image::{
    add_item, add_missing, move_item, rebase, remove_item, resize_item, set_checksum_kind, set_image_size,
};
use crate::project::{ChecksumKind, Content, CoveredHow, CoveredPart, Project, StartingLayout};
use crate::wording::Refusal;

/// A change to the image's layout, or to how a part reaches the unit.
#[derive(Clone, Debug, PartialEq)]
pub enum ImageEdit {
    /// Replace the layout by a ready-made one.
    Start(StartingLayout),
    /// Move the image to another address, with its items and its checksum.
    Rebase(u32),
    /// Set the number of bytes.
    Size(u32),
    /// Set the kind of checksum.
    Checksum(ChecksumKind),
    /// Add an item: its content, and for a single number the path of its field.
    Add(Content, String),
    /// Add an item for everything that the image does not hold, if there is room.
    AddMissing,
    /// Remove an item, by its index in the layout.
    Remove(usize),
    /// Move an item to another address.
    Move {
        /// Its index in the layout.
        place: usize,
        /// Its first address.
        address: u32,
    },
    /// Give an item sizes of its own along each axis; `None` is the project's size.
    Resize {
        /// Its index in the layout.
        place: usize,
        /// Along speed.
        speeds: Option<u16>,
        /// Along load.
        loads: Option<u16>,
    },
    /// Whether a part was set in the unit by hand.
    SetByHand(CoveredPart, bool),
    /// How a part reaches the unit.
    Cover(CoveredPart, CoveredHow),
}

impl ImageEdit {
    /// The project with the change.
    ///
    /// # Errors
    /// Why it is not possible; the project is unchanged.
    pub fn apply(&self, project: &Project) -> Result<Project, Refusal> {
        match *self {
            Self::Start(layout) => {
                let made = layout.layout(project.sensors.load);
                project.edit(|parts| parts.image = made).map_err(Refusal::from)
            }
            Self::Rebase(start) => rebase(project, start).map_err(|fault| Refusal::new(fault.message)),
            Self::Size(size) => set_image_size(project, size).map_err(|fault| Refusal::new(fault.message)),
            Self::Checksum(kind) => set_checksum_kind(project, kind).map_err(|fault| Refusal::new(fault.message)),
            Self::Add(content, ref path) => {
                add_item(project, content, path).map(|(after, _)| after).map_err(Refusal::from)
            }
            Self::AddMissing => add_missing(project).map(|(whole, _)| whole).map_err(Refusal::from),
            Self::Remove(place) => remove_item(project, place).map_err(Refusal::from),
            Self::Move { place, address } => {
                move_item(project, place, address).map_err(|fault| Refusal::new(fault.message))
            }
            Self::Resize { place, speeds, loads } => {
                resize_item(project, place, speeds, loads).map_err(|fault| Refusal::new(fault.message))
            }
            Self::SetByHand(part, is_set) => {
                let edited = project.edit(|parts| parts.image.coverage.of_mut(part).set = is_set);
                edited.map_err(Refusal::from)
            }
            Self::Cover(part, how) => covered(project, part, how),
        }
    }
}

/// A trim is folded at its sender's stand-in temperature unless another is given.
fn covered(project: &Project, part: CoveredPart, how: CoveredHow) -> Result<Project, Refusal> {
    let stand_in_c = match part {
        CoveredPart::CoolantTrim => Some(project.sensors.coolant.stand_in_c),
        CoveredPart::AirTrim => Some(project.sensors.air.stand_in_c),
        _ => None,
    };
    let edited = project.edit(|parts| {
        let coverage = parts.image.coverage.of_mut(part);
        coverage.how = how;
        if how == CoveredHow::InTable && coverage.at_c.is_none() {
            coverage.at_c = stand_in_c;
        }
    });
    edited.map_err(Refusal::from)
}
