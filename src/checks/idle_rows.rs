//! Rows next to the idle load that differ.

use super::check::{Check, Ground};
use super::finding::Noticed;
use super::subject::{Subject, degrees, rpm};
use super::{Severity, Threshold, idle_slope};
use crate::compare::Section;
use crate::project::thresholds;
use crate::table::Cell;
use crate::wording::range;

const NOTE: Threshold = thresholds::IDLE_ROWS_DEG;

pub(super) const CHECK: Check = Check {
    id: "idle_rows",
    title: "Idle rows differ",
    reason: "The load signal wanders at idle; where the rows around it differ much, the advance wanders with it.",
    since: 1,
    sections: &[Section::Advance],
    is_of_map: true,
    grounds: &[Ground::IDLE],
    thresholds: &[NOTE],
    find,
};

fn find(subject: &Subject<'_>) -> Vec<Noticed> {
    let [low, high] = idle_slope::rows(subject);
    let apart = |column: usize| {
        (subject.table().at(Cell::new(high, column)) - subject.table().at(Cell::new(low, column))).abs()
    };
    let bound = subject.bound(&NOTE);
    let columns = idle_slope::columns(subject).into_iter().flatten();
    let over: Vec<usize> = columns.filter(|&column| subject.is_over(apart(column), bound)).collect();
    let Some(worst) = over.iter().copied().max_by(|&a, &b| apart(a).total_cmp(&apart(b))) else {
        return Vec::new();
    };
    let loads = range((subject.load(low), subject.load(high)), subject.sensors.load.unit());
    vec![Noticed {
        severity: Severity::Note,
        place: subject.cells(over.iter().flat_map(|&column| [low, high].map(|row| Cell::new(row, column))).collect()),
        message: format!(
            "around idle the rows at {loads} are {} apart at {}",
            degrees(apart(worst)),
            rpm(subject.speed_rpm(worst))
        ),
        remedy: "Bring the two rows together around idle speed.".into(),
        value: apart(worst),
        bound,
        cure: None,
    }]
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::checks::fixtures::{of, only, sound, with_table};
    use crate::project::Project;

    /// Idle is at 900 rpm and 3 %.
    fn rows_apart(deg: f64) -> Project {
        let rows: [&[f64]; 3] = [&[12.0, 12.0, 25.0], &[12.0, 12.0 + deg, 35.0], &[10.0, 12.0, 25.0]];
        with_table(&sound(), &[700.0, 1000.0, 3000.0], &[0.0, 10.0, 100.0], &rows)
    }

    #[test]
    fn fires_above_three_degrees_within_the_window() {
        assert_eq!(of(&rows_apart(3.0), "idle_rows"), []);
        let found = only(&rows_apart(3.5), "idle_rows");
        assert_eq!((found.severity, found.place.words.as_str()), (Severity::Note, "1000 rpm, 0–10 %"));
        assert_eq!(found.message, "around idle the rows at 0–10 % are 3.5° apart at 1000 rpm");
    }
}
