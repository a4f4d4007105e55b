//! How to export the table, and a table file that was read, before it replaces the table.

use eframe::egui::{self, DragValue, Grid, RichText};

use crate::interchange::{AskMark, DecimalMark, LoadOrder, Separator, TableFile, WriteOptions};
use crate::project::cautions;
use crate::table::Axis;
use crate::window::frame::panels::{close, foot, replace};
use crate::window::kit::theme::frame_sizes::EXPORT_GRID;
use crate::window::kit::theme::{choose_as_in_forms, color};
use crate::window::state::dialogs::{Floating, ImportForm, ReadTable, with_loads, with_mark};
use crate::window::state::file_jobs::{FileJob, file_name};
use crate::window::state::grid_state::GridMessage;
use crate::window::state::outbox::{FileAction, Outbox};
use crate::window::views::grid::{mark_buttons, mark_question};
use crate::window::views::view::View;
use crate::wording::{Unit, given, quantity};

pub(super) fn show_import(ui: &mut egui::Ui, view: &View<'_>, outbox: &mut Outbox, form: &ImportForm) {
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

pub(super) fn show_export(ui: &mut egui::Ui, view: &View<'_>, outbox: &mut Outbox, before: WriteOptions) {
    let mut options = before;
    Grid::new("export").num_columns(2).spacing(EXPORT_GRID).show(ui, |ui| {
        ui.label("Loads");
        ui.horizontal(|ui| {
            choose_as_in_forms(ui, view.theme);
            let mut is_down = options.loads == LoadOrder::Down;
            ui.selectable_value(&mut is_down, false, "Lowest first").on_hover_text("The lowest load in the first row.");
            ui.selectable_value(&mut is_down, true, "Highest first")
                .on_hover_text("The highest load in the first row.");
            options = with_loads(options, is_down);
        });
        ui.end_row();
        ui.label("Rows");
        ui.horizontal(|ui| {
            choose_as_in_forms(ui, view.theme);
            ui.selectable_value(&mut options.transposed, false, "Loads").on_hover_text("Speeds across, loads down.");
            ui.selectable_value(&mut options.transposed, true, "Speeds").on_hover_text("Loads across, speeds down.");
            ui.checkbox(&mut options.breakpoints, "with breakpoints")
                .on_hover_text("Without, cells alone are written.");
        });
        ui.end_row();
        ui.label("Between fields");
        ui.horizontal(|ui| {
            choose_as_in_forms(ui, view.theme);
            separators(ui, &mut options);
        });
        ui.end_row();
        ui.label("Decimals");
        ui.horizontal(|ui| decimals(ui, &mut options));
        ui.end_row();
    });
    let is_plain =
        options == WriteOptions { separator: options.separator, mark: options.mark, ..WriteOptions::default() };
    let reads =
        if is_plain { "Import reads this file back exactly." } else { "Import may not read this form back exactly." };
    ui.label(RichText::new(reads).size(view.theme.small));
    ui.label(RichText::new(cautions::SHORT).size(view.theme.small)).on_hover_text(cautions::WHOLE.join("\n"));
    if foot(ui, outbox, "Choose a file…", "Choose where to write the table.", None) {
        outbox.file(FileAction::Choose(FileJob::ExportTable(options)));
    }
    if options != before {
        if options.mark != before.mark {
            outbox.send(GridMessage::Mark(options.mark));
        }
        replace(outbox, Floating::Export(options));
    }
}

fn separators(ui: &mut egui::Ui, options: &mut WriteOptions) {
    let is_comma = options.mark == DecimalMark::Comma;
    let plain = if is_comma { (Separator::Semicolon, "Semicolons") } else { (Separator::Comma, "Commas") };
    ui.selectable_value(&mut options.separator, plain.0, plain.1).on_hover_text("As in .csv files.");
    ui.selectable_value(&mut options.separator, Separator::Tab, "Tabs").on_hover_text("As in .tsv files.");
    let mut wants_comma = is_comma;
    ui.checkbox(&mut wants_comma, "decimal comma").on_hover_text("28,5 instead of 28.5.");
    if wants_comma != is_comma {
        *options = with_mark(*options, if wants_comma { DecimalMark::Comma } else { DecimalMark::Point });
    }
}

fn decimals(ui: &mut egui::Ui, options: &mut WriteOptions) {
    let mut is_rounded = options.decimals.is_some();
    ui.checkbox(&mut is_rounded, "rounded to").on_hover_text("Otherwise every digit that counts is written.");
    let mut decimals = options.decimals.unwrap_or(1);
    let drag = DragValue::new(&mut decimals).range(0..=6);
    ui.add_enabled(is_rounded, drag).accessible_name("Decimals").on_disabled_hover_text("Nothing is rounded.");
    options.decimals = is_rounded.then_some(decimals);
}
