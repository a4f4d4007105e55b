//! Image files: written, compared, read. Pages to print.

use std::path::{Path, PathBuf};
use std::sync::Arc;

use eframe::egui::{self, ColorImage};

use super::{Files, Onward};
use crate::document::Document;
use crate::image::OnMismatch;
use crate::project::Project;
use crate::window::state::dialogs::Floating;
use crate::window::state::export_state::{CompareFound, ImageFiles, ImageRead, WrittenFiles};
use crate::window::state::export_state::{Replacing, Shown};
use crate::window::state::file_jobs::file_name;
use crate::window::state::screen::{Screen, Sheet};
use crate::window::tasks::exchange_files;
use crate::window::tasks::jobs::{Job, News};
use crate::window::tasks::pictures::PictureClipboard;
use crate::wording::{Refusal, capital};

impl Files {
    /// Asks before files beside the one chosen are replaced.
    pub(in crate::window::workbench) fn ask_to_replace(
        &mut self,
        screen: &mut Screen,
        files: ImageFiles,
        path: PathBuf,
        names: Vec<String>,
    ) {
        self.close_path_panel();
        screen.go_to(Sheet::Export);
        screen.complain(format!("Nothing was written yet: {} would be replaced", names.join(", ")));
        screen.export.replacing = Some(Replacing { files, path, names });
    }

    /// Writes files on a thread, and reads them back.
    pub(in crate::window::workbench) fn write_image(
        &mut self,
        ctx: &egui::Context,
        project: Project,
        screen: &mut Screen,
        files: ImageFiles,
        path: PathBuf,
    ) {
        let write = move || News::ImageWritten(exchange_files::write_image(project, &files, &path).map(Box::new));
        self.start_image_work(ctx, screen, write);
    }

    fn start_image_work(
        &mut self,
        ctx: &egui::Context,
        screen: &mut Screen,
        work: impl FnOnce() -> News + Send + 'static,
    ) {
        self.jobs.start(ctx, Job::Image, work);
        screen.export.is_busy = true;
    }

    /// Returns what was written, to be recorded, if the project it was written from is still open.
    pub(super) fn image_written(
        &mut self,
        document: &Document,
        screen: &mut Screen,
        written: Result<Box<WrittenFiles>, Refusal>,
    ) -> Option<Onward> {
        let written = match written {
            Ok(written) => written,
            Err(why) => {
                self.fail_job(screen, format!("The image was not exported: {why}"));
                return None;
            }
        };
        self.close_path_panel();
        if has_been(document, &written.project) {
            return Some(Onward::Remember(written));
        }
        screen.say(format!("{}; the project it was written from is no longer open", written.told()));
        None
    }

    /// Has a thread paint a view and put it on the clipboard.
    pub(in crate::window::workbench) fn paint(
        &mut self,
        ctx: &egui::Context,
        clipboard: &PictureClipboard,
        screen: &mut Screen,
        what: &'static str,
        paint: impl FnOnce() -> Result<ColorImage, Refusal> + Send + 'static,
    ) {
        let clipboard = Arc::clone(clipboard);
        screen.say(format!("Painting {what}…"));
        self.jobs
            .start(ctx, Job::Painting, move || News::Painted(what, paint().and_then(|picture| clipboard(picture))));
    }

    pub(super) fn painted(screen: &mut Screen, what: &str, painted: Result<(), Refusal>) {
        match painted {
            Ok(()) => screen.say(format!("{} is on the clipboard as a picture", capital(what))),
            Err(why) => screen.complain(format!("There is no picture of {what}: {why}")),
        }
    }

    /// Writes a page to print on a thread: what it is called and how its bytes are made.
    pub(in crate::window::workbench) fn write_page(
        &mut self,
        ctx: &egui::Context,
        screen: &mut Screen,
        what: &'static str,
        path: PathBuf,
        make: impl FnOnce() -> Result<Vec<u8>, Refusal> + Send + 'static,
    ) {
        self.start_image_work(ctx, screen, move || exchange_files::write_page(what, path, make));
    }

    pub(super) fn page_written(
        &mut self,
        screen: &mut Screen,
        what: &str,
        path: &Path,
        done: Result<Option<String>, Refusal>,
    ) {
        match done {
            Ok(warning) => self.tell_written(screen, path, format!("Wrote the {what} {}", file_name(path)), warning),
            Err(why) => self.fail_job_at(screen, path, &format!("The {what} was not written: {why}")),
        }
    }

    /// Compares a file with the project on a thread.
    pub(in crate::window::workbench) fn compare_image(
        &mut self,
        ctx: &egui::Context,
        project: Project,
        screen: &mut Screen,
        path: PathBuf,
    ) {
        let compare = move || News::ImageCompared(Box::new(exchange_files::compare_image(project, path)));
        self.start_image_work(ctx, screen, compare);
    }

    pub(super) fn image_compared(&mut self, document: &Document, screen: &mut Screen, compared: CompareFound) {
        if !has_been(document, &compared.project) {
            return;
        }
        self.close_path_panel();
        screen.go_to(Sheet::Export);
        screen.export.shown = Shown::Comparison;
        let name = file_name(&compared.path);
        match &compared.found {
            Ok(_) if !compared.broken.is_empty() => {
                screen.complain(format!("{name}: {}; export both again", compared.broken.join("; ")));
            }
            Ok((_, comparison)) if comparison.is_same() => screen.say(format!("{name} holds the project's image")),
            Ok((_, comparison)) => {
                screen.complain(format!("{name} differs from the project in {} numbers", comparison.differences.len()));
            }
            Err(why) => screen.complain_at(&compared.path, &why.to_string()),
        }
        screen.export.compared = Some(compared);
    }

    /// Reads a file's values on a thread.
    pub(in crate::window::workbench) fn read_image(
        &mut self,
        ctx: &egui::Context,
        project: Project,
        screen: &mut Screen,
        path: PathBuf,
        on_mismatch: OnMismatch,
    ) {
        let read = move || News::ImageRead(Box::new(exchange_files::read_image(project, path, on_mismatch)));
        self.start_image_work(ctx, screen, read);
    }

    /// Shows what was read before it is taken over.
    pub(super) fn image_read(&mut self, document: &Document, read: ImageRead) {
        if has_been(document, &read.into) {
            self.dialogs.panel = Some(Floating::Image(Box::new(read)));
        }
    }

    /// The path of the image that was read and is shown.
    pub(in crate::window::workbench) fn image_looked_at(&self) -> Option<PathBuf> {
        match &self.dialogs.panel {
            Some(Floating::Image(read)) => Some(read.path.clone()),
            _ => None,
        }
    }

    /// The image that was read, to be taken over; closes the panel.
    pub(in crate::window::workbench) fn take_image(&mut self) -> Option<Box<ImageRead>> {
        match self.dialogs.panel.take() {
            Some(Floating::Image(read)) => Some(read),
            _ => None,
        }
    }
}

/// Whether a project is a state of the open document: the answer of a thread may be about one that was open before.
fn has_been(document: &Document, project: &Project) -> bool {
    document.steps().iter().any(|step| step.project.is_same(project))
}
