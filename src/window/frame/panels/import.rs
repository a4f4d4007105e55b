//! A table file that was read, before it replaces the table.

use eframe::egui::{self, RichText};

use super::{close, foot};
use crate::interchange::{AskMark, DecimalMark, Separator, TableFile};
use crate::table::Axis;
use crate::window::kit::theme::color;
use crate::window::state::dialogs::{ImportForm, ReadTable};
use crate::window::state::file_jobs::{FileJob, file_name};
use crate::window::state::outbox::{FileAction, Outbox};
use crate::window::views::grid::{mark_buttons, mark_question};
use crate::window::views::view::View;
use crate::wording::{Unit, given, quantity};

pub(super) fn show(ui: &mut egui::Ui, view: &View<'_>, outbox: &mut Outbox, form: &ImportForm) {
    let name = file_name(&form.path);
    ui.label(&name).on_hover_text(form.path.display().to_string());
    match &form.read {
        ReadTable::Found(file) => found(ui, view, outbox, file, form.refusal.as_deref()),
        ReadTable::Ask { question, .. } => asked(ui, view, outbox, question),
        ReadTable::Refused(why) => refused(ui, view, outbox, why),
    }
}

fn found(ui: &mut egui::Ui, view: &View<'_>, outbox: &mut Outbox, file: &TableFile, refusal: Option<&str>) {
    let table = file.table();
    let unit = view.project.sensors.load.unit();
    ui.label(span("Speeds", table.speed(), Unit::Rpm));
    ui.label(span("Loads", table.load(), unit));
    let values = table.values();
    let least = values.iter().copied().fold(f64::INFINITY, f64::min);
    let greatest = values.iter().copied().fold(f64::NEG_INFINITY, f64::max);
    ui.label(format!("Advance {} to {} before TDC", quantity(least, Unit::Degree), quantity(greatest, Unit::Degree)));
    let separator = match file.separator() {
        Separator::Comma => "commas",
        Separator::Semicolon => "semicolons",
        Separator::Tab => "tabs",
    };
    let mark = if file.decimal_mark() == Some(DecimalMark::Comma) { ", decimal comma" } else { "" };
    let told = format!("Read with {separator} between fields{mark}. It replaces the table as one step; held marks go.");
    ui.label(RichText::new(told).size(view.theme.small).color(color(view.theme.palette.ink_secondary)));
    if let Some(why) = refusal {
        ui.label(RichText::new(format!("Problem: {why}")).color(color(view.theme.palette.error)));
    }
    if foot(ui, outbox, "Import", "Replace the advance table, as one step.", None) {
        outbox.file(FileAction::ImportTable);
    }
}

fn asked(ui: &mut egui::Ui, view: &View<'_>, outbox: &mut Outbox, question: &AskMark) {
    ask_mark(ui, view, outbox, question, FileAction::ReadTableAs);
}

/// Asks whether marks separate thousands or decimals; nothing is read before that is known.
pub(super) fn ask_mark(
    ui: &mut egui::Ui,
    view: &View<'_>,
    outbox: &mut Outbox,
    question: &AskMark,
    answer: impl FnOnce(DecimalMark) -> FileAction,
) {
    ui.label(mark_question(question.place.text.trim()));
    let place = format!(
        "Line {}, column {}; no other number tells. Nothing was changed.",
        question.place.line, question.place.column
    );
    ui.label(RichText::new(place).size(view.theme.small).color(color(view.theme.palette.ink_secondary)));
    ui.horizontal(|ui| {
        if let Some(mark) = mark_buttons(ui, question.point, question.comma) {
            outbox.file(answer(mark));
        }
        if ui.button("Cancel").on_hover_text("Put this away; nothing happens. (Esc)").clicked() {
            close(outbox);
        }
    });
}

fn refused(ui: &mut egui::Ui, view: &View<'_>, outbox: &mut Outbox, why: &str) {
    ui.label(RichText::new(format!("Problem: {why}")).color(color(view.theme.palette.error)));
    ui.label(
        RichText::new(
            "Wanted: a first row of speeds, then rows of a load and its cells, loads ascending. Nothing was changed.",
        )
        .size(view.theme.small),
    );
    ui.horizontal(|ui| {
        if ui.button("Choose another…").on_hover_text("Choose another table file.").clicked() {
            close(outbox);
            outbox.file(FileAction::Choose(FileJob::ImportTable));
        }
        if ui.button("Cancel").on_hover_text("Put this away; nothing happens. (Esc)").clicked() {
            close(outbox);
        }
    });
}

fn span(name: &str, axis: &Axis, unit: Unit) -> String {
    let points = axis.breakpoints();
    let ends = points.first().zip(points.last());
    let ends =
        ends.map_or_else(String::new, |(first, last)| format!("{} to {}", given(*first, unit), quantity(*last, unit)));
    format!("{name} {ends}, {} breakpoints", points.len())
}
