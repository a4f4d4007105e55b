//! The model of a fit: today's table is right but for a smooth correction, and each reading for an error of its own.
//!
//! The correction is a Gaussian field with the precision `P/κ² + I/τ²`, so that points move the shape of the table and do
//! not flatten it: κ is how far the correction bends from cell to cell, τ how far it goes at all. How smooth it is is
//! chosen by the marginal likelihood of the readings (C. E. Rasmussen & C. K. I. Williams, Gaussian Processes for Machine
//! Learning, MIT Press, 2006, eq. 5.8).

use crate::shaping::ShapingError;
use crate::shaping::fair::factor::Factor;
use crate::shaping::fair::rows::{FreeCells, Row, System, Weights};
use crate::shaping::smooth::Penalty;
use crate::watch::Watch;

/// How far a correction usually goes where nothing is known of it, degrees.
const USUAL_DEG: f64 = 5.0;
/// The bends that are tried, degrees per squared cell: so many between these, evenly in their logarithm.
const BENDS: (f64, f64) = (0.03, 10.0);
const BEND_COUNT: u8 = 14;
/// The bend that is taken at least where readings tell nothing of it, degrees per squared cell: what readings scattered over
/// bumps of a few degrees speak for, or a little less.
pub(super) const USUAL_BEND_DEG: f64 = 2.0;
/// Of bends whose logarithmic likelihood is within this of the best, the largest is taken: it claims least.
const AS_LIKELY: f64 = 2.0;

/// A reading over the free cells.
#[derive(Clone, Debug)]
pub(super) struct Pull {
    pub(super) row: Row,
    /// How far it lies above today's table, degrees.
    pub(super) above_deg: f64,
    pub(super) sd_deg: f64,
}

/// A model with a bend, over some free cells.
pub(super) struct Model {
    pub(super) system: System,
    pub(super) factor: Factor,
}

impl Model {
    /// The correction's model with the readings, or without them.
    pub(super) fn new(
        penalty: &Penalty,
        free: &FreeCells,
        bend: f64,
        (pulls, limits): (&[Pull], &[Row]),
        watch: Watch<'_>,
    ) -> Result<Self, ShapingError> {
        let weights = Weights { stay: 1.0 / (USUAL_DEG * USUAL_DEG), bend: 1.0 / (bend * bend) };
        let weight = |pull: &Pull| 1.0 / (pull.sd_deg * pull.sd_deg);
        let soft: Vec<(Row, f64)> = pulls.iter().map(|pull| (pull.row, weight(pull))).collect();
        let mut gradient = vec![0.0; free.order.len()];
        for pull in pulls {
            pull.row.entries().for_each(|(cell, share)| gradient[cell] -= share * pull.above_deg * weight(pull));
        }
        let system = System::new(penalty, free, weights, &soft, limits, gradient);
        let factor = system.matrix.clone().factorised(watch)?;
        Ok(Self { system, factor })
    }

    /// The logarithm of the likelihood of readings, up to what does not depend on the bend; `without` is the model
    /// without them.
    fn likelihood(&self, without: &Self, pulls: &[Pull]) -> f64 {
        let square = |pull: &Pull| (pull.above_deg / pull.sd_deg).powi(2);
        let against: f64 = pulls.iter().map(square).sum();
        let solved = self.factor.solve(&self.system.gradient);
        let explained: f64 = solved.iter().zip(&self.system.gradient).map(|(a, b)| a * b).sum();
        -0.5 * (self.factor.log_determinant() - without.factor.log_determinant() + against - explained)
    }
}

/// The bend that the readings speak for, with caution.
pub(super) fn likely_bend(
    penalty: &Penalty,
    free: &FreeCells,
    pulls: &[Pull],
    watch: Watch<'_>,
) -> Result<f64, ShapingError> {
    let mut tried = Vec::new();
    for step in 0..BEND_COUNT {
        watch.round(usize::from(step), usize::from(BEND_COUNT))?;
        let share = f64::from(step) / f64::from(BEND_COUNT - 1);
        let bend = BENDS.0 * (BENDS.1 / BENDS.0).powf(share);
        let with = Model::new(penalty, free, bend, (pulls, &[]), Watch::NOBODY)?;
        let without = Model::new(penalty, free, bend, (&[], &[]), Watch::NOBODY)?;
        tried.push((bend, with.likelihood(&without, pulls)));
    }
    let best = tried.iter().map(|tried| tried.1).fold(f64::NEG_INFINITY, f64::max);
    let likely = tried.iter().rev().find(|tried| tried.1 >= best - AS_LIKELY);
    Ok(likely.map_or(BENDS.1, |tried| tried.0))
}
