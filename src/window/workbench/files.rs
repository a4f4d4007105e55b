//! Asking for paths, and what is done with them.

use std::path::{Path, PathBuf};

use eframe::egui;

use super::Workbench;
use super::file_work::Preparing;
use crate::image::OnMismatch;
use crate::setup_sheet::setup_sheet;
use crate::window::state::compare_state::{BaseChoice, MergeScreen};
use crate::window::state::dialogs::{Floating, PathForm};
use crate::window::state::file_jobs::{FileJob, Next, RigJob, file_name};
use crate::window::state::notice::{Cause, Notice};
use crate::window::state::screen::Sheet;
use crate::window::tasks::destination::Destination;
use crate::window::tasks::jobs::{Choice, Job, News};
use crate::wording::Refusal;

/// Said in the path panel when the system has no dialog.
const NO_SERVICE: &str = "The system offers no file dialog here: type the path.";

impl Workbench {
    /// Asks for a path: through the system, or in the window if the system has no dialog.
    pub(super) fn choose(&mut self, ctx: &egui::Context, job: FileJob) {
        if let Some((_, open)) = &self.files.dialogs.choosing {
            let told = format!("A file dialog is already open: {}", open.title());
            return self.complain_of(Cause::Dialog, told);
        }
        let (ticket, request) = (self.files.next_ticket(), job.request(self.document.path(), &self.file_title()));
        self.files.jobs.choose(ctx, &self.surroundings.chooser, ticket, job.clone(), request);
        self.files.dialogs.choosing = Some((ticket, job));
    }

    /// Takes the answer of a dialog, unless the user has meanwhile done something else.
    pub(super) fn chosen(&mut self, ctx: &egui::Context, ticket: u64, job: FileJob, choice: Choice) {
        if self.files.dialogs.choosing.take_if(|(open, _)| *open == ticket).is_none() {
            return;
        }
        match choice {
            Choice::Path(path) => self.do_job(ctx, job, path),
            Choice::Cancelled => self.ask_again(ctx, job),
            Choice::NoService => self.type_path(job, Some(NO_SERVICE)),
        }
    }

    /// Asks for a path in the window.
    pub(super) fn type_path(&mut self, job: FileJob, why: Option<&'static str>) {
        self.files.dialogs.choosing = None;
        self.files.recent.refresh();
        let request = job.request(self.document.path(), &self.file_title());
        let folder = request.folder.unwrap_or_else(|| self.files.working_folder.clone());
        let text = folder.join(request.name.unwrap_or_default()).to_string_lossy().into_owned();
        self.files.dialogs.panel = Some(Floating::Path(PathForm { job, text, why, warned_of: None, refusal: None }));
    }

    /// Does a job with a path; if it writes, the destination is looked up first.
    pub(super) fn do_job(&mut self, ctx: &egui::Context, job: FileJob, asked: PathBuf) {
        if !job.is_writing() {
            return self.begin_job(ctx, job, asked, Vec::new());
        }
        if let Some(preparing) = &self.files.preparing {
            if preparing.job != job || preparing.asked != asked {
                self.fail_job("Another path is being looked at; try again");
                self.ask_again(ctx, job);
            }
            return;
        }
        let typed = match &self.files.dialogs.panel {
            Some(Floating::Path(form)) if form.job == job => Some(form.warned_of.clone()),
            _ => None,
        };
        let (ticket, own) = (self.files.next_ticket(), self.document.path().map(Path::to_owned));
        let (of, path) = (job.clone(), asked.clone());
        self.files.jobs.start(ctx, Job::Preparing(ticket), move || {
            let destination = Destination::of(&of, path, own.as_deref());
            News::Prepared(of, destination)
        });
        self.files.preparing = Some(Preparing { ticket, job, asked, typed });
    }

    /// If no path was given for a save that was to come first, the user is asked again whether to save, before what
    /// was to follow.
    pub(super) fn ask_again(&mut self, ctx: &egui::Context, job: FileJob) {
        if let FileJob::SaveAs { then: Some(next) } = job {
            self.leave_for(ctx, next);
        }
    }

    /// Continues with a job that writes, unless the user has meanwhile cancelled it or must be asked first.
    pub(super) fn prepared(&mut self, ctx: &egui::Context, ticket: u64, job: FileJob, destination: Destination) {
        let Some(preparing) = self.files.preparing.take_if(|preparing| preparing.ticket == ticket) else {
            return;
        };
        let is_typed = matches!(&self.files.dialogs.panel, Some(Floating::Path(form)) if form.job == job);
        if preparing.typed.is_some() && !is_typed {
            return;
        }
        if destination.replaces_project {
            let name = file_name(&destination.path);
            return self.fail_job(format!("{name} is the open project's own file; choose another name"));
        }
        if self.asks_before_replacing(&job, &destination, preparing.typed.flatten()) {
            return;
        }
        self.begin_job(ctx, job, destination.path, destination.replaced);
    }

    fn begin_job(&mut self, ctx: &egui::Context, job: FileJob, path: PathBuf, replaced: Vec<String>) {
        match job {
            FileJob::Open => self.leave_for(ctx, Next::Open(path)),
            FileJob::Base => self.compare_with(path),
            FileJob::Theirs => self.merge_with(path),
            FileJob::SaveAs { then } => self.save_as(ctx, &path, then),
            FileJob::ExportTable(options) => self.export_table(ctx, options, path),
            FileJob::ImportTable => self.read_table(ctx, path),
            FileJob::WriteImage(files) => self.ask_to_write_image(ctx, files, path, replaced),
            FileJob::SetupSheet(paper) => {
                let project = self.document.project().clone();
                let make = move || setup_sheet(&project, paper).map_err(Refusal::from);
                self.write_page(ctx, "setup sheet", path, make);
            }
            FileJob::DegreeStrip(svg) => self.write_page(ctx, "degree strip", path, || Ok(svg.into_bytes())),
            FileJob::CompareImage => self.compare_image(ctx, path),
            FileJob::ReadImage => self.read_image(ctx, path, OnMismatch::Refuse),
            FileJob::Rig(job) => self.rig_job(ctx, job, path),
        }
    }

    /// Reports why a job with a path could not be done, also next to the path.
    pub(super) fn fail_job(&mut self, why: impl Into<String>) {
        let why = why.into();
        if let Some(Floating::Path(form)) = &mut self.files.dialogs.panel {
            form.refusal = Some(why.clone());
        }
        self.complain_of(self.cause_of_failure(), why);
    }

    /// The cause to report: for a typed path, the problem stays as long as the path does.
    fn cause_of_failure(&self) -> Cause {
        if self.files.dialogs.refuses_path() { Cause::Path } else { Cause::Lasting }
    }

    /// Says why a job could not be done with a path: the reason, then the path.
    pub(super) fn fail_job_at(&mut self, path: &Path, why: &str) {
        let notice = Notice::problem_with(path, why);
        self.fail_job(notice.text.clone());
        self.screen.notice = Some(Notice { cause: self.cause_of_failure(), ..notice });
    }

    /// Reads a project file, even if it is the base already, and compares with it.
    fn compare_with(&mut self, path: PathBuf) {
        self.close_path_panel();
        self.shown.base.forget_file();
        self.screen.compare.base = BaseChoice::File(path);
    }

    /// Reads a project file, even if it is theirs already, and merges it.
    fn merge_with(&mut self, path: PathBuf) {
        self.close_path_panel();
        self.shown.theirs = None;
        let merging = self.screen.compare.merging.get_or_insert_default();
        *merging = MergeScreen { theirs: Some(BaseChoice::File(path)), ..MergeScreen::default() };
        self.screen.go_to(Sheet::Compare);
    }

    /// The project's title as proposed for files: that of a locked-timing copy always says so.
    fn file_title(&self) -> String {
        let (title, suffix) = (self.document.title(), self.document.project().locked_timing_suffix());
        if title.ends_with(&suffix) { title } else { title + &suffix }
    }

    /// A file that exists is asked about once, in the panel with its path. The system's dialogs ask themselves,
    /// but know nothing of an ending that is added afterwards. `warned_of` is what the user has been told about
    /// already.
    fn asks_before_replacing(&mut self, job: &FileJob, destination: &Destination, warned_of: Option<String>) -> bool {
        let Destination { asked, path, is_own, exists, .. } = destination;
        if *is_own || !exists {
            return false;
        }
        let text = path.to_string_lossy().into_owned();
        let why = match &self.files.dialogs.panel {
            Some(Floating::Path(form)) if form.job == *job => {
                if warned_of.as_ref() == Some(&text) {
                    return false;
                }
                form.why
            }
            _ if asked == path => return false,
            _ => None,
        };
        if path.to_str().is_none() {
            // If the path cannot be shown exactly, the user cannot be asked about it.
            self.complain(format!("{text} exists already; choose it itself, or another name"));
            return true;
        }
        let warned_of = Some(text.clone());
        self.files.dialogs.panel =
            Some(Floating::Path(PathForm { job: job.clone(), text, why, warned_of, refusal: None }));
        true
    }

    /// A file dropped on the window: a project is opened, a table imported, an image read; on the Rig sheet a run.
    pub(super) fn take_dropped_files(&mut self, ctx: &egui::Context) {
        let dropped = ctx.input_mut(|input| std::mem::take(&mut input.raw.dropped_files));
        let Some(first) = dropped.first() else {
            return;
        };
        let path = first.path().to_owned();
        if self.files.dialogs.question.is_some() || self.files.dialogs.asks_for_path() {
            return self
                .complain(format!("{} was not opened: something is asked that waits for an answer", file_name(&path)));
        }
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

    pub(super) fn close_path_panel(&mut self) {
        self.files.dialogs.panel.take_if(|panel| matches!(panel, Floating::Path(_) | Floating::Export(_)));
    }
}
