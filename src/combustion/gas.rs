//! What the gas in the cylinder is like. All of it depends on temperature alone, but for the laminar speed.

/// Standard atmosphere in Pa.
pub(super) const ATMOSPHERE_PA: f64 = 101_325.0;
/// Gas constant of the charge in J/(kg·K), kept through the cycle; fuel vapour, air and residual. Assumed.
pub(super) const GAS_CONSTANT: f64 = 280.0;

/// The mean ratio of specific heats of a burning petrol charge at a temperature in K: 1.338 − 6·10⁻⁵ T + 10⁻⁸ T².
///
/// Brunt, Rai and Emtage, "The calculation of heat release energy from engine cylinder pressure data", SAE 981052, 1998.
pub(super) fn gamma(temperature_k: f64) -> f64 {
    1.338 - 6.0e-5 * temperature_k + 1.0e-8 * temperature_k * temperature_k
}

/// (γ − 1)/γ of the unburnt end gas at a temperature in K, so that T ~ p^κ along an isentrope.
///
/// A parabola through cp of stoichiometric iso-octane and air, within ±0.0004 from 300 to 1100 K (Heywood, Internal
/// Combustion Engine Fundamentals, 1988, table 4.11, from memory). Beyond, the parabola goes on.
pub(super) fn end_gas_exponent(temperature_k: f64) -> f64 {
    0.295_97 - 1.2682e-4 * temperature_k + 4.107e-8 * temperature_k * temperature_k
}

/// Kinematic viscosity in m²/s at a temperature in K and a pressure in Pa: 3.3·10⁻⁷ T^0.7 over the density.
///
/// Heywood, Internal Combustion Engine Fundamentals, 1988, ch. 4, from memory.
pub(super) fn kinematic_viscosity(temperature_k: f64, pressure_pa: f64) -> f64 {
    3.3e-7 * temperature_k.powf(0.7) * GAS_CONSTANT * temperature_k / pressure_pa
}

/// Laminar flame speed in m/s of petrol at temperature, pressure, equivalence ratio φ and mass share of residual gas.
///
/// Form and exponents: Metghalchi and Keck, Combustion and Flame 48, 1982, measured for 298–700 K, 0.4–50 atm, φ 0.8–1.5,
/// residual up to 0.2; petrol's coefficients: Rhodes and Keck, SAE 850047, 1985. Used up to 900 K, where only ratios of
/// speeds count. The floors of 0.05 m/s and of 0.15 of the undiluted speed are assumed; they keep it above zero.
pub(super) fn laminar_speed(temperature_k: f64, pressure_pa: f64, equivalence: f64, residual: f64) -> f64 {
    let rich = equivalence - 1.0;
    let undiluted = (0.305 - 0.549 * (equivalence - 1.21).powi(2)).max(0.05);
    let hotter = (2.18 - 0.8 * rich) * (temperature_k / 298.0).ln();
    let denser = (-0.16 + 0.22 * rich) * (pressure_pa / ATMOSPHERE_PA).ln();
    undiluted * (hotter + denser).exp() * (1.0 - 2.1 * residual).max(0.15)
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_abs_diff_eq;

    /// By hand from the form of Metghalchi and Keck: the factor 0.79 is 1 − 2.1·0.1.
    #[test]
    fn laminar_speeds_are_those_of_the_published_form() {
        assert_abs_diff_eq!(laminar_speed(298.0, ATMOSPHERE_PA, 1.0, 0.0), 0.280_79, epsilon = 5e-6);
        assert_abs_diff_eq!(laminar_speed(298.0, ATMOSPHERE_PA, 1.21, 0.0), 0.305, epsilon = 1e-12);
        let hot = laminar_speed(700.0, 20.0 * ATMOSPHERE_PA, 1.0, 0.0);
        assert_abs_diff_eq!(hot, 1.118_76, epsilon = 5e-6);
        let diluted = laminar_speed(700.0, 20.0 * ATMOSPHERE_PA, 1.0, 0.1);
        assert_abs_diff_eq!(diluted, 0.883_82, epsilon = 5e-6);
        assert_abs_diff_eq!(diluted / hot, 0.79, epsilon = 1e-12);
    }

    /// Mixtures of ideal gases with cp of iso-octane and air (Heywood, table 4.11, from memory).
    #[test]
    fn the_end_gas_is_that_of_iso_octane_and_air() {
        for (temperature_k, gamma) in [(300.0, 1.355), (600.0, 1.307), (900.0, 1.274)] {
            assert_abs_diff_eq!(1.0 / (1.0 - end_gas_exponent(temperature_k)), gamma, epsilon = 8e-4);
        }
    }
}
