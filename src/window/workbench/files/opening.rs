//! Opening project files and recovery copies: read on a thread, and shown when they have been read. Reading again, at the
//! start, what was open when the program ended.

use std::path::{Path, PathBuf};

use eframe::egui;

use super::{Files, Onward, Opening};
use crate::document::{DataFolder, Document, OpenError, ReadOnly};
use crate::window::state::file_jobs::{Next, file_name};
use crate::window::state::projects::ProjectId;
use crate::window::state::screen::Screen;
use crate::window::tasks::jobs::{Job, News, Reopened, Unopened};
use crate::window::tasks::paths::is_same_file;

impl Files {
    /// Reads a project file, to be shown; `open` are the files that are open already.
    pub(in crate::window::workbench) fn open(
        &mut self,
        ctx: &egui::Context,
        data: &DataFolder,
        document: &Document,
        screen: &mut Screen,
        (path, open): (PathBuf, Vec<(ProjectId, PathBuf)>),
    ) {
        let (data, recent, file) = (data.clone(), self.recent.files().clone(), path.clone());
        screen.say(format!("Opening {}\u{2026}", file_name(&path)));
        self.start_opening(ctx, document, Some(path), move || {
            // A second document of this file would find its lock taken, as if by another window.
            if let Some((open, path)) = open.into_iter().find(|(_, open)| is_same_file(open, &file)) {
                recent.add(&path);
                return Err(Unopened::IsOpen(open));
            }
            let opened = Document::open_in(&data, &file);
            match &opened {
                Ok(document) => document.path().into_iter().for_each(|path| recent.add(path)),
                Err(OpenError::Missing { .. }) => recent.remove(&file),
                Err(_) => {}
            }
            opened.map_err(|error| Unopened::Fault(error.to_string()))
        });
    }

    /// Reads a recovery copy, to be shown.
    pub(in crate::window::workbench) fn recover(
        &mut self,
        ctx: &egui::Context,
        document: &Document,
        screen: &mut Screen,
        place: usize,
    ) {
        let Some(offer) = self.take_offer(place) else {
            return screen.complain("the recovery copy is no longer offered");
        };
        let recent = self.recent.files().clone();
        screen.say(format!("Opening the recovery copy of {}\u{2026}", offer.name()));
        self.start_opening(ctx, document, None, move || {
            let opened = offer.open();
            let path = opened.as_ref().ok().and_then(Document::path);
            path.into_iter().for_each(|path: &Path| recent.add(path));
            opened.map_err(|error| Unopened::Fault(error.to_string()))
        });
    }

    fn start_opening(
        &mut self,
        ctx: &egui::Context,
        document: &Document,
        path: Option<PathBuf>,
        read: impl FnOnce() -> Result<Document, Unopened> + Send + 'static,
    ) {
        let ticket = self.next_ticket();
        self.jobs.start(ctx, Job::Opening(ticket), move || News::Opened(read().map(Box::new)));
        self.opening.push(Opening { ticket, given_up: document.revision(), path });
    }

    /// Has a thread read the files again that were open when the program ended; `shown` is open already.
    pub(in crate::window::workbench) fn reopen(
        &mut self,
        ctx: &egui::Context,
        data: &DataFolder,
        shown: Option<&Path>,
        paths: Vec<PathBuf>,
    ) {
        let (data, shown) = (data.clone(), shown.map(Path::to_owned));
        self.jobs.start(ctx, Job::Reopening, move || {
            let is_shown = |path: &Path| shown.as_ref().is_some_and(|shown| is_same_file(shown, path));
            let mut reopened = Reopened::default();
            for path in paths.into_iter().filter(|path| !is_shown(path)) {
                match Document::open_in(&data, &path) {
                    Ok(document) if document.read_only() == Some(ReadOnly::InUse) => {
                        reopened.elsewhere.push(file_name(&path));
                    }
                    Ok(document) => reopened.documents.push(document),
                    Err(error) => reopened.failed.push(error.to_string()),
                }
            }
            News::Reopened(Box::new(reopened))
        });
    }

    /// Reports which files that were open when the program ended could not be opened again, all at once.
    pub(in crate::window::workbench) fn tell_not_reopened(
        &mut self,
        screen: &mut Screen,
        elsewhere: &[String],
        failed: Vec<String>,
    ) {
        let told = self.dialogs.not_opened.take();
        let others = failed.into_iter().filter(|why| told.as_ref() != Some(why));
        let all: Vec<String> = told.clone().into_iter().chain(others).collect();
        self.dialogs.not_opened = (!all.is_empty()).then(|| all.join("; "));
        if !elsewhere.is_empty() {
            screen.say(format!("Not opened again, since another window has them open: {}", elsewhere.join(", ")));
        }
    }

    /// Puts a file first among those last worked on, since its project is shown.
    pub(in crate::window::workbench) fn worked_on(&mut self, path: Option<&Path>) {
        if let Some(path) = path {
            self.recent.put_first(path.to_owned());
        }
    }

    /// The file of the project whose recovery copy is on offer at a place.
    pub(in crate::window::workbench) fn offered_path(&self, place: usize) -> Option<&Path> {
        self.offers.get(place)?.path()
    }

    /// Returns the project that was read, to be shown.
    pub(super) fn opened(
        &mut self,
        screen: &mut Screen,
        ticket: u64,
        opened: Result<Box<Document>, Unopened>,
    ) -> Option<Onward> {
        let place = self.opening.iter().position(|opening| opening.ticket == ticket)?;
        let Opening { given_up, path, .. } = self.opening.remove(place);
        self.recent.refresh();
        match (opened, path) {
            (Ok(found), Some(_)) => return Some(Onward::Show(found)),
            (Ok(found), None) => return Some(Onward::Recovered(found, given_up)),
            (Err(Unopened::IsOpen(id)), _) => {
                self.close_path_panel();
                return Some(Onward::Leave(Next::Show(id)));
            }
            (Err(Unopened::Fault(told)), Some(path)) => self.fail_job_at(screen, &path, &told),
            (Err(Unopened::Fault(told)), None) => self.fail_job(screen, told),
        }
        None
    }
}
