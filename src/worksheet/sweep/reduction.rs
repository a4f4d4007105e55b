//! Readings reduced to a few numbers, from which the best curve for any place of the top follows at once.
//!
//! With the place θ* of the top fixed, T(θ) = h − k·q(θ* − θ) + g·τ is linear in h, k and g, and q is a cubic in θ.
//! The columns τ, 1, u, u², u³ (u the advance, centred and scaled) are therefore made orthogonal once; after that,
//! every θ* costs a handful of multiplications however many readings there are.

use super::shape::Shape;

/// τ, 1, u, u², u³.
const COLUMNS: usize = 5;
/// A column of which less than this share is new counts as made up of those before it.
const LEAST_NEW: f64 = 1e-10;

/// One reading as the fit needs it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Sample {
    pub(super) advance_deg: f64,
    /// Torque, or what stands for it.
    pub(super) torque: f64,
    /// How much it counts; 1 for all where nothing is known.
    pub(super) weight: f64,
    /// When it was taken: −½ to ½ of the sweep, about.
    pub(super) moment: f64,
}

/// The readings of one fit, reduced.
#[derive(Clone, Debug)]
pub(super) struct Reduction {
    mean_deg: f64,
    scale_deg: f64,
    /// The orthogonal parts of each column, as a triangle.
    parts: [[f64; COLUMNS]; COLUMNS],
    /// Those of the torques.
    torque: [f64; COLUMNS],
    /// The squares that no curve of this kind takes away.
    rest: f64,
    pub(super) readings: usize,
    pub(super) has_drift: bool,
}

/// The best curve with its top at one place.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct AtTop {
    /// The sum of squared residuals.
    pub(super) squares: f64,
    /// h, the torque at the top.
    pub(super) top: f64,
    /// k, the bend; it must be positive.
    pub(super) bend: f64,
    /// g, the torque gained from the first reading to the last.
    pub(super) drift: f64,
}

impl Reduction {
    /// Reduces readings, `with_drift` if torque may drift over the sweep.
    pub(super) fn new(samples: &[Sample], with_drift: bool) -> Self {
        #[expect(clippy::cast_precision_loss, reason = "a hundred thousand readings at most")]
        let count = samples.len().max(1) as f64;
        let mean_deg = samples.iter().map(|sample| sample.advance_deg).sum::<f64>() / count;
        let variance = samples.iter().map(|sample| (sample.advance_deg - mean_deg).powi(2)).sum::<f64>() / count;
        let scale_deg = if variance > 0.0 { variance.sqrt() } else { 1.0 };
        let column = |power: Option<i32>| -> Vec<f64> {
            let value = |sample: &Sample| match power {
                Some(power) => ((sample.advance_deg - mean_deg) / scale_deg).powi(power),
                None => {
                    if with_drift {
                        sample.moment
                    } else {
                        0.0
                    }
                }
            };
            samples.iter().map(|sample| sample.weight.sqrt() * value(sample)).collect()
        };
        let mut basis = Orthogonal::default();
        let parts = [None, Some(0), Some(1), Some(2), Some(3)].map(|power| basis.add(column(power)));
        let mut torques: Vec<f64> = samples.iter().map(|sample| sample.weight.sqrt() * sample.torque).collect();
        let torque = basis.take_out(&mut torques);
        let rest = torques.iter().map(|left| left * left).sum();
        Self { mean_deg, scale_deg, parts, torque, rest, readings: samples.len(), has_drift: with_drift }
    }

    /// The orthogonal parts of a cubic a + b·d + c·d² + e·d³ in d = θ − `at_deg`.
    fn cubic(&self, at_deg: f64, [a, b, c, e]: [f64; 4]) -> [f64; COLUMNS] {
        // d = scale·u − away.
        let (scale, away) = (self.scale_deg, at_deg - self.mean_deg);
        let powers = [
            0.0,
            a - away * (b - away * (c - away * e)),
            scale * (b - away * (2.0 * c - 3.0 * away * e)),
            scale * scale * (c - 3.0 * away * e),
            scale.powi(3) * e,
        ];
        let part = |at: usize| self.parts.iter().zip(powers).map(|(column, power)| column[at] * power).sum();
        std::array::from_fn(part)
    }

    /// q(θ* − θ) with θ* at `top_deg`.
    fn losses(&self, shape: Shape, top_deg: f64) -> [f64; COLUMNS] {
        self.cubic(top_deg, [0.0, 0.0, 1.0, shape.skew])
    }

    /// The best curve with its top at `top_deg`.
    pub(super) fn at_top(&self, shape: Shape, top_deg: f64) -> AtTop {
        let losses = self.losses(shape, top_deg);
        let own = squares_of(&losses[2..]);
        let bend = if own > 0.0 { -product(&losses[2..], &self.torque[2..]) / own } else { 0.0 };
        let left = |at: usize| self.torque[at] + bend * losses[at];
        let squares = self.rest + (2..COLUMNS).map(|at| left(at).powi(2)).sum::<f64>();
        let divided = |value: f64, by: f64| if by == 0.0 { 0.0 } else { value / by };
        let [drifts, ones, ..] = &self.parts;
        let top = divided(left(1), ones[1]);
        let drift = divided(left(0) - top * ones[0], drifts[0]);
        AtTop { squares, top, bend, drift }
    }

    /// How the squares of [`Self::at_top`] change as the top moves on by a degree.
    pub(super) fn slope_at(&self, shape: Shape, top_deg: f64) -> f64 {
        let bend = self.at_top(shape, top_deg).bend;
        let losses = self.losses(shape, top_deg);
        // d/dθ* of d² + s·d³ with d = θ − θ*.
        let slopes = self.cubic(top_deg, [0.0, -2.0, -3.0 * shape.skew, 0.0]);
        2.0 * bend * (2..COLUMNS).map(|at| (self.torque[at] + bend * losses[at]) * slopes[at]).sum::<f64>()
    }

    /// The squares of a straight line without slope: as if advance did nothing.
    pub(super) fn flat_squares(&self) -> f64 {
        self.rest + squares_of(&self.torque[2..])
    }

    /// The smallest and largest h/k among all curves with their top at `top_deg` and squares up to `most`. The largest
    /// is `None` where k may be 0. Both are the roots of (h − r·k)² = e·var(h − r·k), Fieller's set for a ratio (E. C.
    /// Fieller, "Some problems in interval estimation", J. R. Stat. Soc. B 16, 1954), where e is what the squares may
    /// still grow by.
    pub(super) fn ratios(&self, shape: Shape, top_deg: f64, most: f64) -> Option<[Option<f64>; 2]> {
        let AtTop { squares, top, bend, .. } = self.at_top(shape, top_deg);
        let losses = self.losses(shape, top_deg);
        let (own, ones) = (squares_of(&losses[2..]), self.parts[1][1]);
        let spare = most - squares;
        if spare < 0.0 || bend <= 0.0 || own <= 0.0 || ones == 0.0 {
            return None;
        }
        let bends = 1.0 / own;
        let both = losses[1] / ones * bends;
        let tops = 1.0 / (ones * ones) + (losses[1] / ones).powi(2) * bends;
        let [a, half, c] = [bend * bend - spare * bends, top * bend - spare * both, top * top - spare * tops];
        let root = (half * half - a * c).max(0.0).sqrt();
        let far = half + root.copysign(half);
        if a <= 0.0 {
            return Some([Some(c / far), None]);
        }
        let (one, other) = (far / a, c / far);
        Some([Some(one.min(other)), Some(one.max(other))])
    }

    /// Best torque by a parabola and its interval: the set of all θ for which b + 2aθ = 0 is not refused, closed form
    /// after Fieller (as in [`Self::ratios`]); `student` is the quantile of Student's t. `None` if no parabola has a
    /// top here; no interval where it would not be bounded.
    pub(super) fn parabola(&self, student: f64, freedom: f64) -> Option<(f64, Option<[f64; 2]>)> {
        let ([_, _, first, second, _], torque) = (&self.parts, &self.torque);
        if first[2] == 0.0 || second[3] == 0.0 {
            return None;
        }
        let a = torque[3] / second[3];
        let b = (torque[2] - a * second[2]) / first[2];
        if a >= 0.0 {
            return None;
        }
        let aa = 1.0 / second[3].powi(2);
        let ab = -second[2] / first[2] * aa;
        let bb = 1.0 / first[2].powi(2) + (second[2] / first[2]).powi(2) * aa;
        let spare = student * student * (self.rest + torque[4].powi(2)) / freedom;
        let [square, linear, constant] = [4.0 * (a * a - spare * aa), 4.0 * (a * b - spare * ab), b * b - spare * bb];
        let advance = |u: f64| self.mean_deg + self.scale_deg * u;
        let best_deg = advance(-b / (2.0 * a));
        if square <= 0.0 {
            return Some((best_deg, None));
        }
        let root = (linear * linear - 4.0 * square * constant).max(0.0).sqrt();
        let far = -0.5 * (linear + root.copysign(linear));
        let ends = [far / square, if far == 0.0 { 0.0 } else { constant / far }].map(advance);
        Some((best_deg, Some([ends[0].min(ends[1]), ends[0].max(ends[1])])))
    }
}

fn product(a: &[f64], b: &[f64]) -> f64 {
    a.iter().zip(b).map(|(a, b)| a * b).sum()
}

fn squares_of(a: &[f64]) -> f64 {
    product(a, a)
}

/// Orthonormal columns, by Gram and Schmidt with every projection taken twice.
#[derive(Default)]
struct Orthogonal {
    columns: Vec<Vec<f64>>,
}

impl Orthogonal {
    /// The parts of a column along those before it and along what is new in it, which becomes the next.
    fn add(&mut self, mut column: Vec<f64>) -> [f64; COLUMNS] {
        let before = squares_of(&column).sqrt();
        let mut parts = self.take_out(&mut column);
        let norm = squares_of(&column).sqrt();
        let is_new = norm > LEAST_NEW * before;
        if let Some(part) = parts.get_mut(self.columns.len()).filter(|_| is_new) {
            *part = norm;
        }
        column.iter_mut().for_each(|value| *value = if is_new { *value / norm } else { 0.0 });
        self.columns.push(column);
        parts
    }

    /// Takes the parts along all columns out of a column, and returns them.
    fn take_out(&self, column: &mut [f64]) -> [f64; COLUMNS] {
        let mut parts = [0.0; COLUMNS];
        for _ in 0..2 {
            for (part, unit) in parts.iter_mut().zip(&self.columns) {
                let along = product(unit, column);
                *part += along;
                column.iter_mut().zip(unit).for_each(|(value, unit)| *value -= along * unit);
            }
        }
        parts
    }
}
