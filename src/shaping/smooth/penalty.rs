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

    /// Adds DᵀD z to `out` along one row.
    fn accumulate_along(&self, z: &[f64], out: &mut [f64]) {
        // What a point still gets from the two differences before the one at hand.
        let (mut own, mut next) = (0.0, 0.0);
        for ((&[low, high], three), slot) in self.outer.iter().zip(z.windows(3)).zip(&mut *out) {
            let bend = low * (three[0] - three[1]) + high * (three[2] - three[1]);
            *slot += own + low * bend;
            (own, next) = (next - (low + high) * bend, high * bend);
        }
        for (slot, rest) in out.iter_mut().skip(self.outer.len()).zip([own, next]) {
            *slot += rest;
        }
    }

    /// Adds DᵀD z to `out` across the rows of `width` values, all columns side by side.
    fn accumulate_across(&self, z: &[f64], out: &mut [f64], width: usize) {
        for (k, &[low, high]) in self.outer.iter().enumerate() {
            let three = k * width..(k + 3) * width;
            let (first, rest) = z[three.clone()].split_at(width);
            let (second, third) = rest.split_at(width);
            let (out_first, rest) = out[three].split_at_mut(width);
            let (out_second, out_third) = rest.split_at_mut(width);
            let from = first.iter().zip(second).zip(third);
            let to = out_first.iter_mut().zip(out_second).zip(out_third);
            for (((a, b), c), ((to_a, to_b), to_c)) in from.zip(to) {
                let bend = low * (a - b) + high * (c - b);
                *to_a += low * bend;
                *to_b -= (low + high) * bend;
                *to_c += high * bend;
            }
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
        let columns = self.columns();
        for (row, out) in z.chunks_exact(columns).zip(out.chunks_exact_mut(columns)) {
            self.speed.accumulate_along(row, out);
        }
        self.load.accumulate_across(z, &mut out, columns);
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
