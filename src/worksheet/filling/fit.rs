//! Finding a [`Filling`] from places where throttle and manifold pressure were both logged.

use serde::Serialize;
use thiserror::Error;

use super::model::Filling;
use crate::wording::{Unit, count, quantity};
use crate::worksheet::least_squares::Fit;

/// A settled place: speed, opening and pressure.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct FillingPair {
    /// Crank speed in rpm.
    pub speed_rpm: f64,
    /// Throttle opening in %.
    pub opening_pct: f64,
    /// Manifold pressure in kPa.
    pub pressure_kpa: f64,
}

/// Why pairs tell no filling.
#[derive(Clone, Debug, PartialEq, Error)]
pub enum FillingRefusal {
    /// Too few of them.
    #[error("{} of speed, throttle and pressure, where {LEAST_PAIRS} are needed", count(*.usable, "settled row"))]
    TooFew {
        /// How many can be used.
        usable: usize,
    },
    /// The throttle was open throughout.
    #[error(
        "the manifold is nearly at the pressure around in every row: log part throttle too, below {} of it",
        quantity(100.0 * NEARLY_OPEN, Unit::Percent)
    )]
    AlwaysOpen,
    /// The search came to no figures.
    #[error("no throttle fits these rows: see that the columns are not exchanged")]
    NoFit,
}

/// A filling that was fitted.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct FittedFilling {
    /// The figures.
    pub filling: Filling,
    /// Whether its exponent was fitted too: that takes three speeds over a range of one and a half.
    pub is_exponent_fitted: bool,
    /// The pairs that were used.
    #[serde(skip)]
    pub pairs: Vec<FillingPair>,
    /// Pairs above the pressure around, which no throttle explains.
    pub above_ambient: usize,
    /// Root of the mean squared difference of pressures, kPa.
    pub rms_kpa: f64,
    /// The largest difference, kPa.
    pub worst_kpa: f64,
}

/// So many pairs are needed.
pub(super) const LEAST_PAIRS: usize = 30;
/// A pair must lie below this ratio.
const NEARLY_OPEN: f64 = 0.8;
/// Pairs above this ratio are boost or a wrong ambient pressure.
const MOST_RATIO: f64 = 1.02;
/// Pairs below this ratio tell how large the throttle is.
const TELLS_SIZE: f64 = 0.95;
/// Differences of ratios from about here on count less than their square.
const SOFT: f64 = 0.02;
/// A plain start was seen to fall into a far minimum: these leaks are tried.
const LEAKS: [f64; 5] = [0.002, 0.005, 0.01, 0.02, 0.04];
/// The exponent needs three speeds a tenth apart, over this range.
const SPEED_RANGE: f64 = 1.5;
const MOST_STEPS: usize = 60;
const SMALL_STEP: f64 = 1e-10;

impl FittedFilling {
    /// Fits K, leak and exponent by Levenberg and Marquardt's method to ratios of pressures, differences weighed by
    /// 2(√(1 + z) − 1) with z their square over 0.02².
    ///
    /// # Errors
    /// [`FillingRefusal`] for too few or too much alike pairs.
    pub fn to(pairs: &[FillingPair], ambient_kpa: f64) -> Result<Self, FillingRefusal> {
        let usable = usable(pairs, ambient_kpa);
        if usable.len() < LEAST_PAIRS {
            return Err(FillingRefusal::TooFew { usable: usable.len() });
        }
        let above_ambient = pairs.iter().filter(|pair| pair.pressure_kpa > MOST_RATIO * ambient_kpa).count();
        Ok(Self { above_ambient, ..fit(usable, ambient_kpa)? })
    }
}

fn usable(pairs: &[FillingPair], ambient_kpa: f64) -> Vec<FillingPair> {
    let is_usable = |pair: &&FillingPair| {
        let ratio = pair.pressure_kpa / ambient_kpa;
        pair.speed_rpm > 0.0 && (0.0..=100.0).contains(&pair.opening_pct) && ratio > 0.0 && ratio <= MOST_RATIO
    };
    pairs.iter().filter(is_usable).copied().collect()
}

/// The same without asking how many there are.
pub(super) fn fit(pairs: Vec<FillingPair>, ambient_kpa: f64) -> Result<FittedFilling, FillingRefusal> {
    if pairs.iter().all(|pair| pair.pressure_kpa >= NEARLY_OPEN * ambient_kpa) {
        return Err(FillingRefusal::AlwaysOpen);
    }
    let is_exponent_fitted = tells_exponent(&pairs);
    let start = start(&pairs, ambient_kpa).ok_or(FillingRefusal::NoFit)?;
    let filling = descend(start, &pairs, is_exponent_fitted).ok_or(FillingRefusal::NoFit)?;
    let off_kpa = pairs.iter().map(|pair| off(&filling, pair).abs() * ambient_kpa);
    let worst_kpa = off_kpa.clone().fold(0.0, f64::max);
    #[expect(clippy::cast_precision_loss, reason = "far fewer than 2^52 rows")]
    let rms_kpa = (off_kpa.map(|off| off * off).sum::<f64>() / pairs.len() as f64).sqrt();
    Ok(FittedFilling { filling, is_exponent_fitted, pairs, above_ambient: 0, rms_kpa, worst_kpa })
}

/// The ratio of the model less the one that was logged.
fn off(filling: &Filling, pair: &FillingPair) -> f64 {
    filling.ratio(pair.speed_rpm, pair.opening_pct) - pair.pressure_kpa / filling.ambient_kpa
}

fn tells_exponent(pairs: &[FillingPair]) -> bool {
    let mut speeds: Vec<f64> = pairs.iter().map(|pair| pair.speed_rpm).collect();
    speeds.sort_by(f64::total_cmp);
    let (Some(slowest), Some(fastest)) = (speeds.first().copied(), speeds.last().copied()) else { return false };
    let (mut apart, mut last) = (0, 0.0);
    for speed_rpm in speeds {
        if speed_rpm > 1.1 * last {
            apart += 1;
            last = speed_rpm;
        }
    }
    apart >= 3 && fastest >= SPEED_RANGE * slowest
}

/// The leak whose K, the median of what the pairs give each, has the least median difference.
fn start(pairs: &[FillingPair], ambient_kpa: f64) -> Option<Filling> {
    let of_leak = |leak: f64| {
        let ratio = |pair: &FillingPair| pair.pressure_kpa / ambient_kpa;
        let telling = pairs.iter().filter(|pair| ratio(pair) < TELLS_SIZE);
        let sizes = telling.map(|pair| Filling::size_from(leak, pair.speed_rpm, pair.opening_pct, ratio(pair)));
        let filling = Filling { size_rpm: median(sizes.collect())?, leak, exponent: 0.0, ambient_kpa };
        let apart = median(pairs.iter().map(|pair| off(&filling, pair).abs()).collect())?;
        Some((filling, apart))
    };
    let tried = LEAKS.into_iter().filter_map(of_leak);
    tried.min_by(|(_, a), (_, b)| a.total_cmp(b)).map(|(filling, _)| filling)
}

fn median(mut values: Vec<f64>) -> Option<f64> {
    values.retain(|value| value.is_finite());
    values.sort_by(f64::total_cmp);
    values.get(values.len() / 2).copied()
}

fn objective(filling: &Filling, pairs: &[FillingPair]) -> f64 {
    let soft = |pair: &FillingPair| (1.0 + (off(filling, pair) / SOFT).powi(2)).sqrt() - 1.0;
    2.0 * SOFT * SOFT * pairs.iter().map(soft).sum::<f64>()
}

fn descend(start: Filling, pairs: &[FillingPair], with_exponent: bool) -> Option<Filling> {
    let (mut filling, mut damping) = (start, 1e-3);
    let mut best = objective(&filling, pairs);
    for _ in 0..MOST_STEPS {
        let step = step(&filling, pairs, with_exponent, damping);
        let next = moved(&filling, step);
        let found = objective(&next, pairs);
        if found.is_finite() && found <= best {
            (filling, best, damping) = (next, found, (damping / 10.0_f64).max(1e-12));
        } else {
            damping *= 10.0;
        }
        if step.iter().all(|part| part.abs() < SMALL_STEP) || damping > 1e12 {
            break;
        }
    }
    best.is_finite().then_some(filling)
}

fn moved(filling: &Filling, [size_ln, leak_ln, exponent]: [f64; 3]) -> Filling {
    Filling {
        size_rpm: filling.size_rpm * size_ln.exp(),
        leak: (filling.leak * leak_ln.exp()).clamp(1e-6, 0.9),
        exponent: filling.exponent + exponent,
        ..*filling
    }
}

/// A damped step of the figures, as ln K, ln l and e: the damping is a reading more of each figure that it stay.
fn step(filling: &Filling, pairs: &[FillingPair], with_exponent: bool, damping: f64) -> [f64; 3] {
    let figures = if with_exponent { 3 } else { 2 };
    let mut columns = vec![Vec::with_capacity(pairs.len() + figures); figures];
    let mut values = Vec::with_capacity(pairs.len() + figures);
    for pair in pairs {
        let ratio = filling.ratio(pair.speed_rpm, pair.opening_pct);
        let off = ratio - pair.pressure_kpa / filling.ambient_kpa;
        // The weight of a difference, and its root for either side.
        let weight = (1.0 + (off / SOFT).powi(2)).powf(-0.25);
        let slopes = filling.slopes(pair.speed_rpm, pair.opening_pct, ratio);
        columns.iter_mut().zip(slopes).for_each(|(column, slope)| column.push(weight * slope));
        values.push(-weight * off);
    }
    let norms: Vec<f64> = columns.iter().map(|column| column.iter().map(|x| x * x).sum::<f64>()).collect();
    for (own, norm) in norms.iter().enumerate() {
        for (at, column) in columns.iter_mut().enumerate() {
            column.push(if at == own { (damping * norm).sqrt() } else { 0.0 });
        }
        values.push(0.0);
    }
    let found = Fit::new(&columns, &values).coefficients;
    std::array::from_fn(|at| found.get(at).copied().unwrap_or(0.0))
}

#[cfg(test)]
mod tests {
    use super::super::model::STANDARD_ATMOSPHERE_KPA;
    use super::*;
    use approx::{assert_abs_diff_eq, assert_relative_eq};

    fn pairs(rows: &[(f64, f64, f64)]) -> Vec<FillingPair> {
        let pair = |&(opening_pct, speed_rpm, pressure_kpa): &(f64, f64, f64)| FillingPair {
            speed_rpm,
            opening_pct,
            pressure_kpa,
        };
        rows.iter().map(pair).collect()
    }

    /// Least squares by SciPy.
    #[test]
    fn twelve_pairs_give_what_an_independent_fit_gives() {
        let pairs = pairs(&[
            (2.0, 900.0, 50.1),
            (4.0, 1500.0, 33.5),
            (6.0, 2000.0, 29.2),
            (8.0, 1200.0, 67.5),
            (10.0, 2500.0, 33.2),
            (15.0, 3000.0, 40.3),
            (20.0, 2000.0, 80.6),
            (25.0, 4000.0, 53.8),
            (30.0, 5000.0, 52.4),
            (40.0, 3500.0, 88.4),
            (60.0, 6000.0, 86.9),
            (90.0, 4500.0, 99.2),
        ]);
        let found = fit(pairs.clone(), STANDARD_ATMOSPHERE_KPA).unwrap();
        assert_relative_eq!(found.filling.size_rpm, 29_963.0, max_relative = 1e-4);
        assert_relative_eq!(found.filling.leak, 0.012_055_2, max_relative = 1e-4);
        assert_relative_eq!(found.filling.exponent, -0.298_703, max_relative = 1e-4);
        assert_abs_diff_eq!(found.rms_kpa, 0.0263, epsilon = 1e-4);
        assert_eq!(FittedFilling::to(&pairs, STANDARD_ATMOSPHERE_KPA), Err(FillingRefusal::TooFew { usable: 12 }));
    }

    fn logged(filling: &Filling, speeds: &[f64]) -> Vec<FillingPair> {
        let of = |&speed_rpm: &f64| {
            [2.0, 5.0, 8.0, 12.0, 17.0, 23.0, 30.0, 45.0, 60.0, 80.0, 100.0].map(|opening_pct| FillingPair {
                speed_rpm,
                opening_pct,
                pressure_kpa: filling.pressure_kpa(speed_rpm, opening_pct),
            })
        };
        speeds.iter().flat_map(of).collect()
    }

    #[test]
    fn figures_are_found_again_and_a_gross_error_moves_them_little() {
        let truth = Filling { size_rpm: 52_000.0, leak: 0.02, exponent: -0.15, ambient_kpa: 99.0 };
        let mut pairs = logged(&truth, &[1200.0, 2500.0, 4500.0, 6000.0]);
        let found = FittedFilling::to(&pairs, 99.0).unwrap().filling;
        assert_relative_eq!(found.size_rpm, truth.size_rpm, max_relative = 1e-6);
        assert_relative_eq!(found.leak, truth.leak, max_relative = 1e-6);
        assert_relative_eq!(found.exponent, truth.exponent, max_relative = 1e-6);
        pairs[5].pressure_kpa = 30.0;
        let found = FittedFilling::to(&pairs, 99.0).unwrap().filling;
        assert_relative_eq!(found.size_rpm, truth.size_rpm, max_relative = 0.02);
    }

    #[test]
    fn too_few_speeds_leave_the_exponent_out() {
        let truth = Filling { size_rpm: 52_000.0, leak: 0.02, exponent: 0.0, ambient_kpa: 99.0 };
        let found = FittedFilling::to(&logged(&truth, &[2400.0, 2500.0, 2600.0]), 99.0).unwrap();
        assert!(!found.is_exponent_fitted);
        assert_eq!(found.filling.exponent, 0.0);
        assert_relative_eq!(found.filling.size_rpm, truth.size_rpm, max_relative = 1e-6);
    }

    #[test]
    fn pairs_that_tell_nothing_are_refused() {
        let truth = Filling { size_rpm: 200_000.0, leak: 0.02, exponent: 0.0, ambient_kpa: 99.0 };
        let mut open = logged(&truth, &[1000.0, 2000.0, 3000.0, 4000.0]);
        open.retain(|pair| pair.pressure_kpa > 85.0);
        assert_eq!(FittedFilling::to(&open, 99.0), Err(FillingRefusal::AlwaysOpen));
        let mut boosted = logged(&truth, &[1000.0, 2000.0, 3000.0, 4000.0]);
        boosted.iter_mut().take(10).for_each(|pair| pair.pressure_kpa = 150.0);
        assert_eq!(FittedFilling::to(&boosted, 99.0).unwrap().above_ambient, 10);
        let nonsense = FillingPair { speed_rpm: f64::NAN, opening_pct: 5.0, pressure_kpa: 40.0 };
        assert_eq!(FittedFilling::to(&[nonsense; 40], 99.0), Err(FillingRefusal::TooFew { usable: 0 }));
    }
}
