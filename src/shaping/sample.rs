//! Tables for the tests of this room.

use std::ops::Range;

use proptest::prelude::*;
use proptest::test_runner::TestCaseError;

use super::Shaped;
use crate::project::{Advance, Origin};
use crate::table::{Axis, Block, Cell, Selection, Table};

/// Breakpoints 0, 1, 2, …
pub(super) fn steps(count: usize) -> Axis {
    Axis::new((0..count).map(|i| i as f64).collect()).unwrap()
}

/// `loads` rows × `speeds` columns over [`steps`], each cell `value(speed, load)`.
pub(super) fn even(loads: usize, speeds: usize, value: impl Fn(f64, f64) -> f64) -> Table {
    Table::from_fn(steps(speeds), steps(loads), value).unwrap()
}

pub(super) fn advance(loads: usize, speeds: usize, value: impl Fn(f64, f64) -> f64) -> Advance {
    Advance::uniform(even(loads, speeds, value), Origin::Starter).unwrap()
}

/// The same from its values, row by row.
pub(super) fn filled(loads: usize, speeds: usize, values: &[f64]) -> Advance {
    let table = Table::new(steps(speeds), steps(loads), values.to_vec()).unwrap();
    Advance::uniform(table, Origin::Starter).unwrap()
}

pub(super) fn over(speed: &[f64], load: &[f64], value: impl Fn(f64, f64) -> f64) -> Advance {
    let axis = |list: &[f64]| Axis::new(list.to_vec()).unwrap();
    Advance::uniform(Table::from_fn(axis(speed), axis(load), value).unwrap(), Origin::Starter).unwrap()
}

pub(super) fn all(advance: &Advance) -> Selection {
    Selection::all(advance.table())
}

pub(super) fn one(advance: &Advance, cell: Cell) -> Selection {
    Selection::cell(advance.table(), cell)
}

pub(super) fn block(table: &Table, loads: Range<usize>, speeds: Range<usize>) -> Selection {
    Selection::block(table, &Block { loads, speeds })
}

pub(super) fn held(advance: &Advance, cells: &[Cell]) -> Advance {
    let mut marks = Selection::none(advance.held().loads(), advance.held().speeds());
    marks.extend(cells.iter().copied());
    advance.with_held(&marks, true)
}

/// An uneven axis of 2 to `most` breakpoints.
pub(super) fn any_axis(most: usize) -> impl Strategy<Value = Axis> {
    proptest::collection::vec(1.0..20.0, 1..most).prop_map(|gaps| {
        let mut points = vec![100.0];
        points.extend(gaps.iter().scan(100.0, |x, gap| {
            *x += gap;
            Some(*x)
        }));
        Axis::new(points).unwrap()
    })
}

/// Any table with up to `most` breakpoints each way and some held cells.
pub(super) fn any_advance(most: usize) -> impl Strategy<Value = Advance> {
    (any_axis(most), any_axis(most)).prop_flat_map(|(speed, load)| {
        let count = speed.len() * load.len();
        let cells = proptest::collection::vec((0.0..40.0, proptest::bool::weighted(0.1)), count);
        cells.prop_map(move |cells| {
            let (values, marks): (Vec<f64>, Vec<bool>) = cells.into_iter().unzip();
            let table = Table::new(speed.clone(), load.clone(), values).unwrap();
            let held: Vec<Cell> = table.cells().filter(|&cell| marks[table.index(cell)]).collect();
            self::held(&Advance::uniform(table, Origin::Starter).unwrap(), &held)
        })
    })
}

/// A plane in axis units over any axes.
pub(super) fn any_plane(most: usize) -> impl Strategy<Value = Advance> {
    let slopes = (-10.0..30.0, -0.04..0.04, -0.04..0.04);
    (any_axis(most), any_axis(most), slopes).prop_filter_map("out of range", |(speed, load, (a, b, c))| {
        let table = Table::from_fn(speed, load, |x, y| a + b * x + c * y).unwrap();
        Advance::uniform(table, Origin::Starter).ok()
    })
}

/// Any cells of a table, at least one.
pub(super) fn any_selection(advance: Advance) -> impl Strategy<Value = (Advance, Selection)> {
    let count = advance.table().values().len();
    proptest::collection::vec(any::<bool>(), count).prop_filter_map("empty", move |chosen| {
        let mut selection = Selection::none(advance.held().loads(), advance.held().speeds());
        selection.extend(advance.table().cells().filter(|&cell| chosen[advance.table().index(cell)]));
        (!selection.is_empty()).then(|| (advance.clone(), selection))
    })
}

/// Checks that held and unselected cells keep their bits, marks and origins, and that changed cells have a new
/// origin.
pub(super) fn untouched_keep_bits(
    before: &Advance,
    selection: &Selection,
    shaped: &Shaped,
) -> Result<(), TestCaseError> {
    prop_assert_eq!(before.held(), shaped.advance.held());
    for cell in before.table().cells() {
        let same = before.table().at(cell).to_bits() == shaped.advance.table().at(cell).to_bits();
        let free = selection.contains(cell) && !before.held().contains(cell);
        prop_assert!(free || same, "{cell:?} moved");
        prop_assert_eq!(same, before.origin(cell) == shaped.advance.origin(cell));
    }
    Ok(())
}

/// The largest difference between the values of two tables.
pub(super) fn farthest(a: &[f64], b: &[f64]) -> f64 {
    a.iter().zip(b).map(|(a, b)| (a - b).abs()).fold(0.0, f64::max)
}
