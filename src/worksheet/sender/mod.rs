//! Temperature senders: converting between resistance and temperature of a thermistor whose resistance falls as
//! it warms, and what the unit reads from it.

mod answer;

use serde::Serialize;

use crate::wording::{Unit, quantity};
use crate::worksheet::{WorksheetError, check};

pub use answer::{Divider, SenderAnswer, SenderPlace, SenderRow, SenderVerdict};

/// 0 °C in K.
const ICE_K: f64 = 273.15;
/// Possible resistances, in Ω.
const LEAST_OHM: f64 = 0.1;
const MOST_OHM: f64 = 1e7;
/// Possible temperatures, in °C.
const COLDEST_C: f64 = -60.0;
const HOTTEST_C: f64 = 300.0;

/// 1/T = A + B·ln R + C·(ln R)³, T in K, R in Ω (Steinhart and Hart, "Calibration curves for thermistors",
/// Deep-Sea Research 15, 1968, from memory). The β form R = R₀·e^(β(1/T − 1/T₀)) is the same with B = 1/β and
/// C = 0.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct SenderLaw {
    /// A, in 1/K.
    pub a: f64,
    /// B, in 1/K.
    pub b: f64,
    /// C, in 1/K.
    pub c: f64,
    /// β in K, if the law was made from two points.
    pub beta: Option<f64>,
}

impl SenderLaw {
    /// The law through three points of a data sheet, each temperature in °C and resistance in Ω, in any order.
    ///
    /// # Errors
    /// [`WorksheetError`] for values that no sender has, and where the resistance does not fall throughout.
    pub fn steinhart_hart(points: [(f64, f64); 3]) -> Result<Self, WorksheetError> {
        let points = in_order(points)?;
        let [l1, l2, l3] = points.map(|(_, ohm)| ohm.ln());
        let [y1, y2, y3] = points.map(|(celsius, _)| 1.0 / (celsius + ICE_K));
        // Divided differences: those of ln R are 1, those of (ln R)³ are l1² + l1·l2 + l2².
        let (d2, d3) = ((y2 - y1) / (l2 - l1), (y3 - y1) / (l3 - l1));
        let c = (d3 - d2) / ((l3 - l2) * (l1 + l2 + l3));
        let b = d2 - c * (l1 * l1 + l1 * l2 + l2 * l2);
        let a = y1 - (b + l1 * l1 * c) * l1;
        let law = Self { a, b, c, beta: None };
        // 1/T must rise with ln R over the whole range, or two resistances would mean the same temperature.
        let rises = |ohm: f64| b + 3.0 * c * ohm.ln().powi(2) > 0.0;
        let least_ohm = points[2].1.min(points[0].1);
        if !c.is_finite() || !rises(least_ohm) || !rises(points[0].1.max(points[2].1)) {
            return Err(WorksheetError::Contradiction(
                "no sender follows these three points: look for a slip in one of them".into(),
            ));
        }
        Ok(law)
    }

    /// The β form through two points of a data sheet, each temperature in °C and resistance in Ω, in any order.
    ///
    /// # Errors
    /// [`WorksheetError`] as for three points.
    pub fn through_two(points: [(f64, f64); 2]) -> Result<Self, WorksheetError> {
        let [(cold_c, cold_ohm), (hot_c, hot_ohm)] = in_order(points)?;
        let (cold, hot) = (1.0 / (cold_c + ICE_K), 1.0 / (hot_c + ICE_K));
        Self::of_beta(cold_c, cold_ohm, (cold_ohm / hot_ohm).ln() / (cold - hot))
    }

    /// The β form from a resistance in Ω at a temperature in °C, and β in K.
    ///
    /// # Errors
    /// [`WorksheetError`] for values that no sender has.
    pub fn of_beta(celsius: f64, ohm: f64, beta: f64) -> Result<Self, WorksheetError> {
        check_point(celsius, ohm)?;
        check("β", beta, 500.0, 10_000.0, Unit::Kelvin)?;
        Ok(Self { a: 1.0 / (celsius + ICE_K) - ohm.ln() / beta, b: 1.0 / beta, c: 0.0, beta: Some(beta) })
    }

    /// Temperature in °C at a resistance in Ω.
    ///
    /// # Errors
    /// [`WorksheetError`] for a resistance that no sender has, or for which the law gives no temperature.
    pub fn temperature_c(&self, ohm: f64) -> Result<f64, WorksheetError> {
        check("resistance", ohm, LEAST_OHM, MOST_OHM, Unit::Ohm)?;
        let ln_ohm = ohm.ln();
        let inverse = self.a + (self.b + self.c * ln_ohm * ln_ohm) * ln_ohm;
        if inverse <= 0.0 {
            let message = format!("{} is far outside what the law was made for", quantity(ohm, Unit::Ohm));
            return Err(WorksheetError::Value { name: "resistance".into(), message });
        }
        Ok(1.0 / inverse - ICE_K)
    }

    /// Resistance in Ω at a temperature in °C, by bisecting ln R until the interval has no middle: exact to the
    /// last digit, and sure to terminate.
    ///
    /// # Errors
    /// [`WorksheetError`] for a temperature that no sender has, or one that the law does not reach.
    pub fn ohm(&self, celsius: f64) -> Result<f64, WorksheetError> {
        check("temperature", celsius, COLDEST_C, HOTTEST_C, Unit::Celsius)?;
        let wanted = 1.0 / (celsius + ICE_K);
        let at = |ln_ohm: f64| self.a + (self.b + self.c * ln_ohm * ln_ohm) * ln_ohm;
        let (mut low, mut high) = (LEAST_OHM.ln(), MOST_OHM.ln());
        if at(low) > wanted || at(high) < wanted {
            let message = format!("{} is far outside what the law was made for", quantity(celsius, Unit::Celsius));
            return Err(WorksheetError::Value { name: "temperature".into(), message });
        }
        loop {
            let middle = 0.5 * (low + high);
            if middle <= low || middle >= high {
                return Ok(middle.exp());
            }
            if at(middle) < wanted {
                low = middle;
            } else {
                high = middle;
            }
        }
    }
}

fn check_point(celsius: f64, ohm: f64) -> Result<(), WorksheetError> {
    check("temperature", celsius, COLDEST_C, HOTTEST_C, Unit::Celsius)?;
    check("resistance", ohm, LEAST_OHM, MOST_OHM, Unit::Ohm)
}

/// The points by rising temperature.
fn in_order<const N: usize>(mut points: [(f64, f64); N]) -> Result<[(f64, f64); N], WorksheetError> {
    points.iter().try_for_each(|&(celsius, ohm)| check_point(celsius, ohm))?;
    points.sort_by(|a, b| a.0.total_cmp(&b.0));
    for pair in points.windows(2) {
        let ((cold_c, cold_ohm), (hot_c, hot_ohm)) = (pair[0], pair[1]);
        if hot_c <= cold_c || hot_ohm >= cold_ohm {
            return Err(WorksheetError::Contradiction(format!(
                "{} at {} and {} at {}: the resistance must fall as the temperature rises",
                quantity(cold_ohm, Unit::Ohm),
                quantity(cold_c, Unit::Celsius),
                quantity(hot_ohm, Unit::Ohm),
                quantity(hot_c, Unit::Celsius)
            )));
        }
    }
    Ok(points)
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::{assert_abs_diff_eq, assert_relative_eq};
    use proptest::prelude::*;

    /// A coolant sender within common practice, no source: °C and Ω.
    const SENDER: [(f64, f64); 20] = [
        (-40.0, 48_805.0),
        (-30.0, 27_414.0),
        (-20.0, 15_971.0),
        (-10.0, 9_620.0),
        (0.0, 5_975.0),
        (10.0, 3_816.0),
        (20.0, 2_502.0),
        (25.0, 2_044.0),
        (30.0, 1_679.0),
        (40.0, 1_152.0),
        (50.0, 806.9),
        (60.0, 575.8),
        (70.0, 418.1),
        (80.0, 308.6),
        (90.0, 231.2),
        (100.0, 175.7),
        (110.0, 135.2),
        (120.0, 105.4),
        (130.0, 83.1),
        (140.0, 66.2),
    ];

    fn through_three() -> SenderLaw {
        SenderLaw::steinhart_hart([(0.0, 5_975.0), (50.0, 806.9), (100.0, 175.7)]).unwrap()
    }

    /// Coefficients and largest error computed with NumPy from the sender's table.
    #[test]
    fn three_points_of_a_sender_give_its_whole_table() {
        let law = through_three();
        assert_relative_eq!(law.a, 1.335_761_11e-3, max_relative = 5e-9);
        assert_relative_eq!(law.b, 2.560_233_46e-4, max_relative = 5e-9);
        assert_relative_eq!(law.c, 1.506_150_19e-7, max_relative = 5e-9);
        let error = |&(celsius, ohm): &(f64, f64)| (law.temperature_c(ohm).unwrap() - celsius).abs();
        let largest = SENDER.iter().map(error).fold(0.0, f64::max);
        assert_abs_diff_eq!(largest, 0.024_358_755, epsilon = 1e-8);
        // Computed with SciPy (`optimize.brentq`).
        for (celsius, ohm) in
            [(-40.0, 48_789.424_867), (25.0, 2_043.752_008), (85.0, 266.633_408), (120.0, 105.432_460)]
        {
            assert_abs_diff_eq!(law.ohm(celsius).unwrap(), ohm, epsilon = 2e-6);
        }
    }

    /// Rows of the resistance table of thermistor 10K3MCD1 in Campbell Scientific, "109SS Temperature Probe",
    /// instruction manual (2000s; numbers as printed, title and year from memory). The coefficients are common
    /// practice, no source, and reproduce the rows within 0.0004 °C; the last three temperatures are computed with
    /// NumPy.
    #[test]
    fn the_law_gives_the_table_of_a_thermistor() {
        let law = SenderLaw { a: 1.129_148e-3, b: 2.341_25e-4, c: 8.767_41e-8, beta: None };
        let rows = [
            (-40.0, 336_103.2),
            (-30.0, 176_804.8),
            (-20.0, 97_006.9),
            (-10.0, 55_303.9),
            (0.0, 32_650.9),
            (1.0, 31_030.8),
        ];
        for (celsius, ohm) in rows {
            assert_abs_diff_eq!(law.temperature_c(ohm).unwrap(), celsius, epsilon = 4e-4);
        }
        for (ohm, celsius) in [(5000.0, 41.572_12), (2000.0, 66.153_97), (1000.0, 87.168_14)] {
            assert_abs_diff_eq!(law.temperature_c(ohm).unwrap(), celsius, epsilon = 5e-6);
        }
    }

    /// β of the sender's rows at 20 and 90 °C, and 10 kΩ at 25 °C for two β, computed with NumPy.
    #[test]
    fn the_beta_form_agrees_with_figures_computed_elsewhere() {
        let law = SenderLaw::through_two([(90.0, 231.2), (20.0, 2502.0)]).unwrap();
        assert_abs_diff_eq!(law.beta.unwrap(), 3621.929, epsilon = 5e-4);
        assert_abs_diff_eq!(law.temperature_c(231.2).unwrap(), 90.0, epsilon = 1e-9);
        for (beta, expected) in [(3435.0, [28_704.290, 4_101.190, 987.037]), (3950.0, [33_620.604, 3_588.183, 697.520])]
        {
            let law = SenderLaw::of_beta(25.0, 10_000.0, beta).unwrap();
            for (celsius, ohm) in [0.0, 50.0, 100.0].into_iter().zip(expected) {
                assert_abs_diff_eq!(law.ohm(celsius).unwrap(), ohm, epsilon = 5e-4);
            }
        }
    }

    #[test]
    fn points_that_no_sender_has_are_refused() {
        let error = |points| SenderLaw::steinhart_hart(points).unwrap_err().to_string();
        assert!(error([(0.0, 100.0), (50.0, 200.0), (100.0, 50.0)]).contains("must fall as the temperature rises"));
        assert!(error([(0.0, 5975.0), (0.0, 806.9), (100.0, 175.7)]).contains("must fall"));
        assert!(error([(0.0, 5975.0), (50.0, 5974.0), (100.0, 175.7)]).contains("a slip in one of them"));
        assert!(error([(0.0, -1.0), (50.0, 200.0), (100.0, 50.0)]).contains("resistance: −1 is outside"));
        assert!(SenderLaw::through_two([(0.0, 5.0), (1.0, 4.999)]).unwrap_err().to_string().contains("β: "));
        assert!(through_three().temperature_c(0.0).is_err() && through_three().ohm(400.0).is_err());
    }

    proptest! {
        #[test]
        fn resistance_and_temperature_are_each_others_inverse(celsius in -50.0..200.0) {
            let law = through_three();
            prop_assert!((law.temperature_c(law.ohm(celsius).unwrap()).unwrap() - celsius).abs() < 1e-9);
        }
    }
}
