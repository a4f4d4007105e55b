//! Eigenvalues and eigenvectors of a small symmetric matrix whose entries reach two places from the diagonal.
//!
//! The matrix is brought to three diagonals by plane rotations that chase each entry off the end (H. Rutishauser,
//! 1963; H. R. Schwarz, 1968), then to one by implicit QR steps with Wilkinson's shift (Golub & Van Loan, Matrix
//! Computations, symmetric eigenvalue chapter). All rotations also turn the rows of the vectors, which lie in memory
//! one after another.

/// Eigenvalues, and eigenvectors as the rows of a square matrix.
#[derive(Clone, Debug)]
pub(super) struct Eigen {
    pub(super) values: Vec<f64>,
    pub(super) vectors: Vec<f64>,
}

/// More steps than any matrix of this kind has needed, per eigenvalue.
const STEPS_PER_VALUE: usize = 60;

/// Decomposes the n × n matrix with entries `entry(i, j)`, zero where |i − j| > 2; `None` when the iteration does
/// not settle.
pub(super) fn decompose(n: usize, entry: impl Fn(usize, usize) -> f64) -> Option<Eigen> {
    let mut work = Work::new(n, entry);
    work.reduce_to_three_diagonals();
    let mut diagonal: Vec<f64> = (0..n).map(|i| work.matrix[i * n + i]).collect();
    let mut beside: Vec<f64> = (1..n).map(|i| work.matrix[i * n + i - 1]).collect();
    reduce_to_one_diagonal(&mut diagonal, &mut beside, &mut work.vectors)?;
    Some(Eigen { values: diagonal, vectors: work.vectors })
}

/// A plane rotation with c² + s² = 1.
#[derive(Clone, Copy)]
struct Rotation {
    c: f64,
    s: f64,
}

impl Rotation {
    /// The rotation that turns (a, b) into (r, 0).
    fn zeroing(a: f64, b: f64) -> Self {
        let r = (a * a + b * b).sqrt();
        if r == 0.0 {
            return Self { c: 1.0, s: 0.0 };
        }
        let inverse = 1.0 / r;
        Self { c: a * inverse, s: b * inverse }
    }

    fn turn(self, a: &mut f64, b: &mut f64) {
        (*a, *b) = (self.c * *a + self.s * *b, self.c * *b - self.s * *a);
    }

    /// Turns rows p and p + 1 of a matrix with n columns.
    fn turn_rows(self, matrix: &mut [f64], n: usize, p: usize) {
        let (upper, lower) = matrix[p * n..(p + 2) * n].split_at_mut(n);
        for (a, b) in upper.iter_mut().zip(lower) {
            self.turn(a, b);
        }
    }
}

struct Work {
    n: usize,
    matrix: Vec<f64>,
    vectors: Vec<f64>,
}

impl Work {
    fn new(n: usize, entry: impl Fn(usize, usize) -> f64) -> Self {
        let mut work = Self { n, matrix: vec![0.0; n * n], vectors: vec![0.0; n * n] };
        for i in 0..n {
            work.vectors[i * n + i] = 1.0;
            for j in i.saturating_sub(2)..n.min(i + 3) {
                work.matrix[i * n + j] = entry(i, j);
            }
        }
        work
    }

    fn reduce_to_three_diagonals(&mut self) {
        for k in 0..self.n.saturating_sub(2) {
            // The entry two below the diagonal goes; the rotation makes one three below, which is chased on.
            let (mut column, mut p) = (k, k + 1);
            while p + 1 < self.n {
                self.rotate(column, p);
                (column, p) = (p, p + 2);
            }
        }
    }

    /// Zeroes the entry (p + 1, column) by rotating rows and columns p and p + 1.
    fn rotate(&mut self, column: usize, p: usize) {
        let n = self.n;
        let rotation = Rotation::zeroing(self.matrix[p * n + column], self.matrix[(p + 1) * n + column]);
        if rotation.s == 0.0 {
            return;
        }
        let reach = p.saturating_sub(3)..n.min(p + 5);
        for j in reach.clone() {
            let (upper, lower) = self.matrix.split_at_mut((p + 1) * n);
            rotation.turn(&mut upper[p * n + j], &mut lower[j]);
        }
        for i in reach {
            let (left, right) = self.matrix[i * n..].split_at_mut(p + 1);
            rotation.turn(&mut left[p], &mut right[0]);
        }
        rotation.turn_rows(&mut self.vectors, n, p);
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

/// Columns that are turned together: as many as fit the registers.
const LANES: usize = 8;

/// Turns rows 0 and 1, then 1 and 2, and so on: the row between two turns stays in registers.
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
            turn.turn(a, b);
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
        let rotation = Rotation::zeroing(bulge.0, bulge.1);
        let Rotation { c, s } = rotation;
        if k > 0 {
            beside[k - 1] = c * bulge.0 + s * bulge.1;
        }
        let (a, b, d) = (diagonal[k], beside[k], diagonal[k + 1]);
        let cross = 2.0 * c * s * b;
        diagonal[k] = c * c * a + cross + s * s * d;
        diagonal[k + 1] = s * s * a - cross + c * c * d;
        beside[k] = c * s * (d - a) + (c * c - s * s) * b;
        if k + 2 < m {
            bulge = (beside[k], s * beside[k + 1]);
            beside[k + 1] *= c;
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
