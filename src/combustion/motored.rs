//! The cycle of a cylinder that does not fire: what every spark begins from.

use super::charge::Charge;
use super::geometry::{Cylinder, STEPS, Step, grid_deg};
use super::knock::FROM_DEG;

/// The gas at one crank angle of the grid.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct Gas {
    pub(super) pressure_pa: f64,
    /// ln of the pressure in Pa.
    pub(super) pressure_ln: f64,
    pub(super) temperature_k: f64,
    /// The temperature one degree before.
    pub(super) before_k: f64,
}

/// What one degree did.
#[derive(Clone, Copy, Debug)]
pub(super) struct Stepped {
    pub(super) gas: Gas,
    pub(super) work_j: f64,
    pub(super) lost_j: f64,
}

impl Gas {
    /// The gas of a charge at −180°.
    pub(super) fn trapped(charge: &Charge) -> Self {
        let (pressure_pa, temperature_k) = (charge.pressure_pa, charge.temperature_k);
        Self { pressure_pa, pressure_ln: pressure_pa.ln(), temperature_k, before_k: temperature_k }
    }

    /// One degree further: half of the change of volume without loss, all heat at the middle volume, the other half
    /// (Strang, SIAM Journal on Numerical Analysis 5, 1968: second order). `over_pa` is the pressure above the motored one,
    /// `freed_j` the heat set free in this degree.
    #[inline]
    pub(super) fn step(
        &self,
        step: &Step,
        charge: &Charge,
        gamma: impl Fn(f64) -> f64,
        over_pa: f64,
        freed_j: f64,
    ) -> Stepped {
        let middle_k = self.temperature_k + 0.5 * (self.temperature_k - self.before_k);
        let gamma = gamma(middle_k);
        let lost_j = charge.loss.flux_w_m2(self.pressure_ln, middle_k, over_pa) * step.wall_m2 * charge.degree_s;
        let before_pa = self.pressure_pa * exp_near_0(gamma * step.first_half_ln);
        let after_pa = before_pa + (gamma - 1.0) * (freed_j - lost_j) / step.middle_m3;
        let pressure_pa = after_pa * exp_near_0(gamma * step.second_half_ln);
        let swept_m3 = step.ends_m3 - step.begins_m3;
        let hotter = pressure_pa * step.ends_m3 / (self.pressure_pa * step.begins_m3);
        Stepped {
            gas: Self {
                pressure_pa,
                pressure_ln: pressure_pa.ln(),
                temperature_k: self.temperature_k * hotter,
                before_k: self.temperature_k,
            },
            work_j: swept_m3 * (self.pressure_pa + 2.0 * (before_pa + after_pa) + pressure_pa) / 6.0,
            lost_j,
        }
    }
}

/// eˣ for |x| below 0.06, as half a degree of crank changes ln V at most: its series to the seventh power, exact to 2·10⁻¹⁴
/// and many times as fast.
#[inline]
fn exp_near_0(x: f64) -> f64 {
    let high = 1.0 + x / 4.0 * (1.0 + x / 5.0 * (1.0 + x / 6.0 * (1.0 + x / 7.0)));
    1.0 + x * (1.0 + x / 2.0 * (1.0 + x / 3.0 * high))
}

/// The motored cycle at one crank angle of the grid, with the sums up to it.
#[derive(Clone, Copy, Debug)]
pub(super) struct MotoredAt {
    pub(super) gas: Gas,
    /// Work done so far, J.
    pub(super) work_j: f64,
    /// Heat lost so far, J.
    pub(super) lost_j: f64,
    /// The knock integral so far.
    pub(super) knock: f64,
    /// The rate of knock here, 1/s.
    pub(super) knock_rate: f64,
}

/// The motored cycle over the grid.
#[derive(Clone, Debug)]
pub(super) struct Motored(Vec<MotoredAt>);

impl Motored {
    /// The motored cycle of a charge.
    pub(super) fn new(cylinder: &Cylinder, charge: &Charge, gamma: impl Fn(f64) -> f64 + Copy) -> Self {
        let mut now = MotoredAt { gas: Gas::trapped(charge), work_j: 0.0, lost_j: 0.0, knock: 0.0, knock_rate: 0.0 };
        let mut all = Vec::with_capacity(STEPS + 1);
        all.push(now);
        for (at, step) in cylinder.steps.iter().enumerate() {
            let stepped = now.gas.step(step, charge, gamma, 0.0, 0.0);
            now.gas = stepped.gas;
            now.work_j += stepped.work_j;
            now.lost_j += stepped.lost_j;
            if grid_deg(at + 1) > FROM_DEG {
                let rate = charge.knock.per_s(now.gas.pressure_ln, now.gas.temperature_k);
                now.knock += 0.5 * (now.knock_rate + rate) * charge.degree_s;
                now.knock_rate = rate;
            }
            all.push(now);
        }
        Self(all)
    }

    /// At the beginning of a step of the grid.
    pub(super) fn before(&self, step: usize) -> &MotoredAt {
        &self.0[step]
    }

    /// Pressure in Pa and temperature in K at a crank angle in degrees, linear between those of the grid and held beyond.
    pub(super) fn at(&self, deg: f64) -> (f64, f64) {
        let (at, share) = on_grid(deg);
        let (from, to) = (&self.0[at].gas, &self.0[at + 1].gas);
        let between = |from: f64, to: f64| from + (to - from) * share;
        (between(from.pressure_pa, to.pressure_pa), between(from.temperature_k, to.temperature_k))
    }
}

/// The step of the grid that a crank angle lies in, and how far along it; beyond the grid the nearest end.
pub(super) fn on_grid(deg: f64) -> (usize, f64) {
    let along = (deg - grid_deg(0)).max(0.0);
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "not negative, and bounded below")]
    let at = (along as usize).min(STEPS - 1);
    #[expect(clippy::cast_precision_loss, reason = "at most 320")]
    let share = (along - at as f64).min(1.0);
    (at, share)
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_relative_eq;

    #[test]
    fn the_series_is_the_exponential() {
        for thousandth in -60..=60_i32 {
            let x = f64::from(thousandth) / 1000.0;
            assert_relative_eq!(exp_near_0(x), x.exp(), max_relative = 2e-14);
        }
    }

    #[test]
    fn angles_lie_on_the_grid() {
        assert_eq!(on_grid(-180.0), (0, 0.0));
        assert_eq!(on_grid(-29.5), (150, 0.5));
        assert_eq!(on_grid(-200.0), (0, 0.0));
        assert_eq!(on_grid(140.0), (319, 1.0));
        assert_eq!(on_grid(500.0), (319, 1.0));
    }
}
