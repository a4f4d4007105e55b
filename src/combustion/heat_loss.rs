//! Heat that the gas loses to the walls.

use super::geometry::Cylinder;

/// Temperature of the walls in K. Assumed.
pub(super) const WALL_K: f64 = 450.0;

/// Woschni's correlation for one cylinder at one speed: h = 129.8 B^−0.2 p^0.8 T^−0.53 w^0.8 in W/(m²·K), with the bore in m,
/// p in bar, T in K, and the speed of the gas w = 2.28 S̄p + 3.24·10⁻³ Vd T₀/(p₀V₀)·(p − p motored) in m/s.
///
/// Woschni, SAE 670931, 1967.
#[derive(Clone, Copy, Debug)]
pub(super) struct HeatLoss {
    /// ln of the coefficient, with the factor for what is believed of the engine.
    coefficient_ln: f64,
    /// Speed of the gas from the piston alone, m/s.
    motored_m_s: f64,
    /// Further speed per Pa above the motored pressure, m/(s·Pa).
    fired_m_s_pa: f64,
}

impl HeatLoss {
    /// `factor_ln` is ln of a factor on the whole, −∞ for no loss at all; `trapped_k_pa` is Vd·T₀/(p₀·V₀) in K/Pa.
    pub(super) fn new(cylinder: &Cylinder, speed_rpm: f64, trapped_k_pa: f64, factor_ln: f64) -> Self {
        Self {
            coefficient_ln: 129.8_f64.ln() - 0.2 * cylinder.bore_m.ln() + factor_ln,
            motored_m_s: 2.28 * cylinder.piston_speed_m_s(speed_rpm),
            fired_m_s_pa: 3.24e-3 * trapped_k_pa,
        }
    }

    /// Heat flux in W/m² to the walls at a pressure, given as ln of Pa, and a temperature, while the pressure is above the
    /// motored one by `over_pa`.
    pub(super) fn flux_w_m2(&self, pressure_ln: f64, temperature_k: f64, over_pa: f64) -> f64 {
        let speed_m_s = self.motored_m_s + self.fired_m_s_pa * over_pa.max(0.0);
        let bar_ln = pressure_ln - BAR_LN;
        let ln = self.coefficient_ln + 0.8 * (bar_ln + speed_m_s.ln()) - 0.53 * temperature_k.ln();
        ln.exp() * (temperature_k - WALL_K)
    }
}

/// ln of one bar in Pa.
const BAR_LN: f64 = 11.512_925_464_970_229;

#[cfg(test)]
mod tests {
    use super::*;
    use crate::combustion::Description;
    use approx::assert_relative_eq;

    /// The correlation in its plain form, by hand.
    #[test]
    fn the_flux_is_woschnis() {
        let cylinder = Cylinder::new(&Description::default());
        let loss = HeatLoss::new(&cylinder, 3000.0, 2e-3, 0.0);
        let speed_m_s = 2.28 * cylinder.piston_speed_m_s(3000.0) + 3.24e-3 * 2e-3 * 1e6;
        let coefficient =
            129.8 * cylinder.bore_m.powf(-0.2) * 40_f64.powf(0.8) * 2000_f64.powf(-0.53) * speed_m_s.powf(0.8);
        let flux = loss.flux_w_m2(40e5_f64.ln(), 2000.0, 1e6);
        assert_relative_eq!(flux, coefficient * 1550.0, max_relative = 1e-12);
        assert_relative_eq!(BAR_LN, 1e5_f64.ln());
        let none = HeatLoss::new(&cylinder, 3000.0, 2e-3, f64::NEG_INFINITY);
        assert_eq!(none.flux_w_m2(40e5_f64.ln(), 2000.0, 1e6), 0.0);
    }
}
