//! What there is to say about an operating point: which verdicts hold.

use super::curve::NoCurve;
use super::operating_point::{PointReading, ReadingUse, SweepPoint};
use super::pulls::Taken;
use super::{SweepLimits, SweepSetting, SweepVerdict};
use crate::worksheet::{Gravity, Verdict};

/// Torque should fall by this share of the top towards one end of the sweep …
const FALLS_ONCE: f64 = 0.02;
/// … and by this towards the other.
const FALLS_BOTH: f64 = 0.005;
/// A drift of this share of the top is what is told when no advance was read twice.
const DRIFT_SHARE: f64 = 0.01;

/// Everything there is to say about a point, the most serious first.
pub(super) fn conclude(point: &SweepPoint, taken: &[&Taken], setting: &SweepSetting) -> Vec<SweepVerdict> {
    let limits = &setting.limits;
    let mut verdicts = Vec::new();
    let is_limited = point.is_limited_by_knock();
    let advances = point.advances();
    if point.has_few() {
        verdicts.push(SweepVerdict::TooFew { advances, next_deg: point.next_deg.clone() });
    }
    if let (Some(NoCurve::NoTop { rises }), false) = (point.no_curve, is_limited) {
        verdicts.push(SweepVerdict::NoTop { rises });
    }
    verdicts.extend(of_curve(point, is_limited, limits));
    verdicts.extend(of_knock(point, is_limited));
    verdicts.extend(apart(point, taken, setting));
    verdicts.extend(of_conditions(point, taken, limits));
    verdicts.extend(of_other(point));
    let known = known(point, limits);
    let is_settled = !is_limited
        && verdicts.iter().all(|verdict| {
            verdict.gravity() != Gravity::Obstacle && !matches!(verdict, SweepVerdict::NotBracketed { .. })
        });
    verdicts.extend(known.filter(|_| is_settled));
    verdicts.sort_by_key(|verdict| std::cmp::Reverse(verdict.gravity()));
    verdicts
}

/// What the curve says of itself.
fn of_curve(point: &SweepPoint, is_limited: bool, limits: &SweepLimits) -> Vec<SweepVerdict> {
    let (Some(curve), Some((low_deg, high_deg))) = (&point.curve, point.read_deg()) else { return Vec::new() };
    let mut verdicts = Vec::new();
    let best = curve.best;
    let is_open = best.low_deg.is_none() || best.high_deg.is_none() && !is_limited;
    if is_open {
        verdicts.push(SweepVerdict::Unbounded { best });
    }
    let falls = [low_deg, high_deg].map(|end_deg| curve.loss_at(end_deg));
    let is_narrow = falls.iter().all(|share| *share < FALLS_ONCE) || falls.iter().any(|share| *share < FALLS_BOTH);
    if curve.best_deg > high_deg && !is_limited {
        verdicts.push(SweepVerdict::NotBracketed { last_deg: high_deg, is_below: false });
    } else if curve.best_deg < low_deg {
        verdicts.push(SweepVerdict::NotBracketed { last_deg: low_deg, is_below: true });
    } else if is_narrow && !is_limited && !is_open {
        verdicts.push(SweepVerdict::Narrow { falls });
    } else if !is_open && !is_limited && known(point, limits).is_none() {
        verdicts.push(SweepVerdict::Wide { best });
    }
    let scatter_pct = 100.0 * curve.scatter / curve.top;
    verdicts.extend((scatter_pct > limits.scatter_pct).then_some(SweepVerdict::Scatters { scatter_pct }));
    let drift_pct = 100.0 * curve.drift.unwrap_or(0.0) / curve.top;
    verdicts.extend((drift_pct.abs() > limits.drift_pct).then_some(SweepVerdict::Drift { drift_pct }));
    if let Some(parabola) = &point.parabola {
        let (curve_deg, parabola_deg) = (curve.best_deg, parabola.best_deg);
        let is_apart = (curve_deg - parabola_deg).abs() > limits.curves_deg && !is_open && !is_limited;
        verdicts.extend(is_apart.then_some(SweepVerdict::CurvesDisagree { curve_deg, parabola_deg }));
    }
    if curve.drift.is_none() && high_deg > low_deg {
        let moves_deg = DRIFT_SHARE * curve.top / (2.0 * curve.bend * (high_deg - low_deg));
        verdicts.push(SweepVerdict::NoRepeat { moves_deg });
    }
    verdicts
}

fn of_knock(point: &SweepPoint, is_limited: bool) -> Vec<SweepVerdict> {
    let knock = &point.knock;
    if !knock.is_heard {
        return vec![SweepVerdict::NotListened];
    }
    let Some(from_deg) = knock.from_deg else { return heard_up_to(point).into_iter().collect() };
    let mut verdicts = Vec::new();
    if is_limited {
        let best_deg = point.curve.as_ref().map(|curve| curve.best_deg);
        verdicts.push(SweepVerdict::KnockFirst { from_deg, best_deg, has_clean: knock.clean_to_deg.is_some() });
    }
    verdicts.extend(knock.out_of_order_deg.map(|clean_deg| SweepVerdict::KnockOrder { from_deg, clean_deg }));
    verdicts
}

/// How far it was heard to be clean, where nothing knocked and greater advances were read.
fn heard_up_to(point: &SweepPoint) -> Option<SweepVerdict> {
    let (heard_deg, (_, read_deg)) = (point.knock.clean_to_deg?, point.read_deg()?);
    (heard_deg < read_deg).then_some(SweepVerdict::HeardUpTo { heard_deg })
}

/// Readings of one name that lie further from their middle than readings of one point do; without a name none can.
fn apart(point: &SweepPoint, taken: &[&Taken], setting: &SweepSetting) -> Option<SweepVerdict> {
    point.name.as_ref()?;
    let used = || taken.iter().map(|taken| &taken.reading).filter(|reading| reading.is_used());
    let beyond = |ends: Option<(f64, f64)>, middle: f64, most: f64| {
        ends.filter(|(low, high)| middle - low > most + 1e-9 || high - middle > most + 1e-9)
    };
    let most_rpm = setting.limits.speed_tolerance_rpm(point.speed_rpm);
    let speeds_rpm = beyond(ends(used().map(|reading| reading.speed_rpm)), point.speed_rpm, most_rpm);
    let loads = beyond(ends(used().map(|reading| reading.load)), point.load, setting.limits.load);
    let is_apart = speeds_rpm.is_some() || loads.is_some();
    is_apart.then_some(SweepVerdict::Apart { speeds_rpm, loads, load_unit: setting.load_unit() })
}

/// The least and the greatest of some values.
fn ends(values: impl Iterator<Item = f64>) -> Option<(f64, f64)> {
    values.map(|value| (value, value)).reduce(|(low, high), (value, _)| (low.min(value), high.max(value)))
}

/// What changed that should have stayed, among the readings that count.
fn of_conditions(point: &SweepPoint, taken: &[&Taken], limits: &SweepLimits) -> Vec<SweepVerdict> {
    let counts = |reading: &PointReading| matches!(reading.usage, ReadingUse::Used | ReadingUse::Doubtful);
    let used =
        || taken.iter().zip(&point.readings).filter(|(_, reading)| counts(reading)).map(|(taken, _)| &taken.reading);
    let mut verdicts = Vec::new();
    let lambda = ends(used().filter_map(|reading| reading.lambda));
    if let Some(between) = lambda.filter(|(low, high)| high - low > limits.lambda + 1e-9) {
        verdicts.push(SweepVerdict::Lambda { between });
    }
    let coolant = ends(used().filter_map(|reading| reading.coolant_c));
    if let Some(between_c) = coolant.filter(|(low, high)| high - low > limits.coolant_k + 1e-9) {
        verdicts.push(SweepVerdict::Coolant { between_c });
    }
    if let Some((coolant_c, _)) = coolant.filter(|(low, _)| *low < limits.coolant_c) {
        verdicts.push(SweepVerdict::Cold { coolant_c });
    }
    let air = ends(used().filter_map(|reading| reading.air_c));
    if let Some(between_c) = air.filter(|(low, high)| high - low > limits.air_k + 1e-9) {
        verdicts.push(SweepVerdict::Air { between_c });
    }
    verdicts
}

fn of_other(point: &SweepPoint) -> Option<SweepVerdict> {
    let (other, curve) = (point.other?, point.curve.as_ref()?);
    let reading = point.readings.get(other.reading)?;
    let (row, of) = (reading.row, reading.of.clone());
    let (advance_deg, off_pct) = (reading.advance_deg, 100.0 * other.off / curve.top);
    if reading.usage == ReadingUse::LeftOut {
        return Some(SweepVerdict::LeftOut { row, of, advance_deg, off_pct, with_deg: other.best_deg });
    }
    Some(SweepVerdict::Doubtful { row, of, advance_deg, off_pct, without_deg: other.best_deg })
}

/// Best torque, if its interval is narrow enough.
fn known(point: &SweepPoint, limits: &SweepLimits) -> Option<SweepVerdict> {
    let curve = point.curve.as_ref()?;
    let between_deg = (curve.best.low_deg?, curve.best.high_deg?);
    let is_near = 0.5 * (between_deg.1 - between_deg.0) <= limits.half_width_deg;
    let flat_deg = curve.flat_low_deg.zip(curve.flat_high_deg);
    is_near.then_some(SweepVerdict::Known { best_deg: curve.best_deg, between_deg, flat_deg })
}
