//! Advance that rises with load where it should fall.

use super::check::Check;
use super::finding::Noticed;
use super::margin::Bound;
use super::subject::{Subject, degrees, rpm};
use super::{Change, Cure, Severity, Threshold};
use crate::compare::Section;
use crate::project::thresholds;
use crate::table::Cell;
use crate::wording::range;

const WARNING: Threshold = thresholds::LOAD_TREND_DEG;

pub(super) const CHECK: Check = Check {
    id: "load_trend",
    title: "Rises with load",
    reason: "A denser charge burns faster and knocks sooner, so that it wants less advance; a rise with load in the \
             upper half is nearly always a typing error.",
    since: 1,
    sections: &[Section::Advance],
    is_of_map: true,
    grounds: &[],
    thresholds: &[WARNING],
    find,
};

/// The last row at or below the middle of the axis: the upper half begins in the interval above it.
fn below_upper_half(subject: &Subject<'_>) -> usize {
    let loads = subject.table().load().breakpoints();
    loads.partition_point(|&load| load <= subject.high_load()).saturating_sub(1)
}

/// The sum of all rises from row to row in the upper half, and the rows at the upper ends of those rises. Of
/// the interval across the middle only the part above it counts, as the table is linear between its rows.
fn rises(subject: &Subject<'_>, speed: usize) -> (f64, Vec<usize>) {
    let (loads, middle) = (subject.table().load().breakpoints(), subject.high_load());
    let column: Vec<f64> = subject.table().column(speed).collect();
    let steps = column.windows(2).zip(loads.windows(2)).enumerate().skip(below_upper_half(subject));
    let rising: Vec<(usize, f64)> = steps
        .map(|(row, (deg, load))| {
            let share = (load[1] - load[0].max(middle)) / (load[1] - load[0]);
            (row + 1, (deg[1] - deg[0]) * share)
        })
        .filter(|(_, deg)| *deg > 0.0)
        .collect();
    (rising.iter().map(|(_, deg)| deg).sum(), rising.into_iter().map(|(row, _)| row).collect())
}

fn find(subject: &Subject<'_>) -> Vec<Noticed> {
    let most = subject.bound(&WARNING);
    let columns: Vec<usize> =
        (0..subject.table().speed().len()).filter(|&speed| subject.is_over(rises(subject, speed).0, most)).collect();
    let runs = columns.chunk_by(|a, b| a + 1 == *b);
    runs.map(|columns| noticed(subject, columns, most)).collect()
}

fn noticed(subject: &Subject<'_>, columns: &[usize], most: Bound) -> Noticed {
    let rise = |speed: &usize| rises(subject, *speed).0;
    let worst = columns.iter().copied().max_by(|a, b| rise(a).total_cmp(&rise(b))).unwrap_or_default();
    let rising = |&speed: &usize| {
        rises(subject, speed).1.into_iter().flat_map(move |row| [row - 1, row].map(|row| Cell::new(row, speed)))
    };
    let place = subject.cells(columns.iter().flat_map(rising).collect());
    let value = rise(&worst);
    let loads = range((subject.high_load(), subject.table().load().last()), subject.sensors.load.unit());
    let label = format!("Take the rise with load out at {}", place.words);
    Noticed {
        severity: Severity::Warning,
        message: format!(
            "the advance rises with load by {} at {} over {loads}",
            degrees(value),
            rpm(subject.speed_rpm(worst))
        ),
        remedy: "Lower the rows above until they no longer rise, unless the engine was measured to want it.".into(),
        value,
        bound: most,
        cure: Some(Cure::new(label, Change::Cells(levelled(subject, columns, below_upper_half(subject))))),
        place,
    }
}

/// The cells from a row up that are above a cell of less load in their column, lowered to it; held cells stay.
pub(super) fn levelled(subject: &Subject<'_>, columns: &[usize], from: usize) -> Vec<(Cell, f64)> {
    let mut cells = Vec::new();
    for &speed in columns {
        let mut most = f64::INFINITY;
        for load in from..subject.table().load().len() {
            let cell = Cell::new(load, speed);
            let deg = subject.table().at(cell);
            if deg <= most || subject.advance.held().contains(cell) {
                most = most.min(deg);
            } else {
                cells.push((cell, most));
            }
        }
    }
    cells
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::checks::fixtures::{along_load, cured, of, only, sound};
    use crate::project::Project;

    fn rising(deg: f64) -> Project {
        along_load(&sound(), &[0.0, 20.0, 50.0, 75.0, 100.0], &[20.0, 28.0, 24.0, 24.5, 24.5 + deg])
    }

    #[test]
    fn fires_when_the_rises_add_up_to_more_than_a_degree() {
        assert_eq!(of(&rising(0.5), "load_trend"), []);
        let found = only(&rising(0.6), "load_trend");
        assert_eq!((found.severity, found.place.words.as_str()), (Severity::Warning, "1000–7000 rpm, 50–100 %"));
        assert_eq!(found.message, "the advance rises with load by 1.1° at 7000 rpm over 50–100 %");
    }

    /// 12 degrees over 55 %, of which 50 % are in the upper half.
    #[test]
    fn a_step_across_the_middle_counts_as_far_as_it_lies_above() {
        let found = only(&along_load(&sound(), &[0.0, 20.0, 45.0, 100.0], &[20.0, 30.0, 28.0, 40.0]), "load_trend");
        assert!((found.value - 12.0 * 50.0 / 55.0).abs() < 1e-9, "{}", found.value);
        assert_eq!(found.message, "the advance rises with load by 10.909° at 7000 rpm over 50–100 %");
        assert_eq!(found.place.words, "1000–7000 rpm, 45–100 %");
        let start = along_load(&sound(), &[0.0, 20.0, 45.0, 100.0], &[20.0, 30.0, 28.0, 40.0]);
        let (after, _) = cured(&start, "load_trend");
        assert_eq!(after.advance.table().column(1).collect::<Vec<_>>(), [20.0, 30.0, 28.0, 28.0]);
    }

    #[test]
    fn a_table_of_two_rows_is_checked() {
        let two = |deg: f64| along_load(&sound(), &[0.0, 100.0], &[20.0, 20.0 + deg]);
        assert_eq!(of(&two(2.0), "load_trend"), []);
        assert_eq!(only(&two(2.1), "load_trend").place.words, "1000–7000 rpm, 0–100 %");
        cured(&two(9.0), "load_trend");
    }

    #[test]
    fn a_rise_in_the_lower_half_is_ordinary() {
        let light = along_load(&sound(), &[0.0, 20.0, 50.0, 75.0, 100.0], &[10.0, 15.0, 18.0, 17.0, 16.0]);
        assert_eq!(of(&light, "load_trend"), []);
    }

    #[test]
    fn the_remedy_levels_it() {
        let (after, label) = cured(&rising(2.0), "load_trend");
        assert_eq!(label, "Take the rise with load out at 1000–7000 rpm, 50–100 %");
        assert_eq!(after.advance.table().column(1).collect::<Vec<_>>(), [20.0, 28.0, 24.0, 24.0, 24.0]);
    }
}
