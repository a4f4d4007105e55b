use super::*;
use crate::shaping::sample::{
    advance, all, any_advance, any_selection, block, farthest, filled, held, over, untouched_keep_bits,
};
use crate::table::Cell;
use nalgebra::{DMatrix, DVector};
use proptest::prelude::*;

/// 1000 degrees per 1000 rpm is one degree per step of the unit axes used here.
const ONE: f64 = 1000.0;

fn unit_pairs(advance: &Advance, selection: &Selection, per_1000rpm: f64, per_load_unit: f64) -> Pairs {
    Pairs::new(advance.table(), selection, Bound::Selected, |along, low, high| match along {
        Along::Speed => per_1000rpm * (high - low) / 1000.0,
        Along::Load => per_load_unit * (high - low),
    })
}

/// The projection by brute force: every combination of {free, at +limit, at −limit} for all pairs is solved as
/// an equality problem with a general linear-algebra library; the best solution within all limits is the
/// answer.
fn brute_force(pairs: &Pairs, d: &[f64], may_move: &[bool]) -> Vec<f64> {
    let mut best: Option<(f64, Vec<f64>)> = None;
    for chosen in 0..1_usize << pairs.list.len() {
        let tight: Vec<_> = pairs.list.iter().enumerate().filter(|(at, _)| chosen >> at & 1 == 1).collect();
        let inverse = inverse(&tight.iter().map(|(_, pair)| (pair.a, pair.b)).collect::<Vec<_>>(), may_move);
        for sides in 0..1_usize << tight.len() {
            let side = |at: usize| if sides >> at & 1 == 0 { 1.0 } else { -1.0 };
            let missing =
                tight.iter().enumerate().map(|(at, (_, pair))| side(at) * pair.limit_deg - (d[pair.a] - d[pair.b]));
            let z = equality(d, inverse.as_ref(), missing.collect());
            let distance: f64 = z.iter().zip(d).map(|(a, b)| (a - b) * (a - b)).sum();
            if pairs.hold(&z) && best.as_ref().is_none_or(|(least, _)| distance < *least) {
                best = Some((distance, z));
            }
        }
    }
    best.unwrap().1
}

/// The pseudo-inverse of what makes differences z_a − z_b of the values that may move; none of no differences.
fn inverse(differences: &[(usize, usize)], may_move: &[bool]) -> Option<DMatrix<f64>> {
    let made = DMatrix::from_fn(differences.len(), may_move.len(), |i, j| match (may_move[j], differences[i]) {
        (true, (a, _)) if a == j => 1.0,
        (true, (_, b)) if b == j => -1.0,
        _ => 0.0,
    });
    (!differences.is_empty()).then(|| made.pseudo_inverse(1e-9).unwrap())
}

/// Least change that makes up for what is missing in every difference.
fn equality(d: &[f64], inverse: Option<&DMatrix<f64>>, missing: Vec<f64>) -> Vec<f64> {
    let Some(inverse) = inverse else {
        return d.to_vec();
    };
    let change = inverse * DVector::from_vec(missing);
    d.iter().zip(change.iter()).map(|(d, change)| d + change).collect()
}

/// By hand: 0 | 10 with a limit of 4 meet at 3 and 7, each moving by the same amount.
#[test]
fn two_columns_meet_halfway() {
    let start = advance(2, 2, |x, _| 10.0 * x);
    let limited = limit_slope(&start, &all(&start), 4.0 * ONE, 100.0).unwrap();
    assert_eq!(limited.advance.table().row(0), [3.0, 7.0]);
    assert_eq!(limited.advance.origin(Cell::new(0, 0)), Origin::Faired);
}

#[test]
fn limits_are_in_axis_units() {
    let start = over(&[0.0, 500.0, 2500.0], &[0.0, 10.0], |x, y| if x > 400.0 { 30.0 } else { 0.0 } + y);
    let limited = limit_slope(&start, &all(&start), 10.0, 0.5).unwrap().advance;
    let z = |load, speed| limited.table().at(Cell::new(load, speed));
    for load in 0..2 {
        assert!(z(load, 1) - z(load, 0) <= 5.0 + 1e-9);
        assert!(z(load, 2) - z(load, 1) <= 20.0 + 1e-9);
    }
    assert!((z(1, 1) - z(0, 1)).abs() <= 5.0 + 1e-9);
}

#[test]
fn fixed_cells_that_forbid_it_are_named() {
    let start = held(&advance(2, 5, |x, _| x * 5.0), &[Cell::new(0, 0), Cell::new(0, 4)]);
    let error = limit_slope(&start, &all(&start), 4.0 * ONE, 100.0).unwrap_err();
    let ShapingError::SlopeForbidden { from, to, allowed_deg } = error else { panic!("{error}") };
    assert_eq!((from.cell, to.cell, allowed_deg), (Cell::new(0, 0), Cell::new(0, 4), 16.0));
    assert!(limit_slope(&start, &all(&start), 5.0 * ONE, 100.0).is_ok());
    let near = held(&advance(2, 2, |x, _| x * 9.0), &[Cell::new(0, 0), Cell::new(0, 1)]);
    assert!(matches!(limit_slope(&near, &all(&near), ONE, 9.0), Err(ShapingError::SlopeForbidden { .. })));
}

#[test]
fn steep_cells_out_of_the_selections_reach_do_not_matter() {
    let start = advance(2, 8, |x, _| if x == 0.0 { 30.0 } else { 0.0 });
    let far = block(start.table(), 0..2, 4..7);
    assert_eq!(limit_slope(&start, &far, ONE, 1.0).unwrap().changed, 0);
}

/// A cliff beside the selection neither moves the selected cells nor makes the limit impossible; held cells
/// within it do.
#[test]
fn only_selected_cells_are_looked_at() {
    let start = advance(2, 6, |x, _| if x < 3.0 { 0.0 } else { 30.0 });
    let beside = block(start.table(), 0..2, 3..6);
    assert_eq!(limit_slope(&start, &beside, ONE, 1.0).unwrap().changed, 0);
    let beyond = block(start.table(), 0..2, 2..3);
    assert_eq!(limit_slope(&start, &beyond, ONE, 1.0).unwrap().changed, 0);
    let across = block(start.table(), 0..2, 2..4);
    let limited = limit_slope(&start, &across, 10.0 * ONE, 1.0).unwrap().advance;
    assert_eq!(limited.table().row(0), [0.0, 0.0, 10.0, 20.0, 30.0, 30.0]);
    let bound = |bound| limit_slope_by(&start, &beside, bound, |_, low, high| high - low, Watch::NOBODY);
    assert!(bound(Bound::AndNeighbours).unwrap().changed > 0);
    let fixed = held(&start, &[Cell::new(0, 2), Cell::new(0, 3)]);
    assert!(matches!(limit_slope(&fixed, &across, ONE, 1.0), Err(ShapingError::SlopeForbidden { .. })));
}

#[test]
fn each_pair_may_have_its_own_limit_or_none() {
    let start = advance(2, 4, |x, _| 10.0 * x);
    let allowed = |along: Along, low: f64, _: f64| match (along, low) {
        (Along::Speed, 1.0) => 4.0,
        _ => f64::INFINITY,
    };
    let limited = limit_slope_by(&start, &all(&start), Bound::Selected, allowed, Watch::NOBODY);
    assert_eq!(limited.unwrap().advance.table().row(1), [0.0, 13.0, 17.0, 30.0]);
}

#[test]
fn no_slope_at_all_is_the_mean() {
    let start = advance(3, 3, |x, y| 3.0 * x + y);
    let flat = limit_slope(&start, &all(&start), 0.0, 0.0).unwrap();
    assert!(farthest(flat.advance.table().values(), &[4.0; 9]) < 1e-9);
}

#[test]
fn the_largest_table_is_solved() {
    let bumpy = |x: f64, y: f64| 20.0 + 8.0 * (x * 1.3).sin() * (y * 0.7).cos() + if x > 30.0 { 12.0 } else { 0.0 };
    let start = advance(64, 64, bumpy);
    for (speed, load) in [(2.0, 2.0), (0.2, 0.3), (0.01, 0.01)] {
        let limited = limit_slope(&start, &all(&start), speed * ONE, load).unwrap();
        assert!(limited.changed > 1000);
        assert_eq!(limit_slope(&limited.advance, &all(&start), speed * ONE, load).unwrap().changed, 0);
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(48))]

    #[test]
    fn agrees_with_brute_force(
        values in proptest::collection::vec(0.0..12.0, 6), speed in 0.5..6.0, load in 0.5..6.0, fixed in 0..12_usize,
    ) {
        let start = filled(2, 3, &values);
        let cells: Vec<Cell> = start.table().cells().filter(|&cell| start.table().index(cell) == fixed).collect();
        let start = held(&start, &cells);
        let limited = limit_slope(&start, &all(&start), speed * ONE, load).unwrap();
        let may_move: Vec<bool> = (0..6).map(|at| at != fixed).collect();
        let pairs = unit_pairs(&start, &all(&start), speed * ONE, load);
        let expected = brute_force(&pairs, start.table().values(), &may_move);
        prop_assert!(farthest(limited.advance.table().values(), &expected) < 1e-6);
    }

    #[test]
    fn keeps_limits_and_fixed_cells_or_refuses(
        (start, chosen) in any_advance(14).prop_flat_map(any_selection), speed in 10.0..20_000.0, load in 0.01..20.0,
    ) {
        match limit_slope(&start, &chosen, speed, load) {
            Ok(shaped) => {
                untouched_keep_bits(&start, &chosen, &shaped)?;
                prop_assert!(unit_pairs(&start, &chosen, speed, load).hold(shaped.advance.table().values()));
                prop_assert_eq!(limit_slope(&shaped.advance, &chosen, speed, load).unwrap().changed, 0);
            }
            Err(error) => prop_assert!(matches!(error, ShapingError::SlopeForbidden { .. }), "{}", error),
        }
    }

    #[test]
    fn whole_tables_are_always_solved(start in any_advance(24), speed in 1.0..5000.0, load in 0.001..5.0) {
        let start = start.with_held(&all(&start), false);
        let shaped = limit_slope(&start, &all(&start), speed, load);
        prop_assert!(shaped.is_ok(), "{:?}", shaped);
    }
}
