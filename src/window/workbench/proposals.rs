//! Tools that are previewed, and tools that are applied once their result is known.

use eframe::egui;

use super::{NOTHING_CHANGED, Workbench};
use crate::checks::Cure;
use crate::document::Revision;
use crate::project::Project;
use crate::shaping::Shaped;
use crate::window::state::proposals::{Proposal, Proposer};
use crate::window::state::screen::{Screen, Sheet, SidePanel};
use crate::window::state::selection::CellSelection;
use crate::window::tasks::checking;
use crate::window::tasks::preview::{Outcome, takes_long};
use crate::wording::Refusal;

/// Shown when the result being waited for no longer starts from the present table.
const CHANGED_MEANWHILE: &str = "The table changed before the result was there; nothing was applied";

impl Workbench {
    /// Applies a tool as one step: now if its result is known or quickly computed, otherwise as soon as it is
    /// known.
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

    /// Ends the preview, and no longer waits for a result to apply.
    pub(super) fn give_up_preview(&mut self) {
        self.shown.awaited = None;
        self.shown.awaited_cure = None;
        self.screen.proposals.settle();
    }

    /// Carries a remedy out as one step: now if its result is known or quickly computed, otherwise as soon as
    /// it is known.
    pub(super) fn cure(&mut self, cure: Cure) {
        self.end_gesture();
        self.screen.checks.proposed = None;
        match self.shown.checker.outcome_of(&cure, &self.document) {
            Some(checking::Outcome::Done(after, _)) => {
                let after = after.clone();
                self.take_cured(&cure, Ok(after));
            }
            _ if checking::takes_long(&cure, self.document.project()) => {
                self.shown.awaited_cure = Some((cure, self.document.revision()));
            }
            _ => {
                let after = cure.apply(self.document.project()).map_err(Refusal::from);
                self.take_cured(&cure, after);
            }
        }
    }

    fn take_cured(&mut self, cure: &Cure, after: Result<Project, Refusal>) {
        let selected = Some(self.screen.selection.cells.clone());
        match after.and_then(|after| self.step(cure.label.clone(), selected, |_| Ok(after))) {
            Ok(true) => self.say(cure.label.clone()),
            Ok(false) => self.complain(NOTHING_CHANGED),
            Err(why) => self.complain(why),
        }
    }

    /// Updates findings and the previewed remedy, and carries out the one that was waited for.
    pub(super) fn settle_remedy(&mut self, ctx: &egui::Context) {
        let is_outdated = |(_, revision): &mut (Cure, Revision)| *revision != self.document.revision();
        if self.shown.awaited_cure.take_if(is_outdated).is_some() {
            self.complain(CHANGED_MEANWHILE);
        }
        let awaited = self.shown.awaited_cure.as_ref().map(|(cure, _)| cure);
        let proposed = awaited.or(self.screen.checks.proposed.as_ref());
        self.shown.checker.settle(proposed, &self.document, ctx);
        let Some((cure, _)) = &self.shown.awaited_cure else {
            return;
        };
        let after = match self.shown.checker.outcome_of(cure, &self.document) {
            Some(checking::Outcome::Done(after, _)) => Ok(after.clone()),
            Some(checking::Outcome::Refused(why)) => Err(why.clone()),
            Some(checking::Outcome::Working) | None => return,
        };
        if let Some((cure, _)) = self.shown.awaited_cure.take() {
            self.take_cured(&cure, after);
            self.shown.checker.settle(self.screen.checks.proposed.as_ref(), &self.document, ctx);
        }
    }

    /// Updates the preview to what is proposed, and applies what was waited for.
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

    /// Drops proposals for something no longer shown or for a table of another size, and a pending one whose
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
            self.complain(CHANGED_MEANWHILE);
        }
    }

    /// Applies what is waited for if its result is there; returns whether the wait is over.
    fn apply_awaited(&mut self) -> bool {
        let Some((proposal, _)) = &self.shown.awaited else {
            return false;
        };
        let result: Result<Shaped, Refusal> = match self.shown.preview.outcome_of(proposal, &self.document) {
            Some(Outcome::Done(done)) => Ok(done.shaped.clone()),
            Some(Outcome::Refused(reason)) => Err(reason.clone()),
            Some(Outcome::Working { .. }) | None => return false,
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
