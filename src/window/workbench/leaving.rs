//! Replacing the open project, or closing the window, without losing work unasked.

use eframe::egui::{self, ViewportCommand};

use super::Workbench;
use crate::document::{DataFolder, Document};
use crate::project::SAMPLES;
use crate::window::sheets::Sheets;
use crate::window::state::file_jobs::{LockedDeg, NewCar, Next};
use crate::window::state::screen::Screen;
use crate::window::tasks::base::BaseKeeper;
use crate::window::tasks::preview::Previewer;
use crate::wording::Refusal;

impl Workbench {
    /// Continues with `next`, after asking if there are unsaved changes.
    pub(super) fn leave_for(&mut self, ctx: &egui::Context, next: Next) {
        self.end_gesture();
        if self.files.dialogs.question.is_some() && next != Next::Quit {
            return self.complain(format!("Answer the question above first, before {}", next.words()));
        }
        if self.files.dialogs.saving {
            // When that is done, the user is asked about what was changed meanwhile.
            self.files.after_saving = Some(next);
        } else if self.document.is_changed() {
            self.files.dialogs.question = Some(next);
        } else {
            self.go(ctx, next);
        }
    }

    /// Answers the question: save, then continue.
    pub(super) fn save_and_go_on(&mut self, ctx: &egui::Context) {
        let Some(next) = self.files.dialogs.question.take() else {
            return;
        };
        if self.files.dialogs.saving {
            self.files.after_saving = Some(next);
        } else {
            self.save(ctx, Some(next));
        }
    }

    /// Answers the question: continue, discarding what was not saved.
    pub(super) fn give_up_and_go_on(&mut self, ctx: &egui::Context) {
        let Some(next) = self.files.dialogs.question.take() else {
            return;
        };
        if self.files.dialogs.saving {
            self.files.after_saving = Some(next);
        } else {
            self.go(ctx, next);
        }
    }

    /// Continues without asking.
    pub(super) fn go(&mut self, ctx: &egui::Context, next: Next) {
        let document = match next {
            Next::Quit => return self.close(ctx),
            Next::Open(path) => return self.open(ctx, path),
            Next::Recover(place) => return self.recover(ctx, place),
            Next::Create(new) => self.created(&new),
            Next::Sample(place) => self.sample(place),
            Next::Locked(deg) => self.locked(deg),
        };
        match document {
            Ok(document) => self.take_over(document),
            Err(told) => self.complain(told),
        }
    }

    fn created(&self, new: &NewCar) -> Result<Document, Refusal> {
        let project = new.table.create_for(&new.engine)?;
        Ok(Document::untitled_in(&self.surroundings.data, project, new.table.name.trim()))
    }

    fn sample(&self, place: usize) -> Result<Document, Refusal> {
        let sample = SAMPLES.get(place).ok_or_else(|| Refusal::new("there is no such sample"))?;
        let project = sample.project()?;
        Ok(Document::untitled_in(&self.surroundings.data, project, sample.name))
    }

    fn locked(&self, LockedDeg(deg): LockedDeg) -> Result<Document, Refusal> {
        let copy = self.document.project().locked_timing(deg)?;
        let title = self.document.title() + &copy.locked_timing_suffix();
        Ok(Document::untitled_in(&self.surroundings.data, copy, title))
    }

    /// Shows a document in place of the open one, which is closed for good.
    pub(super) fn take_over(&mut self, document: Document) {
        let fresh = Screen::new(document.project().advance.table());
        let kept = std::mem::replace(&mut self.screen, fresh);
        self.screen.look = kept.look;
        self.screen.sheet = kept.sheet;
        self.screen.inspector.amounts = kept.inspector.amounts;
        self.screen.grid.clipboard = kept.grid.clipboard;
        self.screen.grid.clipboard.question = None;
        self.screen.grid.contours = kept.grid.contours;
        self.screen.grid.origins = kept.grid.origins;
        self.screen.splits = kept.splits;
        self.shown.base = BaseKeeper::new(&document);
        self.shown.theirs = None;
        (self.files.opening, self.files.preparing) = (None, None);
        self.sheets = Sheets::default();
        (self.gestures.drag, self.gestures.nudge, self.shown.awaited, self.shown.preview_screen) =
            (None, None, None, None);
        // Work of threads for the other document continues; they report when they are done.
        self.screen.export.is_busy = kept.export.is_busy;
        self.shown.preview = Previewer::default();
        self.shown.awaited_cure = None;
        self.shown.keyed = None;
        self.steps_seen = document.steps().len();
        std::mem::replace(&mut self.document, document).give_way_to(&mut self.document);
        self.files.dialogs.panel = None;
        self.files.dialogs.question = None;
        self.files.dialogs.conflict = None;
        // An answer to a question about the other document does not apply to this one.
        self.files.dialogs.choosing = None;
        self.files.dialogs.note_put_away = None;
        self.files.dialogs.not_opened = None;
        self.files.dialogs.welcome = false;
        self.greet();
    }

    fn close(&mut self, ctx: &egui::Context) {
        self.may_close = true;
        let (project, title) = (self.document.project().clone(), self.document.title());
        let empty = Document::untitled_in(&DataFolder::none(), project, title);
        std::mem::replace(&mut self.document, empty).close();
        ctx.send_viewport_cmd(ViewportCommand::Close);
    }

    /// Keeps the window open while there is something to ask.
    pub(super) fn mind_closing(&mut self, ctx: &egui::Context) {
        let was_put_off = std::mem::take(&mut self.gestures.closes_next);
        let is_asked = was_put_off || ctx.input(|input| input.viewport().close_requested());
        if !is_asked || self.may_close {
            return;
        }
        if self.files.dialogs.asks_for_path() {
            // The question about closing replaces it.
            self.files.dialogs.close_panel();
        } else if self.takes_typed_before_closing(ctx) {
            return;
        }
        if self.files.dialogs.saving || self.document.is_changed() {
            self.keep_open(ctx);
            self.leave_for(ctx, Next::Quit);
        } else if was_put_off {
            self.leave_for(ctx, Next::Quit);
        }
    }
}
