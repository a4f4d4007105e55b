//! The last of a search: once it is known which sums stand at their limits, the equations that this leaves.

use super::solve::{AIM_DEG, Kept, Search, Way};
use crate::shaping::ShapingError;
use crate::watch::Watch;

/// Corrections of what is left, at most, and the resistance for them.
const POLISHES: usize = 40;
const RESISTANCE_TO_POLISH: (f64, f64) = (1e2, 1e8);
/// A polished minimum is missed by no more than this.
const POLISHED_DEG: f64 = 1e-10;

/// By how much a minimum is missed in degrees, the corrections and the forces.
type Polished = (f64, Vec<f64>, Vec<f64>);

/// What is left of the equations of a minimum with some sums at their limits.
struct Left {
    gradient: Vec<f64>,
    /// How far each of those sums lies beyond its limit.
    gaps: Vec<f64>,
    /// How far a cell would move if it alone could, or a sum is off its limit, at most.
    size_deg: f64,
}

impl Search<'_> {
    /// Which sums stand at a limit and still resist.
    pub(super) fn pulling(&self, way: &Way) -> Vec<bool> {
        way.multipliers.iter().map(|force| *force != 0.0 && force.abs() < self.cap).collect()
    }

    /// The minimum with just these sums at their limits, if it is the one that is sought: by how far it is missed,
    /// corrections and forces.
    ///
    /// Corrections and forces are improved together by what is left of both their equations, so that the rounding error of
    /// sums, which resistance makes great, does not come into the forces.
    pub(super) fn polished(
        &self,
        way: &mut Way,
        pulling: &[bool],
        watch: Watch<'_>,
    ) -> Result<Option<Polished>, ShapingError> {
        let (least, most) = RESISTANCE_TO_POLISH;
        let kappa = if pulling.contains(&true) { way.kappa.clamp(least, most) } else { way.kappa };
        let sides = self.rows.iter().zip(&way.multipliers);
        let limits: Vec<f64> = sides.map(|(row, force)| if *force > 0.0 { row.high } else { row.low }).collect();
        if !way.kept.as_ref().is_some_and(|kept| kept.pulls == pulling && kept.kappa == kappa) {
            watch.next()?;
            let kappa_of_rounds = std::mem::replace(&mut way.kappa, kappa);
            let factor = self.factor(way, pulling, watch);
            way.kappa = kappa_of_rounds;
            way.kept = Some(Kept { factor: factor?, pulls: pulling.to_vec(), kappa });
        }
        let Some(kept) = &way.kept else { return Ok(None) };
        let (mut x, mut forces) = (way.x.clone(), way.multipliers.clone());
        let mut best = (f64::INFINITY, Vec::new(), Vec::new());
        for _ in 0..POLISHES {
            let left = self.left((pulling, &limits), &x, &forces);
            // NaN ends it too.
            let is_better = left.size_deg < 0.9 * best.0;
            if left.size_deg < best.0 {
                best = (left.size_deg, x.clone(), forces.clone());
            }
            if !is_better || left.size_deg == 0.0 {
                break;
            }
            let mut against: Vec<f64> = left.gradient.iter().map(|g| -g).collect();
            let pulled = self.rows.iter().zip(&way.stiffness).zip(&left.gaps).zip(pulling);
            for (((row, stiffness), gap), _) in pulled.filter(|(_, pulling)| **pulling) {
                row.add_to(&mut against, -kappa * stiffness * gap);
            }
            let by = kept.factor.solve(&against);
            x.iter_mut().zip(&by).for_each(|(x, by)| *x += by);
            for (at, row) in self.rows.iter().enumerate().filter(|(at, _)| pulling[*at]) {
                forces[at] += kappa * way.stiffness[at] * (row.of(&by) + left.gaps[at]);
            }
        }
        let (missed_deg, x, mut forces) = best;
        let is_least =
            missed_deg <= POLISHED_DEG && self.is_within(pulling, &forces, &x) && self.push_back(way, &mut forces);
        Ok(is_least.then_some((missed_deg, x, forces)))
    }

    /// What is left of the equations of the minimum with these sums at their limits.
    fn left(&self, (pulling, limits): (&[bool], &[f64]), x: &[f64], forces: &[f64]) -> Left {
        let mut gradient: Vec<f64> =
            self.system.apply(x).iter().zip(&self.system.gradient).map(|(h, g)| h + g).collect();
        let mut gaps = vec![0.0; self.rows.len()];
        for (at, row) in self.rows.iter().enumerate() {
            row.add_to(&mut gradient, forces[at]);
            if pulling[at] {
                gaps[at] = row.of(x) - limits[at];
            }
        }
        let alone = gradient.iter().zip(&self.system.diagonal).map(|(g, h)| g.abs() / h);
        let all = alone.chain(gaps.iter().map(|gap| gap.abs()));
        let size_deg = all.fold(0.0, |most: f64, deg| if deg.is_nan() { f64::NAN } else { most.max(deg) });
        Left { gradient, gaps, size_deg }
    }

    /// Whether all other sums are within their limits, and those whose force has come to the cap beyond them.
    fn is_within(&self, pulling: &[bool], forces: &[f64], x: &[f64]) -> bool {
        let mut rows = self.rows.iter().zip(pulling).zip(forces);
        rows.all(|((row, pulling), &force)| {
            let sum = row.of(x);
            let is_beyond = if force > 0.0 { sum >= row.high - AIM_DEG } else { sum <= row.low + AIM_DEG };
            *pulling || if force.abs() >= self.cap { is_beyond } else { row.beyond(sum) <= AIM_DEG }
        })
    }

    /// Whether every force still pushes back from the limit where it began; one that is next to nothing becomes nothing.
    fn push_back(&self, way: &Way, forces: &mut [f64]) -> bool {
        let mut is_right = true;
        for ((force, before), stiffness) in forces.iter_mut().zip(&way.multipliers).zip(&way.stiffness) {
            if *force * before < 0.0 {
                is_right &= force.abs() <= AIM_DEG * stiffness;
                *force = 0.0;
            }
        }
        is_right
    }
}
