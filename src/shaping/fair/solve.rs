//! The least bent correction within limits: multipliers (M. R. Hestenes, 1969; M. J. D. Powell, 1969) around a Newton
//! search for functions with kinks (L. Qi & J. Sun, 1993).
//!
//! A limited sum pulls on its cells with a force μ times as large as it lies beyond its limits; the force that it came to
//! is remembered as its multiplier, about which the next round is centred, so that in the end nothing lies beyond. All
//! sums that pull at the moment enter the matrix, whose pattern does not change by it.
//!
//! With a cap on the forces the same search gives the least sum of what lies beyond the limits: a sum whose force has
//! come to the cap no longer resists.

use super::factor::Factor;
use super::polish::{EXCHANGES, EXCHANGES_NEAR};
use super::rows::{Row, System};
use crate::shaping::ShapingError;
use crate::watch::Watch;

/// Rounds of multipliers, steps in each, and trials of a step's length: more than any table has needed.
const ROUNDS: usize = 60;
const STEPS: usize = 100;
const TRIALS: usize = 60;
/// A limit counts as kept, and a force as explained, to within this.
pub(super) const AIM_DEG: f64 = 5e-10;
/// The search refuses beyond this.
const ALLOWED_DEG: f64 = 1e-6;
/// The last rounds bring the gradient down to this share of the first, measured by how far a cell would move alone.
const LAST_SHARE: f64 = 1e-11;
/// So many steps without a gain end a round where rounding error may be all that is left.
const STALLED: usize = 4;
/// By how much each round brings the gradient further down.
const SHARE_OF_ROUND: f64 = 0.03;
/// A trial is good enough when the slope has fallen to this share.
const SLOPE_SHARE: f64 = 0.05;
/// Resistance to being beyond a limit, in units of the matrix' diagonal: at first, with a start that is known to be near,
/// and at most.
const RESISTANCE: f64 = 0.1;
const RESISTANCE_NEAR: f64 = 10.0;
const MOST_RESISTANCE: f64 = 1e8;
/// Where nothing lies farther beyond its limit than this, the sums at their limits may be the final ones.
const WORTH_POLISHING_DEG: f64 = 1e-2;

/// Where a search begins: corrections and forces.
#[derive(Clone, Debug)]
pub(in crate::shaping) struct Start {
    pub(in crate::shaping) correction: Vec<f64>,
    pub(in crate::shaping) forces: Vec<f64>,
}

/// What a search came to.
#[derive(Clone, Debug)]
pub(in crate::shaping) struct Solution {
    /// The correction of every free cell.
    pub(in crate::shaping) correction: Vec<f64>,
    /// The force of every row: above zero where it stands at its upper limit, below zero at the lower one.
    pub(in crate::shaping) forces: Vec<f64>,
}

/// A search for the minimum of a system within the limits of rows.
pub(in crate::shaping) struct Search<'a> {
    pub(in crate::shaping) system: &'a System,
    pub(in crate::shaping) rows: &'a [Row],
    /// No force becomes larger than this.
    pub(in crate::shaping) cap: f64,
    /// Is shown the correction after every step.
    pub(in crate::shaping) see: &'a dyn Fn(&[f64]),
}

/// A search on its way.
pub(super) struct Way {
    pub(super) x: Vec<f64>,
    /// Aᵀx.
    pub(super) sums: Vec<f64>,
    /// H x.
    pub(super) image: Vec<f64>,
    pub(super) multipliers: Vec<f64>,
    /// The resistance of each row at κ = 1.
    pub(super) stiffness: Vec<f64>,
    pub(super) kappa: f64,
    pub(super) kept: Option<Kept>,
}

/// A factor and what it is for.
pub(super) struct Kept {
    pub(super) factor: Factor,
    pub(super) pulls: Vec<bool>,
    pub(super) kappa: f64,
}

/// The forces of all rows at a point.
struct Forces {
    forces: Vec<f64>,
    /// Whether the force changes with the sum.
    pulls: Vec<bool>,
    gradient: Vec<f64>,
    /// How far a cell would move if it alone could, at most.
    size_deg: f64,
}

impl Search<'_> {
    /// Searches.
    ///
    /// # Errors
    /// [`ShapingError::Stopped`] by the watch, which is asked before every factorisation and every panel of one;
    /// [`ShapingError::FairUnsolved`] when the minimum is missed.
    pub(in crate::shaping) fn run(&self, start: Option<&Start>, watch: Watch<'_>) -> Result<Solution, ShapingError> {
        let mut way = self.begin(start);
        // From nearby, most sums stand where they stood: that leads to the minimum in a few factorisations, or not at all.
        if start.is_some() {
            let stands = self.stands(&way);
            if let Some((_, correction, forces)) = self.polished(&mut way, (stands, EXCHANGES_NEAR), watch)? {
                return Ok(Solution { correction, forces });
            }
        }
        let first_deg = self.forces(&way).size_deg.max(1.0);
        let (mut aim_deg, last_deg) = (1e-2 * first_deg, LAST_SHARE * first_deg);
        let mut out_before_deg = f64::INFINITY;
        let mut best = (f64::INFINITY, Vec::new(), Vec::new());
        let mut stands_before = Vec::new();
        for round in 0..ROUNDS {
            let size_deg = self.minimise(&mut way, aim_deg, watch)?;
            way.multipliers = self.forces(&way).forces;
            self.refresh(&mut way);
            let out_deg = self.beyond(&way);
            if out_deg.max(size_deg) < best.0 {
                best = (out_deg.max(size_deg), way.x.clone(), way.multipliers.clone());
            }
            let stands = self.stands(&way);
            let is_last = out_deg <= AIM_DEG && aim_deg <= last_deg;
            let is_worth_it = is_last || (stands == stands_before && out_deg <= WORTH_POLISHING_DEG);
            // After the first round a few exchanges often do: where they do not, little is lost.
            let exchanges = if is_worth_it { EXCHANGES } else { EXCHANGES_NEAR };
            if (is_worth_it || round == 0)
                && let Some(polished) = self.polished(&mut way, (stands.clone(), exchanges), watch)?
            {
                best = polished;
                break;
            }
            if is_last {
                break;
            }
            stands_before = stands;
            if out_deg > 0.1 * out_before_deg && way.kappa < MOST_RESISTANCE {
                way.kappa *= 10.0;
            }
            out_before_deg = out_deg;
            aim_deg = (SHARE_OF_ROUND * aim_deg).max(last_deg);
        }
        // NaN is never the best.
        let (missed_deg, correction, forces) = best;
        if missed_deg <= ALLOWED_DEG {
            return Ok(Solution { correction, forces });
        }
        Err(ShapingError::FairUnsolved { missed_deg, allowed_deg: ALLOWED_DEG })
    }

    fn begin(&self, start: Option<&Start>) -> Way {
        // By its largest weight: a point that leans on one cell but little resists there as much.
        let stiff = |row: &Row| {
            let entries = || row.entries();
            let diagonal = entries().map(|(cell, _)| self.system.diagonal[cell]).fold(0.0, f64::max);
            diagonal / entries().map(|(_, weight)| weight * weight).fold(f64::MIN_POSITIVE, f64::max)
        };
        let (x, multipliers) = match start {
            Some(start) => (start.correction.clone(), start.forces.clone()),
            None => (vec![0.0; self.system.size()], vec![0.0; self.rows.len()]),
        };
        let mut way = Way {
            x,
            sums: Vec::new(),
            image: Vec::new(),
            multipliers,
            stiffness: self.rows.iter().map(stiff).collect(),
            kappa: if start.is_some() { RESISTANCE_NEAR } else { RESISTANCE },
            kept: None,
        };
        self.refresh(&mut way);
        way
    }

    /// Computes afresh what is kept up to date by adding.
    fn refresh(&self, way: &mut Way) {
        way.sums = self.rows.iter().map(|row| row.of(&way.x)).collect();
        way.image = self.system.apply(&way.x);
    }

    /// The force of a row at a sum, and whether it changes with the sum.
    fn force(&self, way: &Way, row: usize, sum: f64) -> (f64, bool) {
        let resistance = way.kappa * way.stiffness[row];
        let wanted = sum + way.multipliers[row] / resistance;
        let limit = wanted.clamp(self.rows[row].low, self.rows[row].high);
        if limit == wanted {
            return (0.0, false);
        }
        let force = way.multipliers[row] + resistance * (sum - limit);
        (force.clamp(-self.cap, self.cap), force.abs() < self.cap)
    }

    fn forces(&self, way: &Way) -> Forces {
        let mut gradient: Vec<f64> = way.image.iter().zip(&self.system.gradient).map(|(h, g)| h + g).collect();
        let (mut forces, mut pulls) = (Vec::with_capacity(self.rows.len()), Vec::with_capacity(self.rows.len()));
        for (at, row) in self.rows.iter().enumerate() {
            let (force, does_pull) = self.force(way, at, way.sums[at]);
            if force != 0.0 {
                row.add_to(&mut gradient, force);
            }
            forces.push(force);
            pulls.push(does_pull);
        }
        let alone = gradient.iter().zip(&self.system.diagonal).map(|(g, h)| g.abs() / h);
        let size_deg = alone.fold(0.0, |most: f64, deg| if deg.is_nan() { f64::NAN } else { most.max(deg) });
        Forces { forces, pulls, gradient, size_deg }
    }

    /// Newton steps until the gradient is within the aim, and beyond it while that costs no factorisation; returns how
    /// large it is.
    fn minimise(&self, way: &mut Way, aim_deg: f64, watch: Watch<'_>) -> Result<f64, ShapingError> {
        let (mut before_deg, mut least_deg, mut stalled) = (f64::INFINITY, f64::INFINITY, 0);
        for _ in 0..STEPS {
            let now = self.forces(way);
            stalled = if now.size_deg < 0.9 * least_deg { 0 } else { stalled + 1 };
            least_deg = least_deg.min(now.size_deg);
            let is_kept = way.kept.as_ref().is_some_and(|kept| kept.pulls == now.pulls && kept.kappa == way.kappa);
            let is_done = now.size_deg <= aim_deg && (!is_kept || now.size_deg > 0.1 * before_deg);
            let is_stalled = stalled >= STALLED && now.size_deg <= ALLOWED_DEG;
            if now.size_deg.is_nan() || now.size_deg == 0.0 || is_done || is_stalled {
                return Ok(now.size_deg);
            }
            before_deg = now.size_deg;
            if !is_kept {
                watch.next()?;
                let factor = self.factor(way, &now.pulls, watch)?;
                way.kept = Some(Kept { factor, pulls: now.pulls.clone(), kappa: way.kappa });
            }
            let Some(kept) = &way.kept else { break };
            let against: Vec<f64> = now.gradient.iter().map(|g| -g).collect();
            let direction = kept.factor.solve(&against);
            self.step(way, &direction);
            (self.see)(&way.x);
        }
        Ok(self.forces(way).size_deg)
    }

    pub(super) fn factor(&self, way: &Way, pulls: &[bool], watch: Watch<'_>) -> Result<Factor, ShapingError> {
        let mut matrix = self.system.matrix.clone();
        for ((row, stiffness), _) in self.rows.iter().zip(&way.stiffness).zip(pulls).filter(|(_, pulls)| **pulls) {
            row.add_square_to(&mut matrix, way.kappa * stiffness);
        }
        Ok(matrix.factorised(watch)?)
    }

    /// Goes along a direction to where the slope is next to nothing.
    fn step(&self, way: &mut Way, direction: &[f64]) {
        let image = self.system.apply(direction);
        let sums: Vec<f64> = self.rows.iter().map(|row| row.of(direction)).collect();
        let length = self.length(way, direction, &image, &sums);
        let go = |to: &mut [f64], by: &[f64]| to.iter_mut().zip(by).for_each(|(to, by)| *to += length * by);
        go(&mut way.x, direction);
        go(&mut way.image, &image);
        go(&mut way.sums, &sums);
    }

    /// How far to go: 1, or where the slope, which is piecewise linear and rises, is small (regula falsi with halved
    /// ordinates, the Illinois variant).
    fn length(&self, way: &Way, direction: &[f64], image: &[f64], sums: &[f64]) -> f64 {
        let gradient = way.image.iter().zip(&self.system.gradient).map(|(h, g)| h + g);
        let at_start: f64 = direction.iter().zip(gradient).map(|(d, g)| d * g).sum();
        let rise: f64 = direction.iter().zip(image).map(|(d, h)| d * h).sum();
        let moving: Vec<usize> = (0..sums.len()).filter(|&row| sums[row] != 0.0).collect();
        let slope = |t: f64| {
            let pull = |&row: &usize| self.force(way, row, way.sums[row] + t * sums[row]).0 * sums[row];
            at_start + t * rise + moving.iter().map(pull).sum::<f64>()
        };
        let (mut low, mut high) = ((0.0, slope(0.0)), (1.0, slope(1.0)));
        let small = SLOPE_SHARE * low.1.abs();
        if high.1.abs() <= small {
            return 1.0;
        }
        while high.1 < 0.0 && high.0 < 1e3 {
            low = high;
            high = (2.0 * high.0, slope(2.0 * high.0));
        }
        let mut length = high.0;
        for _ in 0..TRIALS {
            length = low.0 - low.1 * (high.0 - low.0) / (high.1 - low.1);
            let now = slope(length);
            if now.abs() <= small {
                break;
            }
            if now > 0.0 {
                high = (length, now);
                low.1 *= 0.5;
            } else {
                low = (length, now);
                high.1 *= 0.5;
            }
        }
        // Where rounding hides the slope, the whole step is as good as any.
        if length.is_finite() { length } else { 1.0 }
    }

    /// How far a sum lies beyond its limits, or away from the limit that its force speaks of, at most; rows whose force has
    /// come to the cap do not count.
    fn beyond(&self, way: &Way) -> f64 {
        let rows = self.rows.iter().zip(&way.sums).zip(&way.multipliers);
        let out = rows.map(|((row, &sum), &force)| {
            if force.abs() >= self.cap {
                return 0.0;
            }
            let gap = match force.total_cmp(&0.0) {
                _ if force == 0.0 => 0.0,
                std::cmp::Ordering::Greater => (row.high - sum).abs(),
                _ => (sum - row.low).abs(),
            };
            row.beyond(sum).max(gap)
        });
        out.fold(0.0, f64::max)
    }
}

/// For searches that nobody looks at.
pub(in crate::shaping) fn unseen(_: &[f64]) {}
