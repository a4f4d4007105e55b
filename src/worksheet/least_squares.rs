//! Linear least squares with confidence intervals, for a few columns.

use statrs::distribution::{ContinuousCDF, StudentsT};

/// Confidence of the intervals, two-sided.
const CONFIDENCE: f64 = 0.95;
/// Columns whose cosine is below this count as orthogonal.
const RIGHT_ANGLE: f64 = 1e-15;
/// Three columns converge within ten sweeps.
const MOST_SWEEPS: usize = 60;

/// The singular values of a matrix given by its columns, with the rotations that produce them.
///
/// One-sided Jacobi rotations (Hestenes, "Inversion of matrices by biorthogonalization and related results", J. SIAM 6,
/// 1958, from memory): accurate also where the columns differ much in size.
struct Rotated {
    columns: Vec<Vec<f64>>,
    rotations: Vec<Vec<f64>>,
}

impl Rotated {
    fn new(columns: &[Vec<f64>]) -> Self {
        let count = columns.len();
        let unit = |at: usize| (0..count).map(|other| f64::from(u8::from(other == at))).collect();
        let mut rotated = Self { columns: columns.to_vec(), rotations: (0..count).map(unit).collect() };
        for _ in 0..MOST_SWEEPS {
            if !rotated.sweep() {
                break;
            }
        }
        rotated
    }

    /// Makes every pair of columns orthogonal once; returns whether any was not.
    fn sweep(&mut self) -> bool {
        let mut turned = false;
        for second in 1..self.columns.len() {
            for first in 0..second {
                let (a, b) = (&self.columns[first], &self.columns[second]);
                let (aa, bb, ab) = (dot(a, a), dot(b, b), dot(a, b));
                if ab.abs() <= RIGHT_ANGLE * (aa * bb).sqrt() {
                    continue;
                }
                turned = true;
                let half = (bb - aa) / (2.0 * ab);
                let tangent = half.signum() / (half.abs() + half.hypot(1.0));
                turn(&mut self.columns, first, second, tangent);
                turn(&mut self.rotations, first, second, tangent);
            }
        }
        turned
    }

    fn singular_values(&self) -> Vec<f64> {
        self.columns.iter().map(|column| dot(column, column).sqrt()).collect()
    }
}

fn turn(columns: &mut [Vec<f64>], first: usize, second: usize, tangent: f64) {
    let cosine = 1.0 / tangent.hypot(1.0);
    let sine = cosine * tangent;
    let (before, from_second) = columns.split_at_mut(second);
    for (a, b) in before[first].iter_mut().zip(&mut from_second[0]) {
        (*a, *b) = (cosine * *a - sine * *b, sine * *a + cosine * *b);
    }
}

fn dot(a: &[f64], b: &[f64]) -> f64 {
    a.iter().zip(b).map(|(a, b)| a * b).sum()
}

/// The best coefficients, and how certain they are.
#[derive(Clone, Debug)]
pub(super) struct Fit {
    /// One for each column.
    pub(super) coefficients: Vec<f64>,
    /// The ratio of the largest to the smallest singular value of the columns; infinite if they are linearly
    /// dependent.
    pub(super) condition: f64,
    /// The standard deviation of the residuals; `None` if there are no more readings than coefficients.
    pub(super) deviation: Option<f64>,
    /// The standard error of each coefficient for residuals of deviation 1.
    unit_errors: Vec<f64>,
    /// Each direction in which the coefficients are told, and the square of how much the columns tell of it.
    directions: Vec<(Vec<f64>, f64)>,
    /// Value minus fit, for each row.
    residuals: Vec<f64>,
    /// The leverage of each row, 0 to 1: the diagonal of X(XᵀX)⁻¹Xᵀ.
    leverages: Vec<f64>,
    residual_squares: f64,
    freedom: usize,
}

/// A row that disagrees with all the others.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Outlier {
    /// Which row, from 0.
    pub(super) row: usize,
    /// How far it lies off the fit of the others.
    pub(super) off: f64,
    /// Its externally studentised residual; infinite where the others agree exactly.
    pub(super) studentised: f64,
}

impl Fit {
    /// Fits `values` by the columns, all of the same length.
    pub(super) fn new(columns: &[Vec<f64>], values: &[f64]) -> Self {
        let rotated = Rotated::new(columns);
        let singular = rotated.singular_values();
        let (least, most) =
            singular.iter().fold((f64::INFINITY, 0.0_f64), |(low, high), s| (low.min(*s), high.max(*s)));
        let condition = if least > 0.0 { most / least } else { f64::INFINITY };
        let mut coefficients = vec![0.0; columns.len()];
        let mut squares = vec![0.0; columns.len()];
        for ((column, rotation), s) in rotated.columns.iter().zip(&rotated.rotations).zip(&singular) {
            if *s == 0.0 {
                continue;
            }
            let norm = dot(column, column);
            let along = dot(column, values) / norm;
            for (at, part) in rotation.iter().enumerate() {
                coefficients[at] += part * along;
                squares[at] += part * part / norm;
            }
        }
        let residual = |at: usize| {
            let fitted: f64 = columns.iter().zip(&coefficients).map(|(column, x)| column[at] * x).sum();
            values[at] - fitted
        };
        let residuals: Vec<f64> = (0..values.len()).map(residual).collect();
        let residual_squares: f64 = residuals.iter().map(|residual| residual * residual).sum();
        let norms: Vec<f64> = rotated.columns.iter().map(|column| dot(column, column)).collect();
        let leverage = |at: usize| -> f64 {
            let along = rotated.columns.iter().zip(&norms).map(|(column, norm)| (column[at] * column[at], *norm));
            along.filter(|(_, norm)| *norm > 0.0).map(|(part, norm)| part / norm).sum()
        };
        let leverages = (0..values.len()).map(leverage).collect();
        let freedom = values.len().saturating_sub(columns.len());
        #[expect(clippy::cast_precision_loss, reason = "a handful of readings")]
        let deviation = (freedom > 0).then(|| (residual_squares / freedom as f64).sqrt());
        let unit_errors = squares.iter().map(|s| s.sqrt()).collect();
        let directions = rotated.rotations.iter().cloned().zip(norms).collect();
        Self {
            coefficients,
            condition,
            deviation,
            unit_errors,
            directions,
            residuals,
            leverages,
            residual_squares,
            freedom,
        }
    }

    /// The standard error of what the fit gives for a row of the columns, for residuals of deviation 1; infinite where
    /// the columns do not tell.
    pub(super) fn unit_error_of(&self, row: &[f64]) -> f64 {
        let part = |(direction, norm): &(Vec<f64>, f64)| match dot(direction, row) {
            0.0 => 0.0,
            along => along.powi(2) / norm,
        };
        self.directions.iter().map(part).sum::<f64>().sqrt()
    }

    /// The standard error of a coefficient; `None` if there are no more readings than coefficients.
    pub(super) fn standard_error(&self, coefficient: usize) -> Option<f64> {
        Some(self.deviation? * self.unit_errors.get(coefficient)?)
    }

    /// The externally studentised residual of each row, t = e/(s₍ᵢ₎·√(1 − h)), where h is its leverage and s₍ᵢ₎ the
    /// deviation of the fit without it: s₍ᵢ₎² = (Σe² − e²/(1 − h))/(n − p − 1). (D. A. Belsley, E. Kuh and
    /// R. E. Welsch, "Regression Diagnostics", Wiley, 1980, from memory.) `None` where a row alone determines a
    /// coefficient, or where the fit without it has no degree of freedom left.
    fn studentised(&self, row: usize) -> Option<Outlier> {
        let (residual, left) = (*self.residuals.get(row)?, 1.0 - *self.leverages.get(row)?);
        if self.freedom < 2 || left < 1e-9 {
            return None;
        }
        let squares = self.residual_squares;
        #[expect(clippy::cast_precision_loss, reason = "a handful of readings")]
        let variance = (squares - residual * residual / left) / (self.freedom - 1) as f64;
        // A remainder this small is rounding error of the subtraction.
        let variance = if variance <= 1e-12 * squares { 0.0 } else { variance };
        let studentised =
            if variance > 0.0 { residual / (variance * left).sqrt() } else { residual.signum() * f64::INFINITY };
        Some(Outlier { row, off: residual / left, studentised })
    }

    /// The row that disagrees most with the others, if it is off by at least `least` and by so much that chance
    /// would do it to any of as many rows only once in twenty times.
    pub(super) fn outlier(&self, least: f64) -> Option<Outlier> {
        let worst = self.worst(least)?;
        (worst.studentised.abs() > self.outlier_limit(1.0 - CONFIDENCE)?).then_some(worst)
    }

    /// The row that disagrees most with the others, of those that are off by at least `least`.
    pub(super) fn worst(&self, least: f64) -> Option<Outlier> {
        let all = (0..self.residuals.len()).filter_map(|row| self.studentised(row));
        let far = all.filter(|outlier| outlier.off.abs() >= least);
        far.max_by(|a, b| a.studentised.abs().total_cmp(&b.studentised.abs()))
    }

    /// The studentised residual beyond which chance brings any of all rows only with this probability: Bonferroni's
    /// inequality, two-sided.
    pub(super) fn outlier_limit(&self, probability: f64) -> Option<f64> {
        #[expect(clippy::cast_precision_loss, reason = "a hundred thousand readings at most")]
        let (rows, freedom) = (self.residuals.len() as f64, self.freedom.saturating_sub(1) as f64);
        let student = StudentsT::new(0.0, 1.0, freedom).ok()?;
        Some(student.inverse_cdf(1.0 - probability / (2.0 * rows)))
    }

    /// Half the width of a coefficient's 95 % interval by Student's t; `None` if there are no more readings than
    /// coefficients.
    pub(super) fn half_width(&self, coefficient: usize) -> Option<f64> {
        let deviation = self.deviation?;
        #[expect(clippy::cast_precision_loss, reason = "a handful of readings")]
        let student = StudentsT::new(0.0, 1.0, self.freedom as f64).ok()?;
        let factor = student.inverse_cdf(0.5 + CONFIDENCE / 2.0);
        self.unit_errors.get(coefficient).map(|error| factor * deviation * error)
    }
}

#[cfg(test)]
mod tests {
    use approx::assert_relative_eq;

    use super::*;

    /// Computed with NumPy (`linalg.lstsq`, `linalg.cond`) and SciPy (`stats.t.ppf`).
    #[test]
    fn agrees_with_figures_computed_elsewhere() {
        let speeds = vec![1000.0, 2000.0, 3000.0, 4000.0, 5000.0];
        let columns = [vec![1.0; 5], speeds];
        let fit = Fit::new(&columns, &[2.5, 2.0, 1.5, 0.5, 0.0]);
        assert_relative_eq!(fit.coefficients[0], 3.25, max_relative = 1e-12);
        assert_relative_eq!(fit.coefficients[1], -6.5e-4, max_relative = 1e-12);
        assert_relative_eq!(fit.half_width(0).unwrap(), 0.527_749_015_5, max_relative = 1e-9);
        assert_relative_eq!(fit.condition, 7778.18, max_relative = 1e-6);
    }

    /// t(4, 0.975): NIST/SEMATECH, "e-Handbook of Statistical Methods", 1.3.6.7.2, National Institute of Standards and
    /// Technology, 2012, prints 2.776; the further digits computed with SciPy.
    #[test]
    fn the_interval_uses_students_t() {
        let fit = Fit::new(&[vec![1.0; 5]], &[1.0, 2.0, 3.0, 4.0, 5.0]);
        assert_relative_eq!(fit.half_width(0).unwrap(), 2.776_445_1 * (2.5_f64 / 5.0).sqrt(), max_relative = 1e-7);
    }

    /// Each row's distance from the fit of all the others, divided by the standard error of that prediction:
    /// the same quantity computed in another way, with Python's fractions.
    #[test]
    fn the_row_that_lies_off_is_found() {
        let speeds = vec![1000.0, 2000.0, 3000.0, 4000.0, 5000.0, 1500.0, 2500.0];
        let fit = Fit::new(&[vec![1.0; 7], speeds], &[4.0, 3.4, 2.8, 5.9, 1.6, 3.6, 3.1]);
        let elsewhere = [
            (0.305_882_352_941, 0.152_755_891_179),
            (-0.272_794_117_647, -0.157_334_706_370),
            (-0.742_253_521_127, -0.446_842_341_764),
            (3.701_666_666_667, 73.283_968_307_450),
            (-3.457_142_857_143, -2.034_020_153_617),
            (-0.160_408_163_265, -0.087_617_580_177),
            (-0.5, -0.297_516_241_959),
        ];
        for (row, (off, studentised)) in elsewhere.into_iter().enumerate() {
            let found = fit.studentised(row).unwrap();
            assert_relative_eq!(found.off, off, max_relative = 1e-9);
            assert_relative_eq!(found.studentised, studentised, max_relative = 1e-9);
        }
        assert_eq!(fit.outlier(1.0).map(|outlier| outlier.row), Some(3));
        assert_eq!(fit.outlier(4.0), None);
    }

    #[test]
    fn rows_that_agree_exactly_but_for_one_show_it_and_noise_shows_none() {
        let fit = |values: &[f64]| Fit::new(&[vec![1.0; values.len()]], values);
        let found = fit(&[4.0, 4.0, 10.0, 4.0, 4.0]).outlier(1.0).unwrap();
        assert_eq!((found.row, found.studentised), (2, f64::INFINITY));
        assert_relative_eq!(found.off, 6.0, max_relative = 1e-12);
        assert_eq!(fit(&[4.0; 6]).outlier(0.5), None);
        assert_eq!(fit(&[4.0, 4.5, 3.5, 4.0, 5.0, 3.0]).outlier(0.5), None);
        // Of two rows, neither is known to be the wrong one.
        assert_eq!(fit(&[4.0, 10.0]).outlier(1.0), None);
    }

    #[test]
    fn dependent_columns_show_in_the_condition() {
        let speeds: Vec<f64> = (1..6).map(|i| f64::from(i) * 1000.0).collect();
        let advances: Vec<f64> = speeds.iter().map(|speed| 5.0 + speed / 200.0).collect();
        let fit = Fit::new(&[vec![1.0; 5], speeds.clone(), advances], &[1.0, 2.0, 3.0, 4.0, 5.0]);
        assert!(fit.condition > 1e12, "{}", fit.condition);
        assert_eq!(Fit::new(&[vec![0.0; 5], speeds], &[1.0; 5]).condition, f64::INFINITY);
        assert!(Fit::new(&[vec![1.0; 2], vec![1.0, 2.0]], &[1.0, 2.0]).half_width(0).is_none());
    }
}
