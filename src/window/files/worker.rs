//! Work off the frame and how its results come back.

use std::path::PathBuf;
use std::sync::mpsc::{self, Receiver, Sender};
use std::thread;
use std::time::{Duration, Instant};

use eframe::egui;

use super::{Chooser, CompareFound, FileJob, ImageRead, Request, WrittenFiles};
use crate::document::{CheckDone, Document, SaveDone};
use crate::window::dialogs::ReadTable;
use crate::window::sheets::rig::RigNews;

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

/// A result of work off the frame.
#[derive(Debug)]
pub enum News {
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
        matches!(self, Self::Chosen { .. } | Self::ImageWritten(_) | Self::Opened { .. } | Self::Saved(_))
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

    /// Does work on a thread of its own; false when the system gives none.
    pub fn start(&self, ctx: &egui::Context, name: &str, work: impl FnOnce() -> News + Send + 'static) -> bool {
        let bell = self.bell(ctx);
        thread::Builder::new().name(name.into()).spawn(move || bell(work())).is_ok()
    }

    /// Asks the system for a path.
    pub fn choose(&self, ctx: &egui::Context, chooser: &Chooser, ticket: u64, job: FileJob, request: Request) -> bool {
        let chooser = chooser.clone();
        self.start(ctx, "file dialog", move || {
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
