//! A zero that no timing light has proved.

use super::Severity;
use super::check::Check;
use super::finding::{Noticed, Place};
use super::margin::Bound;
use super::subject::Subject;
use crate::compare::Section;
use crate::wording::Unit;
use crate::worksheet::{MOST_EACH_DEG, MOST_MEAN_DEG, SAME_DEG, SAME_US, Unproved};

pub(super) const CHECK: Check = Check {
    id: "zero_proof",
    title: "Zero not proved",
    reason: "Until a timing light has shown that a commanded degree is a real degree, every number in the table may \
             be wrong by the same amount.",
    since: 1,
    sections: &[Section::TimingLight],
    is_of_map: false,
    grounds: &[],
    thresholds: &[],
    find,
};

fn find(subject: &Subject<'_>) -> Vec<Noticed> {
    let missing = Unproved::of(subject);
    let Some(first) = missing.first() else {
        return Vec::new();
    };
    let (place, value, threshold, unit) = figures(subject, first);
    vec![Noticed {
        severity: Severity::Warning,
        place,
        message: Unproved::all_words(&missing),
        remedy: remedy(first).into(),
        value,
        bound: Bound::of(threshold, unit),
        cure: None,
    }]
}

/// Where the missing proof belongs, the value found, the threshold, and the unit of both.
fn figures(subject: &Subject<'_>, missing: &Unproved) -> (Place, f64, f64, Unit) {
    let place = |path: &str, words: &str| Place::field(path, words);
    match *missing {
        Unproved::NoReadings => (place("timing_light.readings", "zero"), 0.0, 1.0, Unit::Reading),
        Unproved::OtherWheel { now, then } => {
            let [now, then] = [now, then].map(|wheel| (f64::from(wheel.teeth), f64::from(wheel.missing)));
            let (value, threshold, unit) =
                if now.0 == then.0 { (now.1, then.1, Unit::MissingTooth) } else { (now.0, then.0, Unit::Tooth) };
            (place("timing_light.wheel", "zero, other wheel"), value, threshold, unit)
        }
        Unproved::OtherSensor => (place("timing_light.sensor", "zero, other sensor"), 0.0, 1.0, Unit::Reading),
        Unproved::Moved { by_deg } => {
            (place("timing_light.reference_deg", "zero, trigger moved"), by_deg, SAME_DEG, Unit::Degree)
        }
        Unproved::OtherLatency { by_us } => {
            (place("timing_light.latency_us", "zero, other latency"), by_us, SAME_US, Unit::Microsecond)
        }
        Unproved::Mean { mean_deg: off_deg } | Unproved::Each { off_deg, .. } => {
            let most_deg = if matches!(missing, Unproved::Mean { .. }) { MOST_MEAN_DEG } else { MOST_EACH_DEG };
            let place = place("timing_light.readings", "zero, readings that disagree").of("agreement");
            (place, off_deg, most_deg, Unit::Degree)
        }
        // At least one more reading is needed.
        Unproved::OneAdvance | Unproved::Slow => {
            #[expect(clippy::cast_precision_loss, reason = "a handful of readings")]
            let readings = subject.timing_light.readings.len() as f64;
            (place("timing_light.readings", "zero"), readings, readings + 1.0, Unit::Reading)
        }
    }
}

fn remedy(missing: &Unproved) -> &'static str {
    match missing {
        Unproved::NoReadings => {
            "Lock the advance, hold a timing light to the pulley and write the readings down in the timing-light worksheet."
        }
        Unproved::OtherWheel { .. }
        | Unproved::OtherSensor
        | Unproved::Moved { .. }
        | Unproved::OtherLatency { .. } => {
            "Read again with the trigger as it is now, also after a correction that the readings led to, and keep the \
             readings in the timing-light worksheet."
        }
        Unproved::Mean { .. } | Unproved::Each { .. } => {
            "Read again with the trigger as it is now; where the readings still disagree, correct the zero offset in the \
             timing-light worksheet, and read once more."
        }
        Unproved::OneAdvance | Unproved::Slow => {
            "Read at two or more commanded advances, and once above 2500 rpm, and keep the readings in the timing-light \
             worksheet."
        }
    }
}

#[cfg(test)]
mod tests {
    use crate::checks::accept;
    use crate::checks::fixtures::{of, only, sound};
    use crate::project::{Parts, SensorKind};
    use crate::wording::Unit;

    fn message(change: impl FnOnce(&mut Parts)) -> Option<String> {
        of(&sound().edit(change).unwrap(), "zero_proof").pop().map(|finding| finding.message)
    }

    #[test]
    fn fires_without_readings_and_after_a_change_of_the_trigger() {
        assert_eq!(message(|_| ()), None);
        assert_eq!(
            message(|parts| parts.timing_light.readings.clear()).unwrap(),
            "the zero was never proved with a timing light"
        );
        assert!(message(|parts| parts.trigger.wheel.teeth = 60).unwrap().contains("another wheel"));
        assert!(message(|parts| parts.trigger.sensor = SensorKind::Optical).unwrap().contains("another sensor"));
        assert!(message(|parts| parts.trigger.latency_us = 30.0).unwrap().contains("changed by 30.0 µs"));
        let moved = message(|parts| parts.trigger.reference_deg = 101.0).unwrap();
        assert_eq!(moved, "the trigger was moved by 1.0° since the timing-light readings were taken");
        assert_eq!(message(|parts| parts.trigger.zero_offset_deg = 0.04), None);
        assert!(message(|parts| parts.trigger.zero_offset_deg = 0.1).is_some());
    }

    #[test]
    fn names_everything_that_readings_lack() {
        let found = message(|parts| parts.timing_light.readings.truncate(1)).unwrap();
        assert_eq!(
            found,
            "timing-light readings at a second commanded advance are missing; a timing-light reading above 2500 rpm is \
             missing"
        );
        let off = message(|parts| parts.timing_light.readings[1].observed_deg += 2.5).unwrap();
        assert_eq!(off, "timing-light reading 2 is +2.50° off what is commanded, more than 2.0°");
    }

    #[test]
    fn a_reference_moved_by_a_pitch_and_offset_back_is_the_same_trigger() {
        let same = |parts: &mut Parts| {
            (parts.trigger.reference_deg, parts.trigger.zero_offset_deg) = (90.0, 10.0);
        };
        assert_eq!(message(same), None);
    }

    /// Value, threshold and unit are those in the message.
    #[test]
    fn its_figures_are_those_of_its_message() {
        let figures = |change: fn(&mut Parts)| {
            let found = only(&sound().edit(change).unwrap(), "zero_proof");
            (found.value, found.threshold, found.unit)
        };
        let never = |parts: &mut Parts| {
            parts.timing_light.readings.clear();
            parts.trigger.reference_deg = 123.0;
        };
        assert_eq!(figures(never), (0.0, 1.0, Unit::Reading));
        assert_eq!(figures(|parts| parts.trigger.wheel.teeth = 60), (60.0, 36.0, Unit::Tooth));
        assert_eq!(figures(|parts| parts.trigger.wheel.missing = 2), (2.0, 1.0, Unit::MissingTooth));
        assert_eq!(figures(|parts| parts.trigger.zero_offset_deg = 0.1), (0.1, 0.05, Unit::Degree));
        assert_eq!(figures(|parts| parts.timing_light.readings.truncate(2)), (2.0, 3.0, Unit::Reading));
        assert_eq!(figures(|parts| parts.timing_light.readings[0].observed_deg -= 5.0), (-1.25, 1.0, Unit::Degree));
    }

    #[test]
    fn accepted_it_stays_so_when_something_else_changes() {
        let never = sound().edit(|parts| parts.timing_light.readings.clear()).unwrap();
        let (after, _) = accept(&never, &only(&never, "zero_proof"), "proved on the bench").unwrap();
        for deg in [0.0, 45.0, 180.0] {
            let moved = after.edit(|parts| parts.trigger.reference_deg = deg).unwrap();
            assert!(!only(&moved, "zero_proof").is_open(), "{deg}");
        }
    }

    /// An older rule required a number of readings; the threshold for it that a project may still have changes
    /// nothing and is no fault.
    #[test]
    fn the_number_of_readings_that_was_asked_for_once_is_ignored() {
        let more =
            sound().edit(|parts| _ = parts.checks.thresholds.insert("zero_proof_readings".into(), 50.0)).unwrap();
        assert_eq!(crate::checks::run(&more), []);
    }
}
