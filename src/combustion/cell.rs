//! One place on the table: the sweep over sparks, best torque and the knock limit.

use super::belief::Corrections;
use super::burn::BurnRule;
use super::charge::Charge;
use super::cycle::{Fired, fire};
use super::geometry::Cylinder;
use super::motored::Motored;
use super::{Description, KnockLimit, Place, gas};

/// The sparks of a sweep, degrees before top dead centre: from −10° to 60° by 5°.
pub(super) const SWEEP_DEG: [f64; 15] =
    [-10.0, -5.0, 0.0, 5.0, 10.0, 15.0, 20.0, 25.0, 30.0, 35.0, 40.0, 45.0, 50.0, 55.0, 60.0];
const SWEEP_STEP_DEG: f64 = 5.0;
/// Best torque is found again by a parabola so far to either side.
const NEAR_DEG: f64 = 2.0;
/// When something is moved, best torque is found again in the cycles so far to either side.
const APART_DEG: f64 = 4.0;
/// The knock limit is found again by a straight line so far to either side.
const SECANT_DEG: f64 = 1.0;

/// The cycles of one place for one set of corrections.
#[derive(Clone, Debug)]
pub(super) struct Cell<'a> {
    cylinder: &'a Cylinder,
    pub(super) charge: Charge,
    motored: Motored,
    rule: BurnRule,
}

impl<'a> Cell<'a> {
    pub(super) fn new(
        description: &Description,
        cylinder: &'a Cylinder,
        place: Place,
        corrections: &Corrections,
    ) -> Self {
        let charge = Charge::new(description, cylinder, place, corrections);
        let motored = Motored::new(cylinder, &charge, gas::gamma);
        let rule = BurnRule::new(description.chamber, place.speed_rpm, corrections);
        Self { cylinder, charge, motored, rule }
    }

    /// The cycle of a spark, degrees before top dead centre.
    pub(super) fn fire(&self, advance_deg: f64) -> Fired {
        let spark_at_deg = -advance_deg;
        let angles = self.rule.angles(spark_at_deg, &self.motored, &self.charge);
        fire(self.cylinder, &self.charge, &self.motored, spark_at_deg, angles, gas::gamma)
    }

    /// Pressure in Pa and temperature in K without a spark, at a crank angle in degrees after top dead centre.
    #[cfg(test)]
    pub(super) fn motored_at(&self, deg: f64) -> (f64, f64) {
        self.motored.at(deg)
    }

    pub(super) fn sweep(&self) -> Sweep {
        let mut sweep = Sweep { net_pa: [0.0; 15], knock_ln: [0.0; 15] };
        for (at, advance_deg) in SWEEP_DEG.into_iter().enumerate() {
            let fired = self.fire(advance_deg);
            (sweep.net_pa[at], sweep.knock_ln[at]) = (fired.net_pa, fired.knock_ln());
        }
        sweep
    }

    /// The advance of best torque, degrees before top dead centre: a parabola through the best three of the sweep, and
    /// another close to its top.
    pub(super) fn best_torque_deg(&self, sweep: &Sweep) -> f64 {
        let near_deg = sweep.top_deg();
        let net = |advance_deg: f64| self.fire(advance_deg).net_pa;
        let [less, at, more] = [near_deg - NEAR_DEG, near_deg, near_deg + NEAR_DEG].map(net);
        near_deg + (NEAR_DEG * top_of_parabola(less, at, more)).clamp(-NEAR_DEG, NEAR_DEG)
    }

    /// The same by one parabola through the cycles [`APART_DEG`] to either side of an advance that is about it: good enough
    /// to see how it moves.
    pub(super) fn best_torque_near_deg(&self, near_deg: f64) -> f64 {
        self.best_torque_around_deg(near_deg, &self.fire(near_deg))
    }

    /// The same where the cycle of that advance is known.
    pub(super) fn best_torque_around_deg(&self, near_deg: f64, fired: &Fired) -> f64 {
        let [less, more] = [near_deg - APART_DEG, near_deg + APART_DEG].map(|deg| self.fire(deg).net_pa);
        near_deg + APART_DEG * top_of_parabola(less, fired.net_pa, more)
    }

    /// The advance at which the knock integral is one.
    pub(super) fn knock_limit(&self, sweep: &Sweep) -> KnockLimit {
        let KnockLimit::At(near_deg) = sweep.knock_limit(0.0) else { return sweep.knock_limit(0.0) };
        let from_deg = near_deg - SECANT_DEG;
        let [less, more] = [from_deg, near_deg + SECANT_DEG].map(|deg| self.fire(deg).knock_ln());
        let share = (-less / (more - less)).clamp(-1.0, 2.0);
        KnockLimit::At(from_deg + 2.0 * SECANT_DEG * share)
    }
}

/// The top of a parabola through three values at −1, 0 and 1; 0 where it has no top.
pub(super) fn top_of_parabola(less: f64, at: f64, more: f64) -> f64 {
    let bend = less - 2.0 * at + more;
    if bend < 0.0 { 0.5 * (less - more) / bend } else { 0.0 }
}

/// Net mean pressure and ln of the knock integral over [`SWEEP_DEG`].
#[derive(Clone, Copy, Debug)]
pub(super) struct Sweep {
    net_pa: [f64; 15],
    knock_ln: [f64; 15],
}

impl Sweep {
    /// The top of the parabola through the best three, degrees before top dead centre.
    fn top_deg(&self) -> f64 {
        let net = &self.net_pa;
        let best = (0..net.len()).fold(0, |best, at| if net[at] > net[best] { at } else { best });
        let middle = best.clamp(1, net.len() - 2);
        let top = top_of_parabola(net[middle - 1], net[middle], net[middle + 1]).clamp(-1.0, 1.0);
        SWEEP_DEG[middle] + SWEEP_STEP_DEG * top
    }

    /// Where ln of the knock integral first passes `level_ln`, linear between the sparks of the sweep.
    pub(super) fn knock_limit(&self, level_ln: f64) -> KnockLimit {
        let over = self.knock_ln.map(|ln| ln - level_ln);
        let Some(above) = over.iter().position(|ln| *ln >= 0.0) else { return KnockLimit::Beyond };
        let Some(below) = above.checked_sub(1) else { return KnockLimit::Always };
        let share = (-over[below] / (over[above] - over[below])).clamp(0.0, 1.0);
        KnockLimit::At(SWEEP_DEG[below] + SWEEP_STEP_DEG * share)
    }
}
