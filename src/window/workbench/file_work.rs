//! Work with files between frames: takes in the results of threads, and does what [`Files`](super::files::Files) gives
//! back to be done.

use std::path::PathBuf;

use eframe::egui;

use super::Workbench;
use super::files::Onward;
use crate::document::{Reread, SaveDone, SaveTo};
use crate::image::OnMismatch;
use crate::interchange::DecimalMark;
use crate::setup_sheet::setup_sheet;
use crate::window::sheets::engine::paste_readings;
use crate::window::sheets::evidence::paste_sweeps;
use crate::window::sheets::rig::paste_rows;
use crate::window::state::dialogs::Doubtful;
use crate::window::state::export_state::ImageFiles;
use crate::window::state::file_jobs::{FileJob, Next};
use crate::window::tasks::jobs::Job;
use crate::wording::Refusal;

impl Workbench {
    /// Takes in the results of threads one by one, since each may decide whether the next can be taken in.
    pub(super) fn hear(&mut self, ctx: &egui::Context) {
        if self.files.begins() {
            self.begin(ctx);
        }
        self.files.receive();
        let is_asked = !self.outbox.is_empty() || self.gestures.is_deferring();
        while let Some(answer) = self.files.next_answer(&self.document, &self.screen, is_asked) {
            let onward = self.files.take_in(ctx, &mut self.document, &mut self.screen, answer);
            self.go_on(ctx, onward);
        }
        self.screen.export.is_busy = self.files.is_at(Job::Image);
        self.files.mind_file(ctx, &self.document);
        self.shelf.mind_files(ctx, &mut self.files);
    }

    fn go_on(&mut self, ctx: &egui::Context, onward: Option<Onward>) {
        match onward {
            None => {}
            Some(Onward::Do(job, path)) => self.do_job(ctx, job, path),
            Some(Onward::Begin(job, path, replaced)) => self.begin_job(ctx, job, path, replaced),
            Some(Onward::Leave(next)) => self.leave_for(ctx, next),
            Some(Onward::LeaveUnsaved(next, why)) => {
                self.leave_for(ctx, next);
                self.files.fail_job(&mut self.screen, why);
            }
            Some(Onward::Show(document)) => self.show_opened(ctx, *document),
            Some(Onward::Recovered(document, given_up)) => self.show_recovered(ctx, document, given_up),
            Some(Onward::Reopened(reopened)) => self.take_reopened(ctx, *reopened),
            Some(Onward::SaveEnded(done)) => self.end_save(ctx, done),
            Some(Onward::Remember(written)) => self.remember_image(*written),
        }
    }

    /// Asks for a path, and then does the job.
    pub(super) fn choose(&mut self, ctx: &egui::Context, job: FileJob) {
        self.files.choose(ctx, &self.surroundings.chooser, &self.document, &mut self.screen, job);
    }

    /// Does a job with a path.
    pub(super) fn do_job(&mut self, ctx: &egui::Context, job: FileJob, path: PathBuf) {
        let others = self.shelf.tabs().others().filter_map(|tab| tab.path.clone()).collect();
        let onward = self.files.do_job(ctx, &self.document, &mut self.screen, (job, path), others);
        self.go_on(ctx, onward);
    }

    fn begin_job(&mut self, ctx: &egui::Context, job: FileJob, path: PathBuf, replaced: Vec<String>) {
        match job {
            FileJob::Open => self.leave_for(ctx, Next::Open(path)),
            FileJob::Base => {
                self.files.close_path_panel();
                self.shown.compare_with(&mut self.screen, path);
            }
            FileJob::Theirs => {
                self.files.close_path_panel();
                self.shown.merge_with(&mut self.screen, path);
            }
            FileJob::SaveAs { then } => self.save(ctx, SaveTo::As(&path), then),
            FileJob::ExportTable(options) => {
                let table = self.document.project().advance.table();
                self.files.export_table(ctx, table, &mut self.screen, options, path);
            }
            FileJob::ImportTable => self.files.read_table(ctx, path),
            FileJob::WriteImage(files) if replaced.is_empty() => self.write_image(ctx, files, path),
            FileJob::WriteImage(files) => self.files.ask_to_replace(&mut self.screen, files, path, replaced),
            FileJob::SetupSheet(paper) => {
                let project = self.document.project().clone();
                let make = move || setup_sheet(&project, paper).map_err(Refusal::from);
                self.files.write_page(ctx, &mut self.screen, "setup sheet", path, make);
            }
            FileJob::DegreeStrip(svg) => {
                self.files.write_page(ctx, &mut self.screen, "degree strip", path, || Ok(svg.into_bytes()));
            }
            FileJob::CompareImage => {
                self.end_gesture();
                let project = self.document.project().clone();
                self.files.compare_image(ctx, project, &mut self.screen, path);
            }
            FileJob::ReadImage => self.read_image(ctx, path, OnMismatch::Refuse),
            FileJob::ReadSweeps => {
                self.end_gesture();
                self.files.read_sweeps(ctx, self.document.project().sensors.load, path);
            }
            FileJob::Rig(job) => {
                let (project, look) = (self.document.project(), self.theme.palette.look);
                self.files.rig_job(ctx, project, &mut self.screen, look, (job, path));
            }
        }
    }

    /// Saves, and then continues with `then`.
    pub(super) fn save(&mut self, ctx: &egui::Context, to: SaveTo<'_>, then: Option<Next>) {
        if self.files.waits_for_save(&mut self.screen) {
            return;
        }
        self.end_gesture();
        self.files.begin_save(ctx, &mut self.document, &mut self.screen, to, then);
    }

    /// Saves to the project's file, or to one that the user chooses, and then continues with `then`.
    pub(super) fn save_here(&mut self, ctx: &egui::Context, then: Option<Next>) {
        if self.document.path().is_none() {
            return self.choose(ctx, FileJob::SaveAs { then });
        }
        self.save(ctx, SaveTo::Here, then);
    }

    fn end_save(&mut self, ctx: &egui::Context, done: Option<Box<SaveDone>>) {
        let now = (self.surroundings.clock)();
        let ended = self.files.end_save(&mut self.document, &mut self.screen, done, now);
        if ended.is_saved {
            self.keep_understood();
        }
        if let Some(next) = ended.then {
            // The user is asked about changes made while the file was being written.
            self.leave_for(ctx, next);
        }
        self.files.look_again(ctx, &self.document);
    }

    /// Lets a thread read the project's file again.
    pub(super) fn read_again(&mut self, ctx: &egui::Context, why: Reread) {
        if self.files.waits_for_save(&mut self.screen) || self.files.is_at(Job::Rereading) {
            return;
        }
        self.end_gesture();
        self.files.read_again(ctx, &self.document, &mut self.screen, why);
    }

    /// Writes image files, and reads them back.
    pub(super) fn write_image(&mut self, ctx: &egui::Context, files: ImageFiles, path: PathBuf) {
        self.end_gesture();
        let project = self.document.project().clone();
        self.files.write_image(ctx, project, &mut self.screen, files, path);
    }

    /// Reads an image's values, to be shown before they are taken over.
    pub(super) fn read_image(&mut self, ctx: &egui::Context, path: PathBuf, on_mismatch: OnMismatch) {
        self.end_gesture();
        let project = self.document.project().clone();
        self.files.read_image(ctx, project, &mut self.screen, path, on_mismatch);
    }

    /// Reads the run or the readings in question again, now that their decimal mark is known.
    pub(super) fn read_marked_as(&mut self, ctx: &egui::Context, mark: DecimalMark) {
        match self.files.take_doubtful(ctx, self.document.project(), mark) {
            None | Some(Doubtful::Run(..) | Doubtful::Sweep(..)) => {}
            Some(Doubtful::SweepRows(text)) => {
                self.do_at_once(ctx, |view, outbox| paste_sweeps(&text, Some(mark), view, outbox));
            }
            Some(Doubtful::RunRows(text)) => {
                self.do_at_once(ctx, |view, outbox| paste_rows(&text, Some(mark), view, outbox));
            }
            Some(Doubtful::Readings(text)) => {
                self.do_at_once(ctx, |view, outbox| paste_readings(&text, Some(mark), view, outbox));
            }
        }
    }

    /// Opens or reads a file dropped on the window.
    pub(super) fn take_dropped_files(&mut self, ctx: &egui::Context) {
        let Some(dropped) = self.files.take_dropped(ctx, &mut self.screen) else {
            return;
        };
        self.begin_job(ctx, dropped.job, dropped.path, Vec::new());
        if dropped.files > 1 {
            self.screen.complain(format!("{} files were dropped; only the first is opened", dropped.files));
        }
    }
}
