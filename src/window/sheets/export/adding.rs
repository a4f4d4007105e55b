//! What can be started from, and what can be added: everything a unit needs.

use eframe::egui::{self, Popup, PopupCloseBehavior, RichText, ScrollArea, TextEdit};

use super::kept::Kept;
use crate::image::add_item;
use crate::project::{Content, FieldKind, StartingLayout, Tree, field};
use crate::window::kit::theme::color;
use crate::window::kit::theme::engine_sheet_sizes::{ADDING_FIELDS_HEIGHT, ADDING_WIDTH};
use crate::window::kit::theme::kit_sizes::ENTRY_GAP;
use crate::window::state::edits::ImageEdit;
use crate::window::state::export_state::{ExportMessage, Part};
use crate::window::state::outbox::Outbox;
use crate::window::views::view::View;

/// Every content with what people call it.
const CONTENTS: [(Content, &str); 19] = [
    (Content::AdvanceCells, "Advance table: cells"),
    (Content::AdvanceSpeeds, "Advance table: speeds"),
    (Content::AdvanceLoads, "Advance table: loads"),
    (Content::CoolantTrimTemperatures, "Coolant trim: temperatures"),
    (Content::CoolantTrimDegrees, "Coolant trim: degrees"),
    (Content::AirTrimTemperatures, "Air trim: temperatures"),
    (Content::AirTrimDegrees, "Air trim: degrees"),
    (Content::DwellVoltages, "Dwell: battery voltages"),
    (Content::DwellTimes, "Dwell: times"),
    (Content::CoolantWeightLoads, "Coolant trim's weight: loads"),
    (Content::CoolantWeights, "Coolant trim's weight: weights"),
    (Content::AirWeightLoads, "Air trim's weight: loads"),
    (Content::AirWeights, "Air trim's weight: weights"),
    (Content::MarginLoads, "Safety margin: loads"),
    (Content::MarginDegrees, "Safety margin: degrees"),
    (Content::FullLoadSpeeds, "Full-load line: speeds"),
    (Content::FullLoadDegrees, "Full-load line: degrees"),
    (Content::FullLoadLessLoads, "Full-load line, less by load: loads"),
    (Content::FullLoadLessDegrees, "Full-load line, less by load: degrees"),
];

/// The button with the ready-made layouts.
pub(super) fn starting_layouts(ui: &mut egui::Ui, view: &View<'_>, outbox: &mut Outbox) {
    let button = ui.button("Start from…").on_hover_text("Replace the layout by a ready-made one, as one step.");
    Popup::menu(&button).width(ADDING_WIDTH).accessible_name("Ready-made layouts").show(|ui| {
        ui.set_max_width(ADDING_WIDTH);
        for layout in StartingLayout::ALL {
            let is_now = view.project.image == layout.layout(view.project.sensors.load);
            let response = ui.selectable_label(is_now, layout.name()).on_hover_text(layout.description());
            ui.label(small(view, layout.description()));
            if response.clicked() && !is_now {
                let label = format!("Start the image from the layout '{}'", layout.name());
                outbox.edit(label, ImageEdit::Start(layout));
                outbox.send(ExportMessage::Select(Part::Whole, None));
                outbox.send(ExportMessage::Detail(None));
            }
        }
        ui.label(small(
            view,
            "Of no unit in particular: change them to what yours wants. Undo brings the old layout back.",
        ));
    });
}

/// The button with everything that can be an item.
pub(super) fn items(ui: &mut egui::Ui, view: &View<'_>, kept: &Kept, outbox: &mut Outbox) {
    let button = ui.button("Add…").on_hover_text("Add an item to the image, in the first gap that has room for it.");
    Popup::from_toggle_button_response(&button)
        .close_behavior(PopupCloseBehavior::CloseOnClickOutside)
        .width(ADDING_WIDTH)
        .accessible_name("Items to add")
        .show(|ui| {
            ui.set_max_width(ADDING_WIDTH);
            ui.spacing_mut().item_spacing.y = ENTRY_GAP;
            for (content, words) in CONTENTS {
                entry(ui, view, kept, outbox, (content, String::new(), words.to_owned()));
            }
            ui.separator();
            single_numbers(ui, view, kept, outbox);
        });
}

fn single_numbers(ui: &mut egui::Ui, view: &View<'_>, kept: &Kept, outbox: &mut Outbox) {
    let mut text = view.screen.export.finding.clone();
    let hint = "any number of the project: limit, offset, output…";
    let response = ui.add(TextEdit::singleline(&mut text).hint_text(hint).desired_width(f32::INFINITY));
    ui.ctx().accesskit_node_builder(response.id, |node| node.set_label("Find a number of the project"));
    let response = response.on_hover_text("Type a part of a name to find it.");
    if response.changed() {
        outbox.send(ExportMessage::Find(text.clone()));
    }
    let wanted: Vec<String> = text.to_lowercase().split_whitespace().map(str::to_owned).collect();
    let found: Vec<(String, String)> = numbers(view)
        .into_iter()
        .filter(|(path, words)| {
            let all = format!("{path} {words}").to_lowercase();
            wanted.iter().all(|word| all.contains(word))
        })
        .collect();
    ScrollArea::vertical().id_salt("numbers to add").max_height(ADDING_FIELDS_HEIGHT).show(ui, |ui| {
        if found.is_empty() {
            ui.label(small(view, "No number of the project is called so."));
        }
        for (path, words) in found {
            entry(ui, view, kept, outbox, (Content::Field, path, words));
        }
    });
}

/// Every single number of the project with its path and words; not those of the image itself.
fn numbers(view: &View<'_>) -> Vec<(String, String)> {
    let mut found = Vec::new();
    view.field_tree().walk(&mut |path, value| {
        let known = field(path).filter(|_| !path.starts_with("image.") && !path.starts_with("advance."));
        let Some(known) = known else { return };
        let is_number = matches!(
            known.kind,
            FieldKind::Number { .. } | FieldKind::Whole { .. } | FieldKind::Flag | FieldKind::Choice(_)
        );
        if is_number && !matches!(value, Tree::Absent) {
            found.push((path.to_owned(), known.label.to_owned()));
        }
    });
    found
}

fn entry(
    ui: &mut egui::Ui,
    view: &View<'_>,
    kept: &Kept,
    outbox: &mut Outbox,
    (content, path, words): (Content, String, String),
) {
    let held = kept.project.image.items.iter().any(|item| item.content == content && item.field == path);
    let told = if path.is_empty() { words.clone() } else { format!("{words} ({path})") };
    let text = if held { format!("{words} — in the image already") } else { words.clone() };
    let response = ui.selectable_label(false, text).on_hover_text(format!("Add to the image: {told}"));
    if !path.is_empty() {
        ui.label(small(view, &path));
    }
    if !response.clicked() {
        return;
    }
    match add_item(view.document.project(), content, &path) {
        Err(error) => outbox.complain(error.to_string()),
        Ok((added, place)) => {
            let name = added.image.items.get(place).map_or_else(String::new, |item| item.name.clone());
            let byte = added.image.items.get(place).map(|item| u64::from(item.address));
            outbox.edit(format!("Add '{name}' to the image"), ImageEdit::Add(content, path));
            outbox.send(ExportMessage::Select(Part::Item(place), byte));
            ui.close();
        }
    }
}

fn small(view: &View<'_>, words: &str) -> RichText {
    RichText::new(words).size(view.theme.small).color(color(view.theme.palette.ink_secondary))
}
