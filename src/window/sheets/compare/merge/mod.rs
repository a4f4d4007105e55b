//! Merging what somebody else made of the same base into this project: the merged table, and what is to be decided.

mod conflict_list;
mod merged_grid;
mod merging;
mod region_choices;

use std::sync::Arc;

use eframe::egui::{self, Align, Label, Layout, Rect, UiBuilder, pos2, vec2};

use self::merged_grid::MergedGrid;
use self::merging::{Merged, Merging};
use crate::compare::Version;
use crate::window::kit::parts::part;
use crate::window::kit::theme::kit_sizes::TIGHT_GAP;
use crate::window::kit::theme::table_sheet_sizes::{APPLY_WIDTH, MergeSizes};
use crate::window::kit::theme::{color, hairline, strong_label};
use crate::window::sheets::compare::chooser::Chosen;
use crate::window::sheets::compare::rows::{column, second, text};
use crate::window::sheets::compare::{chooser, sentence, take_back};
use crate::window::state::compare_state::CompareMessage;
use crate::window::state::edits::MergeEdit;
use crate::window::state::outbox::Outbox;
use crate::window::views::view::View;

/// What the view keeps between frames.
#[derive(Default)]
pub(super) struct MergeView {
    merging: Merging,
    grid: MergedGrid,
}

impl MergeView {
    /// Draws the view into the rest of `ui`.
    pub(super) fn show(&mut self, ui: &mut egui::Ui, view: &View<'_>, outbox: &mut Outbox) {
        let (theme, sizes) = (view.theme, MergeSizes::of(view.theme));
        let whole = ui.available_rect_before_wrap().shrink2(vec2(theme.margin, 0.0));
        let merged = self.merging.get(view, ui.ctx());
        let head = Rect::from_min_size(whole.min, vec2(whole.width(), sizes.head_height));
        header(&mut part(ui, head), view, outbox);
        let foot = Rect::from_min_max(pos2(whole.left(), whole.bottom() - sizes.foot_height), whole.max);
        let body = Rect::from_min_max(head.left_bottom(), foot.right_top());
        let rule = hairline(color(theme.palette.rule));
        ui.painter().hline(ui.max_rect().x_range(), foot.top(), rule);
        match merged {
            Ok(Some(merged)) => self.body(ui, body, view, &merged, outbox),
            Ok(None) => told(ui, body, view, waiting(view)),
            Err(fault) => told(ui, body, view, &sentence(&fault.to_string())),
        }
        let settled = self.merging.is_settled();
        let merged = self.merging.get(view, ui.ctx()).ok().flatten();
        let mut row = part(ui, foot);
        show(&mut row, view, merged.as_deref().filter(|_| settled), outbox);
    }

    fn body(&mut self, ui: &mut egui::Ui, body: Rect, view: &View<'_>, merged: &Arc<Merged>, outbox: &mut Outbox) {
        let sizes = MergeSizes::of(view.theme);
        let gap = view.theme.margin * 2.0;
        let room = body.width() - gap - MergedGrid::least_width(ui, view, merged);
        let list_width = room.clamp(sizes.least_list_width, sizes.most_list_width);
        let split = body.right() - list_width;
        let left = Rect::from_min_max(body.min, pos2(split - gap, body.bottom()));
        let mut right = Rect::from_min_max(pos2(split, body.top()), body.max);
        self.grid.show(&mut part(ui, left), view, merged, outbox);
        if !merged.regions.is_empty() {
            let height = region_choices::height(view, merged.regions.len());
            let bottom = right.top() + height.min(right.height() * sizes.regions_share);
            let above = right.with_max_y(bottom);
            region_choices::show(&mut part(ui, above), view, merged, &mut self.grid, outbox);
            right.min.y = bottom + view.theme.margin;
        }
        conflict_list::show(&mut part(ui, right), view, merged, &mut self.grid, outbox);
    }
}

/// The text in place of a merge that is not there yet.
fn waiting(view: &View<'_>) -> &'static str {
    let chosen = view.screen.compare.merging.as_ref().is_some_and(|merging| merging.theirs.is_some());
    if chosen {
        "Merging…"
    } else {
        "Choose theirs: the other person's project, made from the same base as this one. What only one of you changed is \
         put together; where both of you changed the same thing, you decide here. Nothing is changed before you apply it."
    }
}

fn told(ui: &mut egui::Ui, body: Rect, view: &View<'_>, text: &str) {
    let mut ui = part(ui, body);
    ui.add_space(view.theme.margin);
    ui.set_max_width(MergeSizes::of(view.theme).reading_width);
    ui.add(Label::new(second(text, view.theme)).wrap());
}

/// Heading, the choice of base and theirs, the way out.
fn header(ui: &mut egui::Ui, view: &View<'_>, outbox: &mut Outbox) {
    let theme = view.theme;
    ui.add_space(theme.gap + TIGHT_GAP);
    ui.horizontal(|ui| {
        ui.set_height(theme.compare.header_height);
        strong_label(ui, "Merge into this project", theme.heading_font());
        ui.add_space(theme.margin);
        chooser::show(ui, view, Chosen::Base, outbox);
        chooser::show(ui, view, Chosen::Theirs, outbox);
        ui.with_layout(Layout::right_to_left(Align::Center), |ui| {
            let tooltip = "Go back to the comparison; nothing is merged.";
            if take_back::button(ui, ("Stop merging", 0.0), tooltip, None).clicked() {
                outbox.send(CompareMessage::StopMerging);
            }
        });
    });
}

/// A line of controls that share a rectangle.
fn line_of(ui: &mut egui::Ui, rect: Rect) -> egui::Ui {
    ui.new_child(UiBuilder::new().max_rect(rect).layout(Layout::left_to_right(Align::Center)))
}

/// Draws the line below the merge.
fn show(ui: &mut egui::Ui, view: &View<'_>, merged: Option<&Merged>, outbox: &mut Outbox) {
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
