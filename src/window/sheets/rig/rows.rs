//! The rows of the run, to be typed over or pasted from a spreadsheet. Rows that are typed belong to a run of the project:
//! the first change of any other run makes one.

use std::sync::Arc;

use eframe::egui::{
    self, Align, Button, Event, Label, Layout, Rect, RichText, ScrollArea, Sense, UiBuilder, pos2, vec2,
};

use super::trace_view::head;
use super::{RunChoice, sizes};
use crate::interchange::{RUN_COLUMNS, Reading, read_number, read_run_as};
use crate::project::{FieldKind, KeptRow, KeptRun, Project, field};
use crate::rig::Run;
use crate::window::form::{self, Entry, Meaning};
use crate::window::theme::color;
use crate::window::{Action, Edit, Outbox, View};
use crate::wording::{count, settle, shortest, written};

/// Height of a row, and of the line of columns.
const ROW: f32 = 25.0;
/// Height of the words below the rows.
const FOOT: f32 = 30.0;
/// Between two fields.
const GAP: f32 = sizes::FIELD_GAP;

/// Name, unit, and how much the arrow keys change it by.
const COLUMNS: [(&str, &str, f64); RUN_COLUMNS.len()] = [
    ("time", "s", 0.1),
    ("speed", "rpm", 50.0),
    ("load", "", 1.0),
    ("coolant", "°C", 1.0),
    ("air", "°C", 1.0),
    ("battery", "V", 0.1),
    ("throttle", "%", 1.0),
    ("launch", "0 or 1", 1.0),
];
/// The column of the launch switch.
const LAUNCH: usize = RUN_COLUMNS.len() - 1;

/// The run on the rig, as the rows show it.
enum Shown<'a> {
    /// One of the project's.
    Kept(&'a KeptRun),
    /// Another one, and what a run of the project made of it would be called.
    Other(&'a Arc<Run>, String),
    /// None.
    Nothing,
}

/// The run that a change is made in.
#[derive(Clone)]
enum Target {
    /// One of the project's, by name.
    Kept(String),
    /// One to be made with this name of this run.
    New(String, Arc<Run>),
}

impl Target {
    fn name(&self) -> &str {
        match self {
            Self::Kept(name) | Self::New(name, _) => name,
        }
    }
}

impl Shown<'_> {
    fn len(&self) -> usize {
        match self {
            Self::Kept(run) => run.rows.len(),
            Self::Other(run, _) => run.rows().len(),
            Self::Nothing => 0,
        }
    }

    fn row(&self, at: usize) -> Option<KeptRow> {
        match self {
            Self::Kept(run) => run.rows.get(at).copied(),
            Self::Other(run, _) => run.rows().get(at).map(KeptRow::from),
            Self::Nothing => None,
        }
    }

    fn target(&self) -> Option<Target> {
        match self {
            Self::Kept(run) => Some(Target::Kept(run.name.clone())),
            Self::Other(run, name) => Some(Target::New(name.clone(), Arc::clone(run))),
            Self::Nothing => None,
        }
    }
}

fn shown<'a>(view: &View<'a>) -> Shown<'a> {
    let rig = &view.screen.rig;
    if let RunChoice::Kept(name) = &rig.choice {
        return view.project.runs.iter().find(|run| run.name == *name).map_or(Shown::Nothing, |run| Shown::Kept(run));
    }
    rig.run.as_ref().map_or(Shown::Nothing, |run| Shown::Other(run, own_name(view)))
}

/// A name for a run of the project made of another one: that of the file, or 'own idle'.
fn own_name(view: &View<'_>) -> String {
    let name = match &view.screen.rig.choice {
        RunChoice::File(path, _) => path.file_stem().unwrap_or_default().to_string_lossy().into_owned(),
        _ => format!("own {}", view.screen.rig.run_name()),
    };
    let short: String = name.chars().take(70).collect();
    let is_free = |name: &String| view.project.runs.iter().all(|run| run.name != *name);
    let numbered = (2..).map(|number| format!("{short} {number}"));
    std::iter::once(short.clone()).chain(numbered).find(is_free).unwrap_or_default()
}

/// The rows of a run of the project changed, in one that is made first where it is none yet.
fn edit(target: Target, change: impl FnOnce(&mut Vec<KeptRow>) + 'static) -> Edit {
    Box::new(move |project: &Project| {
        let done = project.edit(|parts| {
            let at = parts.runs.iter().position(|run| run.name == target.name());
            let at = match (at, target) {
                (Some(at), _) => at,
                (None, Target::New(name, run)) => {
                    let rows = run.rows().iter().map(KeptRow::from).collect();
                    parts.runs.push(KeptRun { name, rows }.into());
                    parts.runs.len() - 1
                }
                (None, Target::Kept(_)) => return,
            };
            if let Some(run) = parts.runs.get_mut(at) {
                change(&mut Arc::make_mut(run).rows);
            }
        });
        done.map_err(|fault| fault.to_string())
    })
}

/// Asks for a change of the rows as one step, and has the run of the project drive the rig.
fn ask(outbox: &mut Outbox, target: &Target, label: String, change: impl FnOnce(&mut Vec<KeptRow>) + 'static) {
    let name = target.name().to_owned();
    outbox.push(Action::Edit(label, edit(target.clone(), change)));
    outbox.screen(move |screen| screen.rig.choose_kept(name));
}

/// The unit of a column.
fn unit(column: usize, view: &View<'_>) -> &'static str {
    match COLUMNS.get(column) {
        Some(("load", ..)) => view.project.sensors.load.unit(),
        Some((_, unit, _)) => unit,
        None => "",
    }
}

/// Where a column stands in a row: headings and fields ask here.
fn place(row: Rect, column: usize) -> Rect {
    #[expect(clippy::cast_precision_loss, reason = "eight columns")]
    let left = row.left() + sizes::ROW_NUMBER + column as f32 * (sizes::FIELD + GAP);
    Rect::from_min_size(pos2(left, row.top() + 1.0), vec2(sizes::FIELD, row.height() - 2.0))
}

fn key(row: usize, column: usize) -> String {
    format!("run row {row} {column}")
}

/// A field of a row as text; empty where nothing was typed.
fn text(row: &KeptRow, column: usize) -> String {
    if column == LAUNCH {
        return if row.launch { "1" } else { "0" }.into();
    }
    number(row, column).map_or_else(String::new, written)
}

fn number(row: &KeptRow, column: usize) -> Option<f64> {
    let KeptRow { time_s, speed_rpm, load, coolant_c, air_c, battery_v, throttle_pct, launch: _ } = *row;
    [time_s, speed_rpm, load, coolant_c, air_c, battery_v, throttle_pct].get(column).copied().flatten()
}

/// Puts what was typed into a field; `None` leaves it empty.
fn put(row: &mut KeptRow, column: usize, value: Option<f64>) {
    let KeptRow { time_s, speed_rpm, load, coolant_c, air_c, battery_v, throttle_pct, launch } = row;
    match [time_s, speed_rpm, load, coolant_c, air_c, battery_v, throttle_pct].into_iter().nth(column) {
        Some(slot) => *slot = value,
        None => *launch = value == Some(1.0),
    }
}

/// What a text means in a column.
fn read(text: &str, column: usize, unit: &str) -> Result<Option<f64>, String> {
    if text.trim().is_empty() {
        return Ok(None);
    }
    if column == LAUNCH {
        return match text.trim() {
            "0" => Ok(Some(0.0)),
            "1" => Ok(Some(1.0)),
            other => Err(format!("launch '{other}' is neither 0 (open) nor 1 (closed)")),
        };
    }
    if text.contains(',') && matches!(read_number(text.trim()), Ok(Reading::Ambiguous { .. })) {
        return Err("the comma may part thousands or decimals; leave it out, or write one more decimal".into());
    }
    let value = form::read(text, unit)?;
    let path = format!("runs[].rows[].{}", RUN_COLUMNS.get(column).copied().unwrap_or_default());
    match field(&path).map(|field| field.kind) {
        Some(kind @ FieldKind::Number { low, high, .. }) if !(low..=high).contains(&value) => {
            Err(format!("{} is outside {}", shortest(value), kind.range()))
        }
        _ => Ok(Some(value)),
    }
}

/// What the rows keep between frames: nothing that belongs to the project.
#[derive(Default)]
pub(super) struct RowsView {
    /// Which field had the keyboard last, for pasting.
    focused: Option<(usize, usize)>,
}

impl RowsView {
    pub(super) fn show(&mut self, ui: &mut egui::Ui, view: &View<'_>, outbox: &mut Outbox) {
        let shown = shown(view);
        let whole = ui.max_rect();
        let line = Rect::from_min_size(whole.min, vec2(whole.width(), sizes::STRIP_HEAD));
        head(ui, line, "Rows of the run", |ui| buttons(ui, view, outbox, &shown), view);
        self.take_paste(ui.ctx(), view, outbox, &shown);
        let told = told(view);
        // Two lines: what is wrong with the rows can be read to its end.
        let foot = Rect::from_min_max(egui::pos2(whole.left(), whole.bottom() - FOOT), whole.max);
        let mut below = ui.new_child(UiBuilder::new().max_rect(foot).layout(Layout::top_down(Align::Min)));
        let ink = if told.1 { view.theme.palette.error } else { view.theme.palette.ink_secondary };
        below.add(Label::new(RichText::new(told.0).size(view.theme.small).color(color(ink))).wrap());
        let names = Rect::from_min_size(line.left_bottom(), vec2(whole.width(), ROW));
        columns(ui, names, view);
        let rest = Rect::from_min_max(names.left_bottom(), pos2(whole.right(), foot.top()));
        let mut body = ui.new_child(UiBuilder::new().max_rect(rest));
        body.spacing_mut().item_spacing = vec2(GAP, 0.0);
        ScrollArea::vertical().auto_shrink(false).show_rows(&mut body, ROW, shown.len(), |ui, rows| {
            for at in rows {
                self.row(ui, at, view, outbox, &shown);
            }
        });
    }

    fn row(&mut self, ui: &mut egui::Ui, at: usize, view: &View<'_>, outbox: &mut Outbox, shown: &Shown<'_>) {
        let (Some(row), Some(target)) = (shown.row(at), shown.target()) else { return };
        let (rect, _) = ui.allocate_exact_size(vec2(ui.available_width(), ROW), Sense::hover());
        let ink = color(view.theme.palette.ink_secondary);
        let number_end = pos2(rect.left() + sizes::ROW_NUMBER - 6.0, rect.center().y);
        let number = (at + 1).to_string();
        ui.painter().text(number_end, egui::Align2::RIGHT_CENTER, number, view.theme.small_font(), ink);
        for column in 0..COLUMNS.len() {
            self.field(ui, place(rect, column), (at, column), &row, view, outbox, &target);
        }
        let tools = Rect::from_min_max(pos2(place(rect, COLUMNS.len()).left() + 4.0, rect.top()), rect.max);
        let mut tools = ui.new_child(UiBuilder::new().max_rect(tools).layout(Layout::left_to_right(Align::Center)));
        let run = target.name();
        if tool(&mut tools, "+", &format!("Add a row after row {}", at + 1), None).clicked() {
            ask(outbox, &target, format!("Add a row after row {} of run '{run}'", at + 1), move |rows| {
                insert_after(rows, at);
            });
        }
        let refusal = (shown.len() <= 2).then_some("a run needs two rows at least");
        if tool(&mut tools, "\u{2212}", &format!("Remove row {}", at + 1), refusal).clicked() {
            ask(outbox, &target, format!("Remove row {} of run '{run}'", at + 1), move |rows| {
                if at < rows.len() {
                    rows.remove(at);
                }
            });
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
        target: &Target,
    ) {
        let Some(&(name, _, step)) = COLUMNS.get(column) else { return };
        let unit = unit(column, view);
        let (key, shown) = (key(at, column), text(row, column));
        if ui.memory(|memory| memory.has_focus(form::id(&key))) {
            self.focused = Some((at, column));
        }
        let called = format!("row {}, {name} {unit}", at + 1);
        let tooltip = format!("{called}\nEnter or Tab takes it, Esc gives up. Ctrl+V pastes rows from a spreadsheet.");
        let entry = Entry { key: &key, label: "", name: &called, shown: &shown, unit, width: None, tooltip: &tooltip };
        let stepped = |text: &str, steps: f64| Some(written(settle(form::read(text, unit).ok()? + steps * step)));
        let read = |text: &str| {
            let value = read(text, column, unit)?;
            let told = value.map_or_else(|| "left out".to_owned(), |value| format!("{} {unit}", written(value)));
            let told = if column == LAUNCH { text.trim().to_owned() } else { told.trim_end().to_owned() };
            let label = format!("Run '{}', row {}: {name} {told}", target.name(), at + 1);
            let change = edit(target.clone(), move |rows: &mut Vec<KeptRow>| {
                if let Some(row) = rows.get_mut(at) {
                    put(row, column, value);
                }
            });
            let run = target.name().to_owned();
            Ok(Meaning::StepThen(label, change, Box::new(move |screen| screen.rig.choose_kept(run))))
        };
        form::number_at(ui, view, outbox, rect, &entry, stepped, read);
    }

    /// Text of more than one field goes over several: from the focused field on, or, with names of columns, over all.
    fn take_paste(&self, ctx: &egui::Context, view: &View<'_>, outbox: &mut Outbox, shown: &Shown<'_>) {
        if view.dialogs.take_keys() || view.screen.finder.is_some() {
            return;
        }
        let is_table = |text: &str| text.trim_end().contains(['\t', '\n', '\r']);
        let pasted = ctx.input_mut(|input| {
            let place = input.events.iter().position(|event| matches!(event, Event::Paste(text) if is_table(text)))?;
            Some(input.events.remove(place))
        });
        let (Some(Event::Paste(text)), Some(target)) = (pasted, shown.target()) else { return };
        let run = target.name();
        let begins_with_names = text.trim_start().starts_with(|first: char| first.is_alphabetic());
        if begins_with_names {
            match read_run_as(text.as_bytes(), None, Some(view.project.sensors.load)) {
                Ok(pasted) => {
                    let rows: Vec<KeptRow> = pasted.rows().iter().map(KeptRow::from).collect();
                    let instead = count(shown.len(), "row");
                    let label = format!("Paste {} over the {instead} of run '{run}'", count(rows.len(), "row"));
                    outbox.say(format!("{} pasted", count(rows.len(), "row")));
                    ask(outbox, &target, label, move |all| *all = rows);
                }
                Err(error) => outbox.complain(format!("Nothing was pasted: {error}")),
            }
            return;
        }
        let (row, column) = self.focused.unwrap_or((0, 0));
        match block(&text, column, view) {
            Ok(block) => {
                let rows = count(block.len(), "row");
                outbox.say(format!("{rows} pasted from row {} on", row + 1));
                let label = format!("Paste {rows} into run '{run}' from row {} on", row + 1);
                ask(outbox, &target, label, move |rows| put_block(rows, (row, column), &block));
            }
            Err(told) => outbox.complain(told),
        }
    }
}

/// Pasted numbers, if they fit beside each other and are numbers of their columns.
fn block(text: &str, column: usize, view: &View<'_>) -> Result<Vec<Vec<Option<f64>>>, String> {
    let rows: Vec<Vec<&str>> = text
        .lines()
        .filter(|line| !line.trim().is_empty())
        .map(|line| line.split('\t').map(str::trim).collect())
        .collect();
    let widest = rows.iter().map(Vec::len).max().unwrap_or(0);
    let room = COLUMNS.len() - column.min(COLUMNS.len());
    if widest > room {
        return Err(format!("Nothing was pasted: {widest} columns do not fit into the {room} from here to the right"));
    }
    let numbers = |(at, row): (usize, Vec<&str>)| {
        let numbers = row.into_iter().enumerate().map(|(right, text)| {
            let name = COLUMNS.get(column + right).map_or("", |(name, ..)| name);
            read(text, column + right, unit(column + right, view))
                .map_err(|why| format!("Nothing was pasted: row {} of it, {name}: {why}", at + 1))
        });
        numbers.collect()
    };
    rows.into_iter().enumerate().map(numbers).collect()
}

fn put_block(rows: &mut Vec<KeptRow>, (row, column): (usize, usize), block: &[Vec<Option<f64>>]) {
    for (down, values) in block.iter().enumerate() {
        while rows.len() <= row + down {
            rows.push(KeptRow::default());
        }
        if let Some(own) = rows.get_mut(row + down) {
            values.iter().enumerate().for_each(|(right, value)| put(own, column + right, *value));
        }
    }
}

/// A copy of the row, to be changed; its time is left to be typed.
fn insert_after(rows: &mut Vec<KeptRow>, row: usize) {
    if let Some(copy) = rows.get(row).copied() {
        rows.insert(row + 1, KeptRow { time_s: None, ..copy });
    }
}

fn tool(ui: &mut egui::Ui, text: &str, name: &str, refusal: Option<&str>) -> egui::Response {
    let button = Button::new(text).min_size(vec2(22.0, 20.0));
    let response = ui.add_enabled(refusal.is_none(), button).on_hover_text(name);
    let response = response.on_disabled_hover_text(refusal.unwrap_or_default());
    response.widget_info(|| egui::WidgetInfo::labeled(egui::Role::Button, refusal.is_none(), name));
    response
}

fn columns(ui: &mut egui::Ui, rect: Rect, view: &View<'_>) {
    let theme = view.theme;
    for (column, (name, ..)) in COLUMNS.into_iter().enumerate() {
        let at = place(rect, column).right_center() - vec2(form::SIZES.padding, 0.0);
        let ink = color(theme.palette.ink_secondary);
        let text = format!("{name} {}", unit(column, view));
        ui.painter().text(at, egui::Align2::RIGHT_CENTER, text, theme.small_font(), ink);
    }
}

fn buttons(ui: &mut egui::Ui, view: &View<'_>, outbox: &mut Outbox, shown: &Shown<'_>) {
    if ui.button("Done").on_hover_text("Show the revolution again; the rows stay.").clicked() {
        outbox.run(crate::window::commands::Command::RigRows);
    }
    if ui.button("Copy rows").on_hover_text("Copy all rows with their names, for a spreadsheet.").clicked() {
        let rows = (0..shown.len()).filter_map(|at| shown.row(at));
        let line = |row: KeptRow| {
            let field = |column| number(&row, column).map_or_else(String::new, shortest);
            let launch = text(&row, LAUNCH);
            (0..LAUNCH).map(field).chain([launch]).collect::<Vec<_>>().join("\t")
        };
        let text: Vec<String> = std::iter::once(RUN_COLUMNS.join("\t")).chain(rows.map(line)).collect();
        outbox.push(Action::Copy(text.join("\n")));
        outbox.say(format!("{} copied", count(shown.len(), "row")));
    }
    match shown {
        Shown::Kept(run) => {
            if ui
                .button("Remove this run")
                .on_hover_text("Takes this run out of the project; undo brings it back.")
                .clicked()
            {
                let name = run.name.clone();
                outbox.edit(format!("Remove run '{name}'"), move |project| {
                    let done = project.edit(|parts| parts.runs.retain(|run| run.name != name));
                    done.map_err(|fault| fault.to_string())
                });
            }
            name_box(ui, view, outbox, &run.name);
        }
        Shown::Other(_, name) => {
            let tip = format!("Keeps these rows in the project as the run '{name}', to be changed and saved with it.");
            if ui.button("Keep in the project").on_hover_text(tip).clicked()
                && let Some(target) = shown.target()
            {
                ask(outbox, &target, format!("Keep run '{name}'"), |_| {});
            }
        }
        Shown::Nothing => {}
    }
}

/// The name of a run of the project, to be typed over.
fn name_box(ui: &mut egui::Ui, view: &View<'_>, outbox: &mut Outbox, name: &str) {
    let (rect, _) = ui.allocate_exact_size(vec2(sizes::CHOOSER, view.theme.sentence_height), Sense::hover());
    let tooltip = "What this run is called. Enter or Tab takes it, Esc gives up.";
    let (key, called) = ("run name", "Name of the run");
    let entry = Entry { key, label: "", name: called, shown: name, unit: "", width: None, tooltip };
    form::entry_at(ui, view, outbox, rect, &entry, |text| {
        let (old, new) = (name.to_owned(), text.trim().to_owned());
        if old == new {
            return Ok(Meaning::Same);
        }
        let is_taken = view.project.runs.iter().any(|run| run.name == new);
        if new.is_empty() || is_taken {
            let why = if new.is_empty() { "a run needs a name" } else { "another run is called that" };
            return Err(why.into());
        }
        let (label, chosen) = (format!("Call run '{old}' '{new}'"), new.clone());
        let change: Edit = Box::new(move |project: &Project| {
            let done = project.edit(|parts| {
                if let Some(run) = parts.runs.iter_mut().find(|run| run.name == old) {
                    Arc::make_mut(run).name = new;
                }
            });
            done.map_err(|fault| fault.to_string())
        });
        Ok(Meaning::StepThen(label, change, Box::new(move |screen| screen.rig.choose_kept(chosen))))
    });
}

/// What is wrong with the rows, or what they are for.
fn told(view: &View<'_>) -> (String, bool) {
    match (&view.screen.rig.run, &view.screen.rig.choice) {
        (Err(why), _) => (format!("Problem: {why}"), true),
        (_, RunChoice::Kept(_)) => (
            "These rows drive the rig and are saved with the project. Paste rows from a spreadsheet into any field."
                .to_owned(),
            false,
        ),
        _ => ("Type or paste to make a run of the project's own; the one shown stays as it is.".to_owned(), false),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn pasted_fields_go_down_and_to_the_right_and_make_room() {
        let mut rows = vec![KeptRow::default(); 2];
        put_block(&mut rows, (1, 1), &[vec![Some(900.0), Some(20.0)], vec![Some(950.5), None]]);
        assert_eq!(rows.len(), 3);
        assert_eq!((rows[1].speed_rpm, rows[2].speed_rpm, rows[2].load), (Some(900.0), Some(950.5), None));
        assert!(rows[1].time_s.is_none() && rows[0].speed_rpm.is_none());
        put_block(&mut rows, (0, LAUNCH), &[vec![Some(1.0)]]);
        assert!(rows[0].launch);
    }

    #[test]
    fn texts_of_a_column_are_numbers_in_its_range() {
        assert_eq!(read("950,5", 1, "rpm"), Ok(Some(950.5)));
        assert_eq!(read(" ", 3, "°C"), Ok(None));
        assert!(read("1,000", 1, "rpm").unwrap_err().starts_with("the comma may part thousands"));
        assert_eq!(read("-5", 1, "rpm").unwrap_err(), "-5 is outside 0..30000 rpm");
        assert_eq!((read("1", LAUNCH, ""), read("0", LAUNCH, "")), (Ok(Some(1.0)), Ok(Some(0.0))));
        assert_eq!(read("2", LAUNCH, "").unwrap_err(), "launch '2' is neither 0 (open) nor 1 (closed)");
        let row = KeptRow { load: Some(-2.5), launch: true, ..KeptRow::default() };
        assert_eq!([text(&row, 0), text(&row, 2), text(&row, LAUNCH)], ["", "\u{2212}2.5", "1"]);
    }
}
