//! 'What should the light show?': one operating point, one big number, and what it is made of.

use eframe::egui::{self, FontId, Role, Sense, WidgetInfo, vec2};

use super::answers::{self, Part, Scale};
use crate::spark::{Conditions, Evaluation};
use crate::window::kit::chart::Line;
use crate::window::kit::theme::color;
use crate::window::kit::theme::engine_sheet_sizes::ENGINE_SIZES;
use crate::window::state::engine_state::{EngineMessage, EngineNumber};
use crate::window::state::outbox::Outbox;
use crate::window::views::form::{self, Amount};
use crate::window::views::view::View;
use crate::wording::{Unit, capital, figure, signed_figure};
use crate::worksheet::LightShown;

/// Points of the curve over speed.
const POINTS: u16 = 160;

/// The point on the screen.
pub(super) fn conditions(view: &View<'_>) -> Conditions {
    let [speed, load, coolant, air] = view.screen.engine.light;
    let engine = &view.project.engine;
    Conditions {
        speed_rpm: speed.unwrap_or(engine.idle_speed_rpm),
        load: load.unwrap_or(engine.idle_load),
        coolant_c: Some(coolant.unwrap_or(85.0)),
        air_c: Some(air.unwrap_or(25.0)),
        ..Conditions::default()
    }
}

pub(super) fn ask(ui: &mut egui::Ui, view: &View<'_>, outbox: &mut Outbox) {
    let at = conditions(view);
    let load = view.project.sensors.load;
    form::heading(ui, view.theme, "At");
    let rows = [
        ("Speed", Unit::Rpm, at.speed_rpm, (0.0, 30_000.0), 50.0),
        ("Load", load.unit(), at.load, load.range(), 1.0),
        ("Coolant", Unit::Celsius, at.coolant_c.unwrap_or_default(), (-60.0, 200.0), 1.0),
        ("Air", Unit::Celsius, at.air_c.unwrap_or_default(), (-60.0, 200.0), 1.0),
    ];
    for (place, (label, unit, value, range, step)) in rows.into_iter().enumerate() {
        let (key, name) = (format!("light {label}"), format!("{label} at the light"));
        let amount = Amount { key: &key, label, name: &name, unit, value, range, step };
        form::amount(ui, view, outbox, &amount, |value| EngineMessage::Put(EngineNumber::Light(place), Some(value)));
    }
    let words = "The advance that the unit commands there, less what the sensor's latency takes off. It holds with the \
                 zero offset proved.";
    form::note(ui, view.theme, words);
}

pub(super) fn answer(ui: &mut egui::Ui, view: &View<'_>, part: Part) {
    let at = conditions(view);
    let shown = LightShown::of(view.project, &at);
    if part == Part::Picture {
        form::heading(ui, view.theme, "Over speed");
        return curve(ui, view, &at, &shown);
    }
    big_number(ui, view, &shown);
    form::heading(ui, view.theme, "Made of");
    for (name, deg) in shown.breakdown.contributions.named() {
        let value = match deg {
            None => "left out".to_owned(),
            Some(deg) if name == "table" => figure(deg, Unit::Degree),
            Some(deg) => signed_figure(deg, Unit::Degree),
        };
        form::fact(ui, view.theme, &capital(&name.replace('_', " ")), &value);
    }
    form::fact(ui, view.theme, "Sensor latency", &signed_figure(-shown.lag_deg, Unit::Degree));
    form::fact(ui, view.theme, "State", &shown.breakdown.state.name().replace('_', " "));
}

fn big_number(ui: &mut egui::Ui, view: &View<'_>, shown: &LightShown) {
    let theme = view.theme;
    let (text, words) = match shown.shown_deg {
        Some(deg) if deg < 0.0 => (figure(-deg, Unit::Degree), "after top dead centre"),
        Some(deg) => (figure(deg, Unit::Degree), "before top dead centre"),
        None => ("no spark".to_owned(), "no spark comes there"),
    };
    let (rect, response) = ui.allocate_exact_size(vec2(ui.available_width(), ENGINE_SIZES.big * 1.15), Sense::hover());
    response.widget_info(|| WidgetInfo::labeled(Role::Label, true, format!("The light should show {text} {words}")));
    let font = FontId::proportional(ENGINE_SIZES.big);
    let galley = ui.painter().layout_no_wrap(text, font, color(theme.palette.ink));
    let width = galley.size().x;
    ui.painter().galley(rect.left_center() - vec2(0.0, galley.size().y / 2.0), galley, color(theme.palette.ink));
    form::small(ui, theme, rect.left_center() + vec2(width + theme.gap, ENGINE_SIZES.big * 0.2), words);
}

/// The advance over speed at that load, with the point.
fn curve(ui: &mut egui::Ui, view: &View<'_>, at: &Conditions, shown: &LightShown) {
    let evaluation = Evaluation::new(view.project);
    let over = &view.project.limits.over_speed;
    let last = view.project.advance.table().speed().last();
    let top = at.speed_rpm.max(if over.enabled { over.cuts_at_rpm.max(last) } else { last });
    let point = |place: u16| {
        let speed_rpm = top * f64::from(place) / f64::from(POINTS);
        (speed_rpm, evaluation.lookup(&Conditions { speed_rpm, ..*at }).commanded_deg)
    };
    let points: Vec<(f64, f64)> = (0..=POINTS).map(point).collect();
    let here = (at.speed_rpm, shown.breakdown.commanded_deg);
    let y = Scale::around("commanded advance", Unit::Degree, points.iter().map(|p| p.1).chain([0.0, here.1]), 10.0);
    let words = "The commanded advance over speed at this load, with the point";
    let x = Scale::new("speed", Unit::Rpm, 0.0, top.max(1.0));
    let Some(mut chart) = answers::plot(ui, view.theme, x, y, words) else { return };
    chart.line(&points, Line::Main);
    chart.dots(&[here]);
    chart.name(here, &figure(here.1, Unit::Degree), true);
    answers::readout(ui, &chart, &points, x, y);
}
