//! The projection onto the set of tables within the limits.
//!
//! minimise ½Σ(z − d)² with |z_a − z_b| ≤ c for every pair. Each pair gets a multiplier μ (a force between its
//! cells); z = d − Bᵀμ with (Bz) = z_a − z_b. The multipliers are found by accelerated proximal steps on the
//! dual (A. Beck & M. Teboulle, 2009) with restarts (B. O'Donoghue & E. Candès, 2015). Pairs with a non-zero
//! force are put exactly at their limit, which gives the values without the error of the iteration; the duality
//! gap then proves how near they are to the optimum.

use super::pairs::{Pair, Pairs};
use super::{ShapingError, Watch};

/// Each cell has at most four pairs, so the largest eigenvalue of B Bᵀ is at most 8.
const STEP: f64 = 1.0 / 8.0;
const MOST_STEPS: usize = 60_000;
/// A candidate is tried every this many steps.
const TRY_EVERY: usize = 20;
/// ‖z − z*‖² ≤ 2·gap: the values are within 1e-6° of the nearest table.
const GAP_ALLOWED: f64 = 0.5e-12;
/// A pair this close to its limit counts as being at it.
const AT_LIMIT_DEG: f64 = 1e-10;

/// The values nearest to `d` within the limits of all pairs; cells that may not move stay. Such values must
/// exist.
pub(super) fn within_limits(
    pairs: &Pairs,
    d: &[f64],
    may_move: &[bool],
    watch: Watch<'_>,
) -> Result<Vec<f64>, ShapingError> {
    let mut search = Search::new(pairs, d, may_move);
    for step in 1..=MOST_STEPS {
        watch.round(step - 1, MOST_STEPS)?;
        search.advance();
        if step % TRY_EVERY != 0 {
            continue;
        }
        let candidate = search.settled();
        if pairs.hold(&candidate) && search.gap(&candidate) <= GAP_ALLOWED {
            return Ok(candidate);
        }
    }
    Err(ShapingError::SlopeUnsolved { steps: MOST_STEPS })
}

struct Search<'a> {
    pairs: &'a Pairs,
    d: &'a [f64],
    may_move: &'a [bool],
    /// The multipliers, and the point from which the next step starts.
    force: Vec<f64>,
    ahead: Vec<f64>,
    z: Vec<f64>,
    momentum: f64,
}

impl<'a> Search<'a> {
    fn new(pairs: &'a Pairs, d: &'a [f64], may_move: &'a [bool]) -> Self {
        let force = vec![0.0; pairs.list.len()];
        Self { pairs, d, may_move, ahead: force.clone(), force, z: d.to_vec(), momentum: 1.0 }
    }

    fn advance(&mut self) {
        pulled(self.pairs, self.d, self.may_move, &self.ahead, &mut self.z);
        let next_momentum = 0.5 * (1.0 + (1.0 + 4.0 * self.momentum * self.momentum).sqrt());
        let share = (self.momentum - 1.0) / next_momentum;
        let mut against = 0.0;
        let forces = self.force.iter_mut().zip(&mut self.ahead);
        for (&Pair { a, b, limit_deg }, (force, ahead)) in self.pairs.list.iter().zip(forces) {
            let raised = *ahead + STEP * (self.z[a] - self.z[b]);
            let next = raised - raised.clamp(-STEP * limit_deg, STEP * limit_deg);
            let moved = next - *force;
            against += (*ahead - next) * moved;
            *ahead = next + share * moved;
            *force = next;
        }
        self.momentum = next_momentum;
        if against > 0.0 {
            self.momentum = 1.0;
            self.ahead.copy_from_slice(&self.force);
        }
    }

    /// The values that put every pair with a force exactly at its limit: cells tied to a fixed one follow from
    /// it, other groups of tied cells move together to the least sum of squares, and a cell without ties stays.
    fn settled(&self) -> Vec<f64> {
        let mut z = self.d.to_vec();
        let mut done = vec![false; z.len()];
        for at in (0..z.len()).filter(|&at| !self.may_move[at]) {
            self.tie(at, &mut z, &mut done);
        }
        for at in 0..z.len() {
            if self.may_move[at] && !done[at] {
                let tied = self.tie(at, &mut z, &mut done);
                #[expect(clippy::cast_precision_loss, reason = "at most 4096 cells")]
                let shift = tied.iter().map(|&at| self.d[at] - z[at]).sum::<f64>() / tied.len() as f64;
                for at in tied {
                    z[at] += shift;
                }
            }
        }
        z
    }

    /// Follows the ties from a cell through all free cells not yet done; returns those and the cell itself.
    fn tie(&self, start: usize, z: &mut [f64], done: &mut [bool]) -> Vec<usize> {
        let mut tied = vec![start];
        done[start] = true;
        let mut next = 0;
        while let Some(&at) = tied.get(next) {
            next += 1;
            for (number, other, sign) in self.pairs.around_cell(at) {
                let force = self.force[number];
                if force == 0.0 || done[other] || !self.may_move[other] {
                    continue;
                }
                z[other] = z[at] - sign * self.pairs.list[number].limit_deg.copysign(force);
                done[other] = true;
                tied.push(other);
            }
        }
        tied
    }

    /// The duality gap between values within the limits and the present forces: no value is further than
    /// √(2·gap) from the nearest table. Written as a sum of small non-negative terms.
    fn gap(&self, candidate: &[f64]) -> f64 {
        let mut z = self.d.to_vec();
        pulled(self.pairs, self.d, self.may_move, &self.force, &mut z);
        let apart: f64 = candidate.iter().zip(&z).map(|(a, b)| (a - b) * (a - b)).sum();
        let slack = |(pair, force): (&Pair, &f64)| {
            let room = pair.limit_deg - (candidate[pair.a] - candidate[pair.b]) * force.signum();
            if room <= AT_LIMIT_DEG { 0.0 } else { force.abs() * room }
        };
        0.5 * apart + self.pairs.list.iter().zip(&self.force).map(slack).sum::<f64>()
    }
}

/// d − Bᵀμ for cells that may move, d for the others.
fn pulled(pairs: &Pairs, d: &[f64], may_move: &[bool], force: &[f64], z: &mut [f64]) {
    z.copy_from_slice(d);
    for (pair, force) in pairs.list.iter().zip(force) {
        z[pair.a] -= force;
        z[pair.b] += force;
    }
    for ((z, d), &free) in z.iter_mut().zip(d).zip(may_move) {
        if !free {
            *z = *d;
        }
    }
}
