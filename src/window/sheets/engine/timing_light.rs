//! The timing light: readings in a small grid, typed or pasted, and the zero offset that they lead to.

use eframe::egui::{self, Align2, Rect, ScrollArea, ViewportCommand, pos2, vec2};
use jiff::Timestamp;

use super::answers::{self, Part, Scale};
use crate::interchange::{DecimalMark, read_readings_as};
use crate::project::{FieldKind, Project, TimingReading, Tree, TypedReading, cautions, field};
use crate::window::kit::chart::Line;
use crate::window::kit::numbers::date_and_time;
use crate::window::kit::theme::color;
use crate::window::kit::theme::engine_sheet_sizes::ENGINE_SIZES;
use crate::window::kit::theme::kit_sizes::LINE_GAP;
use crate::window::state::dialogs::{DialogMessage, Doubtful, Floating, MarksForm};
use crate::window::state::edits::{ReadingEdit, WorksheetEdit, are_stale, kept_rows, shown_rows};
use crate::window::state::engine_state::EngineMessage;
use crate::window::state::outbox::Outbox;
use crate::window::views::form::choice::{self, Choice};
use crate::window::views::form::{self, Entry, Meaning};
use crate::window::views::view::View;
use crate::wording::{Refusal, Unit, count, figure, fixed, quantity, signed_figure, signed_quantity, written};
use crate::worksheet::{
    Gravity, LightKind, PRESCRIBED_READINGS, TimingAnswer, TimingSetting, TimingVerdict, Unproved, Verdict, proof_words,
};

/// Name, unit and path of each column.
const COLUMNS: [(&str, Unit, &str); 3] = [
    ("commanded", Unit::Degree, "timing_light.readings[].commanded_deg"),
    ("observed", Unit::Degree, "timing_light.readings[].observed_deg"),
    ("speed", Unit::Rpm, "timing_light.readings[].speed_rpm"),
];

/// The button's text if no reading can be kept.
const NOTHING_TO_KEEP: &str = "Nothing to keep";

pub(super) fn ask(ui: &mut egui::Ui, view: &View<'_>, outbox: &mut Outbox) {
    let rows = shown_rows(view.project);
    take_paste(ui, view, outbox);
    form::heading(ui, view.theme, "Readings");
    head(ui, view);
    let mut refused = None;
    // This many rows have room; more of them scroll, so that nothing below moves when rows are added.
    #[expect(clippy::cast_precision_loss, reason = "a handful of rows")]
    let height = ENGINE_SIZES.reading_rows as f32 * (view.theme.field_height + form::FORM_SIZES.row_gap);
    let list = ScrollArea::vertical().id_salt("readings").auto_shrink(false).min_scrolled_height(height);
    list.max_height(height).show(ui, |ui| {
        for row in 0..ENGINE_SIZES.reading_rows.max(rows.len() + 1) {
            refused = refused.take().or(reading_row(ui, view, outbox, &rows, row));
        }
    });
    ui.add_space(LINE_GAP);
    buttons(ui, view, outbox, &rows);
    light_row(ui, view, outbox);
    let places = form::room(ui);
    match (refused, unfinished(&rows)) {
        (Some(why), _) => form::remark(ui, view.theme, places.whole, "readings", &why),
        (None, 0) => form::small(ui, view.theme, places.whole.left_center(), &kept_words(view)),
        (None, 1) => {
            form::small(ui, view.theme, places.whole.left_center(), "1 row is not finished and does not count.")
        }
        (None, count) => {
            let words = format!("{count} rows are not finished and do not count.");
            form::small(ui, view.theme, places.whole.left_center(), &words);
        }
    }
    form::heading(ui, view.theme, "Caution");
    form::note(ui, view.theme, cautions::TIMING_LIGHT);
}

/// Which timing light it is: asked if its readings may be half or twice what they should be.
fn light_row(ui: &mut egui::Ui, view: &View<'_>, outbox: &mut Outbox) {
    const KINDS: [Option<LightKind>; 3] = [None, Some(LightKind::Plain), Some(LightKind::DelayKnob)];
    let places = form::room(ui);
    form::label(ui, view.theme, places.label, "The light");
    let choice = Choice {
        key: "timing light kind",
        name: "The light",
        words: &["not said", "plain", "delay knob"],
        now: KINDS.iter().position(|kind| *kind == view.screen.engine.timing_light),
        tooltip: "A plain light flashes with the spark, and the degrees stand on the pulley. A light with a delay knob \
                  reckons them from the time between two flashes, and must be set for a spark every revolution.",
    };
    if let Some(kind) = choice::show_at_end(ui, view.theme, places.rest, &choice).and_then(|taken| KINDS.get(taken)) {
        outbox.send(EngineMessage::Light(*kind));
    }
}

/// How the readings relate to the project.
fn kept_words(view: &View<'_>) -> String {
    let light = &view.project.timing_light;
    if !view.project.typed_readings.is_empty() {
        return "Typed and saved with the project; not applied yet.".into();
    }
    match light.taken_at.parse::<Timestamp>() {
        Ok(at) if are_stale(view.project) => {
            let readings = count(light.readings.len(), "reading");
            format!("{readings} of {} no longer hold: read again.", date_and_time(at))
        }
        Ok(at) => format!(
            "Taken {} with the zero offset at {}.",
            date_and_time(at),
            signed_quantity(light.zero_offset_deg, Unit::Degree)
        ),
        Err(_) => "None yet: what the unit commands, what the light shows, at which speed.".into(),
    }
}

fn head(ui: &mut egui::Ui, view: &View<'_>) {
    let places = form::room(ui);
    for (column, (name, unit, _)) in COLUMNS.into_iter().enumerate() {
        let rect = place(places.whole, column);
        let text = format!("{name}, {unit}");
        let (font, ink) = (view.theme.small_font(), color(view.theme.palette.ink_secondary));
        ui.painter().text(
            rect.right_center() - vec2(form::FORM_SIZES.padding, 0.0),
            Align2::RIGHT_CENTER,
            text,
            font,
            ink,
        );
    }
}

fn place(row: Rect, column: usize) -> Rect {
    let number = ENGINE_SIZES.reading_number;
    let width = (row.width() - number - 2.0 * form::FORM_SIZES.gap) / 3.0;
    #[expect(clippy::cast_precision_loss, reason = "three columns")]
    let left = row.left() + number + column as f32 * (width + form::FORM_SIZES.gap);
    Rect::from_min_size(pos2(left, row.top()), vec2(width, row.height()))
}

fn reading_row(
    ui: &mut egui::Ui,
    view: &View<'_>,
    outbox: &mut Outbox,
    rows: &[TypedReading],
    row: usize,
) -> Option<String> {
    let places = form::room(ui);
    form::small(ui, view.theme, places.whole.left_center(), &format!("{}", row + 1));
    let values = rows.get(row).copied().unwrap_or_default();
    let mut refused = None;
    for (column, (name, unit, path)) in COLUMNS.into_iter().enumerate() {
        let (value, column_name) = (number(&values, column), name);
        let shown = value.map(written).unwrap_or_default();
        let (key, name) = (format!("reading {row} {column}"), format!("Reading {}, {name}", row + 1));
        let range = field(path).map(|field| field.kind.range()).unwrap_or_default();
        let tooltip = format!("{name}: {range}\nEnter or Tab takes it, Esc gives up. Ctrl+V pastes whole rows.");
        let entry = Entry {
            key: &key,
            label: "",
            name: &name,
            shown: &shown,
            unit: form::text_box::Behind::Unit(unit),
            width: None,
            tooltip: &tooltip,
        };
        let stepped = |text: &str, steps: f64| {
            let step = if unit == Unit::Rpm { 50.0 } else { 0.5 };
            Some(written(crate::wording::settle(form::read(text, unit).ok()? + steps * step)))
        };
        let read = |text: &str| {
            let value = if text.trim().is_empty() { None } else { Some(in_range(form::read(text, unit)?, path)?) };
            let told = value.map_or_else(|| "left out".to_owned(), |value| quantity(value, unit));
            let label = format!("Reading {}: {column_name} {told}", row + 1);
            Ok(Meaning::Step(label, ReadingEdit::Put { row, column, value }.into()))
        };
        let why = form::number_at(ui, view, outbox, place(places.whole, column), &entry, stepped, read);
        refused = refused.or(why);
    }
    refused
}

fn in_range(value: f64, path: &str) -> Result<f64, Refusal> {
    match field(path).map(|field| field.kind) {
        Some(kind @ FieldKind::Number { low, high, .. }) if !(low..=high).contains(&value) => {
            Err(Refusal::new(kind.refusal(&Tree::Number(value)).unwrap_or_default()))
        }
        _ => Ok(value),
    }
}

fn number(row: &TypedReading, column: usize) -> Option<f64> {
    [row.commanded_deg, row.observed_deg, row.speed_rpm].get(column).copied().flatten()
}

/// How many rows have something in them but are not readings yet.
fn unfinished(rows: &[TypedReading]) -> usize {
    rows.iter().filter(|row| !row.is_empty() && row.finished().is_none()).count()
}

/// What a whole set of rows takes the place of: ' in the place of 3 typed rows'; nothing where nothing is typed.
fn instead(project: &Project) -> String {
    let typed = project.typed_readings.iter().filter(|row| !row.is_empty()).count();
    if typed == 0 { String::new() } else { format!(" in the place of {}", count(typed, "typed row")) }
}

fn buttons(ui: &mut egui::Ui, view: &View<'_>, outbox: &mut Outbox, rows: &[TypedReading]) {
    ui.horizontal(|ui| {
        let instead = instead(view.project);
        let mut tip =
            "Seven readings that tell offset, lag and scale apart: four speeds at 10° locked, then 5, 15 and 25° at \
                       1500 rpm. What you observed is to be typed."
                .to_owned();
        if !instead.is_empty() {
            tip += &format!("\nThey come{instead}; undo brings those back.");
        }
        if ui.button("Prescribed readings").on_hover_text(tip).clicked() {
            let rows = PRESCRIBED_READINGS.map(|(commanded_deg, speed_rpm)| TypedReading {
                commanded_deg: Some(commanded_deg),
                observed_deg: None,
                speed_rpm: Some(speed_rpm),
            });
            let label = format!("Prescribed readings{instead}");
            outbox.say(label.clone());
            outbox.edit(label, ReadingEdit::Replace(rows.to_vec()));
        }
        let tip =
            "Takes rows of commanded, observed and speed from the clipboard, with or without a row of names (Ctrl+V).";
        if ui.button("Paste").on_hover_text(tip).clicked() {
            ui.ctx().send_viewport_cmd(ViewportCommand::RequestPaste);
        }
        let is_own = view.project.typed_readings.is_empty();
        let (text, tip, why) = if kept_rows(view.project).is_empty() {
            ("Clear", "Empties the grid; undo brings the rows back.", "it is empty")
        } else {
            (
                "As kept",
                "Takes the typed rows away and shows the readings that are kept.",
                "these are the readings that are kept",
            )
        };
        let can = !(is_own || text == "Clear" && rows.is_empty());
        let button = ui.add_enabled(can, egui::Button::new(text)).on_hover_text(tip).on_disabled_hover_text(why);
        if button.clicked() {
            let label = format!("Take {} away", count(view.project.typed_readings.len(), "typed row"));
            outbox.edit(label, ReadingEdit::Replace(Vec::new()));
        }
    });
}

/// Takes pasted rows before a box takes them as one line of text.
fn take_paste(ui: &egui::Ui, view: &View<'_>, outbox: &mut Outbox) {
    let in_field = ui.ctx().text_edit_focused();
    let is_rows = |text: &str| !in_field || text.trim().contains(['\n', '\t', ';']);
    if let Some(text) = form::text_box::take_pasted(ui.ctx(), is_rows) {
        paste(&text, None, view, outbox);
    }
}

/// Replaces the typed readings by pasted rows; if `mark` is `None`, this may end in a question for the decimal mark.
pub fn paste(text: &str, mark: Option<DecimalMark>, view: &View<'_>, outbox: &mut Outbox) {
    match read_readings_as(text.as_bytes(), mark) {
        Ok(readings) if readings.is_empty() => outbox.complain("Paste: there are no readings in the clipboard"),
        Ok(readings) => {
            let rows: Vec<TypedReading> = readings.into_iter().map(TypedReading::from).collect();
            let pasted = count(rows.len(), "reading");
            outbox.say(format!("{pasted} pasted"));
            let label = format!("Paste {pasted}{}", instead(view.project));
            outbox.edit(label, ReadingEdit::Replace(rows));
        }
        Err(error) => match error.asks() {
            Some(question) => {
                let form = MarksForm { question: question.clone(), what: Doubtful::Readings(text.into()) };
                outbox.send(DialogMessage::Open(Floating::Marks(form)));
            }
            None => outbox.complain(format!("Paste: {error}")),
        },
    }
}

pub(super) fn answer(ui: &mut egui::Ui, view: &View<'_>, outbox: &mut Outbox, part: Part) {
    form::heading(ui, view.theme, if part == Part::Picture { "Light less commanded" } else { "Result" });
    let rows = shown_rows(view.project);
    let readings: Vec<(usize, TimingReading)> =
        rows.iter().zip(1_usize..).filter_map(|(row, at)| Some((at, row.finished()?))).collect();
    let is_kept = view.project.typed_readings.is_empty();
    let project = view.document.project();
    let mut setting = TimingSetting::of(project);
    setting.light = view.screen.engine.timing_light;
    if is_kept {
        (setting.zero_offset_deg, setting.latency_us) =
            (project.timing_light.zero_offset_deg, project.timing_light.latency_us);
    }
    let found = match TimingAnswer::of_rows(&readings, &setting) {
        Ok(found) => found,
        Err(_) if part == Part::Picture => return answers::no_picture(ui, view),
        Err(_) if readings.is_empty() => {
            if are_stale(project) {
                proof(ui, view, &Unproved::of(project), 0);
            }
            return answers::no_answer(
                ui,
                view,
                "Type one finished reading at least; four or more tell a lag as well.",
            );
        }
        Err(error) => return answers::no_answer(ui, view, &error.to_string()),
    };
    if part == Part::Picture {
        return readings_plot(ui, view, &found);
    }
    if is_kept {
        return kept_answer(ui, view, &found);
    }
    let left_out = match unfinished(&rows) {
        0 => String::new(),
        rows => format!(", without {}", count(rows, "unfinished row")),
    };
    let obstacle = found.obstacle().map(Verdict::words);
    let label = match &obstacle {
        Some(why) => Err(Refusal::new(why)),
        None if !found.corrects() => Err(Refusal::new("nothing is to be corrected: keep the readings")),
        None => Ok(found.label() + &left_out),
    };
    answers::apply(ui, outbox, label, || WorksheetEdit::CorrectTiming(found.clone(), now()));
    let label = obstacle.map_or_else(|| Ok(found.keep_label() + &left_out), |why| Err(Refusal::new(why)));
    let keep = || WorksheetEdit::KeepReadings(found.clone(), now());
    answers::apply_or(ui, outbox, NOTHING_TO_KEEP, label, keep);
    let light = found.record(project, &now());
    let missing = Unproved::of_record(&light, &project.trigger);
    let words = match missing.is_empty() {
        true => "Kept, they prove the zero.".to_owned(),
        false => format!("Kept, they do not prove the zero yet: {}.", Unproved::all_words(&missing)),
    };
    answers::said(ui, view.theme, if missing.is_empty() { Gravity::Good } else { Gravity::Note }, &words);
    figures(ui, view, &found, true);
    answers::verdicts(ui, view.theme, &found.verdicts);
}

fn now() -> String {
    Timestamp::now().round(jiff::Unit::Second).unwrap_or(Timestamp::UNIX_EPOCH).to_string()
}

/// What kept readings say about the zero, when nothing is left to be applied.
fn kept_answer(ui: &mut egui::Ui, view: &View<'_>, found: &TimingAnswer) {
    let why = "these readings are kept already; change one, or take new ones";
    for nothing in [answers::NOTHING_TO_APPLY, NOTHING_TO_KEEP] {
        answers::refused(ui, nothing, why);
    }
    proof(ui, view, &Unproved::of(view.project), found.readings.len());
    figures(ui, view, found, false);
    // Corrections are only proposed for new readings: with kept ones they may have been made already.
    let of_readings: Vec<TimingVerdict> =
        found.verdicts.iter().copied().filter(|verdict| !verdict.is_of_the_zero()).collect();
    answers::verdicts(ui, view.theme, &of_readings);
}

fn proof(ui: &mut egui::Ui, view: &View<'_>, missing: &[Unproved], readings: usize) {
    let gravity = if missing.is_empty() { Gravity::Good } else { Gravity::Warning };
    answers::said(ui, view.theme, gravity, &proof_words(missing, readings));
}

fn figures(ui: &mut egui::Ui, view: &View<'_>, found: &TimingAnswer, tells_changes: bool) {
    let between = |ci: Option<[f64; 2]>, told: &dyn Fn(f64) -> String| {
        ci.map_or_else(|| "no interval".to_owned(), |[low, high]| format!("{} to {}", told(low), told(high)))
    };
    let row = |ui: &mut egui::Ui, label: &str, value: Option<String>, interval: String| {
        let text = value.map_or_else(|| "cannot be told".to_owned(), |value| format!("{value}   ({interval})"));
        form::fact(ui, view.theme, label, &text);
    };
    let offset = between(found.offset_ci_deg, &|x| signed_figure(x, Unit::Degree));
    row(ui, "Offset", Some(signed_figure(found.offset_deg, Unit::Degree)), offset);
    let lag = between(found.latency_ci_us, &|x| figure(x, Unit::Microsecond));
    row(ui, "Latency", found.latency_us.map(|us| figure(us, Unit::Microsecond)), lag);
    let slope = between(found.slope_ci, &|x| fixed(x, 3));
    row(ui, "Slope", found.slope.map(|slope| fixed(slope, 3)), slope);
    form::fact(
        ui,
        view.theme,
        "In pitches",
        &format!("{} of {}", fixed(found.pitches, 2), quantity(view.project.trigger.wheel.pitch_deg(), Unit::Degree)),
    );
    if !tells_changes {
        return;
    }
    let change = format!(
        "by {}, to {}",
        signed_figure(found.zero_offset_change_deg, Unit::Degree),
        signed_figure(found.new_zero_offset_deg, Unit::Degree)
    );
    let reference = match found.reference_change_deg {
        0.0 => "stays".to_owned(),
        moved => format!("by {}", signed_figure(moved, Unit::Degree)),
    };
    form::fact(ui, view.theme, "Reference", &reference);
    form::fact(ui, view.theme, "Zero offset", &change);
}

/// Observed less commanded over speed, with the line that was fitted.
fn readings_plot(ui: &mut egui::Ui, view: &View<'_>, found: &TimingAnswer) {
    let points: Vec<(f64, f64)> = found
        .readings
        .iter()
        .map(|reading| (reading.speed_rpm, reading.observed_deg - reading.commanded_deg))
        .collect();
    let top = points.iter().map(|point| point.0).fold(1000.0, f64::max) * 1.08;
    let line = [(0.0, found.difference_deg(0.0)), (top, found.difference_deg(top))];
    let heights = points.iter().chain(&line).map(|point| point.1).chain([0.0]);
    let y = Scale::around("observed \u{2212} commanded", Unit::Degree, heights, 4.0);
    let words = "Observed less commanded over speed, each reading a dot, with the line fitted through them";
    let x = Scale::new("speed", Unit::Rpm, 0.0, top);
    let Some(mut chart) = answers::plot(ui, view.theme, x, y, words) else { return };
    chart.line(&[(0.0, 0.0), (top, 0.0)], Line::Mark);
    chart.line(&line, Line::Main);
    chart.dots(&points);
    chart.name(line[0], &format!("offset {}", signed_figure(found.offset_deg, Unit::Degree)), false);
    answers::readout(ui, &chart, &line, x, y);
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::project::{LoadKind, NewProject};

    #[test]
    fn rows_are_counted_that_are_unfinished_and_that_others_take_the_place_of() {
        let new = NewProject { name: "t".into(), cylinders: 4, load: LoadKind::Throttle, speeds: 8, loads: 8 };
        let project = new.create().unwrap();
        assert_eq!((unfinished(&project.typed_readings), instead(&project).as_str()), (0, ""));
        let row = TypedReading { observed_deg: Some(14.0), ..TypedReading::default() };
        let typed = project.edit(|parts| parts.typed_readings = vec![TypedReading::default(), row]).unwrap();
        assert_eq!((unfinished(&typed.typed_readings), instead(&typed).as_str()), (1, " in the place of 1 typed row"));
    }
}
