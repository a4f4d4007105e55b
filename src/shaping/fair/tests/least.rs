//! Among random problems: the minimum, by the conditions that only it meets.

use super::*;
use crate::shaping::sample::{any_advance, any_plane, any_selection, farthest};
use crate::shaping::smooth;
use nalgebra::{DMatrix, DVector};
use proptest::test_runner::TestCaseError;

/// A limit is kept, a force explained and the gradient nought to within this, degrees.
const ALLOWED_DEG: f64 = 1e-9;

/// Second divided differences of one axis as a dense matrix, straight from the definition.
fn differences(axis: &Axis) -> DMatrix<f64> {
    let (n, x) = (axis.len(), axis.breakpoints());
    let scale = (n - 1) as f64 / axis.span();
    let mut d = DMatrix::zeros(n.saturating_sub(2), n);
    for k in 0..n.saturating_sub(2) {
        let (h1, h2) = ((x[k + 1] - x[k]) * scale, (x[k + 2] - x[k + 1]) * scale);
        d[(k, k)] = 2.0 / (h1 * (h1 + h2));
        d[(k, k + 1)] = -2.0 / (h1 * h2);
        d[(k, k + 2)] = 2.0 / (h2 * (h1 + h2));
    }
    d
}

fn dense_penalty(table: &Table) -> DMatrix<f64> {
    let (dx, dy) = (differences(table.speed()), differences(table.load()));
    let eye = |n| DMatrix::<f64>::identity(n, n);
    eye(table.load().len()).kronecker(&(dx.transpose() * &dx))
        + (dy.transpose() * &dy).kronecker(&eye(table.speed().len()))
}

/// Holds a solution against the conditions of a minimum (W. Karush, 1939; H. W. Kuhn & A. W. Tucker, 1951), which only the
/// minimum meets, with a matrix of its own.
pub(super) fn assert_least(
    table: &Table,
    bend: f64,
    free: &FreeCells,
    (rows, values): (&[Row], &[f64]),
    solution: &Solution,
) -> Result<(), TestCaseError> {
    let penalty = dense_penalty(table);
    let n = free.order.len();
    let bent = &penalty * DVector::from_column_slice(values);
    let h = DMatrix::from_fn(n, n, |i, j| bend * penalty[(free.order[i], free.order[j])] + f64::from(u8::from(i == j)));
    let delta = DVector::from_column_slice(&solution.correction);
    let mut gradient: Vec<f64> = (&h * &delta).iter().zip(&free.order).map(|(hd, &at)| hd + bend * bent[at]).collect();
    let largest = free.order.iter().map(|&at| (bend * bent[at]).abs()).fold(1.0, f64::max);
    let largest = solution.forces.iter().map(|force| force.abs()).fold(largest, f64::max);
    for (row, &force) in rows.iter().zip(&solution.forces) {
        let sum: f64 = row.entries().map(|(cell, weight)| weight * delta[cell]).sum();
        prop_assert!(row.beyond(sum) <= ALLOWED_DEG, "{} of {:?}", sum, row);
        let gap = if force > 0.0 { row.high - sum } else { sum - row.low };
        prop_assert!(force == 0.0 || gap.abs() <= ALLOWED_DEG, "gap {} at {}", gap, force);
        row.entries().for_each(|(cell, weight)| gradient[cell] += weight * force);
    }
    for (place, slope) in gradient.iter().enumerate() {
        prop_assert!(slope.abs() / h[(place, place)] <= ALLOWED_DEG, "{} {}", slope, h[(place, place)]);
        prop_assert!(slope.abs() / largest <= ALLOWED_DEG, "{} {}", slope, largest);
    }
    Ok(())
}

/// An axis with spacings that differ up to a hundredfold.
fn uneven(gaps: &[f64], low: f64, high: f64) -> Axis {
    let sizes: Vec<f64> = gaps.iter().map(|gap| gap.exp() + 0.02).collect();
    let total: f64 = sizes.iter().sum();
    let mut points = vec![low];
    let mut sum = 0.0;
    for size in sizes {
        sum += size;
        points.push(low + (high - low) * sum / total);
    }
    Axis::new(points).unwrap()
}

/// A table that meets every limit that is made for it, and dice for those.
pub(super) fn any_truth() -> impl Strategy<Value = (Table, Vec<f64>)> {
    let gaps = || proptest::collection::vec(-2.0..2.0_f64, 2..14);
    (gaps(), gaps(), proptest::collection::vec(0.0..1.0_f64, 3000)).prop_map(|(speed, load, dice)| {
        let (speed, load) = (uneven(&speed, 500.0, 7000.0), uneven(&load, 0.0, 100.0));
        let truth = |x: f64, y: f64| 10.0 + x * 0.003 - y * 0.05 + 5.0 * (x / 900.0 + y / 25.0).sin();
        (Table::from_fn(speed, load, truth).unwrap(), dice)
    })
}

/// Cells that stay, bounds (some without width), limits between neighbours (some exactly reached), points without
/// tolerance, and rows that stand there twice.
pub(super) fn any_problem(truth: &Table, mut dice: impl Iterator<Item = f64>) -> (Vec<f64>, FreeCells, Vec<Row>) {
    let mut roll = || dice.next().unwrap_or(0.5);
    let (loads, speeds) = (truth.load().len(), truth.speed().len());
    let mask: Vec<bool> = truth.values().iter().map(|_| roll() < 0.83).collect();
    let free = FreeCells::new(&mask, (loads, speeds));
    let noisy = |(z, free): (&f64, &bool), by: f64| if *free { z + 5.0 * (by - 0.5) } else { *z };
    let values: Vec<f64> = truth.values().iter().zip(&mask).map(|cell| noisy(cell, roll())).collect();
    let mut rows = Vec::new();
    let mut push = |entries: &[(usize, f64)], slack: (f64, f64)| {
        let sum: f64 = entries.iter().map(|&(at, weight)| weight * truth.values()[at]).sum();
        let there: f64 = entries.iter().filter(|(at, _)| !mask[*at]).map(|&(at, weight)| weight * values[at]).sum();
        let moving = entries.iter().filter_map(|&(at, weight)| Some((free.place(at)?, weight)));
        let row = Row::new(moving, (sum - slack.0 - there, sum + slack.1 - there), |place| values[free.order[place]]);
        if row.entries().next().is_some() {
            rows.push(row);
        }
    };
    let one_of = |of: &[f64], roll: f64| {
        #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "an index")]
        let at = (roll * of.len() as f64) as usize;
        of[at.min(of.len() - 1)]
    };
    for cell in truth.cells() {
        let at = truth.index(cell);
        if roll() < 0.6 {
            let by = one_of(&[0.0, 0.1, 1.0, 3.0], roll());
            push(&[(at, 1.0)], (by, by));
        }
        for next in [Cell::new(cell.load, cell.speed + 1), Cell::new(cell.load + 1, cell.speed)] {
            if next.load < loads && next.speed < speeds {
                let other = truth.index(next);
                let limit = ((truth.at(next) - truth.at(cell)).abs() * one_of(&[1.0, 1.0, 1.5], roll())).max(1e-3);
                let rise = truth.at(next) - truth.at(cell);
                push(&[(other, 1.0), (at, -1.0)], (rise + limit, limit - rise));
            }
        }
    }
    for _ in 0..15 {
        let target = Target {
            speed_rpm: 500.0 + 6500.0 * roll(),
            load: 100.0 * roll(),
            advance_deg: 0.0,
            sd_deg: 0.5,
            bound: TargetBound::AtMost { beyond_deg: 0.0 },
        };
        let by = one_of(&[0.0, 0.2, 0.5], roll());
        push(&target.shares(truth), (by, by));
    }
    let twice: Vec<Row> = rows.iter().step_by(7).copied().collect();
    rows.extend(twice);
    (values, free, rows)
}

proptest! {
    #![proptest_config(drawn_once(80))]

    #[test]
    fn any_problem_that_can_be_solved_is_solved((truth, dice) in any_truth(), power in -2.0..6.0_f64) {
        let (values, free, rows) = any_problem(&truth, dice.into_iter());
        let bend = 10.0_f64.powf(power);
        let penalty = Penalty::new(truth.speed(), truth.load());
        let bent = penalty.apply(&values);
        let gradient = free.order.iter().map(|&at| bend * bent[at]).collect();
        let system = System::new(&penalty, &free, Weights { stay: 1.0, bend }, &[], &rows, gradient);
        let search = Search { system: &system, rows: &rows, cap: f64::INFINITY, see: &unseen };
        let solution = search.run(None, Watch::NOBODY);
        prop_assert!(solution.is_ok(), "{:?}", solution);
        assert_least(&truth, bend, &free, (&rows, &values), &solution.unwrap())?;
    }

    #[test]
    fn without_demands_it_is_smoothing(
        (start, chosen) in any_advance(12).prop_flat_map(any_selection), strength in 0.1..6.0_f64,
    ) {
        let demands = Demands::default();
        let fairer = Fairer { bend: strength.powi(4), ..Fairer::new(&start, &chosen, &demands).unwrap() };
        match (smooth(&start, &chosen, strength), fairer.fair(None, Watch::NOBODY, &unseen)) {
            (Ok(smooth), Ok((fair, _))) => {
                let distance = farthest(smooth.advance.table().values(), fair.advance.table().values());
                prop_assert!(distance <= 1e-8, "{}", distance);
            }
            // Where smoothing ends outside the range of cells, fairing stays within it.
            (smooth, fair) => prop_assert!(smooth.is_err(), "{:?}", fair.err()),
        }
    }

    #[test]
    fn a_plane_within_its_demands_keeps_its_bits(plane in any_plane(12)) {
        let demands = Demands {
            within_deg: Some(1.0), max_slope_per_1000rpm: Some(41.0), max_slope_per_load: Some(0.041),
            ..Demands::default()
        };
        prop_assert_eq!(fair(&plane, &all(&plane), &demands, Watch::NOBODY).unwrap().advance, plane);
    }
}
