//! The smoothing system of any set of free cells, by Cholesky factorisation within the skyline: each row of the
//! lower triangle is kept from its first entry on (A. Jennings, 1966).

use super::penalty::Penalty;
use super::{ShapingError, Watch};

/// Rows that are worked on together.
const FOUR: usize = 4;

/// L with L Lᵀ = I + λP on the free cells.
pub(super) struct Factor<'a> {
    order: &'a [usize],
    /// Per row: its first column, and where that is stored in `entries`; the diagonal is the last entry of a
    /// row.
    rows: Vec<Row>,
    entries: Vec<f64>,
}

#[derive(Clone, Copy)]
struct Row {
    first: usize,
    start: usize,
}

impl<'a> Factor<'a> {
    /// Factorises the system on the cells of `order`, indices into the table's values.
    ///
    /// # Errors
    /// [`ShapingError::Stopped`].
    pub(super) fn new(
        penalty: &Penalty,
        order: &'a [usize],
        lambda: f64,
        watch: Watch<'_>,
    ) -> Result<Self, ShapingError> {
        let mut factor = Self::assemble(penalty, order, lambda);
        for i in (0..order.len()).step_by(FOUR) {
            watch.round(i, order.len())?;
            let end = order.len().min(i + FOUR);
            let done = if end == i + FOUR { factor.eliminate_four(i) } else { factor.rows[i].first };
            for row in i..end {
                factor.eliminate(row, done);
            }
        }
        Ok(factor)
    }

    fn assemble(penalty: &Penalty, order: &'a [usize], lambda: f64) -> Self {
        let mut place = vec![usize::MAX; penalty.rows() * penalty.columns()];
        let mut columns = Vec::with_capacity(order.len());
        for (i, &at) in order.iter().enumerate() {
            place[at] = i;
            let coupled = neighbours(penalty, at).filter(|&other| place[other] != usize::MAX);
            let coupled: Vec<(usize, f64)> =
                coupled.map(|other| (place[other], lambda * penalty.entry(at, other))).collect();
            columns.push(coupled);
        }
        let mut factor = Self { order, rows: Vec::with_capacity(order.len()), entries: Vec::new() };
        // Groups of four rows begin at the same column, so that they can be worked on together.
        let first = |four: &[Vec<(usize, f64)>]| four.iter().flatten().map(|&(j, _)| j).min().unwrap_or(0);
        let rows = columns.chunks(FOUR).enumerate();
        factor.entries.reserve_exact(rows.map(|(k, four)| FOUR * (FOUR * (k + 1) - first(four))).sum());
        for four in columns.chunks(FOUR) {
            let first = first(four);
            for coupled in four {
                factor.push(first, coupled);
            }
        }
        factor
    }

    fn push(&mut self, first: usize, coupled: &[(usize, f64)]) {
        let (i, start) = (self.rows.len(), self.entries.len());
        self.entries.resize(start + i - first + 1, 0.0);
        for &(j, entry) in coupled {
            self.entries[start + j - first] = entry;
        }
        self.entries[start + i - first] += 1.0;
        self.rows.push(Row { first, start });
    }

    /// Turns the columns before `i` of the four rows from `i` on into those of L; returns `i`, where they end.
    fn eliminate_four(&mut self, i: usize) -> usize {
        let Row { first, start } = self.rows[i];
        let at: [usize; FOUR] = std::array::from_fn(|r| self.rows[i + r].start - start);
        let (done, four) = self.entries.split_at_mut(start);
        for j in first..i {
            let other = self.rows[j];
            let from = first.max(other.first);
            let above = &done[other.start + from - other.first..=other.start + j - other.first];
            let (above, pivot) = above.split_at(j - from);
            let sums = dot_four(at.map(|at| &four[at + from - first..at + j - first]), above);
            for (at, sum) in at.iter().zip(sums) {
                let entry = &mut four[at + j - first];
                *entry = (*entry - sum) / pivot[0];
            }
        }
        i
    }

    /// Turns row i, from column `done_before` on, into row i of L.
    fn eliminate(&mut self, i: usize, done_before: usize) {
        let Row { first, start } = self.rows[i];
        let (done, row) = self.entries.split_at_mut(start);
        for j in done_before..i {
            let other = self.rows[j];
            let from = first.max(other.first);
            let (left, right) = row.split_at_mut(j - first);
            let above = &done[other.start + from - other.first..=other.start + j - other.first];
            let (above, pivot) = above.split_at(j - from);
            right[0] = (right[0] - dot(&left[from - first..], above)) / pivot[0];
        }
        let (left, diagonal) = row.split_at_mut(i - first);
        diagonal[0] = (diagonal[0] - dot(left, left)).sqrt();
    }

    /// Solves for a right-hand side over the whole table; the answer is zero in cells that are not free.
    pub(super) fn solve(&self, right: &[f64]) -> Vec<f64> {
        let mut x: Vec<f64> = self.order.iter().map(|&at| right[at]).collect();
        for i in 0..x.len() {
            let (left, pivot) = self.row(i);
            x[i] = (x[i] - dot(left, &x[self.rows[i].first..i])) / pivot;
        }
        for i in (0..x.len()).rev() {
            let (left, pivot) = self.row(i);
            x[i] /= pivot;
            let value = x[i];
            for (x, entry) in x[self.rows[i].first..i].iter_mut().zip(left) {
                *x -= entry * value;
            }
        }
        let mut out = vec![0.0; right.len()];
        for (&at, value) in self.order.iter().zip(x) {
            out[at] = value;
        }
        out
    }

    fn row(&self, i: usize) -> (&[f64], f64) {
        let Row { first, start } = self.rows[i];
        (&self.entries[start..start + i - first], self.entries[start + i - first])
    }
}

/// The cell itself and those up to two away in its row or column.
fn neighbours(penalty: &Penalty, at: usize) -> impl Iterator<Item = usize> + use<> {
    let (rows, columns) = (penalty.rows(), penalty.columns());
    let (row, column) = (at / columns, at % columns);
    let in_row = (column.saturating_sub(2)..columns.min(column + 3)).map(move |other| row * columns + other);
    let in_column = (row.saturating_sub(2)..rows.min(row + 3)).filter(move |&other| other != row);
    in_row.chain(in_column.map(move |other| other * columns + column))
}

/// The dot products of four rows with one, each row read once; all have the same length.
fn dot_four(lines: [&[f64]; FOUR], other: &[f64]) -> [f64; FOUR] {
    let [a, b, c, d] = lines.map(|line| line.as_chunks::<4>());
    let (fours, rest) = other.as_chunks::<4>();
    let mut sums = [[0.0; 4]; FOUR];
    for ((((x, a), b), c), d) in fours.iter().zip(a.0).zip(b.0).zip(c.0).zip(d.0) {
        for k in 0..4 {
            sums[0][k] += a[k] * x[k];
            sums[1][k] += b[k] * x[k];
            sums[2][k] += c[k] * x[k];
            sums[3][k] += d[k] * x[k];
        }
    }
    let tails = [a.1, b.1, c.1, d.1];
    std::array::from_fn(|r| {
        let tail: f64 = tails[r].iter().zip(rest).map(|(a, b)| a * b).sum();
        sums[r].iter().sum::<f64>() + tail
    })
}

/// Eight independent partial sums, so that the processor overlaps them.
fn dot(a: &[f64], b: &[f64]) -> f64 {
    let mut sums = [0.0; 8];
    let (eights_a, rest_a) = a.as_chunks::<8>();
    let (eights_b, rest_b) = b.as_chunks::<8>();
    for (a, b) in eights_a.iter().zip(eights_b) {
        for k in 0..8 {
            sums[k] += a[k] * b[k];
        }
    }
    let rest: f64 = rest_a.iter().zip(rest_b).map(|(a, b)| a * b).sum();
    sums.iter().sum::<f64>() + rest
}
