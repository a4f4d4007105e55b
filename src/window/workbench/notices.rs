//! What the window reports by itself: greetings, the file on the disk, what a crash left, the title.

use std::path::Path;

use eframe::egui::{self, Event, ViewportCommand};

use super::Workbench;
use crate::document::{CheckDone, DiskState, Document, Offer};
use crate::window::state::dialogs::{Conflict, Floating};
use crate::window::state::file_jobs::{FileJob, file_name};
use crate::window::state::notice::{Cause, Notice};
use crate::window::tasks::jobs::{Job, News};
use crate::window::tasks::leftovers::Leftovers;
use crate::window::tasks::task::Fault;
use crate::window::views::availability::{Availability, availability};
use crate::wording::{Refusal, capital};

impl Workbench {
    /// Says something in the status line.
    pub(super) fn say(&mut self, text: impl Into<String>) {
        self.screen.notice = Some(Notice::said(text));
    }

    /// Reports a problem in the status line; it disappears when what is shown, selected or in the document
    /// changes.
    pub(super) fn complain(&mut self, text: impl Into<String>) {
        self.complain_of(Cause::Here, text);
    }

    /// Reports a problem in the status line that stays as long as its cause.
    pub(super) fn complain_of(&mut self, cause: Cause, text: impl Into<String>) {
        self.screen.notice = Some(Notice::problem(text, cause));
    }

    /// Says in the status line what went wrong with a file: the reason, then the path.
    pub(super) fn complain_at(&mut self, path: &Path, why: &str) {
        self.screen.notice = Some(Notice::problem_with(path, why));
    }

    /// Removes a problem when its cause is gone.
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

    /// Messages other than problems disappear with the next key or click.
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
        if !std::mem::replace(&mut self.files.is_begun, true) && self.surroundings.greets {
            self.find_leftovers(ctx, None);
        }
        self.files.jobs.receive();
        while let Some((job, answer)) = self.next_answer() {
            match answer {
                Ok(news) => self.take_in(ctx, job, news),
                Err(fault) => self.broken_off(ctx, job, &fault),
            }
        }
        self.screen.export.is_busy = self.files.jobs.is_at(Job::Image);
        let is_touched = self.document.path().is_some_and(|path| self.files.watcher.takes_touch(path));
        let is_back = ctx.input(|input| input.events.contains(&Event::WindowFocused(true)));
        if is_touched || is_back {
            self.look_at_file(ctx);
        }
    }

    /// The next answer that can be taken in now.
    fn next_answer(&mut self) -> Option<(Job, Result<News, Fault>)> {
        let place = self.files.jobs.answers().find(|(_, news)| !self.must_wait(*news)).map(|(place, _)| place)?;
        Some(self.files.jobs.take(place))
    }

    /// Whether an answer cannot be taken in just now; `None` stands for a fault.
    fn must_wait(&self, news: Option<&News>) -> bool {
        let Some(news) = news else {
            return self.document.gesture_open();
        };
        (self.document.gesture_open() && news.ends_gesture())
            || (self.files.dialogs.saving && matches!(news, News::Opened(_) | News::Reread(_)))
            || self.would_take_typing_away(news)
            || self.waits_for_path(news)
    }

    /// Whether news would replace a panel in which a path is being typed for something else.
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

    fn take_in(&mut self, ctx: &egui::Context, job: Job, news: News) {
        match (news, job) {
            (News::Chosen(job, choice), Job::Choosing(ticket)) => self.chosen(ctx, ticket, job, choice),
            (News::Prepared(job, destination), Job::Preparing(ticket)) => self.prepared(ctx, ticket, job, destination),
            (News::Opened(opened), Job::Opening(ticket)) => self.opened(ctx, ticket, opened),
            // Each of these has the number of its job.
            (News::Chosen(..) | News::Prepared(..) | News::Opened(_), _) => {}
            (News::TableRead { path, read }, _) => self.table_read(path, read),
            (News::Exported { path, done }, _) => self.exported(&path, done),
            (News::ImageWritten(written), _) => self.image_written(written),
            (News::PageWritten(what, path, done), _) => self.page_written(what, &path, done),
            (News::ImageCompared(compared), _) => self.image_compared(*compared),
            (News::ImageRead(read), _) => self.image_read(*read),
            (News::Rig(news), _) => self.hear_of_rig(news),
            (News::Saved(done), _) => self.save_is_done(ctx, done),
            (News::Looked(done), _) => self.looked(ctx, done),
            (News::Reread(done), _) => self.reread(*done),
            (News::Leftovers(found), _) => self.offer(found),
            (News::Discarded(name, done), _) => self.discarded(&name, done),
        }
    }

    /// Releases what waits for work that a mistake in this program broke off or for which there was no thread, and
    /// reports that.
    fn broken_off(&mut self, ctx: &egui::Context, job: Job, fault: &Fault) {
        match job {
            // These say themselves how to go on.
            Job::Saving if matches!(fault, Fault::NoThread(..)) => return self.save_without_thread(ctx),
            Job::Saving => return self.save_is_done(ctx, None),
            Job::Choosing(ticket) => {
                if let Some((_, job)) = self.files.dialogs.choosing.take_if(|(open, _)| *open == ticket) {
                    self.type_path(job, Some("The system's file dialog broke off: type the path."));
                }
            }
            Job::Preparing(ticket) => {
                let preparing = self.files.preparing.take_if(|preparing| preparing.ticket == ticket);
                // If the path was typed, it is still there.
                if let Some(preparing) = preparing.filter(|preparing| preparing.typed.is_none()) {
                    self.ask_again(ctx, preparing.job);
                }
            }
            Job::Opening(ticket) => drop(self.files.opening.take_if(|opening| opening.ticket == ticket)),
            Job::Looking => self.files.looks_again = false,
            Job::Rereading | Job::FindingLeftovers | Job::Discarding | Job::Table | Job::Image | Job::Rig => {}
        }
        let name = job.name();
        self.fail_job(match fault {
            Fault::NoThread(..) => format!("{name} was not begun: the system gives no thread; close other programs"),
            _ => format!("{name} was broken off by a mistake in this program; the project is unchanged"),
        });
    }

    /// Has a thread compare the file with what is known of it; not while it is being written here.
    pub(super) fn look_at_file(&mut self, ctx: &egui::Context) {
        if self.files.dialogs.saving || self.files.jobs.is_at(Job::Looking) {
            self.files.looks_again = true;
        } else if let Some(job) = self.document.begin_check() {
            self.files.jobs.start(ctx, Job::Looking, move || News::Looked(job.run()));
        }
    }

    fn looked(&mut self, ctx: &egui::Context, done: CheckDone) {
        if self.files.dialogs.saving {
            // It may have seen what is being written by this window.
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

    /// Watches the folder of the document's file, and keeps the list of recent files up to date.
    pub(super) fn settle_files(&mut self, ctx: &egui::Context) {
        let watching = self.files.watcher.turn_to(self.document.path(), ctx);
        self.files.recent.settle(ctx);
        if let Some(list) = self.files.recent.list().filter(|list| ***list != self.files.dialogs.recent) {
            self.files.dialogs.recent.clone_from(list);
        }
        if let Some(fault) = self.files.recent.take_fault().or(watching) {
            self.complain_of(Cause::Lasting, capital(&fault.to_string()));
        }
    }

    /// Shows the caution unless it was understood for this project.
    pub(super) fn greet(&mut self) {
        self.files.dialogs.caution =
            self.surroundings.greets && !self.settings.understood.contains(&self.project_key());
    }

    /// The project's key in the list of cautions understood.
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

    /// Has a thread look for what a crash left behind, once `given_up` has released its copy.
    pub(super) fn find_leftovers(&mut self, ctx: &egui::Context, given_up: Option<Box<Document>>) {
        let data = self.surroundings.data.clone();
        // A copy is offered to only one caller, as long as that one keeps the offer.
        let before = std::mem::take(&mut self.files.offers);
        self.files.dialogs.offers.clear();
        self.files.jobs.start(ctx, Job::FindingLeftovers, move || {
            drop((before, given_up));
            News::Leftovers(Leftovers::find(&data))
        });
    }

    fn offer(&mut self, found: Leftovers) {
        (self.files.offers, self.files.dialogs.offers) = found.offers.into_iter().unzip();
        self.files.dialogs.unreadable = found.unreadable;
    }

    /// Has the window drawn again when the recovery copy is written, or cannot be.
    pub(super) fn listen_for_copies(&mut self, ctx: &egui::Context) {
        if !self.document.rings() {
            let ctx = ctx.clone();
            self.document.ring_with(move || ctx.request_repaint());
        }
    }

    pub(super) fn take_offer(&mut self, place: usize) -> Option<Offer> {
        if place >= self.files.offers.len() || place >= self.files.dialogs.offers.len() {
            return None;
        }
        self.files.dialogs.offers.remove(place);
        Some(self.files.offers.remove(place))
    }

    pub(super) fn discard_offer(&mut self, ctx: &egui::Context, place: usize) {
        let Some(offer) = self.take_offer(place) else {
            return;
        };
        self.files.jobs.start(ctx, Job::Discarding, move || {
            let name = offer.name().to_owned();
            News::Discarded(name, offer.discard().map_err(Refusal::from))
        });
    }

    fn discarded(&mut self, name: &str, done: Result<(), Refusal>) {
        match done {
            Ok(()) => self.say(format!("The recovery copy of {name} is deleted")),
            Err(why) => {
                self.complain_of(Cause::Lasting, format!("The recovery copy of {name} cannot be deleted: {why}"));
            }
        }
    }

    /// Lets the copies be for another time.
    pub(super) fn keep_offers(&mut self) {
        self.files.offers.clear();
        self.files.dialogs.offers.clear();
    }

    /// Reports, in addition to the step's own message, that a new step has fixed the size of image items
    /// because the layout has no room for the table.
    pub(super) fn tell_of_pinned_items(&mut self) {
        let (seen, count) = (self.steps_seen, self.document.steps().len());
        if seen == count {
            return;
        }
        self.steps_seen = count;
        let steps = self.document.steps();
        // A document that replaced another starts counting anew.
        let Some(after) = steps.last().filter(|_| count > seen) else {
            return;
        };
        let before = after.parent.and_then(|parent| steps.get(parent));
        if let Some(pinned) = before.and_then(|before| after.project.pinned_since(&before.project)) {
            let label = after.label.clone();
            // The step's own message begins with its label, and is kept.
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
