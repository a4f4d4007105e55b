//! Watching the project's file on the disk, which others may change.

use eframe::egui::{self, Event};

use super::Files;
use crate::document::{CheckDone, DiskState, Document};
use crate::window::state::dialogs::Conflict;
use crate::window::state::file_jobs::file_name;
use crate::window::state::notice::Cause;
use crate::window::state::screen::Screen;
use crate::window::tasks::jobs::{Job, News};

impl Files {
    /// Checks the file if it was touched, or if the user comes back to the window.
    pub(in crate::window::workbench) fn mind_file(&mut self, ctx: &egui::Context, document: &Document) {
        let is_touched = document.path().is_some_and(|path| self.watcher.takes_touch(path));
        let is_back = ctx.input(|input| input.events.contains(&Event::WindowFocused(true)));
        if is_touched || is_back {
            self.look_at_file(ctx, document);
        }
    }

    /// Has a thread compare the file with what is known of it; not while it is being written here.
    pub(in crate::window::workbench) fn look_at_file(&mut self, ctx: &egui::Context, document: &Document) {
        if self.dialogs.saving || self.jobs.is_at(Job::Looking) {
            self.looks_again = true;
        } else if let Some(job) = document.begin_check() {
            self.jobs.start(ctx, Job::Looking, move || News::Looked(job.run()));
        }
    }

    /// Checks the file again if that was postponed.
    pub(in crate::window::workbench) fn look_again(&mut self, ctx: &egui::Context, document: &Document) {
        if std::mem::take(&mut self.looks_again) {
            self.look_at_file(ctx, document);
        }
    }

    pub(super) fn looked(
        &mut self,
        ctx: &egui::Context,
        document: &mut Document,
        screen: &mut Screen,
        done: CheckDone,
    ) {
        if self.dialogs.saving {
            // It may have seen what is being written by this window.
            self.looks_again = true;
            return;
        }
        if let Some(state) = document.finish_check(done) {
            self.tell_of_file(document, screen, state);
        }
        self.look_again(ctx, document);
    }

    fn tell_of_file(&mut self, document: &Document, screen: &mut Screen, state: DiskState) {
        let Some(path) = document.path().map(file_name) else {
            return;
        };
        match state {
            DiskState::Same => {
                self.dialogs.conflict = None;
                screen.notice.take_if(|notice| notice.cause == Cause::File);
            }
            DiskState::Changed => {
                let text = format!("{path} was changed by another program. Nothing here is lost.");
                let then = self.dialogs.conflict.take().and_then(|conflict| conflict.then);
                self.dialogs.conflict = Some(Conflict { text, then });
            }
            DiskState::Missing => {
                screen.complain_of(Cause::File, format!("{path} was moved or deleted; saving writes it again"));
            }
            DiskState::Unreadable(why) => {
                screen.complain_of(Cause::File, format!("{path} cannot be read any more: {why}"));
            }
        }
    }
}
