//! A locked-timing copy left in the unit.

use super::Severity;
use super::check::Check;
use super::finding::{Noticed, Place};
use super::margin::{Bound, exceeds};
use super::subject::{Subject, degrees};
use crate::compare::Section;
use crate::image::{Features, FlashedUnit, compare_spark};
use crate::wording::Unit;

pub(super) const CHECK: Check = Check {
    id: "locked_timing",
    title: "Locked timing in the unit",
    reason: "A flat table for the timing light holds the same advance at full load and at the limit: it breaks an \
             engine that is driven with it.",
    since: 1,
    sections: &[Section::Project, Section::Image],
    is_of_map: false,
    grounds: &[],
    thresholds: &[],
    find,
};

fn find(subject: &Subject<'_>) -> Vec<Noticed> {
    let exported = subject.last_export.as_ref().and_then(|export| Some((export, export.state.locked_timing_deg?)));
    let told = exported.map(|(export, deg)| Noticed {
        severity: Severity::Error,
        place: Place::field("last_export", "last export"),
        message: format!("the last export, {}, is locked at {}", export.file_name, degrees(deg)),
        remedy: "Export the table itself and flash that before the car is driven.".into(),
        value: deg,
        bound: Bound::of(0.0, Unit::None),
        cure: None,
    });
    let own = subject.locked_timing_deg.map(|deg| Noticed {
        severity: Severity::Note,
        place: Place::field("locked_timing_deg", "locked timing"),
        message: format!("this is the copy for the timing light, locked at {}", degrees(deg)),
        remedy: "Go back to the project it was made from when the readings are taken.".into(),
        value: deg,
        bound: Bound::of(0.0, Unit::None),
        cure: None,
    });
    told.into_iter().chain(own).chain(not_in_the_bytes(subject)).collect()
}

/// Smaller differences cannot be read with a light.
const LOCKED_WITHIN_DEG: f64 = 0.25;

/// A copy whose bytes command another advance in a unit that applies every number it finds.
fn not_in_the_bytes(subject: &Subject<'_>) -> Option<Noticed> {
    let deg = subject.locked_timing_deg?;
    let image = subject.image().ok()?;
    let unit = FlashedUnit::with_image(subject.project, &image.bytes, Features::All).ok()?;
    let largest = compare_spark(subject.project, &unit).largest;
    exceeds(largest.deg().abs(), LOCKED_WITHIN_DEG).then(|| Noticed {
        severity: Severity::Error,
        place: Place::field("image.items", "image of the locked copy"),
        message: format!(
            "the image is not locked at {}: a unit that applies all its numbers commands {} at {}",
            degrees(deg),
            degrees(largest.unit_deg),
            largest.place.words(subject.sensors.load.unit())
        ),
        remedy: "Make the copy anew from the real project: its trims, margin, launch and easing are zero then.".into(),
        value: largest.deg().abs(),
        bound: Bound::of(LOCKED_WITHIN_DEG, Unit::Degree),
        cure: None,
    })
}

#[cfg(test)]
mod tests {
    use std::sync::Arc;

    use super::*;
    use crate::checks::fixtures::{of, only, sound};
    use crate::project::{LastExport, Project};

    fn exported(state: Project) -> Project {
        let export = LastExport {
            file_name: "locked.hex".into(),
            written_at: "2026-05-02T10:00:00Z".into(),
            checksum: "1F".into(),
            despite_errors: None,
            state,
        };
        sound().edit(|parts| parts.last_export = Some(Arc::new(export))).unwrap()
    }

    #[test]
    fn fires_when_the_last_export_was_locked() {
        let locked = sound().locked_timing(10.0).unwrap();
        assert_eq!(of(&exported(sound()), "locked_timing"), []);
        let found = only(&exported(locked.clone()), "locked_timing");
        assert_eq!((found.severity, found.place.section()), (Severity::Error, Section::Image));
        assert_eq!(found.message, "the last export, locked.hex, is locked at 10.0°");
        assert_eq!(only(&locked, "locked_timing").severity, Severity::Note);
    }

    #[test]
    fn fires_when_the_bytes_are_not_locked() {
        let locked = sound().locked_timing(10.0).unwrap();
        // As copies used to be made: the trim is off, its degrees are in the image, and its switch is not.
        let unlocked = locked.edit(|parts| {
            parts.trims.coolant.degrees = sound().trims.coolant.degrees.clone();
            parts.image.items.retain(|item| item.field != "trims.coolant.enabled");
        });
        let found = of(&unlocked.unwrap(), "locked_timing");
        let error = found.iter().find(|finding| finding.severity == Severity::Error).unwrap();
        assert!(
            error.message.starts_with("the image is not locked at 10.0°: a unit that applies"),
            "{}",
            error.message
        );
    }

    #[test]
    fn checks_of_the_map_do_not_run_on_a_copy() {
        let steep = crate::checks::fixtures::along_speed(&[1000.0, 1500.0, 6500.0], &[5.0, 30.0, 12.0]);
        let known = |project: &Project| crate::checks::run(project).iter().any(|finding| finding.id == "slope_speed");
        assert!(known(&steep));
        assert!(!known(&steep.locked_timing(10.0).unwrap()));
    }
}
