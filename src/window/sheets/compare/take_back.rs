//! Taking parts of the base back: what the buttons ask for.

use eframe::egui;

use super::comparing::Compared;
use crate::compare::{
    FieldDifference, Section, TakeBackError, TakenBack, take_back_cells, take_back_fields, take_back_sections,
};
use crate::project::Project;
use crate::table::Selection;
use crate::window::commands::Command;
use crate::window::{Outbox, View};

/// Why the selected cells and those of a region cannot be taken back, kept for the selection it was found for.
#[derive(Default)]
pub(super) struct Reasons {
    found_for: Option<(Project, Project, Selection, Selection)>,
    selected: Option<String>,
    region: Option<String>,
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
    if button(ui, "Take back selected cells", &tooltip, reasons.selected.as_ref()) {
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
    if button(ui, &text, "Take the base's values for the region under the cursor, else the largest.", reason.as_ref()) {
        ask(view, outbox, move |base, edited, name| take_back_cells(base, edited, &region_cells, name));
    }
}

/// A button with a tooltip; disabled with the reason as tooltip.
pub(super) fn button(ui: &mut egui::Ui, text: &str, tooltip: &str, reason: Option<&String>) -> bool {
    let response = ui.add_enabled(reason.is_none(), egui::Button::new(text));
    match reason {
        Some(reason) => response.on_disabled_hover_text(reason).clicked(),
        None => response.on_hover_text(tooltip).clicked(),
    }
}

/// Asks to take fields back in one step.
pub(super) fn fields(view: &View<'_>, fields: Vec<FieldDifference>, outbox: &mut Outbox) {
    ask(view, outbox, move |base, edited, name| {
        let fields: Vec<&FieldDifference> = fields.iter().collect();
        take_back_fields(base, edited, &fields, name)
    });
}

/// Asks to take a section back. The advance section's cells stand in the grid; here only its other fields are meant.
pub(super) fn section(view: &View<'_>, section: Section, its_fields: &[FieldDifference], outbox: &mut Outbox) {
    if section == Section::Advance {
        return fields(view, its_fields.to_vec(), outbox);
    }
    ask(view, outbox, move |base, edited, name| take_back_sections(base, edited, &[section], name));
}

/// Asks for the edit under the label that it gives itself; a refusal is told at once.
fn ask(
    view: &View<'_>,
    outbox: &mut Outbox,
    take: impl Fn(&Project, &Project, &str) -> Result<TakenBack, TakeBackError> + 'static,
) {
    let base = view.base.clone();
    match take(&base.project, view.document.project(), &base.name) {
        Ok(taken) => {
            outbox.edit(taken.label.clone(), move |project| {
                take(&base.project, project, &base.name).map(|taken| taken.project).map_err(|error| error.to_string())
            });
            let told = if taken.cells.selected() > 0 { taken.cells.to_string() } else { taken.label };
            outbox.say(told);
        }
        Err(error) => outbox.complain(error.to_string()),
    }
}
