//! Reading and writing files, and the questions about them.

mod asking;
mod images;
mod leftovers;
mod news;
mod opening;
mod rig;
mod saving;
mod sweeps;
mod tables;
mod watching;

use std::path::{Path, PathBuf};

use eframe::egui;

use self::saving::Saving;
use crate::document::{DataFolder, Document, Offer, Revision, SaveDone};
use crate::window::state::commands::Command;
use crate::window::state::dialogs::{Conflict, DialogMessage, Dialogs, Floating};
use crate::window::state::export_state::WrittenFiles;
use crate::window::state::file_jobs::{FileJob, Next};
use crate::window::state::notice::{Cause, Notice};
use crate::window::state::projects::ProjectId;
use crate::window::state::screen::{Screen, SidePanel};
use crate::window::tasks::jobs::{Job, Jobs, Reopened};
use crate::window::tasks::leftovers::RecentKeeper;
use crate::window::tasks::watcher::WatcherKeeper;
use crate::wording::capital;

/// Files being read and written, and the questions about them. This neither makes steps nor replaces the document: what
/// is to be done next is returned as [`Onward`].
pub(super) struct Files {
    dialogs: Dialogs,
    /// The recovery copies on offer; `dialogs` has them in words.
    offers: Vec<Offer>,
    jobs: Jobs,
    watcher: WatcherKeeper,
    recent: RecentKeeper,
    /// The folder in which the program was started.
    working_folder: PathBuf,
    /// The number of the last file dialog, path or project that was asked for.
    last_ticket: u64,
    saving: Saving,
    /// The projects that are being read.
    opening: Vec<Opening>,
    /// The path that is being looked up.
    preparing: Option<Preparing>,
    /// Whether the file is to be looked at once more when the present look, or the saving, is done.
    looks_again: bool,
    /// Whether the first frame has begun.
    is_begun: bool,
}

/// What the workbench is to do next, after files have been read, written or asked for.
pub(super) enum Onward {
    /// Do a job with the path that was chosen.
    Do(FileJob, PathBuf),
    /// Begin a job with a path. If it writes, these other files would be replaced.
    Begin(FileJob, PathBuf, Vec<String>),
    /// Go to another project, or close the window, after asking what there is to ask.
    Leave(Next),
    /// As `Leave`, since there is no path to save to; then report why.
    LeaveUnsaved(Next, String),
    /// Show this project, which was read from its file.
    Show(Box<Document>),
    /// Show this project, which was read from its recovery copy. An open one with the same file was given up in the state
    /// that is told.
    Recovered(Box<Document>, Revision),
    /// Park what was open when the program ended.
    Reopened(Box<Reopened>),
    /// Record a save; `None` if a mistake in this program broke it off.
    SaveEnded(Option<Box<SaveDone>>),
    /// Record in the project what was written.
    Remember(Box<WrittenFiles>),
}

/// A project that is being read.
#[derive(Debug)]
struct Opening {
    ticket: u64,
    /// The state of the document shown when it was asked for.
    given_up: Revision,
    /// The file; none for a recovery copy.
    path: Option<PathBuf>,
}

/// What is known of a project besides its document: it is put away and taken out with it.
#[derive(Default)]
pub(super) struct Known {
    panel: Option<Floating>,
    conflict: Option<Conflict>,
    note_put_away: Option<String>,
    real_project: Option<Next>,
    watcher: WatcherKeeper,
}

/// A path that is being looked up.
#[derive(Debug)]
struct Preparing {
    ticket: u64,
    job: FileJob,
    asked: PathBuf,
    /// `Some` if it was typed in the window; within that, the path that the user was told exists already, if the user
    /// was told.
    typed: Option<Option<String>>,
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
            saving: Saving::default(),
            opening: Vec::new(),
            preparing: None,
            looks_again: false,
            is_begun: false,
        }
    }

    /// The number of the next dialog, path or project.
    const fn next_ticket(&mut self) -> u64 {
        self.last_ticket += 1;
        self.last_ticket
    }

    /// The questions, notes and panels.
    pub(super) const fn dialogs(&self) -> &Dialogs {
        &self.dialogs
    }

    /// Carries out a view's message about questions, notes and panels.
    pub(super) fn apply(&mut self, message: DialogMessage) {
        self.dialogs.apply(message);
    }

    /// Opens a panel.
    pub(super) fn open_panel(&mut self, panel: Floating) {
        self.dialogs.panel = Some(panel);
    }

    /// Closes the panel to make room for a question.
    pub(super) fn close_panel(&mut self) {
        self.dialogs.close_panel();
    }

    /// Shows or hides the caution.
    pub(super) const fn set_caution(&mut self, is_shown: bool) {
        self.dialogs.caution = is_shown;
    }

    /// Shows or hides the suggestions after the first start.
    pub(super) const fn set_welcome(&mut self, is_shown: bool) {
        self.dialogs.welcome = is_shown;
    }

    /// Keeps the way back from a locked-timing copy to the project that it was made of.
    pub(super) fn set_real_project(&mut self, back: Option<Next>) {
        self.dialogs.real_project = back;
    }

    /// Reports why another document is shown than was asked for.
    pub(super) fn tell_not_opened(&mut self, why: String) {
        self.dialogs.not_opened = Some(why);
    }

    /// The command that waits for its new keys. It stops waiting when the list of keys is closed.
    pub(super) fn capturing(&mut self, panel: Option<SidePanel>) -> Option<Command> {
        if panel != Some(SidePanel::Keys) {
            (self.dialogs.capture, self.dialogs.capture_refusal) = (None, None);
        }
        self.dialogs.capture
    }

    /// Stops waiting for new keys.
    pub(super) fn end_capture(&mut self) {
        (self.dialogs.capture, self.dialogs.capture_refusal) = (None, None);
    }

    /// Says why the keys just pressed were refused, and keeps waiting.
    pub(super) fn refuse_capture(&mut self, why: String) {
        self.dialogs.capture_refusal = Some(why);
    }

    /// Lets the list of recent files be read again.
    pub(super) fn refresh_recent(&mut self) {
        self.recent.refresh();
    }

    /// The document shown was replaced by another, which is this project: forgets the questions about it.
    pub(super) fn forget(&mut self, shown: ProjectId) {
        self.change_places(shown, &mut Known::default());
        self.dialogs.not_opened = None;
    }

    /// Puts away what is known of the project shown, and takes out what is known of the one that is shown now.
    pub(super) fn change_places(&mut self, shown: ProjectId, known: &mut Known) {
        self.jobs.turn_to(shown);
        let Known { panel, conflict, note_put_away, real_project, watcher } = known;
        self.dialogs.panel.take_if(|panel| !panel.is_of_project());
        std::mem::swap(&mut self.dialogs.panel, panel);
        std::mem::swap(&mut self.dialogs.conflict, conflict);
        std::mem::swap(&mut self.dialogs.note_put_away, note_put_away);
        std::mem::swap(&mut self.dialogs.real_project, real_project);
        std::mem::swap(&mut self.watcher, watcher);
        // What was to be done after saving is not done out of the blue when the project is shown again.
        if let Some(conflict) = conflict {
            conflict.then = None;
        }
        (self.preparing, self.looks_again) = (None, false);
        self.dialogs.question = None;
        // An answer to a question about the other document does not apply to this one.
        self.dialogs.choosing = None;
        self.dialogs.welcome = false;
    }

    /// Whether something is asked of the project shown, or a path for it is being looked at.
    pub(super) fn asks_something(&self) -> bool {
        self.dialogs.question.is_some() || self.dialogs.choosing.is_some() || self.preparing.is_some()
    }

    /// Whether another project cannot be shown just now, since something is asked of this one; if so, says that.
    pub(super) fn refuses_another(&self, screen: &mut Screen, next: &Next) -> bool {
        let why = if self.dialogs.question.is_some() {
            format!("Answer the question above first, before {}", next.words())
        } else if let Some((_, open)) = &self.dialogs.choosing {
            format!("A file dialog is open: '{}'; answer it first, before {}", open.title(), next.words())
        } else if self.preparing.is_some() {
            "A path is being looked at; try again when that is done".to_owned()
        } else {
            return false;
        };
        screen.complain(why);
        true
    }

    /// Whether anything is read or written for a project, or waits to be taken in.
    pub(super) fn is_at_work_for(&self, project: ProjectId) -> bool {
        self.jobs.is_at_work_for(project)
    }

    /// Forgets what is in progress for a project that was closed.
    pub(super) fn closed(&mut self, project: ProjectId) {
        self.jobs.forget(project);
    }

    /// Watches the folder of the document's file, and keeps the list of recent files up to date.
    pub(super) fn settle(&mut self, ctx: &egui::Context, document: &Document, screen: &mut Screen) {
        let watching = self.watcher.turn_to(document.path(), ctx);
        self.recent.settle(ctx);
        if let Some(list) = self.recent.list().filter(|list| ***list != self.dialogs.recent) {
            self.dialogs.recent.clone_from(list);
        }
        if let Some(fault) = self.recent.take_fault().or(watching) {
            screen.complain_of(Cause::Lasting, capital(&fault.to_string()));
        }
    }

    /// Reports why a job with a path could not be done, also next to the path.
    pub(super) fn fail_job(&mut self, screen: &mut Screen, why: impl Into<String>) {
        let why = why.into();
        if let Some(Floating::Path(form)) = &mut self.dialogs.panel {
            form.refusal = Some(why.clone());
        }
        screen.complain_of(self.cause_of_failure(), why);
    }

    /// Says why a job could not be done with a path: the reason, then the path.
    fn fail_job_at(&mut self, screen: &mut Screen, path: &Path, why: &str) {
        let notice = Notice::problem_with(path, why);
        self.fail_job(screen, notice.text.clone());
        screen.notice = Some(Notice { cause: self.cause_of_failure(), ..notice });
    }

    /// The cause to report: for a typed path, the problem stays as long as the path does.
    fn cause_of_failure(&self) -> Cause {
        if self.dialogs.refuses_path() { Cause::Path } else { Cause::Lasting }
    }

    /// Closes the panel in which a path was typed, after the job succeeded.
    pub(super) fn close_path_panel(&mut self) {
        self.dialogs.panel.take_if(|panel| matches!(panel, Floating::Path(_) | Floating::Export(_)));
    }

    /// Whether a job is running, or its answer has not been taken in yet.
    pub(super) fn is_at(&self, job: Job) -> bool {
        self.jobs.is_at(job)
    }
}

#[cfg(test)]
impl Files {
    pub(super) const fn is_preparing(&self) -> bool {
        self.preparing.is_some()
    }

    pub(super) const fn last_ticket(&self) -> u64 {
        self.last_ticket
    }

    pub(super) const fn recent(&self) -> &RecentKeeper {
        &self.recent
    }
}
