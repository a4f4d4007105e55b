//! A curve: one value per breakpoint.

use std::sync::Arc;

use serde::{Deserialize, Serialize};
use thiserror::Error;

use super::{Axis, AxisError, blend};

/// 2 to 64 points over an axis, linear between them and flat beyond the ends. Cloning shares the points.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(try_from = "CurveForm", into = "CurveForm")]
pub struct Curve {
    axis: Axis,
    values: Arc<[f64]>,
}

/// Why breakpoints and values do not make a curve.
#[derive(Clone, Debug, PartialEq, Error)]
pub enum CurveError {
    /// The breakpoints do not make an axis.
    #[error(transparent)]
    Axis(#[from] AxisError),
    /// The number of values is not the number of breakpoints.
    #[error("{values} values for {breakpoints} breakpoints")]
    Count {
        /// How many values were given.
        values: usize,
        /// How many breakpoints there are.
        breakpoints: usize,
    },
    /// A value is NaN or infinite.
    #[error("value {place} is not a finite number")]
    NotFinite {
        /// Which, counted from 1.
        place: usize,
    },
}

impl Curve {
    /// Makes a curve from its breakpoints and as many values.
    ///
    /// # Errors
    /// [`CurveError`] naming the first rule broken.
    pub fn new(breakpoints: Vec<f64>, values: Vec<f64>) -> Result<Self, CurveError> {
        let axis = Axis::new(breakpoints)?;
        if values.len() != axis.len() {
            return Err(CurveError::Count { values: values.len(), breakpoints: axis.len() });
        }
        if let Some(at) = values.iter().position(|y| !y.is_finite()) {
            return Err(CurveError::NotFinite { place: at + 1 });
        }
        Ok(Self { axis, values: values.into_iter().map(|y| y + 0.0).collect() })
    }

    /// A curve with one value everywhere, over the same breakpoints.
    #[must_use]
    pub fn level(&self, value: i8) -> Self {
        Self { axis: self.axis.clone(), values: vec![f64::from(value); self.values.len()].into() }
    }

    /// A curve of points (breakpoint, value).
    ///
    /// # Errors
    /// [`CurveError`] as from [`Curve::new`].
    pub fn from_points(points: &[(f64, f64)]) -> Result<Self, CurveError> {
        let (breakpoints, values) = points.iter().copied().unzip();
        Self::new(breakpoints, values)
    }

    /// The breakpoints.
    pub fn axis(&self) -> &Axis {
        &self.axis
    }

    /// The values, one per breakpoint.
    pub fn values(&self) -> &[f64] {
        &self.values
    }

    /// The points (breakpoint, value), ascending.
    pub fn points(&self) -> impl Iterator<Item = (f64, f64)> + '_ {
        self.axis.breakpoints().iter().copied().zip(self.values.iter().copied())
    }

    /// The linear value at `x`, clamped to the ends; at a breakpoint it is the point's value.
    ///
    /// ```
    /// use sparkloft::table::Curve;
    ///
    /// let cold_deg = Curve::from_points(&[(0.0, 6.0), (80.0, 0.0)])?;
    /// assert_eq!([-20.0, 40.0, 95.0].map(|coolant_c| cold_deg.lookup(coolant_c)), [6.0, 3.0, 0.0]);
    /// # Ok::<(), Box<dyn std::error::Error>>(())
    /// ```
    pub fn lookup(&self, x: f64) -> f64 {
        let at = self.axis.locate(x);
        blend(self.values[at.index], self.values[at.index + 1], at.fraction)
    }
}

/// The file form of a curve: two lists of equal length.
#[derive(Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct CurveForm {
    at: Vec<f64>,
    value: Vec<f64>,
}

impl TryFrom<CurveForm> for Curve {
    type Error = CurveError;

    fn try_from(form: CurveForm) -> Result<Self, CurveError> {
        Self::new(form.at, form.value)
    }
}

impl From<Curve> for CurveForm {
    fn from(curve: Curve) -> Self {
        Self { at: curve.axis.breakpoints().to_vec(), value: curve.values.to_vec() }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A centrifugal advance curve over rpm, in crank degrees: within common practice, no source. With 6° of
    /// initial advance, the totals at 1300 and 2500 rpm are computed by hand from the neighbouring points.
    #[test]
    fn interpolates_a_centrifugal_curve() {
        let points = [
            (500.0, 0.0),
            (1000.0, 2.0),
            (1600.0, 9.0),
            (2000.0, 14.0),
            (3000.0, 21.0),
            (4000.0, 28.0),
            (4600.0, 32.0),
        ];
        let curve = Curve::from_points(&points).unwrap();
        assert_eq!(curve.lookup(1300.0) + 6.0, 11.5);
        assert_eq!(curve.lookup(2500.0) + 6.0, 23.5);
        assert_eq!(curve.lookup(100.0), 0.0);
        assert_eq!(curve.lookup(9000.0), 32.0);
    }

    #[test]
    fn refuses_what_is_no_curve() {
        assert!(matches!(Curve::new(vec![0.0, 1.0], vec![0.0]), Err(CurveError::Count { .. })));
        assert!(matches!(Curve::new(vec![1.0, 0.0], vec![0.0, 0.0]), Err(CurveError::Axis(_))));
        assert!(matches!(Curve::new(vec![0.0, 1.0], vec![0.0, f64::NAN]), Err(CurveError::NotFinite { place: 2 })));
    }
}
