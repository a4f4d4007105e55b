//! A dwell for which there is no time at the limit.

use super::check::{Check, Ground};
use super::finding::{Noticed, Place};
use super::margin::Bound;
use super::subject::{Subject, rpm};
use super::{Severity, Threshold};
use crate::compare::Section;
use crate::project::thresholds;
use crate::wording::{Unit, quantity};

const RUNNING: Threshold = thresholds::DWELL_FIT_RUNNING_V;

pub(super) const CHECK: Check = Check {
    id: "dwell_fit",
    title: "Dwell does not fit",
    reason: "A coil that must be charged again before it has burnt its spark gets less dwell than asked for, and the \
             spark weakens at the very top.",
    since: 1,
    sections: &[Section::Coil],
    is_of_map: false,
    grounds: &[Ground::COIL],
    thresholds: &[RUNNING],
    find,
};

/// For how many milliseconds a coil can charge between the end of a spark and the next one: each fires once a
/// revolution.
pub(super) fn available_ms(subject: &Subject<'_>, speed_rpm: f64) -> f64 {
    (60_000.0 / speed_rpm.max(1.0) - subject.coil.burn_time_ms).max(0.0)
}

fn find(subject: &Subject<'_>) -> Vec<Noticed> {
    let battery_v = subject.threshold(&RUNNING);
    let top_rpm = subject.top_speed_rpm();
    let (value, available_ms) = (subject.coil.dwell_ms.lookup(battery_v), available_ms(subject, top_rpm));
    let bound = Bound::of(available_ms, Unit::Millisecond);
    if !subject.is_over(value, bound) {
        return Vec::new();
    }
    vec![Noticed {
        severity: Severity::Warning,
        place: Place::field("coil.dwell_ms", format!("dwell at {}", quantity(battery_v, Unit::Volt))).at(battery_v),
        message: format!(
            "at {} there are {} to charge a coil, but {} are asked for at {}",
            rpm(top_rpm),
            quantity(available_ms, Unit::Millisecond),
            quantity(value, Unit::Millisecond),
            quantity(battery_v, Unit::Volt)
        ),
        remedy: "Shorten the dwell, lower the limit, or fit coils that charge faster.".into(),
        value,
        bound,
        cure: None,
    }]
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::checks::fixtures::{curve, only, severity_after, sound};

    /// At 6700 rpm, where all sparks are cut, a revolution takes 8.955 ms; the spark burns for 1 ms.
    #[test]
    fn fires_when_the_revolution_is_too_short() {
        let dwell =
            |ms: f64| severity_after("dwell_fit", move |parts| parts.coil.dwell_ms = curve(&[(6.0, ms), (16.0, ms)]));
        assert_eq!((dwell(7.95), dwell(7.96)), (None, Some(Severity::Warning)));
        let long = sound().edit(|parts| parts.coil.dwell_ms = curve(&[(6.0, 9.0), (16.0, 9.0)])).unwrap();
        let expected = "at 6700 rpm there are 7.955 ms to charge a coil, but 9 ms are asked for at 12 V";
        assert_eq!(only(&long, "dwell_fit").message, expected);
    }

    /// Largest dwell at 7000 rpm leaving 1 ms for the spark: 7.5714 ms, computed independently.
    #[test]
    fn the_time_agrees_with_a_figure_computed_elsewhere() {
        assert!((available_ms(&Subject::new(&sound()), 7000.0) - 7.571_429).abs() < 1e-6);
    }
}
