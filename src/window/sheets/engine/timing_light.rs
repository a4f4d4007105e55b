//! The timing light: readings in a small grid, typed or pasted, and the zero offset that they lead to.

use eframe::egui::{self, Align2, Event, Rect, ViewportCommand, pos2, vec2};
use jiff::Timestamp;

use super::plot::{Plot, Scale};
use super::sizes::SIZES;
use super::state::ReadingRow;
use super::told;
use crate::interchange::read_readings;
use crate::project::{FieldKind, TimingReading, cautions, field};
use crate::window::form::{self, Entry, Meaning};
use crate::window::screen::Screen;
use crate::window::theme::color;
use crate::window::{Outbox, View};
use crate::wording::{fixed, shortest, written};
use crate::worksheet::words::{deg, signed_deg};
use crate::worksheet::{PRESCRIBED_READINGS, TimingAnswer, TimingSetting, Verdict};

/// Name, unit and path of each column.
const COLUMNS: [(&str, &str, &str); 3] = [
    ("commanded", "°", "timing_light.readings[].commanded_deg"),
    ("observed", "°", "timing_light.readings[].observed_deg"),
    ("speed", "rpm", "timing_light.readings[].speed_rpm"),
];

pub(super) fn ask(ui: &mut egui::Ui, view: &View<'_>, outbox: &mut Outbox) {
    let rows = view.screen.engine.reading_rows(view.project);
    take_paste(ui, outbox);
    form::heading(ui, view.theme, "Readings");
    head(ui, view);
    let mut refused = None;
    for row in 0..SIZES.reading_rows.max(rows.len() + 1) {
        refused = refused.or(reading_row(ui, view, outbox, &rows, row));
    }
    ui.add_space(4.0);
    buttons(ui, view, outbox, &rows);
    let places = form::room(ui);
    let unfinished = rows.iter().filter(|row| row.iter().any(Option::is_some) && reading(row).is_none()).count();
    match (refused, unfinished) {
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

/// How the readings stand to the project.
fn kept_words(view: &View<'_>) -> String {
    let light = &view.project.timing_light;
    if view.screen.engine.readings.is_some() {
        return "Kept with the project when they are applied.".into();
    }
    match light.taken_at.parse::<Timestamp>() {
        Ok(at) => format!(
            "Taken {}, with the zero offset at {} since.",
            crate::window::numbers::date_and_time(at),
            signed_deg(light.zero_offset_deg, 1)
        ),
        Err(_) => "None yet: what the unit commands, what the light shows, at which speed.".into(),
    }
}

fn head(ui: &mut egui::Ui, view: &View<'_>) {
    let places = form::room(ui);
    for (column, (name, unit, _)) in COLUMNS.into_iter().enumerate() {
        let rect = place(places.whole, column);
        let text = if unit == "°" { format!("{name}, °") } else { format!("{name}, {unit}") };
        let (font, ink) = (view.theme.small_font(), color(view.theme.palette.ink_secondary));
        ui.painter().text(rect.right_center() - vec2(form::SIZES.padding, 0.0), Align2::RIGHT_CENTER, text, font, ink);
    }
}

fn place(row: Rect, column: usize) -> Rect {
    let number = SIZES.reading_number;
    let width = (row.width() - number) / 3.0 - form::SIZES.gap;
    #[expect(clippy::cast_precision_loss, reason = "three columns")]
    let left = row.left() + number + column as f32 * (width + form::SIZES.gap);
    Rect::from_min_size(pos2(left, row.top()), vec2(width, row.height()))
}

fn reading_row(
    ui: &mut egui::Ui,
    view: &View<'_>,
    outbox: &mut Outbox,
    rows: &[ReadingRow],
    row: usize,
) -> Option<String> {
    let places = form::room(ui);
    form::small(ui, view.theme, places.whole.left_center(), &format!("{}", row + 1));
    let values = rows.get(row).copied().unwrap_or_default();
    let mut refused = None;
    for (column, ((name, unit, path), value)) in COLUMNS.into_iter().zip(values).enumerate() {
        let shown = value.map(|value| written(value)).unwrap_or_default();
        let (key, name) = (format!("reading {row} {column}"), format!("Reading {}, {name}", row + 1));
        let range = field(path).map(|field| field.kind.range()).unwrap_or_default();
        let tooltip = format!("{name}: {range}\nEnter or Tab takes it, Esc gives up. Ctrl+V pastes whole rows.");
        let entry = Entry { key: &key, label: "", name: &name, shown: &shown, unit, width: None, tooltip: &tooltip };
        let stepped = |text: &str, steps: f64| {
            let step = if unit == "rpm" { 50.0 } else { 0.5 };
            Some(written(crate::wording::settle(form::read(text, unit).ok()? + steps * step)))
        };
        let read = |text: &str| {
            let value = if text.trim().is_empty() { None } else { Some(in_range(form::read(text, unit)?, path)?) };
            let rows = rows.to_vec();
            let change = move |screen: &mut Screen| screen.engine.put_reading(rows, row, column, value);
            Ok(Meaning::Screen(Box::new(change)))
        };
        let why = form::number_at(ui, view, outbox, place(places.whole, column), &entry, stepped, read);
        refused = refused.or(why);
    }
    refused
}

fn in_range(value: f64, path: &str) -> Result<f64, String> {
    match field(path).map(|field| field.kind) {
        Some(kind @ FieldKind::Number { low, high, .. }) if !(low..=high).contains(&value) => {
            Err(format!("{} is outside {}", shortest(value), kind.range()))
        }
        _ => Ok(value),
    }
}

fn buttons(ui: &mut egui::Ui, view: &View<'_>, outbox: &mut Outbox, rows: &[ReadingRow]) {
    ui.horizontal(|ui| {
        let tip = "Seven readings that tell offset, lag and scale apart: four speeds at 10° locked, then 5, 15 and 25° at \
                   1500 rpm. What you observed is to be typed.";
        if ui.button("Prescribed readings").on_hover_text(tip).clicked() {
            let rows = PRESCRIBED_READINGS.map(|(commanded, speed)| [Some(commanded), None, Some(speed)]);
            outbox.screen(move |screen| screen.engine.readings = Some(rows.to_vec()));
        }
        let tip = "Takes rows of commanded, observed and speed from the clipboard, with or without a row of names (Ctrl+V).";
        if ui.button("Paste").on_hover_text(tip).clicked() {
            ui.ctx().send_viewport_cmd(ViewportCommand::RequestPaste);
        }
        let is_own = view.screen.engine.readings.is_none();
        let (text, tip, why) = if view.project.timing_light.readings.is_empty() {
            ("Clear", "Empties the grid.", "it is empty")
        } else {
            ("As applied", "Shows the readings that the project keeps.", "these are the readings that the project keeps")
        };
        let can = !(is_own || text == "Clear" && rows.is_empty());
        let button = ui.add_enabled(can, egui::Button::new(text)).on_hover_text(tip).on_disabled_hover_text(why);
        if button.clicked() {
            outbox.screen(|screen| screen.engine.readings = None);
        }
    });
}

/// Takes pasted rows before a box takes them as one line of text.
fn take_paste(ui: &egui::Ui, outbox: &mut Outbox) {
    let in_field = ui.ctx().text_edit_focused();
    let is_rows = |text: &str| !in_field || text.trim().contains(['\n', '\t', ';']);
    let pasted = ui.input_mut(|input| {
        let at = input.events.iter().position(|event| matches!(event, Event::Paste(text) if is_rows(text)))?;
        match input.events.remove(at) {
            Event::Paste(text) => Some(text),
            _ => None,
        }
    });
    let Some(text) = pasted else {
        return;
    };
    match read_readings(text.as_bytes()) {
        Ok(readings) if readings.is_empty() => outbox.complain("Paste: there are no readings in the clipboard"),
        Ok(readings) => {
            let rows: Vec<ReadingRow> = readings
                .iter()
                .map(|reading| [Some(reading.commanded_deg), Some(reading.observed_deg), Some(reading.speed_rpm)])
                .collect();
            outbox.say(format!("{} readings pasted", rows.len()));
            outbox.screen(move |screen| screen.engine.readings = Some(rows));
        }
        Err(error) => outbox.complain(format!("Paste: {error}")),
    }
}

/// A whole row as a reading.
fn reading(row: &ReadingRow) -> Option<TimingReading> {
    let [commanded_deg, observed_deg, speed_rpm] = *row;
    Some(TimingReading { commanded_deg: commanded_deg?, observed_deg: observed_deg?, speed_rpm: speed_rpm? })
}

pub(super) fn answer(ui: &mut egui::Ui, view: &View<'_>, outbox: &mut Outbox) {
    form::heading(ui, view.theme, "Result");
    let rows = view.screen.engine.reading_rows(view.project);
    let readings: Vec<TimingReading> = rows.iter().filter_map(reading).collect();
    let project = view.document.project();
    let mut setting = TimingSetting::of(project);
    if view.screen.engine.readings.is_none() {
        // These readings led to the zero offset that is kept with them: taken before it was set.
        let light = &project.timing_light;
        let taken = TimingAnswer::of(&readings, &TimingSetting { zero_offset_deg: 0.0, ..setting });
        setting.zero_offset_deg = light.zero_offset_deg - taken.map_or(0.0, |taken| taken.zero_offset_change_deg);
    }
    let found = match TimingAnswer::of(&readings, &setting) {
        Ok(found) => found,
        Err(_) if readings.is_empty() => {
            return told::no_answer(ui, view, "Type one finished reading at least; four or more tell a lag as well.");
        }
        Err(error) => return told::no_answer(ui, view, &error.to_string()),
    };
    let label = if view.screen.engine.readings.is_none() {
        Err("these readings are applied already; change one, or take new ones".to_owned())
    } else {
        found.obstacle().map_or_else(|| Ok(found.label()), |why| Err(why.words()))
    };
    let applied = found.clone();
    let before = outbox.len();
    told::apply(ui, outbox, label, move |project| {
        let now = Timestamp::now().round(jiff::Unit::Second).unwrap_or(Timestamp::UNIX_EPOCH);
        applied.apply(project, &now.to_string()).map_err(|error| error.to_string())
    });
    figures(ui, view, &found);
    told::verdicts(ui, view.theme, &found.verdicts);
    if outbox.len() > before {
        outbox.screen(|screen| screen.engine.readings = None);
    }
    ui.add_space(form::SIZES.section_gap);
    plot(ui, view, &found);
}

fn figures(ui: &mut egui::Ui, view: &View<'_>, found: &TimingAnswer) {
    let between = |ci: Option<[f64; 2]>, told: &dyn Fn(f64) -> String| {
        ci.map_or_else(|| "no interval".to_owned(), |[low, high]| format!("{} to {}", told(low), told(high)))
    };
    let row = |ui: &mut egui::Ui, label: &str, value: Option<String>, interval: String| {
        let text = value.map_or_else(|| "cannot be told".to_owned(), |value| format!("{value}   ({interval})"));
        form::fact(ui, view.theme, label, &text);
    };
    let offset = between(found.offset_ci_deg, &|x| signed_deg(x, 2));
    row(ui, "Offset", Some(signed_deg(found.offset_deg, 2)), offset);
    let lag = between(found.latency_ci_us, &|x| fixed(x, 0));
    row(ui, "Latency", found.latency_us.map(|us| format!("{} µs", fixed(us, 0))), lag);
    let slope = between(found.slope_ci, &|x| fixed(x, 3));
    row(ui, "Slope", found.slope.map(|slope| fixed(slope, 3)), slope);
    form::fact(
        ui,
        view.theme,
        "In pitches",
        &format!("{} of {}", fixed(found.pitches, 2), deg(view.project.trigger.wheel.pitch_deg(), 1)),
    );
    let change =
        format!("by {}, to {}", signed_deg(found.zero_offset_change_deg, 2), signed_deg(found.new_zero_offset_deg, 2));
    form::fact(ui, view.theme, "Zero offset", &change);
}

/// Observed less commanded over speed, with the line that was fitted.
fn plot(ui: &mut egui::Ui, view: &View<'_>, found: &TimingAnswer) {
    let points: Vec<(f64, f64)> = found
        .readings
        .iter()
        .map(|reading| (reading.speed_rpm, reading.observed_deg - reading.commanded_deg))
        .collect();
    let top = points.iter().map(|point| point.0).fold(1000.0, f64::max) * 1.08;
    let line = [(0.0, found.difference_deg(0.0)), (top, found.difference_deg(top))];
    let heights = points.iter().chain(&line).map(|point| point.1).chain([0.0]);
    let y = Scale::around("observed \u{2212} commanded, °", heights, 4.0);
    let words = "Observed less commanded over speed, each reading a dot, with the line fitted through them";
    let mut plot = Plot::new(ui, view.theme, Scale::new("speed, rpm", 0.0, top), y, words);
    plot.dashed(&[(0.0, 0.0), (top, 0.0)]);
    plot.line(&line, true);
    plot.dots(&points);
    plot.name(line[0], &format!("offset {}", signed_deg(found.offset_deg, 1)), false);
}
