//! An axis: the breakpoints of a table or curve in one direction.

use std::ops::RangeInclusive;
use std::sync::Arc;

use crate::wording::written;
use serde::{Deserialize, Serialize};
use thiserror::Error;

/// The fewest breakpoints an axis can have.
pub const MIN_BREAKPOINTS: usize = 2;
/// The most breakpoints an axis can have.
pub const MAX_BREAKPOINTS: usize = 64;

/// Neighbours closer than this share of the axis range are refused: on such an axis smoothing and slopes mean
/// nothing, and no control unit stores breakpoints so close together.
const CLOSEST_SHARE: f64 = 0.001;

/// Breakpoints in axis units: 2 to 64 finite numbers, strictly increasing, neighbours at least 0.1 % of the range
/// apart.
///
/// Cloning shares the breakpoints.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(try_from = "Vec<f64>", into = "Vec<f64>")]
pub struct Axis(Arc<[f64]>);

/// Why a list of breakpoints does not make an axis.
#[derive(Clone, Debug, PartialEq, Error)]
pub enum AxisError {
    /// Fewer than two or more than sixty-four breakpoints.
    #[error("{count} breakpoints; an axis has {MIN_BREAKPOINTS} to {MAX_BREAKPOINTS}")]
    Count {
        /// How many were given.
        count: usize,
    },
    /// A breakpoint is NaN or infinite.
    #[error("breakpoint {place} is not a finite number")]
    NotFinite {
        /// Which, counted from 1.
        place: usize,
    },
    /// A breakpoint is not above the one before it.
    #[error("breakpoint {place} ({after}) is not above the one before it ({before})", before = written(*.before), after = written(*.after))]
    NotIncreasing {
        /// Which, counted from 1.
        place: usize,
        /// The breakpoint before it.
        before: f64,
        /// The breakpoint itself.
        after: f64,
    },
    /// Two neighbours are closer than 0.1 % of the axis range.
    #[error("breakpoints {before} and {after} are closer than 0.1 % of the axis range", before = written(*.before), after = written(*.after))]
    TooClose {
        /// Which, counted from 1.
        place: usize,
        /// The lower of the two.
        before: f64,
        /// The upper of the two.
        after: f64,
    },
    /// There is no breakpoint at that index.
    #[error("there is no breakpoint {place}; the axis has {count}")]
    NoSuch {
        /// Which, counted from 1.
        place: usize,
        /// How many there are.
        count: usize,
    },
}

impl AxisError {
    /// The index, from 0, of the breakpoint at fault, if the error is about one.
    pub fn index(&self) -> Option<usize> {
        match self {
            Self::Count { .. } => None,
            Self::NotFinite { place }
            | Self::NotIncreasing { place, .. }
            | Self::TooClose { place, .. }
            | Self::NoSuch { place, .. } => Some(place.saturating_sub(1)),
        }
    }
}

/// Where a coordinate falls on an axis: between breakpoints `index` and `index + 1`, `fraction` of the way.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Position {
    /// The breakpoint below; at most the last but one.
    pub index: usize,
    /// 0 at the breakpoint below, 1 at the one above.
    pub fraction: f64,
}

impl Axis {
    /// Checks the breakpoints and makes an axis of them.
    ///
    /// ```
    /// use sparkloft::table::Axis;
    ///
    /// let speeds = Axis::new(vec![800.0, 1500.0, 3000.0])?;
    /// assert_eq!((speeds.first(), speeds.last()), (800.0, 3000.0));
    /// assert!(Axis::new(vec![1500.0, 800.0]).is_err());
    /// # Ok::<(), Box<dyn std::error::Error>>(())
    /// ```
    ///
    /// # Errors
    /// [`AxisError`] naming the first breakpoint that breaks a rule.
    pub fn new(breakpoints: Vec<f64>) -> Result<Self, AxisError> {
        let count = breakpoints.len();
        if !(MIN_BREAKPOINTS..=MAX_BREAKPOINTS).contains(&count) {
            return Err(AxisError::Count { count });
        }
        if let Some(index) = breakpoints.iter().position(|x| !x.is_finite()) {
            return Err(AxisError::NotFinite { place: index + 1 });
        }
        for (index, pair) in breakpoints.windows(2).enumerate() {
            if pair[1] <= pair[0] {
                return Err(AxisError::NotIncreasing { place: index + 2, before: pair[0], after: pair[1] });
            }
        }
        let closest = (breakpoints[count - 1] - breakpoints[0]) * CLOSEST_SHARE;
        for (index, pair) in breakpoints.windows(2).enumerate() {
            if pair[1] - pair[0] < closest {
                return Err(AxisError::TooClose { place: index + 2, before: pair[0], after: pair[1] });
            }
        }
        Ok(Self(breakpoints.into_iter().map(|x| x + 0.0).collect()))
    }

    /// The breakpoints, ascending.
    pub fn breakpoints(&self) -> &[f64] {
        &self.0
    }

    /// How many breakpoints there are.
    #[expect(clippy::len_without_is_empty, reason = "an axis is never empty")]
    pub fn len(&self) -> usize {
        self.0.len()
    }

    /// The lowest breakpoint.
    pub fn first(&self) -> f64 {
        self.0[0]
    }

    /// The highest breakpoint.
    pub fn last(&self) -> f64 {
        self.0[self.0.len() - 1]
    }

    /// From the lowest to the highest breakpoint.
    pub fn span(&self) -> f64 {
        self.last() - self.first()
    }

    /// Where `x` falls; beyond the ends it is clamped to them. NaN gives a NaN fraction.
    pub fn locate(&self, x: f64) -> Position {
        let x = x.clamp(self.first(), self.last());
        let above = self.0.partition_point(|&breakpoint| breakpoint <= x);
        let index = above.saturating_sub(1).min(self.len() - 2);
        Position { index, fraction: self.fraction(index, x) }
    }

    /// How far `x` is between breakpoints `index` and `index + 1`.
    #[inline]
    pub(super) fn fraction(&self, index: usize, x: f64) -> f64 {
        let (low, high) = (self.0[index], self.0[index + 1]);
        (x - low) / (high - low)
    }

    /// The index of the breakpoint equal to `x`, if there is one.
    pub fn index_of(&self, x: f64) -> Option<usize> {
        self.0.iter().position(|&breakpoint| breakpoint == x)
    }

    /// The index of the breakpoint nearest to `x`; of two equally near, the lower.
    pub fn nearest(&self, x: f64) -> usize {
        let Position { index, fraction } = self.locate(x);
        if fraction > 0.5 { index + 1 } else { index }
    }

    /// The indices of the breakpoints from `low` to `high`, both inclusive; `None` when there are none.
    pub fn within(&self, low: f64, high: f64) -> Option<RangeInclusive<usize>> {
        let start = self.0.partition_point(|&x| x < low);
        let end = self.0.partition_point(|&x| x <= high);
        (start < end).then(|| start..=end - 1)
    }

    /// This axis with one breakpoint more.
    ///
    /// # Errors
    /// [`AxisError`] when it is full, or the new breakpoint meets or crowds another.
    pub fn with_inserted(&self, x: f64) -> Result<Self, AxisError> {
        let mut breakpoints = self.0.to_vec();
        breakpoints.insert(breakpoints.partition_point(|&breakpoint| breakpoint < x), x);
        Self::new(breakpoints)
    }

    /// This axis without the breakpoint at `index`.
    ///
    /// # Errors
    /// [`AxisError`] when there is no such breakpoint, or only two are left.
    pub fn without(&self, index: usize) -> Result<Self, AxisError> {
        let mut breakpoints = self.existing(index)?;
        breakpoints.remove(index);
        Self::new(breakpoints)
    }

    /// This axis with the breakpoint at `index` moved to `x`; it stays between its neighbours.
    ///
    /// # Errors
    /// [`AxisError`] when there is no such breakpoint, or it would meet, pass or crowd a neighbour.
    pub fn with_moved(&self, index: usize, x: f64) -> Result<Self, AxisError> {
        let mut breakpoints = self.existing(index)?;
        breakpoints[index] = x;
        Self::new(breakpoints)
    }

    fn existing(&self, index: usize) -> Result<Vec<f64>, AxisError> {
        if index >= self.len() {
            return Err(AxisError::NoSuch { place: index + 1, count: self.len() });
        }
        Ok(self.0.to_vec())
    }

    /// The first pair of neighbours closer than this share of the range: allowed, but worth a warning before
    /// smoothing.
    pub fn crowded(&self, share: f64) -> Option<(f64, f64)> {
        let closest = self.span() * share;
        self.0.windows(2).find(|pair| pair[1] - pair[0] < closest).map(|pair| (pair[0], pair[1]))
    }

    /// Every breakpoint of either axis, ascending, each once. May hold more than an axis can.
    pub fn union(&self, other: &Self) -> Vec<f64> {
        let mut all: Vec<f64> = self.0.iter().chain(other.0.iter()).copied().collect();
        all.sort_by(f64::total_cmp);
        all.dedup();
        all
    }
}

impl TryFrom<Vec<f64>> for Axis {
    type Error = AxisError;

    fn try_from(breakpoints: Vec<f64>) -> Result<Self, AxisError> {
        Self::new(breakpoints)
    }
}

impl From<Axis> for Vec<f64> {
    fn from(axis: Axis) -> Self {
        axis.0.to_vec()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn axis() -> Axis {
        Axis::new(vec![800.0, 1500.0, 2500.0, 4000.0]).unwrap()
    }

    #[test]
    fn refuses_what_is_no_axis() {
        let error = |list: &[f64]| Axis::new(list.to_vec()).unwrap_err();
        assert_eq!(error(&[1.0]), AxisError::Count { count: 1 });
        assert_eq!(error(&[1.0; 65]), AxisError::Count { count: 65 });
        assert_eq!(error(&[1.0, f64::NAN]), AxisError::NotFinite { place: 2 });
        assert!(matches!(error(&[1.0, 3.0, 3.0]), AxisError::NotIncreasing { place: 3, .. }));
        assert!(matches!(error(&[0.0, 0.5, 1000.0]), AxisError::TooClose { place: 2, .. }));
    }

    #[test]
    fn locates_inside_at_and_beyond_breakpoints() {
        let at = |x| axis().locate(x);
        assert_eq!(at(800.0), Position { index: 0, fraction: 0.0 });
        assert_eq!(at(2500.0), Position { index: 2, fraction: 0.0 });
        assert_eq!(at(2000.0), Position { index: 1, fraction: 0.5 });
        assert_eq!(at(4000.0), Position { index: 2, fraction: 1.0 });
        assert_eq!(at(-5.0), at(800.0));
        assert_eq!(at(9000.0), at(4000.0));
    }

    #[test]
    fn finds_ranges_inclusively() {
        assert_eq!(axis().within(1500.0, 2500.0), Some(1..=2));
        assert_eq!(axis().within(0.0, 900.0), Some(0..=0));
        assert_eq!(axis().within(1600.0, 2400.0), None);
        assert_eq!(axis().within(2500.0, 1500.0), None);
    }

    #[test]
    fn inserts_moves_and_removes() {
        assert_eq!(axis().with_inserted(2000.0).unwrap().index_of(2000.0), Some(2));
        assert!(axis().with_inserted(2500.0).is_err());
        assert!(axis().with_moved(1, 2600.0).is_err());
        assert_eq!(axis().without(0).unwrap().first(), 1500.0);
        assert!(axis().without(9).is_err());
        assert!(Axis::new(vec![0.0, 1.0]).unwrap().without(0).is_err());
    }

    #[test]
    fn warns_of_crowded_neighbours() {
        assert_eq!(axis().crowded(0.01), None);
        assert_eq!(Axis::new(vec![0.0, 5.0, 1000.0]).unwrap().crowded(0.01), Some((0.0, 5.0)));
        assert_eq!(Axis::new(vec![0.0, 5.0, 1000.0]).unwrap().crowded(0.005), None);
    }
}
