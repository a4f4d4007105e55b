//! A temperature sender: its law, and what the unit reads.

use eframe::egui::{self, Rect, pos2, vec2};

use super::answers::{self, Part, Scale};
use crate::project::Sender;
use crate::window::kit::chart::Line;
use crate::window::state::edits::WorksheetEdit;
use crate::window::state::engine_state::{EngineMessage, EngineNumber};
use crate::window::state::outbox::Outbox;
use crate::window::views::form::choice::{self, Choice};
use crate::window::views::form::{self, Amount, Blank};
use crate::window::views::view::View;
use crate::wording::{Refusal, Unit, figure, fixed, given};
use crate::worksheet::{Divider, SenderAnswer, SenderPlace};

fn of_project<'a>(view: &View<'a>) -> &'a Sender {
    match view.screen.engine.sender.place {
        SenderPlace::Coolant => &view.project.sensors.coolant,
        SenderPlace::Air => &view.project.sensors.air,
    }
}

/// Whether anything was typed for the sender; otherwise everything is as in the project.
fn is_typed(view: &View<'_>) -> bool {
    let state = &view.screen.engine.sender;
    state.pull_up_ohm.is_some() || state.points.iter().any(Option::is_some)
}

/// Temperatures and resistances in turn: those typed, else the project's.
fn points(view: &View<'_>) -> [f64; 6] {
    let sender = of_project(view);
    let [a, b, c] = sender.points_c;
    let [p, q, r] = sender.points_ohm;
    let own = [a, p, b, q, c, r];
    let typed = view.screen.engine.sender.points;
    std::array::from_fn(|place| typed[place].unwrap_or(own[place]))
}

pub(super) fn ask(ui: &mut egui::Ui, view: &View<'_>, outbox: &mut Outbox) {
    let state = &view.screen.engine.sender;
    form::heading(ui, view.theme, "From the data sheet");
    let places = form::room(ui);
    form::label(ui, view.theme, places.label, "Sender");
    let which = Choice {
        key: "sender place",
        name: "Sender",
        words: &["coolant", "air"],
        now: Some(usize::from(state.place == SenderPlace::Air)),
        tooltip: "Which of the project's senders it is; its values are taken from there.",
    };
    if let Some(taken) = choice::show_at_end(ui, view.theme, places.rest, &which) {
        let place = if taken == 1 { SenderPlace::Air } else { SenderPlace::Coolant };
        outbox.send(EngineMessage::Sender(place));
    }
    let places = form::room(ui);
    form::label(ui, view.theme, places.label, "Law through");
    let law = Choice {
        key: "sender law",
        name: "Law through",
        words: &["three points", "two, by \u{3b2}"],
        now: Some(usize::from(state.by_two)),
        tooltip: "Three points of the data sheet give the law of Steinhart and Hart; two give the simpler β form.",
    };
    if let Some(taken) = choice::show_at_end(ui, view.theme, places.rest, &law) {
        outbox.send(EngineMessage::ByTwo(taken == 1));
    }
    let values = points(view);
    let count = if state.by_two { 2 } else { 3 };
    for point in 0..count {
        // With two points, the outer ones are used.
        let at = if state.by_two && point == 1 { 2 } else { point };
        let typed = [2 * at, 2 * at + 1].map(|place| state.points.get(place).copied().flatten());
        point_row(ui, view, outbox, at, [values[2 * at], values[2 * at + 1]], typed);
    }
    reading(ui, view, outbox);
}

fn point_row(
    ui: &mut egui::Ui,
    view: &View<'_>,
    outbox: &mut Outbox,
    point: usize,
    values: [f64; 2],
    typed: [Option<f64>; 2],
) {
    let places = form::room(ui);
    form::label(ui, view.theme, places.label, &format!("Point {}", point + 1));
    let kinds =
        [("temperature", Unit::Celsius, (-60.0, 300.0), 1.0), ("resistance", Unit::Ohm, (0.1, 10_000_000.0), 10.0)];
    let first = places.at_end(2.0 * form::FORM_SIZES.field_width + form::FORM_SIZES.gap).left();
    let mut left = first;
    let mut refused = None;
    for (side, (((what, unit, range, step), now), value)) in kinds.into_iter().zip(values).zip(typed).enumerate() {
        let rect = Rect::from_min_size(
            pos2(left, places.rest.top()),
            vec2(form::FORM_SIZES.field_width, places.rest.height()),
        );
        left = rect.right() + form::FORM_SIZES.gap;
        let name = format!("Point {}, {what}", point + 1);
        let hint = format!("now {}", given(now, unit));
        let blank = Blank { key: &name, label: "", name: &name, unit, value, hint: &hint, range, step };
        let place = 2 * point + side;
        let put = |value| EngineMessage::Put(EngineNumber::SenderPoint(place), value);
        let why = form::blank_at(ui, view, outbox, rect, &blank, put);
        refused = refused.or(why.map(|why| (name, why)));
    }
    if let Some((key, why)) = refused {
        form::remark(ui, view.theme, places.before(first), &key, &why);
    }
}

fn reading(ui: &mut egui::Ui, view: &View<'_>, outbox: &mut Outbox) {
    let state = &view.screen.engine.sender;
    form::heading(ui, view.theme, "How the unit reads it");
    let hint = format!("now {}", given(of_project(view).pull_up_ohm, Unit::Ohm));
    let blank = Blank {
        key: "sender pull-up",
        label: "Pull-up",
        name: "Pull-up",
        unit: Unit::Ohm,
        value: state.pull_up_ohm,
        hint: &hint,
        range: (1.0, 1_000_000.0),
        step: 10.0,
    };
    form::blank(ui, view, outbox, &blank, |value| EngineMessage::Put(EngineNumber::SenderPullUp, value));
    let row = |key, label, unit, value, range, step| Amount { key, label, name: label, unit, value, range, step };
    let amount = row("sender supply", "Supply", Unit::Volt, state.supply_v, (1.0, 30.0), 0.1);
    form::amount(ui, view, outbox, &amount, |value| EngineMessage::Put(EngineNumber::SenderSupply, Some(value)));
    let amount = row("sender bits", "Converter", Unit::Bit, state.bits, (6.0, 24.0), 1.0);
    form::amount(ui, view, outbox, &amount, |value| EngineMessage::Put(EngineNumber::SenderBits, Some(value)));
}

pub(super) fn answer(ui: &mut egui::Ui, view: &View<'_>, outbox: &mut Outbox, part: Part) {
    let state = &view.screen.engine.sender;
    let [a, p, b, q, c, r] = points(view);
    let all = [(a, p), (b, q), (c, r)];
    let ends = [(a, p), (c, r)];
    let chosen: &[(f64, f64)] = if state.by_two { &ends } else { &all };
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "6 to 24")]
    let divider = Divider {
        pull_up_ohm: state.pull_up_ohm.unwrap_or(of_project(view).pull_up_ohm),
        supply_v: state.supply_v,
        bits: state.bits as u8,
    };
    let is_typed = is_typed(view);
    form::heading(
        ui,
        view.theme,
        match part {
            Part::Picture => "What the unit reads",
            Part::Verdict if is_typed => "Result",
            Part::Verdict => "As the project has it",
        },
    );
    let found = match SenderAnswer::of(chosen, divider, state.place) {
        Ok(found) => found,
        Err(_) if part == Part::Picture => return answers::no_picture(ui, view),
        Err(error) => return answers::no_answer(ui, view, &error.to_string()),
    };
    if part == Part::Picture {
        return picture(ui, view, chosen, &divider, &found);
    }
    let label = if is_typed { Ok(found.label()) } else { Err(Refusal::new("nothing was typed yet")) };
    answers::apply(ui, outbox, label, || WorksheetEdit::Sender(found.clone()));
    if let Some(beta) = found.law.beta {
        form::fact(ui, view.theme, "β", &figure(beta, Unit::Kelvin));
    }
    if is_typed {
        answers::verdicts(ui, view.theme, &found.verdicts);
    } else {
        answers::no_answer(ui, view, "Type what the data sheet says where it differs.");
    }
}

/// The signal over temperature, with the points of the data sheet, and the same as a table.
fn picture(ui: &mut egui::Ui, view: &View<'_>, chosen: &[(f64, f64)], divider: &Divider, found: &SenderAnswer) {
    let volts: Vec<(f64, f64)> = found.rows.iter().map(|row| (row.temperature_c, row.volts)).collect();
    let x = Scale::around("temperature", Unit::Celsius, volts.iter().map(|point| point.0), 40.0);
    let y = Scale::new("signal", Unit::Volt, 0.0, divider.supply_v);
    if let Some(mut chart) = answers::plot(ui, view.theme, x, y, "Volts over temperature") {
        chart.line(&volts, Line::Main);
        let given: Vec<(f64, f64)> = chosen.iter().map(|&(celsius, ohm)| (celsius, divider.volts(ohm))).collect();
        chart.dots(&given);
        answers::readout(ui, &chart, &volts, x, y);
    }
    table(ui, view, found);
}

fn table(ui: &mut egui::Ui, view: &View<'_>, found: &SenderAnswer) {
    let head = ["°C", "Ω", "V", "counts", "°C/count"].map(String::from);
    answers::figures(ui, view.theme, &head, true);
    for row in &found.rows {
        let cells = [
            fixed(row.temperature_c, 0),
            fixed(row.ohm, if row.ohm < 1000.0 { 1 } else { 0 }),
            fixed(row.volts, 3),
            fixed(row.counts, 0),
            fixed(row.c_per_count, 2),
        ];
        answers::figures(ui, view.theme, &cells, false);
    }
}
