//! Demands that cannot all be kept: each with what would end it, and a button that does it.

use eframe::egui::{self, Button, RichText};

use super::clauses;
use crate::shaping::{Clash, Contradiction, DemandKind, Tool};
use crate::table::{Cell, Selection};
use crate::window::kit::theme::{color, strong_label};
use crate::window::state::inspector_state::InspectorMessage;
use crate::window::state::outbox::Outbox;
use crate::window::state::screen::ScreenMessage;
use crate::window::state::selection::CellSelection;
use crate::window::views::inspector::proposal_words::{self, Words};
use crate::window::views::view::View;
use crate::wording::capital;

pub(super) fn show(ui: &mut egui::Ui, view: &View<'_>, contradiction: &Contradiction, outbox: &mut Outbox) {
    let theme = view.theme;
    proposal_words::show(ui, theme, &Words::warning(format!("{}.", capital(&contradiction.heading()))));
    ui.add_space(theme.gap);
    strong_label(ui, "Any one of these ends it", theme.small_font());
    for (place, clash) in contradiction.demands.iter().enumerate() {
        ui.push_id(place, |ui| demand(ui, view, clash, outbox));
    }
    let weak = color(theme.palette.ink_secondary);
    ui.label(RichText::new("Another contradiction may stand behind it.").size(theme.small).color(weak));
}

fn demand(ui: &mut egui::Ui, view: &View<'_>, clash: &Clash, outbox: &mut Outbox) {
    let theme = view.theme;
    ui.separator();
    ui.add(egui::Label::new(capital(&clash.words)).wrap().selectable(false));
    let weak = color(theme.palette.ink_secondary);
    if !clash.remedy.is_empty() {
        let remedy = RichText::new(format!("{}.", capital(&clash.remedy))).size(theme.small).color(weak);
        ui.add(egui::Label::new(remedy).wrap().selectable(false));
    }
    ui.horizontal(|ui| {
        if let Some(clause) = clauses::clause_of(clash.kind)
            && ui.add(Button::new("Leave it out")).on_hover_text("Switches this clause off.").clicked()
        {
            outbox.send(InspectorMessage::SwitchClause(clause));
        }
        if clash.kind == DemandKind::Held
            && ui.add(Button::new("Release")).on_hover_text("Releases these held cells, as one step.").clicked()
        {
            outbox.shape(Tool::Release, selection(view, &clash.cells));
        }
        let cells = &clash.cells;
        if !cells.is_empty() && ui.add(Button::new("Show")).on_hover_text("Moves the cursor to these cells.").clicked()
        {
            go_to(view, cells, outbox);
        }
    });
}

fn selection(view: &View<'_>, cells: &[Cell]) -> Selection {
    let table = view.settled().advance.table();
    let mut chosen = Selection::none(table.load().len(), table.speed().len());
    chosen.extend(cells.iter().copied());
    chosen
}

/// Points at the first of the cells; what is selected stays, since it is what is faired.
fn go_to(view: &View<'_>, cells: &[Cell], outbox: &mut Outbox) {
    let Some(&first) = cells.first() else { return };
    let now = view.selection;
    outbox.send(ScreenMessage::Select(CellSelection { cursor: first, ..now.clone() }));
}
