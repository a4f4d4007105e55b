//! Opening project files and recovery copies: read on a thread, and shown when they have been read.

use std::path::{Path, PathBuf};

use eframe::egui;

use super::Workbench;
use super::file_work::Opening;
use crate::document::{Document, OpenError};
use crate::window::state::file_jobs::{Next, file_name};
use crate::window::tasks::destination::is_same_file;
use crate::window::tasks::jobs::{Job, News, Unopened};

impl Workbench {
    /// Reads a project file, to be shown in the place of the open one.
    pub(super) fn open(&mut self, ctx: &egui::Context, path: PathBuf) {
        let (data, recent, file) = (self.surroundings.data.clone(), self.files.recent.files().clone(), path.clone());
        let own = self.document.path().map(Path::to_owned);
        let told = format!("Opening {}\u{2026}", file_name(&path));
        self.start_opening(ctx, Some(path), told, move || {
            // A second document of this file would find its lock taken, as if by another window.
            if own.is_some_and(|own| is_same_file(&own, &file)) {
                return Err(Unopened::IsOpen);
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

    /// Reads a recovery copy, to be shown in the place of the open project.
    pub(super) fn recover(&mut self, ctx: &egui::Context, place: usize) {
        let Some(offer) = self.take_offer(place) else {
            return self.complain("the recovery copy is no longer offered");
        };
        let recent = self.files.recent.files().clone();
        let told = format!("Opening the recovery copy of {}\u{2026}", offer.name());
        self.start_opening(ctx, None, told, move || {
            let opened = offer.open();
            let path = opened.as_ref().ok().and_then(Document::path);
            path.into_iter().for_each(|path: &Path| recent.add(path));
            opened.map_err(|error| Unopened::Fault(error.to_string()))
        });
    }

    fn start_opening(
        &mut self,
        ctx: &egui::Context,
        path: Option<PathBuf>,
        told: String,
        read: impl FnOnce() -> Result<Document, Unopened> + Send + 'static,
    ) {
        let ticket = self.files.next_ticket();
        self.files.jobs.start(ctx, Job::Opening(ticket), move || News::Opened(read().map(Box::new)));
        self.files.opening = Some(Opening { ticket, given_up: self.document.revision(), path });
        self.say(told);
    }

    /// Shows the project that was read. Changes made to the open one meanwhile are not discarded unasked.
    pub(super) fn opened(&mut self, ctx: &egui::Context, ticket: u64, opened: Result<Box<Document>, Unopened>) {
        let Some(Opening { given_up, path, .. }) = self.files.opening.take_if(|opening| opening.ticket == ticket)
        else {
            // The user has done something else meanwhile; a recovery copy is offered again at the next start.
            return;
        };
        self.files.recent.refresh();
        let document = match (opened, path.as_deref()) {
            (Ok(document), _) => document,
            (Err(Unopened::IsOpen), path) => {
                let name = path.map(file_name).unwrap_or_default();
                return self
                    .fail_job(format!("{name} is already open here; 'Revert to the saved file' reads it again"));
            }
            (Err(Unopened::Fault(told)), Some(path)) => return self.fail_job_at(path, &told),
            (Err(Unopened::Fault(told)), None) => return self.fail_job(told),
        };
        if !self.document.is_changed() || self.document.revision() == given_up {
            let is_closing = self.files.dialogs.question == Some(Next::Quit);
            self.take_over(*document);
            if is_closing {
                self.go(ctx, Next::Quit);
            }
            return;
        }
        match path {
            Some(path) => {
                drop(document);
                self.leave_for(ctx, Next::Open(path));
            }
            None => {
                self.find_leftovers(ctx, Some(document));
                self.complain("The project was changed while the recovery copy was read; open the copy again");
            }
        }
    }
}
