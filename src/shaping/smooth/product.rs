//! The smoothing system of a full block of rows and columns, solved direction by direction.
//!
//! Where the free cells are all pairs of some rows and some columns, the system is a Kronecker sum of two small ones:
//! the eigenvectors of the shorter direction take it apart into one five-diagonal system per eigenvalue.

use super::ShapingError;
use super::eigen::{Eigen, decompose};
use super::penalty::{Curvature, Penalty};

/// A full block of rows and columns; the shorter direction runs fast.
#[derive(Clone, Debug)]
pub(super) struct Product {
    /// Places in the table's values.
    order: Vec<usize>,
    fast: Eigen,
    /// The eigenvectors as columns.
    turned: Vec<f64>,
    /// The slow direction's five diagonals, lower half: the entry itself, the next, the one after.
    slow: Vec<[f64; 3]>,
}

impl Product {
    /// The smallest full block of rows and columns that holds the marked cells.
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

    /// The block's cells as places in the table's values, the shorter direction running fastest.
    pub(super) fn order(&self) -> &[usize] {
        &self.order
    }

    /// The system at one λ.
    pub(super) fn at(&self, lambda: f64) -> Solution<'_> {
        let (n, m) = (self.fast.values.len(), self.slow.len());
        let mut pivots = vec![0.0; n * m];
        let mut first = vec![0.0; n * m];
        let mut second = vec![0.0; n * m];
        for (i, &[own, next, after]) in self.slow.iter().enumerate() {
            for (j, &value) in self.fast.values.iter().enumerate() {
                let at = i * n + j;
                let mut pivot = 1.0 + lambda * (value + own);
                let mut coupling = lambda * next;
                if i > 1 {
                    second[at] = lambda * after / pivots[at - 2 * n];
                    coupling -= second[at] * first[at - n] * pivots[at - 2 * n];
                    pivot -= second[at] * second[at] * pivots[at - 2 * n];
                }
                if i > 0 {
                    first[at] = coupling / pivots[at - n];
                    pivot -= first[at] * first[at] * pivots[at - n];
                }
                pivots[at] = pivot;
            }
        }
        Solution { product: self, pivots, first, second }
    }
}

/// A factorised block system: L D Lᵀ per eigenvalue, stored eigenvalue by eigenvalue within each slow place.
pub(super) struct Solution<'a> {
    product: &'a Product,
    pivots: Vec<f64>,
    first: Vec<f64>,
    second: Vec<f64>,
}

impl Solution<'_> {
    /// Solves for a right side over the whole table; the answer is zero outside the block.
    pub(super) fn solve(&self, right: &[f64]) -> Vec<f64> {
        let product = self.product;
        let gathered: Vec<f64> = product.order.iter().map(|&at| right[at]).collect();
        let n = product.fast.values.len();
        let mut turned = multiply(&gathered, &product.turned, n);
        self.substitute(&mut turned, n);
        let solved = multiply(&turned, &product.fast.vectors, n);
        let mut out = vec![0.0; right.len()];
        for (&at, value) in product.order.iter().zip(solved) {
            out[at] = value;
        }
        out
    }

    fn substitute(&self, x: &mut [f64], n: usize) {
        let count = x.len();
        for at in n..count {
            let above = if at >= 2 * n { self.second[at] * x[at - 2 * n] } else { 0.0 };
            x[at] -= self.first[at] * x[at - n] + above;
        }
        for at in (0..count).rev() {
            let mut value = x[at] / self.pivots[at];
            if at + n < count {
                value -= self.first[at + n] * x[at + n];
            }
            if at + 2 * n < count {
                value -= self.second[at + 2 * n] * x[at + 2 * n];
            }
            x[at] = value;
        }
    }
}

/// rows × square, both with n columns.
fn multiply(rows: &[f64], square: &[f64], n: usize) -> Vec<f64> {
    let mut out = vec![0.0; rows.len()];
    for (row, sum) in rows.chunks_exact(n).zip(out.chunks_exact_mut(n)) {
        for (four, lines) in row.chunks(4).zip(square.chunks(4 * n)) {
            add_lines(sum, four, lines, n);
        }
    }
    out
}

/// Adds up to four weighted lines at once, to save passes over the sum.
fn add_lines(sum: &mut [f64], weights: &[f64], lines: &[f64], n: usize) {
    if let [a, b, c, d] = *weights {
        let (first, rest) = lines.split_at(n);
        let (second, rest) = rest.split_at(n);
        let (third, fourth) = rest.split_at(n);
        for ((((sum, p), q), r), s) in sum.iter_mut().zip(first).zip(second).zip(third).zip(fourth) {
            *sum += (a * p + b * q) + (c * r + d * s);
        }
        return;
    }
    for (weight, line) in weights.iter().zip(lines.chunks_exact(n)) {
        for (sum, value) in sum.iter_mut().zip(line) {
            *sum += weight * value;
        }
    }
}
