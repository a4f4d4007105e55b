//! Copies of changed projects in the data folder, so that a crash loses at most a few seconds of work.
//!
//! Each open document that differs from its file has one copy, a project file whose first lines are comments
//! that say where it came from. Next to it is a lock file, locked by the process that owns the copy; if the
//! lock is free, the process is gone and the copy is offered.

mod copy;
mod keeper;
mod offer;
mod pending;
mod standing;

pub(super) use copy::{Copy, Origin};
pub(super) use keeper::{CopyWriter, Keeper};
pub use offer::{LeftBehind, Offer, Recovery};
pub use pending::write_pending_copies;
