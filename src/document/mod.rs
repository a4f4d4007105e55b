//! Floor 5: the open project: its history, its file, its recovery copy, and the only way in which anything
//! changes.
//!
//! Watching the file is left to whoever has an event loop: it watches [`folder_to_watch`] and calls
//! [`Document::check_disk`].

mod bounded;
mod comments;
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
mod lock;
mod opening;
mod path_text;
mod recent;
mod recovery;
mod replace;
mod save_job;
mod saving;
mod staged;
mod temporary;
#[cfg(test)]
mod trial;

pub use bounded::{BoundedError, read_bounded};
pub use data_folder::{DATA_FOLDER_VARIABLE, DataFolder};
pub use disk::{DiskState, folder_to_watch};
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
