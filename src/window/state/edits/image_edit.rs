//! The layout of the image, and how the unit has each part of the project.

use crate::image::{
    add_item, add_missing, move_item, rebase, remove_item, resize_item, set_checksum_kind, set_image_size,
};
use crate::project::{ChecksumKind, Content, CoveredHow, CoveredPart, Project, StartingLayout};
use crate::wording::Refusal;

/// A change of the image's layout, or of how the unit has a part.
#[derive(Clone, Debug, PartialEq)]
pub enum ImageEdit {
    /// A ready-made layout in the place of the old one.
    Start(StartingLayout),
    /// The image begins at another address; items and checksum move along.
    Rebase(u32),
    /// The image has so many bytes.
    Size(u32),
    /// Another kind of checksum.
    Checksum(ChecksumKind),
    /// One more item: its content, and for a single number the path of its field.
    Add(Content, String),
    /// An item for everything that the image does not hold, where there is room.
    AddMissing,
    /// An item is taken out, by its place in the layout.
    Remove(usize),
    /// An item begins at another address.
    Move {
        /// Its place in the layout.
        place: usize,
        /// Its first address.
        address: u32,
    },
    /// An item has so many numbers of its own along each axis; as many as the project where there is none.
    Resize {
        /// Its place in the layout.
        place: usize,
        /// Along speed.
        speeds: Option<u16>,
        /// Along load.
        loads: Option<u16>,
    },
    /// Whether the unit was set by hand as a part says.
    SetByHand(CoveredPart, bool),
    /// How the unit has a part.
    Cover(CoveredPart, CoveredHow),
}

impl ImageEdit {
    /// The project with the change.
    ///
    /// # Errors
    /// Why it cannot be; the project is as it was.
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

/// A trim is folded at its sender's stand-in temperature until another is given.
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
