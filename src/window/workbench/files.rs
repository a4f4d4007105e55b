//! Opening, saving, and what asks for a path.

use std::path::{Path, PathBuf};

use eframe::egui;
use jiff::Timestamp;

use super::Workbench;
use crate::document::{Document, OpenError, RecentFiles, SaveError, Saved};
use crate::image::OnMismatch;
use crate::setup_sheet::setup_sheet;
use crate::window::dialogs::{Floating, PathForm};
use crate::window::files::{Choice, FileJob, Next, file_name};
use crate::window::numbers;
use crate::window::screen::{BaseChoice, MergeScreen, Sheet};
use crate::window::sheets::rig::RigJob;

/// Said in the path panel when the system has no dialog.
const NO_SERVICE: &str = "The system offers no file dialog here: type the path.";

impl Workbench {
    /// Asks for a path: through the system, or in the window where the system has no dialog.
    pub(super) fn choose(&mut self, ctx: &egui::Context, job: FileJob) {
        if let Some((_, open)) = &self.dialogs.choosing {
            let told = format!("A file dialog is already open: {}", open.title());
            return self.complain(told);
        }
        self.last_ticket += 1;
        let request = job.request(self.document.path(), &self.file_title());
        if !self.worker.choose(ctx, &self.surroundings.chooser, self.last_ticket, job.clone(), request) {
            return self.type_path(job, Some(NO_SERVICE));
        }
        self.dialogs.choosing = Some((self.last_ticket, job));
    }

    /// Takes the answer of a dialog, unless the user has meanwhile gone another way.
    pub(super) fn chosen(&mut self, ctx: &egui::Context, ticket: u64, job: FileJob, choice: Choice) {
        if self.dialogs.choosing.take_if(|(open, _)| *open == ticket).is_none() {
            return;
        }
        match choice {
            Choice::Path(path) => self.do_job(ctx, job, path),
            Choice::Cancelled => {}
            Choice::NoService => self.type_path(job, Some(NO_SERVICE)),
        }
    }

    /// Asks for a path in the window.
    pub(super) fn type_path(&mut self, job: FileJob, why: Option<&'static str>) {
        self.dialogs.choosing = None;
        self.dialogs.recent = self.recent().list();
        let request = job.request(self.document.path(), &self.file_title());
        let folder = request.folder.or_else(|| std::env::current_dir().ok()).unwrap_or_default();
        let text = folder.join(request.name.unwrap_or_default()).to_string_lossy().into_owned();
        self.dialogs.panel = Some(Floating::Path(PathForm { job, text, why, warned_of: None }));
    }

    /// Does a job with a path.
    pub(super) fn do_job(&mut self, ctx: &egui::Context, job: FileJob, path: PathBuf) {
        if self.warns_of_overwriting(&job, &path) {
            return;
        }
        match job {
            FileJob::Open => self.leave_for(ctx, Next::Open(path)),
            FileJob::Base => self.compare_with(path),
            FileJob::Theirs => self.merge_with(path),
            FileJob::SaveAs { then } => {
                let done = self.document.save_as(&path);
                self.saved(ctx, done, then);
            }
            FileJob::ExportTable(options) => self.export_table(ctx, options, path),
            FileJob::ImportTable => self.read_table(ctx, path),
            FileJob::WriteImage(files) => self.ask_to_write_image(ctx, files, path),
            FileJob::SetupSheet(paper) => {
                let project = self.document.project().clone();
                let make = move || setup_sheet(&project, paper).map_err(|error| error.to_string());
                self.write_page(ctx, ("setup sheet", "pdf"), path, make);
            }
            FileJob::DegreeStrip(svg) => {
                self.write_page(ctx, ("degree strip", "svg"), path, || Ok(svg.into_bytes()));
            }
            FileJob::CompareImage => self.compare_image(ctx, path),
            FileJob::ReadImage => self.read_image(ctx, path, OnMismatch::Refuse),
            FileJob::Rig(job) => self.rig_job(ctx, job, path),
        }
    }

    /// Reads a project file, again if it is the base already, and compares with it.
    fn compare_with(&mut self, path: PathBuf) {
        self.close_path_panel();
        self.base.forget_file();
        self.screen.base = BaseChoice::File(path);
    }

    /// Reads a project file, again if it is theirs already, and merges it.
    fn merge_with(&mut self, path: PathBuf) {
        self.close_path_panel();
        self.theirs = None;
        let merging = self.screen.merging.get_or_insert_default();
        *merging = MergeScreen { theirs: Some(BaseChoice::File(path)), ..MergeScreen::default() };
        self.screen.go_to(Sheet::Compare);
    }

    /// The project's title as it is proposed for files: that of a locked-timing copy always says so.
    fn file_title(&self) -> String {
        let (title, suffix) = (self.document.title(), self.document.project().locked_timing_suffix());
        if title.ends_with(&suffix) { title } else { title + &suffix }
    }

    /// A typed path of a file that exists is asked about once; the system's dialogs ask themselves.
    fn warns_of_overwriting(&mut self, job: &FileJob, path: &Path) -> bool {
        let is_own = self.document.path() == Some(path);
        match &mut self.dialogs.panel {
            Some(Floating::Path(form)) if job.is_writing() && path.exists() && !is_own => {
                let is_new = form.warned_of.as_ref() != Some(&form.text);
                form.warned_of = Some(form.text.clone());
                is_new
            }
            _ => false,
        }
    }

    /// Saves, and then goes on with `then`.
    pub(super) fn save(&mut self, ctx: &egui::Context, then: Option<Next>) {
        if self.document.path().is_none() {
            return self.choose(ctx, FileJob::SaveAs { then });
        }
        let done = self.document.save();
        self.saved(ctx, done, then);
    }

    /// Saves over what someone else wrote into the file.
    pub(super) fn save_over(&mut self, ctx: &egui::Context) {
        let done = self.document.save_over();
        self.saved(ctx, done, None);
    }

    pub(super) fn saved(&mut self, ctx: &egui::Context, done: Result<Saved, SaveError>, then: Option<Next>) {
        self.dialogs.question = None;
        let saved = match done {
            Ok(saved) => saved,
            Err(error @ SaveError::ChangedOnDisk { .. }) => {
                self.dialogs.conflict = Some(error.to_string());
                return;
            }
            Err(error) => return self.complain(error.to_string()),
        };
        self.dialogs.conflict = None;
        self.close_path_panel();
        self.recent().add(&saved.path);
        self.keep_understood();
        let (name, now) = (file_name(&saved.path), numbers::time(Timestamp::now()));
        self.say(format!("Saved {name} at {now}"));
        if !saved.warnings.is_empty() {
            let warnings: Vec<String> = saved.warnings.iter().map(ToString::to_string).collect();
            self.complain(format!("{name}: {}", warnings.join("; ")));
        }
        if let Some(next) = then {
            self.go(ctx, next);
        }
    }

    pub(super) fn revert(&mut self) {
        let done = self.document.revert();
        self.read_again(done, "Went back to the saved file; undo brings your changes back");
    }

    pub(super) fn reload(&mut self) {
        let done = self.document.reload();
        if done.is_ok() {
            self.dialogs.conflict = None;
        }
        self.read_again(done, "Took over what is in the file; undo brings yours back");
    }

    fn read_again(&mut self, done: Result<bool, OpenError>, told: &str) {
        match done {
            Ok(_) => self.say(told),
            Err(error) => self.complain(error.to_string()),
        }
    }

    pub(super) fn open_document(&mut self, path: &Path) -> Result<Document, String> {
        let is_open = self.document.path().is_some_and(|open| is_same_file(open, path));
        if is_open {
            return Err(format!("{} is already open here; 'Revert to the saved file' reads it again", file_name(path)));
        }
        Document::open_in(&self.surroundings.data, path).map_err(|error| {
            if matches!(error, OpenError::Missing { .. }) {
                self.recent().remove(path);
            }
            error.to_string()
        })
    }

    /// A file dropped on the window: a project is opened, a table imported, an image read; on the Rig sheet a run.
    pub(super) fn take_dropped_files(&mut self, ctx: &egui::Context) {
        let dropped = ctx.input_mut(|input| std::mem::take(&mut input.raw.dropped_files));
        let Some(first) = dropped.first() else {
            return;
        };
        let path = first.path().to_owned();
        let ending = path.extension().map(|ending| ending.to_string_lossy().to_lowercase());
        match ending.as_deref() {
            Some("csv" | "tsv" | "txt") if self.screen.sheet == Sheet::Rig => self.rig_job(ctx, RigJob::ReadRun, path),
            Some("csv" | "tsv" | "txt") => self.read_table(ctx, path),
            Some("hex" | "s19" | "s28" | "s37" | "bin") => self.read_image(ctx, path, OnMismatch::Refuse),
            _ => self.leave_for(ctx, Next::Open(path)),
        }
        if dropped.len() > 1 {
            self.complain(format!("{} files were dropped; only the first is opened", dropped.len()));
        }
    }

    pub(super) fn recent(&self) -> RecentFiles {
        RecentFiles::new(&self.surroundings.data)
    }

    pub(super) fn close_path_panel(&mut self) {
        self.dialogs.panel.take_if(|panel| matches!(panel, Floating::Path(_) | Floating::Export(_)));
    }
}

fn is_same_file(one: &Path, other: &Path) -> bool {
    match (std::fs::canonicalize(one), std::fs::canonicalize(other)) {
        (Ok(one), Ok(other)) => one == other,
        _ => one == other,
    }
}
