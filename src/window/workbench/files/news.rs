//! The results of threads that work with files: taken in one by one, when the window is ready for them.

use eframe::egui;

use super::asking::saved_before;
use super::{Files, Onward};
use crate::document::Document;
use crate::window::state::dialogs::Floating;
use crate::window::state::file_jobs::FileJob;
use crate::window::state::screen::Screen;
use crate::window::tasks::jobs::{Job, News};
use crate::window::tasks::task::Fault;

impl Files {
    /// Whether this is the first frame, once.
    pub(in crate::window::workbench) const fn begins(&mut self) -> bool {
        !std::mem::replace(&mut self.is_begun, true)
    }

    /// Whether the first frame has begun.
    pub(in crate::window::workbench) const fn is_begun(&self) -> bool {
        self.is_begun
    }

    /// Receives the answers that have come.
    pub(in crate::window::workbench) fn receive(&mut self) {
        self.jobs.receive();
    }

    /// Whether answers wait to be taken in.
    pub(in crate::window::workbench) fn has_answers(&self) -> bool {
        self.jobs.has_answers()
    }

    /// The next answer that can be taken in now; `is_asked` is whether something asked of the project shown is still to be
    /// carried out.
    pub(in crate::window::workbench) fn next_answer(
        &mut self,
        document: &Document,
        screen: &Screen,
        is_asked: bool,
    ) -> Option<(Job, Result<News, Fault>)> {
        let must_wait = |news: Option<&News>| self.must_wait(document, screen, is_asked, news);
        let place = self.jobs.answers().find(|(_, news)| !must_wait(*news)).map(|(place, _)| place)?;
        Some(self.jobs.take(place))
    }

    /// Whether an answer cannot be taken in just now; `None` stands for a fault.
    fn must_wait(&self, document: &Document, screen: &Screen, is_asked: bool, news: Option<&News>) -> bool {
        let Some(news) = news else {
            return document.gesture_open();
        };
        // These replace the open project or its state.
        let replaces = matches!(news, News::Opened(_) | News::Reopened(_) | News::Reread(_));
        // Another project is not shown while something is asked of this one.
        let turns = matches!(news, News::Opened(_) | News::Reopened(_));
        (document.gesture_open() && news.ends_gesture())
            || (replaces && (self.dialogs.saving || screen.is_typing()))
            || (turns && self.asks_something())
            // After saving, another project may be shown; what was asked of this one must not be carried out on that.
            || (is_asked && (replaces || matches!(news, News::Saved(_))))
            || self.waits_for_path(news)
    }

    /// Whether news would replace a panel in which a path is being typed for something else.
    fn waits_for_path(&self, news: &News) -> bool {
        let Some(Floating::Path(form)) = &self.dialogs.panel else {
            return false;
        };
        match news {
            News::TableRead { .. } => form.job != FileJob::ImportTable,
            News::ImageRead(_) => form.job != FileJob::ReadImage,
            News::Opened(_) => form.job != FileJob::Open,
            News::Reopened(_) => true,
            _ => false,
        }
    }

    /// Takes in a result; returns what is to be done next.
    pub(in crate::window::workbench) fn take_in(
        &mut self,
        ctx: &egui::Context,
        document: &mut Document,
        screen: &mut Screen,
        (job, answer): (Job, Result<News, Fault>),
    ) -> Option<Onward> {
        let news = match answer {
            Ok(news) => news,
            Err(fault) => return self.broken_off(document, screen, job, &fault),
        };
        match (news, job) {
            (News::Chosen(job, choice), Job::Choosing(ticket)) => return self.chosen(document, ticket, job, choice),
            (News::Prepared(job, destination), Job::Preparing(ticket)) => {
                return self.prepared(screen, ticket, job, destination);
            }
            (News::Opened(opened), Job::Opening(ticket)) => return self.opened(screen, ticket, opened),
            // Each of these has the number of its job.
            (News::Chosen(..) | News::Prepared(..) | News::Opened(_), _) => {}
            (News::TableRead { path, read }, _) => self.table_read(path, read),
            (News::Exported { path, done }, _) => self.exported(screen, &path, done),
            (News::ImageWritten(written), _) => return self.image_written(document, screen, written),
            (News::PageWritten(what, path, done), _) => self.page_written(screen, what, &path, done),
            (News::ImageCompared(compared), _) => self.image_compared(document, screen, *compared),
            (News::ImageRead(read), _) => self.image_read(document, *read),
            (News::Sweeps(news), _) => self.hear_of_sweeps(document, screen, news),
            (News::Rig(news), _) => self.hear_of_rig(screen, news),
            (News::Reopened(reopened), _) => return Some(Onward::Reopened(reopened)),
            (News::Painted(what, painted), _) => Self::painted(screen, what, painted),
            (News::Saved(done), _) => return Some(Onward::SaveEnded(done)),
            (News::Looked(done), _) => self.looked(ctx, document, screen, done),
            (News::Reread(done), _) => self.reread(document, screen, *done),
            (News::Leftovers(found), _) => self.offer(found),
            (News::Discarded(name, done), _) => Self::discarded(screen, &name, done),
        }
        None
    }

    /// Releases what waits for work that a mistake in this program broke off or for which there was no thread, and
    /// reports that.
    fn broken_off(&mut self, document: &Document, screen: &mut Screen, job: Job, fault: &Fault) -> Option<Onward> {
        let mut unsaved = None;
        match job {
            // These say themselves how to go on.
            Job::Saving if matches!(fault, Fault::NoThread(..)) => return Some(self.save_without_thread()),
            Job::Saving => return Some(Onward::SaveEnded(None)),
            Job::Choosing(ticket) => {
                if let Some((_, job)) = self.dialogs.choosing.take_if(|(open, _)| *open == ticket) {
                    self.type_path(document, job, Some("The system's file dialog broke off: type the path."));
                }
            }
            Job::Preparing(ticket) => {
                let preparing = self.preparing.take_if(|preparing| preparing.ticket == ticket);
                // If the path was typed, it is still there.
                let preparing = preparing.filter(|preparing| preparing.typed.is_none());
                unsaved = preparing.and_then(|preparing| saved_before(preparing.job));
            }
            Job::Opening(ticket) => self.opening.retain(|opening| opening.ticket != ticket),
            Job::Looking => self.looks_again = false,
            Job::Reopening
            | Job::Rereading
            | Job::FindingLeftovers
            | Job::Discarding
            | Job::Table
            | Job::Image
            | Job::Sweeps
            | Job::Rig
            | Job::Painting => {}
        }
        let name = job.name();
        let why = match fault {
            Fault::NoThread(..) => format!("{name} was not begun: the system gives no thread; close other programs"),
            _ => format!("{name} was broken off by a mistake in this program; the project is unchanged"),
        };
        if let Some(next) = unsaved {
            return Some(Onward::LeaveUnsaved(next, why));
        }
        self.fail_job(screen, why);
        None
    }
}
