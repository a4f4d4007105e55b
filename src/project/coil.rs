//! The coils and how long they are charged.

use serde::{Deserialize, Serialize};

use crate::table::Curve;

/// What one channel drives.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum CoilKind {
    /// One coil with two high-tension ends.
    DoubleEnded,
    /// Two coils driven together.
    TwoSingles,
}

/// The coils, their drivers and the dwell.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Coil {
    /// What one channel drives.
    pub kind: CoilKind,
    /// Primary resistance at 20 °C.
    pub resistance_ohm: f64,
    /// The temperature of the coil in service; copper's resistance rises 0.39 %/K above 20 °C.
    pub temperature_c: f64,
    /// Primary inductance.
    pub inductance_mh: f64,
    /// Resistance of the loom and connectors in the primary circuit.
    pub harness_ohm: f64,
    /// Voltage across the driver when it conducts.
    pub driver_drop_v: f64,
    /// The current at which the driver limits, if it does.
    pub current_limit_a: Option<f64>,
    /// The highest primary current the coil is rated for.
    pub rated_current_a: f64,
    /// How long the spark burns: charging starts no earlier than this after the coil's last spark.
    pub burn_time_ms: f64,
    /// Dwell in ms over battery voltage in V.
    pub dwell_ms: Curve,
    /// The highest voltage that it gives the plugs; `None` when it is not known.
    pub secondary_voltage_kv: Option<f64>,
}

/// Copper's rise of resistance per kelvin, from 20 °C: 0.393 %/K in IEC 60028, "International standard of resistance for
/// copper", International Electrotechnical Commission, 1925 (from memory), rounded.
const COPPER_PER_K: f64 = 0.0039;
const COPPER_FROM_C: f64 = 20.0;
/// Step in which battery voltages are scanned.
const STEP_V: f64 = 0.1;
/// A current above the rating by no more than this is at the rating: the excess is rounding error.
const DUST_A: f64 = 1e-9;

impl Coil {
    /// Resistance of the whole primary circuit in Ω: the coil at its temperature, and the harness.
    pub fn circuit_ohm(&self) -> f64 {
        let coil_ohm = self.resistance_ohm * (1.0 + COPPER_PER_K * (self.temperature_c - COPPER_FROM_C));
        coil_ohm + self.harness_ohm
    }

    /// Primary current in A after `dwell_ms` at `battery_v`, no more than the driver's limit.
    ///
    /// i(t) = (V − V_driver)/R·(1 − e^(−tR/L)): the step response of a resistance and an inductance in series (W. H.
    /// Hayt and J. E. Kemmerly, "Engineering Circuit Analysis", McGraw-Hill, 1962, on driven RL circuits, from memory). 0 for no dwell, and where the battery does not overcome the driver.
    pub fn current_a(&self, dwell_ms: f64, battery_v: f64) -> f64 {
        let (ohm, drive_v) = (self.circuit_ohm(), (battery_v - self.driver_drop_v).max(0.0));
        // Milliseconds over millihenries: the thousandths cancel.
        let current_a = drive_v / ohm * -(-dwell_ms.max(0.0) * ohm / self.inductance_mh).exp_m1();
        self.current_limit_a.map_or(current_a, |limit_a| current_a.min(limit_a))
    }

    /// Dwell in ms after which the current reaches `current_a` at `battery_v`: −(L/R)·ln(1 − I·R/(V − V_driver)).
    ///
    /// `None` where it never does: the circuit or the driver's limit holds it below.
    pub fn dwell_ms_to(&self, current_a: f64, battery_v: f64) -> Option<f64> {
        let (ohm, drive_v) = (self.circuit_ohm(), battery_v - self.driver_drop_v);
        let out_of_reach = drive_v <= 0.0 || current_a * ohm >= drive_v;
        if out_of_reach || self.current_limit_a.is_some_and(|limit_a| current_a > limit_a) {
            return None;
        }
        Some(-(self.inductance_mh / ohm) * (-current_a * ohm / drive_v).ln_1p())
    }

    /// The final current in A of the circuit at `battery_v`, at most the driver's limit.
    pub fn attainable_a(&self, battery_v: f64) -> f64 {
        let by_circuit_a = (battery_v - self.driver_drop_v).max(0.0) / self.circuit_ohm();
        self.current_limit_a.map_or(by_circuit_a, |limit_a| by_circuit_a.min(limit_a))
    }

    /// The battery voltage in V, from `low_v` to `high_v`, at which the dwell curve drives the most current, and that
    /// current in A. Between two points of the curve the current may rise and fall again, hence the search in
    /// small steps.
    pub fn most_current(&self, low_v: f64, high_v: f64) -> (f64, f64) {
        let high_v = high_v.max(low_v);
        #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "a few hundred steps")]
        let steps = ((high_v - low_v) / STEP_V).ceil() as u16;
        let between = (0..steps).map(|step| low_v + STEP_V * f64::from(step));
        let own = self.dwell_ms.axis().breakpoints().iter().copied().filter(|v| (low_v..=high_v).contains(v));
        let driven = |battery_v: f64| (battery_v, self.current_a(self.dwell_ms.lookup(battery_v), battery_v));
        let all = between.chain(own).chain([high_v]).map(driven);
        all.fold(driven(low_v), |most, next| if next.1 > most.1 { next } else { most })
    }

    /// Where between two battery voltages in V the dwell curve drives the most current, if that is more than the coil is
    /// rated for: the voltage, and the current in A.
    pub fn overload(&self, low_v: f64, high_v: f64) -> Option<(f64, f64)> {
        Some(self.most_current(low_v, high_v)).filter(|(_, current_a)| *current_a > self.rated_current_a + DUST_A)
    }

    /// Energy in mJ stored in the primary at `current_a`: ½·L·i².
    pub fn energy_mj(&self, current_a: f64) -> f64 {
        0.5 * self.inductance_mh * current_a * current_a
    }
}

#[cfg(test)]
mod tests {
    use approx::assert_abs_diff_eq;

    use super::*;

    /// 0.5 Ω and 3.7 mH, usual in practice, no source; cold, without harness.
    fn bare(driver_drop_v: f64) -> Coil {
        Coil {
            kind: CoilKind::DoubleEnded,
            resistance_ohm: 0.5,
            temperature_c: 20.0,
            inductance_mh: 3.7,
            harness_ohm: 0.0,
            driver_drop_v,
            current_limit_a: None,
            rated_current_a: 8.0,
            burn_time_ms: 1.0,
            dwell_ms: Curve::from_points(&[(6.0, 3.0), (16.0, 3.0)]).unwrap(),
            secondary_voltage_kv: None,
        }
    }

    /// Computed with NumPy: ms to 7 A, ms to 7.5 A, A after 3 ms.
    #[test]
    fn agrees_with_figures_computed_elsewhere() {
        let figures = [
            (6.0, 6.47847, 7.25814, 3.99952),
            (8.0, 4.25769, 4.68067, 5.33270),
            (10.0, 3.18779, 3.47803, 6.66587),
            (12.0, 2.55182, 2.77273, 7.99904),
            (14.0, 2.12885, 2.30717, 9.33222),
            (16.0, 1.82676, 1.97626, 10.66539),
        ];
        for (battery_v, to_7_ms, to_7_5_ms, after_3_ms_a) in figures {
            let coil = bare(0.0);
            assert_abs_diff_eq!(coil.dwell_ms_to(7.0, battery_v).unwrap(), to_7_ms, epsilon = 5e-6);
            assert_abs_diff_eq!(coil.dwell_ms_to(7.5, battery_v).unwrap(), to_7_5_ms, epsilon = 5e-6);
            assert_abs_diff_eq!(coil.current_a(3.0, battery_v), after_3_ms_a, epsilon = 5e-6);
        }
        for (battery_v, to_7_ms) in [(9.0, 4.40676), (12.0, 2.89837), (14.0, 2.36379)] {
            assert_abs_diff_eq!(bare(1.2).dwell_ms_to(7.0, battery_v).unwrap(), to_7_ms, epsilon = 5e-6);
        }
        assert_abs_diff_eq!(bare(0.0).energy_mj(7.0), 90.65, epsilon = 1e-9);
        assert_abs_diff_eq!(bare(0.0).energy_mj(7.5), 104.0625, epsilon = 1e-9);
    }

    /// 6 ms at 8 V falling to 1.9 ms at 15 V: the most current is at 11.5 V, between the points; found with
    /// NumPy in steps of 0.1 mV.
    #[test]
    fn the_most_current_may_lie_between_two_points_of_the_curve() {
        let dwell_ms = Curve::from_points(&[(8.0, 6.0), (15.0, 1.9)]).unwrap();
        let coil = Coil { temperature_c: 60.0, harness_ohm: 0.15, rated_current_a: 7.0, dwell_ms, ..bare(1.2) };
        let (battery_v, current_a) = coil.most_current(8.0, 15.0);
        assert_abs_diff_eq!(battery_v, 11.47, epsilon = 0.1);
        assert_abs_diff_eq!(current_a, 7.6445, epsilon = 1e-3);
        assert_eq!(coil.overload(8.0, 15.0), Some((battery_v, current_a)));
        assert_eq!(coil.overload(8.0, 8.0), None);
        assert_eq!(Coil { rated_current_a: current_a, ..coil.clone() }.overload(8.0, 15.0), None);
        assert_abs_diff_eq!(coil.attainable_a(12.0), 10.8 / 0.728, epsilon = 1e-12);
        assert_eq!(Coil { current_limit_a: Some(7.0), ..coil }.attainable_a(12.0), 7.0);
    }

    #[test]
    fn current_and_dwell_are_each_others_inverse_as_far_as_the_circuit_goes() {
        let warm = Coil { temperature_c: 80.0, harness_ohm: 0.15, ..bare(1.2) };
        assert_abs_diff_eq!(warm.circuit_ohm(), 0.5 * 1.234 + 0.15, epsilon = 1e-12);
        let dwell_ms = warm.dwell_ms_to(6.0, 12.0).unwrap();
        assert_abs_diff_eq!(warm.current_a(dwell_ms, 12.0), 6.0, epsilon = 1e-12);
        assert_eq!(warm.dwell_ms_to(6.0, 5.0), None);
        assert_eq!(warm.dwell_ms_to(6.0, 1.0), None);
        assert_eq!(warm.current_a(3.0, 1.0), 0.0);
        let limited = Coil { current_limit_a: Some(7.0), ..warm };
        assert_eq!(limited.current_a(50.0, 14.0), 7.0);
        assert_eq!(limited.dwell_ms_to(7.5, 14.0), None);
    }
}
