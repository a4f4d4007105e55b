//! The catalogue of thresholds: the figures that findings are held against. The one place where their names, units,
//! defaults and ranges stand; setting, listing and the checks all ask here.

use super::{FieldKind, Parts};

/// A figure that a check holds values against. The project keeps those that differ from their default.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Threshold {
    /// Its name in `checks.thresholds`; it begins with the check's id.
    pub name: &'static str,
    /// What people call it.
    pub label: &'static str,
    /// Its unit; empty where it has none. `load` is the project's load unit.
    pub unit: &'static str,
    /// What it is unless the project says otherwise. Common practice, no source.
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
    /// A larger figure lets more pass: it says how much may be.
    Above,
    /// A smaller figure lets more pass: it says how much must be.
    Below,
}

/// The path of the thresholds.
pub(super) const PATH: &str = "checks.thresholds";

impl Threshold {
    /// What it is in a project. A figure outside its range is not used: the default holds, and a finding says so.
    pub fn of(&self, parts: &Parts) -> f64 {
        let own = parts.checks.thresholds.get(self.name).copied();
        own.filter(|own| self.allows(*own)).unwrap_or(self.default)
    }

    /// Whether with this figure it lets more pass than with its default.
    pub fn is_relaxed_at(&self, value: f64) -> bool {
        self.is_looser(value, self.default)
    }

    /// Whether with the one figure it lets more pass than with the other.
    pub fn is_looser(&self, value: f64, than: f64) -> bool {
        match self.looser {
            Looser::Above => value > than,
            Looser::Below => value < than,
        }
    }

    /// The same, saying how much must be.
    const fn least(self) -> Self {
        Self { looser: Looser::Below, ..self }
    }

    /// Whether it may be so much.
    pub fn allows(&self, value: f64) -> bool {
        (self.low..=self.high).contains(&value)
    }

    /// Its unit in a project.
    pub fn unit_in(&self, parts: &Parts) -> &'static str {
        if self.unit == "load" { parts.sensors.load.unit() } else { self.unit }
    }

    /// What it may be in a project.
    pub fn kind_in(&self, parts: &Parts) -> FieldKind {
        FieldKind::Number { unit: self.unit_in(parts), low: self.low, high: self.high }
    }
}

/// Thresholds that checks had once: a project may carry them, and none uses them any more.
const RETIRED: &[Threshold] =
    &[threshold("zero_proof_readings", "Timing-light readings, at least", "", 1.0, 100.0).least()];

/// The threshold of that name that no check uses any more.
pub fn retired_threshold(name: &str) -> Option<&'static Threshold> {
    RETIRED.iter().find(|threshold| threshold.name == name)
}

/// The threshold of that name.
pub fn threshold_named(name: &str) -> Option<&'static Threshold> {
    THRESHOLDS.iter().find(|threshold| threshold.name == name)
}

/// A threshold from 0 to `high`; it says how much may be, unless `least` is said of it.
const fn threshold(name: &'static str, label: &'static str, unit: &'static str, default: f64, high: f64) -> Threshold {
    Threshold { name, label, unit, default, low: 0.0, high, looser: Looser::Above }
}

/// A threshold between two figures.
const fn between(
    name: &'static str,
    label: &'static str,
    unit: &'static str,
    default: f64,
    (low, high): (f64, f64),
) -> Threshold {
    Threshold { name, label, unit, default, low, high, looser: Looser::Above }
}

/// One constant for each threshold, and the list of all in the order of the checks.
macro_rules! catalogue {
    ($($constant:ident = $threshold:expr;)*) => {
        $(
            #[doc = concat!("The threshold called `", stringify!($constant), "`, in small letters.")]
            pub const $constant: Threshold = $threshold;
        )*

        /// Every threshold, in the order of the checks.
        pub const THRESHOLDS: &[Threshold] = &[$($constant),*];
    };
}

catalogue! {
    GAP_CLEAR_FROM_DEG = between("gap_clear_from_deg", "Gap clear of sparks from", "°", -5.0, (-60.0, 90.0));
    GAP_CLEAR_TO_DEG = between("gap_clear_to_deg", "Gap clear of sparks to", "°", 45.0, (-60.0, 90.0)).least();
    CRANKING_ERROR_DEG = threshold("cranking_error_deg", "Early while cranking, at most", "°", 3.0, 60.0);
    CRANKING_ERROR_VARIATION_PCT =
        threshold("cranking_error_variation_pct", "Speed variation while cranking", "%", 30.0, 50.0).least();
    ZERO_OFFSET_DEG = threshold("zero_offset_deg", "Zero offset, at most", "°", 10.0, 40.0);
    STANDS_OUT_DEG = threshold("stands_out_deg", "Stands out, warning from", "°", 2.5, 60.0);
    STANDS_OUT_ERROR_DEG = threshold("stands_out_error_deg", "Stands out, error from", "°", 4.0, 60.0);
    SLOPE_SPEED_DEG_PER_1000_RPM =
        threshold("slope_speed_deg_per_1000_rpm", "Slope along speed, at most", "°/1000 rpm", 15.0, 1000.0);
    SLOPE_LOAD_DEG_PER_KPA = threshold("slope_load_deg_per_kpa", "Slope along pressure, at most", "°/kPa", 0.6, 60.0);
    SLOPE_LOAD_SMALL_THROTTLE_DEG_PER_PCT =
        threshold("slope_load_small_throttle_deg_per_pct", "Small throttle opening, at most", "°/%", 2.0, 60.0);
    SLOPE_LOAD_DEG_PER_PCT =
        threshold("slope_load_deg_per_pct", "Larger throttle opening, at most", "°/%", 0.6, 60.0);
    SLOPE_LOAD_SMALL_THROTTLE_UP_TO_PCT =
        threshold("slope_load_small_throttle_up_to_pct", "Small throttle opening is up to", "%", 15.0, 100.0);
    LOAD_TREND_DEG = threshold("load_trend_deg", "Rise in the upper half, at most", "°", 1.0, 60.0);
    BOOST_TREND_DEG = threshold("boost_trend_deg", "Rise from row to row, at most", "°", 0.5, 60.0);
    FULL_LOAD_LINE_ERROR_DEG =
        threshold("full_load_line_error_deg", "Above the full-load line, error from", "°", 3.0, 60.0);
    BOOST_RETARD_DEG_PER_10_KPA =
        threshold("boost_retard_deg_per_10_kpa", "Retard with boost, at least", "°/10 kPa", 1.0, 60.0).least();
    BOOST_RETARD_FROM_RPM = threshold("boost_retard_from_rpm", "Retard with boost, from", "rpm", 2500.0, 30_000.0);
    BOOST_SIGNAL_KPA = threshold("boost_signal_kpa", "Pressure without boost, at most", "kPa", 110.0, 500.0);
    TOP_ROW_MARGIN_PCT = threshold("top_row_margin_pct", "Top row above the highest by", "%", 15.0, 200.0).least();
    REACH_SHORT_PCT = threshold("reach_short_pct", "Short of the cut, warning from", "%", 5.0, 100.0);
    CROWDED_PCT = threshold("crowded_pct", "Apart, of the axis, at least", "%", 1.0, 100.0).least();
    IDLE_SLOPE_RISE_DEG_PER_1000_RPM =
        threshold("idle_slope_rise_deg_per_1000_rpm", "Rise around idle, at most", "°/1000 rpm", 3.0, 1000.0);
    IDLE_SLOPE_FALL_DEG_PER_1000_RPM =
        threshold("idle_slope_fall_deg_per_1000_rpm", "Fall around idle, at most", "°/1000 rpm", 12.0, 1000.0);
    IDLE_SLOPE_WITHIN_RPM = threshold("idle_slope_within_rpm", "Around idle: within", "rpm", 300.0, 2000.0).least();
    IDLE_ROWS_DEG = threshold("idle_rows_deg", "Rows around idle apart, at most", "°", 3.0, 60.0);
    CRANKING_ADVANCE_DEG = threshold("cranking_advance_deg", "While cranking, warning from", "°", 13.0, 60.0);
    CRANKING_ADVANCE_ERROR_DEG =
        threshold("cranking_advance_error_deg", "While cranking, error from", "°", 20.0, 60.0);
    CRANKING_ADVANCE_UP_TO_RPM =
        threshold("cranking_advance_up_to_rpm", "The starter turns it up to", "rpm", 400.0, 2000.0).least();
    CRANKING_STEP_DEG = threshold("cranking_step_deg", "From cranking to table, at most", "°", 6.0, 60.0);
    HOT_TRIM_COOLANT_C = threshold("hot_trim_coolant_c", "Coolant is hot from", "°C", 90.0, 200.0);
    HOT_TRIM_AIR_C = threshold("hot_trim_air_c", "Air is hot from", "°C", 40.0, 200.0);
    HOT_IDLE_DEG = threshold("hot_idle_deg", "Left at a hot idle, at least", "°", 4.0, 60.0).least();
    STAND_IN_DEG = threshold("stand_in_deg", "A stand-in adds, at most", "°", 0.0, 60.0);
    BOOST_TRIM_DEG = threshold("boost_trim_deg", "Trims add under boost, at most", "°", 2.0, 60.0);
    BOOST_TRIM_FROM_KPA = threshold("boost_trim_from_kpa", "Under boost is from", "kPa", 105.0, 500.0);
    OVER_SPEED_ORDER_HYSTERESIS_RPM =
        threshold("over_speed_order_hysteresis_rpm", "Fires again below the cut by", "rpm", 50.0, 2000.0).least();
    OVER_SPEED_ORDER_SECOND_CUT_RPM =
        threshold("over_speed_order_second_cut_rpm", "Second cut above the first, at least", "rpm", 50.0, 2000.0).least();
    OVER_SPEED_ORDER_SECOND_CUT_MOST_RPM =
        threshold("over_speed_order_second_cut_most_rpm", "Second cut above the first, at most", "rpm", 500.0, 5000.0);
    LATE_LAUNCH_DEG = between("late_launch_deg", "Launch advance, at least", "°", -5.0, (-60.0, 90.0)).least();
    COMPRESSION_OCTANE_SHORT_RON =
        threshold("compression_octane_short_ron", "Octane short by, at most", "RON", 0.0, 40.0);
    PLUG_GAP_MM = threshold("plug_gap_mm", "Plug gap with boost, at most", "mm", 0.9, 3.0);
    PLUG_GAP_LESS_MM_PER_100_KPA =
        threshold("plug_gap_less_mm_per_100_kpa", "Plug gap less by, for boost", "mm/100 kPa", 0.2, 3.0).least();
    DWELL_FIT_RUNNING_V = between("dwell_fit_running_v", "Battery at the limit", "V", 12.0, (4.0, 60.0));
    COIL_ENERGY_MJ = threshold("coil_energy_mj", "Stored energy, at least", "mJ", 30.0, 1000.0).least();
    COIL_ENERGY_BOOSTED_MJ =
        threshold("coil_energy_boosted_mj", "Stored energy with boost, at least", "mJ", 50.0, 1000.0).least();
    COIL_ENERGY_RUNNING_V = between("coil_energy_running_v", "Battery at the limit", "V", 12.0, (4.0, 60.0));
    COIL_ENERGY_CRANKING_V = between("coil_energy_cranking_v", "Battery while cranking", "V", 8.0, (4.0, 60.0));
    COIL_ENERGY_CRANKING_RPM = between("coil_energy_cranking_rpm", "Cranking speed", "rpm", 200.0, (30.0, 1000.0)).least();
    PLUG_VOLTAGE_RESERVE_PCT =
        threshold("plug_voltage_reserve_pct", "Voltage in reserve, at least", "%", 25.0, 300.0).least();
    CHATTER_SPEED_RPM = threshold("chatter_speed_rpm", "On and off apart, speed", "rpm", 50.0, 5000.0).least();
    CHATTER_TEMPERATURE_C = threshold("chatter_temperature_c", "On and off apart, temperature", "°C", 2.0, 100.0).least();
    CHATTER_LOAD = threshold("chatter_load", "On and off apart, load", "load", 2.0, 100.0).least();
    CHATTER_THROTTLE_PCT = threshold("chatter_throttle_pct", "On and off apart, throttle", "%", 2.0, 100.0).least();
    CHATTER_PRESSURE_KPA = threshold("chatter_pressure_kpa", "On and off apart, pressure", "kPa", 2.0, 100.0).least();
    CHATTER_BATTERY_V = threshold("chatter_battery_v", "On and off apart, battery", "V", 0.3, 20.0).least();
    CHATTER_ADVANCE_DEG = threshold("chatter_advance_deg", "On and off apart, advance", "°", 2.0, 60.0).least();
    IMAGE_LOSS_DEG = threshold("image_loss_deg", "Rounding of degrees, at most", "°", 0.25, 60.0);
    IMAGE_LOSS_PCT = threshold("image_loss_pct", "Rounding of others, at most", "%", 1.0, 100.0);
    IMAGE_LOSS_RESAMPLED_DEG = threshold("image_loss_resampled_deg", "Resampling, at most", "°", 0.5, 60.0);
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
