//! Opening project files and recovery copies: read on a thread, shown when they are there.

use std::path::{Path, PathBuf};

use eframe::egui;

use super::Workbench;
use super::file_work::Opening;
use super::files::is_same_file;
use crate::document::{Document, OpenError};
use crate::window::state::file_jobs::{Next, file_name};
use crate::window::tasks::worker::{News, Task};

impl Workbench {
    /// Reads a project file, to be shown in the place of the open one.
    pub(super) fn open(&mut self, ctx: &egui::Context, path: PathBuf) {
        if self.document.path().is_some_and(|open| is_same_file(open, &path)) {
            let name = file_name(&path);
            return self.fail_job(format!("{name} is already open here; 'Revert to the saved file' reads it again"));
        }
        let (data, recent, file) = (self.surroundings.data.clone(), self.recent(), path.clone());
        let told = format!("Opening {}\u{2026}", file_name(&path));
        self.start_opening(ctx, Some(path), told, move || {
            let opened = Document::open_in(&data, &file);
            match &opened {
                Ok(document) => document.path().into_iter().for_each(|path| recent.add(path)),
                Err(OpenError::Missing { .. }) => recent.remove(&file),
                Err(_) => {}
            }
            opened
        });
    }

    /// Reads a recovery copy, to be shown in the place of the open project.
    pub(super) fn recover(&mut self, ctx: &egui::Context, place: usize) {
        let Some(offer) = self.take_offer(place) else {
            return self.complain("the recovery copy is no longer offered");
        };
        let recent = self.recent();
        let told = format!("Opening the recovery copy of {}\u{2026}", offer.name());
        self.start_opening(ctx, None, told, move || {
            let opened = offer.open();
            let path = opened.as_ref().ok().and_then(Document::path);
            path.into_iter().for_each(|path: &Path| recent.add(path));
            opened
        });
    }

    fn start_opening(
        &mut self,
        ctx: &egui::Context,
        path: Option<PathBuf>,
        told: String,
        read: impl FnOnce() -> Result<Document, OpenError> + Send + 'static,
    ) {
        self.files.last_ticket += 1;
        let ticket = self.files.last_ticket;
        let work = move || {
            let opened = read().map(Box::new).map_err(|error| error.to_string());
            News::Opened { ticket, opened }
        };
        if !self.files.worker.start(ctx, Task::Opening(ticket), work) {
            return self.complain("Nothing was opened: the system gives no thread; close other programs");
        }
        self.files.opening = Some(Opening { ticket, given_up: self.document.revision(), path });
        self.say(told);
    }

    /// Shows the project that was read. What was changed in the open one meanwhile is not given up unasked.
    pub(super) fn opened(&mut self, ctx: &egui::Context, ticket: u64, opened: Result<Box<Document>, String>) {
        let Some(Opening { given_up, path, .. }) = self.files.opening.take_if(|opening| opening.ticket == ticket)
        else {
            // The user has gone another way; a recovery copy is offered again at the next start.
            return;
        };
        let document = match opened {
            Ok(document) => document,
            Err(told) => {
                return match path {
                    Some(path) => self.fail_job_at(&path, &told),
                    None => self.fail_job(told),
                };
            }
        };
        if !self.document.is_changed() || self.document.revision() == given_up {
            let is_closing = self.files.dialogs.question == Some(Next::Quit);
            self.take_over(*document);
            if is_closing {
                self.go(ctx, Next::Quit);
            }
            return;
        }
        drop(document);
        match path {
            Some(path) => self.leave_for(ctx, Next::Open(path)),
            None => {
                self.find_offers();
                self.complain("The project was changed while the recovery copy was read; open the copy again");
            }
        }
    }
}
