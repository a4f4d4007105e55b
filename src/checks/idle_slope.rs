//! Advance that changes with speed around idle.

use super::check::{Check, Ground};
use super::finding::Noticed;
use super::margin::{Bound, exceeds, slope as told};
use super::subject::Subject;
use super::{Change, Cure, Severity, Threshold};
use crate::compare::Section;
use crate::project::thresholds;
use crate::table::Cell;
use crate::wording::{Unit, range, settle};

const UNIT: Unit = Unit::DegreePer1000Rpm;
const RISE: Threshold = thresholds::IDLE_SLOPE_RISE_DEG_PER_1000_RPM;
const FALL: Threshold = thresholds::IDLE_SLOPE_FALL_DEG_PER_1000_RPM;
const WINDOW: Threshold = thresholds::IDLE_SLOPE_WITHIN_RPM;

pub(super) const CHECK: Check = Check {
    id: "idle_slope",
    title: "Restless idle",
    reason: "Where more speed brings more advance the idle runs away from itself, and where it takes much away the \
             idle hunts.",
    since: 1,
    sections: &[Section::Advance],
    is_of_map: true,
    grounds: &[Ground::IDLE],
    thresholds: &[RISE, FALL, WINDOW],
    find,
};

/// The columns within a range around idle.
pub(super) fn columns(subject: &Subject<'_>) -> Option<std::ops::RangeInclusive<usize>> {
    subject.idle_columns()
}

/// The rows below and above the idle load.
pub(super) fn rows(subject: &Subject<'_>) -> [usize; 2] {
    subject.idle_rows()
}

/// Degrees per 1000 rpm from a cell to the next one in its row.
fn slope(subject: &Subject<'_>, row: usize, column: usize) -> f64 {
    let rise_deg = subject.table().at(Cell::new(row, column + 1)) - subject.table().at(Cell::new(row, column));
    rise_deg / (subject.speed_rpm(column + 1) - subject.speed_rpm(column)) * 1000.0
}

fn find(subject: &Subject<'_>) -> Vec<Noticed> {
    let Some(columns) = columns(subject) else {
        return Vec::new();
    };
    let (rise, fall) = (subject.bound(&RISE), subject.bound(&FALL));
    let is_restless = |slope: f64| match slope {
        rising if rising > 0.0 => subject.is_over(rising, rise),
        falling => subject.is_over(-falling, fall),
    };
    let of_row = |row: usize| {
        let restless: Vec<usize> =
            (*columns.start()..*columns.end()).filter(|&column| is_restless(slope(subject, row, column))).collect();
        let worst = restless.iter().copied().max_by(|&a, &b| {
            let share = |slope: f64, bound: Bound| slope / bound.allowed.max(0.1);
            let excess = |slope: f64| if slope > 0.0 { share(slope, rise) } else { share(-slope, fall) };
            excess(slope(subject, row, a)).total_cmp(&excess(slope(subject, row, b)))
        });
        worst.map(|worst| noticed(subject, row, worst, &restless))
    };
    rows(subject).into_iter().filter_map(of_row).collect()
}

fn noticed(subject: &Subject<'_>, row: usize, worst: usize, restless: &[usize]) -> Noticed {
    let slope = slope(subject, row, worst);
    let ends = range((subject.speed_rpm(worst), subject.speed_rpm(worst + 1)), Unit::Rpm);
    let load = subject.load_words(subject.load(row));
    let (verb, used, remedy) = if slope > 0.0 {
        ("rises", &RISE, "Make the cells around idle speed equal, or let them fall a little with speed.")
    } else {
        ("falls", &FALL, "Let the advance fall more gently with speed around idle.")
    };
    let cells = restless.iter().flat_map(|&column| [column, column + 1].map(|column| Cell::new(row, column))).collect();
    let place = subject.cells(cells);
    let bound = subject.bound(used);
    let told = told(slope.abs(), bound.allowed, UNIT);
    let label = format!("Calm the idle at {}", place.words);
    Noticed {
        severity: Severity::Warning,
        message: format!("around idle the advance {verb} by {told} per 1000 rpm at {ends}, {load}"),
        remedy: remedy.into(),
        value: slope.abs(),
        bound,
        cure: Some(Cure::new(label, Change::Cells(calmed(subject, row)))),
        place,
    }
}

/// The row around idle with every change from cell to cell, from the lowest speed up, brought within the
/// limits; in whole steps where possible.
fn calmed(subject: &Subject<'_>, row: usize) -> Vec<(Cell, f64)> {
    let (rise, fall, step_deg) = (subject.threshold(&RISE), subject.threshold(&FALL), subject.step_deg);
    let columns = columns(subject).unwrap_or(0..=0);
    let mut cells = Vec::new();
    let mut before = subject.table().at(Cell::new(row, *columns.start()));
    for column in *columns.start() + 1..=*columns.end() {
        let cell = Cell::new(row, column);
        let own = subject.table().at(cell);
        let run = (subject.speed_rpm(column) - subject.speed_rpm(column - 1)) / 1000.0;
        let (low, high) = (before - fall * run, before + rise * run);
        if !exceeds(low, own) && !exceeds(own, high) || subject.advance.held().contains(cell) {
            before = own;
            continue;
        }
        let bound = own.clamp(low, high);
        let stepped = if own > high { (bound / step_deg).floor() } else { (bound / step_deg).ceil() } * step_deg;
        before = if (low..=high).contains(&stepped) { settle(stepped) } else { bound };
        cells.push((cell, before));
    }
    cells
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::checks::fixtures::{along_speed, cured, of};
    use crate::project::Project;

    /// Idle is at 900 rpm and 3 %.
    fn idle(deg: f64) -> Project {
        along_speed(&[600.0, 900.0, 1200.0, 1500.0, 3000.0], &[12.0, 12.0, deg, 15.0, 25.0])
    }

    #[test]
    fn fires_above_three_and_below_minus_twelve() {
        assert_eq!(of(&idle(12.9), "idle_slope"), []);
        assert_eq!(of(&idle(8.4), "idle_slope"), []);
        let rising = of(&idle(13.0), "idle_slope");
        assert_eq!((rising.len(), rising[0].severity), (2, Severity::Warning));
        assert_eq!(rising[1].message, "around idle the advance rises by 3.33° per 1000 rpm at 900–1200 rpm, 50 %");
        let hunting = of(&idle(8.3), "idle_slope");
        assert_eq!((hunting.len(), hunting[0].threshold), (2, 12.0));
        assert!(hunting[0].message.contains("falls by 12.33°"), "{}", hunting[0].message);
    }

    #[test]
    fn only_segments_with_both_ends_around_idle_count() {
        let outside = along_speed(&[500.0, 900.0, 1300.0, 3000.0], &[8.0, 12.0, 16.0, 25.0]);
        assert_eq!(of(&outside, "idle_slope"), []);
    }

    #[test]
    fn the_remedy_makes_it_calm() {
        let start = idle(14.0).edit(|parts| parts.engine.idle_load = 100.0).unwrap();
        let flat = start.advance.table();
        let mut values = flat.values().to_vec();
        values[2] = 12.0;
        values[7] = 12.0;
        let one_row = start.advance.with_values(values, crate::project::Origin::Typed).unwrap();
        let (after, label) = cured(&start.with_advance(one_row).unwrap(), "idle_slope");
        assert_eq!(label, "Calm the idle at 900–1200 rpm, 100 %");
        assert_eq!(after.advance.table().row(2)[..3], [12.0, 12.0, 12.5]);
    }
}
