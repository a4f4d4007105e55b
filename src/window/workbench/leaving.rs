//! Putting another project in the place of the open one, or closing the window, without losing work unasked.

use eframe::egui::{self, ViewportCommand};

use super::Workbench;
use crate::document::{DataFolder, Document};
use crate::project::SAMPLES;
use crate::window::base::BaseKeeper;
use crate::window::files::{LockedDeg, Next};
use crate::window::preview::Previewer;
use crate::window::screen::Screen;
use crate::window::sheets::Sheets;

impl Workbench {
    /// Goes on with `next`, after asking when there are unsaved changes.
    pub(super) fn leave_for(&mut self, ctx: &egui::Context, next: Next) {
        self.end_gesture();
        if self.document.is_changed() {
            self.dialogs.question = Some(next);
        } else {
            self.go(ctx, next);
        }
    }

    /// Answers the question: save, then go on.
    pub(super) fn save_and_go_on(&mut self, ctx: &egui::Context) {
        if let Some(next) = self.dialogs.question.take() {
            self.save(ctx, Some(next));
        }
    }

    /// Answers the question: go on, giving up what was not saved.
    pub(super) fn give_up_and_go_on(&mut self, ctx: &egui::Context) {
        if let Some(next) = self.dialogs.question.take() {
            self.go(ctx, next);
        }
    }

    /// Goes on without asking.
    pub(super) fn go(&mut self, ctx: &egui::Context, next: Next) {
        if next == Next::Quit {
            return self.close(ctx);
        }
        match self.document_of(next) {
            Ok(document) => self.take_over(document),
            Err(told) => self.complain(told),
        }
    }

    fn document_of(&mut self, next: Next) -> Result<Document, String> {
        let data = self.surroundings.data.clone();
        match next {
            Next::Create(new) => {
                let project = new.create().map_err(|error| error.to_string())?;
                Ok(Document::untitled_in(&data, project, new.name.trim()))
            }
            Next::Sample(place) => {
                let sample = SAMPLES.get(place).ok_or("there is no such sample")?;
                let project = sample.project().map_err(|error| error.to_string())?;
                Ok(Document::untitled_in(&data, project, sample.name))
            }
            Next::Open(path) => self.open_document(&path),
            Next::Recover(place) => {
                let offer = self.take_offer(place).ok_or("the recovery copy is no longer offered")?;
                offer.open().map_err(|error| error.to_string())
            }
            Next::Locked(LockedDeg(deg)) => {
                let copy = self.document.project().locked_timing(deg).map_err(|error| error.to_string())?;
                let title = self.document.title() + &copy.locked_timing_suffix();
                Ok(Document::untitled_in(&data, copy, title))
            }
            Next::Quit => Err("the window closes".to_owned()),
        }
    }

    /// Shows a document in the place of the open one, which is closed for good.
    pub(super) fn take_over(&mut self, document: Document) {
        if let Some(path) = document.path() {
            self.recent().add(path);
        }
        let fresh = Screen::new(document.project().advance.table());
        let kept = std::mem::replace(&mut self.screen, fresh);
        self.screen.look = kept.look;
        self.screen.sheet = kept.sheet;
        self.screen.amounts = kept.amounts;
        self.screen.clipboard = kept.clipboard;
        self.screen.clipboard.question = None;
        self.screen.grid_contours = kept.grid_contours;
        self.screen.grid_origins = kept.grid_origins;
        self.screen.splits = kept.splits;
        self.base = BaseKeeper::new(&document);
        self.theirs = None;
        self.sheets = Sheets::default();
        (self.drag, self.nudge, self.awaited, self.preview_screen) = (None, None, None, None);
        // What threads are doing for the other document goes on; they tell when they are done.
        self.screen.export.is_busy = kept.export.is_busy;
        self.preview = Previewer::default();
        self.keyed = None;
        self.steps_seen = document.steps().len();
        std::mem::replace(&mut self.document, document).close();
        self.dialogs.panel = None;
        self.dialogs.question = None;
        self.dialogs.conflict = None;
        // An answer to a question about the other document is none about this one.
        self.dialogs.choosing = None;
        self.dialogs.note_put_away = None;
        self.dialogs.welcome = false;
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
        let is_asked = ctx.input(|input| input.viewport().close_requested());
        if !is_asked || self.may_close || self.takes_typed_before_closing(ctx) || !self.document.is_changed() {
            return;
        }
        ctx.send_viewport_cmd(ViewportCommand::CancelClose);
        self.dialogs.question = Some(Next::Quit);
    }
}
