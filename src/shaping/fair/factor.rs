//! Cholesky factorisation of a sparse symmetric matrix within its skyline: of each row of the lower triangle what lies
//! from its first entry on (A. Jennings, 1966), in panels of four rows that begin at a common column.

use crate::watch::{Stopped, Watch};

/// Rows that are worked on together.
const FOUR: usize = 4;

/// One column of a panel: an entry of each of its rows.
type Column = [f64; FOUR];

/// A symmetric matrix as the panels of its lower triangle, each stored column by column.
#[derive(Clone, Debug)]
pub(in crate::shaping) struct Panels {
    size: usize,
    /// The first column of each panel, a multiple of four.
    starts: Vec<usize>,
    /// Where the columns of each panel begin; one more than there are panels.
    offsets: Vec<usize>,
    columns: Vec<Column>,
}

impl Panels {
    /// A matrix of zeros whose row `r` may have entries from column `firsts[r]` on.
    pub(in crate::shaping) fn zeros(firsts: &[usize]) -> Self {
        let size = firsts.len();
        let starts: Vec<usize> =
            firsts.chunks(FOUR).map(|four| four.iter().copied().min().unwrap_or(0) / FOUR * FOUR).collect();
        let mut offsets = Vec::with_capacity(starts.len() + 1);
        offsets.push(0);
        let mut length = 0;
        for (panel, start) in starts.iter().enumerate() {
            length += FOUR * (panel + 1) - start;
            offsets.push(length);
        }
        let mut panels = Self { size, columns: vec![[0.0; FOUR]; length], starts, offsets };
        // The last panel is filled up with rows of the identity.
        (size..FOUR * panels.starts.len()).for_each(|row| panels.add(row, row, 1.0));
        panels
    }

    /// Adds to the entry of two indices, in either order.
    pub(in crate::shaping) fn add(&mut self, one: usize, other: usize, value: f64) {
        let (row, column) = (one.max(other), one.min(other));
        let panel = row / FOUR;
        let at = self.offsets[panel] + column - self.starts[panel];
        self.columns[at][row % FOUR] += value;
    }

    /// Factorises it; a matrix that is not positive definite gives NaN, and so do solutions with it.
    ///
    /// # Errors
    /// [`Stopped`] by the watch, which is asked before every panel.
    pub(in crate::shaping) fn factorised(mut self, watch: Watch<'_>) -> Result<Factor, Stopped> {
        let count = self.starts.len();
        for panel in 0..count {
            watch.round(panel, count)?;
            self.eliminate(panel);
        }
        Ok(Factor { panels: self })
    }

    /// Turns a panel into that of L; those before it are done.
    fn eliminate(&mut self, panel: usize) {
        let start = self.starts[panel];
        let (done, own) = self.columns.split_at_mut(self.offsets[panel]);
        let diagonal_at = FOUR * panel - start;
        for other in start / FOUR..panel {
            let from = start.max(self.starts[other]);
            let theirs = &done[self.offsets[other] + from - self.starts[other]..self.offsets[other + 1]];
            let (theirs, diagonal) = theirs.split_at(FOUR * other - from);
            let (left, right) = own.split_at_mut(FOUR * other - start);
            let products = products(&left[from - start..], theirs);
            for column in 0..FOUR {
                let mut entries = difference(right[column], products[column]);
                for (theirs, ours) in diagonal.iter().zip(&right[..column]) {
                    subtract(&mut entries, *ours, theirs[column]);
                }
                right[column] = entries.map(|entry| entry * diagonal[column][column]);
            }
        }
        let (left, diagonal) = own.split_at_mut(diagonal_at);
        let products = products(left, left);
        for column in 0..FOUR {
            let mut entries = difference(diagonal[column], products[column]);
            for before in diagonal.iter().take(column) {
                subtract(&mut entries, *before, before[column]);
            }
            let inverse = 1.0 / entries[column].sqrt();
            entries = entries.map(|entry| entry * inverse);
            entries[column] = inverse;
            entries[..column].fill(0.0);
            diagonal[column] = entries;
        }
    }
}

/// What the first panels of two rows of panels have in common: the product of one with the transpose of the other.
fn products(ours: &[Column], theirs: &[Column]) -> [Column; FOUR] {
    let mut sums = [[0.0; FOUR]; FOUR];
    for (a, b) in ours.iter().zip(theirs) {
        for (sum, b) in sums.iter_mut().zip(b) {
            for (sum, a) in sum.iter_mut().zip(a) {
                *sum += a * b;
            }
        }
    }
    sums
}

fn difference(a: Column, b: Column) -> Column {
    std::array::from_fn(|row| a[row] - b[row])
}

fn subtract(from: &mut Column, what: Column, times: f64) {
    for (entry, what) in from.iter_mut().zip(what) {
        *entry -= what * times;
    }
}

/// L with L Lᵀ equal to the matrix; the diagonal is stored inverted.
#[derive(Debug)]
pub(in crate::shaping) struct Factor {
    panels: Panels,
}

impl Factor {
    /// Solves for a right-hand side.
    pub(in crate::shaping) fn solve(&self, right: &[f64]) -> Vec<f64> {
        let Panels { size, starts, offsets, columns } = &self.panels;
        let mut x = right.to_vec();
        x.resize(FOUR * starts.len(), 0.0);
        for (panel, &start) in starts.iter().enumerate() {
            let (before, own) = x.split_at_mut(FOUR * panel);
            let (left, diagonal) = columns[offsets[panel]..offsets[panel + 1]].split_at(FOUR * panel - start);
            let mut sums = [0.0; FOUR];
            for (entries, x) in left.iter().zip(&before[start..]) {
                for (sum, entry) in sums.iter_mut().zip(entries) {
                    *sum += entry * x;
                }
            }
            for row in 0..FOUR {
                let inner: f64 = (0..row).map(|column| diagonal[column][row] * own[column]).sum();
                own[row] = (own[row] - sums[row] - inner) * diagonal[row][row];
            }
        }
        for (panel, &start) in starts.iter().enumerate().rev() {
            let (before, own) = x.split_at_mut(FOUR * panel);
            let (left, diagonal) = columns[offsets[panel]..offsets[panel + 1]].split_at(FOUR * panel - start);
            for column in (0..FOUR).rev() {
                let inner: f64 = (column + 1..FOUR).map(|row| diagonal[column][row] * own[row]).sum();
                own[column] = (own[column] - inner) * diagonal[column][column];
            }
            for (entries, x) in left.iter().zip(&mut before[start..]) {
                *x -= entries.iter().zip(&*own).map(|(entry, own)| entry * own).sum::<f64>();
            }
        }
        x.truncate(*size);
        x
    }

    /// The logarithm of the determinant of the matrix.
    pub(in crate::shaping) fn log_determinant(&self) -> f64 {
        -2.0 * (0..self.panels.size).map(|row| self.entry(row, row).ln()).sum::<f64>()
    }

    /// The diagonal of the matrix' inverse, by a recurrence within the skyline (K. Takahashi, J. Fagan & M.-S. Chin,
    /// 1973).
    ///
    /// # Errors
    /// [`Stopped`] by the watch, which is asked before every column.
    pub(in crate::shaping) fn inverse_diagonal(&self, watch: Watch<'_>) -> Result<Vec<f64>, Stopped> {
        let size = self.panels.size;
        let first = |row: usize| self.panels.starts[row / FOUR];
        let mut last: Vec<usize> = (0..size).collect();
        for row in 0..size {
            last[first(row)..=row].fill(row);
        }
        // Both triangles, so that whole stretches of rows are added up.
        let mut offsets = Vec::with_capacity(size);
        let mut length = 0;
        for (row, last) in last.iter().enumerate() {
            offsets.push(length);
            length += last + 1 - first(row);
        }
        let at = |row: usize, column: usize| offsets[row] + column - first(row);
        let mut inverse = vec![0.0; length];
        let mut sums = Vec::new();
        for column in (0..size).rev() {
            watch.round(size - 1 - column, size)?;
            let pivot = self.entry(column, column);
            let below = (column + 1..=last[column]).filter(|&row| first(row) <= column);
            let below: Vec<(usize, f64)> = below.map(|row| (row, self.entry(row, column) * pivot)).collect();
            sums.clear();
            sums.resize(last[column] - column, 0.0);
            for &(row, entry) in below.iter().filter(|(_, entry)| *entry != 0.0) {
                let stretch = &inverse[at(row, column + 1)..=at(row, last[column])];
                sums.iter_mut().zip(stretch).for_each(|(sum, inverse)| *sum += entry * inverse);
            }
            let mut own = 0.0;
            for &(row, entry) in &below {
                let value = -sums[row - column - 1];
                inverse[at(row, column)] = value;
                inverse[at(column, row)] = value;
                own += entry * value;
            }
            inverse[at(column, column)] = pivot * pivot - own;
        }
        Ok((0..size).map(|row| inverse[at(row, row)]).collect())
    }

    /// The entry of L, or for the diagonal its inverse.
    fn entry(&self, row: usize, column: usize) -> f64 {
        let panel = row / FOUR;
        self.panels.columns[self.panels.offsets[panel] + column - self.panels.starts[panel]][row % FOUR]
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use nalgebra::{DMatrix, DVector};
    use proptest::prelude::*;

    /// A positive definite matrix with a random skyline.
    fn any_matrix() -> impl Strategy<Value = (Vec<usize>, DMatrix<f64>)> {
        proptest::collection::vec((0.0..1.0_f64, proptest::collection::vec(-1.0..1.0, 23)), 1..23).prop_map(|rows| {
            let size = rows.len();
            #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "a share of a row")]
            let firsts: Vec<usize> =
                rows.iter().enumerate().map(|(row, (share, _))| (share * (row as f64 + 0.99)) as usize).collect();
            let lower = DMatrix::from_fn(size, size, |row, column| match row.cmp(&column) {
                std::cmp::Ordering::Equal => 1.5 + rows[row].1[column],
                std::cmp::Ordering::Greater if column >= firsts[row] => rows[row].1[column],
                _ => 0.0,
            });
            (firsts, &lower * lower.transpose())
        })
    }

    fn panels(firsts: &[usize], matrix: &DMatrix<f64>) -> Panels {
        let mut panels = Panels::zeros(firsts);
        for (row, &first) in firsts.iter().enumerate() {
            (first..=row).for_each(|column| panels.add(column, row, matrix[(row, column)]));
        }
        panels
    }

    proptest! {
        #[test]
        fn agrees_with_a_general_library((firsts, matrix) in any_matrix(), seed in 0.0..9.0_f64) {
            let factor = panels(&firsts, &matrix).factorised(Watch::NOBODY).unwrap();
            let right: Vec<f64> = (0..firsts.len()).map(|i| (seed + i as f64).sin()).collect();
            let dense = matrix.clone().cholesky().unwrap();
            let expected = dense.solve(&DVector::from_column_slice(&right));
            let solved = DVector::from_vec(factor.solve(&right));
            let scale = 1.0 + expected.amax();
            prop_assert!((&solved - &expected).amax() <= 1e-9 * scale, "{} {}", solved, expected);
            let inverse = dense.inverse();
            let own = factor.inverse_diagonal(Watch::NOBODY).unwrap();
            for (row, own) in own.iter().enumerate() {
                prop_assert!((own - inverse[(row, row)]).abs() <= 1e-9 * (1.0 + inverse[(row, row)]), "{row}");
            }
            let expected = 2.0 * dense.l().diagonal().iter().map(|entry| entry.ln()).sum::<f64>();
            prop_assert!((factor.log_determinant() - expected).abs() <= 1e-9 * (1.0 + expected.abs()));
        }
    }

    #[test]
    fn what_is_not_positive_definite_gives_no_number() {
        let mut panels = Panels::zeros(&[0, 0]);
        [(0, 0, 1.0), (0, 1, 2.0), (1, 1, 1.0)].into_iter().for_each(|(a, b, value)| panels.add(a, b, value));
        assert!(panels.factorised(Watch::NOBODY).unwrap().solve(&[1.0, 1.0]).iter().all(|x| x.is_nan()));
    }
}
