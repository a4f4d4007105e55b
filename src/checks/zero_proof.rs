//! A zero that no timing light has proved.

use super::catalogue::Check;
use super::finding::{Noticed, Place};
use super::subject::{Subject, degrees};
use super::threshold::exceeds;
use super::{Severity, Sheet, Threshold};
use crate::project::thresholds;
use crate::wording::{given, settle};

const READINGS: Threshold = thresholds::ZERO_PROOF_READINGS;
/// Reference and offset have moved by less than this: the same trigger.
const SAME_DEG: f64 = 0.05;

pub(super) const CHECK: Check = Check {
    id: "zero_proof",
    title: "Zero not proved",
    reason: "Until a timing light has shown that a commanded degree is a real degree, every number in the table may \
             be wrong by the same amount.",
    thresholds: &[READINGS],
    find,
};

/// What was noticed: the field and the place in words, the sentence, what was found, what it is held against, and the unit
/// of both.
type Told = ((&'static str, &'static str), String, f64, f64, &'static str);

const NO_READINGS: (&str, &str) = ("timing_light.readings", "zero");
const OTHER_WHEEL: (&str, &str) = ("timing_light.wheel", "zero, other wheel");
const MOVED: (&str, &str) = ("timing_light.reference_deg", "zero, trigger moved");

fn find(subject: &Subject<'_>) -> Vec<Noticed> {
    let noticed = |((path, words), message, value, threshold, unit): Told| Noticed {
        severity: Severity::Warning,
        place: Place::field(Sheet::Engine, path, words),
        message,
        remedy: "Lock the advance, hold a timing light to the pulley and write the readings down in the timing-light \
                 worksheet."
            .into(),
        value,
        threshold,
        unit,
        cure: None,
    };
    told(subject).map(noticed).into_iter().collect()
}

#[expect(clippy::cast_precision_loss, reason = "a handful of readings")]
fn told(subject: &Subject<'_>) -> Option<Told> {
    let (trigger, light) = (&subject.trigger, &subject.timing_light);
    let (readings, wanted) = (light.readings.len() as f64, subject.threshold(&READINGS));
    if light.readings.is_empty() || light.taken_at.is_empty() {
        let message = "the zero was never proved with a timing light".to_owned();
        // Readings without a date count as none.
        return Some((NO_READINGS, message, 0.0, wanted, "readings"));
    }
    if light.wheel != trigger.wheel {
        let message = "the timing-light readings were taken with another wheel".to_owned();
        let [now, then] = [trigger.wheel, light.wheel].map(|wheel| (f64::from(wheel.teeth), f64::from(wheel.missing)));
        let (value, threshold, unit) =
            if now.0 == then.0 { (now.1, then.1, "missing teeth") } else { (now.0, then.0, "teeth") };
        return Some((OTHER_WHEEL, message, value, threshold, unit));
    }
    let moved_deg = moved_deg(subject);
    if exceeds(moved_deg, SAME_DEG) {
        let message =
            format!("the trigger was moved by {} since the timing-light readings were taken", degrees(moved_deg));
        return Some((MOVED, message, moved_deg, SAME_DEG, "°"));
    }
    exceeds(wanted, readings).then(|| {
        let message = format!("only {} of {} timing-light readings were taken", given(readings, ""), given(wanted, ""));
        (NO_READINGS, message, readings, wanted, "readings")
    })
}

/// How far the true reference lies from where it was when the readings were taken, in degrees.
fn moved_deg(subject: &Subject<'_>) -> f64 {
    let (trigger, light) = (&subject.trigger, &subject.timing_light);
    let now_deg = trigger.reference_deg + trigger.zero_offset_deg;
    let then_deg = light.reference_deg + light.zero_offset_deg;
    let apart_deg = (now_deg - then_deg).rem_euclid(360.0);
    settle(apart_deg.min(360.0 - apart_deg))
}

#[cfg(test)]
mod tests {
    use crate::checks::accept;
    use crate::checks::fixtures::{of, only, sound};
    use crate::project::Parts;

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
        let moved = message(|parts| parts.trigger.reference_deg = 91.0).unwrap();
        assert_eq!(moved, "the trigger was moved by 1.0° since the timing-light readings were taken");
        assert_eq!(message(|parts| parts.trigger.zero_offset_deg = 0.04), None);
        assert!(message(|parts| parts.trigger.zero_offset_deg = 0.1).is_some());
    }

    #[test]
    fn a_reference_moved_by_a_pitch_and_offset_back_is_the_same_trigger() {
        let same = |parts: &mut Parts| {
            (parts.trigger.reference_deg, parts.trigger.zero_offset_deg) = (80.0, 10.0);
        };
        assert_eq!(message(same), None);
    }

    /// What was found, what it was held against, and the unit of both, is that of the message.
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
        assert_eq!(figures(never), (0.0, 1.0, "readings"));
        assert_eq!(figures(|parts| parts.trigger.wheel.teeth = 60), (60.0, 36.0, "teeth"));
        assert_eq!(figures(|parts| parts.trigger.wheel.missing = 2), (2.0, 1.0, "missing teeth"));
        assert_eq!(figures(|parts| parts.trigger.zero_offset_deg = 0.1), (0.1, 0.05, "°"));
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

    #[test]
    fn more_readings_can_be_asked_for() {
        let more = sound().edit(|parts| _ = parts.checks.thresholds.insert("zero_proof_readings".into(), 2.0)).unwrap();
        assert_eq!(only(&more, "zero_proof").message, "only 1 of 2 timing-light readings were taken");
    }
}
