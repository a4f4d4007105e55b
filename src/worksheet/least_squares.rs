//! Linear least squares with intervals, for a handful of columns.

use statrs::distribution::{ContinuousCDF, StudentsT};

/// Both tails together.
const CONFIDENCE: f64 = 0.95;
/// Columns whose cosine is below this are at right angles.
const RIGHT_ANGLE: f64 = 1e-15;
/// Three columns settle within ten sweeps.
const MOST_SWEEPS: usize = 60;

/// The singular values of a matrix given by its columns, with the rotations that bring them out.
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

    /// Turns every pair of columns to a right angle once; says whether any was not.
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

/// The coefficients that come closest, and how sure they are.
#[derive(Clone, Debug)]
pub(super) struct Fit {
    /// One for each column.
    pub(super) coefficients: Vec<f64>,
    /// The largest over the smallest singular value of the columns; infinite where they depend on each other.
    pub(super) condition: f64,
    /// The standard deviation of the residuals; `None` where as many coefficients as readings leave none.
    pub(super) deviation: Option<f64>,
    /// The standard error of each coefficient for residuals of deviation 1.
    unit_errors: Vec<f64>,
    freedom: usize,
}

impl Fit {
    /// Fits `values` by the columns, all of one length.
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
        let residual_squares: f64 = (0..values.len()).map(|at| residual(at) * residual(at)).sum();
        let freedom = values.len().saturating_sub(columns.len());
        #[expect(clippy::cast_precision_loss, reason = "a handful of readings")]
        let deviation = (freedom > 0).then(|| (residual_squares / freedom as f64).sqrt());
        Self { coefficients, condition, deviation, unit_errors: squares.iter().map(|s| s.sqrt()).collect(), freedom }
    }

    /// Half the width of a coefficient's 95 % interval by Student's t; `None` where no residuals are left.
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
