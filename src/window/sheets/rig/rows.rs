//! The rows of the run, to be typed over or pasted from a spreadsheet.

use eframe::egui::{self, Align, Button, Label, Layout, Rect, RichText, ScrollArea, Sense, UiBuilder, pos2, vec2};

use super::row_changes::{COLUMNS, LAUNCH, Shown, block, number, read, shown, text, unit};
use super::trace_view::head;
use crate::interchange::{DecimalMark, RUN_COLUMNS, read_run_as};
use crate::project::KeptRow;
use crate::window::kit::theme::color;
use crate::window::kit::theme::engine_sheet_sizes::{
    RIG_CHOOSER, RIG_FIELD, RIG_FIELD_GAP, RIG_ROW_NUMBER, RIG_ROW_NUMBER_GAP, RIG_ROW_TOOL, RIG_STRIP_HEAD, RUN_FOOT,
    RUN_ROW,
};
use crate::window::kit::theme::kit_sizes::HAIRLINE;
use crate::window::state::commands::Command;
use crate::window::state::dialogs::{DialogMessage, Doubtful, Floating, MarksForm};
use crate::window::state::edits::{EditedRun, RowsEdit, RunEdit};
use crate::window::state::outbox::{Action, Outbox};
use crate::window::state::rig_state::{RigMessage, RunChoice};
use crate::window::views::form::{self, Entry, Meaning};
use crate::window::views::view::View;
use crate::wording::{Refusal, Unit, count, quantity, settle, shortest, written};

/// Asks for a change of the rows as one step, and has the run of the project drive the rig.
fn ask(outbox: &mut Outbox, target: &EditedRun, label: String, edit: RowsEdit) {
    outbox.edit(label, RunEdit::Rows(target.clone(), edit));
    outbox.send(RigMessage::ChooseKept(target.name().to_owned()));
}

/// Where a column stands in a row: headings and fields ask here.
fn place(row: Rect, column: usize) -> Rect {
    #[expect(clippy::cast_precision_loss, reason = "eight columns")]
    let left = row.left() + RIG_ROW_NUMBER + column as f32 * (RIG_FIELD + RIG_FIELD_GAP);
    Rect::from_min_size(pos2(left, row.top() + HAIRLINE), vec2(RIG_FIELD, row.height() - 2.0 * HAIRLINE))
}

fn key(row: usize, column: usize) -> String {
    format!("run row {row} {column}")
}

/// What the rows keep between frames: nothing that belongs to the project.
#[derive(Default)]
pub(super) struct RowsView {
    /// Which field had the keyboard last, for pasting.
    focused: Option<(usize, usize)>,
}

impl RowsView {
    /// The time of the row that is being typed, in s.
    pub(super) fn chosen_s(&self, ctx: &egui::Context, view: &View<'_>) -> Option<f64> {
        let (at, column) = self.focused?;
        if !ctx.memory(|memory| memory.has_focus(form::id(&key(at, column)))) {
            return None;
        }
        view.screen.rig.run.as_ref().ok()?.rows().get(at).map(|row| row.time_s)
    }

    pub(super) fn show(&mut self, ui: &mut egui::Ui, view: &View<'_>, outbox: &mut Outbox) {
        let shown = shown(view);
        let whole = ui.max_rect();
        let line = Rect::from_min_size(whole.min, vec2(whole.width(), RIG_STRIP_HEAD));
        head(ui, line, "Rows of the run", |ui| buttons(ui, view, outbox, &shown), view);
        self.take_paste(ui.ctx(), view, outbox, &shown);
        let told = told(view);
        // Two lines: what is wrong with the rows can be read to its end.
        let foot = Rect::from_min_max(pos2(whole.left(), whole.bottom() - RUN_FOOT), whole.max);
        let mut below = ui.new_child(UiBuilder::new().max_rect(foot).layout(Layout::top_down(Align::Min)));
        let ink = if told.1 { view.theme.palette.error } else { view.theme.palette.ink_secondary };
        below.add(Label::new(RichText::new(told.0).size(view.theme.small).color(color(ink))).wrap());
        let names = Rect::from_min_size(line.left_bottom(), vec2(whole.width(), RUN_ROW));
        columns(ui, names, view);
        let rest = Rect::from_min_max(names.left_bottom(), pos2(whole.right(), foot.top()));
        let mut body = ui.new_child(UiBuilder::new().max_rect(rest));
        body.spacing_mut().item_spacing = vec2(RIG_FIELD_GAP, 0.0);
        ScrollArea::vertical().auto_shrink(false).show_rows(&mut body, RUN_ROW, shown.len(), |ui, rows| {
            for at in rows {
                self.row(ui, at, view, outbox, &shown);
            }
        });
    }

    fn row(&mut self, ui: &mut egui::Ui, at: usize, view: &View<'_>, outbox: &mut Outbox, shown: &Shown<'_>) {
        let (Some(row), Some(target)) = (shown.row(at), shown.target()) else { return };
        let (rect, _) = ui.allocate_exact_size(vec2(ui.available_width(), RUN_ROW), Sense::hover());
        let ink = color(view.theme.palette.ink_secondary);
        let number_end = pos2(rect.left() + RIG_ROW_NUMBER - RIG_ROW_NUMBER_GAP, rect.center().y);
        let number = (at + 1).to_string();
        ui.painter().text(number_end, egui::Align2::RIGHT_CENTER, number, view.theme.small_font(), ink);
        for column in 0..COLUMNS.len() {
            self.field(ui, place(rect, column), (at, column), &row, view, outbox, &target);
        }
        let tools = Rect::from_min_max(pos2(place(rect, COLUMNS.len()).left() + RIG_FIELD_GAP, rect.top()), rect.max);
        let mut tools = ui.new_child(UiBuilder::new().max_rect(tools).layout(Layout::left_to_right(Align::Center)));
        let run = target.name();
        if tool(&mut tools, "+", &format!("Add a row after row {}", at + 1), None).clicked() {
            let label = format!("Add a row after row {} of run '{run}'", at + 1);
            ask(outbox, &target, label, RowsEdit::InsertAfter(at));
        }
        let refusal = (shown.len() <= 2).then_some("a run needs two rows at least");
        if tool(&mut tools, "\u{2212}", &format!("Remove row {}", at + 1), refusal).clicked() {
            ask(outbox, &target, format!("Remove row {} of run '{run}'", at + 1), RowsEdit::Remove(at));
        }
    }

    #[expect(clippy::too_many_arguments, reason = "a field, its row and its run")]
    fn field(
        &mut self,
        ui: &mut egui::Ui,
        rect: Rect,
        (at, column): (usize, usize),
        row: &KeptRow,
        view: &View<'_>,
        outbox: &mut Outbox,
        target: &EditedRun,
    ) {
        let Some(&(name, _, step)) = COLUMNS.get(column) else { return };
        let unit = unit(column, view);
        let (key, shown) = (key(at, column), text(row, column));
        if ui.memory(|memory| memory.has_focus(form::id(&key))) {
            self.focused = Some((at, column));
        }
        let called = format!("row {}, {name} {unit}", at + 1);
        let tooltip = format!("{called}\nEnter or Tab takes it, Esc gives up. Ctrl+V pastes rows from a spreadsheet.");
        let entry = Entry {
            key: &key,
            label: "",
            name: &called,
            shown: &shown,
            unit: form::text_box::Behind::Unit(unit),
            width: None,
            tooltip: &tooltip,
        };
        let stepped = |text: &str, steps: f64| Some(written(settle(form::read(text, unit).ok()? + steps * step)));
        let read = |text: &str| {
            let value = read(text, column, unit)?;
            let told = value.map_or_else(|| "left out".to_owned(), |value| format!("{} {unit}", written(value)));
            let told = if column == LAUNCH { text.trim().to_owned() } else { told.trim_end().to_owned() };
            let label = format!("Run '{}', row {}: {name} {told}", target.name(), at + 1);
            let edit = RunEdit::Rows(target.clone(), RowsEdit::Put { row: at, column, value });
            Ok(Meaning::StepThen(label, edit.into(), Box::new(RigMessage::ChooseKept(target.name().to_owned()).into())))
        };
        form::number_at(ui, view, outbox, rect, &entry, stepped, read);
    }

    /// Text for more than one field is pasted over several: from the focused field on, or, if it has column
    /// names, over all.
    fn take_paste(&self, ctx: &egui::Context, view: &View<'_>, outbox: &mut Outbox, shown: &Shown<'_>) {
        if view.dialogs.take_keys() || view.screen.finder.is_some() {
            return;
        }
        let is_table = |text: &str| text.trim_end().contains(['\t', '\n', '\r']);
        let pasted = form::text_box::take_pasted(ctx, is_table);
        let (Some(text), Some(target)) = (pasted, shown.target()) else { return };
        let run = target.name();
        let begins_with_names = text.trim_start().starts_with(|first: char| first.is_alphabetic());
        if begins_with_names {
            return paste_named(&text, None, view, outbox);
        }
        let (row, column) = self.focused.unwrap_or((0, 0));
        match block(&text, column, view) {
            Ok(values) => {
                let rows = count(values.len(), "row");
                outbox.say(format!("{rows} pasted from row {} on", row + 1));
                let label = format!("Paste {rows} into run '{run}' from row {} on", row + 1);
                ask(outbox, &target, label, RowsEdit::PutBlock { row, column, values });
            }
            Err(told) => outbox.complain(told),
        }
    }
}

/// Pastes rows with column names over all rows of the run; if `mark` is `None`, this may end in a question for the
/// decimal mark.
pub fn paste_named(text: &str, mark: Option<DecimalMark>, view: &View<'_>, outbox: &mut Outbox) {
    let shown = shown(view);
    let Some(target) = shown.target() else {
        return;
    };
    match read_run_as(text.as_bytes(), mark, Some(view.project.sensors.load)) {
        Ok(pasted) => {
            let rows: Vec<KeptRow> = pasted.rows().iter().map(KeptRow::from).collect();
            let (instead, run) = (count(shown.len(), "row"), target.name());
            let label = format!("Paste {} over the {instead} of run '{run}'", count(rows.len(), "row"));
            outbox.say(format!("{} pasted", count(rows.len(), "row")));
            ask(outbox, &target, label, RowsEdit::Replace(rows));
        }
        Err(error) => match error.asks() {
            Some(question) => {
                let form = MarksForm { question: question.clone(), what: Doubtful::RunRows(text.into()) };
                outbox.send(DialogMessage::Open(Floating::Marks(form)));
            }
            None => outbox.complain(format!("Nothing was pasted: {error}")),
        },
    }
}

fn tool(ui: &mut egui::Ui, text: &str, name: &str, refusal: Option<&str>) -> egui::Response {
    let button = Button::new(text).min_size(RIG_ROW_TOOL);
    let response = ui.add_enabled(refusal.is_none(), button).on_hover_text(name);
    let response = response.on_disabled_hover_text(refusal.unwrap_or_default());
    response.widget_info(|| egui::WidgetInfo::labeled(egui::Role::Button, refusal.is_none(), name));
    response
}

fn columns(ui: &mut egui::Ui, rect: Rect, view: &View<'_>) {
    let theme = view.theme;
    for (column, (name, ..)) in COLUMNS.into_iter().enumerate() {
        let words = RichText::new(format!("{name} {}", unit(column, view))).size(theme.small);
        let place = place(rect, column).shrink2(vec2(form::FORM_SIZES.padding, 0.0));
        let mut own = ui.new_child(UiBuilder::new().max_rect(place).layout(Layout::right_to_left(Align::Center)));
        own.add(Label::new(words.color(color(theme.palette.ink_secondary))).selectable(false).truncate());
    }
}

fn buttons(ui: &mut egui::Ui, view: &View<'_>, outbox: &mut Outbox, shown: &Shown<'_>) {
    if ui.button("Done").on_hover_text("Show the revolution again; the rows stay.").clicked() {
        outbox.run(Command::RigRows);
    }
    if ui.button("Copy rows").on_hover_text("Copy all rows with their names, for a spreadsheet.").clicked() {
        let rows = (0..shown.len()).filter_map(|at| shown.row(at));
        let line = |row: KeptRow| {
            let field = |column| number(&row, column).map_or_else(String::new, shortest);
            let launch = text(&row, LAUNCH);
            (0..LAUNCH).map(field).chain([launch]).collect::<Vec<_>>().join("\t")
        };
        let text: Vec<String> = std::iter::once(RUN_COLUMNS.join("\t")).chain(rows.map(line)).collect();
        outbox.send(Action::Copy(text.join("\n")));
        outbox.say(format!("{} copied", count(shown.len(), "row")));
    }
    match shown {
        Shown::Kept(run) => {
            if ui
                .button("Remove this run")
                .on_hover_text("Takes this run out of the project; undo brings it back.")
                .clicked()
            {
                outbox.edit(format!("Remove run '{}'", run.name), RunEdit::Remove(run.name.clone()));
            }
            name_box(ui, view, outbox, &run.name);
        }
        Shown::Other(_, name) => {
            let tip = format!("Keeps these rows in the project as the run '{name}', to be changed and saved with it.");
            if ui.button("Keep in the project").on_hover_text(tip).clicked()
                && let Some(target) = shown.target()
            {
                ask(outbox, &target, format!("Keep run '{name}'"), RowsEdit::Keep);
            }
        }
        Shown::Nothing => {}
    }
}

/// The name of a run of the project, to be typed over.
fn name_box(ui: &mut egui::Ui, view: &View<'_>, outbox: &mut Outbox, name: &str) {
    let (rect, _) = ui.allocate_exact_size(vec2(RIG_CHOOSER, view.theme.sentence_height), Sense::hover());
    let tooltip = "What this run is called. Enter or Tab takes it, Esc gives up.";
    let (key, called) = ("run name", "Name of the run");
    let entry = Entry {
        key,
        label: "",
        name: called,
        shown: name,
        unit: form::text_box::Behind::NOTHING,
        width: None,
        tooltip,
    };
    form::entry_at(ui, view, outbox, rect, &entry, |text| {
        let (old, new) = (name.to_owned(), text.trim().to_owned());
        if old == new {
            return Ok(Meaning::Same);
        }
        let is_taken = view.project.runs.iter().any(|run| run.name == new);
        if new.is_empty() || is_taken {
            let why = if new.is_empty() { "a run needs a name" } else { "another run is called that" };
            return Err(Refusal::new(why));
        }
        let (label, chosen) = (format!("Call run '{old}' '{new}'"), RigMessage::ChooseKept(new.clone()));
        Ok(Meaning::StepThen(label, RunEdit::Rename { from: old, to: new }.into(), Box::new(chosen.into())))
    });
}

/// What is wrong with the rows, or what they are for.
fn told(view: &View<'_>) -> (String, bool) {
    match (&view.screen.rig.run, &view.screen.rig.choice) {
        (Err(why), _) => (format!("Problem: {why}"), true),
        (Ok(run), RunChoice::Kept(_)) => {
            let varies = run.own_variation().map_or_else(String::new, |own| {
                let below = quantity(own.below_rpm, Unit::Rpm);
                format!(" Below {below} the speed varies by {} of itself within a turn.", written(own.variation))
            });
            (
                format!(
                    "These rows drive the rig and are saved with the project. Paste rows from a spreadsheet into any field.{varies}"
                ),
                false,
            )
        }
        _ => ("Type or paste to make a run of the project's own; the one shown stays as it is.".to_owned(), false),
    }
}
