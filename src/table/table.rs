//! Values over axes: a table over speed and load, and a curve over one axis.

use std::sync::Arc;

use serde::{Deserialize, Serialize};
use thiserror::Error;

use super::{Axis, AxisError, Block, Cell, Lookup, blend};

/// One finite value per (load row, speed column), row by row from the lowest load. Cloning shares the values.
#[derive(Clone, Debug, PartialEq)]
pub struct Table {
    speed: Axis,
    load: Axis,
    values: Arc<[f64]>,
}

/// Why axes and values do not make a table.
#[derive(Clone, Debug, PartialEq, Error)]
pub enum TableError {
    /// The number of values is not rows × columns.
    #[error("{count} values for {loads} load rows × {speeds} speed columns")]
    Count {
        /// How many values were given.
        count: usize,
        /// How many load breakpoints there are.
        loads: usize,
        /// How many speed breakpoints there are.
        speeds: usize,
    },
    /// A value is NaN or infinite.
    #[error("the value in load row {row}, speed column {column} is not a finite number", row = .cell.load + 1, column = .cell.speed + 1)]
    NotFinite {
        /// Which cell.
        cell: Cell,
    },
}

impl Table {
    /// Makes a table from its axes and `load.len() × speed.len()` values, row by row.
    ///
    /// # Errors
    /// [`TableError`] when the count does not fit or a value is not finite.
    pub fn new(speed: Axis, load: Axis, values: Vec<f64>) -> Result<Self, TableError> {
        if values.len() != speed.len() * load.len() {
            return Err(TableError::Count { count: values.len(), loads: load.len(), speeds: speed.len() });
        }
        if let Some(at) = values.iter().position(|z| !z.is_finite()) {
            return Err(TableError::NotFinite { cell: Cell::new(at / speed.len(), at % speed.len()) });
        }
        Ok(Self { speed, load, values: values.into_iter().map(|z| z + 0.0).collect() })
    }

    /// A table whose cells are `value(speed, load)` at every pair of breakpoints.
    ///
    /// # Errors
    /// [`TableError::NotFinite`] when the function gives NaN or an infinity.
    pub fn from_fn(speed: Axis, load: Axis, value: impl Fn(f64, f64) -> f64) -> Result<Self, TableError> {
        let cells = load.breakpoints().iter().flat_map(|&y| speed.breakpoints().iter().map(move |&x| (x, y)));
        let values = cells.map(|(x, y)| value(x, y)).collect();
        Self::new(speed, load, values)
    }

    /// A table over the same axes with other values.
    ///
    /// # Errors
    /// [`TableError`] as from [`Table::new`].
    pub fn with_values(&self, values: Vec<f64>) -> Result<Self, TableError> {
        Self::new(self.speed.clone(), self.load.clone(), values)
    }

    /// The speed axis (columns).
    pub fn speed(&self) -> &Axis {
        &self.speed
    }

    /// The load axis (rows).
    pub fn load(&self) -> &Axis {
        &self.load
    }

    /// All values, row by row.
    pub fn values(&self) -> &[f64] {
        &self.values
    }

    /// The values of one load row, lowest speed first. `load` is an index below `self.load().len()`.
    pub fn row(&self, load: usize) -> &[f64] {
        let columns = self.speed.len();
        &self.values[load * columns..(load + 1) * columns]
    }

    /// The values of one speed column, lowest load first. `speed` is an index below `self.speed().len()`.
    pub fn column(&self, speed: usize) -> impl Iterator<Item = f64> + '_ {
        self.values[speed..].iter().step_by(self.speed.len()).copied()
    }

    /// The value of a cell; the cell lies within the table.
    pub fn at(&self, cell: Cell) -> f64 {
        self.values[self.index(cell)]
    }

    /// Where a cell's value stands in [`Table::values`].
    pub fn index(&self, cell: Cell) -> usize {
        cell.load * self.speed.len() + cell.speed
    }

    /// The whole table as a block of cells.
    pub fn block(&self) -> Block {
        Block { loads: 0..self.load.len(), speeds: 0..self.speed.len() }
    }

    /// Every cell, row by row.
    pub fn cells(&self) -> impl Iterator<Item = Cell> + use<> {
        self.block().cells()
    }

    /// The smallest and the largest value.
    pub fn extremes(&self) -> (f64, f64) {
        self.values.iter().fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), &z| (low.min(z), high.max(z)))
    }

    /// The bilinear value at a speed and a load, both clamped to the axes. At a pair of breakpoints it is the cell.
    ///
    /// Formula: linear along speed in the two surrounding rows, then linear along load, in axis units. For many
    /// points prepare a [`Lookup`].
    ///
    /// ```
    /// use sparkloft::table::{Axis, Table};
    ///
    /// let (speed, load) = (Axis::new(vec![1000.0, 2000.0])?, Axis::new(vec![20.0, 100.0])?);
    /// let table = Table::new(speed, load, vec![10.0, 20.0, 8.0, 18.0])?;
    /// assert_eq!(table.lookup(1500.0, 60.0), 14.0);
    /// assert_eq!(table.lookup(9000.0, 200.0), 18.0);
    /// # Ok::<(), Box<dyn std::error::Error>>(())
    /// ```
    pub fn lookup(&self, speed: f64, load: f64) -> f64 {
        Lookup::once(self, speed, load)
    }
}

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

    #[test]
    fn refuses_wrong_counts_and_numbers() {
        let axis = || Axis::new(vec![0.0, 1.0]).unwrap();
        assert!(matches!(Table::new(axis(), axis(), vec![0.0; 3]), Err(TableError::Count { count: 3, .. })));
        let infinite = Table::new(axis(), axis(), vec![0.0, 0.0, 0.0, f64::INFINITY]);
        assert_eq!(infinite.unwrap_err(), TableError::NotFinite { cell: Cell::new(1, 1) });
    }

    #[test]
    fn rows_are_loads_and_columns_are_speeds() {
        let speed = Axis::new(vec![0.0, 1.0, 2.0]).unwrap();
        let load = Axis::new(vec![0.0, 10.0]).unwrap();
        let table = Table::from_fn(speed, load, |x, y| x + y).unwrap();
        assert_eq!(table.row(1), [10.0, 11.0, 12.0]);
        assert_eq!(table.column(2).collect::<Vec<_>>(), [2.0, 12.0]);
        assert_eq!(table.at(Cell::new(1, 0)), 10.0);
        assert_eq!(table.extremes(), (0.0, 12.0));
    }

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
