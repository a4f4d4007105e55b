//! What the window tells by itself: greetings, the file on the disk, what a crash left, the title.

use std::path::Path;

use eframe::egui::{self, Event, ViewportCommand};

use super::Workbench;
use crate::document::{CheckDone, DiskState, Offer, Recovery};
use crate::window::state::dialogs::{Conflict, Floating, OfferWords};
use crate::window::state::file_jobs::{FileJob, file_name};
use crate::window::state::notice::{Cause, Notice};
use crate::window::tasks::watcher::Watcher;
use crate::window::tasks::worker::{News, Task};
use crate::window::views::availability::{Availability, availability};

impl Workbench {
    /// Says something in the status line.
    pub(super) fn say(&mut self, text: impl Into<String>) {
        self.screen.notice = Some(Notice::said(text));
    }

    /// Says in the status line what went wrong; gone when something else is shown, selected or in the document.
    pub(super) fn complain(&mut self, text: impl Into<String>) {
        self.complain_of(Cause::Here, text);
    }

    /// Says in the status line what went wrong, as long as its cause is there.
    pub(super) fn complain_of(&mut self, cause: Cause, text: impl Into<String>) {
        self.screen.notice = Some(Notice::problem(text, cause));
    }

    /// Says in the status line what went wrong with a file: the reason, then the path.
    pub(super) fn complain_at(&mut self, path: &Path, why: &str) {
        self.screen.notice = Some(Notice::problem_with(path, why));
    }

    /// Takes a problem away when its cause is gone.
    pub(super) fn settle_notice(&mut self) {
        let now = self.screen.moment(self.document.revision());
        let Some(notice) = self.screen.notice.as_ref().filter(|notice| notice.is_error) else {
            return;
        };
        let Some(then) = &notice.told_at else {
            if let Some(notice) = &mut self.screen.notice {
                notice.told_at = Some(now);
            }
            return;
        };
        let is_gone = match &notice.cause {
            Cause::Here => *then != now,
            Cause::Field(key) => self.screen.form.typed(key).is_none_or(|typed| typed.refusal.is_none()),
            Cause::Editor => then.editor != now.editor,
            Cause::Command(command) => availability(*command, &self.view()) == Availability::Available,
            Cause::Dialog => self.files.dialogs.choosing.is_none(),
            Cause::Path => !self.files.dialogs.refuses_path(),
            Cause::File | Cause::Lasting => false,
        };
        if is_gone {
            self.screen.notice = None;
        }
    }

    /// What was merely said is gone with the next key or click.
    pub(super) fn let_notice_go(&mut self, ctx: &egui::Context) {
        let is_input = |event: &Event| {
            matches!(
                event,
                Event::Key { pressed: true, .. }
                    | Event::PointerButton { pressed: true, .. }
                    | Event::Text(_)
                    | Event::Copy
                    | Event::Cut
                    | Event::Paste(_)
                    | Event::AccessKitActionRequest(_)
            )
        };
        if ctx.input(|input| input.events.iter().any(is_input)) {
            self.screen.notice.take_if(|notice| !notice.is_error);
        }
    }

    /// Takes in what threads have found.
    pub(super) fn hear(&mut self, ctx: &egui::Context) {
        let mut all = std::mem::take(&mut self.files.held_news);
        all.extend(self.files.worker.news());
        for news in all {
            let must_wait = (self.document.gesture_open() && news.ends_gesture())
                || (self.files.dialogs.saving && matches!(news, News::Opened { .. }))
                || self.would_take_typing_away(&news)
                || self.waits_for_path(&news);
            if must_wait {
                self.files.held_news.push(news);
            } else {
                self.take_in(ctx, news);
            }
        }
        let is_back = ctx.input(|input| input.events.contains(&Event::WindowFocused(true)));
        if is_back {
            self.look_at_file(ctx);
        }
    }

    /// Whether news would put a panel in the place of a path that is being typed for something else.
    fn waits_for_path(&self, news: &News) -> bool {
        let Some(Floating::Path(form)) = &self.files.dialogs.panel else {
            return false;
        };
        match news {
            News::TableRead { .. } => form.job != FileJob::ImportTable,
            News::ImageRead(_) => form.job != FileJob::ReadImage,
            _ => false,
        }
    }

    fn take_in(&mut self, ctx: &egui::Context, news: News) {
        match news {
            News::Chosen { ticket, job, choice } => self.chosen(ctx, ticket, job, choice),
            News::TableRead { path, read } => self.table_read(path, read),
            News::Exported { path, done } => self.exported(&path, done),
            News::ImageWritten(written) => self.image_written(written),
            News::PageWritten(what, path, done) => self.page_written(what, &path, done),
            News::ImageCompared(compared) => self.image_compared(*compared),
            News::ImageRead(read) => self.image_read(*read),
            News::Rig(news) => self.hear_of_rig(news),
            News::Saved(done) => self.save_is_done(ctx, done),
            News::Opened { ticket, opened } => self.opened(ctx, ticket, opened),
            News::Looked(done) => self.looked(ctx, done),
            News::FileTouched => self.look_at_file(ctx),
            News::BrokenOff(task) => self.broken_off(ctx, task),
        }
    }

    /// Frees what waits for work that a mistake in this program broke off, and says so.
    fn broken_off(&mut self, ctx: &egui::Context, task: Task) {
        match task {
            // Says itself how to go on.
            Task::Saving => return self.save_is_done(ctx, None),
            Task::Choosing(ticket) => {
                if let Some((_, job)) = self.files.dialogs.choosing.take_if(|(open, _)| *open == ticket) {
                    self.type_path(job, Some("The system's file dialog broke off: type the path."));
                }
            }
            Task::Opening(ticket) => drop(self.files.opening.take_if(|opening| opening.ticket == ticket)),
            Task::Looking => (self.files.is_looking, self.files.looks_again) = (false, false),
            Task::Image => self.screen.export.is_busy = false,
            Task::Table | Task::Rig => {}
        }
        self.fail_job(format!("{} was broken off by a mistake in this program; the project is unchanged", task.name()));
    }

    /// Has a thread compare the file with what is known of it; not while it is being written here.
    pub(super) fn look_at_file(&mut self, ctx: &egui::Context) {
        if self.files.dialogs.saving || self.files.is_looking {
            self.files.looks_again = true;
        } else if let Some(job) = self.document.begin_check() {
            // Without a thread it is not looked at now; saving does in any case.
            self.files.is_looking = self.files.worker.start(ctx, Task::Looking, move || News::Looked(job.run()));
        }
    }

    fn looked(&mut self, ctx: &egui::Context, done: CheckDone) {
        self.files.is_looking = false;
        if self.files.dialogs.saving {
            // It may have seen what is being written here.
            self.files.looks_again = true;
            return;
        }
        if let Some(state) = self.document.finish_check(done) {
            self.tell_of_file(state);
        }
        if std::mem::take(&mut self.files.looks_again) {
            self.look_at_file(ctx);
        }
    }

    fn tell_of_file(&mut self, state: DiskState) {
        let Some(path) = self.document.path().map(file_name) else {
            return;
        };
        match state {
            DiskState::Same => {
                self.files.dialogs.conflict = None;
                self.screen.notice.take_if(|notice| notice.cause == Cause::File);
            }
            DiskState::Changed => {
                let text = format!("{path} was changed by another program. Nothing here is lost.");
                let then = self.files.dialogs.conflict.take().and_then(|conflict| conflict.then);
                self.files.dialogs.conflict = Some(Conflict { text, then });
            }
            DiskState::Missing => {
                self.complain_of(Cause::File, format!("{path} was moved or deleted; saving writes it again"));
            }
            DiskState::Unreadable(why) => {
                self.complain_of(Cause::File, format!("{path} cannot be read any more: {why}"));
            }
        }
    }

    /// Watches the folder of the document's file.
    pub(super) fn watch(&mut self, ctx: &egui::Context) {
        let file = self.document.path();
        if self.files.watcher.as_ref().map(Watcher::file) == file {
            return;
        }
        let folder = self.document.folder_to_watch();
        let watcher = file.zip(folder).map(|(file, folder)| Watcher::new(ctx, &self.files.worker, file, &folder));
        self.files.watcher = watcher;
    }

    /// Shows the caution unless it was understood for this project, and the ways on at the first start.
    pub(super) fn greet(&mut self) {
        self.files.dialogs.caution =
            self.surroundings.greets && !self.settings.understood.contains(&self.project_key());
    }

    /// What stands for the project in the list of cautions understood.
    fn project_key(&self) -> String {
        match self.document.path() {
            Some(path) => path.to_string_lossy().into_owned(),
            None => self.document.title(),
        }
    }

    pub(super) fn understood(&mut self) {
        self.files.dialogs.caution = false;
        self.keep_understood();
    }

    /// Remembers that the caution needs not be shown again, also under the name just saved as.
    pub(super) fn keep_understood(&mut self) {
        if self.surroundings.greets && !self.files.dialogs.caution {
            self.settings.understood.insert(self.project_key());
        }
    }

    /// Looks for what a crash left behind.
    pub(super) fn find_offers(&mut self) {
        // An offer is made to one caller only, for as long as that one keeps it.
        self.files.offers.clear();
        let found = Recovery::new(&self.surroundings.data).look();
        self.files.offers = found.offers;
        self.files.dialogs.unreadable = found.unreadable;
        self.describe_offers();
    }

    /// Has the window drawn anew when the recovery copy is there, or cannot be written.
    pub(super) fn listen_for_copies(&mut self, ctx: &egui::Context) {
        if !self.document.rings() {
            let ctx = ctx.clone();
            self.document.ring_with(move || ctx.request_repaint());
        }
    }

    fn describe_offers(&mut self) {
        let words = |offer: &Offer| OfferWords {
            name: offer.name().to_owned(),
            copied_at: offer.copied_at(),
            saved_at: offer.saved_at(),
        };
        self.files.dialogs.offers = self.files.offers.iter().map(words).collect();
    }

    pub(super) fn take_offer(&mut self, place: usize) -> Option<Offer> {
        let offer = (place < self.files.offers.len()).then(|| self.files.offers.remove(place));
        self.describe_offers();
        offer
    }

    pub(super) fn discard_offer(&mut self, place: usize) {
        let Some(offer) = self.take_offer(place) else {
            return;
        };
        let name = offer.name().to_owned();
        match offer.discard() {
            Ok(()) => self.say(format!("The recovery copy of {name} is deleted")),
            Err(error) => {
                self.complain_of(Cause::Lasting, format!("The recovery copy of {name} cannot be deleted: {error}"));
            }
        }
    }

    /// Lets the copies be for another time.
    pub(super) fn keep_offers(&mut self) {
        self.files.offers.clear();
        self.describe_offers();
    }

    /// Tells, with what the step itself tells, when a new step has fixed the size of items of the image, because the layout has no room for the table.
    pub(super) fn tell_of_pinned_items(&mut self) {
        let (seen, count) = (self.steps_seen, self.document.steps().len());
        if seen == count {
            return;
        }
        self.steps_seen = count;
        let steps = self.document.steps();
        // A document that took the place of another begins anew.
        let Some(after) = steps.last().filter(|_| count > seen) else {
            return;
        };
        let before = after.parent.and_then(|parent| steps.get(parent));
        if let Some(pinned) = before.and_then(|before| after.project.pinned_since(&before.project)) {
            let label = after.label.clone();
            // What the step itself tells begins with its label, and stays.
            let own = self.screen.notice.as_ref().filter(|notice| !notice.is_error && notice.text.starts_with(&label));
            let told = own.map_or(label, |notice| notice.text.clone());
            self.say(format!("{told}; {pinned}"));
        }
    }

    /// The window's title says what is open and in words whether it is saved.
    pub(super) fn set_title(&mut self, ctx: &egui::Context) {
        let unsaved = if self.document.is_changed() { " • unsaved" } else { "" };
        let locked = self.document.project().locked_timing_words();
        let locked = locked.map_or_else(String::new, |words| format!(" — {words}, no map"));
        let title = format!("{}{locked}{unsaved} — Sparkloft", self.document.title());
        if title != self.title {
            ctx.send_viewport_cmd(ViewportCommand::Title(title.clone()));
            self.title = title;
        }
    }
}
