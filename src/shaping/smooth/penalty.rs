//! How bent a surface is: second divided differences along both axes.

use crate::table::Axis;

/// The second difference of three values, from its outer coefficients.
pub(in crate::shaping) const fn second_difference((low, high): (f64, f64), [a, b, c]: [f64; 3]) -> f64 {
    low * (a - b) + high * (c - b)
}

/// How bent a line over an axis is at each breakpoint: the second divided difference of its values, in degrees, the axis
/// being scaled to unit mean spacing; so on an even axis `a − 2b + c`. Below zero at a hump, zero at both ends, which
/// have no difference. Fairing minimises the sum of the squares of just these.
///
/// Domain: as many values as the axis has breakpoints; it gives none otherwise.
pub fn bends(axis: &Axis, degs: &[f64]) -> Vec<f64> {
    if degs.len() != axis.len() {
        return Vec::new();
    }
    let curvature = Curvature::new(axis);
    let inner = curvature
        .differences()
        .zip(degs.windows(3))
        .map(|(sides, three)| second_difference(sides, [three[0], three[1], three[2]]));
    let mut bends = vec![0.0; degs.len()];
    bends.iter_mut().skip(1).zip(inner).for_each(|(slot, bend)| *slot = bend);
    bends
}

/// The second divided differences along one axis that is scaled to unit mean spacing.
///
/// Difference k belongs to breakpoints k, k + 1, k + 2 with spacings h1, h2; its outer coefficients are
/// 2/(h1(h1 + h2)) and 2/(h2(h1 + h2)), the middle one, −2/(h1·h2), is minus their sum. A two-point axis has none.
#[derive(Clone, Debug)]
pub(super) struct Curvature {
    /// The outer coefficients, with [`PAD`] zeros before the first and after the last.
    low: Vec<f64>,
    high: Vec<f64>,
    count: usize,
}

/// The outer coefficients of a second difference over two neighbouring spacings, given in axis units; `scale` makes the
/// mean spacing 1.
pub(in crate::shaping) fn outer_coefficients(before: f64, after: f64, scale: f64) -> (f64, f64) {
    let (h1, h2) = (before * scale, after * scale);
    (2.0 / (h1 * (h1 + h2)), 2.0 / (h2 * (h1 + h2)))
}

/// What makes the mean spacing of an axis 1.
#[expect(clippy::cast_precision_loss, reason = "at most 64 breakpoints")]
pub(in crate::shaping) fn spacing_scale(axis: &Axis) -> f64 {
    (axis.len() - 1) as f64 / axis.span()
}

/// Zeros around the differences, so that every point takes part in three.
const PAD: usize = 2;

impl Curvature {
    fn new(axis: &Axis) -> Self {
        let scale = spacing_scale(axis);
        let [mut low, mut high] = [(); 2].map(|()| vec![0.0; axis.len() + PAD]);
        let places = low[PAD..].iter_mut().zip(&mut high[PAD..]);
        for (three, (low, high)) in axis.breakpoints().windows(3).zip(places) {
            (*low, *high) = outer_coefficients(three[1] - three[0], three[2] - three[1], scale);
        }
        Self { low, high, count: axis.len() }
    }

    /// The outer coefficients of each difference.
    fn differences(&self) -> impl Iterator<Item = (f64, f64)> + '_ {
        self.low.iter().copied().zip(self.high.iter().copied()).skip(PAD).take(self.count - 2)
    }

    /// The entry (i, j) of DᵀD; zero where the indices are more than two apart.
    pub(super) fn gram(&self, i: usize, j: usize) -> f64 {
        if i.abs_diff(j) > 2 {
            return 0.0;
        }
        (i.max(j)..=i.min(j) + 2).map(|padded| self.coefficient(padded, i) * self.coefficient(padded, j)).sum()
    }

    /// The coefficient of point i in difference `padded` − [`PAD`].
    fn coefficient(&self, padded: usize, i: usize) -> f64 {
        let (low, high) = (self.low[padded], self.high[padded]);
        [high, -(low + high), low][padded - i]
    }

    /// Adds DᵀD z to `out` along one row; `bends` is [`PAD`] longer than the row and is zero at both ends.
    ///
    /// All differences first, then all points: so that the compiler can vectorise both.
    fn accumulate_along(&self, z: &[f64], out: &mut [f64], bends: &mut [f64]) {
        let n = self.count;
        let (first, second, third) = (&z[..n - 2], &z[1..n - 1], &z[2..n]);
        let (low, high) = (&self.low[PAD..n], &self.high[PAD..n]);
        for (k, slot) in bends[PAD..n].iter_mut().enumerate() {
            *slot = second_difference((low[k], high[k]), [first[k], second[k], third[k]]);
        }
        let (before, beside, own) = (&bends[..n], &bends[1..=n], &bends[2..n + 2]);
        let (own_low, beside_low) = (&self.low[2..n + 2], &self.low[1..=n]);
        let (before_high, beside_high) = (&self.high[..n], &self.high[1..=n]);
        for (i, slot) in out[..n].iter_mut().enumerate() {
            let sides = before_high[i] * before[i] + own_low[i] * own[i];
            *slot += sides - (beside_low[i] + beside_high[i]) * beside[i];
        }
    }

    /// Adds DᵀD z to `out` across the rows of `width` values, all columns at once.
    fn accumulate_across(&self, z: &[f64], out: &mut [f64], width: usize) {
        for (k, (low, high)) in self.differences().enumerate() {
            let three = k * width..(k + 3) * width;
            let (first, rest) = z[three.clone()].split_at(width);
            let (second, third) = rest.split_at(width);
            let (out_first, rest) = out[three].split_at_mut(width);
            let (out_second, out_third) = rest.split_at_mut(width);
            let from = first.iter().zip(second).zip(third);
            let to = out_first.iter_mut().zip(out_second).zip(out_third);
            for (((a, b), c), ((to_a, to_b), to_c)) in from.zip(to) {
                let bend = second_difference((low, high), [*a, *b, *c]);
                *to_a += low * bend;
                *to_b -= (low + high) * bend;
                *to_c += high * bend;
            }
        }
    }

    /// Whether the line is straight up to the rounding error of values no larger than `magnitude`.
    fn is_straight(&self, z: &[f64], start: usize, stride: usize, magnitude: f64) -> bool {
        self.differences().enumerate().all(|(k, (low, high))| {
            let at = start + k * stride;
            let [a, b, c] = [at, at + stride, at + 2 * stride];
            let bend = second_difference((low, high), [z[a], z[b], z[c]]);
            bend.abs() <= 4.0 * f64::EPSILON * magnitude * (low + high)
        })
    }
}

/// P = DxᵀDx + DyᵀDy over a table stored row by row.
#[derive(Clone, Debug)]
pub(in crate::shaping) struct Penalty {
    pub(super) speed: Curvature,
    pub(super) load: Curvature,
}

impl Penalty {
    pub(in crate::shaping) fn new(speed: &Axis, load: &Axis) -> Self {
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
    pub(in crate::shaping) fn apply(&self, z: &[f64]) -> Vec<f64> {
        let mut out = vec![0.0; z.len()];
        let columns = self.columns();
        let mut bends = vec![0.0; columns + PAD];
        for (row, out) in z.chunks_exact(columns).zip(out.chunks_exact_mut(columns)) {
            self.speed.accumulate_along(row, out, &mut bends);
        }
        self.load.accumulate_across(z, &mut out, columns);
        out
    }

    /// The entry of P for two indices into the table's values.
    pub(in crate::shaping) fn entry(&self, a: usize, b: usize) -> f64 {
        let columns = self.columns();
        let ((row_a, column_a), (row_b, column_b)) = ((a / columns, a % columns), (b / columns, b % columns));
        let along_speed = if row_a == row_b { self.speed.gram(column_a, column_b) } else { 0.0 };
        let along_load = if column_a == column_b { self.load.gram(row_a, row_b) } else { 0.0 };
        along_speed + along_load
    }

    /// The cell itself and those up to two away in its row or column, as indices into the table's values: where its row
    /// of P has entries.
    pub(in crate::shaping) fn coupled(&self, at: usize) -> impl Iterator<Item = usize> + use<> {
        let (rows, columns) = (self.rows(), self.columns());
        let (row, column) = (at / columns, at % columns);
        let in_row = (column.saturating_sub(2)..columns.min(column + 3)).map(move |other| row * columns + other);
        let in_column = (row.saturating_sub(2)..rows.min(row + 3)).filter(move |&other| other != row);
        in_row.chain(in_column.map(move |other| other * columns + column))
    }

    /// Whether every row and column is straight up to rounding error.
    pub(in crate::shaping) fn is_plane(&self, z: &[f64]) -> bool {
        let magnitude = z.iter().fold(0.0, |most: f64, z| most.max(z.abs()));
        let columns = self.columns();
        (0..self.rows()).all(|row| self.speed.is_straight(z, row * columns, 1, magnitude))
            && (0..columns).all(|column| self.load.is_straight(z, column, columns, magnitude))
    }
}
