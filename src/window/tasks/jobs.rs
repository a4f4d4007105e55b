//! Work with files, one task per job, and their results, which are taken in when the window is ready for them.

use std::path::PathBuf;
use std::time::{Duration, Instant};

use eframe::egui;

use super::task::{Fault, Same, Task};
use crate::document::{CheckDone, Document, ReadDone, SaveDone};
use crate::window::state::dialogs::ReadTable;
use crate::window::state::export_state::{CompareFound, ImageRead, WrittenFiles};
use crate::window::state::file_jobs::{FileJob, Request};
use crate::window::tasks::leftovers::Leftovers;
use crate::window::tasks::paths::Chooser;
use crate::window::tasks::paths::Destination;
use crate::window::tasks::rig_files::RigNews;
use crate::wording::Refusal;

/// A dialog that returns without a path sooner than anyone could cancel it was never shown.
const SOONEST_CANCEL: Duration = Duration::from_millis(300);

/// The result of asking the system for a path.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Choice {
    /// This one.
    Path(PathBuf),
    /// The user cancelled.
    Cancelled,
    /// The system has no dialog.
    NoService,
}

/// The kinds of work with files, with what identifies the request.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Job {
    /// Asking the system for a path: the ticket of the dialog.
    Choosing(u64),
    /// Looking up the place where something is to be written: the number of the request.
    Preparing(u64),
    /// Reading a project file or a recovery copy: the number of the request.
    Opening(u64),
    /// Saving the project.
    Saving,
    /// Looking at the project's file.
    Looking,
    /// Reading the project's file again.
    Rereading,
    /// Looking for what a crash left behind.
    FindingLeftovers,
    /// Deleting a recovery copy.
    Discarding,
    /// Reading or writing a table.
    Table,
    /// Writing, reading or comparing an image; writing a page.
    Image,
    /// Reading or writing for the rig.
    Rig,
}

impl Same for Job {
    fn is_same(&self, other: &Self) -> bool {
        self == other
    }
}

impl Job {
    /// What it is, as the subject of a sentence.
    pub const fn name(self) -> &'static str {
        match self {
            Self::Choosing(_) => "The file dialog",
            Self::Preparing(_) => "Looking at the path",
            Self::Opening(_) => "Opening",
            Self::Saving => "Saving",
            Self::Looking => "Looking at the project's file",
            Self::Rereading => "Reading the saved file",
            Self::FindingLeftovers => "Looking for recovery copies",
            Self::Discarding => "Deleting the recovery copy",
            Self::Table => "Reading or writing the table",
            Self::Image => "Reading or writing the file",
            Self::Rig => "Reading or writing for the rig",
        }
    }
}

/// The result of a job.
#[derive(Debug)]
pub enum News {
    /// A path was chosen for a job, or not.
    Chosen(FileJob, Choice),
    /// The place where a job is to write was looked up.
    Prepared(FileJob, Destination),
    /// A table file was read.
    TableRead {
        /// Which file.
        path: PathBuf,
        /// The result of reading it.
        read: ReadTable,
    },
    /// A table file was written.
    Exported {
        /// Which file.
        path: PathBuf,
        /// Remarks about it, or why it was not written.
        done: Result<Option<String>, Refusal>,
    },
    /// Image files were written and read back.
    ImageWritten(Result<Box<WrittenFiles>, Refusal>),
    /// A page to print was written: which, where, and remarks or why not.
    PageWritten(&'static str, PathBuf, Result<Option<String>, Refusal>),
    /// An image file was compared with a project.
    ImageCompared(Box<CompareFound>),
    /// An image file was read.
    ImageRead(Box<ImageRead>),
    /// Something of the rig was read or written.
    Rig(RigNews),
    /// A save was carried out; `None` if a mistake in this program broke it off.
    Saved(Option<Box<SaveDone>>),
    /// A project file or a recovery copy was read.
    Opened(Result<Box<Document>, Unopened>),
    /// The project's file was looked at.
    Looked(CheckDone),
    /// The project's file was read again.
    Reread(Box<ReadDone>),
    /// What a crash left behind.
    Leftovers(Leftovers),
    /// A recovery copy was deleted: its name, and why not.
    Discarded(String, Result<(), Refusal>),
}

/// Why a file could not be opened as a document.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Unopened {
    /// It is the one that is already open.
    IsOpen,
    /// It cannot be read.
    Fault(String),
}

impl News {
    /// Whether taking it in may change or replace the project, which ends any drag in progress.
    pub const fn ends_gesture(&self) -> bool {
        matches!(
            self,
            Self::Chosen(..)
                | Self::Prepared(..)
                | Self::ImageWritten(_)
                | Self::Opened(_)
                | Self::Saved(_)
                | Self::Reread(_)
        )
    }
}

/// The jobs in progress, and those whose result has not been taken in yet, in the order in which they were
/// started.
#[derive(Debug, Default)]
pub struct Jobs(Vec<Going>);

/// A job, and the single run of its task.
#[derive(Debug)]
struct Going {
    job: Job,
    task: Task<Job, News>,
}

impl Jobs {
    /// Starts a job. Work that panics, or for which there is no thread, results in a fault.
    pub fn start(&mut self, ctx: &egui::Context, job: Job, work: impl FnOnce() -> News + Send + 'static) {
        let mut task = Task::default();
        task.ask(&job, ctx, job.name(), move |_| Ok(work()));
        if task.working().is_none() {
            // There is no thread, which is reported in the next frame.
            ctx.request_repaint();
        }
        self.0.push(Going { job, task });
    }

    /// Asks the system for a path.
    pub fn choose(&mut self, ctx: &egui::Context, chooser: &Chooser, ticket: u64, job: FileJob, request: Request) {
        let chooser = chooser.clone();
        self.start(ctx, Job::Choosing(ticket), move || {
            let asked_at = Instant::now();
            let choice = match chooser(&request) {
                Some(path) => Choice::Path(path),
                None if asked_at.elapsed() < SOONEST_CANCEL => Choice::NoService,
                None => Choice::Cancelled,
            };
            News::Chosen(job, choice)
        });
    }

    /// Whether a job is in progress, or its result has not been taken in yet.
    pub fn is_at(&self, job: Job) -> bool {
        self.0.iter().any(|going| going.job == job)
    }

    /// Collects results.
    pub fn receive(&mut self) {
        self.0.iter_mut().for_each(|going| going.task.receive());
    }

    /// Whether there are results that have not been taken in.
    pub fn has_answers(&self) -> bool {
        self.answers().next().is_some()
    }

    /// The jobs that have a result: their index, and the result; `None` if there is a fault.
    pub fn answers(&self) -> impl Iterator<Item = (usize, Option<&News>)> {
        let ended = self.0.iter().enumerate().filter(|(_, going)| going.task.working().is_none());
        ended.map(|(place, going)| (place, going.task.newest().map(|(_, news)| &**news)))
    }

    /// Removes a job that has a result.
    pub(in crate::window) fn take(&mut self, place: usize) -> (Job, Result<News, Fault>) {
        let Going { job, mut task } = self.0.remove(place);
        (job, task.take_answer().unwrap_or_else(|| Err(Fault::BrokenOff(job.name()))))
    }
}
