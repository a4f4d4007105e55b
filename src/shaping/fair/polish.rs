//! The last of a search: from which sums are known to stand at their limits, or nearly so, to which do, by solving the
//! equations that they leave and exchanging those that these show to be wrong (M. Hintermüller, K. Ito & K. Kunisch, 2002).
//!
//! The equations are solved with the resistance that the search has too, and what this leaves of them by conjugate
//! gradients in the forces (M. R. Hestenes & E. Stiefel, 1952): sums that nearly follow from each other resist in a few
//! directions only, and it takes a step for each of those.

use super::solve::{AIM_DEG, Kept, Search, Way};
use crate::shaping::ShapingError;
use crate::watch::Watch;

/// Exchanges at most, of which the first exchange all that is wrong and the others only what is worst.
pub(super) const EXCHANGES: usize = 24;
const EXCHANGES_OF_ALL: usize = 8;
/// The same where little speaks for it: where the sums stood under nearly the same limits, or after the first round.
pub(super) const EXCHANGES_NEAR: usize = 8;
/// Corrections of what is left, at most, and steps of each.
const CORRECTIONS: usize = 12;
const STEPS: usize = 40;
/// A direction of forces that moves sums by less than this share of what they resist by leads nowhere.
const LEAST_SHARE: f64 = 1e-10;
/// The resistance: more makes the rounding error of sums greater than what is left of them.
const RESISTANCE: (f64, f64) = (1e2, 1e8);
/// A polished minimum is missed by no more than this.
const POLISHED_DEG: f64 = 1e-10;

/// By how much a minimum is missed in degrees, the corrections and the forces.
pub(super) type Polished = (f64, Vec<f64>, Vec<f64>);

/// Where the sum of a row is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Stand {
    /// Within its limits: nothing pulls.
    Within,
    /// At its limit; at the upper one if so marked.
    At(bool),
    /// Beyond its limit, with all the force that the cap allows.
    Beyond(bool),
}

/// What is left of the equations of a minimum with some sums at their limits.
struct Left {
    gradient: Vec<f64>,
    /// How far each of those sums lies beyond its limit.
    gaps: Vec<f64>,
    /// How far a cell would move if it alone could, or a sum is off its limit, at most.
    size_deg: f64,
}

impl Search<'_> {
    /// Where the sums are by the forces of a search.
    pub(super) fn stands(&self, way: &Way) -> Vec<Stand> {
        let stand = |&force: &f64| match force.abs() {
            0.0 => Stand::Within,
            size if size < self.cap => Stand::At(force > 0.0),
            _ => Stand::Beyond(force > 0.0),
        };
        way.multipliers.iter().map(stand).collect()
    }

    /// The minimum, if exchanges lead to it from where the sums are: by how far it is missed, corrections and forces.
    pub(super) fn polished(
        &self,
        way: &mut Way,
        (mut stands, exchanges): (Vec<Stand>, usize),
        watch: Watch<'_>,
    ) -> Result<Option<Polished>, ShapingError> {
        let kappa = way.kappa.clamp(RESISTANCE.0, RESISTANCE.1);
        let (mut x, mut forces) = (way.x.clone(), way.multipliers.clone());
        for exchange in 0..exchanges {
            self.keep_factor(way, &stands, kappa, watch)?;
            self.begin_forces(&stands, &mut forces);
            let missed_deg = self.correct(way, &stands, &mut x, &mut forces);
            if missed_deg.is_nan() || missed_deg > POLISHED_DEG {
                return Ok(None);
            }
            let wrong = self.wrong(way, &stands, &x, &forces);
            if wrong.is_empty() {
                forces.iter_mut().zip(&stands).for_each(|(force, stand)| {
                    if matches!(stand, Stand::At(is_upper) if *is_upper != (*force > 0.0)) {
                        *force = 0.0;
                    }
                });
                return Ok(Some((missed_deg, x, forces)));
            }
            let worst = wrong.iter().map(|one| one.2).fold(0.0, f64::max);
            let is_exchanged = |by: f64| exchange < EXCHANGES_OF_ALL || by == worst;
            wrong.iter().filter(|one| is_exchanged(one.2)).for_each(|&(at, stand, _)| stands[at] = stand);
        }
        Ok(None)
    }

    /// Factorises the matrix with the sums at their limits, unless that is the factor that there is.
    fn keep_factor(&self, way: &mut Way, stands: &[Stand], kappa: f64, watch: Watch<'_>) -> Result<(), ShapingError> {
        let pulls: Vec<bool> = stands.iter().map(|stand| matches!(stand, Stand::At(_))).collect();
        if way.kept.as_ref().is_some_and(|kept| kept.pulls == pulls && kept.kappa == kappa) {
            return Ok(());
        }
        watch.next()?;
        let kappa_of_rounds = std::mem::replace(&mut way.kappa, kappa);
        let factor = self.factor(way, &pulls, watch);
        way.kappa = kappa_of_rounds;
        way.kept = Some(Kept { factor: factor?, pulls, kappa });
        Ok(())
    }

    /// Forces as they must be where the sums are.
    fn begin_forces(&self, stands: &[Stand], forces: &mut [f64]) {
        for (force, stand) in forces.iter_mut().zip(stands) {
            match stand {
                Stand::Within => *force = 0.0,
                Stand::At(_) => {}
                Stand::Beyond(is_upper) => *force = if *is_upper { self.cap } else { -self.cap },
            }
        }
    }

    /// Corrects until nothing is left of the equations, and says what is.
    fn correct(&self, way: &Way, stands: &[Stand], x: &mut Vec<f64>, forces: &mut Vec<f64>) -> f64 {
        let mut best = (f64::INFINITY, Vec::new(), Vec::new());
        for _ in 0..CORRECTIONS {
            let left = self.left(stands, x, forces);
            // NaN ends it too.
            let is_better = left.size_deg < 0.5 * best.0;
            if left.size_deg < best.0 {
                best = (left.size_deg, x.clone(), forces.clone());
            }
            if !is_better || left.size_deg == 0.0 {
                break;
            }
            self.correct_once(way, &left, x, forces);
        }
        let missed_deg;
        (missed_deg, *x, *forces) = best;
        missed_deg
    }

    /// One correction: `H dx + Aᵀdy = −γ` and `A dx = −r` for what is left, γ and r.
    fn correct_once(&self, way: &Way, left: &Left, x: &mut [f64], forces: &mut [f64]) {
        let Some(kept) = &way.kept else { return };
        let at: Vec<usize> = (0..self.rows.len()).filter(|&row| kept.pulls[row]).collect();
        let weight: Vec<f64> = at.iter().map(|&row| kept.kappa * way.stiffness[row]).collect();
        let sums = |x: &[f64]| at.iter().map(|&row| self.rows[row].of(x)).collect::<Vec<f64>>();
        let pull = |out: &mut [f64], by: &[f64]| {
            at.iter().zip(by).for_each(|(&row, by)| self.rows[row].add_to(out, *by));
        };
        let gaps: Vec<f64> = at.iter().map(|&row| left.gaps[row]).collect();
        let resisting = |gaps: &[f64]| gaps.iter().zip(&weight).map(|(gap, weight)| gap * weight).collect::<Vec<f64>>();
        let mut against: Vec<f64> = left.gradient.iter().map(|g| -g).collect();
        let resisted: Vec<f64> = resisting(&gaps).iter().map(|force| -force).collect();
        pull(&mut against, &resisted);
        let mut dx = kept.factor.solve(&against);
        let mut dy = vec![0.0; at.len()];
        let mut gaps: Vec<f64> = sums(&dx).iter().zip(&gaps).map(|(sum, gap)| sum + gap).collect();
        let mut along = resisting(&gaps);
        let mut size = dot(&gaps, &along);
        for _ in 0..STEPS {
            if gaps.iter().all(|gap| gap.abs() <= 0.1 * POLISHED_DEG) {
                break;
            }
            let mut pulled = vec![0.0; dx.len()];
            pull(&mut pulled, &along);
            let answer = kept.factor.solve(&pulled);
            let drop = sums(&answer);
            let falls = dot(&along, &drop);
            // Along what follows from other sums there is no way; NaN ends it too.
            let least: f64 = along.iter().zip(&weight).map(|(along, weight)| along * along / weight).sum();
            let is_a_way = falls > LEAST_SHARE * least;
            if !is_a_way {
                break;
            }
            let length = size / falls;
            add(&mut dy, length, &along);
            add(&mut dx, -length, &answer);
            add(&mut gaps, -length, &drop);
            let resisting = resisting(&gaps);
            let before = std::mem::replace(&mut size, dot(&gaps, &resisting));
            along.iter_mut().zip(&resisting).for_each(|(along, now)| *along = now + size / before * *along);
        }
        add(x, 1.0, &dx);
        for ((&row, by), resisting) in at.iter().zip(&dy).zip(resisting(&gaps)) {
            forces[row] += by + resisting;
        }
    }

    /// What is left of the equations of the minimum with these sums at their limits.
    fn left(&self, stands: &[Stand], x: &[f64], forces: &[f64]) -> Left {
        let mut gradient: Vec<f64> =
            self.system.apply(x).iter().zip(&self.system.gradient).map(|(h, g)| h + g).collect();
        let mut gaps = vec![0.0; self.rows.len()];
        for (at, row) in self.rows.iter().enumerate() {
            row.add_to(&mut gradient, forces[at]);
            if let Stand::At(is_upper) = stands[at] {
                gaps[at] = row.of(x) - if is_upper { row.high } else { row.low };
            }
        }
        let alone = gradient.iter().zip(&self.system.diagonal).map(|(g, h)| g.abs() / h);
        let all = alone.chain(gaps.iter().map(|gap| gap.abs()));
        let size_deg = all.fold(0.0, |most: f64, deg| if deg.is_nan() { f64::NAN } else { most.max(deg) });
        Left { gradient, gaps, size_deg }
    }

    /// The rows whose sum is not where it was thought, where it should be looked for, and by how many degrees that shows.
    /// Forces next to nothing are no evidence.
    fn wrong(&self, way: &Way, stands: &[Stand], x: &[f64], forces: &[f64]) -> Vec<(usize, Stand, f64)> {
        let one = |(at, row): (usize, &super::rows::Row)| {
            let sum = row.of(x);
            let (over, under) = (sum - row.high, row.low - sum);
            let force_deg = forces[at] / way.stiffness[at];
            let (stand, by) = match stands[at] {
                Stand::Within => (Stand::At(over > under), over.max(under)),
                Stand::At(is_upper) => {
                    let pushes_deg = if is_upper { force_deg } else { -force_deg };
                    let over_cap = forces[at].abs() - self.cap;
                    if over_cap > 0.0 && pushes_deg > 0.0 {
                        (Stand::Beyond(is_upper), over_cap / way.stiffness[at])
                    } else {
                        (Stand::Within, -pushes_deg)
                    }
                }
                Stand::Beyond(is_upper) => (Stand::At(is_upper), if is_upper { -over } else { -under }),
            };
            (by > AIM_DEG).then_some((at, stand, by))
        };
        self.rows.iter().enumerate().filter_map(one).collect()
    }
}

pub(super) fn dot(one: &[f64], other: &[f64]) -> f64 {
    one.iter().zip(other).map(|(one, other)| one * other).sum()
}

pub(super) fn add(to: &mut [f64], times: f64, by: &[f64]) {
    to.iter_mut().zip(by).for_each(|(to, by)| *to += times * by);
}
