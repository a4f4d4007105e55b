//! The local slope and bend of a table.

use super::Along;
use super::smooth::{outer_coefficients, second_difference, spacing_scale};
use crate::table::{Axis, Cell, Selection, Table, blend};

/// The slope between two neighbouring cells.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Slope {
    /// Degrees per axis unit, from the lower breakpoint to the higher: per rpm, per % or per kPa.
    pub deg_per_unit: f64,
    /// The cell at the lower breakpoint.
    pub from: Cell,
    /// The cell at the higher breakpoint.
    pub to: Cell,
}

/// How far a cell lies from the straight line between its two neighbours.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Bend {
    /// Degrees above the line; negative below it.
    pub deg: f64,
    /// The direction in which the neighbours lie.
    pub along: Along,
    /// The cell.
    pub cell: Cell,
}

/// The slope from a cell to the next one up the axis; `None` at the highest breakpoint. The cell lies in the table.
pub fn slope_after(table: &Table, cell: Cell, along: Along) -> Option<Slope> {
    let to = after(table, cell, along)?;
    let run = coordinate(table, to, along) - coordinate(table, cell, along);
    Some(Slope { deg_per_unit: (table.at(to) - table.at(cell)) / run, from: cell, to })
}

/// The slope to a cell from the one before it; `None` at the lowest breakpoint. The cell lies in the table.
pub fn slope_before(table: &Table, cell: Cell, along: Along) -> Option<Slope> {
    slope_after(table, before(cell, along)?, along)
}

/// The steepest slope along one axis between neighbours of which at least one is selected; of several equally steep,
/// the first. `None` when nothing is selected or the selection is for another size.
pub fn steepest(table: &Table, selection: &Selection, along: Along) -> Option<Slope> {
    if !selection.fits(table) {
        return None;
    }
    let around = |cell| [slope_before(table, cell, along), slope_after(table, cell, along)];
    let slopes = selection.cells().flat_map(around).flatten();
    slopes.reduce(|most, next| if next.deg_per_unit.abs() > most.deg_per_unit.abs() { next } else { most })
}

/// How far a cell lies from the chord between its neighbours, weighted by their distances in axis units; `None` at
/// either end of the axis. The cell lies in the table.
pub fn bend(table: &Table, cell: Cell, along: Along) -> Option<Bend> {
    let [low, high] = [before(cell, along)?, after(table, cell, along)?];
    let [start, here, end] = [low, cell, high].map(|cell| coordinate(table, cell, along));
    let chord = blend(table.at(low), table.at(high), (here - start) / (end - start));
    Some(Bend { deg: table.at(cell) - chord, along, cell })
}

/// The larger by size of a cell's bends in both directions: how far it stands above (positive) or below its neighbours;
/// `None` at a corner. The cell lies in the table.
pub fn larger_bend(table: &Table, cell: Cell) -> Option<Bend> {
    let both = [Along::Speed, Along::Load].into_iter().filter_map(|along| bend(table, cell, along));
    both.reduce(|most, next| if next.deg.abs() > most.deg.abs() { next } else { most })
}

/// How strongly the surface is curved at a cell along one axis: the second difference whose squares fairing minimises, with
/// the sign turned, so that a cell above its neighbours has a positive one. In degrees per squared mean spacing of the
/// axis: on even breakpoints `2z − before − after`. `None` at either end of the axis. The cell lies in the table.
pub fn curvature(table: &Table, cell: Cell, along: Along) -> Option<f64> {
    let [low, high] = [before(cell, along)?, after(table, cell, along)?];
    let [start, here, end] = [low, cell, high].map(|cell| coordinate(table, cell, along));
    let sides = outer_coefficients(here - start, end - here, spacing_scale(along.axis(table)));
    // Not negated, so that a straight line has 0 and not −0.
    Some(0.0 - second_difference(sides, [low, cell, high].map(|cell| table.at(cell))))
}

/// The larger by size of a cell's curvatures in both directions, and its direction; `None` at a corner. The cell lies in
/// the table.
pub fn larger_curvature(table: &Table, cell: Cell) -> Option<(f64, Along)> {
    let both =
        [Along::Speed, Along::Load].into_iter().filter_map(|along| Some((curvature(table, cell, along)?, along)));
    both.reduce(|most, next| if next.0.abs() > most.0.abs() { next } else { most })
}

/// The largest bend of the selected cells in either direction; of several equally large, the first. `None` when no
/// selected cell has neighbours on both sides or the selection is for another size.
pub fn most_bent(table: &Table, selection: &Selection) -> Option<Bend> {
    if !selection.fits(table) {
        return None;
    }
    selection
        .cells()
        .filter_map(|cell| larger_bend(table, cell))
        .reduce(|most, next| if next.deg.abs() > most.deg.abs() { next } else { most })
}

/// A cell's breakpoint in that direction.
fn coordinate(table: &Table, cell: Cell, along: Along) -> f64 {
    let breakpoints = along.axis(table).breakpoints();
    match along {
        Along::Speed => breakpoints[cell.speed],
        Along::Load => breakpoints[cell.load],
    }
}

fn after(table: &Table, cell: Cell, along: Along) -> Option<Cell> {
    let Cell { load, speed } = cell;
    match along {
        Along::Speed => (speed + 1 < table.speed().len()).then(|| Cell::new(load, speed + 1)),
        Along::Load => (load + 1 < table.load().len()).then(|| Cell::new(load + 1, speed)),
    }
}

fn before(cell: Cell, along: Along) -> Option<Cell> {
    let Cell { load, speed } = cell;
    match along {
        Along::Speed => speed.checked_sub(1).map(|speed| Cell::new(load, speed)),
        Along::Load => load.checked_sub(1).map(|load| Cell::new(load, speed)),
    }
}

/// Neighbours further apart than this share of the axis say nothing about a single cell between them: in a
/// table of few cells every ridge is one cell wide. Common practice, no source.
const WIDEST_SHARE: f64 = 0.65;

/// Whether both neighbours of a breakpoint are near enough to judge it by.
fn has_near_neighbours(axis: &Axis, at: usize) -> bool {
    let around = at.checked_sub(1).and_then(|before| axis.breakpoints().get(before..=at + 1));
    around.is_some_and(|around| (around[2] - around[0]) / axis.span() <= WIDEST_SHARE)
}

/// Degrees by which a cell lies above (positive) or below the chords between its neighbours, the lesser of both
/// directions; 0 where the directions disagree or a neighbour is missing. At the edge of a flat area one
/// direction is flat, so a cell there does not stand out.
pub fn stands_out_deg(table: &Table, cell: Cell) -> f64 {
    let along = |along| bend(table, cell, along).map_or(0.0, |bend| bend.deg);
    let (a, b) = (along(Along::Speed), along(Along::Load));
    let is_near = has_near_neighbours(table.speed(), cell.speed) && has_near_neighbours(table.load(), cell.load);
    if a * b <= 0.0 || !is_near {
        return 0.0;
    }
    if a.abs() < b.abs() { a } else { b }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::shaping::sample::{all, any_advance, any_plane, any_selection};
    use crate::table::Axis;
    use approx::assert_abs_diff_eq;
    use proptest::prelude::*;

    /// Speeds 1000, 2000, 4000; loads 0, 50, 100; worked by hand.
    fn table() -> Table {
        let axis = |list: &[f64]| Axis::new(list.to_vec()).unwrap();
        let values = vec![10.0, 14.0, 15.0, 20.0, 22.0, 30.0, 18.0, 19.0, 20.0];
        Table::new(axis(&[1000.0, 2000.0, 4000.0]), axis(&[0.0, 50.0, 100.0]), values).unwrap()
    }

    #[test]
    fn slopes_are_per_axis_unit() {
        let middle = Cell::new(1, 1);
        let slope = |slope: Option<Slope>| slope.map(|slope| slope.deg_per_unit);
        assert_eq!(slope(slope_before(&table(), middle, Along::Speed)), Some(0.002));
        assert_eq!(slope(slope_after(&table(), middle, Along::Speed)), Some(0.004));
        assert_eq!(slope(slope_before(&table(), middle, Along::Load)), Some(0.16));
        assert_eq!(slope(slope_after(&table(), middle, Along::Load)), Some(-0.06));
        assert_eq!(slope_before(&table(), Cell::new(1, 0), Along::Speed), None);
        assert_eq!(slope_after(&table(), Cell::new(2, 1), Along::Load), None);
    }

    #[test]
    fn the_larger_bend_keeps_its_sign() {
        // 22 between 20 and 30 over 1000, 2000, 4000 rpm: 1.33 below; 22 between 14 and 19: 5.5 above.
        let larger = larger_bend(&table(), Cell::new(1, 1)).unwrap();
        assert_eq!((larger.deg, larger.along), (5.5, Along::Load));
        let edge = larger_bend(&table(), Cell::new(0, 1)).unwrap();
        assert_abs_diff_eq!(edge.deg, 14.0 - (10.0 + 5.0 / 3.0), epsilon = 1e-12);
        assert_eq!(larger_bend(&table(), Cell::new(2, 2)), None);
    }

    #[test]
    fn steepest_counts_pairs_with_one_selected_cell() {
        let one = Selection::cell(&table(), Cell::new(0, 2));
        let slope = steepest(&table(), &one, Along::Load).unwrap();
        assert_eq!(slope, Slope { deg_per_unit: 0.3, from: Cell::new(0, 2), to: Cell::new(1, 2) });
        let all = Selection::all(&table());
        assert_eq!(steepest(&table(), &all, Along::Speed).unwrap().deg_per_unit, 0.004);
        assert_eq!(steepest(&table(), &Selection::none(3, 3), Along::Speed), None);
        assert_eq!(steepest(&table(), &Selection::none(2, 3), Along::Speed), None);
    }

    /// The chord over 2000 of 1000..4000 from 20 to 30 is 20 + 10/3; 22 lies 4/3 below.
    #[test]
    fn bends_are_measured_from_the_chord() {
        let along_speed = bend(&table(), Cell::new(1, 1), Along::Speed).unwrap();
        assert_abs_diff_eq!(along_speed.deg, -4.0 / 3.0, epsilon = 1e-12);
        assert_abs_diff_eq!(bend(&table(), Cell::new(1, 1), Along::Load).unwrap().deg, 5.5, epsilon = 1e-12);
        assert_eq!(bend(&table(), Cell::new(1, 0), Along::Speed), None);
        let most = most_bent(&table(), &Selection::all(&table())).unwrap();
        assert_eq!((most.cell, most.along, most.deg), (Cell::new(1, 2), Along::Load, 12.5));
        assert_eq!(most_bent(&table(), &Selection::cell(&table(), Cell::new(0, 0))), None);
    }

    /// The second difference the long way: a parabola through the three points, solved for its leading coefficient by
    /// Cramer's rule with the axis scaled to unit mean spacing; the second derivative is twice that.
    fn by_parabola(axis: &[f64], three: [usize; 3], z: [f64; 3]) -> f64 {
        let mean = (axis[axis.len() - 1] - axis[0]) / (axis.len() - 1) as f64;
        let [x0, x1, x2] = three.map(|k| axis[k] / mean);
        let determinant = |a: [f64; 3], b: [f64; 3], c: [f64; 3]| {
            a[0] * (b[1] * c[2] - b[2] * c[1]) - b[0] * (a[1] * c[2] - a[2] * c[1]) + c[0] * (a[1] * b[2] - a[2] * b[1])
        };
        let (squares, places, ones) = ([x0 * x0, x1 * x1, x2 * x2], [x0, x1, x2], [1.0; 3]);
        2.0 * determinant(z, places, ones) / determinant(squares, places, ones)
    }

    #[test]
    fn curvature_is_the_second_difference_on_uneven_breakpoints() {
        let (speeds, loads) = (vec![500.0, 700.0, 1300.0, 4000.0, 7000.0], vec![0.0, 3.0, 20.0, 100.0]);
        let axis = |list: &[f64]| Axis::new(list.to_vec()).unwrap();
        let z = |x: f64, y: f64| 20.0 + 8.0 * (x / 1700.0).sin() + (y / 13.0).cos() * 5.0 - x * y / 9e4;
        let table = Table::from_fn(axis(&speeds), axis(&loads), z).unwrap();
        let mut both_ways = 0;
        for cell in table.cells() {
            let (i, j) = (cell.speed, cell.load);
            let own = |along| curvature(&table, cell, along);
            let along_speed = (1..4)
                .contains(&i)
                .then(|| by_parabola(&speeds, [i - 1, i, i + 1], [i - 1, i, i + 1].map(|i| table.at(Cell::new(j, i)))));
            let along_load = (1..3)
                .contains(&j)
                .then(|| by_parabola(&loads, [j - 1, j, j + 1], [j - 1, j, j + 1].map(|j| table.at(Cell::new(j, i)))));
            for (found, expected) in [(own(Along::Speed), along_speed), (own(Along::Load), along_load)] {
                assert_eq!(found.is_some(), expected.is_some());
                if let Some((found, expected)) = found.zip(expected) {
                    // Above its neighbours is positive, where a parabola has a negative second derivative.
                    assert_abs_diff_eq!(found, -expected, epsilon = 1e-9);
                }
            }
            let larger = larger_curvature(&table, cell).map(|(found, _)| found);
            let expected = [along_speed, along_load].into_iter().flatten().map(|deg| -deg);
            let expected = expected.reduce(|a, b| if b.abs() > a.abs() { b } else { a });
            assert_eq!(larger.is_some(), expected.is_some());
            if let Some((larger, expected)) = larger.zip(expected) {
                assert_abs_diff_eq!(larger, expected, epsilon = 1e-9);
                both_ways += usize::from(along_speed.is_some() && along_load.is_some());
            }
        }
        assert_eq!(both_ways, 6);
        assert_eq!(larger_curvature(&table, Cell::new(0, 0)), None);
    }

    /// On even breakpoints a spike of 1° has 2 in the middle and −1 beside it.
    #[test]
    fn a_spike_is_a_bump_between_hollows() {
        let axis = |top: f64| Axis::new((0..=4).map(|k| f64::from(k) * top / 4.0).collect()).unwrap();
        let mut values = vec![20.0; 25];
        values[12] = 21.0;
        let table = Table::new(axis(8000.0), axis(100.0), values).unwrap();
        let deg = |load, speed| larger_curvature(&table, Cell::new(load, speed)).unwrap().0;
        assert_abs_diff_eq!(deg(2, 2), 2.0, epsilon = 1e-12);
        assert_abs_diff_eq!(deg(2, 1), -1.0, epsilon = 1e-12);
        assert_abs_diff_eq!(deg(3, 2), -1.0, epsilon = 1e-12);
        assert_abs_diff_eq!(deg(0, 3), 0.0, epsilon = 1e-12);
    }

    proptest! {
        #[test]
        fn a_plane_is_bent_nowhere(plane in any_plane(12)) {
            if let Some(bend) = most_bent(plane.table(), &all(&plane)) {
                prop_assert!(bend.deg.abs() < 1e-9);
            }
        }

        #[test]
        fn nothing_selected_is_steeper_than_the_steepest((start, chosen) in any_advance(10).prop_flat_map(any_selection)) {
            let table = start.table();
            for along in [Along::Speed, Along::Load] {
                let most = steepest(table, &chosen, along).map_or(0.0, |slope| slope.deg_per_unit.abs());
                for cell in chosen.cells() {
                    for slope in [slope_before(table, cell, along), slope_after(table, cell, along)].into_iter().flatten() {
                        prop_assert!(slope.deg_per_unit.abs() <= most);
                    }
                }
            }
        }
    }
}
