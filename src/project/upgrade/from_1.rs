//! From version 1 to 2: accepted findings are known by a place that is data and not by its words; readings that are typed
//! and not applied, and runs, belong to the project; the lowest battery voltage is not above the highest. Kept states are projects of their own and are turned with it.

use std::collections::BTreeMap;

use ron::error::SpannedError;
use ron::value::RawValue;
use serde::Deserialize;

use super::super::{FindingPlace, Tree, ron_text};
use super::places_of_1::{Names, place_of};
use super::turn::{Step, Turn, read, turn_all};

/// What of a project this step looks at; the rest is as it was.
#[derive(Deserialize)]
struct Outline<'a> {
    #[serde(borrow, default)]
    format: Option<&'a RawValue>,
    #[serde(borrow, default)]
    sensors: Option<&'a RawValue>,
    #[serde(borrow, default)]
    advance: Option<&'a RawValue>,
    #[serde(borrow, default)]
    outputs: Option<&'a RawValue>,
    #[serde(borrow, default)]
    checks: Option<&'a RawValue>,
}

#[derive(Deserialize)]
struct Named {
    name: String,
}

/// Version 1 let them stand in any order.
#[derive(Deserialize)]
struct Battery<'a> {
    #[serde(borrow)]
    lowest_battery_v: &'a RawValue,
    #[serde(borrow)]
    highest_battery_v: &'a RawValue,
}

#[derive(Deserialize)]
struct Axes {
    speed_rpm: Vec<f64>,
    load: Vec<f64>,
}

#[derive(Deserialize)]
struct Checks<'a> {
    thresholds: BTreeMap<String, f64>,
    #[serde(borrow)]
    accepted: Vec<&'a RawValue>,
}

#[derive(Deserialize)]
struct Accepted<'a> {
    id: String,
    #[serde(borrow)]
    place: &'a RawValue,
}

/// Turns a text of version 1. Parts that are not as version 1 has them stay as they are: whoever reads the text afterwards
/// says what is wrong with them.
///
/// # Errors
/// What the parser says of a text that is not RON.
pub(super) fn step(text: &str) -> Result<Step, SpannedError> {
    turn_all(text, project)
}

fn project(turn: &mut Turn<'_>, outline: &Outline<'_>, whose: &str) {
    if read(outline.format) != Some(1) {
        return;
    }
    if let Some(format) = outline.format {
        turn.replace(format, "2, typed_readings: [], runs: []".into());
    }
    battery(turn, outline.sensors, whose);
    let Some(Checks { thresholds, accepted: all }) = read(outline.checks) else {
        return;
    };
    let outputs: Vec<Named> = read(outline.outputs).unwrap_or_default();
    let axes = read(outline.advance).map(|Axes { speed_rpm, load }| (speed_rpm, load));
    let (speeds_rpm, loads) = axes.unwrap_or_default();
    let names =
        Names { speeds_rpm, loads, outputs: outputs.into_iter().map(|output| output.name).collect(), thresholds };
    all.into_iter().for_each(|each| accepted(turn, each, &names, whose));
}

/// Exchanges a lowest battery voltage that is above the highest.
fn battery(turn: &mut Turn<'_>, sensors: Option<&RawValue>, whose: &str) {
    let Some(Battery { lowest_battery_v: lowest, highest_battery_v: highest }) = read(sensors) else {
        return;
    };
    let volts = |part| read::<f64>(Some(part));
    if !volts(lowest).zip(volts(highest)).is_some_and(|(lowest_v, highest_v)| lowest_v > highest_v) {
        return;
    }
    let [lowest_text, highest_text] = [lowest, highest].map(|part| part.get_ron().trim().to_owned());
    turn.remarks.push(format!(
        "{whose}The lowest battery voltage was {lowest_text} V, above the highest of {highest_text} V: the two are \
         exchanged."
    ));
    turn.replace(lowest, highest_text);
    turn.replace(highest, lowest_text);
}

fn accepted(turn: &mut Turn<'_>, accepted: &RawValue, names: &Names, whose: &str) {
    let Some(Accepted { id, place }) = read(Some(accepted)) else {
        return;
    };
    let Some(words) = read::<String>(Some(place)) else {
        return;
    };
    let found = place_of(&id, &words, names).unwrap_or_else(|| {
        turn.remarks.push(format!(
            "{whose}The finding '{id}' accepted at '{words}' cannot be told any more; it is kept with its reason, but what \
             it was accepted for counts again."
        ));
        // No check finds anything at this place, so the acceptance has no effect.
        FindingPlace::field(words)
    });
    if let Ok(tree) = Tree::of(&found) {
        turn.replace(place, ron_text::print_inline(&tree));
    }
}
