//! The copy for the timing light left in the unit.

use super::catalogue::Check;
use super::finding::{Noticed, Place};
use super::subject::{Subject, degrees};
use super::{Severity, Sheet};

pub(super) const CHECK: Check = Check {
    id: "locked_timing",
    title: "Locked timing in the unit",
    reason: "A flat table for the timing light holds the same advance at full load and at the limit: it breaks an \
             engine that is driven with it.",
    thresholds: &[],
    find,
};

fn find(subject: &Subject<'_>) -> Vec<Noticed> {
    let exported = subject.last_export.as_ref().and_then(|export| Some((export, export.state.locked_timing_deg?)));
    let told = exported.map(|(export, deg)| Noticed {
        severity: Severity::Error,
        place: Place::field(Sheet::Export, "last_export", "last export"),
        message: format!("the last export, {}, is locked at {}", export.file_name, degrees(deg)),
        remedy: "Export the table itself and flash that before the car is driven.".into(),
        value: deg,
        threshold: 0.0,
        unit: "",
        cure: None,
    });
    let own = subject.locked_timing_deg.map(|deg| Noticed {
        severity: Severity::Note,
        place: Place::field(Sheet::Engine, "locked_timing_deg", "locked timing"),
        message: format!("this is the copy for the timing light, locked at {}", degrees(deg)),
        remedy: "Go back to the project it was made from when the readings are taken.".into(),
        value: deg,
        threshold: 0.0,
        unit: "",
        cure: None,
    });
    told.into_iter().chain(own).collect()
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
        assert_eq!((found.severity, found.place.sheet), (Severity::Error, Sheet::Export));
        assert_eq!(found.message, "the last export, locked.hex, is locked at 10.0°");
        assert_eq!(only(&locked, "locked_timing").severity, Severity::Note);
    }
}
