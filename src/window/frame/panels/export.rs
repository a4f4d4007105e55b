//! How to export the table.

use eframe::egui::{self, DragValue, Grid, RichText};

use super::{foot, replace};
use crate::interchange::{DecimalMark, LoadOrder, Separator, WriteOptions};
use crate::project::cautions;
use crate::window::kit::theme::gaps::EXPORT_GRID;
use crate::window::state::dialogs::{Floating, with_loads, with_mark};
use crate::window::state::file_jobs::FileJob;
use crate::window::state::grid_state::GridMessage;
use crate::window::state::outbox::{FileAction, Outbox};
use crate::window::views::view::View;

pub(super) fn show(ui: &mut egui::Ui, view: &View<'_>, outbox: &mut Outbox, before: WriteOptions) {
    let mut options = before;
    Grid::new("export").num_columns(2).spacing(EXPORT_GRID).show(ui, |ui| {
        ui.label("Loads");
        ui.horizontal(|ui| {
            let mut is_down = options.loads == LoadOrder::Down;
            ui.selectable_value(&mut is_down, false, "Lowest first").on_hover_text("The lowest load in the first row.");
            ui.selectable_value(&mut is_down, true, "Highest first")
                .on_hover_text("The highest load in the first row.");
            options = with_loads(options, is_down);
        });
        ui.end_row();
        ui.label("Rows");
        ui.horizontal(|ui| {
            ui.selectable_value(&mut options.transposed, false, "Loads").on_hover_text("Speeds across, loads down.");
            ui.selectable_value(&mut options.transposed, true, "Speeds").on_hover_text("Loads across, speeds down.");
            ui.checkbox(&mut options.breakpoints, "with breakpoints")
                .on_hover_text("Without, cells alone are written.");
        });
        ui.end_row();
        ui.label("Between fields");
        ui.horizontal(|ui| separators(ui, &mut options));
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
