//! Tools that carry rows or columns into their neighbours: fill, repeat, extend.

use super::amounts::{AMOUNT_RANGE_DEG, plus};
use super::error::within;
use super::onward::{Known, may_rise};
use super::shaped::{check, reshape, reshape_by_rule, unless_dust};
use super::{Along, Shaped, ShapingError, Side};
use crate::project::{Advance, Origin};
use crate::table::{Block, Cell, Selection, Table};

/// How values go on towards an edge.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Extension {
    /// Along the slope, in axis units, of the last third of the cells before; with load never up from the middle on.
    Linear,
    /// At the value of the cell before.
    Flat,
}

/// Copies the line of the selected block that is nearest to the edge `from` over the rest of the block.
///
/// # Errors
/// [`ShapingError`] when the selection is no block or otherwise of no use.
pub fn fill(advance: &Advance, selection: &Selection, from: Side) -> Result<Shaped, ShapingError> {
    check(advance, selection)?;
    let block = selection.as_block().ok_or(ShapingError::NoBlock { tool: "filling" })?;
    let span = span(&block, from.along());
    let first = if from.is_high() { span.end - 1 } else { span.start };
    let table = advance.table();
    reshape_by_rule(advance, selection, |cell, _| table.at(moved(cell, from.along(), first)))
}

/// Repeats the line that lies just beside the selection towards the edge `from`, `offset_deg` added with every line
/// further away: the selected line next to it gets one offset, the one after that two. Settled to twelve decimals.
///
/// # Errors
/// [`ShapingError`] when no line lies there, the offset or a result is out of range, or the selection is of no use.
pub fn repeat(advance: &Advance, selection: &Selection, from: Side, offset_deg: f64) -> Result<Shaped, ShapingError> {
    check(advance, selection)?;
    within("offset", offset_deg, AMOUNT_RANGE_DEG)?;
    let table = advance.table();
    let source = line_beside(table, selection, from).ok_or(ShapingError::NothingBeside { side: from })?;
    reshape_by_rule(advance, selection, |cell, _| {
        let value = table.at(moved(cell, from.along(), source));
        #[expect(clippy::cast_precision_loss, reason = "indices are below 64")]
        let steps = place(cell, from.along()).abs_diff(source) as f64;
        plus(value, steps * offset_deg)
    })
}

/// Gives every run of selected cells that reaches the edge `to` new values, computed from the unselected cells
/// before it: one for flat, two at least for linear. Other selected cells stay. Lines side by side with runs of one length
/// go on together, no rougher than they are.
///
/// # Errors
/// [`ShapingError`] when no run reaches the edge, too few cells lie before one, a result is out of range, or the
/// selection is of no use.
pub fn extend(advance: &Advance, selection: &Selection, to: Side, how: Extension) -> Result<Shaped, ShapingError> {
    check(advance, selection)?;
    let (along, table) = (to.along(), advance.table());
    let (count, lines) = (along.axis(table).len(), along.across().axis(table).len());
    let run_of = |line: usize| {
        (0..count).take_while(|&k| selection.contains(along.cell(line, to.inward_from(k, count)))).count()
    };
    let runs: Vec<usize> = (0..lines).map(run_of).collect();
    if runs.iter().all(|&run| run == 0) {
        return Err(ShapingError::EdgeNotReached { side: to });
    }
    let needed = if how == Extension::Flat { 1 } else { 2 };
    if let Some(line) = runs.iter().position(|&run| run > 0 && count - run < needed) {
        return Err(ShapingError::NothingToExtend { side: to, line: line + 1, needed, found: count - runs[line] });
    }
    let mut drawn = table.values().to_vec();
    let mut from = 0;
    for alike in runs.chunk_by(|a, b| a == b) {
        if alike[0] > 0 {
            extend_lines(table, to, how, from..from + alike.len(), alike[0], &mut drawn);
        }
        from += alike.len();
    }
    let shaped = reshape(advance, selection, Origin::Extended, |cell, z| unless_dust(z, drawn[table.index(cell)]))?;
    // Cells that had the value by chance rest on no more than the others.
    let mut all = Selection::none(table.load().len(), table.speed().len());
    all.extend((0..lines).flat_map(|line| (0..runs[line]).map(move |k| along.cell(line, to.inward_from(k, count)))));
    let free = all.cells().filter(|&cell| !advance.held().contains(cell));
    let mut marked = Selection::none(table.load().len(), table.speed().len());
    marked.extend(free);
    Ok(Shaped { advance: shaped.advance.with_origin(&marked, Origin::Extended), ..shaped })
}

/// Draws the last `run` cells of lines side by side.
fn extend_lines(table: &Table, to: Side, how: Extension, lines: std::ops::Range<usize>, run: usize, drawn: &mut [f64]) {
    let (along, axis) = (to.along(), to.along().axis(table));
    let count = axis.len();
    let place = |k: usize| to.inward_from(k, count);
    let before: Vec<f64> = (run..count).map(|k| axis.breakpoints()[place(k)]).collect();
    let value = |line: usize, k: usize| table.at(along.cell(line, place(k)));
    for k in 0..run {
        let at = axis.breakpoints()[place(k)];
        let values: Vec<f64> = match how {
            Extension::Flat => lines.clone().map(|line| value(line, run)).collect(),
            Extension::Linear => Known {
                at: &before,
                lines: lines.clone().map(|line| (run..count).map(|k| value(line, k)).collect()).collect(),
                across: &along.across().axis(table).breakpoints()[lines.clone()],
                may_rise: may_rise(to, axis, at),
            }
            .onward(at),
        };
        for (line, deg) in lines.clone().zip(values) {
            drawn[table.index(along.cell(line, place(k)))] = deg;
        }
    }
}

fn line_beside(table: &Table, selection: &Selection, from: Side) -> Option<usize> {
    let span = span(&selection.bounds()?, from.along());
    if !from.is_high() {
        return span.start.checked_sub(1);
    }
    (span.end < from.along().axis(table).len()).then_some(span.end)
}

fn span(block: &Block, along: Along) -> std::ops::Range<usize> {
    match along {
        Along::Speed => block.speeds.clone(),
        Along::Load => block.loads.clone(),
    }
}

const fn place(cell: Cell, along: Along) -> usize {
    match along {
        Along::Speed => cell.speed,
        Along::Load => cell.load,
    }
}

const fn moved(cell: Cell, along: Along, at: usize) -> Cell {
    match along {
        Along::Speed => Cell::new(cell.load, at),
        Along::Load => Cell::new(at, cell.speed),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::shaping::sample::{
        advance, all, any_advance, any_plane, any_selection, block, held, over, untouched_keep_bits,
    };
    use proptest::prelude::*;

    #[test]
    fn fills_from_each_side_around_held_cells() {
        let start = held(&advance(3, 4, |x, y| 10.0 * y + x), &[Cell::new(2, 2)]);
        let chosen = block(start.table(), 1..3, 1..4);
        let row = |side, load| fill(&start, &chosen, side).unwrap().advance.table().row(load).to_vec();
        assert_eq!(row(Side::LowLoad, 2), [20.0, 11.0, 22.0, 13.0]);
        assert_eq!(row(Side::HighLoad, 1), [10.0, 21.0, 22.0, 23.0]);
        assert_eq!(row(Side::LowSpeed, 2), [20.0, 21.0, 22.0, 21.0]);
        assert_eq!(row(Side::HighSpeed, 1), [10.0, 13.0, 13.0, 13.0]);
        assert_eq!(row(Side::LowLoad, 0), [0.0, 1.0, 2.0, 3.0]);
        let mut broken = chosen.clone();
        broken.set(Cell::new(1, 1), false);
        assert!(matches!(fill(&start, &broken, Side::LowLoad), Err(ShapingError::NoBlock { .. })));
    }

    #[test]
    fn repeats_with_the_offset_added_line_by_line() {
        let start = advance(4, 3, |x, y| if y == 1.0 { 20.1 + x } else { 0.0 });
        let up = repeat(&start, &block(start.table(), 2..4, 0..3), Side::LowLoad, 1.5).unwrap();
        assert_eq!(up.advance.table().row(2), [21.6, 22.6, 23.6]);
        assert_eq!(up.advance.table().row(3), [23.1, 24.1, 25.1]);
        let left = repeat(&start, &block(start.table(), 1..2, 0..1), Side::HighSpeed, -0.1).unwrap();
        assert_eq!(left.advance.table().row(1), [21.0, 21.1, 22.1]);
        let error = repeat(&start, &all(&start), Side::LowLoad, 1.0).unwrap_err();
        assert_eq!(error, ShapingError::NothingBeside { side: Side::LowLoad });
    }

    #[test]
    fn extends_flat_and_linear_in_axis_units() {
        let start = over(&[0.0, 1000.0, 2000.0, 4000.0], &[0.0, 1.0], |x, _| if x < 2500.0 { x / 500.0 } else { 50.0 });
        let last = block(start.table(), 0..2, 3..4);
        let row = |how| extend(&start, &last, Side::HighSpeed, how).unwrap().advance.table().row(1).to_vec();
        assert_eq!(row(Extension::Linear), [0.0, 2.0, 4.0, 8.0]);
        assert_eq!(row(Extension::Flat), [0.0, 2.0, 4.0, 4.0]);
        let first = extend(&start, &block(start.table(), 1..2, 0..2), Side::LowSpeed, Extension::Flat).unwrap();
        assert_eq!(first.advance.table().row(1), [4.0, 4.0, 4.0, 50.0]);
    }

    #[test]
    fn refuses_an_edge_not_reached_and_nothing_to_extend() {
        let start = advance(3, 3, |x, _| x);
        let error = |loads, speeds, how| {
            extend(&start, &block(start.table(), loads, speeds), Side::HighSpeed, how).unwrap_err()
        };
        assert_eq!(error(0..3, 0..2, Extension::Flat), ShapingError::EdgeNotReached { side: Side::HighSpeed });
        assert!(matches!(
            error(1..2, 1..3, Extension::Linear),
            ShapingError::NothingToExtend { line: 2, found: 1, .. }
        ));
        assert!(matches!(error(0..3, 0..3, Extension::Flat), ShapingError::NothingToExtend { found: 0, .. }));
    }

    proptest! {
        #[test]
        fn a_plane_goes_on_as_a_plane(plane in any_plane(16)) {
            for side in Side::ALL {
                let (along, table) = (side.along(), plane.table());
                let count = along.axis(table).len();
                let lines = along.across().axis(table).len();
                let mut chosen = Selection::none(table.load().len(), table.speed().len());
                let outer = (0..count / 2).map(|k| side.inward_from(k, count));
                chosen.extend(outer.flat_map(|at| (0..lines).map(move |line| along.cell(line, at))));
                // With load nothing goes up from the middle on.
                let rises = side == Side::HighLoad && table.at(Cell::new(1, 0)) > table.at(Cell::new(0, 0));
                if count - count / 2 >= 2 && !rises {
                    prop_assert_eq!(extend(&plane, &chosen, side, Extension::Linear).unwrap().changed, 0);
                }
            }
        }

        #[test]
        fn held_and_unselected_keep_their_bits((start, chosen) in any_advance(10).prop_flat_map(any_selection)) {
            for side in Side::ALL {
                for shaped in [
                    fill(&start, &all(&start), side), repeat(&start, &chosen, side, 0.3),
                    extend(&start, &chosen, side, Extension::Flat), extend(&start, &chosen, side, Extension::Linear),
                ].into_iter().flatten() {
                    let asked = if shaped.selected == all(&start).count() { all(&start) } else { chosen.clone() };
                    untouched_keep_bits(&start, &asked, &shaped)?;
                }
            }
        }

        #[test]
        fn filling_and_extending_twice_is_once(start in any_advance(10), side in proptest::sample::select(&Side::ALL)) {
            let once = fill(&start, &all(&start), side).unwrap().advance;
            prop_assert_eq!(fill(&once, &all(&start), side).unwrap().changed, 0);
        }
    }
}
