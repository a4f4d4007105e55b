//! The smoothing system of a full block of rows and columns, solved direction by direction.
//!
//! Where the free cells are all pairs of some rows and some columns, the system is a Kronecker sum of two small
//! ones: the eigenvectors of the shorter direction split it into one five-diagonal system per eigenvalue.

use super::ShapingError;
use super::eigen::{Eigen, decompose};
use super::penalty::{Curvature, Penalty};

/// A full block of rows and columns; the shorter direction varies fastest.
#[derive(Clone, Debug)]
pub(super) struct Product {
    /// Indices into the table's values.
    order: Vec<usize>,
    fast: Eigen,
    /// The eigenvectors as columns.
    turned: Vec<f64>,
    /// The five diagonals of the slow direction, lower half: the entry itself, the next, the one after.
    slow: Vec<[f64; 3]>,
}

impl Product {
    /// The smallest full block of rows and columns that contains the marked cells.
    pub(super) fn around(mask: &[bool], penalty: &Penalty) -> Result<Self, ShapingError> {
        let columns = penalty.columns();
        let rows: Vec<usize> =
            (0..penalty.rows()).filter(|row| mask[row * columns..(row + 1) * columns].contains(&true)).collect();
        let used: Vec<usize> =
            (0..columns).filter(|&column| rows.iter().any(|row| mask[row * columns + column])).collect();
        if used.len() <= rows.len() {
            let order = rows.iter().flat_map(|row| used.iter().map(move |column| row * columns + column)).collect();
            return Self::new(order, (&penalty.speed, &used), (&penalty.load, &rows));
        }
        let order = used.iter().flat_map(|column| rows.iter().map(move |row| row * columns + column)).collect();
        Self::new(order, (&penalty.load, &rows), (&penalty.speed, &used))
    }

    fn new(
        order: Vec<usize>,
        (fast, fast_used): (&Curvature, &[usize]),
        (slow, slow_used): (&Curvature, &[usize]),
    ) -> Result<Self, ShapingError> {
        let n = fast_used.len();
        let unsolved = ShapingError::SmoothUnsolved { gradient: f64::INFINITY, allowed: super::GRADIENT_ALLOWED };
        let eigen = decompose(n, |i, j| fast.gram(fast_used[i], fast_used[j])).ok_or(unsolved)?;
        let turned = (0..n * n).map(|at| eigen.vectors[at % n * n + at / n]).collect();
        let diagonals = |i: usize| {
            let entry = |k| i.checked_sub(k).map_or(0.0, |j| slow.gram(slow_used[i], slow_used[j]));
            [entry(0), entry(1), entry(2)]
        };
        let slow = (0..slow_used.len()).map(diagonals).collect();
        Ok(Self { order, fast: eigen, turned, slow })
    }

    /// The block's cells as indices into the table's values, the shorter direction varying fastest.
    pub(super) fn order(&self) -> &[usize] {
        &self.order
    }

    /// The system for one λ.
    pub(super) fn at(&self, lambda: f64) -> Solution<'_> {
        let n = self.fast.values.len();
        let length = (self.slow.len() + PAD) * n;
        let [mut inverses, mut firsts, mut seconds] = [(); 3].map(|()| vec![0.0; length]);
        for (i, &[own, next, after]) in self.slow.iter().enumerate() {
            let (done, inverse) = inverses.split_at_mut((i + PAD) * n);
            let (first_done, first) = firsts.split_at_mut((i + PAD) * n);
            let [two_above, above] = [done.len() - 2 * n, done.len() - n].map(|at| &done[at..at + n]);
            let above = above.iter().zip(&first_done[first_done.len() - n..]);
            let places = inverse.iter_mut().zip(first).zip(&mut seconds[(i + PAD) * n..]);
            let across = lambda * after;
            for (((value, (above, first_above)), two_above), ((inverse, first), second)) in
                self.fast.values.iter().zip(above).zip(two_above).zip(places)
            {
                let coupling = lambda * next - across * first_above;
                *second = across * two_above;
                *first = coupling * above;
                *inverse = 1.0 / (1.0 + lambda * (value + own) - across * *second - coupling * *first);
            }
        }
        Solution { product: self, inverses, firsts, seconds }
    }
}

/// Rows of zeros before the first index of the slow direction, so that every index has two before it.
const PAD: usize = 2;

/// A factorised block system: L D Lᵀ per eigenvalue; after the padding one row of all eigenvalues per slow
/// index.
pub(super) struct Solution<'a> {
    product: &'a Product,
    /// The reciprocal of each pivot.
    inverses: Vec<f64>,
    /// Coupling to the index before.
    firsts: Vec<f64>,
    /// Coupling to the index two before.
    seconds: Vec<f64>,
}

impl Solution<'_> {
    /// Solves for a right-hand side over the whole table; the answer is zero outside the block.
    pub(super) fn solve(&self, right: &[f64]) -> Vec<f64> {
        let product = self.product;
        let mut block: Vec<f64> = product.order.iter().map(|&at| right[at]).collect();
        let n = product.fast.values.len();
        let mut turned = vec![0.0; block.len() + PAD * n];
        multiply(&block, &product.turned, &mut turned[PAD * n..], n);
        self.substitute(&mut turned, n);
        multiply(&turned[PAD * n..], &product.fast.vectors, &mut block, n);
        let mut out = vec![0.0; right.len()];
        for (&at, value) in product.order.iter().zip(block) {
            out[at] = value;
        }
        out
    }

    fn substitute(&self, x: &mut [f64], n: usize) {
        for at in (PAD * n..x.len()).step_by(n) {
            let (done, row) = x.split_at_mut(at);
            let (two_above, above) = done[at - 2 * n..].split_at(n);
            let couplings = self.firsts[at..].iter().zip(&self.seconds[at..]);
            for (((x, above), two_above), (first, second)) in row.iter_mut().zip(above).zip(two_above).zip(couplings) {
                *x -= first * above + second * two_above;
            }
        }
        for (x, inverse) in x.iter_mut().zip(&self.inverses) {
            *x *= inverse;
        }
        for at in (PAD * n..x.len()).step_by(n).rev() {
            let (rest, row) = x.split_at_mut(at);
            let (two_above, above) = rest[at - 2 * n..].split_at_mut(n);
            let couplings = self.firsts[at..].iter().zip(&self.seconds[at..]);
            for (((x, above), two_above), (first, second)) in row.iter().zip(above).zip(two_above).zip(couplings) {
                *above -= first * x;
                *two_above -= second * x;
            }
        }
    }
}

/// Columns that are summed together: as many as fit into the registers.
const LANES: usize = 8;

/// rows × square into `out`, all with n columns; two rows at a time, so that each row of the square is loaded
/// once for both.
fn multiply(rows: &[f64], square: &[f64], out: &mut [f64], n: usize) {
    for (rows, out) in rows.chunks(2 * n).zip(out.chunks_mut(2 * n)) {
        let mut from = 0;
        while from + LANES <= n {
            multiply_columns::<LANES>(rows, square, out, n, from);
            from += LANES;
        }
        for column in from..n {
            multiply_columns::<1>(rows, square, out, n, column);
        }
    }
}

fn multiply_columns<const WIDTH: usize>(rows: &[f64], square: &[f64], out: &mut [f64], n: usize, from: usize) {
    let (upper, lower) = rows.split_at(n);
    let lower = if lower.is_empty() { upper } else { lower };
    let (mut upper_sums, mut lower_sums) = ([0.0; WIDTH], [0.0; WIDTH]);
    let lines = square.chunks_exact(n).filter_map(|line| line[from..].first_chunk::<WIDTH>());
    for ((line, upper), lower) in lines.zip(upper).zip(lower) {
        for ((value, upper_sum), lower_sum) in line.iter().zip(&mut upper_sums).zip(&mut lower_sums) {
            *upper_sum += upper * value;
            *lower_sum += lower * value;
        }
    }
    out[from..from + WIDTH].copy_from_slice(&upper_sums);
    if let Some(place) = out.get_mut(n + from..n + from + WIDTH) {
        place.copy_from_slice(&lower_sums);
    }
}
