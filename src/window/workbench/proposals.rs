//! Tools that are previewed, and tools that are applied once their result is known.

use eframe::egui;

use super::Workbench;
use crate::shaping::Shaped;
use crate::window::state::proposals::{Proposal, Proposer};
use crate::window::state::screen::{Screen, Sheet, SidePanel};
use crate::window::state::selection::CellSelection;
use crate::window::tasks::preview::{Outcome, takes_long};

impl Workbench {
    /// Applies a tool as one step: now when its result is known or quickly found, else as soon as it is.
    pub(super) fn commit(&mut self, proposal: Proposal) {
        if self.screen.proposals.shown.as_ref() == Some(&proposal) {
            self.screen.proposals.settle();
        }
        if let Some(Outcome::Done(done)) = self.shown.preview.outcome_of(&proposal, &self.document) {
            let shaped = done.shaped.clone();
            return self.apply_shaped(&proposal.tool, shaped);
        }
        if takes_long(&proposal) {
            self.shown.awaited = Some((proposal, self.document.revision()));
        } else {
            self.shape(&proposal.tool, &proposal.cells);
        }
    }

    /// Takes the preview away, and no longer waits for a result to apply.
    pub(super) fn give_up_preview(&mut self) {
        self.shown.awaited = None;
        self.screen.proposals.settle();
    }

    /// Brings the preview up to date with what is proposed, and applies what was waited for.
    pub(super) fn settle_preview(&mut self, ctx: &egui::Context) {
        self.drop_outdated();
        let awaited = self.shown.awaited.as_ref().map(|(proposal, _)| proposal);
        let idle = awaited.is_none() && self.document.gesture_open();
        let wanted = awaited.or(self.screen.proposals.shown.as_ref()).filter(|_| !idle);
        self.shown.preview.turn_to(wanted, &self.document, ctx);
        if self.apply_awaited() {
            self.shown.preview.turn_to(self.screen.proposals.shown.as_ref(), &self.document, ctx);
        }
        self.shown.preview_screen = self.fitted_screen();
    }

    /// Forgets proposals of what is no longer shown or made for a table of another size, and one waited for whose
    /// table has changed.
    fn drop_outdated(&mut self) {
        if self.screen.panel != Some(SidePanel::Breakpoints) {
            self.screen.proposals.propose(Proposer::Breakpoints, None);
        }
        if self.screen.sheet != Sheet::Advance {
            self.screen.proposals.propose(Proposer::Sentence, None);
        }
        let table = self.document.project().advance.table();
        self.screen.proposals.shown.take_if(|proposal| !proposal.cells.fits(table));
        let Some((proposal, revision)) = &self.shown.awaited else {
            return;
        };
        if *revision != self.document.revision() || !proposal.cells.fits(table) {
            self.shown.awaited = None;
            self.complain("The table changed before the result was there; nothing was applied");
        }
    }

    /// Applies what is waited for if its result is there; says whether the wait is over.
    fn apply_awaited(&mut self) -> bool {
        let Some((proposal, _)) = &self.shown.awaited else {
            return false;
        };
        let result: Result<Shaped, String> = match self.shown.preview.outcome_of(proposal, &self.document) {
            Some(Outcome::Done(done)) => Ok(done.shaped.clone()),
            Some(Outcome::Refused(reason)) => Err(reason.clone()),
            Some(Outcome::Working(_)) | None => return false,
        };
        let Some((Proposal { tool, .. }, _)) = self.shown.awaited.take() else {
            return false;
        };
        match result {
            Ok(shaped) => self.apply_shaped(&tool, shaped),
            Err(reason) => self.report(Err(reason)),
        }
        true
    }

    /// The screen with its cells fitted to the previewed table, where that has another size.
    pub(super) fn fitted_screen(&self) -> Option<Screen> {
        let table = self.shown_instead()?.advance.table();
        if self.screen.selection.cells.fits(table) {
            return None;
        }
        let mut screen = self.screen.clone();
        screen.selection = CellSelection::fitted(screen.selection, table);
        screen.pointer.cell = None;
        Some(screen)
    }
}
