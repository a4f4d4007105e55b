//! How long the charge takes to burn, and how burning is spread over the crank angle.

use super::belief::{Corrections, Unknown};
use super::charge::Charge;
use super::gas::{end_gas_exponent, kinematic_viscosity, laminar_speed};
use super::motored::Motored;
use crate::project::Chamber;

/// Wiebe's form: a share 1 − e^(−5 y³) has burnt at a share y of the duration. Heywood, 1988, ch. 9.
const STEEPNESS: f64 = 5.0;
/// The share of the duration at which 10 % have burnt: (−ln(1 − x)/5)^⅓.
pub(super) const AT_10_PCT: f64 = 0.276_207_814_202_056_6;
/// The same at 50 %.
pub(super) const AT_50_PCT: f64 = 0.517_549_411_277_095;
/// The same at 90 %.
pub(super) const AT_90_PCT: f64 = 0.772_233_364_463_430_5;

/// The speed at which a chamber's burn angles hold, in rpm.
const REFERENCE_RPM: f64 = 2000.0;
/// Burn angles grow with this power of speed. Hires, Tabaczynski and Novak, SAE 780232, 1978, from memory, have ⅓, with
/// which they grew too fast from 1000 to 6000 rpm. Assumed.
const SPEED_EXPONENT: f64 = 0.20;
/// The gas in which a chamber's burn angles hold: equivalence ratio and share of residual.
const REFERENCE_MIXTURE: (f64, f64) = (1.0 / 0.88, 0.077);
/// The pressure in Pa and the temperature in K in which its angle from spark to 10 % holds.
const REFERENCE_DELAY: (f64, f64) = (15e5, 665.0);
/// The same for its angle from 10 to 90 %.
const REFERENCE_MAIN: (f64, f64) = (40e5, 850.0);
/// While the main part burns, the pressure is this many times the motored one. Assumed.
const BURNING_PRESSURE: f64 = 2.0;
/// What both angles keep to, in degrees.
const DELAYS_DEG: (f64, f64) = (2.0, 90.0);
const MAINS_DEG: (f64, f64) = (3.0, 120.0);

/// Crank angles in degrees from the spark until 10 % have burnt, and from there until 90 % have.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct BurnAngles {
    pub(super) delay_deg: f64,
    pub(super) main_deg: f64,
}

impl BurnAngles {
    /// Those of a chamber in its reference state at 2000 rpm. Assumed, such that best torque comes out where it usually is;
    /// nothing published was matched.
    pub(super) const fn of(chamber: Chamber) -> Self {
        let (delay_deg, main_deg) = match chamber {
            Chamber::SideValve => (20.0, 26.0),
            Chamber::TwoValveSidePlug => (22.0, 27.0),
            Chamber::TwoValveHemispherical => (23.0, 27.0),
            Chamber::TwoValveTwoPlugs => (19.0, 23.0),
            Chamber::FourValveCentralPlug => (20.0, 22.0),
            Chamber::FastBurnHighTumble => (16.0, 17.0),
        };
        Self { delay_deg, main_deg }
    }
}

/// The burn angles of a charge: Δ = Δ₀ (N/2000)^n (S₀/S)^⅔ (ν/ν₀)^⅓, with laminar speed S and viscosity ν of the gas that
/// burns. Exponents: Hires, Tabaczynski and Novak, SAE 780232, 1978, from memory; bore and clearance are left out. Assumed.
#[derive(Clone, Copy, Debug)]
pub(super) struct BurnRule {
    reference: BurnAngles,
    scale: f64,
    delay_gas: f64,
    main_gas: f64,
}

impl BurnRule {
    /// For a chamber at a speed.
    pub(super) fn new(chamber: Chamber, speed_rpm: f64, corrections: &Corrections) -> Self {
        let exponent = SPEED_EXPONENT + corrections.of(Unknown::SpeedExponent);
        let slower = corrections.of(Unknown::BurnTime) + exponent * (speed_rpm / REFERENCE_RPM).ln();
        let of_reference =
            |(pressure_pa, temperature_k): (f64, f64)| slowness(pressure_pa, temperature_k, REFERENCE_MIXTURE);
        Self {
            reference: BurnAngles::of(chamber),
            scale: slower.exp(),
            delay_gas: of_reference(REFERENCE_DELAY),
            main_gas: of_reference(REFERENCE_MAIN),
        }
    }

    /// The angles for a spark at a crank angle in degrees. Each is found in the gas in its middle, in two passes.
    pub(super) fn angles(&self, spark_at_deg: f64, motored: &Motored, charge: &Charge) -> BurnAngles {
        let mixture = (charge.equivalence, charge.residual);
        let delay = |from: f64| {
            let (pressure_pa, temperature_k) = motored.at(spark_at_deg + 0.5 * from);
            let gas = slowness(pressure_pa, temperature_k, mixture) / self.delay_gas;
            self.reference.delay_deg * self.scale * gas
        };
        let delay_deg = delay(delay(self.reference.delay_deg));
        let main = |from: f64| {
            let (pressure_pa, temperature_k) = motored.at(spark_at_deg + delay_deg + 0.45 * from);
            let burning_k = temperature_k * BURNING_PRESSURE.powf(end_gas_exponent(temperature_k));
            let gas = slowness(BURNING_PRESSURE * pressure_pa, burning_k, mixture) / self.main_gas;
            self.reference.main_deg * self.scale * gas
        };
        let main_deg = main(main(self.reference.main_deg));
        BurnAngles {
            delay_deg: delay_deg.clamp(DELAYS_DEG.0, DELAYS_DEG.1),
            main_deg: main_deg.clamp(MAINS_DEG.0, MAINS_DEG.1),
        }
    }
}

/// S^−⅔ ν^⅓ of a gas.
fn slowness(pressure_pa: f64, temperature_k: f64, (equivalence, residual): (f64, f64)) -> f64 {
    let speed = laminar_speed(temperature_k, pressure_pa, equivalence, residual);
    (kinematic_viscosity(temperature_k, pressure_pa) / (speed * speed)).cbrt()
}

/// Burning over the crank angle.
#[derive(Clone, Copy, Debug)]
pub(super) struct Wiebe {
    pub(super) begins_deg: f64,
    pub(super) duration_deg: f64,
}

impl Wiebe {
    /// For a spark at a crank angle in degrees: 10 % have burnt when the delay is over, but nothing before the spark.
    pub(super) fn new(spark_at_deg: f64, angles: BurnAngles) -> Self {
        let duration_deg = angles.main_deg / (AT_90_PCT - AT_10_PCT);
        let begins_deg = (spark_at_deg + angles.delay_deg - AT_10_PCT * duration_deg).max(spark_at_deg);
        Self { begins_deg, duration_deg }
    }

    /// The share that has burnt at a crank angle in degrees, 0 to 1.
    pub(super) fn burnt(&self, deg: f64) -> f64 {
        let y = ((deg - self.begins_deg) / self.duration_deg).clamp(0.0, 2.0);
        1.0 - (-STEEPNESS * y * y * y).exp()
    }

    /// The crank angle in degrees at a share of the duration.
    pub(super) fn deg_at(&self, share: f64) -> f64 {
        self.begins_deg + share * self.duration_deg
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_abs_diff_eq;

    /// By hand from the form: (−ln(1 − x)/5)^⅓, and 1 − e⁻⁵ at the end.
    #[test]
    fn shares_burnt_are_those_of_wiebes_form() {
        for (at, burnt) in [(AT_10_PCT, 0.1_f64), (AT_50_PCT, 0.5), (AT_90_PCT, 0.9)] {
            assert_abs_diff_eq!(at, (-(1.0 - burnt).ln() / 5.0).cbrt(), epsilon = 1e-15);
            let wiebe = Wiebe { begins_deg: -10.0, duration_deg: 60.0 };
            assert_abs_diff_eq!(wiebe.burnt(wiebe.deg_at(at)), burnt, epsilon = 1e-14);
        }
        assert_abs_diff_eq!(AT_10_PCT, 0.276_208, epsilon = 5e-7);
        assert_abs_diff_eq!(AT_50_PCT, 0.517_549, epsilon = 5e-7);
        assert_abs_diff_eq!(AT_90_PCT, 0.772_233, epsilon = 5e-7);
        let wiebe = Wiebe { begins_deg: 0.0, duration_deg: 1.0 };
        assert_abs_diff_eq!(wiebe.burnt(1.0), 0.993_262, epsilon = 5e-7);
        assert_eq!(wiebe.burnt(-5.0), 0.0);
    }

    #[test]
    fn a_chamber_in_its_reference_state_has_its_own_angles() {
        let of = |state: (f64, f64)| slowness(state.0, state.1, REFERENCE_MIXTURE);
        assert_abs_diff_eq!(of(REFERENCE_DELAY), (3.875_94e-6 / 0.940_202_f64.powi(2)).cbrt(), epsilon = 1e-8);
        assert_abs_diff_eq!(of(REFERENCE_MAIN), (2.206_095e-6 / 1.375_936_f64.powi(2)).cbrt(), epsilon = 1e-8);
    }
}
