//! From the readings of one operating point to its curve: which readings count, and which is left out.

use std::collections::BTreeSet;

use super::curve::{self, Curve, LEAST_FOR_MORE, NoCurve, SAME_DEG};
use super::grouping::{Group, median};
use super::limits::{PARABOLA_WINDOW, WINDOW};
use super::operating_point::{OtherAnswer, PointReading, ReadingUse, SweepPoint};
use super::pulls::Taken;
use super::reduction::Sample;
use super::shape::Shape;
use super::{Chosen, KnockBracket, SweepChoice, SweepSetting};
use super::{choosing, concluding, next_readings};
use crate::worksheet::least_squares::Outlier;

/// A reading is left out when chance would bring one so far off the curve once in a hundred sweeps.
const LEFT_OUT: f64 = 0.01;
/// And shown as doubtful at once in twenty.
const DOUBTFUL: f64 = 0.05;
/// No limit lies below this: it is that of six readings (5 %, two-sided, shared among them) if their scatter were known.
/// Smaller residuals need no quantile, which costs more than the fit.
const LEAST_LIMIT: f64 = 2.6;
/// At least so many readings remain when one is left out.
const LEAST_LEFT: usize = 5;
/// Residuals smaller than this share of the top are rounding errors.
const NOTHING: f64 = 1e-9;
/// No standard deviation counts as smaller than this share of their median.
const LEAST_SD_SHARE: f64 = 1.0 / 3.0;

/// The curve, what the reading in doubt would change, and which reading was left out or is doubtful.
struct Judged {
    curve: Curve,
    other: Option<OtherAnswer>,
    left_out: Option<usize>,
    doubtful: Option<usize>,
}

/// Fits the readings of a group, and says what follows.
pub(super) fn point(number: usize, group: &Group, all: &[Taken], setting: &SweepSetting) -> SweepPoint {
    let taken: Vec<&Taken> = group.rows.iter().filter_map(|&row| all.get(row)).collect();
    let samples = samples(&taken);
    let candidates: Vec<usize> =
        (0..taken.len()).filter(|&at| taken.get(at).is_some_and(|taken| taken.reading.is_used())).collect();
    let (judged, no_curve) = match judge(&samples, &candidates) {
        Ok(judged) => (Some(judged), None),
        Err(reason) => (None, Some(reason)),
    };
    let kept: Vec<usize> = candidates
        .iter()
        .copied()
        .filter(|at| judged.as_ref().is_none_or(|judged| judged.left_out != Some(*at)))
        .collect();
    let parabola = curve::fit(&samples, &kept, Shape::PARABOLA, Some(PARABOLA_WINDOW)).ok();
    let listened = taken.iter().filter(|taken| taken.reading.is_used());
    let mut point = SweepPoint {
        number,
        sweep: taken.first().map_or(0, |taken| taken.sweep),
        called_at: group.called_at,
        name: group.name.clone(),
        speed_rpm: group.speed_rpm,
        speed_spread_rpm: half_spread(taken.iter().map(|taken| taken.reading.speed_rpm)),
        load: group.load,
        load_spread: half_spread(taken.iter().map(|taken| taken.reading.load)),
        readings: readings(&taken, &samples, judged.as_ref()),
        parabola: parabola.filter(|_| judged.is_some()),
        other: judged.as_ref().and_then(|judged| judged.other),
        curve: judged.map(|judged| judged.curve),
        knock: KnockBracket::of(listened.map(|taken| (taken.reading.advance_deg, taken.reading.knock))),
        verdicts: Vec::new(),
        next_deg: Vec::new(),
        no_curve,
        chosen: [Chosen::default(); 3],
    };
    point.next_deg = next_readings::propose(&point, &setting.limits);
    point.verdicts = concluding::conclude(&point, &taken, setting);
    point.chosen = SweepChoice::ALL.map(|choice| choosing::choose(&point, choice, setting));
    point
}

fn half_spread(values: impl Iterator<Item = f64>) -> f64 {
    let ends = values.map(|value| (value, value)).reduce(|(low, high), (value, _)| (low.min(value), high.max(value)));
    ends.map_or(0.0, |(low, high)| 0.5 * (high - low))
}

/// The readings as the fit takes them. Those with a standard deviation count by it, but none more than nine times as
/// much as the median one.
fn samples(taken: &[&Taken]) -> Vec<Sample> {
    let known: Vec<f64> = taken.iter().filter_map(|taken| taken.torque_sd).collect();
    let middle = median(known.into_iter());
    let weight = |sd: Option<f64>| match sd {
        Some(sd) if middle > 0.0 => (middle / sd.max(LEAST_SD_SHARE * middle)).powi(2),
        _ => 1.0,
    };
    let moments = moments(taken);
    let sample = |(taken, moment): (&&Taken, f64)| Sample {
        advance_deg: taken.reading.advance_deg,
        torque: taken.torque,
        weight: weight(taken.torque_sd),
        moment,
    };
    taken.iter().zip(moments).map(sample).collect()
}

/// When each reading was taken, as a share of the sweep about its mean: by the clock if all have one, else by order. Between
/// two sweeps passes more time than within one, nobody knows how much: where an advance was read in both, each is one moment.
fn moments(taken: &[&Taken]) -> Vec<f64> {
    let times = clock(taken).or_else(|| sweep_by_sweep(taken)).unwrap_or_else(|| ranks(taken));
    let span = 2.0 * half_spread(times.iter().copied());
    #[expect(clippy::cast_precision_loss, reason = "a hundred thousand readings at most")]
    let mean = times.iter().sum::<f64>() / times.len().max(1) as f64;
    times.iter().map(|time| if span > 0.0 { (time - mean) / span } else { 0.0 }).collect()
}

/// The times of readings if all have one and the clock went on from one sweep to the next; readings stand sweep by sweep.
fn clock(taken: &[&Taken]) -> Option<Vec<f64>> {
    let times: Vec<f64> = taken.iter().map(|taken| taken.reading.time_s).collect::<Option<_>>()?;
    let (mut of_earlier, mut latest, mut sweep) = (f64::NEG_INFINITY, f64::NEG_INFINITY, taken.first()?.sweep);
    for (taken, &time) in taken.iter().zip(&times) {
        if taken.sweep != sweep {
            (sweep, of_earlier) = (taken.sweep, latest);
        }
        if time < of_earlier {
            return None;
        }
        latest = latest.max(time);
    }
    Some(times)
}

/// The number of each reading's sweep, if some advance was read in two of them.
fn sweep_by_sweep(taken: &[&Taken]) -> Option<Vec<f64>> {
    let mut by_advance: Vec<(f64, usize)> =
        taken.iter().map(|taken| (taken.reading.advance_deg, taken.sweep)).collect();
    by_advance.sort_by(|a, b| a.0.total_cmp(&b.0));
    let is_same = |pair: &[(f64, usize)]| match pair {
        [(low_deg, one), (high_deg, other)] => one != other && high_deg - low_deg <= SAME_DEG + 1e-9,
        _ => false,
    };
    if !by_advance.windows(2).any(is_same) {
        return None;
    }
    let sweeps: BTreeSet<usize> = taken.iter().map(|taken| taken.sweep).collect();
    #[expect(clippy::cast_precision_loss, reason = "a few sweeps")]
    let number = |taken: &&Taken| sweeps.range(..taken.sweep).count() as f64;
    Some(taken.iter().map(number).collect())
}

/// The order of readings: a sweep that was kept later was read later; within one by its clock if all of it has one.
fn ranks(taken: &[&Taken]) -> Vec<f64> {
    let without: BTreeSet<usize> =
        taken.iter().filter(|taken| taken.reading.time_s.is_none()).map(|taken| taken.sweep).collect();
    let time = |taken: &Taken| taken.reading.time_s.filter(|_| !without.contains(&taken.sweep)).unwrap_or_default();
    let mut order: Vec<(usize, &&Taken)> = taken.iter().enumerate().collect();
    order.sort_by(|(_, a), (_, b)| a.sweep.cmp(&b.sweep).then(time(a).total_cmp(&time(b))));
    let mut ranks = vec![0.0; taken.len()];
    for (rank, (at, _)) in (0_u32..).zip(order) {
        ranks.get_mut(at).into_iter().for_each(|own| *own = f64::from(rank));
    }
    ranks
}

/// The curve, with the one reading left out that lies too far off it, if there is one.
fn judge(samples: &[Sample], candidates: &[usize]) -> Result<Judged, NoCurve> {
    let curve = curve::fit(samples, candidates, Shape::SHAPED, Some(WINDOW))?;
    let nobody = |curve| Judged { curve, other: None, left_out: None, doubtful: None };
    let linear = curve.linear();
    let worst = linear
        .worst(NOTHING * curve.top)
        .filter(|worst| worst.studentised.abs() > LEAST_LIMIT && curve.used.len() >= LEAST_FOR_MORE);
    let limits = worst.map(|worst| (worst, linear.outlier_limit(LEFT_OUT), linear.outlier_limit(DOUBTFUL)));
    let Some((worst, Some(sure), Some(likely))) = limits else { return Ok(nobody(curve)) };
    let Some(&at) = curve.used.get(worst.row).filter(|_| worst.studentised.abs() > likely) else {
        return Ok(nobody(curve));
    };
    let rest: Vec<usize> = candidates.iter().copied().filter(|other| *other != at).collect();
    let without = curve::fit(samples, &rest, Shape::SHAPED, Some(WINDOW)).ok();
    let Some(without) = without.filter(|without| without.used.len() >= LEAST_LEFT) else {
        return Ok(Judged { doubtful: Some(at), ..nobody(curve) });
    };
    let other = |curve: &Curve| {
        let Outlier { studentised, .. } = worst;
        let off = samples.get(at).map_or(0.0, |sample| {
            let drifted = without.drift.map_or(0.0, |drift| drift * sample.moment);
            sample.torque - without.torque_at(sample.advance_deg) - drifted
        });
        Some(OtherAnswer { reading: at, off, studentised, best_deg: curve.best_deg, best: curve.best })
    };
    if worst.studentised.abs() > sure {
        return Ok(Judged { other: other(&curve), curve: without, left_out: Some(at), doubtful: None });
    }
    Ok(Judged { other: other(&without), curve, left_out: None, doubtful: Some(at) })
}

fn readings(taken: &[&Taken], samples: &[Sample], judged: Option<&Judged>) -> Vec<PointReading> {
    let used: Vec<bool> = judged.map_or_else(
        || vec![true; taken.len()],
        |judged| {
            let mut used = vec![false; taken.len()];
            judged.curve.used.iter().for_each(|&at| used.get_mut(at).into_iter().for_each(|used| *used = true));
            used
        },
    );
    let usage = |at: usize, taken: &Taken| {
        let is = |which: fn(&Judged) -> Option<usize>| judged.and_then(which) == Some(at);
        match &taken.reading.left_out {
            Some(why) => ReadingUse::LeftOutByHand(why.clone()),
            None if is(|judged| judged.left_out) => ReadingUse::LeftOut,
            None if is(|judged| judged.doubtful) => ReadingUse::Doubtful,
            None if used.get(at).is_some_and(|used| *used) => ReadingUse::Used,
            None => ReadingUse::FarFromTop,
        }
    };
    let reading = |(at, (taken, sample)): (usize, (&&Taken, &Sample))| PointReading {
        sweep: taken.sweep,
        of: taken.of.clone(),
        row: taken.row,
        rows: taken.rows.clone(),
        advance_deg: taken.reading.advance_deg,
        torque: taken.torque,
        knock: taken.reading.knock,
        moment: sample.moment,
        usage: usage(at, taken),
    };
    taken.iter().zip(samples).enumerate().map(reading).collect()
}
