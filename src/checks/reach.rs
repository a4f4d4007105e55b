//! A table that ends before the speed at which sparks are cut.

use super::catalogue::Check;
use super::cure::extension;
use super::finding::{Noticed, found};
use super::subject::{Subject, rpm};
use super::threshold::exceeds;
use super::{Change, Cure, Severity, Threshold};
use crate::project::{SPEED_RANGE_RPM, thresholds};
use crate::shaping::Along;
use crate::table::Cell;

const WARNING: Threshold = thresholds::REACH_SHORT_PCT;

pub(super) const CHECK: Check = Check {
    id: "reach",
    title: "Ends before the cut",
    reason: "Above the last column the advance stays as it is there, and nobody has looked at what the engine gets at \
             its highest speeds.",
    thresholds: &[WARNING],
    find,
};

fn find(subject: &Subject<'_>) -> Vec<Noticed> {
    let (over, speeds) = (&subject.limits.over_speed, subject.table().speed());
    let short_pct = (over.cuts_at_rpm - speeds.last()) / over.cuts_at_rpm * 100.0;
    if !over.enabled || short_pct <= 0.0 {
        return Vec::new();
    }
    let threshold = subject.threshold(&WARNING);
    let last = speeds.len() - 1;
    let column = (0..subject.table().load().len()).map(|load| Cell::new(load, last)).collect();
    let longer = extension(speeds, over.cuts_at_rpm, SPEED_RANGE_RPM.1)
        .map(|at| Cure::new(format!("Extend the table to {}", rpm(at)), Change::ExtendTo { along: Along::Speed, at }));
    vec![Noticed {
        severity: if exceeds(short_pct, threshold) { Severity::Warning } else { Severity::Note },
        place: subject.cells(column),
        message: format!(
            "the table ends at {}, {} short of the cut at {}",
            rpm(speeds.last()),
            found(short_pct, threshold, "%"),
            rpm(over.cuts_at_rpm)
        ),
        remedy: format!(
            "Add a column at {} or move the last one there, and look at its values.",
            rpm(over.cuts_at_rpm)
        ),
        value: short_pct,
        threshold,
        unit: "%",
        cure: longer,
    }]
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::checks::fixtures::{along_speed, cured, of, only};
    use crate::project::Project;

    /// The cut of the fixture is at 6500 rpm.
    fn to(last_rpm: f64) -> Project {
        along_speed(&[1000.0, 3000.0, last_rpm], &[15.0, 25.0, 30.0])
    }

    #[test]
    fn a_note_up_to_five_per_cent_and_a_warning_beyond() {
        assert_eq!(of(&to(6500.0), "reach"), []);
        assert_eq!(only(&to(6200.0), "reach").severity, Severity::Note);
        let short = only(&to(6000.0), "reach");
        assert_eq!((short.severity, short.place.words.as_str()), (Severity::Warning, "6000 rpm, 0–100 %"));
        assert_eq!(short.message, "the table ends at 6000 rpm, 7.7 % short of the cut at 6500 rpm");
        let off = to(6000.0).edit(|parts| parts.limits.over_speed.enabled = false).unwrap();
        assert_eq!(of(&off, "reach"), []);
    }

    #[test]
    fn the_remedy_adds_a_column_without_changing_the_surface() {
        let start = to(6000.0);
        let (after, label) = cured(&start, "reach");
        assert_eq!((label.as_str(), after.advance.table().speed().last()), ("Extend the table to 6500 rpm", 6500.0));
        for speed_rpm in [1000.0, 5000.0, 6200.0, 6500.0, 7000.0] {
            let at = |project: &Project| project.advance.table().lookup(speed_rpm, 50.0);
            assert_eq!(at(&start), at(&after));
        }
    }
}
