//! Replacing the open project, or closing the window, without losing work unasked.

use std::path::Path;

use eframe::egui::{self, ViewportCommand};

use super::Workbench;
use super::gestures::BeforeClosing;
use crate::document::{DataFolder, Document};
use crate::project::SAMPLES;
use crate::window::sheets::Sheets;
use crate::window::state::commands::Command;
use crate::window::state::file_jobs::{LockedDeg, NewCar, Next};
use crate::window::state::screen::Screen;
use crate::window::views::grid;
use crate::wording::Refusal;

impl Workbench {
    /// Continues with `next`, after asking if there are unsaved changes.
    pub(super) fn leave_for(&mut self, ctx: &egui::Context, next: Next) {
        self.end_gesture();
        if let Some(next) = self.files.ask_before(&self.document, &mut self.screen, next) {
            self.go(ctx, next);
        }
    }

    /// Continues without asking.
    pub(super) fn go(&mut self, ctx: &egui::Context, next: Next) {
        let data = &self.surroundings.data;
        let is_copy = matches!(next, Next::Locked(_));
        let document = match next {
            Next::Quit => return self.close(ctx),
            Next::Open(path) => return self.files.open(ctx, data, &self.document, &mut self.screen, path),
            Next::Recover(place) => return self.files.recover(ctx, &self.document, &mut self.screen, place),
            Next::Create(new) => created(data, &new),
            Next::Sample(place) => sample(data, place),
            Next::Locked(deg) => locked(data, &self.document, deg),
        };
        match document {
            Ok(document) => {
                let real = self.document.path().filter(|_| is_copy).map(Path::to_owned);
                self.take_over(document);
                self.files.set_real_project(real);
            }
            Err(told) => self.screen.complain(told),
        }
    }

    /// Shows a document in place of the open one, which is closed for good.
    pub(super) fn take_over(&mut self, document: Document) {
        let fresh = Screen::new(document.project().advance.table());
        let kept = std::mem::replace(&mut self.screen, fresh);
        self.screen.keep_of(kept);
        self.sheets = Sheets::default();
        self.steps_seen = document.steps().len();
        self.gestures.forget();
        self.shown.turn_to(&document);
        self.files.forget();
        std::mem::replace(&mut self.document, document).give_way_to(&mut self.document);
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
        let was_put_off = self.gestures.take_closing();
        let is_asked = was_put_off || ctx.input(|input| input.viewport().close_requested());
        if !is_asked || self.may_close {
            return;
        }
        if self.files.dialogs().asks_for_path() {
            // The question about closing replaces it.
            self.files.close_panel();
        } else if self.takes_typed_before_closing(ctx) {
            return;
        }
        if self.files.dialogs().saving || self.document.is_changed() {
            keep_open(ctx);
            self.leave_for(ctx, Next::Quit);
        } else if was_put_off {
            self.leave_for(ctx, Next::Quit);
        }
    }

    /// Postpones closing the window while something is being typed; returns whether it did. An invalid number
    /// keeps the window open once and says so; closing again discards it.
    fn takes_typed_before_closing(&mut self, ctx: &egui::Context) -> bool {
        match self.gestures.before_closing(ctx, self.screen.grid.editor.as_ref()) {
            BeforeClosing::Nothing => return false,
            BeforeClosing::LeaveEditor => {
                if let Some(editor) = self.screen.grid.editor.take() {
                    log::debug!("closed without {:?}", editor.text);
                }
                return false;
            }
            BeforeClosing::CommitEditor => {
                let mut outbox = std::mem::take(&mut self.outbox);
                if grid::commit_editor(&self.view(), &mut outbox) {
                    outbox.run(Command::Quit);
                } else {
                    self.gestures.kept_open_for(self.screen.grid.editor.as_ref());
                }
                self.outbox = outbox;
                ctx.request_repaint();
            }
            BeforeClosing::Wait => ctx.request_repaint(),
            BeforeClosing::Quit => self.gestures.defer(ctx, &self.screen, Command::Quit),
        }
        keep_open(ctx);
        true
    }

    /// Shows the caution unless it was understood for this project.
    pub(super) fn greet(&mut self) {
        let is_understood = self.settings.understood.contains(&project_key(&self.document));
        self.files.set_caution(self.surroundings.greets && !is_understood);
    }

    /// Remembers that the caution needs not be shown again, also under the name just saved as.
    pub(super) fn keep_understood(&mut self) {
        if self.surroundings.greets && !self.files.dialogs().caution {
            self.settings.understood.insert(project_key(&self.document));
        }
    }
}

/// The project's key in the list of cautions understood.
fn project_key(document: &Document) -> String {
    match document.path() {
        Some(path) => path.to_string_lossy().into_owned(),
        None => document.title(),
    }
}

fn created(data: &DataFolder, new: &NewCar) -> Result<Document, Refusal> {
    let project = new.table.create_for(&new.engine)?;
    Ok(Document::untitled_in(data, project, new.table.name.trim()))
}

fn sample(data: &DataFolder, place: usize) -> Result<Document, Refusal> {
    let sample = SAMPLES.get(place).ok_or_else(|| Refusal::new("there is no such sample"))?;
    let project = sample.project()?;
    Ok(Document::untitled_in(data, project, sample.name))
}

fn locked(data: &DataFolder, document: &Document, LockedDeg(deg): LockedDeg) -> Result<Document, Refusal> {
    let copy = document.project().locked_timing(deg)?;
    let title = document.title() + &copy.locked_timing_suffix();
    Ok(Document::untitled_in(data, copy, title))
}

/// Keeps the window open, and brings it back if it is minimised: its questions and messages must be seen, and a
/// field accepts its text only when it is drawn.
fn keep_open(ctx: &egui::Context) {
    ctx.send_viewport_cmd(ViewportCommand::CancelClose);
    if ctx.input(|input| input.viewport().minimized == Some(true)) {
        ctx.send_viewport_cmd(ViewportCommand::Minimized(false));
        ctx.send_viewport_cmd(ViewportCommand::Focus);
    }
}
