//! The panel of fairing: one sentence whose clauses each have a switch, and most a number; what it would do is seen live,
//! and demands that cannot all be kept are told with what would end it.

mod clash;
mod clauses;

use eframe::egui::{self, Button, RichText, ScrollArea, vec2};

use self::clauses::ROWS;
use crate::shaping::{Faired, Tool};
use crate::table::Selection;
use crate::window::kit::theme::color;
use crate::window::state::commands::Command;
use crate::window::state::inspector_state::{Proposal, Proposer};
use crate::window::state::outbox::{Action, Outbox};
use crate::window::state::screen::{ScreenMessage, Sheet};
use crate::window::tasks::preview::Outcome;
use crate::window::views::command_buttons::panel_head;
use crate::window::views::inspector::proposal_words::{self, Words};
use crate::window::views::view::View;
use crate::wording::count;

/// Draws the panel.
pub fn show(ui: &mut egui::Ui, view: &View<'_>, outbox: &mut Outbox) {
    let theme = view.theme;
    panel_head(ui, view, outbox, "Fair under demands", Command::Fairing);
    let proposal = plan(view);
    let weak = color(theme.palette.ink_secondary);
    ui.label(RichText::new(scope(view)).color(weak));
    ui.add_space(theme.gap);
    for row in &ROWS {
        clauses::show(ui, view, row, outbox);
    }
    ui.add_space(theme.gap);
    if view.screen.sheet != Sheet::Advance {
        ui.label(RichText::new("Go to the Advance sheet to see it live.").color(weak));
    }
    apply(ui, view, proposal.as_ref(), outbox);
    ui.add_space(theme.gap);
    ScrollArea::vertical()
        .id_salt("fairing told")
        .auto_shrink(false)
        .show(ui, |ui| tell(ui, view, proposal.as_ref(), outbox));
    // A sentence that is pointed at is previewed instead, until the pointer leaves it.
    let yields = view.screen.proposals.shown.as_ref().is_some_and(|shown| shown.by == Proposer::Sentence);
    if !yields {
        super::propose(view, outbox, Proposer::Fairing, proposal.filter(|_| view.screen.sheet == Sheet::Advance));
    }
}

/// The cells that are faired: the selected ones, or all if one is selected.
fn cells(view: &View<'_>) -> Selection {
    let (selected, table) = (&view.selection.cells, view.settled().advance.table());
    if selected.count() == 1 { Selection::all(table) } else { selected.clone() }
}

fn scope(view: &View<'_>) -> String {
    match view.selection.cells.count() {
        1 => "The whole table; select more than one cell to fair those alone.".to_owned(),
        selected => format!("{} selected.", count(selected, "cell")),
    }
}

/// What the sentence would do; `None` if nothing is on.
fn plan(view: &View<'_>) -> Option<Proposal> {
    let demands = clauses::demands(view)?;
    Some(Proposal { by: Proposer::Fairing, tool: Tool::Fair { demands }, cells: cells(view) })
}

/// The button that makes what is seen a step. Once it is one, what is seen is the table itself, and fairing it again moves
/// it further: that is seen again only when asked for.
fn apply(ui: &mut egui::Ui, view: &View<'_>, proposal: Option<&Proposal>, outbox: &mut Outbox) {
    let size = vec2(ui.available_width(), view.theme.sentence_height);
    let proposals = &view.screen.proposals;
    if proposal.is_some() && proposals.settled.as_ref() == proposal {
        let again = ui.add(Button::new("See it once more").min_size(size));
        let told = "Shows what the same demands would do to the table as it is now: 'today' has moved with it.";
        if again.on_hover_text(told).clicked() {
            outbox.send(ScreenMessage::Propose(Proposer::Fairing, None));
        }
        return;
    }
    let is_seen =
        proposal.is_some() && proposals.shown.as_ref() == proposal && matches!(view.preview, Some(Outcome::Done(_)));
    let response = ui.add_enabled(is_seen, Button::new("Fair").min_size(size));
    let response = response.on_hover_text("Fairs the cells as shown, as one step.");
    let response = response.on_disabled_hover_text("Nothing is shown that could be applied.");
    if let Some(proposal) = proposal.filter(|_| response.clicked()) {
        outbox.send(Action::Commit(proposal.clone()));
    }
}

/// Whether the preview on show is this panel's.
fn is_shown(view: &View<'_>) -> bool {
    view.screen.proposals.shown.as_ref().is_some_and(|shown| shown.by == Proposer::Fairing)
}

fn tell(ui: &mut egui::Ui, view: &View<'_>, proposal: Option<&Proposal>, outbox: &mut Outbox) {
    let clash = match view.preview {
        Some(Outcome::Refused { clash: Some(clash), .. }) if is_shown(view) => Some(clash),
        _ => None,
    };
    if let Some(contradiction) = clash {
        return clash::show(ui, view, contradiction, outbox);
    }
    let words = match (proposal, proposal_words::of_preview(view, Proposer::Fairing)) {
        (None, _) => Words::plain("Nothing is demanded: switch a clause on."),
        (_, Some(words)) => words,
        (Some(_), None) if view.screen.proposals.settled.as_ref() == proposal => {
            Words::plain("Faired, or given up. 'Today' is the table as it is now.")
        }
        (Some(_), None) => Words::plain("Change a clause to see what it would do."),
    };
    proposal_words::show(ui, view.theme, &words);
    if let Some(Outcome::Done(done)) = view.preview.filter(|_| is_shown(view))
        && let Some(faired) = &done.shaped.faired
    {
        standing(ui, view, faired);
    }
}

/// How many cells stand at which demand: they would be smoother without it.
fn standing(ui: &mut egui::Ui, view: &View<'_>, faired: &Faired) {
    let weak = color(view.theme.palette.ink_secondary);
    let text = |words: String| RichText::new(words).size(view.theme.small).color(weak);
    if faired.standing.is_empty() {
        ui.label(text("No cell is kept from being smoother.".to_owned()));
    } else {
        let counts = faired.standing_counts().into_iter();
        let told: Vec<String> = counts.map(|(kind, cells)| format!("{cells} {}", clauses::at(kind))).collect();
        ui.label(text(format!("Kept from being smoother, with a bar at their foot: {}.", told.join(", "))));
    }
    if !faired.points_among_fixed.is_empty() {
        let points = count(faired.points_among_fixed.len(), "measured point");
        ui.label(text(format!("{points} among cells that stay: nothing moves towards them.")));
    }
    if !faired.points_out.is_empty() {
        let points = count(faired.points_out.len(), "measured point");
        ui.label(text(format!("On the step {points} cannot be met within its tolerance.")));
    }
}
