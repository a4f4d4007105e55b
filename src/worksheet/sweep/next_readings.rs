//! Which advances to read next at an operating point.

use super::curve::NoCurve;
use super::operating_point::SweepPoint;
use super::{DegInterval, SweepLimits};

/// Nobody is sent further beyond what was read than this at a time, in degrees. Common practice, no source.
const MOST_BEYOND_DEG: f64 = 6.0;
/// Steps to read on by where nothing else tells, in degrees.
const ON_DEG: f64 = 3.0;
/// What was read this close by tells enough, in degrees.
const READ_DEG: f64 = 1.0;

/// Advances in whole degrees that would tell more: two widths of the flat side below best torque, best torque, and a
/// little more than one above; never above what was heard to be clean, and nothing where best torque is known.
pub(super) fn propose(point: &SweepPoint, limits: &SweepLimits) -> Vec<f64> {
    let Some((low_deg, high_deg)) = point.read_deg() else { return Vec::new() };
    let is_known = |best: &DegInterval| best.width_deg().is_some_and(|width| width <= 2.0 * limits.half_width_deg);
    let wanted: Vec<f64> = match (&point.curve, point.no_curve) {
        (Some(curve), _) => {
            let is_inside = (low_deg..=high_deg).contains(&curve.best_deg);
            if is_known(&curve.best) && is_inside && !point.has_few() {
                return Vec::new();
            }
            let width_deg = curve.flat_low_deg.map_or(ON_DEG, |flat_low_deg| curve.best_deg - flat_low_deg);
            [-2.0, 0.0, 1.2].map(|widths| curve.best_deg + widths * width_deg).into()
        }
        (None, Some(NoCurve::NoTop { rises: true })) => vec![high_deg + ON_DEG, high_deg + 2.0 * ON_DEG],
        (None, Some(NoCurve::NoTop { rises: false })) => vec![low_deg - 2.0 * ON_DEG, low_deg - ON_DEG],
        _ => vec![low_deg - ON_DEG, 0.5 * (low_deg + high_deg), high_deg + ON_DEG],
    };
    let most_deg = if point.knock.from_deg.is_some() { point.knock.clean_to_deg } else { None };
    let (least_deg, most_deg) = (low_deg - MOST_BEYOND_DEG, most_deg.unwrap_or(high_deg + MOST_BEYOND_DEG));
    let is_unheard_of = point.knock.from_deg.is_some() && point.knock.clean_to_deg.is_none();
    let mut whole: Vec<f64> = wanted
        .into_iter()
        .map(|deg| deg.max(least_deg).round())
        .map(|deg| deg.min(most_deg.floor()))
        .filter(|deg| !is_unheard_of || *deg < low_deg)
        .collect();
    whole.dedup();
    let is_new = |deg: &f64| point.readings.iter().all(|reading| (reading.advance_deg - deg).abs() > READ_DEG);
    let new: Vec<f64> = whole.iter().copied().filter(is_new).collect();
    // Where knock is the limit and was found, nothing more is wanted.
    if new.is_empty() && !point.is_limited_by_knock() { whole } else { new }
}
