//! Saving: begun in the frame, carried out on a thread, and recorded when it is done.

use std::panic::{AssertUnwindSafe, catch_unwind};
use std::path::Path;
use std::sync::{Arc, Mutex, PoisonError};

use eframe::egui;

use super::Workbench;
use crate::document::{ReadDone, RecentFiles, Reread, SaveDone, SaveError, SaveJob, SaveTo, Saved};
use crate::project::FORMAT;
use crate::window::kit::numbers;
use crate::window::state::dialogs::Conflict;
use crate::window::state::file_jobs::{FileJob, Next, file_name};
use crate::window::state::notice::Cause;
use crate::window::tasks::jobs::{Job, News};

/// The reply to requests that must wait for a save.
const SAVING: &str = "The project is being saved; try again when that is done";

impl Workbench {
    /// Saves, and then continues with `then`.
    pub(super) fn save(&mut self, ctx: &egui::Context, then: Option<Next>) {
        if self.document.path().is_none() {
            return self.choose(ctx, FileJob::SaveAs { then });
        }
        self.begin_save(ctx, SaveTo::Here, then);
    }

    /// Overwrites what someone else wrote into the file, and continues with what the first attempt was to
    /// continue with.
    pub(super) fn save_over(&mut self, ctx: &egui::Context) {
        let then = self.files.dialogs.conflict.as_ref().and_then(|conflict| conflict.then.clone());
        self.begin_save(ctx, SaveTo::Over, then);
    }

    /// Saves under a name, and then continues with `then`.
    pub(super) fn save_as(&mut self, ctx: &egui::Context, path: &Path, then: Option<Next>) {
        self.begin_save(ctx, SaveTo::As(path), then);
    }

    fn begin_save(&mut self, ctx: &egui::Context, to: SaveTo<'_>, then: Option<Next>) {
        if self.files.dialogs.saving {
            return self.complain(SAVING);
        }
        self.end_gesture();
        match self.document.begin_save(to) {
            Ok(job) => {
                self.files.dialogs.saving = true;
                self.files.after_saving = then;
                self.start_saving(ctx, job);
            }
            Err(error) => self.saved(ctx, Err(error), then),
        }
    }

    fn start_saving(&mut self, ctx: &egui::Context, job: SaveJob) {
        let job = Arc::new(Mutex::new(Some(job)));
        let (on_thread, recent) = (job.clone(), self.files.recent.files().clone());
        self.files.save_in_hand = Some(job);
        self.files.jobs.start(ctx, Job::Saving, move || News::Saved(carry_out(&on_thread, &recent)));
    }

    /// Saves in the frame if there is no thread. Better a frame that waits for the disk than a project that is
    /// not saved.
    pub(super) fn save_without_thread(&mut self, ctx: &egui::Context) {
        let job = self.files.save_in_hand.take();
        let done = job.and_then(|job| carry_out(&job, self.files.recent.files()));
        self.save_is_done(ctx, done);
    }

    /// Records what the thread did.
    pub(super) fn save_is_done(&mut self, ctx: &egui::Context, done: Option<Box<SaveDone>>) {
        (self.files.dialogs.saving, self.files.save_in_hand) = (false, None);
        self.files.recent.refresh();
        let then = self.files.after_saving.take();
        match done {
            Some(done) => {
                let done = self.document.finish_save(*done);
                self.saved(ctx, done, then);
            }
            None => self.complain_of(
                Cause::Lasting,
                "The project was not saved: a mistake in this program broke the saving off; save under another name",
            ),
        }
        if std::mem::take(&mut self.files.looks_again) {
            self.look_at_file(ctx);
        }
    }

    fn saved(&mut self, ctx: &egui::Context, done: Result<Saved, SaveError>, then: Option<Next>) {
        let saved = match done {
            Ok(saved) => saved,
            Err(error @ SaveError::ChangedOnDisk { .. }) => {
                self.files.dialogs.conflict = Some(Conflict { text: error.to_string(), then });
                return;
            }
            Err(error) => {
                if !self.files.dialogs.asks_for_path() {
                    // What was to be saved first still is.
                    self.files.dialogs.question = self.files.dialogs.question.take().or(then);
                }
                return match error.path() {
                    Some(path) => self.fail_job_at(path, &error.to_string()),
                    None => self.fail_job(error.to_string()),
                };
            }
        };
        self.files.dialogs.conflict = None;
        self.close_path_panel();
        self.keep_understood();
        let (name, now) = (file_name(&saved.path), numbers::time((self.surroundings.clock)()));
        let version = saved.upgraded_from.map_or_else(String::new, |from| {
            format!("; the file had format version {from} and has version {FORMAT} now")
        });
        self.say(format!("Saved {name} at {now}{version}"));
        if !saved.warnings.is_empty() {
            let warnings: Vec<String> = saved.warnings.iter().map(ToString::to_string).collect();
            self.complain_of(Cause::Lasting, format!("{name}: {}", warnings.join("; ")));
        }
        // The question may have been asked again meanwhile, and is answered now.
        if let Some(next) = self.files.dialogs.question.take().or(then) {
            // The user is asked about changes made while the file was being written.
            self.leave_for(ctx, next);
        }
    }

    /// Whether a request must wait for the save in progress; if so, says that.
    fn waits_for_save(&mut self) -> bool {
        if self.files.dialogs.saving {
            self.complain(SAVING);
        }
        self.files.dialogs.saving
    }

    /// Has a thread read the project's file again.
    pub(super) fn read_again(&mut self, ctx: &egui::Context, why: Reread) {
        if self.waits_for_save() || self.files.jobs.is_at(Job::Rereading) {
            return;
        }
        self.end_gesture();
        match self.document.begin_reading(why) {
            Ok(job) => self.files.jobs.start(ctx, Job::Rereading, move || News::Reread(Box::new(job.run()))),
            Err(error) => self.complain_of(Cause::Lasting, error.to_string()),
        }
    }

    /// Takes over what the file holds, as one step.
    pub(super) fn reread(&mut self, done: ReadDone) {
        let why = done.why();
        match (self.document.finish_reading(done), why) {
            (Some(Ok(_)), Reread::Revert) => self.say("Went back to the saved file; undo brings your changes back"),
            (Some(Ok(_)), Reread::Reload) => {
                self.files.dialogs.conflict = None;
                self.say("Took over what is in the file; undo brings yours back");
            }
            (Some(Err(error)), _) => match error.path() {
                Some(path) => self.complain_at(path, &error.to_string()),
                None => self.complain_of(Cause::Lasting, error.to_string()),
            },
            (None, _) => self
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
