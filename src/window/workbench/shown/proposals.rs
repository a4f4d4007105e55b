//! Tools that are previewed, and tools that are applied once their result is known.

use eframe::egui;

use super::{Remedied, Shown, ToApply};
use crate::checks::Cure;
use crate::document::{Document, Revision};
use crate::window::state::inspector_state::{Proposal, Proposer};
use crate::window::state::screen::{Screen, Sheet, SidePanel};
use crate::window::tasks::checking;
use crate::window::tasks::preview::{Outcome, takes_long};
use crate::wording::Refusal;

/// Shown when the result being waited for no longer starts from the present table.
const CHANGED_MEANWHILE: &str = "The table changed before the result was there; nothing was applied";

impl Shown {
    /// Returns the tool if it can be applied now, since its result is known or found quickly; otherwise the tool waits for
    /// its result.
    pub(in crate::window::workbench) fn commit(
        &mut self,
        document: &Document,
        screen: &mut Screen,
        proposal: Proposal,
    ) -> Option<ToApply> {
        if screen.proposals.shown.as_ref() == Some(&proposal) {
            screen.proposals.settle();
        }
        if let Some(Outcome::Done(done)) = self.preview.outcome_of(&proposal, document) {
            return Some(ToApply::Shaped(proposal.tool, done.shaped.clone()));
        }
        if takes_long(&proposal) {
            self.awaited = Some((proposal, document.revision()));
            return None;
        }
        Some(ToApply::Tool(proposal.tool, proposal.cells))
    }

    /// Ends the preview, and no longer waits for a result to apply.
    pub(in crate::window::workbench) fn give_up_preview(&mut self, screen: &mut Screen) {
        self.awaited = None;
        self.awaited_cure = None;
        screen.proposals.settle();
    }

    /// Returns the result of a remedy if it is known or found quickly; otherwise the remedy waits for it.
    pub(in crate::window::workbench) fn cure(
        &mut self,
        document: &Document,
        screen: &mut Screen,
        cure: Cure,
    ) -> Option<Remedied> {
        screen.checks.proposed = None;
        let after = match self.checker.outcome_of(&cure, document) {
            Some(checking::Outcome::Done(after, _)) => Ok(after.clone()),
            _ if checking::takes_long(&cure, document.project()) => {
                self.awaited_cure = Some((cure, document.revision()));
                return None;
            }
            _ => cure.apply(document.project()).map_err(Refusal::from),
        };
        Some(Remedied { label: cure.label, after })
    }

    /// Updates findings and the previewed remedy; returns the one that was waited for.
    pub(in crate::window::workbench) fn settle_remedy(
        &mut self,
        ctx: &egui::Context,
        document: &Document,
        screen: &mut Screen,
    ) -> Option<Remedied> {
        let is_outdated = |(_, revision): &mut (Cure, Revision)| *revision != document.revision();
        if self.awaited_cure.take_if(is_outdated).is_some() {
            screen.complain(CHANGED_MEANWHILE);
        }
        let awaited = self.awaited_cure.as_ref().map(|(cure, _)| cure);
        // On its own sheet a remedy is told and not shown in the table.
        let is_patient = screen.sheet == Sheet::Advance;
        let proposed = self.patience_of_cure.after(screen.checks.proposed.as_ref(), !is_patient, ctx);
        self.checker.settle(awaited.or(proposed), document, ctx);
        let (cure, _) = self.awaited_cure.as_ref()?;
        let after = match self.checker.outcome_of(cure, document) {
            Some(checking::Outcome::Done(after, _)) => Ok(after.clone()),
            Some(checking::Outcome::Refused(why)) => Err(why.clone()),
            Some(checking::Outcome::Working) | None => return None,
        };
        self.awaited_cure.take().map(|(cure, _)| Remedied { label: cure.label, after })
    }

    /// Updates findings and the previewed remedy after a step was made.
    pub(in crate::window::workbench) fn settle_checks(
        &mut self,
        ctx: &egui::Context,
        document: &Document,
        screen: &Screen,
    ) {
        self.checker.settle(screen.checks.proposed.as_ref(), document, ctx);
    }

    /// Updates the preview to what is proposed; returns the tool that was waited for.
    pub(in crate::window::workbench) fn settle_preview(
        &mut self,
        ctx: &egui::Context,
        document: &Document,
        screen: &mut Screen,
    ) -> Option<ToApply> {
        self.drop_outdated(document, screen);
        if let Some((awaited, _)) = &self.awaited {
            self.preview.turn_to(Some(awaited), document, ctx);
        } else {
            let wanted = screen.proposals.shown.as_ref().filter(|_| !document.gesture_open());
            self.preview_patiently(ctx, document, wanted);
        }
        let (proposal, _) = self.awaited.as_ref()?;
        let result = match self.preview.outcome_of(proposal, document) {
            Some(Outcome::Done(done)) => Ok(done.shaped.clone()),
            Some(Outcome::Refused { why, .. }) => Err(why.clone()),
            Some(Outcome::Working { .. }) | None => return None,
        };
        let (Proposal { tool, .. }, _) = self.awaited.take()?;
        match result {
            Ok(shaped) => Some(ToApply::Shaped(tool, shaped)),
            Err(reason) => {
                screen.complain(reason);
                self.preview_shown(ctx, document, screen);
                None
            }
        }
    }

    /// Updates the preview to what is proposed, now that nothing is waited for.
    pub(in crate::window::workbench) fn preview_shown(
        &mut self,
        ctx: &egui::Context,
        document: &Document,
        screen: &Screen,
    ) {
        self.preview_patiently(ctx, document, screen.proposals.shown.as_ref());
    }

    /// Updates the preview to what is wanted, once it was wanted for long enough; a number of the tool that is shown
    /// already follows what is typed.
    fn preview_patiently(&mut self, ctx: &egui::Context, document: &Document, wanted: Option<&Proposal>) {
        let shown = self.preview.done().map(|(tool, _)| std::mem::discriminant(tool));
        let goes_on = wanted.is_some_and(|wanted| Some(std::mem::discriminant(&wanted.tool)) == shown);
        let wanted = self.patience.after(wanted, goes_on, ctx);
        self.preview.turn_to(wanted, document, ctx);
    }

    /// Drops proposals for something no longer shown or for a table of another size, and a pending one whose
    /// table has changed.
    fn drop_outdated(&mut self, document: &Document, screen: &mut Screen) {
        if screen.panel != Some(SidePanel::Breakpoints) {
            screen.proposals.propose(Proposer::Breakpoints, None);
        }
        if screen.panel != Some(SidePanel::Fairing) || screen.sheet != Sheet::Advance {
            screen.proposals.propose(Proposer::Fairing, None);
        }
        if screen.sheet != Sheet::Advance {
            screen.proposals.propose(Proposer::Sentence, None);
        }
        let table = document.project().advance.table();
        screen.proposals.shown.take_if(|proposal| !proposal.cells.fits(table));
        let Some((proposal, revision)) = &self.awaited else {
            return;
        };
        if *revision != document.revision() || !proposal.cells.fits(table) {
            self.awaited = None;
            screen.complain(CHANGED_MEANWHILE);
        }
    }
}
