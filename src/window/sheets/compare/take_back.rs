//! Taking parts of the base back: what the buttons ask for.

use eframe::egui::{self, Rect};

use super::comparing::Compared;
use crate::compare::{FieldDifference, Region, Section, take_back_cells};
use crate::project::Project;
use crate::table::Selection;
use crate::window::kit::theme::table_sheet_sizes::REGION_WIDTH;
use crate::window::state::commands::Command;
use crate::window::state::edits::{TakeBackEdit, TakenParts};
use crate::window::state::outbox::Outbox;
use crate::window::views::view::View;

/// Why the selected cells and those of a region cannot be taken back, cached for the selection it was found
/// for.
#[derive(Default)]
pub(super) struct Reasons {
    found_for: Option<(Project, Project, Selection, Selection)>,
    selected: Option<String>,
    region: Option<String>,
    /// Where the button of the region was drawn, and which region it offered when the pointer entered it.
    button: Option<Rect>,
    offered: Option<Selection>,
}

impl Reasons {
    fn find(&mut self, compared: &Compared, selected: &Selection, region: &Selection) {
        let (base, edited) = (compared.base(), compared.edited());
        let is_found = self.found_for.as_ref().is_some_and(|(of_base, of_edited, of_selected, of_region)| {
            of_base.is_same(base) && of_edited.is_same(edited) && of_selected == selected && of_region == region
        });
        if is_found {
            return;
        }
        let why = |cells: &Selection| take_back_cells(base, edited, cells, "").err().map(|error| error.to_string());
        (self.selected, self.region) = (why(selected), why(region));
        self.found_for = Some((base.clone(), edited.clone(), selected.clone(), region.clone()));
    }

    /// Whether the button now offers another region than when the pointer entered it: a second click is not
    /// meant for that one.
    fn is_another(&mut self, ui: &egui::Ui, region: &Selection) -> bool {
        if !self.button.is_some_and(|rect| ui.rect_contains_pointer(rect)) {
            self.offered = None;
            return false;
        }
        self.offered.get_or_insert_with(|| region.clone()) != region
    }
}

/// The row of buttons below the grid.
pub(super) fn buttons(
    ui: &mut egui::Ui,
    view: &View<'_>,
    compared: &Compared,
    reasons: &mut Reasons,
    outbox: &mut Outbox,
) {
    let selected = &view.screen.selection.cells;
    let region = compared.meant_region(view.screen.selection.cursor);
    let region_cells = region.map_or_else(|| Selection::none(0, 0), |(_, region)| compared.cells_of(region));
    reasons.find(compared, selected, &region_cells);
    let tooltip = view.keys.tooltip(Command::TakeBack);
    let is_under_cursor = compared.chosen_region(view.screen.selection.cursor).is_some();
    if button(ui, ("Take back selected cells", 0.0), &tooltip, reasons.selected.as_ref()).clicked() {
        outbox.run(Command::TakeBack);
    }
    let (text, reason) = match region {
        Some((number, _)) => (format!("Take back region {}", number + 1), reasons.region.clone()),
        None => ("Take back region".to_owned(), Some("there is no region: no point reaches the threshold".to_owned())),
    };
    let reason = reason.map(|reason| {
        let between = "the region lies between this table's breakpoints: it has no cell to take back";
        if region_cells.is_empty() && region.is_some() { between.to_owned() } else { reason }
    });
    let another = reasons
        .is_another(ui, &region_cells)
        .then(|| "that region is done; move the pointer away and back for the next".to_owned());
    let told = match is_under_cursor {
        true => view.keys.tooltip(Command::TakeBackRegion),
        false => "Take the base's values for the largest region; the cursor is in none.".to_owned(),
    };
    let response = button(ui, (&text, REGION_WIDTH), &told, another.or(reason).as_ref());
    reasons.button = Some(response.rect);
    if response.clicked() {
        ask(view, outbox, TakenParts::Cells(region_cells));
    }
}

/// Asks to take a region back in one step.
pub(super) fn region(view: &View<'_>, compared: &Compared, region: &Region, outbox: &mut Outbox) {
    let cells = compared.cells_of(region);
    if cells.is_empty() {
        return outbox.complain("This region lies between this table's breakpoints: it has no cell to take back");
    }
    ask(view, outbox, TakenParts::Cells(cells));
}

/// A button, its text with its least width, and a tooltip; disabled with the reason as tooltip.
pub(super) fn button(
    ui: &mut egui::Ui,
    (text, least_width): (&str, f32),
    tooltip: &str,
    reason: Option<&String>,
) -> egui::Response {
    let button = egui::Button::new(text).min_size(egui::vec2(least_width, 0.0));
    let response = ui.add_enabled(reason.is_none(), button);
    match reason {
        Some(reason) => response.on_disabled_hover_text(reason),
        None => response.on_hover_text(tooltip),
    }
}

/// Asks to take fields back in one step.
pub(super) fn fields(view: &View<'_>, fields: Vec<FieldDifference>, outbox: &mut Outbox) {
    ask(view, outbox, TakenParts::Fields(fields));
}

/// Requests taking a section back. The advance section's cells are in the grid; here only its other fields are
/// meant.
pub(super) fn section(view: &View<'_>, section: Section, its_fields: &[FieldDifference], outbox: &mut Outbox) {
    if section == Section::Advance {
        return fields(view, its_fields.to_vec(), outbox);
    }
    ask(view, outbox, TakenParts::Section(section));
}

/// Asks for the edit under the label that it gives itself; a refusal is told at once.
fn ask(view: &View<'_>, outbox: &mut Outbox, parts: TakenParts) {
    let edit = TakeBackEdit { parts, name: view.base.name.clone(), base: view.base.project.clone() };
    match edit.take(view.document.project()) {
        Ok(taken) => {
            outbox.edit(taken.label.clone(), edit);
            let told = if taken.cells.selected() > 0 { taken.cells.to_string() } else { taken.label };
            outbox.say(told);
        }
        Err(error) => outbox.complain(error.to_string()),
    }
}
