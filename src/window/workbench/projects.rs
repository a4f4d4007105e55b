//! Going from one open project to another: parking the one that is shown, taking out the other, and closing one.

use std::path::PathBuf;

use eframe::egui;

use super::Workbench;
use super::leaving::sample;
use super::shelf::OnShow;
use crate::document::{Document, Revision};
use crate::window::sheets::Sheets;
use crate::window::state::projects::ProjectId;
use crate::window::state::screen::Screen;
use crate::window::state::settings::OpenFiles;
use crate::window::tasks::jobs::{Job, Reopened};

impl Workbench {
    /// In the first frame: looks for what a crash left behind, and opens again what was open the last time.
    pub(super) fn begin(&mut self, ctx: &egui::Context) {
        if self.surroundings.greets {
            self.files.find_leftovers(ctx, &self.surroundings.data, None);
        }
        let paths = self.settings.open.paths.clone();
        if !paths.is_empty() {
            self.files.reopen(ctx, &self.surroundings.data, self.document.path(), paths);
        }
    }

    /// Keeps which files are open and which of them is shown, for the next start; not before those of the last time are
    /// open again, and not while the window closes.
    pub(super) fn keep_open_files(&mut self) {
        if self.may_close || !self.files.is_begun() || self.files.is_at(Job::Reopening) {
            return;
        }
        let tabs = self.shelf.tabs();
        let paths: Vec<PathBuf> = tabs.list.iter().filter_map(|tab| tab.path.clone()).collect();
        let shown = self.document.path().and_then(|path| paths.iter().position(|open| open == path));
        self.settings.open = OpenFiles { paths, shown };
    }

    /// Shows a document beside the others. A sample of the start in which nothing was done gives way to it.
    pub(super) fn take_over(&mut self, ctx: &egui::Context, document: Document) {
        if self.shelf.gives_way(&self.document) && !self.files.is_at_work_for(self.shelf.shown()) {
            self.replace(ctx, document, false).close_soon();
            return;
        }
        self.show_beside(ctx, document);
    }

    /// Shows a document beside the others.
    pub(super) fn show_beside(&mut self, ctx: &egui::Context, document: Document) {
        let (shelf, on_show) = self.on_show();
        shelf.add(document, on_show);
        self.turned(ctx);
    }

    /// Shows a document in the place of the one shown, which is returned.
    fn replace(&mut self, ctx: &egui::Context, document: Document, is_stopgap: bool) -> Document {
        let mut screen = Screen::new(document.project().advance.table());
        screen.keep_of(&self.screen);
        self.screen = screen;
        self.steps_seen = document.steps().len();
        self.files.closed(self.shelf.shown());
        self.files.forget(self.shelf.replaced(is_stopgap));
        let before = std::mem::replace(&mut self.document, document);
        self.turned(ctx);
        before
    }

    /// Shows another of the open projects.
    pub(super) fn show_project(&mut self, ctx: &egui::Context, id: ProjectId) {
        if id == self.shelf.shown() {
            return;
        }
        let (shelf, on_show) = self.on_show();
        if !shelf.show(id, on_show) {
            return self.screen.complain("That project is no longer open");
        }
        self.turned(ctx);
        // Others may have changed its file meanwhile.
        self.files.look_at_file(ctx, &self.document);
        self.files.worked_on(self.document.path());
    }

    const fn on_show(&mut self) -> (&mut super::Shelf, OnShow<'_>) {
        let Self { document, screen, steps_seen, files, shelf, .. } = self;
        (shelf, OnShow { document, screen, steps_seen, files })
    }

    /// Brings everything that rests on the document shown to another one. What views have cached is made again.
    fn turned(&mut self, ctx: &egui::Context) {
        self.sheets = Sheets::default();
        self.gestures.forget();
        self.shown.turn_to(&self.document);
        self.shelf.settle(&self.document);
        // Fields of the same name have the same identity.
        if let Some(field) = ctx.memory(egui::Memory::focused) {
            ctx.memory_mut(|memory| memory.surrender_focus(field));
        }
        egui::Popup::close_all(ctx);
        self.greet();
    }

    /// Closes a project that waits and has nothing to ask about; any other is shown, and whether its changes would be given
    /// up is returned.
    pub(super) fn lead_to_closing(&mut self, ctx: &egui::Context, id: ProjectId) -> Option<bool> {
        let waits = self.shelf.parked(id).map(|document| document.is_changed());
        let is_at_work = self.files.is_at_work_for(id);
        if waits == Some(false) && !is_at_work {
            if let Some(closed) = self.shelf.take_out(id) {
                self.screen.say(format!("Closed {}", closed.title()));
                closed.close_soon();
            }
            self.shelf.settle(&self.document);
            return None;
        }
        self.show_project(ctx, id);
        if is_at_work {
            self.screen.complain("This project is still reading or writing a file; close it when that is done");
            return None;
        }
        Some(id == self.shelf.shown())
    }

    /// Closes the project shown. The one beside it is shown, or, if it was the only one, a sample as at the start.
    pub(super) fn close_project(&mut self, ctx: &egui::Context, id: ProjectId) {
        if id != self.shelf.shown() {
            return;
        }
        let (shelf, on_show) = self.on_show();
        let closed = match shelf.close_shown(on_show) {
            Some(closed) => {
                self.files.closed(id);
                self.turned(ctx);
                self.files.look_at_file(ctx, &self.document);
                self.files.worked_on(self.document.path());
                closed
            }
            None => match sample(&self.surroundings.data, 0) {
                Ok(sample) => self.replace(ctx, sample, true),
                Err(told) => return self.screen.complain(told),
            },
        };
        self.screen.say(format!("Closed {}", closed.title()));
        closed.close_soon();
    }

    /// Shows a project that was read from its file, unless it was opened in the meantime.
    pub(super) fn show_opened(&mut self, ctx: &egui::Context, document: Document) {
        let open = document.path().and_then(|path| self.shelf.tabs().with_path(path));
        let Some(open) = open else {
            return self.take_over(ctx, document);
        };
        self.show_project(ctx, open);
        document.give_way_to(&mut self.document);
    }

    /// Shows the open project whose recovery copy is on offer at a place, if there is one; returns whether the copy would
    /// take its place.
    pub(super) fn lead_to_file_of_offer(&mut self, ctx: &egui::Context, place: usize) -> bool {
        let open = self.files.offered_path(place).and_then(|path| self.shelf.tabs().with_path(path));
        if let Some(open) = open {
            self.show_project(ctx, open);
        }
        open.is_some()
    }

    /// Shows a project that was read from its recovery copy. It takes the place of an open one with the same file, unless
    /// that was changed since it was in the state `given_up`: then the copy is offered again.
    pub(super) fn show_recovered(&mut self, ctx: &egui::Context, mut document: Box<Document>, given_up: Revision) {
        let open = document.path().and_then(|path| self.shelf.tabs().with_path(path));
        let Some(open) = open else {
            return self.take_over(ctx, *document);
        };
        self.show_project(ctx, open);
        if self.document.is_changed() && self.document.revision() != given_up {
            self.files.find_leftovers(ctx, &self.surroundings.data, Some(document));
            let told = "The project was changed while the recovery copy was read; open the copy again";
            return self.screen.complain(told);
        }
        // The lock of the file goes over to the copy's document.
        let stand_in = Document::untitled_in(&crate::document::DataFolder::none(), document.project().clone(), "");
        let before = std::mem::replace(&mut self.document, stand_in);
        before.give_way_to(&mut document);
        drop(self.replace(ctx, *document, false));
    }

    /// Parks the projects that were open the last time in the order of their tabs, and shows the one that was shown if the
    /// start has nothing else to show.
    pub(super) fn take_reopened(&mut self, ctx: &egui::Context, reopened: Reopened) {
        let Reopened { documents, elsewhere, failed } = reopened;
        let OpenFiles { paths, shown } = self.settings.open.clone();
        let place_of = |path: Option<&std::path::Path>| paths.iter().position(|known| Some(known.as_path()) == path);
        let here = place_of(self.document.path());
        let gives_way = self.shelf.gives_way(&self.document);
        for document in documents {
            let place = place_of(document.path());
            if let Some(open) = document.path().and_then(|path| self.shelf.tabs().with_path(path)) {
                if let Some(parked) = self.shelf.parked(open) {
                    document.give_way_to(parked);
                } else {
                    document.give_way_to(&mut self.document);
                }
                continue;
            }
            self.shelf.park(document, here.is_none() || place < here, &self.screen);
            self.shelf.settle(&self.document);
        }
        let wanted = shown.and_then(|shown| paths.get(shown)).and_then(|path| self.shelf.tabs().with_path(path));
        let wanted = wanted.or_else(|| self.shelf.tabs().others().next().map(|tab| tab.id));
        if let Some(wanted) = wanted.filter(|_| gives_way) {
            let stopgap = self.shelf.shown();
            self.show_project(ctx, wanted);
            if let Some(stopgap) = self.shelf.take_out(stopgap) {
                stopgap.close_soon();
            }
            self.shelf.settle(&self.document);
        }
        self.files.tell_not_reopened(&mut self.screen, &elsewhere, failed);
    }
}
