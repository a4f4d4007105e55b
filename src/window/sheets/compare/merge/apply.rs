//! What the merge brings, and the button that makes one step of it.

use eframe::egui::{self, Align, Layout};

use super::super::rows::{column, second, text};
use super::merging::{Merged, decision_key};
use super::{line_of, take_back};
use crate::compare::{Merge, Version};
use crate::project::Project;
use crate::window::state::compare_state::Decisions;
use crate::window::state::outbox::Outbox;
use crate::window::views::view::View;

/// Width that is kept for the button.
const BUTTON_WIDTH: f32 = 130.0;

/// Draws the line below the merge.
pub(super) fn show(ui: &mut egui::Ui, view: &View<'_>, merged: Option<&Merged>, outbox: &mut Outbox) {
    let whole = ui.max_rect().shrink2(egui::vec2(0.0, view.theme.gap));
    let told = merged.map_or_else(String::new, |merged| summary(merged, view));
    text(ui, column(whole, 0.0, whole.width() - BUTTON_WIDTH), Align::Min, second(told, view.theme));
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

/// Asks for the merge as one step. It is made again should the step start from another project than what was shown.
fn apply(view: &View<'_>, merged: &Merged, outbox: &mut Outbox) {
    let Some(theirs) = view.theirs else {
        return;
    };
    let base = merged.version(Version::Base).clone();
    let (other, name) = (theirs.project.clone(), theirs.name.clone());
    let decisions = view.screen.compare.merging.as_ref().map(|merging| merging.decisions.clone()).unwrap_or_default();
    let label = format!("Merge {name}: {}", merged.brought);
    let (shown_for, shown) = (merged.version(Version::Mine).clone(), merged.result.clone());
    outbox.edit(
        label.clone(),
        move |mine| {
            if mine.is_same(&shown_for) { shown } else { merge(&base, mine, &other, &decisions) }
        },
    );
    outbox.screen(|screen| screen.compare.merging = None);
    outbox.say(label);
}

fn merge(base: &Project, mine: &Project, theirs: &Project, decisions: &Decisions) -> Result<Project, String> {
    let merge = Merge::new(base, mine, theirs).map_err(|error| error.to_string())?;
    let decision = |conflict: usize| {
        let name = merge.conflicts().get(conflict).map(decision_key);
        name.and_then(|name| decisions.get(&name).copied())
    };
    if let Some(open) = (0..merge.conflicts().len()).find(|conflict| decision(*conflict).is_none()) {
        let label = merge.conflicts().get(open).map_or("", |conflict| conflict.label.as_str());
        return Err(format!("{label} has changed meanwhile and is to be decided"));
    }
    merge.resolve(|conflict| decision(conflict).unwrap_or(Version::Mine)).map_err(|fault| fault.to_string())
}
