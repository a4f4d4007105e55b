//! Image files: written and recorded, compared, read.

use std::path::{Path, PathBuf};
use std::sync::Arc;

use eframe::egui;

use super::Workbench;
use crate::image::OnMismatch;
use crate::project::{LastExport, Project};
use crate::window::sheets::export::files_to_write;
use crate::window::state::dialogs::Floating;
use crate::window::state::export_state::{Replacing, Shown};
use crate::window::state::file_jobs::{FileJob, file_name};
use crate::window::state::image_results::{CompareFound, ImageFiles, ImageRead, ImageValues, WrittenFiles};
use crate::window::state::notice::Notice;
use crate::window::state::screen::Sheet;
use crate::window::tasks::jobs::{Job, News};
use crate::window::tasks::{image_files, table_files};
use crate::wording::Refusal;

impl Workbench {
    /// Goes to the Export sheet and asks where to write.
    pub(super) fn export_image(&mut self, ctx: &egui::Context) {
        self.screen.go_to(Sheet::Export);
        let files = files_to_write(&self.view());
        if files.formats.is_empty() {
            return self.complain("Choose at least one format on the Export sheet");
        }
        self.choose(ctx, FileJob::WriteImage(files));
    }

    /// Writes, unless files beside the one chosen would be replaced unasked.
    pub(super) fn ask_to_write_image(
        &mut self,
        ctx: &egui::Context,
        files: ImageFiles,
        path: PathBuf,
        replaced: Vec<String>,
    ) {
        if replaced.is_empty() {
            return self.write_image(ctx, files, path);
        }
        self.close_path_panel();
        self.screen.go_to(Sheet::Export);
        self.complain(format!("Nothing was written yet: {} would be replaced", replaced.join(", ")));
        self.screen.export.replacing = Some(Replacing { files, path, names: replaced });
    }

    /// Writes files on a thread, and reads them back.
    pub(super) fn write_image(&mut self, ctx: &egui::Context, files: ImageFiles, path: PathBuf) {
        self.end_gesture();
        let project = self.document.project().clone();
        let write = move || News::ImageWritten(image_files::write(project, &files, &path).map(Box::new));
        self.start_image_work(ctx, write);
    }

    fn start_image_work(&mut self, ctx: &egui::Context, work: impl FnOnce() -> News + Send + 'static) {
        self.files.jobs.start(ctx, Job::Image, work);
        self.screen.export.is_busy = true;
    }

    /// Remembers what was written, as one step.
    pub(super) fn image_written(&mut self, written: Result<Box<WrittenFiles>, Refusal>) {
        let written = match written {
            Ok(written) => *written,
            Err(why) => return self.fail_job(format!("The image was not exported: {why}")),
        };
        self.close_path_panel();
        let told = format!("Wrote and read back {}; {}", written.names.join(", "), written.checksum);
        if !self.has_been(&written.project) {
            return self.say(format!("{told}; the project it was written from is no longer open"));
        }
        let name = written.names.first().cloned().unwrap_or_default();
        let label = format!("Export {name}, {}", written.checksum);
        let last = LastExport {
            file_name: name,
            written_at: (self.surroundings.clock)().to_string(),
            checksum: written.checksum.clone(),
            despite_errors: written.despite_errors.clone(),
            state: written.project.as_state(),
        };
        let remember = |project: &Project| {
            let last = Some(Arc::new(last));
            project.edit(|parts| parts.last_export = last).map_err(Refusal::from)
        };
        let selected = Some(self.screen.selection.cells.clone());
        let done = self.step(label, selected, remember).map(|_| ());
        self.say(told);
        self.report(done);
        self.screen.export.despite_errors.clear();
        self.screen.export.written = Some(written);
    }

    /// Whether a project is a state of the open document: the answer of a thread may be about one that was open before.
    fn has_been(&self, project: &Project) -> bool {
        self.document.steps().iter().any(|step| step.project.is_same(project))
    }

    /// Writes a page to print on a thread: what it is called and how its bytes are made.
    pub(super) fn write_page(
        &mut self,
        ctx: &egui::Context,
        what: &'static str,
        path: PathBuf,
        make: impl FnOnce() -> Result<Vec<u8>, Refusal> + Send + 'static,
    ) {
        self.start_image_work(ctx, move || table_files::write_page(what, path, make));
    }

    pub(super) fn page_written(&mut self, what: &str, path: &Path, done: Result<Option<String>, Refusal>) {
        match done {
            Ok(warning) => {
                self.close_path_panel();
                self.say(format!("Wrote the {what} {}", file_name(path)));
                if let Some(warning) = warning {
                    self.complain(format!("{}: {warning}", file_name(path)));
                }
            }
            Err(why) => self.fail_job_at(path, &format!("The {what} was not written: {why}")),
        }
    }

    /// Compares a file with the project on a thread.
    pub(super) fn compare_image(&mut self, ctx: &egui::Context, path: PathBuf) {
        self.end_gesture();
        let project = self.document.project().clone();
        let compare = move || News::ImageCompared(Box::new(image_files::compare(project, path)));
        self.start_image_work(ctx, compare);
    }

    pub(super) fn image_compared(&mut self, compared: CompareFound) {
        if !self.has_been(&compared.project) {
            return;
        }
        self.close_path_panel();
        self.screen.go_to(Sheet::Export);
        self.screen.export.shown = Shown::Comparison;
        let name = file_name(&compared.path);
        match &compared.found {
            Ok(_) if !compared.broken.is_empty() => {
                self.complain(format!("{name}: {}; export both again", compared.broken.join("; ")));
            }
            Ok((_, comparison)) if comparison.is_same() => self.say(format!("{name} holds the project's image")),
            Ok((_, comparison)) => {
                self.complain(format!("{name} differs from the project in {} numbers", comparison.differences.len()));
            }
            Err(why) => {
                let notice = Notice::problem_with(&compared.path, &why.to_string());
                self.screen.notice = Some(notice);
            }
        }
        self.screen.export.compared = Some(compared);
    }

    /// Reads a file's values on a thread.
    pub(super) fn read_image(&mut self, ctx: &egui::Context, path: PathBuf, on_mismatch: OnMismatch) {
        self.end_gesture();
        let project = self.document.project().clone();
        let read = move || News::ImageRead(Box::new(image_files::read(project, path, on_mismatch)));
        self.start_image_work(ctx, read);
    }

    /// Shows what was read before it is taken over.
    pub(super) fn image_read(&mut self, read: ImageRead) {
        if self.has_been(&read.into) {
            self.files.dialogs.panel = Some(Floating::Image(Box::new(read)));
        }
    }

    /// Reads the same file again, whatever its checksum says.
    pub(super) fn accept_checksum(&mut self, ctx: &egui::Context) {
        if let Some(Floating::Image(read)) = &self.files.dialogs.panel {
            let path = read.path.clone();
            self.read_image(ctx, path, OnMismatch::Accept);
        }
    }

    /// Takes over the values read, as one step.
    pub(super) fn take_image(&mut self) {
        let Some(Floating::Image(read)) = self.files.dialogs.panel.take() else {
            return;
        };
        let ImageRead { path, into, read } = *read;
        let Ok(values) = read else {
            return;
        };
        let ImageValues { project, cells, fields, .. } = *values;
        self.end_gesture();
        if !into.is_same(self.document.project()) {
            return self.complain("The project has changed since the image was read; read it again");
        }
        let label = format!("Read the image {}", file_name(&path));
        let selected = Some(self.screen.selection.cells.clone());
        match self.step(label.clone(), selected, |_| Ok(project)) {
            Ok(true) => self.say(format!("{label}: {cells} cells and {} other fields changed", fields.len())),
            Ok(false) => self.complain("Nothing changed: the image holds the project's values"),
            Err(why) => self.complain(why),
        }
    }
}
