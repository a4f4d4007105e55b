//! Copies of changed projects in the data folder, so that a crash loses a few seconds at most.
//!
//! Each open document that differs from its file has one copy, a project file of its own whose first lines are comments with
//! where it came from. Beside it stands a lock file, held by the process that owns the copy; once the lock is free
//! the process is gone and the copy is offered.

mod copy;
mod keeper;
mod offer;
mod pending;
mod slot;
mod standing;

pub(super) use copy::{Copy, Origin};
pub(super) use keeper::{CopyWriter, Keeper};
pub use offer::{LeftBehind, Offer, Recovery};
pub use pending::write_pending_copies;
