//! Held cells that measured points do not agree with.

use std::collections::BTreeMap;

use super::check::Check;
use super::finding::Noticed;
use super::measured::{Miss, held_cell};
use super::subject::Subject;
use super::{Severity, Threshold};
use crate::compare::Section;
use crate::project::{PointKind, thresholds};
use crate::table::Cell;

const MOST: Threshold = thresholds::POINT_HELD_DEG;

pub(super) const CHECK: Check = Check {
    id: "point_held",
    title: "Held cell against its point",
    reason: "A held cell is moved by no tool, so that fitting the table to what was measured leaves it wrong there.",
    since: 4,
    sections: &[Section::Advance],
    is_of_map: true,
    grounds: &[],
    thresholds: &[MOST],
    find,
};

const REMEDY: &str = "Release the cell or type what was measured into it; or take the point out of use.";

/// One finding a cell: of its points, the one that is missed by most.
fn find(subject: &Subject<'_>) -> Vec<Noticed> {
    let most = subject.bound(&MOST);
    let mut worst: BTreeMap<Cell, Miss<'_>> = BTreeMap::new();
    for point in subject.project.points_in_use().filter(|point| point.kind != PointKind::Knock) {
        let Some(cell) = held_cell(subject, point) else { continue };
        let miss = Miss::of(subject, point);
        if !subject.is_over(miss.by_deg, most) {
            continue;
        }
        if worst.get(&cell).is_none_or(|worst| miss.by_deg > worst.by_deg) {
            worst.insert(cell, miss);
        }
    }
    let told = worst.into_iter().map(|(cell, miss)| {
        let noticed = miss.noticed(subject, (Severity::Note, most), subject.cells(vec![cell]), REMEDY);
        Noticed { message: format!("the nearest cell is held, and {}", noticed.message), ..noticed }
    });
    told.collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::checks::fixtures::{measured, of, only};
    use crate::project::{MeasuredPoint, Project};
    use crate::table::Selection;

    fn with_held(project: &Project, cell: Cell) -> Project {
        let one = Selection::cell(project.advance.table(), cell);
        project.with_advance(project.advance.with_held(&one, true)).unwrap()
    }

    /// Half way between breakpoints the lower cell is the nearest; there the table has 25 degrees.
    #[test]
    fn only_the_nearest_cell_counts_and_tells_its_worst_point() {
        let point = |name: &str, advance_deg| MeasuredPoint { name: name.into(), advance_deg, ..measured::point() };
        let project = measured::with(&[point("a", 23.0), point("b", 22.0), point("c", 25.5)]);
        assert_eq!(of(&project, "point_held"), []);
        assert_eq!(of(&project, "point_missed").len(), 2);
        let other = with_held(&project, Cell::new(2, 1));
        assert_eq!((of(&other, "point_held").len(), of(&other, "point_missed").len()), (0, 2));
        let held = with_held(&project, Cell::new(1, 0));
        let found = only(&held, "point_held");
        assert_eq!((found.place.cells(), found.severity), (&[Cell::new(1, 0)][..], Severity::Note));
        assert!(
            found.message.starts_with("the nearest cell is held, and the table has 25.0° at b ("),
            "{}",
            found.message
        );
        assert_eq!(of(&held, "point_missed"), [], "they are told once");
        let near = measured::with(&[point("c", 25.5)]);
        assert_eq!(of(&with_held(&near, Cell::new(1, 0)), "point_held"), []);
    }
}
