//! Learning the corrections of the model from what was measured on the engine.
//!
//! The unknowns have the prior of [`Belief::untested`]; residuals have Student's distribution with 4 degrees of freedom, so
//! that one wrong point does not carry the others with it (Lange, Little and Taylor, Journal of the American Statistical
//! Association 84, 1989, from memory). The most probable corrections are found by Levenberg and Marquardt's method.

use thiserror::Error;

use super::belief::{Anchor, COUNT, NEAR_BEST_TORQUE_DEG, NEAR_KNOCK_LN};
use super::small_matrix::{Matrix, diagonal, inverse, quadratic, solve};
use super::{Belief, Corrections, Load, NoOpinion, Place, SecondOpinion, UNKNOWNS};
use crate::watch::{Stopped, Watch};
use crate::wording::Refusal;

/// Torque read at one advance, in any unit that is proportional to it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct TorqueReading {
    /// Degrees before top dead centre.
    pub advance_deg: f64,
    /// More than 0.
    pub torque: f64,
}

/// Whether an advance knocked.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Heard {
    /// Knock began here.
    Onset,
    /// None was heard up to here.
    Quiet,
}

/// What was found at a place.
#[derive(Clone, Debug, PartialEq)]
pub enum MeasuredAs {
    /// The advance of best torque in degrees before top dead centre, with its standard deviation.
    BestTorque {
        /// Degrees before top dead centre.
        advance_deg: f64,
        /// Standard deviation, degrees.
        sd_deg: f64,
    },
    /// Where knock was listened for.
    Knock {
        /// Whether it began or was absent.
        heard: Heard,
        /// Degrees before top dead centre.
        advance_deg: f64,
        /// Standard deviation, degrees.
        sd_deg: f64,
    },
    /// Torque at several advances, with speed, load and mixture held.
    Sweep(Vec<TorqueReading>),
}

/// Something measured on the engine.
#[derive(Clone, Debug, PartialEq)]
pub struct Measured {
    /// What people call it.
    pub name: String,
    /// Crank speed in rpm.
    pub speed_rpm: f64,
    /// Load.
    pub load: Load,
    /// λ if it was read; else that of the description counts.
    pub lambda: Option<f64>,
    /// What was found.
    pub found: MeasuredAs,
}

/// Why nothing could be learnt.
#[derive(Clone, Debug, PartialEq, Error)]
pub enum CalibrationError {
    /// There is no measured point that the model can use.
    #[error("no measured point tells anything of best torque or knock{}", reasons(left_out))]
    NoPoints {
        /// Those that there are, each with the reason why it cannot be used.
        left_out: Vec<(String, String)>,
    },
    /// The fit came to no end that can be used.
    #[error("the corrections cannot be fitted to these points; leave out those that stand apart")]
    Unsolvable,
    /// Its watch stopped it.
    #[error(transparent)]
    Stopped(#[from] Stopped),
}

fn reasons(left_out: &[(String, String)]) -> String {
    left_out.iter().map(|(name, why)| format!("; '{name}': {why}")).collect()
}

/// What was learnt.
#[derive(Clone, Debug)]
pub struct Calibrated {
    /// What is now believed.
    pub belief: Belief,
    /// The names of those that were used, each with its weight: 1 or more where the fit passes well through it. Below
    /// [`Calibrated::APART`] it stands apart.
    pub used: Vec<(String, f64)>,
    /// The names of those that were not, each with the reason.
    pub left_out: Vec<(String, String)>,
}

impl Calibrated {
    /// A point of less weight stands apart: one reading that is 12° wrong still moved other cells by 2–3°.
    pub const APART: f64 = 0.5;

    /// The names of the points that stand apart from the others.
    pub fn apart(&self) -> impl Iterator<Item = &str> {
        self.used.iter().filter(|(_, weight)| *weight < Self::APART).map(|(name, _)| name.as_str())
    }
}

/// A sweep needs so many sparks, over so many degrees.
const LEAST_SWEEP: (usize, f64) = (4, 10.0);
/// Torque of a sweep is right to this share of its greatest. Assumed.
const TORQUE_SHARE: f64 = 0.01;
/// A degree of spark changes ln of the knock integral by about this much.
const KNOCK_LN_PER_DEG: f64 = 0.06;
/// Student's degrees of freedom.
const FREEDOM: f64 = 4.0;
/// Derivatives are central, so many standard deviations to either side.
const DIFFERENCE_SIGMAS: f64 = 0.25;
const MOST_STEPS: usize = 12;
const MOST_DAMPINGS: usize = 6;
/// It ends when no correction moves by more than this share of its standard deviation.
const SMALL_STEP: f64 = 1e-3;

impl SecondOpinion {
    /// What measured points tell of this engine, beginning from what is believed before anything was measured.
    ///
    /// # Errors
    /// [`CalibrationError`] without a usable point, or if its watch stops it.
    pub fn learn(&self, measured: &[Measured], watch: Watch<'_>) -> Result<Calibrated, CalibrationError> {
        let mut left_out = Vec::new();
        let mut items = Vec::new();
        for one in measured {
            match self.usable(one) {
                Ok(place) => items.push(Item { measured: one, place }),
                Err(why) => left_out.push((one.name.clone(), why.to_string())),
            }
        }
        if items.is_empty() {
            return Err(CalibrationError::NoPoints { left_out });
        }
        let fit = Fit { opinion: self, items: &items, prior: prior() };
        let found = fit.search(watch)?;
        let belief = Belief {
            mean: found.corrections,
            covariance: inverse(&found.curvature).ok_or(CalibrationError::Unsolvable)?,
            anchors: items.iter().map(Item::anchor).collect(),
        };
        let weights =
            items.iter().zip(&found.residuals).map(|(item, own)| (item.measured.name.clone(), mean_weight(own)));
        Ok(Calibrated { belief, used: weights.collect(), left_out })
    }

    /// Where it was measured, or why the model cannot use it.
    fn usable(&self, measured: &Measured) -> Result<Place, Refusal> {
        let place = self.place(measured.speed_rpm, measured.load)?;
        let place = Place { lambda: measured.lambda, ..place };
        let cell = self.cell(place, &Corrections::default());
        NoOpinion::on_charge(&cell.charge)?;
        if let MeasuredAs::Sweep(readings) = &measured.found {
            let advances = || readings.iter().map(|reading| reading.advance_deg);
            let span_deg = advances().fold(f64::NEG_INFINITY, f64::max) - advances().fold(f64::INFINITY, f64::min);
            let mut distinct: Vec<f64> = advances().collect();
            distinct.sort_by(f64::total_cmp);
            distinct.dedup();
            if distinct.len() < LEAST_SWEEP.0 || span_deg < LEAST_SWEEP.1 {
                return Err(Refusal::new("a sweep tells enough from 4 different advances over 10° on"));
            }
            if readings.iter().any(|reading| !(reading.torque > 0.0 && reading.torque.is_finite())) {
                return Err(Refusal::new("a torque of it is not above 0"));
            }
        }
        Ok(place)
    }
}

/// The inverse of the prior's covariance.
fn prior() -> Matrix<COUNT> {
    diagonal(UNKNOWNS.map(|unknown| unknown.prior_sigma().powi(-2)))
}

/// Something measured, where the model can use it.
struct Item<'a> {
    measured: &'a Measured,
    place: Place,
}

impl Item<'_> {
    fn anchor(&self) -> Anchor {
        let Place { speed_rpm, pressure_kpa, .. } = self.place;
        Anchor { speed_rpm, pressure_kpa, is_of_knock: matches!(self.measured.found, MeasuredAs::Knock { .. }) }
    }

    /// The model's best torque in degrees, of which these are the residuals.
    fn best_torque_deg(&self, residuals: &[f64]) -> Option<f64> {
        let MeasuredAs::BestTorque { advance_deg, sd_deg } = &self.measured.found else { return None };
        residuals.first().map(|residual| advance_deg + residual * sd_deg.hypot(NEAR_BEST_TORQUE_DEG))
    }

    /// What the model gives less what was measured, in standard deviations; `near` is where best torque is about.
    fn residuals(&self, opinion: &SecondOpinion, corrections: &Corrections, near: Option<f64>) -> Vec<f64> {
        let cell = opinion.cell(self.place, corrections);
        match &self.measured.found {
            MeasuredAs::BestTorque { advance_deg, sd_deg } => {
                // To see how it moves, the cycles around where it was are enough.
                let model_deg = match near {
                    Some(near_deg) => cell.best_torque_near_deg(near_deg),
                    None => cell.best_torque_deg(&cell.sweep()),
                };
                vec![(model_deg - advance_deg) / sd_deg.hypot(NEAR_BEST_TORQUE_DEG)]
            }
            MeasuredAs::Knock { heard, advance_deg, sd_deg } => {
                let knock_ln = cell.fire(*advance_deg).knock_ln();
                let over_ln = if *heard == Heard::Quiet { knock_ln.max(0.0) } else { knock_ln };
                vec![over_ln / (KNOCK_LN_PER_DEG * sd_deg).hypot(NEAR_KNOCK_LN)]
            }
            MeasuredAs::Sweep(readings) => {
                let nets: Vec<f64> = readings.iter().map(|reading| cell.fire(reading.advance_deg).net_pa).collect();
                torque_residuals(&nets, readings)
            }
        }
    }
}

/// Torque by the model, in the unit that fits the readings best, less what was read.
fn torque_residuals(nets_pa: &[f64], readings: &[TorqueReading]) -> Vec<f64> {
    let pairs = || nets_pa.iter().zip(readings).map(|(net, reading)| (*net, reading.torque));
    let unit = pairs().map(|(net, torque)| net * torque).sum::<f64>() / pairs().map(|(net, _)| net * net).sum::<f64>();
    let greatest = readings.iter().map(|reading| reading.torque).fold(0.0, f64::max);
    #[expect(clippy::cast_precision_loss, reason = "a few readings")]
    // Three readings would tell a parabola: more of them share its weight.
    let sd = greatest * TORQUE_SHARE * (readings.len() as f64 / 3.0).sqrt();
    pairs().map(|(net, torque)| (unit * net - torque) / sd).collect()
}

/// How much a residual counts: 1.25 where it is none, ever less far out.
fn weight(residual: f64) -> f64 {
    (FREEDOM + 1.0) / (FREEDOM + residual * residual)
}

#[expect(clippy::cast_precision_loss, reason = "a few readings")]
fn mean_weight(residuals: &[f64]) -> f64 {
    residuals.iter().map(|residual| weight(*residual)).sum::<f64>() / residuals.len().max(1) as f64
}

/// The search for the most probable corrections.
struct Fit<'a> {
    opinion: &'a SecondOpinion,
    items: &'a [Item<'a>],
    prior: Matrix<COUNT>,
}

/// Where a search stands.
struct Found {
    corrections: Corrections,
    /// Of each item.
    residuals: Vec<Vec<f64>>,
    objective: f64,
    /// The second derivative of the objective, nearly.
    curvature: Matrix<COUNT>,
}

impl Fit<'_> {
    fn search(&self, watch: Watch<'_>) -> Result<Found, CalibrationError> {
        let mut found = self.at(Corrections::default());
        let mut damping = 1e-3;
        for done in 0..MOST_STEPS {
            watch.round(done, MOST_STEPS)?;
            let (curvature, gradient) = self.slopes(&found);
            found.curvature = curvature;
            let Some((next, step)) = self.descend(&found, &gradient, &mut damping) else { break };
            found = Found { curvature, ..next };
            let largest = UNKNOWNS.iter().map(|unknown| step[unknown.index()].abs() / unknown.prior_sigma());
            if largest.fold(0.0, f64::max) < SMALL_STEP {
                break;
            }
        }
        if found.objective.is_finite() { Ok(found) } else { Err(CalibrationError::Unsolvable) }
    }

    fn at(&self, corrections: Corrections) -> Found {
        let residuals: Vec<Vec<f64>> =
            self.items.iter().map(|item| item.residuals(self.opinion, &corrections, None)).collect();
        let lost = |residual: &f64| (residual * residual / FREEDOM).ln_1p();
        let of_points: f64 = residuals.iter().flatten().map(lost).sum();
        let objective = 0.5 * (FREEDOM + 1.0) * of_points + 0.5 * quadratic(&self.prior, corrections.values());
        Found { corrections, residuals, objective, curvature: self.prior }
    }

    /// JᵀWJ + P and JᵀWr + Pv.
    fn slopes(&self, found: &Found) -> (Matrix<COUNT>, [f64; COUNT]) {
        let mut curvature = self.prior;
        let mut gradient = [0.0; COUNT];
        for (at, row) in self.prior.iter().enumerate() {
            gradient[at] = row.iter().zip(found.corrections.values()).map(|(a, b)| a * b).sum();
        }
        for (item, residuals) in self.items.iter().zip(&found.residuals) {
            let columns = UNKNOWNS.map(|unknown| {
                let by = DIFFERENCE_SIGMAS * unknown.prior_sigma();
                let near = item.best_torque_deg(residuals);
                let moved = |by: f64| item.residuals(self.opinion, &found.corrections.moved(unknown, by), near);
                let (more, less) = (moved(by), moved(-by));
                more.iter().zip(&less).map(|(more, less)| (more - less) / (2.0 * by)).collect::<Vec<f64>>()
            });
            for (at, residual) in residuals.iter().enumerate() {
                let slope = UNKNOWNS.map(|unknown| columns[unknown.index()][at]);
                add_reading(&mut curvature, &mut gradient, &slope, *residual);
            }
        }
        (curvature, gradient)
    }

    /// The first damped step that makes the objective smaller.
    fn descend(&self, found: &Found, gradient: &[f64; COUNT], damping: &mut f64) -> Option<(Found, [f64; COUNT])> {
        for _ in 0..MOST_DAMPINGS {
            let mut damped = found.curvature;
            for (at, row) in damped.iter_mut().enumerate() {
                row[at] *= 1.0 + *damping;
            }
            let step = solve(&damped, gradient)?.map(|part| -part);
            let mut corrections = found.corrections;
            for (own, by) in corrections.0.iter_mut().zip(step) {
                *own += by;
            }
            let next = self.at(corrections);
            if next.objective < found.objective {
                *damping = (*damping / 10.0).max(1e-6);
                return Some((next, step));
            }
            *damping *= 10.0;
        }
        None
    }
}

fn add_reading(curvature: &mut Matrix<COUNT>, gradient: &mut [f64; COUNT], slope: &[f64; COUNT], residual: f64) {
    let weight = weight(residual);
    for (at, row) in curvature.iter_mut().enumerate() {
        gradient[at] += weight * slope[at] * residual;
        for (cell, other) in row.iter_mut().zip(slope) {
            *cell += weight * slope[at] * other;
        }
    }
}
