//! Before the first start: what to do, what the light showed for each coil, and what that means.

use eframe::egui::{self, Label, RichText};

use crate::window::kit::theme::color;
use crate::window::sheets::engine::answers::{self, Part};
use crate::window::state::engine_state::{EngineMessage, EngineNumber};
use crate::window::state::outbox::Outbox;
use crate::window::views::form::{self, Blank};
use crate::window::views::view::View;
use crate::wording::{Unit, figure, fixed, given, quantity};
use crate::worksheet::FirstStart;

pub(super) fn ask(ui: &mut egui::Ui, view: &View<'_>, outbox: &mut Outbox) {
    let asked = FirstStart::of(view.project);
    form::heading(ui, view.theme, "Seen while cranking, plugs out or in");
    for (place, coil) in asked.coils.iter().enumerate() {
        let [first, second] = coil.cylinders;
        let label = format!("Coil {}, {first}+{second}", coil.coil);
        let (key, name) = (format!("first start {place}"), format!("Coil {} shows", coil.coil));
        let blank = Blank {
            key: &key,
            label: &label,
            name: &name,
            unit: Unit::Degree,
            value: view.screen.engine.first_start_deg.get(place).copied().flatten(),
            hint: "",
            range: (-180.0, 180.0),
            step: 0.5,
        };
        form::blank(ui, view, outbox, &blank, |value| EngineMessage::Put(EngineNumber::FirstStart(place), value));
    }
    let supply = Blank {
        key: "first start supply",
        label: "Supply",
        name: "Supply while cranking",
        unit: Unit::Volt,
        value: view.screen.engine.first_start_v,
        hint: "",
        range: (0.0, 60.0),
        step: 0.1,
    };
    form::blank(ui, view, outbox, &supply, |value| EngineMessage::Put(EngineNumber::FirstStartSupply, value));
    let words =
        "Each coil at the mark of its own pair, degrees before top dead centre; what comes after it is negative.";
    form::note(ui, view.theme, words);
    form::heading(ui, view.theme, "Caution");
    form::note(ui, view.theme, FirstStart::caution());
}

pub(super) fn answer(ui: &mut egui::Ui, view: &View<'_>, part: Part) {
    match part {
        Part::Picture => should_show(ui, view),
        Part::Verdict => verdict(ui, view),
    }
}

fn verdict(ui: &mut egui::Ui, view: &View<'_>) {
    let asked = FirstStart::of(view.project);
    let state = &view.screen.engine;
    form::heading(ui, view.theme, "Result");
    let is_typed = state.first_start_v.is_some() || state.first_start_deg.iter().any(Option::is_some);
    match asked.judge(&state.first_start_deg, state.first_start_v) {
        Ok(_) if !is_typed => answers::no_answer(ui, view, "Type what the light shows of each coil, and the supply."),
        Ok(found) => answers::verdicts(ui, view.theme, &found.verdicts),
        Err(error) => answers::no_answer(ui, view, &error.to_string()),
    }
}

/// What the light should show of each coil, and what is to be done for it.
fn should_show(ui: &mut egui::Ui, view: &View<'_>) {
    let asked = FirstStart::of(view.project);
    form::heading(ui, view.theme, "What the light should show");
    let head = ["coil", "cylinders", "turn by °", "plugs out °", "plugs in °"].map(String::from);
    answers::figures(ui, view.theme, &head, true);
    for coil in &asked.coils {
        let [[first, second], [low, high]] = [coil.cylinders.map(f64::from), coil.plugs_in_deg];
        let cells = [
            coil.coil.clone(),
            format!("{}+{}", given(first, Unit::None), given(second, Unit::None)),
            fixed(coil.mark_after_first_deg, 0),
            fixed(coil.plugs_out_deg, 1),
            format!("{}..{}", fixed(low, 1), fixed(high, 1)),
        ];
        answers::figures(ui, view.theme, &cells, false);
    }
    let [lowest, highest] = asked.supply_v.map(|volts| quantity(volts, Unit::Volt));
    let supply = format!("{lowest} to {highest}; at {lowest} {} stored", figure(asked.energy_mj, Unit::Millijoule));
    form::fact(ui, view.theme, "Supply", &supply);
    for part in asked.steps() {
        form::heading(ui, view.theme, part.heading);
        for (at, step) in part.steps.iter().enumerate() {
            let ink = color(view.theme.palette.ink);
            ui.add(Label::new(RichText::new(format!("{}. {step}", at + 1)).color(ink)).wrap().selectable(false));
            ui.add_space(form::FORM_SIZES.row_gap);
        }
    }
}
