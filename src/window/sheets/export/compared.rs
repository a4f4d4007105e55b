//! How a file differs from the project, number by number.

use eframe::egui::{self, Label, RichText, Role, ScrollArea, Sense, WidgetInfo, vec2};

use super::kept::Kept;
use super::kept::pick;
use crate::image::stored_words;
use crate::window::kit::theme::{color, elided, strong_label};
use crate::window::state::export_state::CompareFound;
use crate::window::state::file_jobs::{FileJob, file_name};
use crate::window::state::outbox::{FileAction, Outbox};
use crate::window::views::view::View;

/// Draws the comparison into the rest of `ui`.
pub(super) fn show(ui: &mut egui::Ui, view: &View<'_>, kept: &Kept, outbox: &mut Outbox) {
    let theme = view.theme;
    let Some(compared) = &view.screen.export.compared else {
        ui.add(
            Label::new("Compare the project with a file that is or was in a unit: Intel HEX, S-record or binary.")
                .wrap(),
        );
        button(ui, outbox, "Compare with a file…");
        return;
    };
    let name = file_name(&compared.path);
    let is_old = !compared.project.is_same(view.document.project());
    let (words, is_same) = words(compared);
    strong_label(ui, format!("{name}: {words}"), theme.heading_font());
    if is_old {
        let old = "The project has changed since; compare again to see how it is now.";
        ui.label(RichText::new(old).size(theme.small).color(color(theme.palette.warning)));
    }
    ui.horizontal(|ui| {
        let again = ui
            .button("Compare again")
            .on_hover_text("Read the file again and compare it with the project as it is now.");
        if again.clicked() {
            outbox.file(FileAction::Do(FileJob::CompareImage, compared.path.clone()));
        }
        button(ui, outbox, "Another file…");
    });
    if !is_same {
        differences(ui, view, kept, compared, outbox);
    }
}

fn button(ui: &mut egui::Ui, outbox: &mut Outbox, text: &str) {
    if ui.button(text).on_hover_text("Choose an image file and compare it with the project, item by item.").clicked() {
        outbox.file(FileAction::Choose(FileJob::CompareImage));
    }
}

fn words(compared: &CompareFound) -> (String, bool) {
    match &compared.found {
        Err(why) => (why.to_string(), false),
        Ok((format, comparison)) if comparison.is_same() => (format!("{format}, the same in every number"), true),
        Ok((format, comparison)) => (format!("{format}, {} numbers differ", comparison.differences.len()), false),
    }
}

fn differences(ui: &mut egui::Ui, view: &View<'_>, kept: &Kept, compared: &CompareFound, outbox: &mut Outbox) {
    let theme = view.theme;
    let Ok((_, comparison)) = &compared.found else {
        let told = "Nothing was compared. The words above name the line or the address; the project is as it was.";
        ui.add(Label::new(RichText::new(told).size(theme.small)).wrap());
        return;
    };
    for words in comparison.mismatch.iter().map(ToString::to_string) {
        ui.add(Label::new(RichText::new(format!("Problem: {words}")).color(color(theme.palette.error))).wrap());
    }
    if let Some(stray) = comparison.stray {
        ui.label(format!("{} bytes of no item differ, the first at {:04X}.", stray.bytes, stray.first));
    }
    ui.spacing_mut().item_spacing.y = 0.0;
    let height = theme.export.line_height;
    let rows = comparison.differences.len();
    ScrollArea::vertical().id_salt("differences of the file").auto_shrink(false).show_rows(
        ui,
        height,
        rows,
        |ui, rows| {
            for difference in comparison.differences.get(rows).unwrap_or_default() {
                let (rect, response) = ui.allocate_exact_size(vec2(ui.available_width(), height), Sense::click());
                let [ours, theirs] = [difference.expected_value, difference.found_value]
                    .map(|value| stored_words(value, difference.unit));
                let place = difference.place.to_string();
                let words = format!("{}{place}: project {ours}, file {theirs}", difference.item);
                response.widget_info(|| WidgetInfo::labeled(Role::ListItem, true, &words));
                if response.hovered() {
                    ui.painter().rect_filled(rect, 0.0, color(theme.palette.field_hover));
                }
                let line = elided(ui, rect, &words, theme.body_font());
                line.paint(ui, egui::Align::Min, color(theme.palette.ink));
                if line.tip_on(response).on_hover_text("Select this number.").clicked() {
                    pick(kept, difference.address, outbox);
                }
            }
        },
    );
}
