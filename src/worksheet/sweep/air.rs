//! Correction of torque for the air: what it would have been on a standard day. It is for comparing pulls with each
//! other, never for the readings of one sweep, whose top it does not move.

use crate::project::{AirStandard, SweepReading};

/// Factors outside this are too far from the standard day (ISO 1585, from memory).
const COMPARABLE: std::ops::RangeInclusive<f64> = 0.93..=1.07;
/// 0 °C in K.
const ICE_K: f64 = 273.15;
/// Humidity where none was read, in %. Common practice, no source.
const USUAL_HUMIDITY_PCT: f64 = 40.0;

impl AirStandard {
    /// What to multiply torque by. Air pressure in kPa, temperature in °C, relative humidity in %.
    ///
    /// SAE: 1.180·(99/pd)·√(T/298.15) − 0.180 (J1349 of 1990 as public pages give it; the text of 2004 differs by less
    /// than 0.0003). ISO: (99/pd)^1.2·(T/298.15)^0.6. DIN: (101.3/p)·√(T/293.15) with the moist pressure p. pd is the
    /// pressure of the dry air, T the temperature in K.
    pub fn factor(self, air_kpa: f64, air_c: f64, humidity_pct: f64) -> f64 {
        let kelvin = air_c + ICE_K;
        let dry_kpa = air_kpa - humidity_pct / 100.0 * vapour_kpa(air_c);
        match self {
            Self::Sae => 1.180 * (99.0 / dry_kpa) * (kelvin / 298.15).sqrt() - 0.180,
            Self::Iso => (99.0 / dry_kpa).powf(1.2) * (kelvin / 298.15).powf(0.6),
            Self::Din => 101.3 / air_kpa * (kelvin / 293.15).sqrt(),
        }
    }

    /// The factor for a reading; `None` if pressure or temperature of its air is not known.
    pub(super) fn factor_of(self, reading: &SweepReading) -> Option<f64> {
        let humidity_pct = reading.humidity_pct.unwrap_or(USUAL_HUMIDITY_PCT);
        let factor = self.factor(reading.air_kpa?, reading.air_c?, humidity_pct);
        (factor.is_finite() && factor > 0.0).then_some(factor)
    }

    /// Whether air that needs this factor can be compared with a standard day at all.
    pub fn is_comparable(factor: f64) -> bool {
        COMPARABLE.contains(&factor)
    }
}

/// Pressure of saturated water vapour in kPa over −40 to 50 °C (O. A. Alduchov and R. E. Eskridge, "Improved Magnus form
/// approximation of saturation vapor pressure", J. Appl. Meteor. 35, 1996, equation 21).
fn vapour_kpa(celsius: f64) -> f64 {
    0.610_94 * (17.625 * celsius / (celsius + 243.04)).exp()
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_abs_diff_eq;

    /// Computed with NumPy from the same formulas.
    #[test]
    fn factors_agree_with_figures_computed_elsewhere() {
        let days = [
            ((99.0, 25.0, 0.0), [1.0, 1.0, 1.031_922]),
            ((101.325, 20.0, 50.0), [0.976_533, 0.976_183, 0.999_753]),
            ((97.0, 32.0, 60.0), [1.075_256, 1.077_012, 1.065_490]),
            ((92.0, 10.0, 40.0), [1.064_060, 1.065_495, 1.082_144]),
        ];
        for ((air_kpa, air_c, humidity_pct), wanted) in days {
            for (standard, wanted) in [AirStandard::Sae, AirStandard::Iso, AirStandard::Din].into_iter().zip(wanted) {
                assert_abs_diff_eq!(standard.factor(air_kpa, air_c, humidity_pct), wanted, epsilon = 1e-6);
            }
        }
        assert_abs_diff_eq!(vapour_kpa(25.0), 3.161_736, epsilon = 1e-6);
        assert!(AirStandard::is_comparable(1.064) && !AirStandard::is_comparable(1.0753));
    }

    #[test]
    fn air_that_was_not_read_is_not_corrected_for() {
        let reading = SweepReading { air_kpa: Some(99.0), air_c: Some(25.0), ..SweepReading::default() };
        assert!(AirStandard::Din.factor_of(&reading).is_some());
        assert_eq!(AirStandard::Din.factor_of(&SweepReading { air_c: None, ..reading }), None);
    }
}
