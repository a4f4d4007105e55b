//! Showing another project, or closing one or the window, without losing work unasked.

use eframe::egui::{self, ViewportCommand};

use super::Workbench;
use super::gestures::BeforeClosing;
use crate::document::{DataFolder, Document};
use crate::project::SAMPLES;
use crate::window::state::commands::Command;
use crate::window::state::file_jobs::{LockedDeg, NewCar, Next};
use crate::window::state::outbox::FileAction;
use crate::window::views::grid;
use crate::wording::Refusal;

impl Workbench {
    /// Does what is to be shown next, after asking about unsaved changes if they would be given up.
    pub(super) fn leave_for(&mut self, ctx: &egui::Context, next: Next) {
        if self.takes_typed_before(ctx, &next) {
            return;
        }
        self.end_gesture();
        if next != Next::Quit && self.files.refuses_another(&mut self.screen, &next) {
            return;
        }
        let Some(next) = self.files.after_saving(next) else {
            return;
        };
        let gives_up = match &next {
            Next::Close(id) => match self.lead_to_closing(ctx, *id) {
                Some(closes) => closes,
                None => return,
            },
            Next::Recover(place) => self.lead_to_file_of_offer(ctx, *place),
            Next::Quit => true,
            Next::Create(_) | Next::Sample(_) | Next::Open(_) | Next::Locked(_) | Next::Show(_) => false,
        };
        let next = if gives_up { self.files.ask_before(&self.document, next) } else { Some(next) };
        if let Some(next) = next {
            self.go(ctx, next);
        }
    }

    /// Continues without asking.
    pub(super) fn go(&mut self, ctx: &egui::Context, next: Next) {
        let data = &self.surroundings.data;
        let is_copy = matches!(next, Next::Locked(_));
        let document = match next {
            Next::Quit => return self.quit_after_this(ctx),
            Next::Show(id) => return self.show_project(ctx, id),
            Next::Close(id) => return self.close_project(ctx, id),
            Next::Open(path) => {
                let open = self.shelf.tabs().files();
                return self.files.open(ctx, data, &self.document, &mut self.screen, (path, open));
            }
            Next::Recover(place) => return self.files.recover(ctx, &self.document, &mut self.screen, place),
            Next::Create(new) => created(data, &new),
            Next::Sample(place) => sample(data, place),
            Next::Locked(deg) => locked(data, &self.document, deg),
        };
        match document {
            Ok(document) => {
                let real =
                    self.document.path().map_or(Next::Show(self.shelf.shown()), |path| Next::Open(path.to_owned()));
                if is_copy {
                    // The way back must lead somewhere, even to a sample in which nothing was done.
                    self.show_beside(ctx, document);
                } else {
                    self.take_over(ctx, document);
                }
                self.files.set_real_project(is_copy.then_some(real));
            }
            Err(told) => self.screen.complain(told),
        }
    }

    /// Gives up the unsaved changes of the project shown, since the user said so, and continues.
    pub(super) fn give_up_for(&mut self, ctx: &egui::Context, next: Next) {
        if next == Next::Quit {
            self.shelf.give_up(&self.document);
        }
        self.go(ctx, next);
    }

    /// Takes what is being typed before another project is shown; returns whether that has to wait, or does not come to
    /// pass since what was typed is refused.
    fn takes_typed_before(&mut self, ctx: &egui::Context, next: &Next) -> bool {
        if self.screen.grid.editor.is_some() {
            let mut is_taken = false;
            self.do_at_once(ctx, |view, outbox| is_taken = grid::commit_editor(view, outbox));
            if !is_taken {
                return true;
            }
        }
        if self.screen.form.has_unset() || self.gestures.is_deferring() {
            self.gestures.defer(ctx, &self.screen, FileAction::Leave(next.clone()));
            return true;
        }
        false
    }

    /// The window is asked to close: every project with unsaved changes is asked about.
    pub(super) fn quit(&mut self, ctx: &egui::Context) {
        self.shelf.ask_about_all();
        self.leave_for(ctx, Next::Quit);
    }

    /// Asks about the next project with unsaved changes, which is shown meanwhile; without one, closes the window.
    fn quit_after_this(&mut self, ctx: &egui::Context) {
        match self.shelf.unsaved() {
            Some(id) => {
                self.show_project(ctx, id);
                self.leave_for(ctx, Next::Quit);
            }
            None => self.close(ctx),
        }
    }

    fn close(&mut self, ctx: &egui::Context) {
        self.may_close = true;
        let (project, title) = (self.document.project().clone(), self.document.title());
        let empty = Document::untitled_in(&DataFolder::none(), project, title);
        std::mem::replace(&mut self.document, empty).close();
        self.shelf.take_all().for_each(Document::close);
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
        self.shelf.ask_about_all();
        if self.files.dialogs().saving || self.document.is_changed() || self.shelf.unsaved().is_some() {
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

pub(super) fn sample(data: &DataFolder, place: usize) -> Result<Document, Refusal> {
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
