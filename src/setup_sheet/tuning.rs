//! Trims, the layers over the table, limits and outputs.

use super::installation::told_under;
use super::piece::{Piece, ink};
use super::rows::Rows;
use super::sizes;
use super::tables::{decimals_for, facts, left, strips, table};
use crate::compare::Told;
use crate::project::{LoadKind, Output, Project, Trim};
use crate::table::Curve;
use crate::wording::{Unit, fixed, quantity, written};

/// A curve as numbers; values with at least `least` decimals.
fn points(curve: &Curve, least: usize) -> Vec<(String, String)> {
    let decimals = decimals_for(curve.values(), least);
    curve.points().map(|(at, value)| (written(at), fixed(value, decimals))).collect()
}

/// A heading and curves; `None` for something that is switched off.
fn switched(title: &str, enabled: bool, room: f32, curves: &[(&str, &str, &Curve, usize)]) -> Option<Piece> {
    let mut piece = Piece::headed(title, room);
    for (along, value, curve, decimals) in curves {
        strips(&mut piece, (along, value), &points(curve, *decimals), room);
    }
    enabled.then_some(piece)
}

/// One line that lists what is switched off, in place of empty headings.
pub(super) fn switched_off(project: &Project, room: f32) -> Option<Piece> {
    let limits = &project.limits;
    let off: Vec<&str> = [
        (project.trims.coolant.enabled, "coolant trim"),
        (project.trims.air.enabled, "air trim"),
        (project.safety_margin.enabled, "safety margin"),
        (project.full_load_line.enabled, "full-load line"),
        (limits.over_speed.enabled, "OVER-SPEED LIMIT"),
        (limits.launch.enabled, "launch"),
    ]
    .into_iter()
    .filter_map(|(enabled, name)| (!enabled).then_some(name))
    .collect();
    let mut piece = Piece::headed("Switched off", room);
    let words = off.join(", ");
    let mut letters = words.chars();
    let words: String = letters.next().into_iter().flat_map(char::to_uppercase).chain(letters).collect();
    piece.paragraph(&format!("{words}."), room, sizes::BODY, ink().ink);
    (!off.is_empty()).then_some(piece)
}

pub(super) fn trims(project: &Project, room: f32) -> Vec<Piece> {
    let unit = project.sensors.load.unit();
    let load = format!("load {unit}");
    let trim = |title: &str, trim: &Trim| {
        switched(title, trim.enabled, room, &[("°C", "adds °", &trim.degrees, 1), (&load, "weight", &trim.weight, 2)])
    };
    let (margin, line) = (&project.safety_margin, &project.full_load_line);
    let full_load = switched(
        "Full-load line",
        line.enabled,
        room,
        &[("rpm", "at most °", &line.most_deg, 1), (&load, "less °", &line.less_deg, 1)],
    );
    let full_load = full_load.map(|mut piece| {
        let from = format!("Never to be exceeded from load {} upwards.", quantity(line.from_load, unit));
        piece.paragraph(&from, room, sizes::BODY, ink().ink_secondary);
        piece
    });
    [
        trim("Coolant trim", &project.trims.coolant),
        trim("Air trim", &project.trims.air),
        switched("Safety margin", margin.enabled, room, &[(&load, "takes off °", &margin.degrees, 1)]),
        full_load,
    ]
    .into_iter()
    .flatten()
    .collect()
}

pub(super) fn limits(project: &Project, words: &Told<'_>, room: f32) -> Vec<Piece> {
    let limits = &project.limits;
    let cranking = [
        "limits.cranking.advance_deg",
        "limits.cranking.no_spark_below_rpm",
        "limits.cranking.below_rpm",
        "limits.cranking.leave_at_rpm",
        "limits.cranking.blend_rpm",
        "limits.clamp.floor_deg",
        "limits.clamp.ceiling_deg",
    ];
    let over_speed = [
        "limits.over_speed.eases_from_rpm",
        "limits.over_speed.eases_by_deg",
        "limits.over_speed.cuts_at_rpm",
        "limits.over_speed.fires_again_below_rpm",
        "limits.over_speed.cuts_all_at_rpm",
        "limits.over_speed.pattern",
    ];
    let launch = [
        "limits.launch.arms_below_rpm",
        "limits.launch.retards_from_rpm",
        "limits.launch.cuts_at_rpm",
        "limits.launch.resume_drop_rpm",
        "limits.launch.advance_deg",
        "limits.launch.throttle_above_pct",
    ];
    let part = |title: &str, heading: &str, enabled: bool, paths: &[&str]| {
        enabled.then(|| facts(title, &told_under(heading, words, paths), room))
    };
    [
        part("Cranking, floor and ceiling", "", true, &cranking),
        part("Over-speed limit", "Over-speed", limits.over_speed.enabled, &over_speed),
        part("Launch", "Launch", limits.launch.enabled, &launch),
    ]
    .into_iter()
    .flatten()
    .collect()
}

pub(super) fn outputs(project: &Project, room: f32) -> Rows {
    let tachometer = &project.tachometer;
    let pulses = tachometer.pulses_per_revolution;
    let signal = if tachometer.enabled {
        format!("{} per revolution", quantity(pulses, Unit::Pulse))
    } else {
        "not used".into()
    };
    let mut rows = vec![vec!["tachometer".to_owned(), signal]];
    let load = project.sensors.load;
    rows.extend(project.outputs.iter().map(|output| vec![output.name.clone(), sentence(output, load)]));
    table("Outputs", &[left("output"), left("does")], &rows, room)
}

/// The words of an output; a single condition has its signal in front, several are described with theirs.
fn sentence(output: &Output, load: LoadKind) -> String {
    let words = output.words(load);
    match output.conditions.as_slice() {
        [one] if output.enabled => format!("{}: {words}", one.signal.name()),
        _ => words,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::project::{Condition, SAMPLES, Signal};

    #[test]
    fn an_inverted_output_is_told_as_it_switches() {
        let project = SAMPLES[0].project().unwrap().edit(|parts| {
            parts.outputs.truncate(1);
            parts.outputs[0].inverted = true;
            parts.outputs[0].blinks_from_rpm = None;
            parts.outputs[0].conditions = vec![Condition { signal: Signal::Speed, on: 5000.0, off: 4000.0 }];
        });
        let piece = outputs(&project.unwrap(), 260.0).whole(260.0);
        let words: Vec<&str> = piece.texts.iter().map(|text| text.text.as_str()).collect();
        assert!(words.join(" ").contains("speed: off above 5000 rpm, on below 4000 rpm"), "{words:?}");
    }
}
