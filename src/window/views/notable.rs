//! Places of the table that commands go to: the highest cell, the steepest slope and the like, and what each is in words.

use std::cmp::Reverse;

use crate::shaping::{Along, Bend, Slope, most_bent, steepest};
use crate::table::{Cell, Selection, Table};
use crate::window::state::commands::Command;
use crate::window::state::selection::CellSelection;
use crate::window::views::inspector::facts::per;
use crate::window::views::measured;
use crate::window::views::view::View;
use crate::wording::{Unit, change_size, count, fixed, point, step_decimals, with_unit};

/// What a command goes to, and what is said of it; `None` if there is none or the command goes nowhere.
pub fn find(view: &View<'_>, command: Command) -> Option<(CellSelection, String)> {
    let table = view.settled().advance.table();
    match command {
        Command::GoHighest => Some(extreme(view, "Highest", |deg| deg)),
        Command::GoLowest => Some(extreme(view, "Lowest", |deg| -deg)),
        Command::GoSteepest => {
            let (along, slope) = steepest_of_both(table)?;
            let (units, decimals, unit) = per(view, along);
            let steep = with_unit(&fixed(slope.deg_per_unit * units, decimals), unit);
            let [from, to] = [slope.from, slope.to].map(|cell| place(view, cell));
            let told = format!("Steepest: {steep} between {from} and {to}");
            Some((CellSelection::block(table, slope.from, slope.to), told))
        }
        Command::GoMostBent => {
            let Bend { deg, along, cell } = most_bent(table, &Selection::all(table))?;
            let by = with_unit(&change_size(deg, step_decimals(view.settled().step_deg)), Unit::Degree);
            let side = if deg < 0.0 { "below" } else { "above" };
            let at = place(view, cell);
            let told = format!("Most bent: {by} {side} the line between its neighbours along {along}, at {at}");
            Some((CellSelection::cell(table, cell), told))
        }
        Command::GoHeld => next_held(view),
        Command::GoMeasured => next_measured(view),
        Command::SelectMeasured => round_measured(view),
        _ => None,
    }
}

fn place(view: &View<'_>, cell: Cell) -> String {
    let project = view.settled();
    let table = project.advance.table();
    let (speeds, loads) = (table.speed().breakpoints(), table.load().breakpoints());
    point(speeds[cell.speed], loads[cell.load], project.sensors.load.unit())
}

fn degrees(view: &View<'_>, cell: Cell) -> String {
    with_unit(&view.degrees(view.settled().advance.table().at(cell)), Unit::Degree)
}

/// The cell for which `height` is greatest; of several alike, the first.
fn extreme(view: &View<'_>, name: &str, height: fn(f64) -> f64) -> (CellSelection, String) {
    let table = view.settled().advance.table();
    let of = |cell: Cell| height(table.at(cell));
    let most = table.cells().reduce(|most, next| if of(next) > of(most) { next } else { most });
    let most = most.unwrap_or(Cell::new(0, 0));
    let alike = table.cells().filter(|&cell| table.at(cell) == table.at(most)).count() - 1;
    let more = if alike > 0 { format!(", and so {}", count(alike, "cell")) } else { String::new() };
    let told = format!("{name}: {} at {}{more}", degrees(view, most), place(view, most));
    (CellSelection::cell(table, most), told)
}

/// The steepest slope, of both directions the one that changes more over its whole axis.
fn steepest_of_both(table: &Table) -> Option<(Along, Slope)> {
    let all = Selection::all(table);
    let over_axis = |along: Along, slope: Slope| (slope.deg_per_unit * along.axis(table).span()).abs();
    let found =
        [Along::Speed, Along::Load].into_iter().filter_map(|along| Some((along, steepest(table, &all, along)?)));
    found.reduce(|most, next| if over_axis(next.0, next.1) > over_axis(most.0, most.1) { next } else { most })
}

/// The held cell after the cursor, row by row from the highest load, wrapping around.
fn next_held(view: &View<'_>) -> Option<(CellSelection, String)> {
    let advance = &view.settled().advance;
    let order = |cell: Cell| (Reverse(cell.load), cell.speed);
    let mut held: Vec<Cell> = advance.held().cells().collect();
    held.sort_by_key(|&cell| order(cell));
    let cursor = view.selection.cursor;
    let at = held.iter().position(|&cell| order(cell) > order(cursor)).unwrap_or(0);
    let &cell = held.get(at)?;
    let which = format!("{} of {} held", at + 1, held.len());
    let told = format!("Held: {} at {}, {which}", degrees(view, cell), place(view, cell));
    Some((CellSelection::cell(advance.table(), cell), told))
}

/// The cell nearest to a measured point after the cursor, row by row from the highest load, wrapping around.
fn next_measured(view: &View<'_>) -> Option<(CellSelection, String)> {
    let project = view.settled();
    let table = project.advance.table();
    let order = |cell: Cell| (Reverse(cell.load), cell.speed);
    let mut cells = measured::by_cell(project).into_iter().collect::<Vec<_>>();
    cells.sort_by_key(|(cell, _)| order(*cell));
    let cursor = view.selection.cursor;
    let at = cells.iter().position(|(cell, _)| order(*cell) > order(cursor)).unwrap_or(0);
    let (cell, points) = cells.get(at)?;
    let all = points.iter().filter_map(|&index| project.evidence.points.get(index));
    let told: Vec<String> = all.map(|point| measured::words(view, point)).collect();
    Some((CellSelection::cell(table, *cell), told.join("; ")))
}

/// The cells round every measured point in use.
fn round_measured(view: &View<'_>) -> Option<(CellSelection, String)> {
    let project = view.settled();
    let table = project.advance.table();
    let cells = measured::cells_round(table, project.points_in_use());
    let first = cells.cells().next()?;
    let over = project.points_in_use().filter(|point| point.is_over(table)).count();
    let told = format!("{} round {}", count(cells.count(), "cell"), count(over, "measured point"));
    Some((CellSelection { cells, cursor: first, anchor: first }, told))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::table::Axis;

    #[test]
    fn slopes_of_both_directions_are_compared_over_their_axes() {
        let axis = |list: &[f64]| Axis::new(list.to_vec()).unwrap();
        let (speed, load) = (axis(&[0.0, 4000.0, 8000.0]), axis(&[0.0, 50.0, 100.0]));
        // 2 degrees over half the speeds, or 3 degrees over half the loads.
        let values = vec![0.0, 2.0, 2.0, 3.0, 3.0, 3.0, 3.0, 3.0, 3.0];
        let (along, slope) = steepest_of_both(&Table::new(speed, load, values).unwrap()).unwrap();
        assert_eq!((along, slope.from, slope.to), (Along::Load, Cell::new(0, 0), Cell::new(1, 0)));
    }
}
