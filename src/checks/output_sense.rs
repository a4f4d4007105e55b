//! Outputs that never switch, or always do.

use super::Severity;
use super::check::Check;
use super::finding::{Noticed, Place};
use super::margin::Bound;
use super::subject::{Subject, rpm};
use crate::compare::Section;
use crate::project::{Condition, LoadKind, Output, Signal};
use crate::wording::{Unit, quantity};

pub(super) const CHECK: Check = Check {
    id: "output_sense",
    title: "Output makes no sense",
    reason: "An output that waits for something that never happens is a lamp that never warns or a fan that never \
             runs.",
    since: 1,
    sections: &[Section::Outputs],
    is_of_map: false,
    grounds: &[],
    thresholds: &[],
    find,
};

fn find(subject: &Subject<'_>) -> Vec<Noticed> {
    let used = subject.outputs.iter().enumerate().filter(|(_, output)| output.enabled);
    used.flat_map(|(at, output)| of_output(subject, at, output)).collect()
}

fn of_output(subject: &Subject<'_>, at: usize, output: &Output) -> Vec<Noticed> {
    let called = &output.name;
    if output.conditions.is_empty() {
        let message = format!("'{called}' is used but waits for nothing");
        return vec![noticed((at, "conditions"), called.clone(), message, (0.0, 1.0), Unit::Condition)];
    }
    let conditions = output.conditions.iter().enumerate();
    let mut told: Vec<Noticed> = conditions
        .filter_map(|(index, condition)| {
            let (why, bound) = never(subject, condition)?;
            let words = format!("{called}, {}", condition.signal.name());
            let message = format!("'{called}' waits for {why}");
            let field = format!("conditions[{index}].on");
            Some(noticed(
                (at, field.as_str()),
                words,
                message,
                (condition.on, bound),
                condition.signal.unit(subject.sensors.load),
            ))
        })
        .collect();
    told.extend(blinking(subject, at, output));
    told
}

/// Why a condition is never met, and the limit that it lies beyond.
fn never(subject: &Subject<'_>, condition: &Condition) -> Option<(String, f64)> {
    let (signal, on) = (condition.signal, condition.on);
    let sensors = &subject.sensors;
    let is_absent = match signal {
        Signal::Coolant => !sensors.coolant.fitted,
        Signal::Air => !sensors.air.fitted,
        Signal::Throttle => sensors.load != LoadKind::Throttle && !sensors.throttle.fitted,
        Signal::Pressure => sensors.load != LoadKind::Pressure,
        Signal::Speed | Signal::Load | Signal::Battery | Signal::Advance => false,
    };
    if is_absent {
        return Some((format!("{}, for which no sensor is fitted or used", signal.name()), 0.0));
    }
    let (low, high) = span(subject, signal);
    let bound = if condition.on > condition.off && on > high {
        high
    } else if condition.on < condition.off && on < low {
        low
    } else {
        return None;
    };
    let unit = signal.unit(subject.sensors.load);
    let words = format!(
        "a {} of {}, which it never reaches; it ends at {}",
        signal.name(),
        quantity(on, unit),
        quantity(bound, unit)
    );
    Some((words, bound))
}

/// The range of a signal in this project.
fn span(subject: &Subject<'_>, signal: Signal) -> (f64, f64) {
    let sensors = &subject.sensors;
    match signal {
        Signal::Speed => (0.0, subject.top_speed_rpm()),
        Signal::Load => sensors.load.range(),
        Signal::Throttle => LoadKind::Throttle.range(),
        Signal::Pressure => LoadKind::Pressure.range(),
        Signal::Coolant | Signal::Air => (-40.0, 150.0),
        Signal::Battery => (0.0, sensors.highest_battery_v),
        Signal::Advance => (subject.limits.clamp.floor_deg, subject.limits.clamp.ceiling_deg),
    }
}

/// A blinking speed at which the light is not on yet, or that is never reached.
fn blinking(subject: &Subject<'_>, at: usize, output: &Output) -> Option<Noticed> {
    let blinks_rpm = output.blinks_from_rpm?;
    let on_speed = output.conditions.iter().find(|condition| condition.signal == Signal::Speed)?;
    let (top_rpm, called) = (subject.top_speed_rpm(), &output.name);
    let (message, bound) = if blinks_rpm <= on_speed.on && on_speed.on > on_speed.off {
        (
            format!(
                "'{called}' blinks from {}, not above {}, where it comes on: it never shines steadily",
                rpm(blinks_rpm),
                rpm(on_speed.on)
            ),
            on_speed.on,
        )
    } else if blinks_rpm > top_rpm {
        (format!("'{called}' blinks from {}, above the last spark at {}", rpm(blinks_rpm), rpm(top_rpm)), top_rpm)
    } else {
        return None;
    };
    let told = noticed((at, "blinks_from_rpm"), format!("{called}, blinking"), message, (blinks_rpm, bound), Unit::Rpm);
    Some(Noticed { severity: Severity::Note, ..told })
}

fn noticed(
    (output, field): (usize, &str),
    words: String,
    message: String,
    (value, threshold): (f64, f64),
    unit: Unit,
) -> Noticed {
    Noticed {
        severity: Severity::Warning,
        place: Place::field(format!("outputs[{output}].{field}"), words),
        message,
        remedy: "Set it to something the engine does, or take the output out of use.".into(),
        value,
        bound: Bound::of(threshold, unit),
        cure: None,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::checks::fixtures::{of, only, sound};
    use crate::project::{Parts, Project};

    fn lamp(signal: Signal, on: f64, off: f64) -> Project {
        let change = |parts: &mut Parts| {
            if let Some(output) = parts.outputs.last_mut() {
                output.conditions = vec![Condition { signal, on, off }];
            }
        };
        sound().edit(change).unwrap()
    }

    #[test]
    fn fires_for_what_never_happens() {
        let cases = [
            ((Signal::Speed, 6700.0, 6000.0), (Signal::Speed, 6701.0, 6000.0)),
            ((Signal::Throttle, 100.0, 90.0), (Signal::Coolant, 151.0, 140.0)),
            ((Signal::Battery, 15.0, 14.0), (Signal::Battery, 15.1, 14.0)),
            ((Signal::Battery, 11.8, 12.4), (Signal::Pressure, 50.0, 40.0)),
            ((Signal::Advance, -10.0, 0.0), (Signal::Advance, -10.5, 0.0)),
        ];
        for ((signal, on, off), (bad_signal, bad_on, bad_off)) in cases {
            assert_eq!(of(&lamp(signal, on, off), "output_sense"), [], "{signal:?}");
            assert_eq!(only(&lamp(bad_signal, bad_on, bad_off), "output_sense").severity, Severity::Warning);
        }
        let found = only(&lamp(Signal::Speed, 7000.0, 6000.0), "output_sense");
        assert_eq!(found.message, "'fan' waits for a speed of 7000 rpm, which it never reaches; it ends at 6700 rpm");
    }

    #[test]
    fn fires_without_its_sensor_or_any_condition() {
        let blind = sound().edit(|parts| parts.sensors.coolant.fitted = false).unwrap();
        assert_eq!(only(&blind, "output_sense").place.words, "fan, coolant");
        let idle = sound().edit(|parts| parts.outputs.iter_mut().for_each(|output| output.conditions.clear())).unwrap();
        assert_eq!(of(&idle, "output_sense").len(), 2);
    }

    #[test]
    fn blinking_must_lie_between_on_and_the_last_spark() {
        let blinks = |rpm: f64| {
            let change = |parts: &mut Parts| {
                if let Some(output) = parts.outputs.first_mut() {
                    output.blinks_from_rpm = Some(rpm);
                }
            };
            of(&sound().edit(change).unwrap(), "output_sense").first().map(|finding| finding.severity)
        };
        assert_eq!((blinks(6051.0), blinks(6700.0)), (None, None));
        assert_eq!((blinks(6050.0), blinks(6701.0)), (Some(Severity::Note), Some(Severity::Note)));
    }
}
