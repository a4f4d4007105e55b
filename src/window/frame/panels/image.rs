//! An image file that was read, before its values are taken over.

use eframe::egui::{self, Label, RichText, ScrollArea};

use super::{close, foot};
use crate::window::kit::theme::color;
use crate::window::kit::theme::frame_sizes::IMAGE_FIELDS_HEIGHT;
use crate::window::state::export_state::{ImageRead, ImageRefusal, ImageValues};
use crate::window::state::file_jobs::{FileJob, file_name};
use crate::window::state::outbox::{FileAction, Outbox};
use crate::window::views::view::View;

pub(super) fn show(ui: &mut egui::Ui, view: &View<'_>, outbox: &mut Outbox, read: &ImageRead) {
    ui.label(file_name(&read.path)).on_hover_text(read.path.display().to_string());
    match &read.read {
        Ok(values) => found(ui, view, outbox, values),
        Err(refusal) => refused(ui, view, outbox, refusal),
    }
}

fn found(ui: &mut egui::Ui, view: &View<'_>, outbox: &mut Outbox, values: &ImageValues) {
    let theme = view.theme;
    let small = |words: String| RichText::new(words).size(theme.small).color(color(theme.palette.ink_secondary));
    let words = format!(
        "{}: {} cells of the table and {} other fields differ.",
        values.format,
        values.cells,
        values.fields.len()
    );
    ui.add(Label::new(words).wrap());
    ScrollArea::vertical().id_salt("fields of the image read").max_height(IMAGE_FIELDS_HEIGHT).show(ui, |ui| {
        for path in &values.fields {
            ui.label(small(path.clone()));
        }
    });
    for remark in &values.remarks {
        ui.add(Label::new(RichText::new(format!("Note: {remark}.")).color(color(theme.palette.warning))).wrap());
    }
    ui.add(Label::new(small("Its values replace the project's as one step; held marks stay.".into())).wrap());
    let same = values.cells == 0 && values.fields.is_empty();
    let refusal = same.then_some("the project has these values already");
    if foot(ui, outbox, "Take over", "Replace the project's values by the image's, as one step.", refusal) {
        outbox.file(FileAction::TakeImage);
    }
}

fn refused(ui: &mut egui::Ui, view: &View<'_>, outbox: &mut Outbox, refusal: &ImageRefusal) {
    let words = RichText::new(format!("Problem: {}", refusal.words)).color(color(view.theme.palette.error));
    ui.add(Label::new(words).wrap());
    ui.label(RichText::new("Nothing was changed.").size(view.theme.small));
    ui.horizontal(|ui| {
        if refusal.is_checksum {
            let told =
                "Read the values although the stored checksum says that the image is damaged or of another layout.";
            if ui.button("Read it despite the wrong checksum").on_hover_text(told).clicked() {
                outbox.file(FileAction::AcceptChecksum);
            }
        }
        if ui.button("Choose another…").on_hover_text("Choose another image file.").clicked() {
            close(outbox);
            outbox.file(FileAction::Choose(FileJob::ReadImage));
        }
        if ui.button("Cancel").on_hover_text("Put this away; nothing happens. (Esc)").clicked() {
            close(outbox);
        }
    });
}
