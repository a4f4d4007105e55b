//! The workbench's state of reading and writing, and of the questions about it.

use std::path::PathBuf;
use std::sync::{Arc, Mutex};

use crate::document::{DataFolder, Offer, Revision, SaveJob};
use crate::window::state::dialogs::Dialogs;
use crate::window::state::file_jobs::{FileJob, Next};
use crate::window::tasks::jobs::Jobs;
use crate::window::tasks::leftovers::RecentKeeper;
use crate::window::tasks::watcher::WatcherKeeper;

/// Files being read and written, and the questions about them.
pub(super) struct Files {
    pub(super) dialogs: Dialogs,
    /// The recovery copies on offer; `dialogs` has them in words.
    pub(super) offers: Vec<Offer>,
    pub(super) jobs: Jobs,
    pub(super) watcher: WatcherKeeper,
    pub(super) recent: RecentKeeper,
    /// The folder in which the program was started.
    pub(super) working_folder: PathBuf,
    /// The number of the last file dialog, path or project that was asked for.
    pub(super) last_ticket: u64,
    /// What to continue with once the project is saved.
    pub(super) after_saving: Option<Next>,
    /// The save in progress; taken out by the thread that carries it out.
    pub(super) save_in_hand: Option<Arc<Mutex<Option<SaveJob>>>>,
    /// The project that is being read.
    pub(super) opening: Option<Opening>,
    /// The path that is being looked up.
    pub(super) preparing: Option<Preparing>,
    /// Whether the file is to be looked at once more when the present look, or the saving, is done.
    pub(super) looks_again: bool,
    /// Whether the first frame has begun.
    pub(super) is_begun: bool,
}

impl Files {
    /// For a window that opened with a file, or with none.
    pub(super) fn new(data: &DataFolder, opened: Option<PathBuf>) -> Self {
        Self {
            dialogs: Dialogs::default(),
            offers: Vec::new(),
            jobs: Jobs::default(),
            watcher: WatcherKeeper::default(),
            recent: RecentKeeper::new(data, opened),
            working_folder: std::env::current_dir().unwrap_or_default(),
            last_ticket: 0,
            after_saving: None,
            save_in_hand: None,
            opening: None,
            preparing: None,
            looks_again: false,
            is_begun: false,
        }
    }

    /// The number of the next dialog, path or project.
    pub(super) const fn next_ticket(&mut self) -> u64 {
        self.last_ticket += 1;
        self.last_ticket
    }
}

/// A project that is being read.
#[derive(Debug)]
pub(super) struct Opening {
    pub(super) ticket: u64,
    /// The state of the open document that was saved or discarded for it.
    pub(super) given_up: Revision,
    /// The file; none for a recovery copy.
    pub(super) path: Option<PathBuf>,
}

/// A path that is being looked up.
#[derive(Debug)]
pub(super) struct Preparing {
    pub(super) ticket: u64,
    pub(super) job: FileJob,
    pub(super) asked: PathBuf,
    /// `Some` if it was typed in the window; within that, the path that the user was told exists already, if the user
    /// was told.
    pub(super) typed: Option<Option<String>>,
}
