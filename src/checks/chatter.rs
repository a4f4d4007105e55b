//! Outputs that switch on and off too often.

use super::check::Check;
use super::finding::{Noticed, Place};
use super::margin::Bound;
use super::subject::Subject;
use super::{Change, Cure, Severity, Threshold};
use crate::compare::Section;
use crate::project::{Condition, Signal, Tree, kind_at, thresholds};
use crate::wording::{given, quantity, settle};

const SPEED: Threshold = thresholds::CHATTER_SPEED_RPM;
const TEMPERATURE: Threshold = thresholds::CHATTER_TEMPERATURE_C;
const LOAD: Threshold = thresholds::CHATTER_LOAD;
const THROTTLE: Threshold = thresholds::CHATTER_THROTTLE_PCT;
const PRESSURE: Threshold = thresholds::CHATTER_PRESSURE_KPA;
const BATTERY: Threshold = thresholds::CHATTER_BATTERY_V;
const ADVANCE: Threshold = thresholds::CHATTER_ADVANCE_DEG;

pub(super) const CHECK: Check = Check {
    id: "chatter",
    title: "Output chatters",
    reason: "Signals ripple; an output whose thresholds lie within the ripple clicks all the time and wears its relay \
             out.",
    since: 1,
    sections: &[Section::Outputs],
    is_of_map: false,
    grounds: &[],
    thresholds: &[SPEED, TEMPERATURE, LOAD, THROTTLE, PRESSURE, BATTERY, ADVANCE],
    find,
};

const fn least(signal: Signal) -> &'static Threshold {
    match signal {
        Signal::Speed => &SPEED,
        Signal::Load => &LOAD,
        Signal::Throttle => &THROTTLE,
        Signal::Pressure => &PRESSURE,
        Signal::Coolant | Signal::Air => &TEMPERATURE,
        Signal::Battery => &BATTERY,
        Signal::Advance => &ADVANCE,
    }
}

fn find(subject: &Subject<'_>) -> Vec<Noticed> {
    let used = subject.outputs.iter().enumerate().filter(|(_, output)| output.enabled);
    let conditions = used.flat_map(|(at, output)| {
        output
            .conditions
            .iter()
            .enumerate()
            .map(move |(index, condition)| ((at, index), output.name.as_str(), condition))
    });
    let told = conditions.filter_map(|(place, output, condition)| {
        let bound = subject.bound(least(condition.signal));
        let value = (condition.on - condition.off).abs();
        subject.is_under(value, bound).then(|| noticed(subject, place, output, condition, (value, bound)))
    });
    told.collect()
}

fn noticed(
    subject: &Subject<'_>,
    (output, index): (usize, usize),
    called: &str,
    condition: &Condition,
    (value, bound): (f64, Bound),
) -> Noticed {
    let unit = condition.signal.unit(subject.sensors.load);
    let path = format!("outputs[{output}].conditions[{index}].off");
    let (on_words, off_words) = (given(condition.on, unit), quantity(condition.off, unit));
    // Twice as far apart as needed, or just far enough if there is no room for more.
    let apart = |share: f64| settle(condition.on - (share * bound.allowed).copysign(condition.on - condition.off));
    let off = [2.0, 1.0].map(apart).into_iter().find(|&off| is_allowed(subject, &path, off));
    let cure = off.map(|off| {
        let label = format!("Let '{called}' switch off at {}", quantity(off, unit));
        Cure::new(label, Change::Fields(vec![(path.clone(), off)]))
    });
    Noticed {
        severity: Severity::Warning,
        place: Place::field(path, format!("{called}, {}", condition.signal.name())),
        message: format!("'{called}' switches on at {on_words} and off at {}", off_words),
        remedy: format!("Set the two at least {} apart.", quantity(bound.allowed, unit)),
        value: settle(value),
        bound,
        cure,
    }
}

fn is_allowed(subject: &Subject<'_>, path: &str, value: f64) -> bool {
    kind_at(path, subject).is_some_and(|kind| kind.refusal(&Tree::Number(value)).is_none())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::checks::fixtures::{cured, of, only, sound};
    use crate::project::{Parts, Project};

    fn fan(signal: Signal, on: f64, off: f64) -> Project {
        let change = |parts: &mut Parts| {
            if let Some(output) = parts.outputs.last_mut() {
                output.conditions = vec![Condition { signal, on, off }];
            }
        };
        sound().edit(change).unwrap()
    }

    #[test]
    fn fires_within_the_ripple_of_each_signal() {
        let cases = [
            (Signal::Speed, 4000.0, 50.0),
            (Signal::Load, 60.0, 2.0),
            (Signal::Throttle, 60.0, 2.0),
            (Signal::Coolant, 92.0, 2.0),
            (Signal::Air, 45.0, 2.0),
            (Signal::Battery, 12.0, 0.3),
            (Signal::Advance, 20.0, 2.0),
        ];
        for (signal, on, apart) in cases {
            for sign in [1.0, -1.0] {
                assert_eq!(of(&fan(signal, on, on - sign * apart), "chatter"), [], "{signal:?}");
                let found = only(&fan(signal, on, on - sign * apart * 0.9), "chatter");
                assert_eq!((found.severity, found.threshold), (Severity::Warning, apart), "{signal:?}");
            }
        }
    }

    #[test]
    fn an_output_that_is_not_used_is_silent() {
        let off = fan(Signal::Coolant, 92.0, 91.8)
            .edit(|parts| parts.outputs.iter_mut().for_each(|output| output.enabled = false));
        assert_eq!(of(&off.unwrap(), "chatter"), []);
    }

    #[test]
    fn the_remedy_stays_within_what_a_threshold_may_be() {
        let apart = |rpm: f64| {
            let lamp = fan(Signal::Speed, 1000.0, 990.0);
            let change = |parts: &mut Parts| {
                parts.outputs[0].enabled = false;
                parts.checks.thresholds.insert("chatter_speed_rpm".into(), rpm);
            };
            lamp.edit(change).unwrap()
        };
        assert_eq!(cured(&apart(500.0), "chatter").0.outputs[1].conditions[0].off, 0.0);
        assert_eq!(cured(&apart(1000.0), "chatter").0.outputs[1].conditions[0].off, 0.0);
        assert_eq!(only(&apart(1200.0), "chatter").cure, None);
    }

    #[test]
    fn the_remedy_sets_them_twice_as_far_apart_as_needed() {
        let start = fan(Signal::Coolant, 92.0, 91.8);
        assert_eq!(only(&start, "chatter").message, "'fan' switches on at 92 and off at 91.8 °C");
        let (after, label) = cured(&start, "chatter");
        assert_eq!((label.as_str(), after.outputs[1].conditions[0].off), ("Let 'fan' switch off at 88 °C", 88.0));
        let (after, _) = cured(&fan(Signal::Battery, 11.8, 11.9), "chatter");
        assert_eq!(after.outputs[1].conditions[0].off, 12.4);
    }
}
