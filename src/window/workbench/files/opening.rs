//! Opening project files and recovery copies: read on a thread, and shown when they have been read.

use std::path::{Path, PathBuf};

use eframe::egui;

use super::{Files, Onward, Opening};
use crate::document::{DataFolder, Document, OpenError};
use crate::window::state::file_jobs::{Next, file_name};
use crate::window::state::screen::Screen;
use crate::window::tasks::jobs::{Job, News, Unopened};
use crate::window::tasks::paths::is_same_file;

impl Files {
    /// Reads a project file, to be shown in the place of the open one.
    pub(in crate::window::workbench) fn open(
        &mut self,
        ctx: &egui::Context,
        data: &DataFolder,
        document: &Document,
        screen: &mut Screen,
        path: PathBuf,
    ) {
        let (data, recent, file) = (data.clone(), self.recent.files().clone(), path.clone());
        let own = document.path().map(Path::to_owned);
        screen.say(format!("Opening {}\u{2026}", file_name(&path)));
        self.start_opening(ctx, document, Some(path), move || {
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
        self.opening = Some(Opening { ticket, given_up: document.revision(), path });
    }

    /// Returns the project that was read, to be shown. Changes made to the open one meanwhile are not discarded unasked.
    pub(super) fn opened(
        &mut self,
        document: &Document,
        screen: &mut Screen,
        ticket: u64,
        opened: Result<Box<Document>, Unopened>,
    ) -> Option<Onward> {
        // If the user has done something else meanwhile, a recovery copy is offered again at the next start.
        let Opening { given_up, path, .. } = self.opening.take_if(|opening| opening.ticket == ticket)?;
        self.recent.refresh();
        let found = match opened {
            Ok(found) => found,
            Err(why) => {
                self.fail_opening(screen, path.as_deref(), why);
                return None;
            }
        };
        if !document.is_changed() || document.revision() == given_up {
            let is_closing = self.dialogs.question == Some(Next::Quit);
            return Some(Onward::Show(found, is_closing));
        }
        Some(path.map_or(Onward::OfferAgain(found), |path| Onward::Leave(Next::Open(path))))
    }

    fn fail_opening(&mut self, screen: &mut Screen, path: Option<&Path>, why: Unopened) {
        match (why, path) {
            (Unopened::IsOpen, path) => {
                let name = path.map(file_name).unwrap_or_default();
                self.fail_job(
                    screen,
                    format!("{name} is already open here; 'Revert to the saved file' reads it again"),
                );
            }
            (Unopened::Fault(told), Some(path)) => self.fail_job_at(screen, path, &told),
            (Unopened::Fault(told), None) => self.fail_job(screen, told),
        }
    }
}
