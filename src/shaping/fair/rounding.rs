//! Rounding to the step so that every limit on a cell and between neighbours is still kept.
//!
//! Where such limits are whole steps, so are the differences between values rounded up or down at one common threshold:
//! from `z_a − z_b ≤ m` with m whole follows `⌊z_a + θ⌋ ≤ ⌊z_b + θ⌋ + m`. After that, single cells move by a step where
//! this brings a measured point nearer, or makes the table less bent, and breaks nothing.

use super::posed::{RowOf, STEP_DUST};
use super::rows::{Row, System};

/// How often all cells are gone through, at most.
const MOST_SWEEPS: usize = 30;
/// How many other thresholds are tried where a value lies so close to one that rounding error decides.
const MOST_THRESHOLDS: u8 = 20;
const NEXT_THRESHOLD: f64 = 1e-6;

/// What is rounded: a system, its rows drawn in to whole steps, and the values that are corrected.
pub(super) struct Rounding<'a> {
    pub(super) system: &'a System,
    pub(super) rows: &'a [Row],
    pub(super) of: &'a [RowOf],
    /// The values of the free cells that are corrected.
    pub(super) values: Vec<f64>,
    pub(super) step_deg: f64,
    /// Which of the rows must never be exceeded.
    pub(super) is_strict: Vec<bool>,
}

impl Rounding<'_> {
    /// The free cells in steps; `None` if rounding error of the correction breaks a limit, which no threshold mends.
    pub(super) fn steps(&self, correction: &[f64]) -> Option<Vec<f64>> {
        let mut steps = self.thresholds().map(|at| self.at_threshold(correction, at)).find(|steps| self.keep(steps))?;
        self.sweep(&mut steps);
        Some(steps)
    }

    fn thresholds(&self) -> impl Iterator<Item = f64> + use<> {
        let others = (1..=MOST_THRESHOLDS).flat_map(|n| [f64::from(n), -f64::from(n)]);
        std::iter::once(0.0).chain(others).map(|n| 0.5 + NEXT_THRESHOLD * n)
    }

    fn at_threshold(&self, correction: &[f64], threshold: f64) -> Vec<f64> {
        let values = self.values.iter().zip(correction);
        values.map(|(value, by)| ((value + by) / self.step_deg + threshold + STEP_DUST).floor()).collect()
    }

    /// Whether a row is a limit in whole steps.
    fn is_whole(&self, row: usize) -> bool {
        !matches!(self.of[row], RowOf::Point(_))
    }

    /// The limits of a row in steps.
    fn limits(&self, row: &Row) -> (f64, f64) {
        (((row.low + row.now) / self.step_deg).round(), ((row.high + row.now) / self.step_deg).round())
    }

    /// Whether all whole limits are kept.
    fn keep(&self, steps: &[f64]) -> bool {
        self.rows.iter().enumerate().filter(|(at, _)| self.is_whole(*at)).all(|(_, row)| {
            let (low, high) = self.limits(row);
            (low..=high).contains(&row.of(steps))
        })
    }

    /// How far points lie beyond their limits, degrees.
    fn beyond_deg(&self, row: &Row, sum_steps: f64) -> f64 {
        row.beyond(sum_steps * self.step_deg - row.now)
    }

    fn sweep(&self, steps: &mut [f64]) {
        let mut of_cell: Vec<Vec<(usize, f64)>> = vec![Vec::new(); steps.len()];
        for (at, row) in self.rows.iter().enumerate() {
            row.entries().for_each(|(cell, weight)| of_cell[cell].push((at, weight)));
        }
        let mut sums: Vec<f64> = self.rows.iter().map(|row| row.of(steps)).collect();
        let correction: Vec<f64> =
            steps.iter().zip(&self.values).map(|(steps, value)| steps * self.step_deg - value).collect();
        let image = self.system.apply(&correction);
        let mut gradient: Vec<f64> = image.iter().zip(&self.system.gradient).map(|(h, g)| h + g).collect();
        for _ in 0..MOST_SWEEPS {
            let mut has_moved = false;
            for cell in 0..steps.len() {
                for by in [1.0, -1.0] {
                    if !self.is_better(&of_cell[cell], &sums, (cell, by), gradient[cell]) {
                        continue;
                    }
                    steps[cell] += by;
                    of_cell[cell].iter().for_each(|&(row, weight)| sums[row] += by * weight);
                    let column = self.system.column(cell);
                    column.for_each(|(other, entry)| gradient[other] += entry * by * self.step_deg);
                    has_moved = true;
                }
            }
            if !has_moved {
                return;
            }
        }
    }

    /// Whether moving a cell by a step keeps all whole limits and brings points nearer, or brings none farther away and
    /// lowers what is minimised.
    fn is_better(&self, rows: &[(usize, f64)], sums: &[f64], (cell, by): (usize, f64), gradient: f64) -> bool {
        let mut nearer_deg = 0.0;
        for &(at, weight) in rows {
            let (row, moved) = (&self.rows[at], sums[at] + by * weight);
            if self.is_whole(at) {
                let (low, high) = self.limits(row);
                if !(low..=high).contains(&moved) {
                    return false;
                }
            } else {
                if self.is_strict[at] && self.beyond_deg(row, moved) > self.beyond_deg(row, sums[at]) + STEP_DUST {
                    return false;
                }
                nearer_deg += self.beyond_deg(row, sums[at]) - self.beyond_deg(row, moved);
            }
        }
        let (own, move_deg) = (self.system.diagonal[cell], by * self.step_deg);
        let change = gradient * move_deg + 0.5 * own * move_deg * move_deg;
        nearer_deg > STEP_DUST || (nearer_deg > -STEP_DUST && change < -STEP_DUST * own * self.step_deg * self.step_deg)
    }
}
