//! Advance beyond what was heard to be free of knock.

use super::check::Check;
use super::finding::Noticed;
use super::measured::missed;
use super::subject::Subject;
use super::{Severity, Threshold};
use crate::compare::Section;
use crate::project::{PointKind, thresholds};

const MOST: Threshold = thresholds::POINT_KNOCK_DEG;

pub(super) const CHECK: Check = Check {
    id: "point_knock",
    title: "Above a knock point",
    reason: "Beyond the advance that was heard to be free of knock this engine knocks, and knock breaks ring lands and \
             pistons.",
    since: 4,
    sections: &[Section::Evidence],
    is_of_map: true,
    grounds: &[],
    thresholds: &[MOST],
    find,
};

const REMEDY: &str =
    "Lower the table there; take the point out of use only if other fuel, cooler air or another engine made it untrue.";

/// A warning, since knock does harm; not an error, since a point holds for the fuel and the air that it was measured with.
fn find(subject: &Subject<'_>) -> Vec<Noticed> {
    let points = subject.project.points_in_use().filter(|point| point.kind == PointKind::Knock);
    missed(subject, points, (Severity::Warning, &MOST), REMEDY)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::checks::fixtures::{measured, of, only};
    use crate::project::{MeasuredPoint, PointBound, Project};

    /// The table has 25 degrees there.
    fn knock(advance_deg: f64) -> Project {
        let (kind, bound) = (PointKind::Knock, PointBound::AtMost);
        measured::with(&[MeasuredPoint {
            advance_deg,
            high_deg: Some(advance_deg + 2.0),
            kind,
            bound,
            ..measured::point()
        }])
    }

    #[test]
    fn nothing_above_it_is_let_pass_whatever_its_interval() {
        assert_eq!(of(&knock(25.0), "point_knock"), []);
        let found = only(&knock(24.9), "point_knock");
        assert_eq!(found.severity, Severity::Warning);
        assert_eq!(
            found.message,
            "the table has 25.0° at P3 (2500 rpm, 75 %), 0.1° more than at most 24.9° (up to 26.9°) allows"
        );
        assert_eq!(of(&knock(24.9), "point_missed"), [], "it is told once");
    }

    #[test]
    fn a_held_cell_is_no_excuse_and_a_point_out_of_use_says_nothing() {
        let all = crate::table::Selection::all(knock(20.0).advance.table());
        let held = knock(20.0).with_advance(knock(20.0).advance.with_held(&all, true)).unwrap();
        assert_eq!((of(&held, "point_knock").len(), of(&held, "point_held").len()), (1, 0));
        let idle = crate::project::set_fields(&knock(20.0), &[("evidence.points[P3].in_use", "no")]).unwrap();
        assert_eq!(of(&idle, "point_knock"), []);
    }
}
