//! Asking for paths, and finding out what is there already.

use std::path::{Path, PathBuf};

use eframe::egui;

use super::{Files, Onward, Preparing};
use crate::document::Document;
use crate::window::state::dialogs::{Floating, PathForm};
use crate::window::state::file_jobs::{FileJob, Next, RigJob, file_name};
use crate::window::state::notice::Cause;
use crate::window::state::screen::{Screen, Sheet};
use crate::window::tasks::jobs::{Choice, Job, News};
use crate::window::tasks::paths::Chooser;
use crate::window::tasks::paths::Destination;

/// Said in the path panel when the system has no dialog.
const NO_SERVICE: &str = "The system offers no file dialog here: type the path.";

/// A file dropped on the window.
pub(in crate::window::workbench) struct Dropped {
    pub(in crate::window::workbench) job: FileJob,
    pub(in crate::window::workbench) path: PathBuf,
    /// How many files were dropped, including this one.
    pub(in crate::window::workbench) files: usize,
}

impl Files {
    /// Asks for a path: through the system, or in the window if the system has no dialog.
    pub(in crate::window::workbench) fn choose(
        &mut self,
        ctx: &egui::Context,
        chooser: &Chooser,
        document: &Document,
        screen: &mut Screen,
        job: FileJob,
    ) {
        if let Some((_, open)) = &self.dialogs.choosing {
            let told = format!("A file dialog is already open: {}", open.title());
            return screen.complain_of(Cause::Dialog, told);
        }
        let (ticket, request) = (self.next_ticket(), job.request(document.path(), &file_title(document)));
        self.jobs.choose(ctx, chooser, ticket, job.clone(), request);
        self.dialogs.choosing = Some((ticket, job));
    }

    /// Takes the answer of a dialog, unless the user has meanwhile done something else.
    pub(super) fn chosen(&mut self, document: &Document, ticket: u64, job: FileJob, choice: Choice) -> Option<Onward> {
        self.dialogs.choosing.take_if(|(open, _)| *open == ticket)?;
        match choice {
            Choice::Path(path) => return Some(Onward::Do(job, path)),
            Choice::Cancelled => return saved_before(job).map(Onward::Leave),
            Choice::NoService => self.type_path(document, job, Some(NO_SERVICE)),
        }
        None
    }

    /// Asks for a path in the window.
    pub(in crate::window::workbench) fn type_path(
        &mut self,
        document: &Document,
        job: FileJob,
        why: Option<&'static str>,
    ) {
        self.dialogs.choosing = None;
        self.recent.refresh();
        let request = job.request(document.path(), &file_title(document));
        let folder = request.folder.unwrap_or_else(|| self.working_folder.clone());
        let text = folder.join(request.name.unwrap_or_default()).to_string_lossy().into_owned();
        self.dialogs.panel = Some(Floating::Path(PathForm { job, text, why, warned_of: None, refusal: None }));
    }

    /// Does a job with a path; if it writes, the destination is looked up first. `others` are the files of the other open
    /// projects.
    pub(in crate::window::workbench) fn do_job(
        &mut self,
        ctx: &egui::Context,
        document: &Document,
        screen: &mut Screen,
        (job, asked): (FileJob, PathBuf),
        others: Vec<PathBuf>,
    ) -> Option<Onward> {
        if !job.is_writing() {
            return Some(Onward::Begin(job, asked, Vec::new()));
        }
        if let Some(preparing) = &self.preparing {
            if preparing.job != job || preparing.asked != asked {
                self.fail_job(screen, "Another path is being looked at; try again");
                return saved_before(job).map(Onward::Leave);
            }
            return None;
        }
        let typed = match &self.dialogs.panel {
            Some(Floating::Path(form)) if form.job == job => Some(form.warned_of.clone()),
            _ => None,
        };
        let (ticket, own) = (self.next_ticket(), document.path().map(Path::to_owned));
        let (of, path) = (job.clone(), asked.clone());
        self.jobs.start(ctx, Job::Preparing(ticket), move || {
            let destination = Destination::of(&of, path, own.as_deref(), &others);
            News::Prepared(of, destination)
        });
        self.preparing = Some(Preparing { ticket, job, asked, typed });
        None
    }

    /// Continues with a job that writes, unless the user has meanwhile cancelled it or must be asked first.
    pub(super) fn prepared(
        &mut self,
        screen: &mut Screen,
        ticket: u64,
        job: FileJob,
        destination: Destination,
    ) -> Option<Onward> {
        let preparing = self.preparing.take_if(|preparing| preparing.ticket == ticket)?;
        let is_typed = matches!(&self.dialogs.panel, Some(Floating::Path(form)) if form.job == job);
        if preparing.typed.is_some() && !is_typed {
            return None;
        }
        if destination.replaces_project {
            let name = file_name(&destination.path);
            self.fail_job(screen, format!("{name} is the open project's own file; choose another name"));
            return None;
        }
        if destination.is_of_another {
            let name = file_name(&destination.path);
            self.fail_job(
                screen,
                format!("{name} is open here as another project; close that first, or choose another name"),
            );
            return None;
        }
        if self.asks_before_replacing(screen, &job, &destination, preparing.typed.flatten()) {
            return None;
        }
        Some(Onward::Begin(job, destination.path, destination.replaced))
    }

    /// A file that exists is asked about once, in the panel with its path. The system's dialogs ask themselves,
    /// but know nothing of an ending that is added afterwards. `warned_of` is what the user has been told about
    /// already.
    fn asks_before_replacing(
        &mut self,
        screen: &mut Screen,
        job: &FileJob,
        destination: &Destination,
        warned_of: Option<String>,
    ) -> bool {
        let Destination { asked, path, is_own, exists, .. } = destination;
        if *is_own || !exists {
            return false;
        }
        let text = path.to_string_lossy().into_owned();
        let why = match &self.dialogs.panel {
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
            screen.complain(format!("{text} exists already; choose it itself, or another name"));
            return true;
        }
        let warned_of = Some(text.clone());
        self.dialogs.panel = Some(Floating::Path(PathForm { job: job.clone(), text, why, warned_of, refusal: None }));
        true
    }

    /// A file dropped on the window: a project is opened, a table imported, an image read; on the Rig sheet a run.
    pub(in crate::window::workbench) fn take_dropped(
        &self,
        ctx: &egui::Context,
        screen: &mut Screen,
    ) -> Option<Dropped> {
        let dropped = ctx.input_mut(|input| std::mem::take(&mut input.raw.dropped_files));
        let path = dropped.first()?.path().to_owned();
        if self.dialogs.question.is_some() || self.dialogs.asks_for_path() {
            let name = file_name(&path);
            screen.complain(format!("{name} was not opened: something is asked that waits for an answer"));
            return None;
        }
        let ending = path.extension().map(|ending| ending.to_string_lossy().to_lowercase());
        let job = match ending.as_deref() {
            Some("csv" | "tsv" | "txt") if screen.sheet == Sheet::Rig => FileJob::Rig(RigJob::ReadRun),
            Some("csv" | "tsv" | "txt") if screen.sheet == Sheet::Evidence => FileJob::ReadSweeps,
            Some("csv" | "tsv" | "txt") => FileJob::ImportTable,
            Some("hex" | "s19" | "s28" | "s37" | "bin") => FileJob::ReadImage,
            _ => FileJob::Open,
        };
        Some(Dropped { job, path, files: dropped.len() })
    }
}

/// What the project was to be saved for. If there is no path for it, the user is asked about that again.
pub(super) fn saved_before(job: FileJob) -> Option<Next> {
    match job {
        FileJob::SaveAs { then } => then,
        _ => None,
    }
}

/// The project's title as proposed for files: that of a locked-timing copy always says so.
fn file_title(document: &Document) -> String {
    let (title, suffix) = (document.title(), document.project().locked_timing_suffix());
    if title.ends_with(&suffix) { title } else { title + &suffix }
}
