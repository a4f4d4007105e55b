//! Eigenvalues and eigenvectors of a small symmetric matrix whose entries reach two places from the diagonal.
//!
//! The matrix is made tridiagonal by plane rotations that chase each entry off the end (H. Rutishauser, 1963;
//! H. R. Schwarz, 1968), then diagonal by implicit QR steps with Wilkinson's shift (Golub & Van Loan, Matrix
//! Computations, symmetric eigenvalue chapter). All rotations are also applied to the rows of the vectors,
//! which are contiguous in memory.

use std::ops::Range;

/// Eigenvalues, and eigenvectors as the rows of a square matrix.
#[derive(Clone, Debug)]
pub(super) struct Eigen {
    pub(super) values: Vec<f64>,
    pub(super) vectors: Vec<f64>,
}

/// More steps than any matrix of this kind has needed, per eigenvalue.
const STEPS_PER_VALUE: usize = 60;

/// Decomposes the n × n matrix with entries `entry(i, j)`, zero where |i − j| > 2; `None` if the iteration does
/// not converge.
pub(super) fn decompose(n: usize, entry: impl Fn(usize, usize) -> f64) -> Option<Eigen> {
    let mut vectors = vec![0.0; n * n];
    vectors.iter_mut().step_by(n + 1).for_each(|own| *own = 1.0);
    let mut band = Band::new(n, entry);
    band.reduce_to_three_diagonals(&mut vectors);
    let Band { mut diagonal, mut beside, .. } = band;
    beside.pop();
    reduce_to_one_diagonal(&mut diagonal, &mut beside, &mut vectors)?;
    Some(Eigen { values: diagonal, vectors })
}

/// A plane rotation with c² + s² = 1.
#[derive(Clone, Copy)]
struct Rotation {
    c: f64,
    s: f64,
    /// c², s² and c·s are computed without the square root, so that the next rotation need not wait for it.
    cc: f64,
    ss: f64,
    cs: f64,
}

impl Rotation {
    const NONE: Self = Self { c: 1.0, s: 0.0, cc: 1.0, ss: 0.0, cs: 0.0 };

    /// The rotation that turns (a, b) into (r, 0), and r.
    fn zeroing(a: f64, b: f64) -> (Self, f64) {
        let (aa, bb) = (a * a, b * b);
        let square = aa + bb;
        if b == 0.0 || !square.is_normal() {
            return (Self::NONE, a);
        }
        let (r, over_square) = (square.sqrt(), 1.0 / square);
        let over_r = r * over_square;
        let (cc, ss, cs) = (aa * over_square, bb * over_square, a * b * over_square);
        (Self { c: a * over_r, s: b * over_r, cc, ss, cs }, r)
    }

    fn turn(self, (a, b): (f64, f64)) -> (f64, f64) {
        (self.c * a + self.s * b, self.c * b - self.s * a)
    }

    /// Applies it to both the rows and the columns of [[a, b], [b, d]].
    fn turn_block(self, (a, b, d): (f64, f64, f64)) -> (f64, f64, f64) {
        let cross = 2.0 * self.cs * b;
        let turned = self.cs * (d - a) + (self.cc - self.ss) * b;
        (self.cc * a + cross + self.ss * d, turned, self.ss * a - cross + self.cc * d)
    }
}

/// A symmetric matrix as its main diagonal and the first and second below it, padded with zeros to equal
/// length.
struct Band {
    diagonal: Vec<f64>,
    beside: Vec<f64>,
    outer: Vec<f64>,
}

impl Band {
    fn new(n: usize, entry: impl Fn(usize, usize) -> f64) -> Self {
        let below = |k: usize| (0..n).map(|j| if j + k < n { entry(j + k, j) } else { 0.0 }).collect();
        Self { diagonal: below(0), beside: below(1), outer: below(2) }
    }

    fn reduce_to_three_diagonals(&mut self, vectors: &mut [f64]) {
        let n = self.diagonal.len();
        for k in 0..n.saturating_sub(2) {
            let (mut rotation, r) = Rotation::zeroing(self.beside[k], self.outer[k]);
            (self.beside[k], self.outer[k]) = (r, 0.0);
            for p in (k + 1..n - 1).step_by(2) {
                if p > k + 1 {
                    (self.beside[p - 1], self.outer[p - 1]) = rotation.turn((self.beside[p - 1], self.outer[p - 1]));
                }
                let bulge = self.rotate(rotation, p);
                // So far the sweeps have mixed only rows this close together.
                turn_rows(rotation, vectors, n, p, p.saturating_sub(k)..n.min(p + k + 2));
                // The rotation made an entry three below the diagonal; the next one chases it further down.
                (rotation, self.outer[p]) = Rotation::zeroing(self.outer[p], bulge);
            }
        }
    }

    /// Rotates rows and columns p and p + 1 from the diagonal downwards; returns the entry (p + 3, p) that this
    /// creates.
    fn rotate(&mut self, rotation: Rotation, p: usize) -> f64 {
        let Self { diagonal, beside, outer } = self;
        (diagonal[p], beside[p], diagonal[p + 1]) = rotation.turn_block((diagonal[p], beside[p], diagonal[p + 1]));
        (outer[p], beside[p + 1]) = rotation.turn((outer[p], beside[p + 1]));
        let bulge = rotation.s * outer[p + 1];
        outer[p + 1] *= rotation.c;
        bulge
    }
}

/// Rotates rows p and p + 1 of a matrix with n columns, in the given range of columns.
fn turn_rows(rotation: Rotation, matrix: &mut [f64], n: usize, p: usize, columns: Range<usize>) {
    let (upper, lower) = matrix[p * n..(p + 2) * n].split_at_mut(n);
    for (a, b) in upper[columns.clone()].iter_mut().zip(&mut lower[columns]) {
        (*a, *b) = rotation.turn((*a, *b));
    }
}

fn reduce_to_one_diagonal(diagonal: &mut [f64], beside: &mut [f64], vectors: &mut [f64]) -> Option<()> {
    let n = diagonal.len();
    let scale = diagonal.iter().chain(&*beside).fold(0.0, |most: f64, x| most.max(x.abs()));
    let mut end = n;
    let mut turns = Vec::with_capacity(n);
    for _ in 0..STEPS_PER_VALUE * n.max(1) {
        while end > 1 && negligible(diagonal, beside, end - 2, scale) {
            beside[end - 2] = 0.0;
            end -= 1;
        }
        if end <= 1 {
            return Some(());
        }
        let split = (0..end - 1).rev().find(|&i| negligible(diagonal, beside, i, scale));
        let start = split.map_or(0, |i| i + 1);
        turns.clear();
        qr_step(&mut diagonal[start..end], &mut beside[start..end - 1], &mut turns);
        sweep(&mut vectors[start * n..end * n], n, &turns);
    }
    None
}

fn negligible(diagonal: &[f64], beside: &[f64], i: usize, scale: f64) -> bool {
    let near = diagonal[i].abs() + diagonal[i + 1].abs();
    beside[i].abs() <= f64::EPSILON * near.max(f64::EPSILON * scale)
}

/// Columns that are rotated together: as many as fit into the registers.
const LANES: usize = 8;

/// Rotates rows 0 and 1, then 1 and 2, and so on: the row shared by two rotations stays in registers.
fn sweep(rows: &mut [f64], n: usize, turns: &[Rotation]) {
    let mut from = 0;
    while from + LANES <= n {
        sweep_columns::<LANES>(rows, n, from, turns);
        from += LANES;
    }
    for column in from..n {
        sweep_columns::<1>(rows, n, column, turns);
    }
}

fn sweep_columns<const WIDTH: usize>(rows: &mut [f64], n: usize, from: usize, turns: &[Rotation]) {
    let mut parts = rows.chunks_exact_mut(n).filter_map(|row| row[from..].first_chunk_mut::<WIDTH>());
    let Some(mut place) = parts.next() else { return };
    let mut upper = *place;
    for (turn, lower_place) in turns.iter().zip(parts) {
        let mut lower = *lower_place;
        for (a, b) in upper.iter_mut().zip(&mut lower) {
            (*a, *b) = turn.turn((*a, *b));
        }
        *place = upper;
        (upper, place) = (lower, lower_place);
    }
    *place = upper;
}

/// One implicit QR step on an unreduced tridiagonal part of at least two rows; its rotations go to `turns`.
fn qr_step(diagonal: &mut [f64], beside: &mut [f64], turns: &mut Vec<Rotation>) {
    let m = diagonal.len();
    let mut bulge = (diagonal[0] - wilkinson(diagonal[m - 2], beside[m - 2], diagonal[m - 1]), beside[0]);
    for k in 0..m - 1 {
        let (rotation, r) = Rotation::zeroing(bulge.0, bulge.1);
        if k > 0 {
            beside[k - 1] = r;
        }
        (diagonal[k], beside[k], diagonal[k + 1]) = rotation.turn_block((diagonal[k], beside[k], diagonal[k + 1]));
        if k + 2 < m {
            bulge = (beside[k], rotation.s * beside[k + 1]);
            beside[k + 1] *= rotation.c;
        }
        turns.push(rotation);
    }
}

/// The eigenvalue of [[a, b], [b, d]] nearer to d.
fn wilkinson(a: f64, b: f64, d: f64) -> f64 {
    if b == 0.0 {
        return d;
    }
    let half = 0.5 * (a - d);
    d - b * b / (half + (half * half + b * b).sqrt().copysign(half))
}

#[cfg(test)]
mod tests {
    use super::*;
    use nalgebra::DMatrix;
    use proptest::prelude::*;

    fn banded(n: usize, numbers: &[f64]) -> DMatrix<f64> {
        DMatrix::from_fn(n, n, |i, j| if i.abs_diff(j) > 2 { 0.0 } else { numbers[i.min(j) * 3 + i.abs_diff(j)] })
    }

    proptest! {
        #[test]
        fn agrees_with_a_general_library(n in 1..20_usize, numbers in proptest::collection::vec(-5.0..5.0, 60)) {
            let matrix = banded(n, &numbers);
            let eigen = decompose(n, |i, j| matrix[(i, j)]).unwrap();
            let vectors = DMatrix::from_row_slice(n, n, &eigen.vectors);
            let values = DMatrix::from_diagonal(&nalgebra::DVector::from_vec(eigen.values.clone()));
            prop_assert!((vectors.transpose() * values * &vectors - &matrix).amax() < 1e-12 * 60.0);
            prop_assert!((&vectors * vectors.transpose() - DMatrix::identity(n, n)).amax() < 1e-13 * 60.0);
            let mut mine = eigen.values;
            mine.sort_by(f64::total_cmp);
            let mut theirs: Vec<f64> = matrix.symmetric_eigenvalues().iter().copied().collect();
            theirs.sort_by(f64::total_cmp);
            for (a, b) in mine.iter().zip(&theirs) {
                prop_assert!((a - b).abs() < 1e-11);
            }
        }
    }

    #[test]
    fn zeros_and_diagonals_are_their_own_answer() {
        assert_eq!(decompose(3, |_, _| 0.0).unwrap().values, [0.0; 3]);
        assert_eq!(decompose(2, |i, j| if i == j { 1.0 + i as f64 } else { 0.0 }).unwrap().values, [1.0, 2.0]);
        assert_eq!(decompose(0, |_, _| 0.0).unwrap().values, [0.0; 0]);
    }
}
