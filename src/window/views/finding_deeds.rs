//! What can be done with a finding: going there, accepting it.

use eframe::egui;

use crate::checks::{Finding, Spot, accept, take_back_acceptance};
use crate::table::{Selection, Table};
use crate::window::state::checks_state::ChecksMessage;
use crate::window::state::edits::DocumentEdit;
use crate::window::state::outbox::Outbox;
use crate::window::state::screen_message::ScreenMessage;
use crate::window::state::selection::CellSelection;
use crate::window::views::form;
use crate::window::views::view::View;
use crate::wording::capital;

/// The message for going to a finding's place: its sheet, with its cells selected if they fit the table.
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

/// Gives the keyboard focus to the field at a finding's place, as soon as its sheet shows one.
pub fn focus(ctx: &egui::Context, finding: &Finding) {
    if let Spot::Field(path) = &finding.place.spot {
        ctx.memory_mut(|memory| memory.request_focus(form::id(path)));
    }
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

/// Makes an accepted finding count again.
pub(in crate::window) fn take_back(outbox: &mut Outbox, view: &View<'_>, finding: &Finding) {
    match take_back_acceptance(view.document.project(), finding) {
        Ok((_, label)) => {
            outbox.say(label.clone());
            outbox.edit(label, DocumentEdit::TakeBackAcceptance(Box::new(finding.clone())));
        }
        Err(fault) => outbox.complain(fault.to_string()),
    }
}
