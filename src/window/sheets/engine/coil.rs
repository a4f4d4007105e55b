//! The coils: dwell to a current, the time there is, the energy stored.

use eframe::egui;

use super::answers::{self, Part, Scale};
use crate::window::kit::chart::Line;
use crate::window::state::edits::WorksheetEdit;
use crate::window::state::engine_state::{EngineMessage, EngineNumber};
use crate::window::state::outbox::Outbox;
use crate::window::views::form::{self, Blank};
use crate::window::views::view::View;
use crate::wording::{Refusal, Unit, figure, figure_number, fixed, given, quantity};
use crate::worksheet::{CoilAnswer, CoilQuestion};

/// Points of a current's rise.
const POINTS: u16 = 60;

/// The input: `None` before a current was typed. The highest speed is the project's unless another was typed.
fn question(view: &View<'_>) -> Option<CoilQuestion> {
    let [current, limit] = view.screen.engine.coil;
    let mut question = CoilQuestion::of(view.project);
    question.current_a = current?;
    question.limit_rpm = limit.unwrap_or(question.limit_rpm);
    Some(question)
}

pub(super) fn ask(ui: &mut egui::Ui, view: &View<'_>, outbox: &mut Outbox) {
    let of_project = CoilQuestion::of(view.project);
    form::heading(ui, view.theme, "Asked");
    let usual = format!("usual {}", given(of_project.current_a, Unit::Ampere));
    let limit = format!("now {}", given(of_project.limit_rpm, Unit::Rpm));
    let rows = [
        ("Current", "Current to reach", Unit::Ampere, usual.as_str(), (0.5, 50.0), 0.1),
        ("Highest speed", "Highest speed for the coil", Unit::Rpm, limit.as_str(), (100.0, 30_000.0), 50.0),
    ];
    for (place, ((label, name, unit, hint, range, step), value)) in
        rows.into_iter().zip(view.screen.engine.coil).enumerate()
    {
        let blank = Blank { key: name, label, name, unit, value, hint, range, step };
        form::blank(ui, view, outbox, &blank, |value| EngineMessage::Put(EngineNumber::Coil(place), value));
    }
    form::heading(ui, view.theme, "Coil, loom and driver");
    super::installation::coil_rows(ui, view, outbox);
}

pub(super) fn answer(ui: &mut egui::Ui, view: &View<'_>, outbox: &mut Outbox, part: Part) {
    form::heading(ui, view.theme, if part == Part::Picture { "Current and energy" } else { "Result" });
    let found = question(view).map(|asked| CoilAnswer::of(&asked).map(|found| (asked, found)));
    let (asked, found) = match (found, part) {
        (Some(Ok(found)), _) => found,
        (_, Part::Picture) => return answers::no_picture(ui, view),
        (None, _) => return answers::no_answer(ui, view, "Type the current that the coil is to reach."),
        (Some(Err(error)), _) => return answers::no_answer(ui, view, &error.to_string()),
    };
    if part == Part::Picture {
        rise(ui, view, &asked, &found);
        return table(ui, view, &found);
    }
    form::fact(ui, view.theme, "Energy stored", &figure(found.energy_mj, Unit::Millijoule));
    let time = format!(
        "{} of {} a revolution",
        figure_number(found.available_ms, Unit::Millisecond),
        figure(found.revolution_ms, Unit::Millisecond)
    );
    form::fact(ui, view.theme, "Time to charge", &time);
    let label = match found.apply(view.document.project()) {
        Ok(after) if after == *view.document.project() => Err(Refusal::new("the dwell curve is this one already")),
        Ok(_) => Ok(found.label(view.document.project())),
        Err(error) => Err(Refusal::from(error)),
    };
    answers::apply(ui, outbox, label, || WorksheetEdit::Coil(found.clone()));
    answers::verdicts(ui, view.theme, &found.verdicts);
}

/// The current over time from switching on, at the lowest, a middle and the highest voltage.
fn rise(ui: &mut egui::Ui, view: &View<'_>, asked: &CoilQuestion, found: &CoilAnswer) {
    let longest = found.rows.iter().map(|row| row.proposed_ms.max(row.curve_ms)).fold(1.0, f64::max).min(15.0);
    let y = Scale::around(
        "current",
        Unit::Ampere,
        [0.0, asked.current_a * 1.15, asked.coil.rated_current_a].into_iter(),
        2.0,
    );
    let words = "The current over the time from switching on, at three battery voltages";
    let x = Scale::new("dwell", Unit::Millisecond, 0.0, longest);
    let Some(mut chart) = answers::plot(ui, view.theme, x, y, words) else { return };
    chart.line(&[(0.0, asked.current_a), (longest, asked.current_a)], Line::Mark);
    let mut curves = Vec::new();
    for battery_v in [asked.lowest_v, 12.0, asked.highest_v] {
        let point = |place: u16| {
            let dwell_ms = longest * f64::from(place) / f64::from(POINTS);
            (dwell_ms, asked.coil.current_a(dwell_ms, battery_v))
        };
        let points: Vec<(f64, f64)> = (0..=POINTS).map(point).collect();
        chart.line(&points, if battery_v == 12.0 { Line::Main } else { Line::Other });
        curves.push((battery_v, points));
    }
    // Named when all are drawn: where the current is reached, or elsewhere along the curve where there is room.
    for (battery_v, points) in &curves {
        let reached = points.iter().position(|point| point.1 >= asked.current_a).unwrap_or(points.len() - 1);
        let near = |place: &usize| place.abs_diff(reached);
        let mut places: Vec<usize> = (0..points.len()).step_by(4).chain([reached]).collect();
        places.sort_by_key(near);
        let places: Vec<(f64, f64)> = places.into_iter().filter_map(|place| points.get(place).copied()).collect();
        chart.name_one_of(&places, &quantity(*battery_v, Unit::Volt), true);
    }
    if let Some((_, line)) = curves.get(1) {
        answers::readout(ui, &chart, line, x, y);
    }
    chart.dots(&[(asked.coil.dwell_ms.lookup(12.0), asked.coil.current_a(asked.coil.dwell_ms.lookup(12.0), 12.0))]);
}

fn table(ui: &mut egui::Ui, view: &View<'_>, found: &CoilAnswer) {
    let head = ["battery V", "dwell ms", "stored mJ", "duty %", "curve ms", "curve A"].map(String::from);
    answers::figures(ui, view.theme, &head, true);
    for row in &found.rows {
        let cells = [
            fixed(row.battery_v, 1),
            fixed(row.proposed_ms, 2),
            fixed(row.energy_mj, 0),
            fixed(row.duty * 100.0, 0),
            fixed(row.curve_ms, 2),
            fixed(row.curve_a, 1),
        ];
        answers::figures(ui, view.theme, &cells, false);
    }
}
