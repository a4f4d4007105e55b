//! The catalogue of thresholds: the limits that checks compare values with, and those that timing sweeps are judged by.
//! Their names, units, defaults and ranges are stated nowhere else; setting, listing, the checks and the sweeps all ask here.

use super::{DecidedBy, FieldKind, Parts};
use crate::wording::Unit;

/// A limit that a check compares values with, or that timing sweeps are judged by. The project keeps those that differ from
/// their default.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Threshold {
    /// Its name in `checks.thresholds`; it begins with the check's id, or with `sweep`.
    pub name: &'static str,
    /// What people call it.
    pub label: &'static str,
    /// Its unit; none where the project's load kind decides it.
    pub unit: Unit,
    /// What decides its unit.
    pub decided_by: DecidedBy,
    /// Its value unless the project says otherwise. Common practice, no source.
    pub default: f64,
    /// The least it may be.
    pub low: f64,
    /// The most it may be.
    pub high: f64,
    /// On which side of the default it lets more pass.
    pub looser: Looser,
}

/// On which side of its default a threshold lets more pass.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Looser {
    /// A larger value lets more pass: the threshold says how much there may be.
    Above,
    /// A smaller value lets more pass: the threshold says how much there must be.
    Below,
}

/// The path of the thresholds.
pub(super) const PATH: &str = "checks.thresholds";

impl Threshold {
    /// Its value in a project. A value outside its range is not used: the default holds instead, and a finding
    /// says so.
    pub fn of(&self, parts: &Parts) -> f64 {
        let own = parts.checks.thresholds.get(self.name).copied();
        own.filter(|own| self.allows(*own)).unwrap_or(self.default)
    }

    /// Whether this value lets more pass than the default.
    pub fn is_relaxed_at(&self, value: f64) -> bool {
        self.is_looser(value, self.default)
    }

    /// Whether one value lets more pass than another.
    pub fn is_looser(&self, value: f64, than: f64) -> bool {
        match self.looser {
            Looser::Above => value > than,
            Looser::Below => value < than,
        }
    }

    /// The same threshold, saying how much there must be.
    const fn least(self) -> Self {
        Self { looser: Looser::Below, ..self }
    }

    /// The same threshold, in the project's load unit.
    const fn in_load_unit(self) -> Self {
        Self { unit: Unit::None, decided_by: DecidedBy::LoadKind, ..self }
    }

    /// Whether it may have this value.
    pub fn allows(&self, value: f64) -> bool {
        (self.low..=self.high).contains(&value)
    }

    /// Its unit for a project.
    pub fn unit_in(&self, parts: &Parts) -> Unit {
        if self.decided_by == DecidedBy::LoadKind { parts.sensors.load.unit() } else { self.unit }
    }

    /// What it may be for a project.
    pub fn kind_in(&self, parts: &Parts) -> FieldKind {
        FieldKind::Number { unit: self.unit_in(parts), low: self.low, high: self.high }
    }
}

/// Thresholds of earlier checks: a project may still carry them, but nothing uses them.
const RETIRED: &[Threshold] =
    &[threshold("zero_proof_readings", "Timing-light readings, at least", Unit::None, 1.0, 100.0).least()];

/// The retired threshold of that name.
pub fn retired_threshold(name: &str) -> Option<&'static Threshold> {
    RETIRED.iter().find(|threshold| threshold.name == name)
}

/// The threshold of that name.
pub fn threshold_named(name: &str) -> Option<&'static Threshold> {
    THRESHOLDS.iter().find(|threshold| threshold.name == name)
}

/// A threshold from 0 to `high` that says how much there may be, unless `.least()` follows.
const fn threshold(name: &'static str, label: &'static str, unit: Unit, default: f64, high: f64) -> Threshold {
    Threshold { name, label, unit, decided_by: DecidedBy::Catalogue, default, low: 0.0, high, looser: Looser::Above }
}

/// A threshold with a range of its own.
const fn between(
    name: &'static str,
    label: &'static str,
    unit: Unit,
    default: f64,
    (low, high): (f64, f64),
) -> Threshold {
    Threshold { name, label, unit, decided_by: DecidedBy::Catalogue, default, low, high, looser: Looser::Above }
}

/// One constant per threshold, and the list of all of them in the order of the checks; those of timing sweeps at the end.
macro_rules! catalogue {
    ($($constant:ident = $threshold:expr;)*) => {
        $(
            #[doc = concat!("The threshold called `", stringify!($constant), "`, in small letters.")]
            pub const $constant: Threshold = $threshold;
        )*

        /// Every threshold, in the order of the checks; those of timing sweeps at the end.
        pub const THRESHOLDS: &[Threshold] = &[$($constant),*];
    };
}

catalogue! {
    GAP_CLEAR_FROM_DEG = between("gap_clear_from_deg", "Gap clear of sparks from", Unit::Degree, -5.0, (-60.0, 90.0));
    GAP_CLEAR_TO_DEG = between("gap_clear_to_deg", "Gap clear of sparks to", Unit::Degree, 45.0, (-60.0, 90.0)).least();
    CRANKING_ERROR_DEG = threshold("cranking_error_deg", "Early while cranking, at most", Unit::Degree, 3.0, 60.0);
    CRANKING_ERROR_VARIATION_PCT =
        threshold("cranking_error_variation_pct", "Speed variation while cranking", Unit::Percent, 30.0, 50.0).least();
    ZERO_OFFSET_DEG = threshold("zero_offset_deg", "Zero offset, at most", Unit::Degree, 10.0, 40.0);
    STANDS_OUT_DEG = threshold("stands_out_deg", "Stands out, warning from", Unit::Degree, 2.5, 60.0);
    STANDS_OUT_ERROR_DEG = threshold("stands_out_error_deg", "Stands out, error from", Unit::Degree, 4.0, 60.0);
    SLOPE_SPEED_DEG_PER_1000_RPM =
        threshold("slope_speed_deg_per_1000_rpm", "Slope along speed, at most", Unit::DegreePer1000Rpm, 15.0, 1000.0);
    SLOPE_LOAD_DEG_PER_KPA = threshold("slope_load_deg_per_kpa", "Slope along pressure, at most", Unit::DegreePerKilopascal, 0.6, 60.0);
    SLOPE_LOAD_SMALL_THROTTLE_DEG_PER_PCT =
        threshold("slope_load_small_throttle_deg_per_pct", "Small throttle opening, at most", Unit::DegreePerPercent, 2.0, 60.0);
    SLOPE_LOAD_DEG_PER_PCT =
        threshold("slope_load_deg_per_pct", "Larger throttle opening, at most", Unit::DegreePerPercent, 0.6, 60.0);
    SLOPE_LOAD_SMALL_THROTTLE_UP_TO_PCT =
        threshold("slope_load_small_throttle_up_to_pct", "Small throttle opening is up to", Unit::Percent, 15.0, 100.0);
    LOAD_TREND_DEG = threshold("load_trend_deg", "Rise in the upper half, at most", Unit::Degree, 1.0, 60.0);
    BOOST_TREND_DEG = threshold("boost_trend_deg", "Rise from row to row, at most", Unit::Degree, 0.5, 60.0);
    FULL_LOAD_LINE_ERROR_DEG =
        threshold("full_load_line_error_deg", "Above the full-load line, error from", Unit::Degree, 3.0, 60.0);
    BOOST_RETARD_DEG_PER_10_KPA =
        threshold("boost_retard_deg_per_10_kpa", "Retard with boost, at least", Unit::DegreePer10Kilopascal, 1.0, 60.0).least();
    BOOST_RETARD_FROM_RPM = threshold("boost_retard_from_rpm", "Retard with boost, from", Unit::Rpm, 2500.0, 30_000.0);
    BOOST_SIGNAL_KPA = threshold("boost_signal_kpa", "Pressure without boost, at most", Unit::Kilopascal, 110.0, 500.0);
    TOP_ROW_MARGIN_PCT = threshold("top_row_margin_pct", "Top row above the highest by", Unit::Percent, 15.0, 200.0).least();
    POINT_KNOCK_DEG = threshold("point_knock_deg", "Above a knock point, at most", Unit::Degree, 0.0, 60.0);
    POINT_HELD_DEG = threshold("point_held_deg", "Held cell beyond a point's interval, at most", Unit::Degree, 0.0, 60.0);
    POINT_MISSED_DEG = threshold("point_missed_deg", "Beyond a point's interval, at most", Unit::Degree, 0.0, 60.0);
    OPINION_KNOCK_INTEGRAL = threshold("opinion_knock_integral", "Knock integral of the second opinion, at most", Unit::None, 1.0, 20.0);
    OPINION_LATE_DEG = threshold("opinion_late_deg", "Later than best torque at part load, at most", Unit::Degree, 8.0, 60.0);
    REACH_SHORT_PCT = threshold("reach_short_pct", "Short of the cut, warning from", Unit::Percent, 5.0, 100.0);
    CROWDED_PCT = threshold("crowded_pct", "Apart, of the axis, at least", Unit::Percent, 1.0, 100.0).least();
    IDLE_SLOPE_RISE_DEG_PER_1000_RPM =
        threshold("idle_slope_rise_deg_per_1000_rpm", "Rise around idle, at most", Unit::DegreePer1000Rpm, 3.0, 1000.0);
    IDLE_SLOPE_FALL_DEG_PER_1000_RPM =
        threshold("idle_slope_fall_deg_per_1000_rpm", "Fall around idle, at most", Unit::DegreePer1000Rpm, 12.0, 1000.0);
    IDLE_SLOPE_WITHIN_RPM = threshold("idle_slope_within_rpm", "Around idle: within", Unit::Rpm, 300.0, 2000.0).least();
    IDLE_ROWS_DEG = threshold("idle_rows_deg", "Rows around idle apart, at most", Unit::Degree, 3.0, 60.0);
    CRANKING_ADVANCE_DEG = threshold("cranking_advance_deg", "While cranking, warning from", Unit::Degree, 13.0, 60.0);
    CRANKING_ADVANCE_ERROR_DEG =
        threshold("cranking_advance_error_deg", "While cranking, error from", Unit::Degree, 20.0, 60.0);
    CRANKING_ADVANCE_UP_TO_RPM =
        threshold("cranking_advance_up_to_rpm", "The starter turns it up to", Unit::Rpm, 400.0, 2000.0).least();
    CRANKING_STEP_DEG = threshold("cranking_step_deg", "From cranking to table, at most", Unit::Degree, 6.0, 60.0);
    HOT_TRIM_COOLANT_C = threshold("hot_trim_coolant_c", "Coolant is hot from", Unit::Celsius, 90.0, 200.0);
    HOT_TRIM_AIR_C = threshold("hot_trim_air_c", "Air is hot from", Unit::Celsius, 40.0, 200.0);
    HOT_IDLE_DEG = threshold("hot_idle_deg", "Left at a hot idle, at least", Unit::Degree, 4.0, 60.0).least();
    STAND_IN_DEG = threshold("stand_in_deg", "A stand-in adds, at most", Unit::Degree, 0.0, 60.0);
    BOOST_TRIM_DEG = threshold("boost_trim_deg", "Trims add under boost, at most", Unit::Degree, 2.0, 60.0);
    BOOST_TRIM_FROM_KPA = threshold("boost_trim_from_kpa", "Under boost is from", Unit::Kilopascal, 105.0, 500.0);
    OVER_SPEED_ORDER_HYSTERESIS_RPM =
        threshold("over_speed_order_hysteresis_rpm", "Fires again below the cut by", Unit::Rpm, 50.0, 2000.0).least();
    OVER_SPEED_ORDER_SECOND_CUT_RPM =
        threshold("over_speed_order_second_cut_rpm", "Second cut above the first, at least", Unit::Rpm, 50.0, 2000.0).least();
    OVER_SPEED_ORDER_SECOND_CUT_MOST_RPM =
        threshold("over_speed_order_second_cut_most_rpm", "Second cut above the first, at most", Unit::Rpm, 500.0, 5000.0);
    LATE_LAUNCH_DEG = between("late_launch_deg", "Launch advance, at least", Unit::Degree, -5.0, (-60.0, 90.0)).least();
    COMPRESSION_OCTANE_SHORT_RON =
        threshold("compression_octane_short_ron", "Octane short by, at most", Unit::Ron, 0.0, 40.0);
    PLUG_GAP_MM = threshold("plug_gap_mm", "Plug gap with boost, at most", Unit::Millimetre, 0.9, 3.0);
    PLUG_GAP_LESS_MM_PER_100_KPA =
        threshold("plug_gap_less_mm_per_100_kpa", "Plug gap less by, for boost", Unit::MillimetrePer100Kilopascal, 0.2, 3.0).least();
    DWELL_FIT_RUNNING_V = between("dwell_fit_running_v", "Battery at the limit", Unit::Volt, 12.0, (4.0, 60.0));
    COIL_ENERGY_MJ = threshold("coil_energy_mj", "Stored energy, at least", Unit::Millijoule, 30.0, 1000.0).least();
    COIL_ENERGY_BOOSTED_MJ =
        threshold("coil_energy_boosted_mj", "Stored energy with boost, at least", Unit::Millijoule, 50.0, 1000.0).least();
    COIL_ENERGY_RUNNING_V = between("coil_energy_running_v", "Battery at the limit", Unit::Volt, 12.0, (4.0, 60.0));
    COIL_ENERGY_CRANKING_V = between("coil_energy_cranking_v", "Battery while cranking", Unit::Volt, 8.0, (4.0, 60.0));
    COIL_ENERGY_CRANKING_RPM = between("coil_energy_cranking_rpm", "Cranking speed", Unit::Rpm, 200.0, (30.0, 1000.0)).least();
    PLUG_VOLTAGE_RESERVE_PCT =
        threshold("plug_voltage_reserve_pct", "Voltage in reserve, at least", Unit::Percent, 25.0, 300.0).least();
    CHATTER_SPEED_RPM = threshold("chatter_speed_rpm", "On and off apart, speed", Unit::Rpm, 50.0, 5000.0).least();
    CHATTER_TEMPERATURE_C = threshold("chatter_temperature_c", "On and off apart, temperature", Unit::Celsius, 2.0, 100.0).least();
    CHATTER_LOAD = threshold("chatter_load", "On and off apart, load", Unit::None, 2.0, 100.0).in_load_unit().least();
    CHATTER_THROTTLE_PCT = threshold("chatter_throttle_pct", "On and off apart, throttle", Unit::Percent, 2.0, 100.0).least();
    CHATTER_PRESSURE_KPA = threshold("chatter_pressure_kpa", "On and off apart, pressure", Unit::Kilopascal, 2.0, 100.0).least();
    CHATTER_BATTERY_V = threshold("chatter_battery_v", "On and off apart, battery", Unit::Volt, 0.3, 20.0).least();
    CHATTER_ADVANCE_DEG = threshold("chatter_advance_deg", "On and off apart, advance", Unit::Degree, 2.0, 60.0).least();
    IMAGE_LOSS_DEG = threshold("image_loss_deg", "Rounding of degrees, at most", Unit::Degree, 0.25, 60.0);
    IMAGE_LOSS_PCT = threshold("image_loss_pct", "Rounding of others, at most", Unit::Percent, 1.0, 100.0);
    IMAGE_LOSS_RESAMPLED_DEG = threshold("image_loss_resampled_deg", "Resampling, at most", Unit::Degree, 0.5, 60.0);
    SWEEP_SPEED_RPM = between("sweep_speed_rpm", "Readings of one point, speed within", Unit::Rpm, 50.0, (1.0, 1000.0));
    SWEEP_SPEED_PCT =
        threshold("sweep_speed_pct", "Readings of one point, or speed within", Unit::Percent, 1.5, 10.0);
    SWEEP_LOAD =
        between("sweep_load", "Readings of one point, load within", Unit::None, 2.0, (0.1, 50.0)).in_load_unit();
    SWEEP_PULL_PCT = between("sweep_pull_pct", "Rows of a pull, speed within", Unit::Percent, 3.0, (0.1, 10.0));
    SWEEP_KNOCK_MARGIN_DEG =
        threshold("sweep_knock_margin_deg", "Below what knocked, at least", Unit::Degree, 2.0, 20.0).least();
    SWEEP_SCATTER_PCT = threshold("sweep_scatter_pct", "Scatter about the curve, at most", Unit::Percent, 1.0, 50.0);
    SWEEP_DRIFT_PCT = threshold("sweep_drift_pct", "Drift over a sweep, at most", Unit::Percent, 2.0, 50.0);
    SWEEP_CURVES_DEG = threshold("sweep_curves_deg", "Curve and parabola apart, at most", Unit::Degree, 1.5, 60.0);
    SWEEP_LAMBDA = threshold("sweep_lambda", "Lambda within a sweep apart, at most", Unit::None, 0.05, 2.0);
    SWEEP_COOLANT_K = threshold("sweep_coolant_k", "Coolant within a sweep apart, at most", Unit::Kelvin, 8.0, 200.0);
    SWEEP_COOLANT_C = threshold("sweep_coolant_c", "Coolant in a sweep, at least", Unit::Celsius, 70.0, 200.0).least();
    SWEEP_AIR_K = threshold("sweep_air_k", "Intake air within a sweep apart, at most", Unit::Kelvin, 5.0, 200.0);
    SWEEP_HALF_WIDTH_DEG =
        threshold("sweep_half_width_deg", "Best torque is known to ±, at most", Unit::Degree, 1.5, 60.0);
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn names_are_told_apart_and_defaults_lie_in_their_range() {
        for (at, threshold) in THRESHOLDS.iter().enumerate() {
            assert!(threshold.allows(threshold.default) && threshold.low < threshold.high, "{}", threshold.name);
            assert!(THRESHOLDS[..at].iter().all(|other| other.name != threshold.name), "{}", threshold.name);
        }
    }
}
