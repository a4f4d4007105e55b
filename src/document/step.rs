//! One state of the project in its history.

use std::sync::atomic::{AtomicU64, Ordering};

use jiff::Timestamp;

use crate::project::Project;
use crate::table::Selection;

/// Names one state of a project. Two different states never share one, in all documents of a process, so that work
/// done for one state can be told from work done for another.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Revision(u64);

impl Revision {
    pub(super) fn next() -> Self {
        static NEXT: AtomicU64 = AtomicU64::new(0);
        Self(NEXT.fetch_add(1, Ordering::Relaxed))
    }
}

/// A state the project was in, and the change that led to it.
#[derive(Clone, Debug)]
pub struct Step {
    /// The change in words: 'Raise 12 cells by 1.0°'.
    pub label: String,
    /// When it was made.
    pub at: Timestamp,
    /// Which cells were selected for it.
    pub selected: Option<Selection>,
    /// The project after it; what did not change is shared with the other steps.
    pub project: Project,
    /// Names the state.
    pub revision: Revision,
    /// The step it was made from; none for the first.
    pub parent: Option<usize>,
}
