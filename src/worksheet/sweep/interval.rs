//! Intervals at 95 %: every value with which the squares stay within the limit.
//!
//! The delta method would be shorter, but it always gives two ends; readings that do not tell where the top is must
//! be able to say so.

use super::curve::{DegInterval, SCAN_STEP_DEG};
use super::reduction::Reduction;
use super::shape::{FLAT_LOSS, Shape, bisect, least_between};

/// Places of the top between two ends at which the flat top's lower end is computed first.
const PLACES: u32 = 24;

/// Every place of the top, going out from the best, at which some curve has squares up to `most`; where k > 0 has no
/// such curve any more, it ends too. With the parabola this is Fieller's set.
pub(super) fn of_top(
    reduction: &Reduction,
    shape: Shape,
    best_deg: f64,
    most: f64,
    (low_deg, high_deg): (f64, f64),
) -> DegInterval {
    let fits = |deg: f64| {
        let at = reduction.at_top(shape, deg);
        at.bend > 0.0 && at.squares <= most
    };
    let end = |limit_deg: f64| -> Option<f64> {
        let step = SCAN_STEP_DEG.copysign(limit_deg - best_deg);
        let mut inner = best_deg;
        loop {
            let outer = inner + step;
            if (outer - limit_deg) * step > 0.0 {
                return None;
            }
            if !fits(outer) {
                return Some(bisect(inner, outer, fits));
            }
            inner = outer;
        }
    };
    DegInterval { low_deg: end(low_deg), high_deg: end(high_deg) }
}

/// Every place of the flat top's lower end on some curve with squares up to `most`.
///
/// With the top at θ*, that end lies at θ* − d, where d grows with the ratio h/k alone. So the lowest is the least of
/// θ* − d(greatest ratio) over all places of the top, and the highest the greatest of θ* − d(least ratio).
pub(super) fn of_flat_low(
    reduction: &Reduction,
    shape: Shape,
    tops: DegInterval,
    most: f64,
    reach: (f64, f64),
) -> DegInterval {
    let lowest = |top_deg: f64| -> Option<f64> {
        let [_, greatest] = reduction.ratios(shape, top_deg, most)?;
        Some(top_deg - shape.retard_at(FLAT_LOSS * greatest?)?)
    };
    let highest = |top_deg: f64| -> Option<f64> {
        let [least, _] = reduction.ratios(shape, top_deg, most)?;
        Some(top_deg - shape.retard_at(FLAT_LOSS * least?)?)
    };
    let between = |at: u32, (low, high): (f64, f64)| low + (high - low) * f64::from(at) / f64::from(PLACES);
    // Where k may be 0 the flat top reaches down without end; just there the ratio has no greatest value.
    let is_open = |top_deg: f64| reduction.ratios(shape, top_deg, most).is_some_and(|[_, greatest]| greatest.is_none());
    let low_deg = tops.low_deg.and_then(|low_deg| {
        let range = (low_deg, tops.high_deg.unwrap_or(reach.1));
        let inner = 1..PLACES;
        if inner.clone().any(|at| is_open(between(at, range))) {
            return None;
        }
        let value = |deg: f64| lowest(deg).unwrap_or(f64::INFINITY);
        let near = inner.min_by(|a, b| value(between(*a, range)).total_cmp(&value(between(*b, range))))?;
        lowest(least_between(between(near - 1, range), between(near + 1, range), value))
    });
    let high_deg = tops.high_deg.and_then(|high_deg| {
        let range = (tops.low_deg.unwrap_or(reach.0), high_deg);
        let value = |deg: f64| highest(deg).map_or(f64::INFINITY, |highest| -highest);
        let near = (1..PLACES).min_by(|a, b| value(between(*a, range)).total_cmp(&value(between(*b, range))))?;
        highest(least_between(between(near - 1, range), between(near + 1, range), value))
    });
    DegInterval { low_deg, high_deg }
}
