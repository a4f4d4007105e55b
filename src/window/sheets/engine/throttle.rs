//! The throttle sensor: two voltages, its calibration and its wiring.

use eframe::egui;

use super::plot::{Plot, Scale};
use super::told;
use crate::window::form::{self, Amount};
use crate::window::{Outbox, View};
use crate::wording::fixed;
use crate::worksheet::{GOOD_CLOSED_V, GOOD_OPEN_V, ThrottleAnswer, Verdict};

fn volts(view: &View<'_>) -> [f64; 2] {
    let [closed, open] = view.screen.engine.throttle_v;
    let sensor = &view.project.sensors.throttle;
    [closed.unwrap_or(sensor.first_v), open.unwrap_or(sensor.second_v)]
}

pub(super) fn ask(ui: &mut egui::Ui, view: &View<'_>, outbox: &mut Outbox) {
    form::heading(ui, view.theme, "Measured at the signal wire");
    let labels = [("Throttle closed", "Volts with the throttle closed"), ("Wide open", "Volts with the throttle open")];
    for (place, ((label, name), value)) in labels.into_iter().zip(volts(view)).enumerate() {
        let amount = Amount { key: label, label, name, unit: "V", value, range: (0.0, 5.0), step: 0.05 };
        form::amount(ui, view, outbox, &amount, move |screen, value| {
            if let Some(slot) = screen.engine.throttle_v.get_mut(place) {
                *slot = Some(value);
            }
        });
    }
    let words = "Ignition on, engine stopped. Measure between signal and sensor ground, closed and wide open.";
    form::note(ui, view.theme, words);
}

pub(super) fn answer(ui: &mut egui::Ui, view: &View<'_>, outbox: &mut Outbox) {
    let [closed, open] = volts(view);
    let found = match ThrottleAnswer::of(closed, open) {
        Ok(found) => found,
        Err(error) => return told::no_answer(ui, view, &error.to_string()),
    };
    form::heading(ui, view.theme, "Result");
    let travel = found.pct_per_v.map_or_else(|| "none".to_owned(), |pct| format!("{} %/V", fixed(pct, 1)));
    form::fact(ui, view.theme, "Calibration", &travel);
    let label = found.obstacle().map_or_else(|| Ok(found.label()), |why| Err(why.words()));
    let applied = found.clone();
    told::apply(ui, outbox, label, move |project| applied.apply(project).map_err(|error| error.to_string()));
    told::verdicts(ui, view.theme, &found.verdicts);
    ui.add_space(form::SIZES.section_gap);
    let words = format!("Signal from {closed} V closed to {open} V open, between the fields of a well set sensor");
    let mut plot =
        Plot::new(ui, view.theme, Scale::new("throttle, %", -4.0, 104.0), Scale::new("signal, V", 0.0, 5.0), &words);
    plot.field((-4.0, 10.0), (*GOOD_CLOSED_V.start(), *GOOD_CLOSED_V.end()));
    plot.field((90.0, 104.0), (*GOOD_OPEN_V.start(), *GOOD_OPEN_V.end()));
    plot.line(&[(0.0, closed), (100.0, open)], true);
    plot.dots(&[(0.0, closed), (100.0, open)]);
    plot.name((0.0, closed), &format!("closed {} V", fixed(closed, 2)), true);
    plot.name((100.0, open), &format!("open {} V", fixed(open, 2)), false);
}
