//! The line never to be exceeded at full load.

use super::catalogue::Check;
use super::finding::Noticed;
use super::subject::{Subject, degrees, sort};
use super::threshold::exceeds;
use super::{Change, Cure, Severity};
use crate::project::ADVANCE_RANGE_DEG;
use crate::table::{Cell, Table};
use crate::wording::settle;

pub(super) const CHECK: Check = Check {
    id: "full_load_line",
    title: "Above the full-load line",
    reason: "The full-load line is what was found safe for this engine and fuel; above it lies knock.",
    thresholds: &[],
    find,
};

/// What the line allows.
fn allowed_deg(subject: &Subject<'_>, speed_rpm: f64, load: f64) -> f64 {
    let line = &subject.full_load_line;
    line.most_deg.lookup(speed_rpm) - line.less_deg.lookup(load)
}

/// How far table and trims together lie above it at worst.
fn excess_deg(subject: &Subject<'_>, speed_rpm: f64, load: f64) -> f64 {
    let most_deg = subject.table().lookup(speed_rpm, load) + subject.most_trim_deg(load);
    most_deg - allowed_deg(subject, speed_rpm, load)
}

/// Where the excess may be largest: table, trims and line are linear in each direction between these.
fn points(subject: &Subject<'_>) -> Vec<(f64, f64)> {
    let line = &subject.full_load_line;
    let mut speeds = subject.table().speed().union(line.most_deg.axis());
    sort(&mut speeds);
    let mut loads = subject.loads_of_sum();
    loads.extend(line.less_deg.axis().breakpoints());
    loads.push(line.from_load);
    let (from, to) = (line.from_load, subject.table().load().last().max(line.from_load));
    loads.retain(|load| (from..=to).contains(load));
    sort(&mut loads);
    loads.iter().flat_map(|&load| speeds.iter().map(move |&speed_rpm| (speed_rpm, load))).collect()
}

fn find(subject: &Subject<'_>) -> Vec<Noticed> {
    if !subject.full_load_line.enabled {
        return Vec::new();
    }
    let excess = |&(speed_rpm, load): &(f64, f64)| excess_deg(subject, speed_rpm, load);
    let over: Vec<(f64, f64)> = points(subject).into_iter().filter(|point| exceeds(excess(point), 0.0)).collect();
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
    let threshold = allowed_deg(subject, speed_rpm, load);
    let label = format!("Lower the cells above the full-load line at {}", place.words);
    Noticed {
        severity: Severity::Error,
        message: format!(
            "table and trims reach {} at {}, {} above the full-load line",
            degrees(value),
            subject.point_words(speed_rpm, load),
            degrees(value - threshold)
        ),
        remedy: "Lower the table there, or the trims' weight at full load.".into(),
        value,
        threshold,
        unit: "°",
        cure: lowered(subject).map(|cells| Cure::new(label, Change::Cells(cells))),
        place,
    }
}

/// The cells brought down so far that nothing lies above the line any more; `None` where held cells or the range of
/// advance forbid it. Points that are no breakpoints are brought down with the cells around them.
fn lowered(subject: &Subject<'_>) -> Option<Vec<(Cell, f64)>> {
    let (table, step_deg) = (subject.table(), subject.step_deg);
    let down = |deg: f64| settle((deg / step_deg + 1e-9).floor() * step_deg);
    let mut values = table.values().to_vec();
    let (on_cells, between): (Vec<_>, Vec<_>) = points(subject).into_iter().partition(|&(speed_rpm, load)| {
        table.speed().index_of(speed_rpm).is_some() && table.load().index_of(load).is_some()
    });
    // Cells within the line's reach first: what they leave is all that lies between rows or columns.
    for (speed_rpm, load) in on_cells.into_iter().chain(between) {
        let shares = shares(table, speed_rpm, load);
        let deg: f64 = shares.iter().map(|&(cell, share)| share * values[table.index(cell)]).sum();
        let excess_deg = deg + subject.most_trim_deg(load) - allowed_deg(subject, speed_rpm, load);
        if !exceeds(excess_deg, 0.0) {
            continue;
        }
        let free = || shares.iter().filter(|(cell, _)| !subject.advance.held().contains(*cell));
        let by_deg = excess_deg / free().map(|(_, share)| share).sum::<f64>();
        for &(cell, _) in free() {
            let at = table.index(cell);
            values[at] = down(values[at] - by_deg);
        }
        if free().next().is_none() || free().any(|&(cell, _)| values[table.index(cell)] < ADVANCE_RANGE_DEG.0) {
            return None;
        }
    }
    let changed = table.cells().filter(|&cell| values[table.index(cell)] != table.at(cell));
    Some(changed.map(|cell| (cell, values[table.index(cell)])).collect())
}

/// The cells that a lookup takes its value from, and the share of each.
fn shares(table: &Table, speed_rpm: f64, load: f64) -> Vec<(Cell, f64)> {
    let (column, row) = (table.speed().locate(speed_rpm), table.load().locate(load));
    let of = |index: usize, fraction: f64| [(index, 1.0 - fraction), (index + 1, fraction)];
    let rows = of(row.index, row.fraction).into_iter();
    let all = rows.flat_map(|(row, of_row)| {
        of(column.index, column.fraction).map(|(column, of_column)| (Cell::new(row, column), of_row * of_column))
    });
    all.filter(|(_, share)| *share > 0.0).collect()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::checks::fixtures::{along_load, cured, curve, of, only, sound};
    use crate::project::Project;

    /// 25 degrees at 100 %, trims of up to 4 with a weight of a half there, under a line of `most_deg`.
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
        assert_eq!(found.severity, Severity::Error);
        assert_eq!(found.message, "table and trims reach 27.7° at 1000 rpm, 90 %, 0.1° above the full-load line");
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

    /// Of the rows at 80 and 100 % only what lies above 90 % counts: 33 and 24 degrees there come to 28.5.
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
