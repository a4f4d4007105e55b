//! Measured points that the table does not agree with.

use super::check::Check;
use super::finding::Noticed;
use super::measured::{held_cell, missed};
use super::subject::Subject;
use super::{Severity, Threshold};
use crate::compare::Section;
use crate::project::{PointKind, thresholds};

const MOST: Threshold = thresholds::POINT_MISSED_DEG;

pub(super) const CHECK: Check = Check {
    id: "point_missed",
    title: "Measured point missed",
    reason: "What was measured on this engine is nearer to the truth than a table that was drawn, unless it was measured \
             wrongly.",
    since: 4,
    sections: &[Section::Evidence],
    is_of_map: true,
    grounds: &[],
    thresholds: &[MOST],
    find,
};

const REMEDY: &str =
    "Move the table to what was measured there, or take the point out of use if it was measured wrongly.";

/// Points where no tool could move the nearest cell are told by another check, and so is knock.
fn find(subject: &Subject<'_>) -> Vec<Noticed> {
    let points = subject.project.points_in_use().filter(|point| point.kind != PointKind::Knock);
    let movable = points.filter(|point| held_cell(subject, point).is_none());
    missed(subject, movable, (Severity::Note, &MOST), REMEDY)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::checks::fixtures::{measured, of, only};
    use crate::project::{MeasuredPoint, PointBound};

    fn about(low_deg: f64, high_deg: f64) -> MeasuredPoint {
        let (low_deg, high_deg) = (Some(low_deg), Some(high_deg));
        MeasuredPoint { low_deg, high_deg, kind: PointKind::BestTorque, ..measured::point() }
    }

    /// At 2500 rpm and 75 %, half way between breakpoints, the table has 25 degrees.
    #[test]
    fn the_table_between_its_cells_is_held_against_the_interval() {
        for (point, by_deg) in [
            (about(22.0, 25.0), None),
            (about(22.0, 24.9), Some(0.1)),
            (MeasuredPoint { advance_deg: 26.0, ..about(25.0, 27.0) }, None),
            (MeasuredPoint { advance_deg: 26.0, ..about(25.5, 27.0) }, Some(0.5)),
        ] {
            let found = of(&measured::with(&[point]), "point_missed");
            assert_eq!(found.first().map(|found| (found.value * 1e6).round() / 1e6), by_deg);
        }
        let found = only(&measured::with(&[about(22.0, 24.0)]), "point_missed");
        assert_eq!(found.severity, Severity::Note);
        assert_eq!(
            found.message,
            "the table has 25.0° at P3 (2500 rpm, 75 %), 1.0° more than 23.0° (22.0–24.0°) allows"
        );
        assert_eq!((found.place.words.as_str(), found.threshold), ("P3, 2500 rpm, 75 %", 0.0));
        assert_eq!(found.place.known_by.field, "evidence.points[P3].advance_deg");
        assert_eq!(found.place.section(), Section::Evidence);
    }

    #[test]
    fn a_point_without_an_interval_has_the_usual_one_and_a_bound_one_side() {
        let point = |advance_deg, bound| MeasuredPoint { advance_deg, bound, ..measured::point() };
        for (point, count) in [
            (point(24.1, PointBound::About), 0),
            (point(24.0, PointBound::About), 1),
            (point(24.0, PointBound::AtLeast), 0),
            (point(24.0, PointBound::AtMost), 1),
            (point(26.0, PointBound::AtLeast), 1),
            (MeasuredPoint { in_use: false, ..point(10.0, PointBound::About) }, 0),
        ] {
            assert_eq!(of(&measured::with(std::slice::from_ref(&point)), "point_missed").len(), count, "{point:?}");
        }
    }

    #[test]
    fn how_much_is_let_pass_can_be_set() {
        let one_off = measured::with(&[about(22.0, 24.0)]);
        let lax =
            |parts: &mut crate::project::Parts| _ = parts.checks.thresholds.insert("point_missed_deg".into(), 1.0);
        assert_eq!(of(&one_off.edit(lax).unwrap(), "point_missed"), []);
    }

    #[test]
    fn every_point_is_a_finding_of_its_own() {
        let points = [about(22.0, 24.0), MeasuredPoint { name: "7".into(), ..about(22.0, 23.5) }];
        let found = of(&measured::with(&points), "point_missed");
        let places: Vec<&str> = found.iter().map(|found| found.place.known_by.field.as_str()).collect();
        assert_eq!(places, ["evidence.points[P3].advance_deg", "evidence.points[\"7\"].advance_deg"]);
    }
}
