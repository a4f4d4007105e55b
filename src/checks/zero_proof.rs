//! A zero that no timing light has proved.

use super::catalogue::Check;
use super::finding::{Noticed, Place};
use super::subject::Subject;
use super::{Severity, Sheet, Threshold};
use crate::compare::words::plain;
use crate::project::thresholds;

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

#[expect(clippy::cast_precision_loss, reason = "a handful of readings")]
fn find(subject: &Subject<'_>) -> Vec<Noticed> {
    let (trigger, light) = (&subject.trigger, &subject.timing_light);
    let (value, threshold) = (light.readings.len() as f64, subject.threshold(&READINGS));
    let true_reference = |reference_deg: f64, offset_deg: f64| (reference_deg + offset_deg).rem_euclid(360.0);
    let moved_deg = (true_reference(trigger.reference_deg, trigger.zero_offset_deg)
        - true_reference(light.reference_deg, light.zero_offset_deg))
    .abs();
    let is_moved = moved_deg.min(360.0 - moved_deg) > SAME_DEG;
    let (words, message) = if light.readings.is_empty() || light.taken_at.is_empty() {
        ("zero", "the zero was never proved with a timing light".to_owned())
    } else if light.wheel != trigger.wheel {
        ("zero, other wheel", "the timing-light readings were taken with another wheel".to_owned())
    } else if is_moved {
        let message = format!(
            "the trigger was moved by {}° since the timing-light readings were taken",
            plain(moved_deg.min(360.0 - moved_deg))
        );
        ("zero, trigger moved", message)
    } else if value < threshold {
        ("zero", format!("only {} of {} timing-light readings were taken", plain(value), plain(threshold)))
    } else {
        return Vec::new();
    };
    vec![Noticed {
        severity: Severity::Warning,
        place: Place::field(Sheet::Engine, "timing_light.readings", words),
        message,
        remedy: "Lock the advance, hold a timing light to the pulley and write the readings down in the timing-light \
                 worksheet."
            .into(),
        value: if is_moved { moved_deg.min(360.0 - moved_deg) } else { value },
        threshold,
        unit: if is_moved { "°" } else { "" },
        cure: None,
    }]
}

#[cfg(test)]
mod tests {
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
        assert_eq!(moved, "the trigger was moved by 1° since the timing-light readings were taken");
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

    #[test]
    fn more_readings_can_be_asked_for() {
        let more = sound().edit(|parts| _ = parts.checks.thresholds.insert("zero_proof_readings".into(), 2.0)).unwrap();
        assert_eq!(only(&more, "zero_proof").message, "only 1 of 2 timing-light readings were taken");
    }
}
