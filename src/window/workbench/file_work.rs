//! What the workbench keeps of reading and writing, and of what it asks and tells about it.

use std::path::PathBuf;

use crate::document::{Offer, Revision};
use crate::window::state::dialogs::Dialogs;
use crate::window::state::file_jobs::Next;
use crate::window::tasks::watcher::Watcher;
use crate::window::tasks::worker::{News, Worker};

/// Files being read and written, and the questions about them.
#[derive(Default)]
pub(super) struct Files {
    pub(super) dialogs: Dialogs,
    /// The recovery copies on offer; `dialogs` has them in words.
    pub(super) offers: Vec<Offer>,
    pub(super) worker: Worker,
    pub(super) watcher: Option<Watcher>,
    /// The number of the last file dialog.
    pub(super) last_ticket: u64,
    /// What goes on once the project is saved.
    pub(super) after_saving: Option<Next>,
    /// The project that is being read.
    pub(super) opening: Option<Opening>,
    /// Whether a thread is looking at the document's file.
    pub(super) is_looking: bool,
    /// Whether the file is to be looked at once more when that, or the saving, is done.
    pub(super) looks_again: bool,
    /// News that wait for the end of a gesture.
    pub(super) held_news: Vec<News>,
}

/// A project that is being read.
#[derive(Debug)]
pub(super) struct Opening {
    pub(super) ticket: u64,
    /// The state of the open document that was saved or given up for it.
    pub(super) given_up: Revision,
    /// The file; none for a recovery copy.
    pub(super) path: Option<PathBuf>,
}
