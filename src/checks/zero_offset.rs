//! A zero offset so large that the reference is wrong by a pitch.

use super::check::Check;
use super::finding::{Noticed, Place};
use super::subject::{Subject, degrees};
use super::{Change, Cure, Severity, Threshold};
use crate::compare::Section;
use crate::project::thresholds;
use crate::wording::settle;

const WARNING: Threshold = thresholds::ZERO_OFFSET_DEG;

pub(super) const CHECK: Check = Check {
    id: "zero_offset",
    title: "Large zero offset",
    reason: "The zero offset is a fine trim; a large one hides that the wheel sits a tooth away from where the \
             reference says.",
    since: 1,
    sections: &[Section::Trigger],
    is_of_map: false,
    grounds: &[],
    thresholds: &[WARNING],
    find,
};

fn find(subject: &Subject<'_>) -> Vec<Noticed> {
    let (trigger, bound) = (&subject.trigger, subject.bound(&WARNING));
    let value = trigger.zero_offset_deg;
    if !subject.is_over(value.abs(), bound) {
        return Vec::new();
    }
    vec![Noticed {
        severity: Severity::Warning,
        place: Place::field("trigger.zero_offset_deg", "zero offset"),
        message: format!("the zero offset is {}", degrees(value)),
        remedy: format!("Move the reference by whole pitches of {} instead.", degrees(trigger.wheel.pitch_deg())),
        value,
        bound,
        cure: moved(subject),
    }]
}

/// Moves the reference by whole pitches, so that the true reference (reference + zero offset) stays the same.
fn moved(subject: &Subject<'_>) -> Option<Cure> {
    let trigger = &subject.trigger;
    let pitch_deg = trigger.wheel.pitch_deg();
    let by_deg = (trigger.zero_offset_deg / pitch_deg).round() * pitch_deg;
    let reference_deg = settle((trigger.reference_deg + by_deg).rem_euclid(360.0));
    let offset_deg = settle(trigger.zero_offset_deg - by_deg);
    if by_deg == 0.0 || offset_deg.abs() > subject.threshold(&WARNING) {
        return None;
    }
    let fields = vec![("trigger.reference_deg".into(), reference_deg), ("trigger.zero_offset_deg".into(), offset_deg)];
    let label = format!("Move the reference to {}, zero offset {}", degrees(reference_deg), degrees(offset_deg));
    Some(Cure::new(label, Change::Fields(fields)))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::checks::fixtures::{cured, of, only, sound};
    use crate::project::Project;
    use crate::rig::Layout;

    fn offset(deg: f64) -> Project {
        sound().edit(|parts| parts.trigger.zero_offset_deg = deg).unwrap()
    }

    #[test]
    fn fires_beyond_ten_degrees_either_way() {
        assert_eq!(of(&offset(10.0), "zero_offset"), []);
        assert_eq!(of(&offset(-10.0), "zero_offset"), []);
        assert_eq!(only(&offset(-10.1), "zero_offset").message, "the zero offset is −10.1°");
        assert_eq!(only(&offset(10.1), "zero_offset").severity, Severity::Warning);
    }

    #[test]
    fn the_remedy_leaves_every_dead_centre_where_it_is() {
        let start = offset(-12.5);
        let (after, label) = cured(&start, "zero_offset");
        assert_eq!(label, "Move the reference to 90.0°, zero offset −2.5°");
        assert_eq!(Layout::new(&after), Layout::new(&start));
    }
}
