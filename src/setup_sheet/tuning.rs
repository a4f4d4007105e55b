//! Trims, the layers over the table, limits and outputs.

use super::installation::told_under;
use super::piece::{Piece, ink};
use super::sizes;
use super::tables::{facts, left, strips, table};
use crate::compare::Told;
use crate::project::{Combine, Output, Project, Signal, Trim};
use crate::table::{Curve, fixed, shortest};

fn points(curve: &Curve, decimals: usize) -> Vec<(String, String)> {
    curve.points().map(|(at, value)| (shortest(at).replace('-', "−"), fixed(value, decimals))).collect()
}

/// A heading that says whether the thing is on, and its curves if it is.
fn switched(title: &str, enabled: bool, room: f32, curves: &[(&str, &str, &Curve, usize)]) -> Piece {
    let title = if enabled { title.to_owned() } else { format!("{title}: off") };
    let mut piece = Piece::headed(&title, room);
    if enabled {
        for (along, value, curve, decimals) in curves {
            strips(&mut piece, (along, value), &points(curve, *decimals), room);
        }
    } else {
        piece.height -= 3.0;
    }
    piece
}

pub(super) fn trims(project: &Project, room: f32) -> Vec<Piece> {
    let unit = project.sensors.load.unit();
    let load = format!("load {unit}");
    let trim = |title: &str, trim: &Trim| {
        switched(title, trim.enabled, room, &[("°C", "adds °", &trim.degrees, 1), (&load, "weight", &trim.weight, 2)])
    };
    let (margin, line) = (&project.safety_margin, &project.full_load_line);
    let mut full_load = switched(
        "Full-load line, never to be exceeded",
        line.enabled,
        room,
        &[("rpm", "at most °", &line.most_deg, 1), (&load, "less °", &line.less_deg, 1)],
    );
    if line.enabled {
        let from = format!("From load {} {unit} upwards.", shortest(line.from_load));
        full_load.paragraph(&from, room, sizes::SMALL, ink().ink_secondary);
    }
    vec![
        trim("Coolant trim", &project.trims.coolant),
        trim("Air trim", &project.trims.air),
        switched("Safety margin", margin.enabled, room, &[(&load, "takes off °", &margin.degrees, 1)]),
        full_load,
    ]
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
        if enabled { facts(title, &told_under(heading, words, paths), room) } else { switched(title, false, room, &[]) }
    };
    vec![
        part("Cranking, floor and ceiling", "", true, &cranking),
        part("Over-speed limit", "Over-speed", limits.over_speed.enabled, &over_speed),
        part("Launch", "Launch", limits.launch.enabled, &launch),
    ]
}

pub(super) fn outputs(project: &Project, room: f32, highest: f32) -> Vec<Piece> {
    let tachometer = &project.tachometer;
    let pulses = tachometer.pulses_per_revolution;
    let noun = if pulses == 1.0 { "pulse" } else { "pulses" };
    let signal =
        if tachometer.enabled { format!("{} {noun} per revolution", shortest(pulses)) } else { "not used".into() };
    let mut rows = vec![vec!["tachometer".to_owned(), signal]];
    rows.extend(project.outputs.iter().map(|output| vec![output.name.clone(), sentence(output, project)]));
    table("Outputs", &[left("output"), left("does")], &rows, room, highest)
}

/// 'on from 6900 rpm, off again at 6750 rpm; blinks from 7250 rpm'.
fn sentence(output: &Output, project: &Project) -> String {
    if !output.enabled {
        return "not used".into();
    }
    let load = project.sensors.load;
    let one = |condition: &crate::project::Condition| {
        let (name, unit) = signal(condition.signal, load.unit());
        let amount = |value: f64| {
            let number = shortest(value).replace('-', "−");
            if unit == "°" { format!("{number}°") } else { format!("{number} {unit}") }
        };
        let rising = if condition.on > condition.off { "rises to" } else { "falls to" };
        format!("{name} {rising} {} (off at {})", amount(condition.on), amount(condition.off))
    };
    let conditions: Vec<String> = output.conditions.iter().map(one).collect();
    let joined = match (conditions.is_empty(), output.combine) {
        (true, _) => "never".to_owned(),
        (_, Combine::All) => conditions.join(" and "),
        (_, Combine::Any) => conditions.join(" or "),
    };
    let verb = if output.inverted { "off when" } else { "on when" };
    let blinks = output.blinks_from_rpm.map_or_else(String::new, |rpm| format!("; blinks from {} rpm", shortest(rpm)));
    format!("{verb} {joined}{blinks}")
}

fn signal(signal: Signal, load_unit: &'static str) -> (&'static str, &'static str) {
    match signal {
        Signal::Speed => ("speed", "rpm"),
        Signal::Load => ("load", load_unit),
        Signal::Throttle => ("throttle", "%"),
        Signal::Pressure => ("pressure", "kPa"),
        Signal::Coolant => ("coolant", "°C"),
        Signal::Air => ("air", "°C"),
        Signal::Battery => ("battery", "V"),
        Signal::Advance => ("advance", "°"),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::project::SAMPLES;

    #[test]
    fn outputs_are_sentences() {
        let project = SAMPLES[0].project().unwrap();
        let say = |index: usize| sentence(&project.outputs[index], &project);
        assert!(say(0).starts_with("on when speed rises to "), "{}", say(0));
        assert!(say(0).contains("; blinks from "));
        assert_eq!(
            say(3),
            "on when battery falls to 11.8 V (off at 12.4 V) and speed rises to 1500 rpm (off at 1300 rpm)"
        );
    }
}
