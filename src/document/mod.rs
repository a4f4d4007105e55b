//! Floor 5: the open project: its history, its file, its recovery copy, and the only way in which anything
//! changes.
//!
//! Watching the file is left to whoever has an event loop: it watches [`folder_to_watch`] and calls
//! [`Document::check_disk`].

mod data_folder;
mod disk;
#[expect(clippy::module_inception, reason = "the document is this room's main noun")]
mod document;
mod errors;
mod exporting;
mod files;
mod history;
mod home;
mod journal;
mod opening;
mod recent;
mod recovery;
mod replace;
mod save_job;
mod saving;
mod staged;
mod temporary;

pub use data_folder::{DATA_FOLDER_VARIABLE, DataFolder};
pub use disk::{BoundedError, DiskState, folder_to_watch, read_bounded};
pub use document::{Document, ReadOnly};
pub use errors::{OpenError, SaveError, SaveWarning, Saved};
pub use exporting::{Export, ExportError, Exported, ExportedFile, export_files};
pub use files::{Rewrite, read_project, replaceable, write_file, write_project};
pub use history::{Revision, Step};
pub use journal::broken_sets;
pub use recent::RecentFiles;
pub use recovery::{LeftBehind, Offer, Recovery, write_pending_copies};
pub use save_job::{SaveDone, SaveJob, SaveTo};
pub use saving::{CheckDone, CheckJob, ReadDone, ReadJob, Reread};
pub use staged::{Placed, Staged, place_all};
pub use temporary::Scratch;

/// A small project for the tests of this room.
#[cfg(test)]
mod trial {
    use crate::project::{LoadKind, NewProject, Origin, Project};

    pub(super) fn project() -> Project {
        NewProject { name: "trial".into(), cylinders: 4, load: LoadKind::Throttle, speeds: 4, loads: 4 }
            .create()
            .unwrap()
    }

    pub(super) fn with_cell(project: &Project, cell: usize, advance_deg: f64) -> Project {
        let mut values = project.advance.table().values().to_vec();
        values[cell] = advance_deg;
        project.with_advance(project.advance.with_values(values, Origin::Typed).unwrap()).unwrap()
    }
}
