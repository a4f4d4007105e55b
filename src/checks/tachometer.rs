//! A tachometer signal that most instruments would misread.

use super::check::Check;
use super::finding::{Noticed, Place};
use super::margin::Bound;
use super::subject::Subject;
use super::{Change, Cure, Severity};
use crate::compare::Section;
use crate::wording::{Unit, given, quantity};

pub(super) const CHECK: Check = Check {
    id: "tachometer",
    title: "Tachometer pulses",
    reason: "A four-stroke engine with N cylinders fires N/2 times a revolution, and that is what an ordinary \
             tachometer counts.",
    since: 1,
    sections: &[Section::Tachometer],
    is_of_map: false,
    grounds: &[],
    thresholds: &[],
    find,
};

fn find(subject: &Subject<'_>) -> Vec<Noticed> {
    let value = subject.tachometer.pulses_per_revolution;
    let threshold = f64::from(subject.engine.cylinders) / 2.0;
    if !subject.tachometer.enabled || value == threshold {
        return Vec::new();
    }
    let field = "tachometer.pulses_per_revolution";
    let pulses = |number: f64| quantity(number, Unit::Pulse);
    let label = format!("Set the tachometer to {} per revolution", pulses(threshold));
    vec![Noticed {
        severity: Severity::Note,
        place: Place::field(field, "tachometer"),
        message: format!(
            "the tachometer gets {} per revolution; {} cylinders give {}",
            pulses(value),
            subject.engine.cylinders,
            given(threshold, Unit::Pulse)
        ),
        remedy: format!("Set {}, unless the instrument is made for another number.", pulses(threshold)),
        value,
        bound: Bound::of(threshold, Unit::PerRevolution),
        cure: Some(Cure::new(label, Change::Fields(vec![(field.into(), threshold)]))),
    }]
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::checks::fixtures::{cured, only, severity_after, sound};

    #[test]
    fn fires_for_any_other_number_and_only_when_it_is_used() {
        let pulses =
            |number: f64| severity_after("tachometer", move |parts| parts.tachometer.pulses_per_revolution = number);
        assert_eq!((pulses(2.0), pulses(2.1), pulses(1.0)), (None, Some(Severity::Note), Some(Severity::Note)));
        let off = |parts: &mut crate::project::Parts| {
            (parts.tachometer.enabled, parts.tachometer.pulses_per_revolution) = (false, 1.0);
        };
        assert_eq!(severity_after("tachometer", off), None);
        let start = sound().edit(|parts| parts.tachometer.pulses_per_revolution = 1.0).unwrap();
        assert_eq!(
            only(&start, "tachometer").message,
            "the tachometer gets 1 pulse per revolution; 4 cylinders give 2"
        );
        assert_eq!(cured(&start, "tachometer").1, "Set the tachometer to 2 pulses per revolution");
    }
}
