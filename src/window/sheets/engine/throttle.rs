//! The throttle sensor: two voltages, its calibration and its wiring.

use eframe::egui;

use super::answers::{self, Part, Scale};
use crate::window::kit::chart::Line;
use crate::window::state::edits::WorksheetEdit;
use crate::window::state::engine_state::{EngineMessage, EngineNumber};
use crate::window::state::outbox::Outbox;
use crate::window::views::form::{self, Blank};
use crate::window::views::view::View;
use crate::wording::{Refusal, Unit, fixed, quantity, with_unit};
use crate::worksheet::{GOOD_CLOSED_V, GOOD_OPEN_V, ThrottleAnswer, Verdict};

pub(super) fn ask(ui: &mut egui::Ui, view: &View<'_>, outbox: &mut Outbox) {
    form::heading(ui, view.theme, "Measured at the signal wire");
    let labels = [("Throttle closed", "Volts with the throttle closed"), ("Wide open", "Volts with the throttle open")];
    for (place, ((label, name), value)) in labels.into_iter().zip(view.screen.engine.throttle_v).enumerate() {
        let blank = Blank { key: label, label, name, unit: Unit::Volt, value, hint: "", range: (0.0, 5.0), step: 0.05 };
        form::blank(ui, view, outbox, &blank, |value| EngineMessage::Put(EngineNumber::Throttle(place), value));
    }
    let sensor = &view.document.project().sensors.throttle;
    let now = if sensor.fitted {
        format!("{} closed, {} open", quantity(sensor.first_v, Unit::Volt), quantity(sensor.second_v, Unit::Volt))
    } else {
        "not fitted".to_owned()
    };
    form::fact(ui, view.theme, "In the project", &now);
    let words = "Ignition on, engine stopped. Measure between signal and sensor ground, closed and wide open.";
    form::note(ui, view.theme, words);
}

pub(super) fn answer(ui: &mut egui::Ui, view: &View<'_>, outbox: &mut Outbox, part: Part) {
    if part == Part::Picture {
        return picture(ui, view);
    }
    form::heading(ui, view.theme, "Result");
    let [Some(closed), Some(open)] = view.screen.engine.throttle_v else {
        return answers::no_answer(ui, view, "Type both voltages as they were measured.");
    };
    let found = match ThrottleAnswer::of(closed, open) {
        Ok(found) => found,
        Err(error) => return answers::no_answer(ui, view, &error.to_string()),
    };
    let travel =
        found.pct_per_v.map_or_else(|| "none".to_owned(), |pct| with_unit(&fixed(pct, 1), Unit::PercentPerVolt));
    form::fact(ui, view.theme, "Calibration", &travel);
    let label = found.obstacle().map_or_else(|| Ok(found.label()), |why| Err(Refusal::new(why.words())));
    answers::apply(ui, outbox, label, || WorksheetEdit::Throttle(found.clone()));
    answers::verdicts(ui, view.theme, &found.verdicts);
}

/// The signal over the throttle, with the fields of a well set sensor, in which the readings should lie.
fn picture(ui: &mut egui::Ui, view: &View<'_>) {
    form::heading(ui, view.theme, "Signal");
    let typed = view.screen.engine.throttle_v;
    let words = match typed {
        [Some(closed), Some(open)] => format!(
            "Signal from {} closed to {} open, between the fields of a well set sensor",
            quantity(closed, Unit::Volt),
            quantity(open, Unit::Volt)
        ),
        _ => "The fields of a well set sensor".to_owned(),
    };
    let (x, y) = (Scale::new("throttle", Unit::Percent, -4.0, 104.0), Scale::new("signal", Unit::Volt, 0.0, 5.0));
    let Some(mut chart) = answers::plot(ui, view.theme, x, y, &words) else { return };
    chart.area(-4.0..=10.0, GOOD_CLOSED_V);
    chart.area(90.0..=104.0, GOOD_OPEN_V);
    let [Some(closed), Some(open)] = typed else { return };
    let ends = [(0.0, closed), (100.0, open)];
    chart.line(&ends, Line::Main);
    chart.dots(&ends);
    chart.name(ends[0], &format!("closed {}", quantity(closed, Unit::Volt)), true);
    chart.name(ends[1], &format!("open {}", quantity(open, Unit::Volt)), false);
    answers::readout(ui, &chart, &ends, x, y);
}
