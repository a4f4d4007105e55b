//! Watching the project's file on the disk, which others may change.

use eframe::egui::{self, Event};

use super::{Files, Known};
use crate::document::{CheckDone, DiskState, Document};
use crate::window::state::dialogs::Conflict;
use crate::window::state::file_jobs::file_name;
use crate::window::state::notice::Cause;
use crate::window::state::projects::ProjectId;
use crate::window::state::screen::Screen;
use crate::window::tasks::jobs::{Job, News};

/// Whether the user has just come back to the window.
fn is_back(ctx: &egui::Context) -> bool {
    ctx.input(|input| input.events.contains(&Event::WindowFocused(true)))
}

impl Files {
    /// Checks the file if it was touched, or if the user comes back to the window.
    pub(in crate::window::workbench) fn mind_file(&mut self, ctx: &egui::Context, document: &Document) {
        let is_touched = document.path().is_some_and(|path| self.watcher.takes_touch(path));
        if is_touched || is_back(ctx) {
            self.look_at_file(ctx, document);
        }
    }

    /// The same for a project that waits: if its file is gone, its work is nowhere but here, and closing must ask about it.
    /// The rest is told when it is shown, since its file is looked at then.
    pub(in crate::window::workbench) fn mind_waiting_file(
        &mut self,
        ctx: &egui::Context,
        waiting: ProjectId,
        document: &Document,
        known: &mut Known,
    ) {
        if let Some(fault) = known.watcher.turn_to(document.path(), ctx) {
            log::warn!("the file of a project that waits is not watched: {fault}");
        }
        // What is written here is looked at when that is done.
        if self.jobs.is_looking_for(waiting) || self.jobs.is_at_work_for(waiting) {
            return;
        }
        let is_touched = document.path().is_some_and(|path| known.watcher.takes_touch(path));
        if (is_touched || is_back(ctx))
            && let Some(look) = document.begin_check()
        {
            self.jobs.look_for(ctx, waiting, look);
        }
    }

    /// What was seen of the files of projects that wait, to be given to their documents.
    pub(in crate::window::workbench) fn looks_at_waiting_files(&mut self) -> Vec<(ProjectId, CheckDone)> {
        self.jobs.take_looks_elsewhere()
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
