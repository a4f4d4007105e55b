//! One point: the sum term by term, and what the timing light should show.

use std::fmt::Write;

use serde::Serialize;

use super::flashed::FlashedPoint;
use crate::command_line::output::{Format, locked_line};
use crate::command_line::{Answer, Failure};
use crate::project::Project;
use crate::spark::{Breakdown, Conditions, State};
use crate::wording::{Unit, fixed, point, quantity, signed, with_unit};
use crate::worksheet::LightShown;

#[derive(Serialize)]
struct Found {
    locked_timing_deg: Option<f64>,
    conditions: Point,
    #[serde(flatten)]
    breakdown: Breakdown,
    #[serde(skip_serializing_if = "Option::is_none")]
    flashed: Option<FlashedPoint>,
}

#[derive(Serialize)]
struct Point {
    speed_rpm: f64,
    load: f64,
    coolant_c: Option<f64>,
    air_c: Option<f64>,
    battery_v: Option<f64>,
    throttle_pct: Option<f64>,
    launch: bool,
}

/// What the spark does at these conditions.
pub(super) fn look_up(
    project: &Project,
    conditions: &Conditions,
    as_flashed: bool,
    format: Format,
) -> Result<Answer, Failure> {
    let light = LightShown::of(project, conditions);
    let &Conditions { speed_rpm, load, coolant_c, air_c, battery_v, launch_switch: launch, .. } = conditions;
    let throttle_pct = conditions.throttle(project.sensors.load);
    let point = Point { speed_rpm, load, coolant_c, air_c, battery_v, throttle_pct, launch };
    let wanted_deg = light.breakdown.commanded_deg;
    let flashed = as_flashed.then(|| FlashedPoint::of(project, conditions, wanted_deg)).transpose()?;
    let found =
        Found { locked_timing_deg: project.locked_timing_deg, conditions: point, breakdown: light.breakdown, flashed };
    let unit = project.sensors.load.unit();
    format.answer(&found, || {
        let decimals = found.flashed.as_ref().map_or(DECIMALS, |flashed| flashed.decimals().max(DECIMALS));
        let flashed = found.flashed.as_ref().map_or_else(String::new, |flashed| flashed.text(unit, decimals));
        text(project, &found.conditions, &light, decimals) + &flashed
    })
}

/// Degrees have at least this many decimals, or as many as the counts of the unit's table need, so that the
/// same number reads the same throughout the answer.
const DECIMALS: usize = 2;

fn text(project: &Project, at: &Point, light: &LightShown, decimals: usize) -> String {
    let breakdown = &light.breakdown;
    let mut text = format!("{}{}\n\n", locked_line(project), conditions_words(project, at));
    for (name, deg) in breakdown.contributions.named() {
        push_contribution(&mut text, name, deg, decimals);
    }
    let _ = writeln!(
        text,
        "  {:<14}{:>9}",
        "commanded",
        with_unit(&fixed(breakdown.commanded_deg, decimals), Unit::Degree)
    );
    if light.lag_deg != 0.0 {
        let _ = writeln!(
            text,
            "  {:<14}{:>9}",
            "sensor latency",
            with_unit(&signed(-light.lag_deg, decimals), Unit::Degree)
        );
    }
    let _ = write!(text, "\n{}\n{}\n", result_words(light, decimals), state_words(breakdown));
    text
}

fn conditions_words(project: &Project, at: &Point) -> String {
    let mut words = vec![point(at.speed_rpm, at.load, project.sensors.load.unit())];
    let besides = [
        ("coolant", at.coolant_c, Unit::Celsius),
        ("air", at.air_c, Unit::Celsius),
        ("battery", at.battery_v, Unit::Volt),
    ];
    words.extend(
        besides.iter().filter_map(|(name, value, unit)| Some(format!("{name} {}", quantity((*value)?, *unit)))),
    );
    if at.launch {
        words.push("launch switch closed".into());
    }
    words.join(", ")
}

/// Contributions of zero are left out; missing signals are named.
fn push_contribution(text: &mut String, name: &str, deg: Option<f64>, decimals: usize) {
    let label = name.replace('_', " ");
    let _ = match deg {
        Some(0.0) => Ok(()),
        Some(deg) => writeln!(text, "  {label:<14}{:>9}", with_unit(&signed(deg, decimals), Unit::Degree)),
        None => writeln!(text, "  {label:<14}{:>9}  no temperature given", "left out"),
    };
}

fn result_words(light: &LightShown, decimals: usize) -> String {
    let Some(shown_deg) = light.shown_deg else {
        let is_cut = light.breakdown.cut.is_some();
        return if is_cut { "The light should show  nothing steady." } else { "The light should show  nothing." }
            .into();
    };
    let side = if shown_deg < 0.0 { "after" } else { "before" };
    let shown = with_unit(&fixed(shown_deg.abs(), decimals), Unit::Degree);
    format!("The light should show  {shown}  {side} top dead centre.")
}

pub(super) fn state_words(breakdown: &Breakdown) -> &'static str {
    match breakdown.state {
        State::Stopped => "State: stopped. The engine turns too slowly for any spark.",
        State::Cranking => "State: cranking. The cranking advance stands alone.",
        State::LimitCut => "State: limit_cut. Sparks are cut at the over-speed limit.",
        State::LaunchCut => "State: launch_cut. Sparks are cut at the launch limit.",
        State::OverSpeed => "State: over_speed. The advance eases off below the over-speed limit.",
        State::Launch => "State: launch. Launch holds the advance back.",
        State::Running => "State: running.",
    }
}
