//! When the end gas would knock.

use super::Description;
use super::gas::ATMOSPHERE_PA;
use crate::project::Induction;

/// Stoichiometric air to fuel ratio of petrol by mass. Heywood, from memory.
pub(super) const STOICHIOMETRIC: f64 = 14.6;
/// The integral begins here, degrees after top dead centre, and the rate before is taken as none. Assumed.
pub(super) const FROM_DEG: f64 = -60.0;
/// The scale of the delay in s.
const SCALE_S: f64 = 17.68e-3;

/// The octane number that counts in the engine: RON − K·(RON − MON), and more of it away from the mixture that knocks
/// most, 5 % rich, by 2 for each unit of the air to fuel ratio.
///
/// The form with K: Kalghatgi, SAE 2001-01-3584, 2001, from memory; K = 0.3 without boost and 0 with it is assumed. The
/// mixture: Russ, SAE 960497, 1996.
pub(super) fn effective_octane(description: &Description, lambda: f64) -> f64 {
    let share = match description.induction {
        Induction::NaturallyAspirated => 0.3,
        Induction::Boosted | Induction::Supercharged => 0.0,
    };
    let sensitivity = description.octane_ron - description.octane_mon;
    description.octane_ron - share * sensitivity + 2.0 * STOICHIOMETRIC * (lambda - 0.95).abs()
}

/// How fast the end gas of one fuel nears its knock: one over the ignition delay
/// τ = 17.68·10⁻³ (ON/100)^3.402 (p/atm)^−1.7 e^(3800 K/T) s.
///
/// Douaud and Eyzat, SAE 780080, 1978, fitted on reference fuels of 80 to 100 octane. Integrated over time it is one when
/// the gas knocks: Livengood and Wu, Fifth Symposium on Combustion, 1955.
#[derive(Clone, Copy, Debug)]
pub(super) struct KnockRate {
    /// ln of the rate in 1/s but for pressure and temperature.
    constant_ln: f64,
}

impl KnockRate {
    /// `time_factor_ln` is ln of a factor on the delay.
    pub(super) fn new(octane: f64, time_factor_ln: f64) -> Self {
        let pressure_ln = -1.7 * ATMOSPHERE_PA.ln();
        Self { constant_ln: -(SCALE_S.ln() + 3.402 * (octane / 100.0).ln() + time_factor_ln) + pressure_ln }
    }

    /// In 1/s, at a pressure given as ln of Pa and a temperature in K.
    pub(super) fn per_s(self, pressure_ln: f64, temperature_k: f64) -> f64 {
        (self.constant_ln + 1.7 * pressure_ln - 3800.0 / temperature_k).exp()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_abs_diff_eq;

    fn delay_ms(atmospheres: f64, temperature_k: f64, octane: f64) -> f64 {
        1e3 / KnockRate::new(octane, 0.0).per_s((atmospheres * ATMOSPHERE_PA).ln(), temperature_k)
    }

    /// Douaud and Eyzat, SAE 780080, 1978: their formula by hand.
    #[test]
    fn delays_are_those_of_the_published_formula() {
        assert_abs_diff_eq!(delay_ms(20.0, 800.0, 95.0), 10.5401, epsilon = 5e-5);
        assert_abs_diff_eq!(delay_ms(40.0, 850.0, 95.0), 2.453_28, epsilon = 5e-6);
        assert_abs_diff_eq!(delay_ms(40.0, 900.0, 95.0), 1.913_74, epsilon = 5e-6);
        assert_abs_diff_eq!(delay_ms(50.0, 900.0, 98.0), 1.455_70, epsilon = 5e-6);
    }

    /// Livengood and Wu, 1955: at constant pressure and temperature the integral is one after one delay.
    #[test]
    fn the_integral_over_one_delay_is_one() {
        let rate = KnockRate::new(95.0, 0.0).per_s(40e5_f64.ln(), 850.0);
        let steps = 1000;
        let seconds = delay_ms(40e5 / ATMOSPHERE_PA, 850.0, 95.0) / 1e3 / f64::from(steps);
        let integral: f64 = (0..steps).map(|_| 0.5 * (rate + rate) * seconds).sum();
        assert_abs_diff_eq!(integral, 1.0, epsilon = 1e-12);
    }

    #[test]
    fn the_octane_that_counts_depends_on_induction_and_mixture() {
        let natural = Description::default();
        assert_abs_diff_eq!(effective_octane(&natural, 0.878_857), 94.077, epsilon = 5e-4);
        assert_abs_diff_eq!(effective_octane(&natural, 0.95), 92.0, epsilon = 1e-12);
        let boosted = Description { induction: Induction::Boosted, ..natural };
        assert_abs_diff_eq!(effective_octane(&boosted, 0.95), 95.0, epsilon = 1e-12);
    }
}
