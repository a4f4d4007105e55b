//! The question whether to save, and saving: begun in the frame, carried out on a thread, and recorded when it is done.
//! Reading the project's file again.

use std::panic::{AssertUnwindSafe, catch_unwind};
use std::sync::{Arc, Mutex, PoisonError};

use eframe::egui;
use jiff::Timestamp;

use super::{Files, Onward};
use crate::document::{Document, ReadDone, RecentFiles, Reread, SaveDone, SaveError, SaveJob, SaveTo, Saved};
use crate::project::FORMAT;
use crate::window::kit::numbers;
use crate::window::state::dialogs::Conflict;
use crate::window::state::file_jobs::{Next, file_name};
use crate::window::state::notice::Cause;
use crate::window::state::screen::Screen;
use crate::window::tasks::jobs::{Job, News};

/// The reply to requests that must wait for a save.
const SAVING: &str = "The project is being saved; try again when that is done";

/// A save in progress; taken out by the thread or frame that carries it out.
type InHand = Arc<Mutex<Option<SaveJob>>>;

/// The save in progress.
#[derive(Default)]
pub(super) struct Saving {
    /// What to continue with once the project is saved.
    then: Option<Next>,
    /// The job itself.
    in_hand: Option<InHand>,
}

/// The result of a save.
pub(in crate::window::workbench) struct SaveEnd {
    pub(in crate::window::workbench) is_saved: bool,
    /// What the project was saved for, to continue with.
    pub(in crate::window::workbench) then: Option<Next>,
}

impl Files {
    /// Returns what can be done now. While the project is being saved, that has to wait until it is done: then the user is
    /// asked about what was changed meanwhile.
    pub(in crate::window::workbench) fn after_saving(&mut self, next: Next) -> Option<Next> {
        if self.dialogs.saving { self.goes_on_after_saving(next) } else { Some(next) }
    }

    /// Asks whether the unsaved changes are to be saved first, if there are any; returns what can be done without asking.
    pub(in crate::window::workbench) fn ask_before(&mut self, document: &Document, next: Next) -> Option<Next> {
        if document.is_changed() {
            self.dialogs.question = Some(next);
            return None;
        }
        Some(next)
    }

    /// Takes the question away, since it was answered; returns what to continue with. While the project is being saved,
    /// that has to wait until it is done.
    pub(in crate::window::workbench) fn take_question(&mut self) -> Option<Next> {
        let next = self.dialogs.question.take()?;
        self.after_saving(next)
    }

    fn goes_on_after_saving(&mut self, next: Next) -> Option<Next> {
        self.saving.then = Some(next);
        None
    }

    /// Whether a request must wait for the save in progress; if so, says that.
    pub(in crate::window::workbench) fn waits_for_save(&self, screen: &mut Screen) -> bool {
        if self.dialogs.saving {
            screen.complain(SAVING);
        }
        self.dialogs.saving
    }

    /// What the first attempt to save was to continue with, before it met changes by someone else.
    pub(in crate::window::workbench) fn put_off_by_conflict(&self) -> Option<Next> {
        self.dialogs.conflict.as_ref().and_then(|conflict| conflict.then.clone())
    }

    /// Begins a save on a thread, or says why it cannot be done.
    pub(in crate::window::workbench) fn begin_save(
        &mut self,
        ctx: &egui::Context,
        document: &mut Document,
        screen: &mut Screen,
        to: SaveTo<'_>,
        then: Option<Next>,
    ) {
        let job = match document.begin_save(to) {
            Ok(job) => Arc::new(Mutex::new(Some(job))),
            Err(error) => return self.fail_save(screen, &error, then),
        };
        self.dialogs.saving = true;
        let (on_thread, recent) = (job.clone(), self.recent.files().clone());
        self.saving = Saving { then, in_hand: Some(job) };
        self.jobs.start(ctx, Job::Saving, move || News::Saved(carry_out(&on_thread, &recent)));
    }

    /// Saves in the frame if there is no thread. Better a frame that waits for the disk than a project that is
    /// not saved.
    pub(super) fn save_without_thread(&mut self) -> Onward {
        let job = self.saving.in_hand.take();
        Onward::SaveEnded(job.and_then(|job| carry_out(&job, self.recent.files())))
    }

    /// Records what the thread did, and reports it; `now` is the time of the save.
    pub(in crate::window::workbench) fn end_save(
        &mut self,
        document: &mut Document,
        screen: &mut Screen,
        done: Option<Box<SaveDone>>,
        now: Timestamp,
    ) -> SaveEnd {
        self.dialogs.saving = false;
        self.recent.refresh();
        let Saving { then, .. } = std::mem::take(&mut self.saving);
        let Some(done) = done else {
            screen.complain_of(
                Cause::Lasting,
                "The project was not saved: a mistake in this program broke the saving off; save under another name",
            );
            return SaveEnd { is_saved: false, then: None };
        };
        match document.finish_save(*done) {
            Ok(saved) => {
                self.tell_of_save(screen, &saved, now);
                // The question may have been asked again meanwhile, and is answered now.
                SaveEnd { is_saved: true, then: self.dialogs.question.take().or(then) }
            }
            Err(error) => {
                self.fail_save(screen, &error, then);
                SaveEnd { is_saved: false, then: None }
            }
        }
    }

    fn tell_of_save(&mut self, screen: &mut Screen, saved: &Saved, now: Timestamp) {
        self.dialogs.conflict = None;
        self.close_path_panel();
        let (name, now) = (file_name(&saved.path), numbers::time(now));
        let version = saved.upgraded_from.map_or_else(String::new, |from| {
            format!("; the file had format version {from} and has version {FORMAT} now")
        });
        screen.say(format!("Saved {name} at {now}{version}"));
        if !saved.warnings.is_empty() {
            let warnings: Vec<String> = saved.warnings.iter().map(ToString::to_string).collect();
            screen.complain_of(Cause::Lasting, format!("{name}: {}", warnings.join("; ")));
        }
    }

    fn fail_save(&mut self, screen: &mut Screen, error: &SaveError, then: Option<Next>) {
        if let SaveError::ChangedOnDisk { .. } = error {
            self.dialogs.conflict = Some(Conflict { text: error.to_string(), then });
            return;
        }
        if !self.dialogs.asks_for_path() {
            // What was to be saved first still is.
            self.dialogs.question = self.dialogs.question.take().or(then);
        }
        match error.path() {
            Some(path) => self.fail_job_at(screen, path, &error.to_string()),
            None => self.fail_job(screen, error.to_string()),
        }
    }

    /// Has a thread read the project's file again.
    pub(in crate::window::workbench) fn read_again(
        &mut self,
        ctx: &egui::Context,
        document: &Document,
        screen: &mut Screen,
        why: Reread,
    ) {
        match document.begin_reading(why) {
            Ok(job) => self.jobs.start(ctx, Job::Rereading, move || News::Reread(Box::new(job.run()))),
            Err(error) => screen.complain_of(Cause::Lasting, error.to_string()),
        }
    }

    /// Takes over what the file holds, as one step.
    pub(super) fn reread(&mut self, document: &mut Document, screen: &mut Screen, done: ReadDone) {
        let why = done.why();
        match (document.finish_reading(done), why) {
            (Some(Ok(_)), Reread::Revert) => screen.say("Went back to the saved file; undo brings your changes back"),
            (Some(Ok(_)), Reread::Reload) => {
                self.dialogs.conflict = None;
                screen.say("Took over what is in the file; undo brings yours back");
            }
            (Some(Err(error)), _) => match error.path() {
                Some(path) => screen.complain_at(path, &error.to_string()),
                None => screen.complain_of(Cause::Lasting, error.to_string()),
            },
            (None, _) => screen
                .complain("The project was saved, or is another one, since its file was read; nothing was taken over"),
        }
    }
}

/// Runs the job and adds the file to the recent ones; `None` if it has been run already, or if a mistake in the
/// program broke it off.
fn carry_out(job: &Mutex<Option<SaveJob>>, recent: &RecentFiles) -> Option<Box<SaveDone>> {
    let job = job.lock().unwrap_or_else(PoisonError::into_inner).take()?;
    let done = catch_unwind(AssertUnwindSafe(|| job.run())).ok()?;
    if let Some(path) = done.saved_to() {
        recent.add(path);
    }
    Some(Box::new(done))
}
