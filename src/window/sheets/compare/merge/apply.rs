//! What the merge brings, and the button that makes one step of it.

use eframe::egui::{self, Align, Layout};

use super::super::rows::{column, second, text};
use super::merging::Merged;
use super::{line_of, take_back};
use crate::compare::Version;
use crate::window::kit::theme::compare_sizes::APPLY_WIDTH;
use crate::window::state::compare_state::CompareMessage;
use crate::window::state::edits::MergeEdit;
use crate::window::state::outbox::Outbox;
use crate::window::views::view::View;

/// Draws the line below the merge.
pub(super) fn show(ui: &mut egui::Ui, view: &View<'_>, merged: Option<&Merged>, outbox: &mut Outbox) {
    let whole = ui.max_rect().shrink2(egui::vec2(0.0, view.theme.gap));
    let told = merged.map_or_else(String::new, |merged| summary(merged, view));
    text(ui, column(whole, 0.0, whole.width() - APPLY_WIDTH), Align::Min, second(told, view.theme));
    let mut row = line_of(ui, whole);
    row.with_layout(Layout::right_to_left(Align::Center), |ui| {
        let reason = reason(view, merged);
        let tooltip = "Put both together as one step; undo takes it back.";
        if take_back::button(ui, ("Apply the merge", 0.0), tooltip, reason.as_ref()).clicked()
            && let Some(merged) = merged
        {
            apply(view, merged, outbox);
        }
    });
}

fn summary(merged: &Merged, view: &View<'_>) -> String {
    let (all, open) = (merged.conflicts().len(), merged.undecided());
    let conflicts = match (all, open) {
        (0, _) => "no conflicts".to_owned(),
        (1, 0) => "the one conflict is decided".to_owned(),
        (all, 0) => format!("all {all} conflicts are decided"),
        (all, open) => format!("{open} of {all} conflicts to be decided"),
    };
    let theirs = view.theirs.map_or("theirs", |theirs| theirs.name.as_str());
    format!("With {theirs}: {} will change; {conflicts}", merged.brought)
}

/// Why the merge cannot be applied now.
fn reason(view: &View<'_>, merged: Option<&Merged>) -> Option<String> {
    let Some(merged) = merged else {
        let chosen = view.screen.compare.merging.as_ref().is_some_and(|merging| merging.theirs.is_some());
        return Some(if chosen { "the merge is being computed" } else { "choose theirs first" }.into());
    };
    let open = merged.undecided();
    if open > 0 {
        return Some(format!("{open} of {} conflicts are to be decided first", merged.conflicts().len()));
    }
    match &merged.result {
        Err(fault) => Some(format!("these decisions do not fit together: {fault}; decide alike what belongs together")),
        Ok(result) if result == merged.version(Version::Mine) => {
            Some("it would change nothing: this project has everything already".into())
        }
        Ok(_) => None,
    }
}

/// Requests the merge as one step. It is computed again if the step starts from another project than was shown.
fn apply(view: &View<'_>, merged: &Merged, outbox: &mut Outbox) {
    let Some(theirs) = view.theirs else {
        return;
    };
    let decisions = view.screen.compare.merging.as_ref().map(|merging| merging.decisions.clone()).unwrap_or_default();
    let label = format!("Merge {}: {}", theirs.name, merged.brought);
    let edit = MergeEdit {
        decisions,
        base: merged.version(Version::Base).clone(),
        theirs: theirs.project.clone(),
        shown: (merged.version(Version::Mine).clone(), merged.result.clone()),
    };
    outbox.edit(label.clone(), edit);
    outbox.send(CompareMessage::StopMerging);
    outbox.say(label);
}
