//! New breakpoints: other axes, keeping either the surface or the numbers, and those proposed for an axis of another
//! length.

use super::operation::{Argument, Operation, OperationError, Takes, Word};
use super::{Along, Deviation, Keep, Shaped, ShapingError, Tool};
use crate::project::Advance;
use crate::table::{Axis, AxisError, Cell, Selection, Table, blend};
use crate::wording::{settle, written};

const KEEPS: [Keep; 2] = [Keep::Surface, Keep::Numbers];

/// `axes` on the command line.
pub(super) const AXES: Operation = Operation {
    name: "axes",
    about: "Give the table new breakpoints",
    arguments: &[
        Argument {
            name: "new-speed",
            value_name: "a,b,…",
            help: "The new speed breakpoints in rpm, ascending, such as 500,1000,2000; the present ones when left out",
            takes: Takes::ListOption(Some("new-load")),
        },
        Argument {
            name: "new-load",
            value_name: "a,b,…",
            help: "The new load breakpoints in % or kPa, ascending; the present ones when left out",
            takes: Takes::ListOption(None),
        },
        Argument {
            name: "keep",
            value_name: "KEEP",
            help: "What stays: the surface, looked up at the new breakpoints, or the numbers, under as many new \
                   breakpoints",
            takes: Takes::WordOption(
                &[
                    Word {
                        name: "surface",
                        help: "The surface; new cells are looked up in it, flat beyond its edges",
                        alias: None,
                    },
                    Word {
                        name: "numbers",
                        help: "The numbers in their rows and columns, with hold marks and origins",
                        alias: None,
                    },
                ],
                Some("surface"),
            ),
        },
    ],
    takes_whole_table: true,
    tool: |given| {
        let keep = given.word("keep").and_then(|place| KEEPS.get(place)).copied().unwrap_or(Keep::Surface);
        let speed = new_axis("speed", given.numbers("new-speed"), given.table.speed())?;
        Ok(Tool::Axes { speed, load: new_axis("load", given.numbers("new-load"), given.table.load())?, keep })
    },
};

/// The axis of the given breakpoints; the present one if none are given.
fn new_axis(axis: &'static str, breakpoints: &[f64], present: &Axis) -> Result<Axis, OperationError> {
    if breakpoints.is_empty() {
        return Ok(present.clone());
    }
    Axis::new(breakpoints.to_vec()).map_err(|reason| OperationError::Axis { axis, reason })
}

/// What new breakpoints are called in the history.
pub(super) fn axes_label(speed: &Axis, load: &Axis, keep: Keep) -> String {
    format!("New breakpoints, {} × {}, {}", speed.len(), load.len(), kept(keep))
}

/// What moving a breakpoint is called in the history.
pub(super) fn move_label(along: Along, index: usize, to: f64, keep: Keep) -> String {
    format!("Move {along} breakpoint {} to {}, {}", index + 1, written(to), kept(keep))
}

/// What inserting a breakpoint is called in the history.
pub(super) fn insert_label(along: Along, at: f64) -> String {
    format!("Insert {along} breakpoint {}", written(at))
}

/// What deleting a breakpoint is called in the history.
pub(super) fn delete_label(along: Along, index: usize) -> String {
    format!("Delete {along} breakpoint {}", index + 1)
}

const fn kept(keep: Keep) -> &'static str {
    match keep {
        Keep::Surface => "keeping the surface",
        Keep::Numbers => "keeping the numbers",
    }
}

/// Puts the table on new axes. The result includes the largest change of the surface anywhere: both surfaces
/// are bilinear between the breakpoints of either, so the change is largest at one of those.
///
/// If the surface is kept, a cell whose speed and load both were breakpoints keeps its bits, hold mark and
/// origin; all others are looked up and are not held.
///
/// # Errors
/// [`ShapingError`] when the numbers cannot be kept because their count differs, or a breakpoint is out of range.
pub fn change_axes(advance: &Advance, speed: Axis, load: Axis, keep: Keep) -> Result<Shaped, ShapingError> {
    let changed = match keep {
        Keep::Surface => on_surface(advance, speed, load)?,
        Keep::Numbers => under_numbers(advance, speed, load)?,
    };
    let (old, new) = (advance.table(), changed.table());
    let stays = |&cell: &Cell| {
        let twin = twin(old, new, cell);
        twin.is_some_and(|twin| old.at(twin).to_bits() == new.at(cell).to_bits())
    };
    // Kept numbers stand under other breakpoints, and not one of them is another.
    let moved = match keep {
        Keep::Surface => new.cells().filter(|cell| !stays(cell)).count(),
        Keep::Numbers => 0,
    };
    let held_lost = advance.held().count() - changed.held().count();
    let largest_change = Some(largest_change(old, new));
    let selected = new.values().len();
    Ok(Shaped { held_lost, largest_change, ..Shaped::plain(changed, selected, moved, 0) })
}

/// Adds a breakpoint; within the axes nothing changes anywhere.
///
/// # Errors
/// [`ShapingError`] when the axis is full or the breakpoint crowds another or is out of range.
pub fn insert_breakpoint(advance: &Advance, along: Along, at: f64) -> Result<Shaped, ShapingError> {
    let axis = along.axis(advance.table()).with_inserted(at);
    with_axis(advance, along, axis, Keep::Surface)
}

/// Takes the breakpoint at `index` away, with its cells; all other cells stay.
///
/// # Errors
/// [`ShapingError`] when there is none at that index or only two are left.
pub fn delete_breakpoint(advance: &Advance, along: Along, index: usize) -> Result<Shaped, ShapingError> {
    let axis = along.axis(advance.table()).without(index);
    with_axis(advance, along, axis, Keep::Surface)
}

/// Moves the breakpoint at `index` between its neighbours.
///
/// # Errors
/// [`ShapingError`] when there is none at that index, it would meet, pass or crowd a neighbour, or is out of range.
pub fn move_breakpoint(
    advance: &Advance,
    along: Along,
    index: usize,
    to: f64,
    keep: Keep,
) -> Result<Shaped, ShapingError> {
    let axis = along.axis(advance.table()).with_moved(index, to);
    with_axis(advance, along, axis, keep)
}

fn with_axis(
    advance: &Advance,
    along: Along,
    axis: Result<Axis, AxisError>,
    keep: Keep,
) -> Result<Shaped, ShapingError> {
    let axis = axis.map_err(|error| ShapingError::Axis { along, error })?;
    match along {
        Along::Speed => change_axes(advance, axis, advance.table().load().clone(), keep),
        Along::Load => change_axes(advance, advance.table().speed().clone(), axis, keep),
    }
}

fn on_surface(advance: &Advance, speed: Axis, load: Axis) -> Result<Advance, ShapingError> {
    let old = advance.table();
    let new = Table::from_fn(speed, load, |x, y| old.lookup(x, y)).map_err(crate::project::AdvanceError::from)?;
    let mut held = Selection::none(new.load().len(), new.speed().len());
    let mut origins = Vec::with_capacity(new.values().len());
    for cell in new.cells() {
        let twin = twin(old, &new, cell);
        held.set(cell, twin.is_some_and(|twin| advance.held().contains(twin)));
        origins.push(advance.origin_at(new.speed().breakpoints()[cell.speed], new.load().breakpoints()[cell.load]));
    }
    Ok(Advance::new(new, held, origins)?)
}

fn under_numbers(advance: &Advance, speed: Axis, load: Axis) -> Result<Advance, ShapingError> {
    let old = advance.table();
    let (speeds, loads, old_speeds, old_loads) = (speed.len(), load.len(), old.speed().len(), old.load().len());
    if (speeds, loads) != (old_speeds, old_loads) {
        return Err(ShapingError::KeepNumbers { speeds, loads, old_speeds, old_loads });
    }
    Ok(advance.under_axes(speed, load)?)
}

/// The cell of `old` at the same breakpoints as `cell` of `new`.
fn twin(old: &Table, new: &Table, cell: Cell) -> Option<Cell> {
    let speed = old.speed().index_of(new.speed().breakpoints()[cell.speed])?;
    let load = old.load().index_of(new.load().breakpoints()[cell.load])?;
    Some(Cell::new(load, speed))
}

fn largest_change(old: &Table, new: &Table) -> Deviation {
    let loads = old.load().union(new.load());
    let mut largest = Deviation { deg: 0.0, speed_rpm: old.speed().first(), load: old.load().first() };
    for speed_rpm in old.speed().union(new.speed()) {
        for &load in &loads {
            let deg = new.lookup(speed_rpm, load) - old.lookup(speed_rpm, load);
            if deg.abs() > largest.deg.abs() {
                largest = Deviation { deg, speed_rpm, load };
            }
        }
    }
    largest
}

/// Steps that proposals are rounded to, in axis units, the coarsest first.
const ROUND_STEPS: [f64; 9] = [500.0, 100.0, 50.0, 10.0, 5.0, 1.0, 0.5, 0.1, 0.05];
/// Rounding moves no breakpoint by more than this share of the closest gap.
const ROUNDING_SHARE: f64 = 0.1;

/// Proposes `count` breakpoints between the ends of an axis, dense where the axis is dense: breakpoint `i` lies
/// `i·(n − 1)/(count − 1)` intervals along the present `n` breakpoints. The inner ones are rounded as far as
/// their gaps allow. The present count gives the present axis.
///
/// # Errors
/// [`AxisError`] when the count is out of range or the breakpoints would crowd each other.
pub fn resized(axis: &Axis, count: usize) -> Result<Axis, AxisError> {
    if count == axis.len() {
        return Ok(axis.clone());
    }
    let even = Axis::new((0..count).map(|place| along(axis, place, count)).collect())?;
    let rounded = ROUND_STEPS.iter().find_map(|&step| rounded(&even, step));
    Ok(rounded.unwrap_or(even))
}

fn along(axis: &Axis, place: usize, count: usize) -> f64 {
    let (steps, most) = (place * (axis.len() - 1), count.saturating_sub(1).max(1));
    let low = (steps / most).min(axis.len() - 2);
    #[expect(clippy::cast_precision_loss, reason = "below 64 · 64")]
    let fraction = (steps - low * most) as f64 / most as f64;
    blend(axis.breakpoints()[low], axis.breakpoints()[low + 1], fraction)
}

fn rounded(axis: &Axis, step: f64) -> Option<Axis> {
    let points = axis.breakpoints();
    let closest = points.windows(2).map(|pair| pair[1] - pair[0]).fold(f64::INFINITY, f64::min);
    let last = points.len() - 1;
    let round =
        |(place, &x): (usize, &f64)| if place == 0 || place == last { x } else { settle((x / step).round() * step) };
    let moved: Vec<f64> = points.iter().enumerate().map(round).collect();
    let near = moved.iter().zip(points).all(|(new, old)| (new - old).abs() <= ROUNDING_SHARE * closest);
    if near { Axis::new(moved).ok() } else { None }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::project::{AdvanceError, Origin};
    use crate::shaping::sample::{advance, any_advance, any_axis, held, over};
    use proptest::prelude::*;

    fn axis(list: &[f64]) -> Axis {
        Axis::new(list.to_vec()).unwrap()
    }

    #[test]
    fn tells_the_largest_change_and_where() {
        let start = over(&[0.0, 1000.0, 2000.0], &[0.0, 100.0], |x, y| if x == 1000.0 { 10.0 + y / 50.0 } else { 0.0 });
        let shaped = delete_breakpoint(&start, Along::Speed, 1).unwrap();
        assert_eq!(shaped.largest_change, Some(Deviation { deg: -12.0, speed_rpm: 1000.0, load: 100.0 }));
        assert_eq!((shaped.changed, shaped.selected), (0, 4));
    }

    #[test]
    fn kept_cells_keep_marks_and_new_ones_are_interpolated() {
        let start = held(&advance(3, 3, |x, y| x + y), &[Cell::new(0, 1), Cell::new(2, 2)]);
        let moved = move_breakpoint(&start, Along::Speed, 1, 1.5, Keep::Surface).unwrap();
        assert_eq!((moved.held_lost, moved.changed), (1, 3));
        assert!(moved.advance.held().contains(Cell::new(2, 2)));
        assert_eq!(moved.advance.origin(Cell::new(1, 1)), Origin::Interpolated);
        assert_eq!(moved.advance.origin(Cell::new(1, 0)), Origin::Starter);
        assert_eq!(moved.advance.table().at(Cell::new(1, 1)), 2.5);
    }

    #[test]
    fn numbers_are_kept_with_their_marks() {
        let start = held(&advance(3, 3, |x, y| x + y), &[Cell::new(0, 1)]);
        let moved = move_breakpoint(&start, Along::Load, 1, 1.5, Keep::Numbers).unwrap();
        assert_eq!(moved.changed, 0);
        assert_eq!(moved.advance.table().values(), start.table().values());
        assert_eq!((moved.advance.held(), moved.held_lost), (start.held(), 0));
        assert_eq!(moved.largest_change.unwrap(), Deviation { deg: -0.5, speed_rpm: 0.0, load: 1.5 });
        let fewer = change_axes(&start, axis(&[0.0, 2.0]), axis(&[0.0, 1.0, 2.0]), Keep::Numbers).unwrap_err();
        assert!(matches!(fewer, ShapingError::KeepNumbers { speeds: 2, old_speeds: 3, .. }));
    }

    #[test]
    fn what_lies_beyond_the_old_axes_is_extended() {
        let start = held(&advance(3, 3, |x, y| x + y), &[Cell::new(2, 2)]);
        let wider = insert_breakpoint(&start, Along::Load, 3.0).unwrap().advance;
        assert_eq!([0, 1, 2].map(|speed| wider.origin(Cell::new(3, speed))), [Origin::Extended; 3]);
        assert_eq!(wider.origin(Cell::new(2, 1)), Origin::Starter);
        // What is put between the edge and what was beyond it was not there either.
        let between = insert_breakpoint(&wider, Along::Load, 2.5).unwrap().advance;
        assert_eq!(between.origin(Cell::new(3, 0)), Origin::Extended);
        let lower = insert_breakpoint(&start, Along::Speed, -1.0).unwrap_err();
        assert!(matches!(lower, ShapingError::Advance(_)));
        let moved = move_breakpoint(&start, Along::Load, 2, 4.0, Keep::Numbers).unwrap().advance;
        assert_eq!([0, 2].map(|speed| moved.origin(Cell::new(2, speed))), [Origin::Extended, Origin::Starter]);
    }

    #[test]
    fn refuses_axes_that_are_none_or_out_of_range() {
        let start = advance(3, 3, |x, y| x + y);
        let error = insert_breakpoint(&start, Along::Load, 1.0).unwrap_err();
        assert!(matches!(error, ShapingError::Axis { along: Along::Load, .. }));
        let error = insert_breakpoint(&start, Along::Speed, 40_000.0).unwrap_err();
        assert!(matches!(error, ShapingError::Axis { .. } | ShapingError::Advance(AdvanceError::SpeedRange { .. })));
        assert!(delete_breakpoint(&start, Along::Speed, 7).is_err());
    }

    proptest! {
        #[test]
        fn a_breakpoint_more_changes_nothing_on_a_dense_grid(start in any_advance(24), share in 0.0..1.0, speed: bool) {
            let along = if speed { Along::Speed } else { Along::Load };
            let axis = along.axis(start.table());
            let Ok(shaped) = insert_breakpoint(&start, along, axis.first() + share * axis.span()) else { return Ok(()) };
            let (old, new) = (start.table(), shaped.advance.table());
            for i in 0..=60 {
                for j in 0..=60 {
                    let x = old.speed().first() + old.speed().span() * f64::from(i) / 60.0;
                    let y = old.load().first() + old.load().span() * f64::from(j) / 60.0;
                    prop_assert!((old.lookup(x, y) - new.lookup(x, y)).abs() < 1e-9);
                }
            }
            prop_assert!(shaped.largest_change.unwrap().deg.abs() < 1e-9);
            prop_assert_eq!(shaped.held_lost, 0);
            prop_assert_eq!(shaped.advance.held().count(), start.held().count());
        }

        #[test]
        fn the_same_axes_change_nothing(start in any_advance(12)) {
            for keep in [Keep::Surface, Keep::Numbers] {
                let (speed, load) = (start.table().speed().clone(), start.table().load().clone());
                let shaped = change_axes(&start, speed, load, keep).unwrap();
                prop_assert_eq!(&shaped.advance, &start);
                prop_assert_eq!(shaped.changed, 0);
            }
        }

        #[test]
        fn the_largest_change_is_found_by_no_dense_grid(start in any_advance(10), index in 0..9_usize, speed: bool) {
            let along = if speed { Along::Speed } else { Along::Load };
            let Ok(shaped) = delete_breakpoint(&start, along, index) else { return Ok(()) };
            let (old, new) = (start.table(), shaped.advance.table());
            let largest = shaped.largest_change.unwrap().deg.abs();
            for i in 0..=40 {
                for j in 0..=40 {
                    let x = old.speed().first() + old.speed().span() * f64::from(i) / 40.0;
                    let y = old.load().first() + old.load().span() * f64::from(j) / 40.0;
                    prop_assert!((old.lookup(x, y) - new.lookup(x, y)).abs() <= largest + 1e-9);
                }
            }
        }
    }

    #[test]
    fn stays_dense_where_it_was_dense_and_round() {
        let speeds = axis(&[500.0, 750.0, 1000.0, 1500.0, 2500.0, 4000.0, 7000.0]);
        assert_eq!(resized(&speeds, 4).unwrap(), axis(&[500.0, 1000.0, 2500.0, 7000.0]));
        assert_eq!(resized(&speeds, 5).unwrap(), axis(&[500.0, 900.0, 1500.0, 3250.0, 7000.0]));
        assert_eq!(resized(&axis(&[0.0, 50.0, 100.0]), 5).unwrap(), axis(&[0.0, 25.0, 50.0, 75.0, 100.0]));
        assert_eq!(resized(&speeds, 7).unwrap(), speeds);
    }

    #[test]
    fn refuses_counts_that_make_no_axis() {
        for count in [0, 1, 65] {
            assert_eq!(resized(&axis(&[0.0, 1.0]), count), Err(AxisError::Count { count }));
        }
    }

    proptest! {
        #[test]
        fn has_the_count_and_the_ends(old in any_axis(40), count in 2..=64_usize) {
            let Ok(new) = resized(&old, count) else { return Ok(()) };
            prop_assert_eq!(new.len(), count);
            prop_assert_eq!((new.first(), new.last()), (old.first(), old.last()));
        }
    }
}
