//! What can be done with a finding: go there, carry its remedy out, accept it.

use eframe::egui;

use crate::checks::{self, Cure, Finding, Spot, accept, take_back_acceptance};
use crate::project::Project;
use crate::table::{Selection, Table};
use crate::window::state::checks_state::FindingKey;
use crate::window::state::engine_state::Page;
use crate::window::state::notice::Notice;
use crate::window::state::outbox::Outbox;
use crate::window::state::screen::{Screen, Sheet};
use crate::window::state::selection::CellSelection;
use crate::window::tasks::checking::Outcome;
use crate::window::views::form;
use crate::window::views::view::View;
use crate::wording::capital;

/// The sheet of the window on which a finding's place is.
const fn sheet(sheet: checks::Sheet) -> Sheet {
    match sheet {
        checks::Sheet::Engine => Sheet::Engine,
        checks::Sheet::Advance => Sheet::Advance,
        checks::Sheet::Trims => Sheet::Trims,
        checks::Sheet::Limits => Sheet::Limits,
        checks::Sheet::Checks => Sheet::Checks,
        checks::Sheet::Export => Sheet::Export,
    }
}

/// Goes to a finding's place: its sheet, its cells selected; the status line says what it is.
pub fn go(screen: &mut Screen, table: &Table, finding: &Finding) {
    screen.go_to(sheet(finding.place.sheet));
    screen.checks.looked_at = Some(FindingKey::of(finding));
    if let Spot::Field(path) = &finding.place.spot {
        let is_light = path.starts_with("timing_light.");
        screen.engine.page = if is_light { Page::TimingLight } else { Page::Installation };
    }
    let cells = finding.place.cells();
    let fits = cells.iter().all(|cell| cell.load < table.load().len() && cell.speed < table.speed().len());
    if let (Some(&first), true) = (cells.first(), fits) {
        let mut selected = Selection::none(table.load().len(), table.speed().len());
        selected.extend(cells.iter().copied());
        screen.selection = CellSelection { cells: selected, cursor: first, anchor: first };
    }
    let text = format!("{}: {}", capital(finding.severity.name()), finding.message);
    screen.notice = Some(Notice::said(text));
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
    let (from, cure) = (view.document.project().clone(), cure.clone());
    outbox.screen(|screen| screen.checks.proposed = None);
    // What is refused says so instead.
    outbox.say(cure.label.clone());
    outbox.edit(cure.label.clone(), move |project| match shown {
        Some(after) if project.is_same(&from) => Ok(after),
        _ => cure.apply(project).map_err(|uncured| uncured.to_string()),
    });
}

/// Accepts a finding for a reason.
pub(in crate::window) fn accept_for(outbox: &mut Outbox, view: &View<'_>, finding: &Finding, reason: &str) {
    match accept(view.document.project(), finding, reason) {
        Ok((_, label)) => {
            outbox.screen(|screen| screen.checks.accepting = None);
            outbox.say(label.clone());
            let (finding, reason) = (finding.clone(), reason.to_owned());
            outbox.edit(label, move |project: &Project| {
                accept(project, &finding, &reason).map(|(project, _)| project).map_err(|error| error.to_string())
            });
        }
        Err(error) => outbox.complain(capital(&error.to_string())),
    }
}

/// Lets an accepted finding count again.
pub(in crate::window) fn take_back(outbox: &mut Outbox, view: &View<'_>, finding: &Finding) {
    match take_back_acceptance(view.document.project(), finding) {
        Ok((_, label)) => {
            let finding = finding.clone();
            outbox.say(label.clone());
            outbox.edit(label, move |project: &Project| {
                take_back_acceptance(project, &finding).map(|(project, _)| project).map_err(|fault| fault.to_string())
            });
        }
        Err(fault) => outbox.complain(fault.to_string()),
    }
}
