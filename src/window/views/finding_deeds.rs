//! What can be done with a finding: go there, carry its remedy out, accept it.

use eframe::egui;

use crate::checks::{Cure, Finding, Spot, accept, take_back_acceptance};
use crate::table::{Selection, Table};
use crate::window::state::checks_state::ChecksMessage;
use crate::window::state::edits::{CureEdit, DocumentEdit};
use crate::window::state::outbox::Outbox;
use crate::window::state::screen_message::ScreenMessage;
use crate::window::state::selection::CellSelection;
use crate::window::tasks::checking::Outcome;
use crate::window::views::form;
use crate::window::views::view::View;
use crate::wording::capital;

/// Going to a finding's place: its sheet, its cells selected where they fit the table.
pub fn go(table: &Table, finding: &Finding) -> ScreenMessage {
    let cells = finding.place.cells();
    let fits = cells.iter().all(|cell| cell.load < table.load().len() && cell.speed < table.speed().len());
    let first = cells.first().copied().filter(|_| fits);
    let selection = first.map(|first| {
        let mut selected = Selection::none(table.load().len(), table.speed().len());
        selected.extend(cells.iter().copied());
        CellSelection { cells: selected, cursor: first, anchor: first }
    });
    ScreenMessage::GoTo(Box::new(finding.clone()), selection)
}

/// Gives the keyboard to the field at a finding's place, as soon as its sheet shows one.
pub fn focus(ctx: &egui::Context, finding: &Finding) {
    if let Spot::Field(path) = &finding.place.spot {
        ctx.memory_mut(|memory| memory.request_focus(form::id(path)));
    }
}

/// Carries a remedy out as one step: as it was shown, where it was for this very state, else anew.
pub fn cure(view: &View<'_>, outbox: &mut Outbox, cure: &Cure) {
    let shown = view.cured.filter(|cured| cured.cure == *cure).and_then(|cured| match &cured.outcome {
        Outcome::Done(after, _) => Some(after.clone()),
        Outcome::Working | Outcome::Refused(_) => None,
    });
    let shown = shown.map(|after| (view.document.project().clone(), after));
    outbox.send(ChecksMessage::Propose(None));
    // What is refused says so instead.
    outbox.say(cure.label.clone());
    outbox.edit(cure.label.clone(), CureEdit { cure: cure.clone(), shown });
}

/// Accepts a finding for a reason.
pub(in crate::window) fn accept_for(outbox: &mut Outbox, view: &View<'_>, finding: &Finding, reason: &str) {
    match accept(view.document.project(), finding, reason) {
        Ok((_, label)) => {
            outbox.send(ChecksMessage::Accept(None));
            outbox.say(label.clone());
            outbox.edit(label, DocumentEdit::AcceptFinding(Box::new(finding.clone()), reason.to_owned()));
        }
        Err(error) => outbox.complain(capital(&error.to_string())),
    }
}

/// Lets an accepted finding count again.
pub(in crate::window) fn take_back(outbox: &mut Outbox, view: &View<'_>, finding: &Finding) {
    match take_back_acceptance(view.document.project(), finding) {
        Ok((_, label)) => {
            outbox.say(label.clone());
            outbox.edit(label, DocumentEdit::TakeBackAcceptance(Box::new(finding.clone())));
        }
        Err(fault) => outbox.complain(fault.to_string()),
    }
}
