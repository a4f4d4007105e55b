//! Extend: continue the surface to an edge of the table.

use super::lines::{SIDE_WORDS, SIDES, given_side, side};
use super::offer::{Choice, Group, Part, Sentence, WhyNot, no_deed};
use super::onward::{Known, may_rise};
use super::operation::{Argument, Given, Operation, OperationError, Takes, Word};
use super::shaped::{check, reshape, unless_dust};
use super::{Extension, Shaped, ShapingError, Side, Tool};
use crate::project::{Advance, Origin};
use crate::table::{Selection, Table};

const EXTEND_TO: Choice = Choice {
    name: "extend to",
    options: &["top edge", "bottom edge", "left edge", "right edge"],
    default: 0,
    usable: |selection| {
        let reached = Side::reached_by(selection);
        reached.iter().filter_map(|side| SIDES.iter().position(|other| other == side)).collect()
    },
};

const EXTENSIONS: [Extension; 2] = [Extension::Linear, Extension::Flat];
const EXTEND_HOW: Choice =
    Choice { name: "extend how", options: &["straight on", "flat"], default: 0, usable: |_| vec![0, 1] };

/// `extend` on the command line.
pub(super) const EXTEND: Operation = Operation {
    name: "extend",
    about: "Extend the surface over the selected cells to the table's edge that they reach",
    arguments: &[
        Argument {
            name: "to",
            value_name: "SIDE",
            help: "To which edge. When left out: the one edge of the table that the selection reaches",
            takes: Takes::WordOption(SIDE_WORDS, None),
        },
        Argument {
            name: "how",
            value_name: "HOW",
            help: "linear goes on with the robust slope of the last third of the cells before the selection, with load \
                   never up from the middle on; flat with the value of the one before",
            takes: Takes::WordOption(
                &[
                    Word { name: "linear", help: "On the straight line through the two cells before", alias: None },
                    Word { name: "flat", help: "At the value of the cell before", alias: None },
                ],
                Some("linear"),
            ),
        },
    ],
    takes_whole_table: false,
    tool: |given| {
        let how = given.word("how").and_then(|place| EXTENSIONS.get(place)).copied().unwrap_or(Extension::Linear);
        Ok(Tool::Extend { to: edge_meant(given)?, how })
    },
};

/// The edge that was given, or the only one that the selection reaches.
fn edge_meant(given: &Given<'_>) -> Result<Side, OperationError> {
    let unfit = |reason: &str| Err(OperationError::Unfit { operation: "extend", reason: reason.into() });
    match (given_side(given, "to"), Side::reached_by(given.selection).as_slice()) {
        (Some(edge), _) => Ok(edge),
        (None, [side]) => Ok(*side),
        (None, []) => unfit(
            "the selection reaches no edge from which unselected cells lie inwards; choose it with --speed or --load",
        ),
        (None, _) => unfit("the selection reaches more than one edge; choose one with --to"),
    }
}

/// Extending in the inspector.
pub(super) const EXTEND_SENTENCE: Sentence = Sentence {
    key: "extend",
    group: Group::Lines,
    verb: "Extend to the",
    parts: &[Part::Choice(&EXTEND_TO)],
    more: Some(&[Part::Choice(&EXTEND_HOW)]),
    tip: "Carries the surface on to the edge of the table, straight on or flat.",
    widens: false,
    deed: no_deed,
    refusal: |asked| {
        (EXTEND_TO.usable)(asked.selected).is_empty().then_some(WhyNot {
            short: "reaches no edge",
            long: "The selection reaches no edge of the table: select the cells up to an edge, and leave two before \
                   them.",
        })
    },
    tool: |asked| {
        let how = EXTENSIONS.get(asked.taken(&EXTEND_HOW)).copied().unwrap_or(Extension::Linear);
        Tool::Extend { to: side(asked.taken(&EXTEND_TO)), how }
    },
};

/// What extending is called in the history.
pub(super) fn extend_label(to: Side, how: Extension, cells: &str) -> String {
    match how {
        Extension::Linear => format!("Extend {cells} to the {to}, straight on"),
        Extension::Flat => format!("Extend {cells} to the {to}, flat"),
    }
}

/// Gives new values to every run of selected cells that reaches the edge `to`, computed from the unselected
/// cells before the run: one for flat, at least two for linear. Other selected cells stay. Neighbouring rows or
/// columns whose runs have the same length are continued together, so that the new cells are no rougher across
/// than those before them.
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
    // Cells that happened to have the value already are just as extended as the others.
    let mut all = Selection::none(table.load().len(), table.speed().len());
    all.extend((0..lines).flat_map(|line| (0..runs[line]).map(move |k| along.cell(line, to.inward_from(k, count)))));
    let free = all.cells().filter(|&cell| !advance.held().contains(cell));
    let mut marked = Selection::none(table.load().len(), table.speed().len());
    marked.extend(free);
    Ok(Shaped { advance: shaped.advance.with_origin(&marked, Origin::Extended), ..shaped })
}

/// Computes the last `run` cells of neighbouring rows or columns.
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

#[cfg(test)]
mod tests {
    use super::*;
    use crate::shaping::sample::{advance, block, over};
    use crate::table::Cell;

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

    #[test]
    fn the_choice_of_edges_follows_the_selection() {
        let mut selection = Selection::none(4, 4);
        selection.extend([Cell::new(3, 0), Cell::new(3, 1)]);
        let sides: Vec<Side> = (EXTEND_TO.usable)(&selection).into_iter().map(side).collect();
        assert_eq!(sides, [Side::LowSpeed, Side::HighLoad]);
    }
}
