//! Tools that carry a row or column into its neighbours: fill and repeat.

use super::amounts::{AMOUNT_RANGE_DEG, plus};
use super::offer::{Choice, Deed, Does, Group, Number, Part, Sentence, Step, WhyNot, fits_a_block, no_deed};
use super::operation::{Argument, Given, Operation, Takes, Word};
use super::shaped::{check, reshape_by_rule};
use super::{Along, Shaped, ShapingError, Side, Tool};
use crate::project::Advance;
use crate::table::{Block, Cell, Selection, Table};
use crate::wording::{Unit, signed_quantity};

const OFFSET: Number = Number {
    name: "repeat with offset",
    called: "offset",
    unit: |_| Unit::Degree,
    range: AMOUNT_RANGE_DEG,
    typed: AMOUNT_RANGE_DEG,
    step: Step::OfProject,
    default: 1.5,
    usual: "+0.0",
    plus: true,
    argument: "DEG",
    help: "Degrees to add with every row or column further away: the nearest gets it once, the next twice",
};

/// The sides in the order of the inspector's choices: the highest load is at the top of the grid, the lowest
/// speed at its left.
pub(super) const SIDES: [Side; 4] = [Side::HighLoad, Side::LowLoad, Side::LowSpeed, Side::HighSpeed];

const REPEAT_FROM: Choice = Choice {
    name: "repeat from",
    options: &["row above", "row below", "column left", "column right"],
    default: 0,
    usable: |selection| places(|side| lies_beside(selection, side)),
};

const FILL_FROM: Choice = Choice {
    name: "fill from",
    options: &["top row", "bottom row", "left column", "right column"],
    default: 0,
    usable: |selection| places(|side| is_across_lines(selection, side)),
};

/// The indices in [`SIDES`] of those sides for which `is_so` holds.
fn places(is_so: impl Fn(Side) -> bool) -> Vec<usize> {
    SIDES.iter().enumerate().filter(|(_, side)| is_so(**side)).map(|(place, _)| place).collect()
}

/// The side that an option of a choice stands for.
pub(super) fn side(option: usize) -> Side {
    SIDES.get(option).copied().unwrap_or(Side::HighLoad)
}

/// Whether the table has a row or column beside the selection towards that edge.
fn lies_beside(selection: &Selection, side: Side) -> bool {
    selection.bounds().is_some_and(|block| match side {
        Side::HighLoad => block.loads.end < selection.loads(),
        Side::LowLoad => block.loads.start > 0,
        Side::LowSpeed => block.speeds.start > 0,
        Side::HighSpeed => block.speeds.end < selection.speeds(),
    })
}

/// Whether the selection is a block of more than one line towards that edge, so that there is something to
/// fill.
fn is_across_lines(selection: &Selection, side: Side) -> bool {
    selection.as_block().is_some_and(|block| span(&block, side.along()).len() > 1)
}

pub(super) const SIDE_WORDS: &[Word] = &[
    Word { name: "low-speed", help: "Towards the lowest speed (also: left)", alias: Some("left") },
    Word { name: "high-speed", help: "Towards the highest speed (also: right)", alias: Some("right") },
    Word { name: "low-load", help: "Towards the lowest load (also: below)", alias: Some("below") },
    Word { name: "high-load", help: "Towards the highest load (also: above)", alias: Some("above") },
];

/// The side given for an option on the command line.
pub(super) fn given_side(given: &Given<'_>, option: &str) -> Option<Side> {
    given.word(option).and_then(|place| Side::ALL.get(place)).copied()
}

/// `repeat` on the command line.
pub(super) const REPEAT: Operation = Operation {
    name: "repeat",
    about: "Repeat the row or column beside the selection over the selected cells",
    arguments: &[
        Argument {
            name: "from",
            value_name: "SIDE",
            help: "On which side of the selection the row or column to repeat lies. When left out: the row below it \
                   (low-load) if --load is given, else the column of the next lower speed (low-speed)",
            takes: Takes::WordOption(SIDE_WORDS, None),
        },
        Argument { name: "offset", value_name: OFFSET.argument, help: OFFSET.help, takes: Takes::NumberOption("0") },
    ],
    takes_whole_table: false,
    tool: |given| {
        let usual = if given.rows_chosen { Side::LowLoad } else { Side::LowSpeed };
        let from = given_side(given, "from").unwrap_or(usual);
        Ok(Tool::Repeat { from, offset_deg: given.number("offset")? })
    },
};

/// Repeating in the inspector.
pub(super) const REPEAT_SENTENCE: Sentence = Sentence {
    key: "repeat",
    group: Group::Lines,
    verb: "Repeat the",
    parts: &[Part::Choice(&REPEAT_FROM)],
    more: Some(&[Part::Word("with"), Part::Number(&OFFSET)]),
    tip: "Repeats the line beside the selection; the offset is added again with every line.",
    widens: false,
    deed: no_deed,
    refusal: |asked| {
        (REPEAT_FROM.usable)(asked.selected).is_empty().then_some(WhyNot {
            short: "nothing beside",
            long: "No line lies beside the selection: leave the one to repeat unselected.",
        })
    },
    tool: |asked| Tool::Repeat { from: side(asked.taken(&REPEAT_FROM)), offset_deg: asked.number(&OFFSET) },
};

/// Filling from an edge in the inspector.
pub(super) const FILL_SENTENCE: Sentence = Sentence {
    key: "copy",
    group: Group::Lines,
    verb: "Fill from the",
    parts: &[Part::Choice(&FILL_FROM)],
    more: None,
    tip: "Copies one line of the block over the rest of it.",
    widens: false,
    deed: |asked| match side(asked.taken(&FILL_FROM)) {
        Side::HighLoad => Some(&FILL_DOWN),
        Side::LowSpeed => Some(&FILL_RIGHT),
        Side::LowLoad | Side::HighSpeed => None,
    },
    refusal: |asked| {
        if asked.selected.as_block().is_none() {
            return Some(WhyNot::NO_BLOCK);
        }
        (FILL_FROM.usable)(asked.selected)
            .is_empty()
            .then_some(WhyNot { short: "one cell", long: "One cell has nothing to fill: select more." })
    },
    tool: |asked| Tool::Fill { from: side(asked.taken(&FILL_FROM)) },
};

/// Filling down as a command.
pub(super) const FILL_DOWN: Deed = Deed {
    id: "FillDown",
    text: "Fill down",
    tooltip: "Copy the top row of the selected block over the rows below it.",
    unfit: fits_a_block,
    does: Does::Tool(|_, _| Tool::Fill { from: Side::HighLoad }),
};

/// Filling right as a command.
pub(super) const FILL_RIGHT: Deed = Deed {
    id: "FillRight",
    text: "Fill right",
    tooltip: "Copy the first column of the selected block over the columns right of it.",
    unfit: fits_a_block,
    does: Does::Tool(|_, _| Tool::Fill { from: Side::LowSpeed }),
};

/// What repeating is called in the history.
pub(super) fn repeat_label(from: Side, offset_deg: f64, cells: &str) -> String {
    format!("Repeat the {} beside {cells} with {}", line(from), signed_quantity(offset_deg, Unit::Degree))
}

/// What filling is called in the history.
pub(super) fn fill_label(from: Side, cells: &str) -> String {
    format!("Fill {cells} from the {}", line(from))
}

const fn line(from: Side) -> &'static str {
    match from.along() {
        Along::Speed => "column",
        Along::Load => "row",
    }
}

/// Copies the row or column of the selected block that is nearest to the edge `from` over the rest of the
/// block.
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

/// Repeats the row or column just outside the selection towards the edge `from`, with `offset_deg` more for
/// each line further away: the first selected line gets one offset, the second two. Settled to twelve decimals.
///
/// # Errors
/// [`ShapingError`] when there is no such line, the offset or a result is out of range, or the selection is of
/// no use.
pub fn repeat(advance: &Advance, selection: &Selection, from: Side, offset_deg: f64) -> Result<Shaped, ShapingError> {
    check(advance, selection)?;
    OFFSET.check(offset_deg)?;
    let table = advance.table();
    let source = line_beside(table, selection, from).ok_or(ShapingError::NothingBeside { side: from })?;
    reshape_by_rule(advance, selection, |cell, _| {
        let value = table.at(moved(cell, from.along(), source));
        #[expect(clippy::cast_precision_loss, reason = "indices are below 64")]
        let steps = place(cell, from.along()).abs_diff(source) as f64;
        plus(value, steps * offset_deg)
    })
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
        advance, all, any_advance, any_plane, any_selection, block, held, untouched_keep_bits,
    };
    use crate::shaping::{Extension, extend};
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
                // Along load, no cell may rise in the upper half of the axis.
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

    #[test]
    fn choices_follow_the_selection() {
        let sides = |choice: &Choice, selection: &Selection| -> Vec<Side> {
            (choice.usable)(selection).into_iter().map(side).collect()
        };
        let mut selection = Selection::none(4, 4);
        selection.extend([Cell::new(3, 0), Cell::new(3, 1)]);
        assert_eq!(sides(&REPEAT_FROM, &selection), [Side::LowLoad, Side::HighSpeed]);
        assert_eq!(sides(&FILL_FROM, &selection), [Side::LowSpeed, Side::HighSpeed]);
        selection.set(Cell::new(0, 3), true);
        assert_eq!(sides(&FILL_FROM, &selection), []);
        assert_eq!(sides(&REPEAT_FROM, &selection), []);
        assert_eq!(sides(&REPEAT_FROM, &Selection::none(4, 4)), []);
    }
}
