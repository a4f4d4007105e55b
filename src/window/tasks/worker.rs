//! Work off the frame and how its results come back.

use std::panic::{AssertUnwindSafe, catch_unwind};
use std::path::PathBuf;
use std::sync::mpsc::{self, Receiver, Sender};
use std::thread;
use std::time::{Duration, Instant};

use eframe::egui;

use crate::document::{CheckDone, Document, SaveDone};
use crate::window::state::dialogs::ReadTable;
use crate::window::state::file_jobs::{FileJob, Request};
use crate::window::state::image_results::{CompareFound, ImageRead, WrittenFiles};
use crate::window::tasks::chooser::Chooser;
use crate::window::tasks::rig_files::RigNews;

/// A dialog that comes back empty sooner than anyone can cancel it was never shown.
const SOONEST_CANCEL: Duration = Duration::from_millis(300);

/// What came of asking the system for a path.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Choice {
    /// This one.
    Path(PathBuf),
    /// The user cancelled.
    Cancelled,
    /// The system has no dialog.
    NoService,
}

/// Work off the frame, and what waits for it in the window.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Task {
    /// Asking the system for a path: which dialog.
    Choosing(u64),
    /// Reading a project file or a recovery copy: for which asking.
    Opening(u64),
    /// Saving the project.
    Saving,
    /// Looking at the project's file.
    Looking,
    /// Reading or writing a table.
    Table,
    /// Writing, reading or comparing an image; writing a page.
    Image,
    /// Reading or writing for the rig.
    Rig,
}

impl Task {
    /// What it is, as the subject of a sentence.
    pub const fn name(self) -> &'static str {
        match self {
            Self::Choosing(_) => "The file dialog",
            Self::Opening(_) => "Opening",
            Self::Saving => "Saving",
            Self::Looking => "Looking at the project's file",
            Self::Table => "Reading or writing the table",
            Self::Image => "Reading or writing the file",
            Self::Rig => "Reading or writing for the rig",
        }
    }
}

/// A result of work off the frame.
#[derive(Debug)]
pub enum News {
    /// A mistake in this program broke the work off.
    BrokenOff(Task),
    /// A path was chosen for a job, or not.
    Chosen {
        /// Which dialog it was.
        ticket: u64,
        /// For what.
        job: FileJob,
        /// What came of it.
        choice: Choice,
    },
    /// A table file was read.
    TableRead {
        /// Which file.
        path: PathBuf,
        /// What came of it.
        read: ReadTable,
    },
    /// A table file was written.
    Exported {
        /// Which file.
        path: PathBuf,
        /// What to know about it, or why it was not written.
        done: Result<Option<String>, String>,
    },
    /// Image files were written and read back.
    ImageWritten(Result<Box<WrittenFiles>, String>),
    /// A page to print was written: which, where, and what to know about it or why not.
    PageWritten(&'static str, PathBuf, Result<Option<String>, String>),
    /// An image file was compared with a project.
    ImageCompared(Box<CompareFound>),
    /// An image file was read.
    ImageRead(Box<ImageRead>),
    /// Something of the rig was read or written.
    Rig(RigNews),
    /// A save was carried out, or broken off by a mistake in this program.
    Saved(Option<Box<SaveDone>>),
    /// A project file or a recovery copy was read.
    Opened {
        /// For which asking.
        ticket: u64,
        /// The document, or why there is none.
        opened: Result<Box<Document>, String>,
    },
    /// The project's file was looked at.
    Looked(CheckDone),
    /// Something happened to the project's file.
    FileTouched,
}

impl News {
    /// Whether taking it in may change the project or put another in its place, and so ends what is being dragged.
    pub const fn ends_gesture(&self) -> bool {
        matches!(
            self,
            Self::BrokenOff(_) | Self::Chosen { .. } | Self::ImageWritten(_) | Self::Opened { .. } | Self::Saved(_)
        )
    }
}

/// Starts threads and collects what they found.
#[derive(Debug)]
pub struct Worker {
    sender: Sender<News>,
    receiver: Receiver<News>,
}

impl Default for Worker {
    fn default() -> Self {
        let (sender, receiver) = mpsc::channel();
        Self { sender, receiver }
    }
}

impl Worker {
    /// What has come since the last call.
    pub fn news(&self) -> Vec<News> {
        self.receiver.try_iter().collect()
    }

    /// Sends news and wakes the window.
    pub fn bell(&self, ctx: &egui::Context) -> impl Fn(News) + Send + 'static {
        let (sender, ctx) = (self.sender.clone(), ctx.clone());
        move |news| {
            // Nobody listens any more when the window is gone.
            let _ = sender.send(news);
            ctx.request_repaint();
        }
    }

    /// Does work on a thread of its own; false when the system gives none. Work that panics is news as well.
    pub fn start(&self, ctx: &egui::Context, task: Task, work: impl FnOnce() -> News + Send + 'static) -> bool {
        let bell = self.bell(ctx);
        let work = move || bell(catch_unwind(AssertUnwindSafe(work)).unwrap_or(News::BrokenOff(task)));
        thread::Builder::new().name(task.name().into()).spawn(work).is_ok()
    }

    /// Asks the system for a path.
    pub fn choose(&self, ctx: &egui::Context, chooser: &Chooser, ticket: u64, job: FileJob, request: Request) -> bool {
        let chooser = chooser.clone();
        self.start(ctx, Task::Choosing(ticket), move || {
            let asked_at = Instant::now();
            let choice = match chooser(&request) {
                Some(path) => Choice::Path(path),
                None if asked_at.elapsed() < SOONEST_CANCEL => Choice::NoService,
                None => Choice::Cancelled,
            };
            News::Chosen { ticket, job, choice }
        })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn work_that_panics_is_told_to_a_window_that_is_woken() {
        let (worker, ctx) = (Worker::default(), egui::Context::default());
        let (woken, wakings) = mpsc::channel();
        ctx.set_request_repaint_callback(move |_| _ = woken.send(()));
        assert!(worker.start(&ctx, Task::Image, || std::panic::resume_unwind(Box::new("broken"))));
        wakings.recv().unwrap();
        assert!(matches!(worker.news()[..], [News::BrokenOff(Task::Image)]));
    }
}
