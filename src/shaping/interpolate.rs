//! Interpolation: along the rows, along the columns, from a block's corners, from its border.

use std::ops::Range;

use super::offer::{Choice, Deed, Does, Group, Part, Sentence, WhyNot, fits_a_block, never_refused, no_deed};
use super::operation::{Argument, Operation, OperationError, Takes, Word};
use super::shaped::{check, reshape, unless_dust};
use super::{Along, Shaped, ShapingError, Tool, Way};
use crate::project::{Advance, Origin};
use crate::table::{Axis, Block, Cell, Selection, Table, blend};

const WAYS: [Way; 4] = [Way::Line(Along::Speed), Way::Line(Along::Load), Way::Corners, Way::Edges];

/// `interpolate` on the command line.
pub(super) const INTERPOLATE: Operation = Operation {
    name: "interpolate",
    about: "Fill the cells between the ends of each row (speed) or column (load), the block's corners, or its edges",
    arguments: &[Argument {
        name: "between",
        value_name: "BETWEEN",
        help: "Between what",
        takes: Takes::Word(&[
            Word { name: "speed", help: "Along speed, between the ends of each selected run in a row", alias: None },
            Word { name: "load", help: "Along load, between the ends of each selected run in a column", alias: None },
            Word { name: "corners", help: "Between the four corners of the block", alias: None },
            Word { name: "edges", help: "Between the four edges of the block", alias: None },
        ]),
    }],
    takes_whole_table: false,
    tool: |given| {
        let way = given.word("between").and_then(|place| WAYS.get(place)).copied();
        way.map(Tool::Interpolate).ok_or(OperationError::Missing { what: "BETWEEN" })
    },
};

const FILL_BETWEEN: Choice =
    Choice { name: "fill between", options: &["edges", "corners"], default: 0, usable: |_| vec![0, 1] };
const INTERPOLATE_ALONG: Choice =
    Choice { name: "interpolate along", options: &["speed", "load"], default: 0, usable: |_| vec![0, 1] };

/// Filling between edges or corners in the inspector.
pub(super) const FILL_SENTENCE: Sentence = Sentence {
    key: "fill",
    group: Group::Between,
    verb: "Fill between",
    parts: &[Part::Choice(&FILL_BETWEEN)],
    more: Some(&[]),
    tip: "Fills the selected block, or the whole table when one cell is selected, from its edges or its corners; a \
          single row or column between its ends.",
    widens: true,
    deed: |_| Some(&FILL_BETWEEN_DEED),
    refusal: |asked| {
        let Some(block) = asked.cells.as_block() else {
            return Some(WhyNot::NO_BLOCK);
        };
        let (loads, speeds) = (block.loads.len(), block.speeds.len());
        let is_line = loads == 1 || speeds == 1;
        let is_patch = fill_way(asked.taken(&FILL_BETWEEN)) == Way::Edges && !is_line;
        let has_inside = if is_patch { loads > 2 && speeds > 2 } else { loads > 2 || speeds > 2 };
        (!has_inside).then_some(WhyNot {
            short: "nothing in between",
            long: "The block has no cells in between: select at least 3 × 3, or more than 2 in one row or column.",
        })
    },
    tool: |asked| Tool::Interpolate(fill_way(asked.taken(&FILL_BETWEEN))),
};

const fn fill_way(option: usize) -> Way {
    if option == 0 { Way::Edges } else { Way::Corners }
}

/// Interpolating along an axis in the inspector.
pub(super) const INTERPOLATE_SENTENCE: Sentence = Sentence {
    key: "interpolate",
    group: Group::Between,
    verb: "Interpolate along",
    parts: &[Part::Choice(&INTERPOLATE_ALONG)],
    more: Some(&[]),
    tip: "Draws a straight line, in axis units, between the ends of every selected run.",
    widens: true,
    deed: no_deed,
    refusal: never_refused,
    tool: |asked| {
        let along = if asked.taken(&INTERPOLATE_ALONG) == 0 { Along::Speed } else { Along::Load };
        Tool::Interpolate(Way::Line(along))
    },
};

/// Filling as a command.
pub(super) const FILL_BETWEEN_DEED: Deed = Deed {
    id: "Interpolate",
    text: "Fill between edges or corners",
    tooltip: "Fill the selected block, or the whole table when one cell is selected, between its edges or corners as the \
              inspector's sentence says; a row or column between its ends.",
    unfit: fits_a_block,
    does: Does::Sentence("fill"),
};

/// Interpolating along rows as a command.
pub(super) const ROW_DEED: Deed = Deed {
    id: "InterpolateRow",
    text: "Interpolate along the row",
    tooltip: "Draw a straight line, by speed, between the ends of the selected cells in each row; held cells stay.",
    unfit: |cells| {
        let told = "nothing lies in between: select at least three cells side by side in a row";
        (!has_inside(cells, Along::Speed)).then_some(told)
    },
    does: Does::Tool(|_, _| Tool::Interpolate(Way::Line(Along::Speed))),
};

/// Interpolating along columns as a command.
pub(super) const COLUMN_DEED: Deed = Deed {
    id: "InterpolateColumn",
    text: "Interpolate along the column",
    tooltip: "Draw a straight line, by load, between the ends of the selected cells in each column; held cells stay.",
    unfit: |cells| {
        let told = "nothing lies in between: select at least three cells one above the other in a column";
        (!has_inside(cells, Along::Load)).then_some(told)
    },
    does: Does::Tool(|_, _| Tool::Interpolate(Way::Line(Along::Load))),
};

/// Whether any run of the selected cells in that direction has more than its two ends.
fn has_inside(cells: &Selection, along: Along) -> bool {
    let (count, lines) = match along {
        Along::Speed => (cells.speeds(), cells.loads()),
        Along::Load => (cells.loads(), cells.speeds()),
    };
    let is_long = |line: usize| runs(count, |at| cells.contains(along.cell(line, at))).iter().any(|run| run.len() > 2);
    (0..lines).any(is_long)
}

impl Way {
    /// Applies it.
    pub(super) fn apply(self, advance: &Advance, selection: &Selection) -> Result<Shaped, ShapingError> {
        match self {
            Self::Line(along) => interpolate(advance, selection, along),
            Self::Corners => interpolate_corners(advance, selection),
            Self::Edges => interpolate_edges(advance, selection),
        }
    }

    /// What it is called in the history.
    pub(super) fn label(self, cells: &str) -> String {
        match self {
            Self::Line(along) => format!("Interpolate {cells} along {along}"),
            Self::Corners => format!("Fill {cells} between corners"),
            Self::Edges => format!("Fill {cells} between edges"),
        }
    }
}

/// Draws a straight line, in axis units, between the ends of every maximal run of selected cells in each row
/// (`Along::Speed`) or column (`Along::Load`). The ends keep their values; a held cell inside a run stays as it
/// is and does not bend the line: only the ends are knots.
///
/// # Errors
/// [`ShapingError`] when the selection is of no use.
pub fn interpolate(advance: &Advance, selection: &Selection, along: Along) -> Result<Shaped, ShapingError> {
    check(advance, selection)?;
    let table = advance.table();
    let (axis, lines) = (along.axis(table), along.across().axis(table).len());
    let mut drawn = table.values().to_vec();
    for line in 0..lines {
        let selected = |at: usize| selection.contains(along.cell(line, at));
        for run in runs(axis.len(), selected) {
            let ends = [run.start, run.end - 1].map(|at| table.at(along.cell(line, at)));
            for at in run.clone() {
                let share = share(axis, &run, at);
                drawn[table.index(along.cell(line, at))] = blend(ends[0], ends[1], share);
            }
        }
    }
    reshape(advance, selection, Origin::Interpolated, |cell, z| unless_dust(z, drawn[table.index(cell)]))
}

/// Fills a block bilinearly from its four corners, which keep their values.
///
/// # Errors
/// [`ShapingError`] when the selection is no block or otherwise of no use.
pub fn interpolate_corners(advance: &Advance, selection: &Selection) -> Result<Shaped, ShapingError> {
    check(advance, selection)?;
    let block = selection.as_block().ok_or(ShapingError::NoBlock { tool: "filling between corners" })?;
    let patch = Patch { table: advance.table(), block };
    reshape(advance, selection, Origin::Interpolated, |cell, z| unless_dust(z, patch.between_corners(cell)))
}

/// Fills a block from its border, which keeps its values, by the bilinearly blended patch of S. A. Coons (1967):
/// the two ruled surfaces between opposite borders, added, less the bilinear surface of the corners. The border of a
/// single row or column is its two ends, between which it is straight.
///
/// # Errors
/// [`ShapingError`] when the selection is no block or otherwise of no use.
pub fn interpolate_edges(advance: &Advance, selection: &Selection) -> Result<Shaped, ShapingError> {
    check(advance, selection)?;
    let block = selection.as_block().ok_or(ShapingError::NoBlock { tool: "filling between edges" })?;
    let is_line = block.loads.len() == 1 || block.speeds.len() == 1;
    let patch = Patch { table: advance.table(), block };
    if is_line {
        return reshape(advance, selection, Origin::Interpolated, |cell, z| {
            unless_dust(z, patch.between_corners(cell))
        });
    }
    let inside = |cell| if patch.on_border(cell) { patch.table.at(cell) } else { patch.between_edges(cell) };
    reshape(advance, selection, Origin::Interpolated, |cell, z| unless_dust(z, inside(cell)))
}

/// The maximal runs of selected indices below `count`.
pub(super) fn runs(count: usize, selected: impl Fn(usize) -> bool) -> Vec<Range<usize>> {
    let mut runs: Vec<Range<usize>> = Vec::new();
    for at in (0..count).filter(|&at| selected(at)) {
        match runs.last_mut() {
            Some(run) if run.end == at => run.end = at + 1,
            _ => runs.push(at..at + 1),
        }
    }
    runs
}

/// How far along a run an index lies, 0 to 1 in axis units; 0 in a run of one.
fn share(axis: &Axis, run: &Range<usize>, at: usize) -> f64 {
    let x = axis.breakpoints();
    let length = x[run.end - 1] - x[run.start];
    if length == 0.0 { 0.0 } else { (x[at] - x[run.start]) / length }
}

struct Patch<'a> {
    table: &'a Table,
    block: Block,
}

impl Patch<'_> {
    fn corner(&self, high_load: bool, high_speed: bool) -> f64 {
        let end = |range: &Range<usize>, high| if high { range.end - 1 } else { range.start };
        self.table.at(Cell::new(end(&self.block.loads, high_load), end(&self.block.speeds, high_speed)))
    }

    fn shares(&self, cell: Cell) -> (f64, f64) {
        let along_speed = share(self.table.speed(), &self.block.speeds, cell.speed);
        (along_speed, share(self.table.load(), &self.block.loads, cell.load))
    }

    fn between_corners(&self, cell: Cell) -> f64 {
        let (along_speed, along_load) = self.shares(cell);
        let low = blend(self.corner(false, false), self.corner(false, true), along_speed);
        let high = blend(self.corner(true, false), self.corner(true, true), along_speed);
        blend(low, high, along_load)
    }

    fn between_edges(&self, cell: Cell) -> f64 {
        let (along_speed, along_load) = self.shares(cell);
        let at = |load, speed| self.table.at(Cell::new(load, speed));
        let Block { loads, speeds } = &self.block;
        let ruled_rows = blend(at(loads.start, cell.speed), at(loads.end - 1, cell.speed), along_load);
        let ruled_columns = blend(at(cell.load, speeds.start), at(cell.load, speeds.end - 1), along_speed);
        ruled_rows + ruled_columns - self.between_corners(cell)
    }

    fn on_border(&self, cell: Cell) -> bool {
        let end = |range: &Range<usize>, at| at == range.start || at + 1 == range.end;
        end(&self.block.loads, cell.load) || end(&self.block.speeds, cell.speed)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::shaping::sample::{
        self, advance, all, any_advance, any_plane, any_selection, block, farthest, held, over, untouched_keep_bits,
    };
    use approx::assert_abs_diff_eq;
    use proptest::prelude::*;

    #[test]
    fn draws_lines_in_axis_units_per_run() {
        let start =
            over(&[0.0, 1000.0, 4000.0, 5000.0, 6000.0], &[0.0, 1.0], |x, _| if x == 4000.0 { 8.0 } else { 0.0 });
        let mut chosen = block(start.table(), 0..1, 0..3);
        chosen.set(Cell::new(0, 4), true);
        let lined = interpolate(&start, &chosen, Along::Speed).unwrap();
        assert_eq!(lined.advance.table().row(0), [0.0, 2.0, 8.0, 0.0, 0.0]);
        assert_eq!(lined.changed, 1);
        assert_eq!(lined.advance.origin(Cell::new(0, 1)), Origin::Interpolated);
    }

    #[test]
    fn a_held_cell_inside_a_run_is_no_knot() {
        let start = advance(5, 2, |_, y| if y == 2.0 { 30.0 } else { y });
        let lined = interpolate(&held(&start, &[Cell::new(2, 0)]), &all(&start), Along::Load).unwrap();
        assert_eq!(lined.advance.table().column(0).collect::<Vec<_>>(), [0.0, 1.0, 30.0, 3.0, 4.0]);
        assert_eq!(lined.advance.table().column(1).collect::<Vec<_>>(), [0.0, 1.0, 2.0, 3.0, 4.0]);
    }

    /// By hand: the centre of corners 0, 4, 8, 20 is 8; a quarter along both ways is
    /// 0.75·(0.75·0 + 0.25·4) + 0.25·(0.75·8 + 0.25·20) = 3.5.
    #[test]
    fn corners_are_bilinear() {
        let mut values = [0.0; 25];
        (values[4], values[20], values[24]) = (4.0, 8.0, 20.0);
        let start = sample::filled(5, 5, &values);
        let filled = interpolate_corners(&start, &all(&start)).unwrap();
        assert_eq!(filled.advance.table().at(Cell::new(2, 2)), 8.0);
        assert_abs_diff_eq!(filled.advance.table().at(Cell::new(1, 1)), 3.5, epsilon = 1e-12);
        assert_eq!(filled.advance.table().at(Cell::new(4, 4)), 20.0);
    }

    /// By hand at the centre of a unit block: mean of opposite border middles, both ways, less the corners' mean:
    /// (1 + 5)/2 + (2 + 7)/2 − (0 + 3 + 4 + 9)/4 = 3.5.
    #[test]
    fn edges_make_a_coons_patch() {
        let cells = [0.0, 1.0, 3.0, 2.0, -50.0, 7.0, 4.0, 5.0, 9.0];
        let start = sample::filled(3, 3, &cells);
        let filled = interpolate_edges(&start, &all(&start)).unwrap();
        assert_abs_diff_eq!(filled.advance.table().at(Cell::new(1, 1)), 3.5, epsilon = 1e-12);
        assert_eq!(filled.changed, 1);
    }

    #[test]
    fn a_single_row_is_a_line_between_its_ends_for_corners_and_edges() {
        let start = advance(2, 5, |x, _| x * x);
        let row = block(start.table(), 1..2, 0..5);
        let filled = interpolate_corners(&start, &row).unwrap();
        assert_eq!(filled.advance.table().row(1), [0.0, 4.0, 8.0, 12.0, 16.0]);
        assert_eq!(interpolate_edges(&start, &row).unwrap(), filled);
        let column = block(start.table(), 0..2, 3..4);
        assert_eq!(interpolate_edges(&start, &column).unwrap().changed, 0);
    }

    #[test]
    fn the_commands_need_cells_in_between() {
        let start = advance(5, 5, |x, _| x);
        let unfit = |cells: &Selection| [&ROW_DEED, &COLUMN_DEED].map(|deed| (deed.unfit)(cells).is_some());
        assert_eq!(unfit(&block(start.table(), 0..1, 0..3)), [false, true]);
        assert_eq!(unfit(&block(start.table(), 1..4, 2..4)), [true, false]);
        let mut apart = block(start.table(), 0..1, 0..2);
        apart.set(Cell::new(0, 3), true);
        assert_eq!(unfit(&apart), [true, true]);
    }

    #[test]
    fn corners_and_edges_need_a_block() {
        let start = advance(3, 3, |x, _| x);
        let mut chosen = all(&start);
        chosen.set(Cell::new(0, 0), false);
        assert!(matches!(interpolate_corners(&start, &chosen), Err(ShapingError::NoBlock { .. })));
        assert!(matches!(interpolate_edges(&start, &chosen), Err(ShapingError::NoBlock { .. })));
    }

    proptest! {
        #[test]
        fn a_plane_is_unchanged((plane, chosen) in any_plane(16).prop_flat_map(any_selection)) {
            let whole = all(&plane);
            for shaped in [
                interpolate(&plane, &chosen, Along::Speed), interpolate(&plane, &chosen, Along::Load),
                interpolate_corners(&plane, &whole), interpolate_edges(&plane, &whole),
            ] {
                prop_assert_eq!(shaped.unwrap().changed, 0);
            }
        }

        #[test]
        fn a_ruled_surface_is_its_own_coons_patch(size in 3..12_usize, a in -0.2..0.2, b in -0.2..0.2) {
            let start = advance(size, size, |x, y| a * x * y + b * x);
            let filled = interpolate_edges(&start, &all(&start)).unwrap();
            prop_assert!(farthest(filled.advance.table().values(), start.table().values()) < 1e-12);
        }

        #[test]
        fn twice_is_once_and_the_rest_stays((start, chosen) in any_advance(12).prop_flat_map(any_selection)) {
            for along in [Along::Speed, Along::Load] {
                let once = interpolate(&start, &chosen, along).unwrap();
                untouched_keep_bits(&start, &chosen, &once)?;
                prop_assert_eq!(interpolate(&once.advance, &chosen, along).unwrap().changed, 0);
            }
            let once = interpolate_corners(&start, &all(&start)).unwrap();
            untouched_keep_bits(&start, &all(&start), &once)?;
            prop_assert_eq!(interpolate_corners(&once.advance, &all(&start)).unwrap().changed, 0);
            if let Ok(once) = interpolate_edges(&start, &all(&start)) {
                untouched_keep_bits(&start, &all(&start), &once)?;
                prop_assert_eq!(interpolate_edges(&once.advance, &all(&start)).unwrap().changed, 0);
            }
        }
    }
}
