//! Work with files, one task per job, and their results, which are taken in when the window is ready for them.

use std::path::PathBuf;
use std::time::{Duration, Instant};

use eframe::egui;

use super::task::{Fault, Same, Task};
use crate::document::{CheckDone, CheckJob, Document, ReadDone, SaveDone};
use crate::window::state::dialogs::ReadTable;
use crate::window::state::export_state::{CompareFound, ImageRead, WrittenFiles};
use crate::window::state::file_jobs::{FileJob, Request};
use crate::window::state::projects::ProjectId;
use crate::window::tasks::leftovers::Leftovers;
use crate::window::tasks::paths::Chooser;
use crate::window::tasks::paths::Destination;
use crate::window::tasks::rig_files::RigNews;
use crate::window::tasks::sweep_files::SweepNews;
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
    /// Reading again the projects that were open when the program ended.
    Reopening,
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
    /// Reading the readings of timing sweeps.
    Sweeps,
    /// Reading or writing for the rig.
    Rig,
    /// Painting a view for the clipboard.
    Painting,
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
            Self::Reopening => "Opening the projects of the last time",
            Self::Saving => "Saving",
            Self::Looking => "Looking at the project's file",
            Self::Rereading => "Reading the saved file",
            Self::FindingLeftovers => "Looking for recovery copies",
            Self::Discarding => "Deleting the recovery copy",
            Self::Table => "Reading or writing the table",
            Self::Image => "Reading or writing the file",
            Self::Sweeps => "Reading the sweeps",
            Self::Rig => "Reading or writing for the rig",
            Self::Painting => "Painting the picture",
        }
    }

    /// Whether it is for the window as a whole. All others are for one project, and their results are taken in only
    /// while that is shown.
    const fn is_of_window(self) -> bool {
        matches!(self, Self::Opening(_) | Self::Reopening | Self::FindingLeftovers | Self::Discarding | Self::Painting)
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
    /// Readings of timing sweeps were read.
    Sweeps(SweepNews),
    /// Something of the rig was read or written.
    Rig(RigNews),
    /// A save was carried out; `None` if a mistake in this program broke it off.
    Saved(Option<Box<SaveDone>>),
    /// A project file or a recovery copy was read.
    Opened(Result<Box<Document>, Unopened>),
    /// The projects that were open when the program ended were read again.
    Reopened(Box<Reopened>),
    /// The project's file was looked at.
    Looked(CheckDone),
    /// The project's file was read again.
    Reread(Box<ReadDone>),
    /// A view was painted and put on the clipboard: which.
    Painted(&'static str, Result<(), Refusal>),
    /// What a crash left behind.
    Leftovers(Leftovers),
    /// A recovery copy was deleted: its name, and why not.
    Discarded(String, Result<(), Refusal>),
}

/// Why a file could not be opened as a document.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Unopened {
    /// It is open already, as this project.
    IsOpen(ProjectId),
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
                | Self::Reopened(_)
                | Self::Saved(_)
                | Self::Reread(_)
                | Self::Sweeps(_)
        )
    }
}

/// The projects that were open when the program ended.
#[derive(Debug, Default)]
pub struct Reopened {
    /// Those that could be read, in the order of their tabs.
    pub documents: Vec<Document>,
    /// The names of those that another window has open; they are left to it.
    pub elsewhere: Vec<String>,
    /// Why others could not be read.
    pub failed: Vec<String>,
}

/// The jobs in progress, and those whose result has not been taken in yet, in the order in which they were
/// started. Each belongs to the project that was shown when it was started, or to the window.
#[derive(Debug, Default)]
pub struct Jobs {
    going: Vec<Going>,
    /// The project that is shown.
    shown: ProjectId,
}

/// A job, whose it is, and the single run of its task.
#[derive(Debug)]
struct Going {
    job: Job,
    project: ProjectId,
    task: Task<Job, News>,
}

impl Jobs {
    /// Starts a job. Work that panics, or for which there is no thread, results in a fault.
    pub fn start(&mut self, ctx: &egui::Context, job: Job, work: impl FnOnce() -> News + Send + 'static) {
        self.start_for(ctx, self.shown, job, work);
    }

    /// Looks at the file of a project that waits.
    pub fn look_for(&mut self, ctx: &egui::Context, waiting: ProjectId, look: CheckJob) {
        self.start_for(ctx, waiting, Job::Looking, move || News::Looked(look.run()));
    }

    fn start_for(
        &mut self,
        ctx: &egui::Context,
        project: ProjectId,
        job: Job,
        work: impl FnOnce() -> News + Send + 'static,
    ) {
        let mut task = Task::default();
        task.ask(&job, ctx, job.name(), move |_| Ok(work()));
        if task.working().is_none() {
            // There is no thread, which is reported in the next frame.
            ctx.request_repaint();
        }
        self.going.push(Going { job, project, task });
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

    /// Another project is shown: jobs are started for it, and its results can be taken in.
    pub const fn turn_to(&mut self, shown: ProjectId) {
        self.shown = shown;
    }

    /// Whether a job of the project shown, or of the window, is in progress, or its result has not been taken in yet.
    pub fn is_at(&self, job: Job) -> bool {
        self.going.iter().any(|going| going.job == job && self.is_here(going))
    }

    /// Whether anything is in progress for a project, or has a result that was not taken in yet, besides looking at its
    /// file.
    pub fn is_at_work_for(&self, project: ProjectId) -> bool {
        let is_work = |job: Job| !job.is_of_window() && job != Job::Looking;
        self.going.iter().any(|going| going.project == project && is_work(going.job))
    }

    /// Whether the file of a project is being looked at, and what was seen has not been taken in yet.
    pub fn is_looking_for(&self, project: ProjectId) -> bool {
        self.going.iter().any(|going| going.project == project && going.job == Job::Looking)
    }

    /// Forgets what is in progress for a project that was closed: nobody waits for it any more.
    pub fn forget(&mut self, project: ProjectId) {
        self.going.retain(|going| going.project != project || going.job.is_of_window());
    }

    /// Whether the result can be taken in while this project is shown.
    fn is_here(&self, going: &Going) -> bool {
        going.job.is_of_window() || going.project == self.shown
    }

    /// Collects results.
    pub fn receive(&mut self) {
        self.going.iter_mut().for_each(|going| going.task.receive());
    }

    /// Whether there are results that could be taken in.
    pub fn has_answers(&self) -> bool {
        self.answers().next().is_some()
    }

    /// The jobs of the project shown and of the window that have a result: their index, and the result; `None` if there
    /// is a fault.
    pub fn answers(&self) -> impl Iterator<Item = (usize, Option<&News>)> {
        let is_ended = |going: &Going| going.task.working().is_none() && self.is_here(going);
        let ended = self.going.iter().enumerate().filter(move |(_, going)| is_ended(going));
        ended.map(|(place, going)| (place, going.task.newest().map(|(_, news)| &**news)))
    }

    /// Takes what was seen of the files of projects that wait; the project shown takes its own in turn.
    pub fn take_looks_elsewhere(&mut self) -> Vec<(ProjectId, CheckDone)> {
        let is_elsewhere = |going: &Going| going.job == Job::Looking && !self.is_here(going);
        let ended = |going: &Going| is_elsewhere(going) && going.task.working().is_none();
        let places: Vec<usize> = (0..self.going.len()).rev().filter(|&place| ended(&self.going[place])).collect();
        let taken = places.into_iter().map(|place| self.going.remove(place));
        let seen = taken.filter_map(|mut going| match going.task.take_answer() {
            Some(Ok(News::Looked(done))) => Some((going.project, done)),
            _ => None,
        });
        seen.collect()
    }

    /// Removes a job that has a result.
    pub(in crate::window) fn take(&mut self, place: usize) -> (Job, Result<News, Fault>) {
        let Going { job, mut task, .. } = self.going.remove(place);
        (job, task.take_answer().unwrap_or_else(|| Err(Fault::BrokenOff(job.name()))))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_result_waits_until_its_project_is_shown_again() {
        let ctx = egui::Context::default();
        let mut jobs = Jobs::default();
        let [one, other] = [1, 2].map(ProjectId);
        jobs.turn_to(one);
        jobs.start(&ctx, Job::Image, || News::ImageWritten(Err(Refusal::new("one"))));
        jobs.turn_to(other);
        jobs.start(&ctx, Job::Discarding, || News::Discarded("window".into(), Ok(())));
        let until_ended = |jobs: &mut Jobs| {
            while jobs.going.iter().any(|going| going.task.working().is_some()) {
                jobs.receive();
                std::thread::yield_now();
            }
        };
        until_ended(&mut jobs);
        assert!(!jobs.is_at(Job::Image) && jobs.is_at_work_for(one) && !jobs.is_at_work_for(other));
        let places: Vec<usize> = jobs.answers().map(|(place, _)| place).collect();
        assert_eq!(places, [1], "only what is of the window");
        assert!(matches!(jobs.take(1), (Job::Discarding, Ok(News::Discarded(..)))));
        assert!(!jobs.has_answers());
        jobs.turn_to(one);
        assert!(jobs.is_at(Job::Image) && jobs.has_answers());
        jobs.turn_to(other);
        jobs.forget(one);
        jobs.turn_to(one);
        assert!(!jobs.has_answers() && !jobs.is_at_work_for(one));
    }
}
