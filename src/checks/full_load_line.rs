//! The line never to be exceeded at full load.

use super::check::{Check, Ground};
use super::finding::Noticed;
use super::margin::{Bound, exceeds};
use super::subject::{Subject, degrees};
use super::{Change, Cure, Severity, Threshold};
use crate::compare::Section;
use crate::project::thresholds;
use crate::table::Cell;
use crate::wording::Unit;

const ERROR: Threshold = thresholds::FULL_LOAD_LINE_ERROR_DEG;

pub(super) const CHECK: Check = Check {
    id: "full_load_line",
    title: "Above the full-load line",
    reason: "The full-load line is what engines of this kind are known to bear, or what was found safe for this one; \
             above it lies knock.",
    since: 1,
    sections: &[Section::Advance],
    is_of_map: true,
    grounds: &[Ground::ENGINE],
    thresholds: &[ERROR],
    find,
};

/// How far table and trims together lie above the full-load line in the worst case; negative below it.
fn excess_deg(subject: &Subject<'_>, speed_rpm: f64, load: f64) -> f64 {
    let most_deg = subject.table().lookup(speed_rpm, load) + subject.most_trim_deg(load);
    most_deg - subject.full_load_line.allowed_deg(speed_rpm, load)
}

fn find(subject: &Subject<'_>) -> Vec<Noticed> {
    if !subject.full_load_line.enabled {
        return Vec::new();
    }
    let excess = |&(speed_rpm, load): &(f64, f64)| excess_deg(subject, speed_rpm, load);
    let is_over = |&(speed_rpm, load): &(f64, f64)| {
        let allowed_deg = subject.full_load_line.allowed_deg(speed_rpm, load);
        subject.is_over(excess_deg(subject, speed_rpm, load) + allowed_deg, Bound::of(allowed_deg, Unit::Degree))
    };
    let points = subject.full_load_points();
    let over: Vec<(f64, f64)> = points.into_iter().filter(|point| is_over(point)).collect();
    let worst = over.iter().copied().reduce(|worst, next| if excess(&next) > excess(&worst) { next } else { worst });
    worst.map(|worst| noticed(subject, &over, worst)).into_iter().collect()
}

fn noticed(subject: &Subject<'_>, over: &[(f64, f64)], worst: (f64, f64)) -> Noticed {
    let (speed_rpm, load) = worst;
    let table = subject.table();
    let nearest =
        |&(speed_rpm, load): &(f64, f64)| Cell::new(table.load().nearest(load), table.speed().nearest(speed_rpm));
    let place = subject.cells(over.iter().map(nearest).collect());
    let value = table.lookup(speed_rpm, load) + subject.most_trim_deg(load);
    let threshold = subject.full_load_line.allowed_deg(speed_rpm, load);
    let is_far = exceeds(value - threshold, subject.threshold(&ERROR));
    let label = format!("Lower the cells above the full-load line at {}", place.words);
    Noticed {
        severity: if is_far { Severity::Error } else { Severity::Warning },
        message: format!(
            "table and trims reach {} at {}, {} above the full-load line",
            degrees(value),
            subject.point_words(speed_rpm, load),
            degrees(value - threshold)
        ),
        remedy: "Lower the table there, or the trims' weight at full load; raise the line only where the engine was \
                 measured to bear it."
            .into(),
        value,
        bound: Bound::of(threshold, Unit::Degree),
        cure: subject.lowered_to_full_load_line().map(|cells| Cure::new(label, Change::Cells(cells))),
        place,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::checks::fixtures::{along_load, cured, curve, of, only, sound};
    use crate::project::Project;

    /// 25 degrees at 100 %, where the trims, up to 4 degrees, have a weight of a half, under a line of
    /// `most_deg`.
    fn under(most_deg: f64, less_deg: f64) -> Project {
        let start = along_load(&sound(), &[0.0, 50.0, 80.0, 100.0], &[20.0, 30.0, 26.0, 25.0]);
        let change = |parts: &mut crate::project::Parts| {
            parts.full_load_line.enabled = true;
            parts.full_load_line.from_load = 90.0;
            parts.full_load_line.most_deg = curve(&[(1000.0, most_deg), (7000.0, most_deg)]);
            parts.full_load_line.less_deg = curve(&[(95.0, 0.0), (100.0, less_deg)]);
            parts.trims.coolant.weight = curve(&[(0.0, 1.0), (100.0, 0.5)]);
        };
        start.edit(change).unwrap()
    }

    /// At 90 % the table has 25.5 and the trims add 4 · 0.55.
    #[test]
    fn table_and_trims_are_held_against_it() {
        assert_eq!(of(&under(27.7, 0.0), "full_load_line"), []);
        let found = only(&under(27.6, 0.0), "full_load_line");
        assert_eq!(found.severity, Severity::Warning);
        assert_eq!(found.message, "table and trims reach 27.7° at 1000 rpm, 90 %, 0.1° above the full-load line");
    }

    /// Up to three degrees above it is a warning, more is an error; the limit can be set in the project.
    #[test]
    fn more_than_three_degrees_above_it_are_an_error() {
        assert_eq!(only(&under(24.7, 0.0), "full_load_line").severity, Severity::Warning);
        assert_eq!(only(&under(24.6, 0.0), "full_load_line").severity, Severity::Error);
        let strict = |parts: &mut crate::project::Parts| {
            parts.checks.thresholds.insert("full_load_line_error_deg".into(), 1.0);
        };
        assert_eq!(only(&under(26.6, 0.0).edit(strict).unwrap(), "full_load_line").severity, Severity::Error);
    }

    #[test]
    fn it_falls_with_load_and_can_be_off() {
        assert_eq!(of(&under(27.7, 0.7), "full_load_line"), []);
        assert_eq!(of(&under(27.7, 0.8), "full_load_line").len(), 1);
        let off = under(20.0, 0.0).edit(|parts| parts.full_load_line.enabled = false).unwrap();
        assert_eq!(of(&off, "full_load_line"), []);
    }

    #[test]
    fn the_remedy_lowers_the_cells_above_it() {
        let start = under(27.0, 2.0).edit(|parts| parts.full_load_line.from_load = 100.0).unwrap();
        let (after, label) = cured(&start, "full_load_line");
        assert_eq!(label, "Lower the cells above the full-load line at 1000–7000 rpm, 100 %");
        assert_eq!(after.advance.table().at(Cell::new(3, 1)), 23.0);
    }

    /// Between the rows at 80 and 100 % only what is above 90 % counts: their 33 and 24 degrees give 28.5
    /// there.
    #[test]
    fn the_remedy_lowers_what_lies_between_the_rows() {
        let start = along_load(&under(27.0, 0.0), &[0.0, 50.0, 80.0, 100.0], &[20.0, 30.0, 33.0, 20.0]);
        let plain = start.edit(|parts| parts.trims.coolant.enabled = false).unwrap();
        assert_eq!(of(&along_load(&plain, &[0.0, 50.0, 80.0, 100.0], &[20.0, 30.0, 34.0, 20.0]), "full_load_line"), []);
        let over = along_load(&plain, &[0.0, 50.0, 80.0, 100.0], &[20.0, 30.0, 33.0, 24.0]);
        let (after, _) = cured(&over, "full_load_line");
        assert_eq!(after.advance.table().column(0).collect::<Vec<_>>(), [20.0, 30.0, 31.5, 22.5]);
    }

    #[test]
    fn where_every_cell_is_held_there_is_no_remedy() {
        let start = under(27.0, 2.0);
        let held = start.advance.with_held(&crate::table::Selection::all(start.advance.table()), true);
        assert_eq!(only(&start.with_advance(held).unwrap(), "full_load_line").cure, None);
    }
}
