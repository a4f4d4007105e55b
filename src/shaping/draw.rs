//! Draw: the values that a freehand stroke gives the breakpoints of a row or column that it passes.

use super::error::within;
use super::operation::{Argument, Given, Operation, OperationError, Takes};
use super::shaped::{check, reshape};
use super::{Along, Place, Shaped, ShapingError, Tool};
use crate::project::{ADVANCE_RANGE_DEG, Advance, Origin};
use crate::shaping::amounts::plus;
use crate::table::{Axis, Cell, Selection};
use crate::wording::{Unit, bounds, given_load, quantity, settle, written};

/// `draw` on the command line.
pub(super) const DRAW: Operation = Operation {
    name: "draw",
    about: "Draw the selected row or column as straight lines from point to point; cells beyond the first and the last \
            point stay",
    arguments: &[
        Argument {
            name: "at",
            value_name: "a,b,…",
            help: "The places of the points along the line, in rpm for a row and in % or kPa for a column, in the order \
                   in which they are passed",
            takes: Takes::ListOption(Some("deg")),
        },
        Argument {
            name: "deg",
            value_name: "a,b,…",
            help: "Degrees before TDC at each of them",
            takes: Takes::ListOption(Some("at")),
        },
    ],
    takes_whole_table: false,
    tool: given_line,
};

fn given_line(given: &Given<'_>) -> Result<Tool, OperationError> {
    let unfit = |reason: String| OperationError::Unfit { operation: "draw", reason };
    let (at, deg) = (given.numbers("at"), given.numbers("deg"));
    if at.len() != deg.len() || at.len() < 2 {
        let reason = "give as many degrees as places, and at least two of each, by --at and --deg";
        return Err(unfit(reason.to_owned()));
    }
    let block = given.selection.as_block();
    let (along, line) = match block.filter(|block| (block.loads.len() == 1) != (block.speeds.len() == 1)) {
        Some(block) if block.loads.len() == 1 => (Along::Speed, block.loads.start),
        Some(block) => (Along::Load, block.speeds.start),
        None => return Err(unfit("select one row by --load or one column by --speed".to_owned())),
    };
    let axis = along.axis(given.table);
    if let Some(beyond) = at.iter().find(|at| !(axis.first()..=axis.last()).contains(*at)) {
        let ends = bounds((axis.first(), axis.last()), Unit::None);
        return Err(unfit(format!("{} lies outside the table's {ends}", written(*beyond))));
    }
    let points: Vec<(f64, f64)> = at.iter().copied().zip(deg.iter().copied()).collect();
    let mut degs = vec![None; axis.len()];
    for pair in points.windows(2) {
        for (index, deg) in passed(axis, pair[0], pair[1]) {
            degs[index] = Some(settle(deg));
        }
    }
    Ok(Tool::Draw { along, line, degs })
}

/// What drawing is called in the history.
pub(super) fn draw_label(done: &Shaped, along: Along, line: usize, cells: &str) -> String {
    let Place { speed_rpm, load, .. } = Place::of(done.advance.table(), along.cell(line, 0));
    match along {
        Along::Speed => format!("Draw {cells} at load {}", given_load(load)),
        Along::Load => format!("Draw {cells} at {}", quantity(speed_rpm, Unit::Rpm)),
    }
}

/// The breakpoints that a straight piece of a stroke passes, both of its ends included, by index, with the degrees
/// where it passes them. The places of its ends are in axis units. A piece that goes straight up or down along a
/// breakpoint leaves it at its end; one with an end that is no number passes none.
pub fn passed(axis: &Axis, from: (f64, f64), to: (f64, f64)) -> impl Iterator<Item = (usize, f64)> + '_ {
    let ends = [from.0, from.1, to.0, to.1];
    let (low, high) = (from.0.min(to.0), from.0.max(to.0));
    let is_passed = move |at: f64| ends.iter().all(|end| end.is_finite()) && (low..=high).contains(&at);
    let deg = move |at: f64| match at {
        _ if at == to.0 => to.1,
        _ if at == from.0 => from.1,
        _ => from.1 + (to.1 - from.1) * (at - from.0) / (to.0 - from.0),
    };
    let all = axis.breakpoints().iter().copied().enumerate();
    all.filter(move |&(_, at)| is_passed(at)).map(move |(index, at)| (index, deg(at)))
}

/// Sets the cells of row or column `line` at those breakpoints for which `degs` has a value, degrees before TDC.
/// Other selected cells at such a breakpoint move by as much as the line's own cell does, so that what is selected
/// keeps its shape; they stay where that cell is held or not selected.
///
/// # Errors
/// [`ShapingError`] when there is no such line, a value or a result is outside the range of cells, or the selection is
/// of no use.
pub fn draw(
    advance: &Advance,
    selection: &Selection,
    along: Along,
    line: usize,
    degs: &[Option<f64>],
) -> Result<Shaped, ShapingError> {
    check(advance, selection)?;
    let table = advance.table();
    for deg in degs.iter().flatten() {
        within("value", *deg, ADVANCE_RANGE_DEG)?;
    }
    let first = along.cell(line, 0);
    if line >= along.across().axis(table).len() {
        return Err(ShapingError::NoCell { cell: first });
    }
    let place = |cell: Cell| match along {
        Along::Speed => (cell.load, cell.speed),
        Along::Load => (cell.speed, cell.load),
    };
    let drawn = |index: usize| degs.get(index).copied().flatten();
    let follows = |index: usize| {
        let own = along.cell(line, index);
        selection.contains(own) && !advance.held().contains(own)
    };
    let mut reached = Selection::none(selection.loads(), selection.speeds());
    reached.extend(selection.cells().filter(|&cell| {
        let (of, index) = place(cell);
        drawn(index).is_some() && (of == line || follows(index))
    }));
    if reached.is_empty() {
        return Ok(Shaped::plain(advance.clone(), 0, 0, 0));
    }
    reshape(advance, &reached, Origin::Typed, |cell, z| {
        let (of, index) = place(cell);
        match drawn(index) {
            Some(deg) if of == line => deg,
            Some(deg) => plus(z, settle(deg - table.at(along.cell(line, index)))),
            None => z,
        }
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::shaping::sample::{
        advance, all, any_advance, any_axis, any_selection, block, held, one, untouched_keep_bits,
    };
    use proptest::prelude::*;

    /// What a whole stroke gives each breakpoint, piece by piece.
    fn stroke(axis: &Axis, path: &[(f64, f64)]) -> Vec<Option<f64>> {
        let mut degs = vec![None; axis.len()];
        for pair in path.windows(2) {
            passed(axis, pair[0], pair[1]).for_each(|(index, deg)| degs[index] = Some(deg));
        }
        degs
    }

    #[test]
    fn a_stroke_is_read_between_its_samples_and_its_last_pass_counts() {
        let axis = Axis::new(vec![0.0, 10.0, 25.0, 30.0]).unwrap();
        assert_eq!(stroke(&axis, &[(-5.0, 10.0), (20.0, 20.0)]), [Some(12.0), Some(16.0), None, None]);
        assert_eq!(stroke(&axis, &[(5.0, 0.0), (28.0, 23.0), (8.0, 23.0)]), [None, Some(23.0), Some(23.0), None]);
        assert_eq!(stroke(&axis, &[(10.0, 1.0), (10.0, 4.0)]), [None, Some(4.0), None, None]);
        assert_eq!(stroke(&axis, &[(0.0, f64::NAN), (30.0, 1.0)]), [None; 4]);
        assert_eq!(stroke(&axis, &[(3.0, 1.0)]), [None; 4]);
    }

    #[test]
    fn the_line_takes_the_values_and_what_is_selected_with_it_keeps_its_shape() {
        let start = held(&advance(3, 4, |x, y| 10.0 * y + x), &[Cell::new(1, 2), Cell::new(0, 0)]);
        let degs = [Some(15.0), None, Some(17.5), Some(18.5)];
        let row = draw(&start, &block(start.table(), 1..2, 0..4), Along::Speed, 1, &degs).unwrap();
        assert_eq!(row.advance.table().row(1), [15.0, 11.0, 12.0, 18.5]);
        assert_eq!((row.selected, row.held, row.changed), (3, 1, 2));
        assert_eq!(draw_label(&row, Along::Speed, 1, "2 cells"), "Draw 2 cells at load 1");
        // Together with the other rows: those move along, but not at the held breakpoint nor where they are held.
        let whole = draw(&start, &all(&start), Along::Speed, 1, &degs).unwrap();
        assert_eq!(whole.advance.table().row(0), [0.0, 1.0, 2.0, 8.5]);
        assert_eq!(whole.advance.table().row(2), [25.0, 21.0, 22.0, 28.5]);
        let column = draw(&start, &block(start.table(), 0..3, 3..4), Along::Load, 3, &[None, Some(1.5)]).unwrap();
        assert_eq!(column.advance.table().column(3).collect::<Vec<_>>(), [3.0, 1.5, 23.0]);
        assert_eq!(draw_label(&column, Along::Load, 3, "1 cell"), "Draw 1 cell at 3 rpm");
    }

    #[test]
    fn what_cannot_be_drawn_is_refused() {
        let start = advance(3, 3, |_, _| 20.0);
        let at = |line, deg| draw(&start, &all(&start), Along::Speed, line, &[Some(deg)]);
        assert!(matches!(at(3, 20.0), Err(ShapingError::NoCell { .. })));
        for bad in [91.0, f64::NAN] {
            assert!(matches!(at(0, bad), Err(ShapingError::Parameter { .. })));
        }
        let none = draw(&start, &one(&start, Cell::new(2, 2)), Along::Speed, 0, &[Some(1.0)]).unwrap();
        assert_eq!((none.selected, none.changed), (0, 0));
    }

    proptest! {
        #[test]
        fn a_stroke_gives_what_a_search_from_its_end_finds(
            axis in any_axis(12), samples in proptest::collection::vec((0_usize..40, 0.0..40.0), 0..12),
        ) {
            // Places on breakpoints, between them and beyond both ends.
            let points = axis.breakpoints();
            let place = |k: usize| match k % 4 {
                0 => points[(k / 4) % points.len()],
                1 => axis.first() - k as f64,
                2 => axis.last() + k as f64,
                _ => axis.first() + axis.span() * k as f64 / 40.0,
            };
            let path: Vec<(f64, f64)> = samples.iter().map(|&(k, deg)| (place(k), deg)).collect();
            let found = stroke(&axis, &path);
            for (&at, found) in points.iter().zip(&found) {
                let last = path.windows(2).rev().find(|pair| (pair[0].0 - at) * (pair[1].0 - at) <= 0.0);
                let expected = last.map(|pair| {
                    let share = if pair[1].0 == pair[0].0 { 1.0 } else { (at - pair[0].0) / (pair[1].0 - pair[0].0) };
                    pair[0].1 * (1.0 - share) + pair[1].1 * share
                });
                prop_assert_eq!(found.is_some(), expected.is_some());
                prop_assert!((found.unwrap_or(0.0) - expected.unwrap_or(0.0)).abs() < 1e-9);
            }
        }

        #[test]
        fn draws_only_free_selected_cells((advance, selection) in any_advance(8).prop_flat_map(any_selection)) {
            let degs: Vec<Option<f64>> = (0..8).map(|k| (k % 3 != 0).then(|| f64::from(k))).collect();
            if let Ok(drawn) = draw(&advance, &selection, Along::Load, 0, &degs) {
                untouched_keep_bits(&advance, &selection, &drawn)?;
            }
        }
    }
}
