//! Recovery copies that a crash left behind.

use eframe::egui;

use super::Files;
use crate::document::{DataFolder, Document, Offer};
use crate::window::state::notice::Cause;
use crate::window::state::screen::Screen;
use crate::window::tasks::jobs::{Job, News};
use crate::window::tasks::leftovers::Leftovers;
use crate::wording::Refusal;

impl Files {
    /// Has a thread look for what a crash left behind, once `given_up` has released its copy.
    pub(in crate::window::workbench) fn find_leftovers(
        &mut self,
        ctx: &egui::Context,
        data: &DataFolder,
        given_up: Option<Box<Document>>,
    ) {
        let data = data.clone();
        // A copy is offered to only one caller, as long as that one keeps the offer.
        let before = std::mem::take(&mut self.offers);
        self.dialogs.offers.clear();
        self.jobs.start(ctx, Job::FindingLeftovers, move || {
            drop((before, given_up));
            News::Leftovers(Leftovers::find(&data))
        });
    }

    pub(super) fn offer(&mut self, found: Leftovers) {
        (self.offers, self.dialogs.offers) = found.offers.into_iter().unzip();
        self.dialogs.unreadable = found.unreadable;
    }

    pub(super) fn take_offer(&mut self, place: usize) -> Option<Offer> {
        if place >= self.offers.len() || place >= self.dialogs.offers.len() {
            return None;
        }
        self.dialogs.offers.remove(place);
        Some(self.offers.remove(place))
    }

    /// Has a thread delete a recovery copy.
    pub(in crate::window::workbench) fn discard_offer(&mut self, ctx: &egui::Context, place: usize) {
        let Some(offer) = self.take_offer(place) else {
            return;
        };
        self.jobs.start(ctx, Job::Discarding, move || {
            let name = offer.name().to_owned();
            News::Discarded(name, offer.discard().map_err(Refusal::from))
        });
    }

    pub(super) fn discarded(screen: &mut Screen, name: &str, done: Result<(), Refusal>) {
        match done {
            Ok(()) => screen.say(format!("The recovery copy of {name} is deleted")),
            Err(why) => {
                screen.complain_of(Cause::Lasting, format!("The recovery copy of {name} cannot be deleted: {why}"));
            }
        }
    }

    /// Lets the copies be for another time.
    pub(in crate::window::workbench) fn keep_offers(&mut self) {
        self.offers.clear();
        self.dialogs.offers.clear();
    }
}
