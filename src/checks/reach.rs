//! A table that ends before the speed at which sparks are cut.

use super::check::Check;
use super::cure::reaching;
use super::finding::Noticed;
use super::margin::{Bound, exceeds, found};
use super::subject::{Subject, rpm};
use super::{Severity, Threshold};
use crate::compare::Section;
use crate::project::{SPEED_RANGE_RPM, thresholds};
use crate::shaping::Along;
use crate::table::Cell;
use crate::wording::Unit;

const WARNING: Threshold = thresholds::REACH_SHORT_PCT;

pub(super) const CHECK: Check = Check {
    id: "reach",
    title: "Ends before the cut",
    reason: "Above the last column the advance stays as it is there, and nobody has looked at what the engine gets at \
             its highest speeds.",
    since: 1,
    sections: &[Section::Advance],
    is_of_map: true,
    grounds: &[],
    thresholds: &[WARNING],
    find,
};

fn find(subject: &Subject<'_>) -> Vec<Noticed> {
    let (over, speeds) = (&subject.limits.over_speed, subject.table().speed());
    let short_pct = (over.cuts_at_rpm - speeds.last()) / over.cuts_at_rpm * 100.0;
    if !over.enabled {
        return Vec::new();
    }
    // At the cut or above it nothing is short.
    if !subject.is_under(speeds.last(), Bound::of(over.cuts_at_rpm, Unit::Rpm)) || short_pct <= 0.0 {
        return untried(subject).into_iter().collect();
    }
    let warns = subject.bound(&WARNING);
    let is_far = exceeds(short_pct, warns.allowed);
    let last = speeds.len() - 1;
    let column = (0..subject.table().load().len()).map(|load| Cell::new(load, last)).collect();
    vec![Noticed {
        severity: if is_far { Severity::Warning } else { Severity::Note },
        place: subject.cells(column).of_axis(Along::Speed),
        message: format!(
            "the table ends at {}, {} short of the cut at {}",
            rpm(speeds.last()),
            found(short_pct, warns.allowed, Unit::Percent),
            rpm(over.cuts_at_rpm)
        ),
        remedy: format!(
            "Add a column at {} or move the last one there, and look at its values.",
            rpm(over.cuts_at_rpm)
        ),
        value: short_pct,
        // As a note it is there because anything is short at all.
        bound: if is_far { warns } else { Bound::of(0.0, Unit::Percent) },
        cure: reaching(subject, Along::Speed, over.cuts_at_rpm, SPEED_RANGE_RPM.1),
    }]
}

/// Columns below the cut that were only extrapolated.
fn untried(subject: &Subject<'_>) -> Option<Noticed> {
    let cuts_rpm = subject.limits.over_speed.cuts_at_rpm;
    let (column, cells) = subject.tried_up_to(Along::Speed)?;
    let tried_rpm = subject.speed_rpm(column);
    if cells.is_empty() || tried_rpm >= cuts_rpm {
        return None;
    }
    Some(Noticed {
        severity: Severity::Note,
        place: subject.cells(cells).of_axis(Along::Speed),
        message: format!(
            "above {} the table was only extended, {} short of the cut",
            rpm(tried_rpm),
            rpm(cuts_rpm - tried_rpm)
        ),
        remedy: "Look at these cells and type what the engine bears there, or hold them once they were measured."
            .into(),
        value: tried_rpm,
        bound: Bound::of(cuts_rpm, Unit::Rpm),
        cure: None,
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::checks::fixtures::{along_speed, of, only};
    use crate::project::Project;

    /// The fixture cuts at 6500 rpm.
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

    /// Within the threshold there is no more to be said than that the table is short of the cut: the threshold cannot cure
    /// it, and is not what the note was held against.
    #[test]
    fn a_note_is_held_against_being_short_at_all_and_a_warning_against_the_threshold() {
        let [note, warning] = [6200.0, 6000.0].map(|last_rpm| only(&to(last_rpm), "reach"));
        assert_eq!((note.threshold, note.set_by), (0.0, None));
        assert_eq!(note.figures().unwrap(), ["4.6 %", "0 %"]);
        assert_eq!((warning.threshold, warning.set_by), (5.0, Some(&WARNING)));
        for found in [note, warning] {
            assert!(found.value > found.threshold, "{found:?}");
        }
    }

    #[test]
    fn the_remedy_adds_a_column_without_changing_the_surface() {
        let start = to(6000.0);
        let cure = only(&start, "reach").cure.unwrap();
        let (after, label) = (cure.apply(&start).unwrap(), cure.label);
        let left = only(&after, "reach");
        assert_eq!((left.severity, left.place.words.as_str()), (Severity::Note, "6500 rpm, 0–100 %"));
        assert_eq!(left.message, "above 6000 rpm the table was only extended, 500 rpm short of the cut");
        assert_eq!((label.as_str(), after.advance.table().speed().last()), ("Extend the table to 6500 rpm", 6500.0));
        for speed_rpm in [1000.0, 5000.0, 6200.0, 6500.0, 7000.0] {
            let at = |project: &Project| project.advance.table().lookup(speed_rpm, 50.0);
            assert_eq!(at(&start), at(&after));
        }
    }
}
