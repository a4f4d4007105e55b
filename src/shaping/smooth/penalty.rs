//! How much a surface is bent: second divided differences along both axes.

use crate::table::Axis;

/// The second divided differences along one axis that is scaled to unit mean spacing.
///
/// Entry k belongs to breakpoints k, k + 1, k + 2 with spacings h1, h2 and holds the outer coefficients
/// 2/(h1(h1 + h2)) and 2/(h2(h1 + h2)); the middle one, −2/(h1·h2), is minus their sum. A two-point axis has none.
#[derive(Clone, Debug)]
pub(super) struct Curvature {
    outer: Vec<[f64; 2]>,
    count: usize,
}

impl Curvature {
    fn new(axis: &Axis) -> Self {
        #[expect(clippy::cast_precision_loss, reason = "at most 64 breakpoints")]
        let scale = (axis.len() - 1) as f64 / axis.span();
        let coefficients = |three: &[f64]| {
            let (h1, h2) = ((three[1] - three[0]) * scale, (three[2] - three[1]) * scale);
            [2.0 / (h1 * (h1 + h2)), 2.0 / (h2 * (h1 + h2))]
        };
        Self { outer: axis.breakpoints().windows(3).map(coefficients).collect(), count: axis.len() }
    }

    /// The entry (i, j) of DᵀD; zero where the indices are more than two apart.
    pub(super) fn gram(&self, i: usize, j: usize) -> f64 {
        let from = i.max(j).saturating_sub(2);
        let to = i.min(j).min(self.outer.len().saturating_sub(1));
        if i.abs_diff(j) > 2 || self.outer.is_empty() {
            return 0.0;
        }
        (from..=to).map(|k| self.coefficient(k, i) * self.coefficient(k, j)).sum()
    }

    fn coefficient(&self, k: usize, i: usize) -> f64 {
        let [low, high] = self.outer[k];
        [low, -(low + high), high][i - k]
    }

    /// Adds DᵀD z to `out` for the line that starts at `start` and steps by `stride`.
    fn accumulate(&self, z: &[f64], out: &mut [f64], start: usize, stride: usize) {
        for (k, &[low, high]) in self.outer.iter().enumerate() {
            let at = start + k * stride;
            let [a, b, c] = [at, at + stride, at + 2 * stride];
            let bend = low * (z[a] - z[b]) + high * (z[c] - z[b]);
            out[a] += low * bend;
            out[b] -= (low + high) * bend;
            out[c] += high * bend;
        }
    }

    /// Whether the line is straight but for the rounding of values no larger than `magnitude`.
    fn is_straight(&self, z: &[f64], start: usize, stride: usize, magnitude: f64) -> bool {
        self.outer.iter().enumerate().all(|(k, &[low, high])| {
            let at = start + k * stride;
            let [a, b, c] = [at, at + stride, at + 2 * stride];
            let bend = low * (z[a] - z[b]) + high * (z[c] - z[b]);
            bend.abs() <= 4.0 * f64::EPSILON * magnitude * (low + high)
        })
    }
}

/// P = DxᵀDx + DyᵀDy over a table stored row by row.
#[derive(Clone, Debug)]
pub(super) struct Penalty {
    pub(super) speed: Curvature,
    pub(super) load: Curvature,
}

impl Penalty {
    pub(super) fn new(speed: &Axis, load: &Axis) -> Self {
        Self { speed: Curvature::new(speed), load: Curvature::new(load) }
    }

    /// How many columns the table has.
    pub(super) const fn columns(&self) -> usize {
        self.speed.count
    }

    /// How many rows the table has.
    pub(super) const fn rows(&self) -> usize {
        self.load.count
    }

    /// P z.
    pub(super) fn apply(&self, z: &[f64]) -> Vec<f64> {
        let mut out = vec![0.0; z.len()];
        for row in 0..self.rows() {
            self.speed.accumulate(z, &mut out, row * self.columns(), 1);
        }
        for column in 0..self.columns() {
            self.load.accumulate(z, &mut out, column, self.columns());
        }
        out
    }

    /// The entry of P between two places in the table's values.
    pub(super) fn entry(&self, a: usize, b: usize) -> f64 {
        let columns = self.columns();
        let ((row_a, column_a), (row_b, column_b)) = ((a / columns, a % columns), (b / columns, b % columns));
        let along_speed = if row_a == row_b { self.speed.gram(column_a, column_b) } else { 0.0 };
        let along_load = if column_a == column_b { self.load.gram(row_a, row_b) } else { 0.0 };
        along_speed + along_load
    }

    /// Whether every row and column is straight but for rounding.
    pub(super) fn is_plane(&self, z: &[f64]) -> bool {
        let magnitude = z.iter().fold(0.0, |most: f64, z| most.max(z.abs()));
        let columns = self.columns();
        (0..self.rows()).all(|row| self.speed.is_straight(z, row * columns, 1, magnitude))
            && (0..columns).all(|column| self.load.is_straight(z, column, columns, magnitude))
    }
}
