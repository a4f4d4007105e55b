//! The curve of torque over advance at one operating point: fitted, with what follows from it.

use statrs::distribution::{ContinuousCDF, StudentsT};

use super::interval;
use super::reduction::{AtTop, Reduction, Sample};
use super::shape::{FLAT_LOSS, Shape, bisect, least_between};
use crate::worksheet::least_squares::Fit;

/// How far beyond the readings a top is looked for, in degrees.
pub(super) const BEYOND_DEG: f64 = 10.0;
/// The steps in which it is looked for first, in degrees.
pub(super) const SCAN_STEP_DEG: f64 = 0.25;
/// Advances closer than this count as one, in degrees.
const APART_DEG: f64 = 0.5;
/// With fewer different advances than this nothing is fitted.
pub(super) const LEAST_ADVANCES: usize = 4;
/// Advances this close are the same advance read again, in degrees.
pub(super) const SAME_DEG: f64 = 0.25;
/// Readings of one advance this far apart, as a share of the sweep, tell a drift.
const LEAST_APART: f64 = 1.0 / 3.0;
/// With fewer readings no drift is fitted, and none left out.
pub(super) const LEAST_FOR_MORE: usize = 6;
/// Rounds of choosing the readings near the top.
const MOST_ROUNDS: usize = 10;
/// The window around the top never holds fewer readings.
const LEAST_IN_WINDOW: usize = 5;
const CONFIDENCE: f64 = 0.95;

/// Why there is no curve.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum NoCurve {
    /// Too few different advances.
    TooFew,
    /// Torque has no top within reach.
    NoTop {
        /// Whether it rises with advance as far as it was read.
        rises: bool,
    },
}

/// An interval of degrees at 95 %; an end beyond where anything was looked for is open.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct DegInterval {
    /// The lower end.
    pub low_deg: Option<f64>,
    /// The upper end.
    pub high_deg: Option<f64>,
}

impl DegInterval {
    /// Its width, if both ends are known.
    pub fn width_deg(&self) -> Option<f64> {
        Some(self.high_deg? - self.low_deg?)
    }
}

/// Torque over advance, T(θ) = h − k·d²·(1 − s·d) with d degrees retarded from best torque. Torques are in the unit
/// in which they were read.
#[derive(Clone, Debug)]
pub struct Curve {
    /// Advance for best torque, in degrees.
    pub best_deg: f64,
    /// Its interval.
    pub best: DegInterval,
    /// h, the torque there.
    pub top: f64,
    /// k, how bent the curve is, in torque per square degree.
    pub bend: f64,
    /// g, the torque gained from the first reading to the last, if some advance was read twice.
    pub drift: Option<f64>,
    /// The least advance within 1 % of the top.
    pub flat_low_deg: Option<f64>,
    /// Its interval.
    pub flat_low: DegInterval,
    /// The greatest advance within 1 % of the top.
    pub flat_high_deg: Option<f64>,
    /// The standard deviation of the residuals.
    pub scatter: f64,
    /// Whether advance does more to torque than chance would: a flat line does not fit as well.
    pub is_told: bool,
    pub(super) shape: Shape,
    /// The interval of torque is this wide either side for each unit of standard error.
    student: f64,
    linear: Fit,
    /// Which readings count, by their place in the list that was given.
    pub(super) used: Vec<usize>,
}

impl Curve {
    /// Torque at an advance, in the middle of the sweep where there is a drift.
    pub fn torque_at(&self, advance_deg: f64) -> f64 {
        self.top - self.bend * self.shape.loss(self.best_deg - advance_deg)
    }

    /// Half the width of the 95 % band of the curve at an advance.
    pub fn band_at(&self, advance_deg: f64) -> f64 {
        let mut row = derivatives(self.shape, self.best_deg, self.bend, advance_deg).to_vec();
        row.extend(self.drift.map(|_| 0.0));
        self.student * self.scatter * self.linear.unit_error_of(&row)
    }

    /// Residuals and leverages of the readings that count, by the curve's derivatives at its place.
    pub(super) fn linear(&self) -> &Fit {
        &self.linear
    }

    /// The loss of torque at an advance, as a share of the top.
    pub(super) fn loss_at(&self, advance_deg: f64) -> f64 {
        self.bend * self.shape.loss(self.best_deg - advance_deg) / self.top
    }
}

/// How many advances there are that differ by at least half a degree.
pub(super) fn different_advances(advances_deg: impl Iterator<Item = f64>) -> usize {
    let mut sorted: Vec<f64> = advances_deg.collect();
    sorted.sort_by(f64::total_cmp);
    let (mut count, mut last) = (0, f64::NEG_INFINITY);
    for advance_deg in sorted {
        if advance_deg - last >= APART_DEG - 1e-9 {
            (count, last) = (count + 1, advance_deg);
        }
    }
    count
}

/// Fits the readings at `candidates`. With a `window`, only those count whose *fitted* torque comes to that share of
/// the top: choosing by measured torque would let their noise choose.
pub(super) fn fit(
    samples: &[Sample],
    candidates: &[usize],
    shape: Shape,
    window: Option<f64>,
) -> Result<Curve, NoCurve> {
    let mut used = candidates.to_vec();
    let mut seen: Vec<Vec<usize>> = Vec::new();
    for _ in 0..MOST_ROUNDS {
        let found = place_top(&chosen(samples, &used), shape)?;
        let Some(share) = window else { return Ok(complete(samples, used, shape, found)) };
        let next = in_window(samples, candidates, shape, found, share);
        let is_settled = next == used || seen.contains(&next);
        if is_settled {
            return Ok(complete(samples, used, shape, found));
        }
        seen.push(std::mem::replace(&mut used, next));
    }
    let found = place_top(&chosen(samples, &used), shape)?;
    Ok(complete(samples, used, shape, found))
}

fn chosen(samples: &[Sample], used: &[usize]) -> Vec<Sample> {
    used.iter().filter_map(|&at| samples.get(at).copied()).collect()
}

/// The readings whose fitted torque comes to that share of the top; where these are too few, the nearest to it that are
/// enough for a curve.
fn in_window(samples: &[Sample], candidates: &[usize], shape: Shape, found: (f64, AtTop), share: f64) -> Vec<usize> {
    let (top_deg, AtTop { top, bend, .. }) = found;
    let retard_deg = |at: &usize| samples.get(*at).map_or(f64::INFINITY, |sample| top_deg - sample.advance_deg);
    let is_near = |at: &&usize| top - bend * shape.loss(retard_deg(at)) >= share * top;
    let near: Vec<usize> = candidates.iter().filter(is_near).copied().collect();
    let is_enough = |chosen: &[usize]| {
        chosen.len() >= LEAST_IN_WINDOW.min(candidates.len())
            && different_advances(chosen.iter().map(|at| -retard_deg(at))) >= LEAST_ADVANCES
    };
    if is_enough(&near) {
        return near;
    }
    let mut by_distance = candidates.to_vec();
    by_distance.sort_by(|a, b| retard_deg(a).abs().total_cmp(&retard_deg(b).abs()));
    // The fewest that are enough: with more readings it stays so.
    let (mut low, mut high) = (LEAST_ADVANCES, by_distance.len());
    while low < high {
        let middle = low + (high - low) / 2;
        if by_distance.get(..middle).is_some_and(is_enough) {
            high = middle;
        } else {
            low = middle + 1;
        }
    }
    by_distance.truncate(high);
    by_distance.sort_unstable();
    by_distance
}

/// Whether some advance was read at two moments far apart.
pub(super) fn tells_drift(samples: &[Sample]) -> bool {
    let mut sorted: Vec<(f64, f64)> = samples.iter().map(|sample| (sample.advance_deg, sample.moment)).collect();
    sorted.sort_by(|a, b| a.0.total_cmp(&b.0));
    let mut first = 0;
    // The earliest and the latest moment among those within reach, as two queues that only ever lose from the front.
    let (mut early, mut late) = (std::collections::VecDeque::new(), std::collections::VecDeque::new());
    for &(advance_deg, moment) in &sorted {
        while sorted.get(first).is_some_and(|(other, _)| advance_deg - other > SAME_DEG + 1e-9) {
            let gone = sorted.get(first).map(|(_, gone)| *gone);
            if early.front().copied() == gone {
                early.pop_front();
            }
            if late.front().copied() == gone {
                late.pop_front();
            }
            first += 1;
        }
        while early.back().is_some_and(|other: &f64| *other > moment) {
            early.pop_back();
        }
        while late.back().is_some_and(|other: &f64| *other < moment) {
            late.pop_back();
        }
        early.push_back(moment);
        late.push_back(moment);
        let apart = late.front().zip(early.front()).map_or(0.0, |(late, early)| late - early);
        if apart >= LEAST_APART - 1e-9 {
            return samples.len() >= LEAST_FOR_MORE;
        }
    }
    false
}

/// The reduction of the readings, with a drift if they tell it.
pub(super) fn reduce(samples: &[Sample]) -> Reduction {
    Reduction::new(samples, tells_drift(samples))
}

/// The range in which a top is looked for.
pub(super) fn reach(samples: &[Sample]) -> (f64, f64) {
    let all = samples.iter().map(|sample| sample.advance_deg);
    let (low, high) = all.fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), deg| (low.min(deg), high.max(deg)));
    (low - BEYOND_DEG, high + BEYOND_DEG)
}

/// Where the top lies, and the curve there: the least squares among all places of a scan, then to the last digit.
fn place_top(samples: &[Sample], shape: Shape) -> Result<(f64, AtTop), NoCurve> {
    if different_advances(samples.iter().map(|sample| sample.advance_deg)) < LEAST_ADVANCES {
        return Err(NoCurve::TooFew);
    }
    let reduction = reduce(samples);
    let (low_deg, high_deg) = reach(samples);
    let squares = |deg: f64| Some(reduction.at_top(shape, deg)).filter(|at| at.bend > 0.0).map(|at| at.squares);
    let mut best: Option<(f64, f64)> = None;
    for place in places(low_deg, high_deg) {
        let Some(squares) = squares(place) else { continue };
        if best.is_none_or(|(_, least)| squares < least) {
            best = Some((place, squares));
        }
    }
    let no_top = |rises| NoCurve::NoTop { rises };
    let Some((near_deg, _)) = best else { return Err(no_top(rises(samples))) };
    if near_deg - low_deg < SCAN_STEP_DEG || high_deg - near_deg < SCAN_STEP_DEG {
        return Err(no_top(high_deg - near_deg < SCAN_STEP_DEG));
    }
    let all = |deg: f64| squares(deg).unwrap_or(f64::INFINITY);
    let near_deg = least_between(near_deg - SCAN_STEP_DEG, near_deg + SCAN_STEP_DEG, all);
    let falls = |deg: f64| reduction.slope_at(shape, deg) < 0.0;
    let (before_deg, after_deg) = (near_deg - 1e-3, near_deg + 1e-3);
    let is_bracketed = falls(before_deg) && !falls(after_deg);
    let top_deg = if is_bracketed { bisect(before_deg, after_deg, falls) } else { near_deg };
    Ok((top_deg, reduction.at_top(shape, top_deg)))
}

/// The places of the scan.
fn places(low_deg: f64, high_deg: f64) -> impl Iterator<Item = f64> {
    (0_u32..).map(move |step| low_deg + SCAN_STEP_DEG * f64::from(step)).take_while(move |deg| *deg <= high_deg + 1e-9)
}

/// Whether torque rises with advance on the whole.
fn rises(samples: &[Sample]) -> bool {
    let weights: f64 = samples.iter().map(|sample| sample.weight).sum();
    let mean = samples.iter().map(|sample| sample.weight * sample.advance_deg).sum::<f64>() / weights;
    samples.iter().map(|sample| sample.weight * (sample.advance_deg - mean) * sample.torque).sum::<f64>() > 0.0
}

/// What a reading at this advance says about h, k and θ*.
fn derivatives(shape: Shape, best_deg: f64, bend: f64, advance_deg: f64) -> [f64; 3] {
    let retard_deg = best_deg - advance_deg;
    [1.0, -shape.loss(retard_deg), -bend * shape.slope(retard_deg)]
}

/// Everything that follows from a curve whose top has been placed.
fn complete(samples: &[Sample], used: Vec<usize>, shape: Shape, (best_deg, at): (f64, AtTop)) -> Curve {
    let counted = chosen(samples, &used);
    let reduction = reduce(&counted);
    let freedom = counted.len().saturating_sub(3 + usize::from(reduction.has_drift));
    let student = quantile(0.5 + CONFIDENCE / 2.0, freedom);
    #[expect(clippy::cast_precision_loss, reason = "a hundred thousand readings at most")]
    let freedom_number = freedom.max(1) as f64;
    let most = at.squares * (1.0 + student * student / freedom_number);
    let best = interval::of_top(&reduction, shape, best_deg, most, reach(&counted));
    let best = if shape == Shape::PARABOLA { fieller(&reduction, student, freedom_number, best) } else { best };
    let loss = FLAT_LOSS * at.top / at.bend;
    Curve {
        best_deg,
        best,
        top: at.top,
        bend: at.bend,
        drift: reduction.has_drift.then_some(at.drift),
        flat_low_deg: shape.retard_at(loss).map(|retard| best_deg - retard),
        flat_low: interval::of_flat_low(&reduction, shape, best, most, reach(&counted)),
        flat_high_deg: shape.advance_at(loss).map(|advance| best_deg + advance),
        scatter: (at.squares / freedom_number).sqrt(),
        is_told: reduction.flat_squares() > most,
        shape,
        student,
        linear: linearised(&counted, shape, best_deg, at, reduction.has_drift),
        used,
    }
}

/// The interval of a parabola's top in closed form. It differs from the profile only where it is not bounded: there
/// the profile still ends where no curve has a top any more.
fn fieller(reduction: &Reduction, student: f64, freedom: f64, profile: DegInterval) -> DegInterval {
    match reduction.parabola(student, freedom) {
        Some((_, Some([low_deg, high_deg]))) => {
            DegInterval { low_deg: profile.low_deg.map(|_| low_deg), high_deg: profile.high_deg.map(|_| high_deg) }
        }
        _ => DegInterval::default(),
    }
}

/// The fit of the residuals by the curve's derivatives at its place, from which bands and leverages come.
fn linearised(samples: &[Sample], shape: Shape, best_deg: f64, at: AtTop, has_drift: bool) -> Fit {
    let mut columns: Vec<Vec<f64>> = vec![Vec::with_capacity(samples.len()); 3 + usize::from(has_drift)];
    let mut residuals = Vec::with_capacity(samples.len());
    for sample in samples {
        let weight = sample.weight.sqrt();
        let row = derivatives(shape, best_deg, at.bend, sample.advance_deg);
        let row = row.into_iter().chain(has_drift.then_some(sample.moment));
        columns.iter_mut().zip(row).for_each(|(column, value)| column.push(weight * value));
        let fitted = at.top - at.bend * shape.loss(best_deg - sample.advance_deg);
        let drifted = if has_drift { at.drift * sample.moment } else { 0.0 };
        residuals.push(weight * (sample.torque - fitted - drifted));
    }
    Fit::new(&columns, &residuals)
}

/// A quantile of Student's t; infinite without a degree of freedom.
pub(super) fn quantile(probability: f64, freedom: usize) -> f64 {
    #[expect(clippy::cast_precision_loss, reason = "a hundred thousand readings at most")]
    let student = StudentsT::new(0.0, 1.0, freedom as f64);
    student.map_or(f64::INFINITY, |student| student.inverse_cdf(probability))
}
