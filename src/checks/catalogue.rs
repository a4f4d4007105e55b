//! Every check, and running them all.

use super::check::Check;
use super::{Finding, Threshold};
use super::{
    boost_retard, boost_signal, boost_trend, boost_trim, ceiling, chatter, clamp_order, coil_current, coil_energy,
    compression_octane, cranking_advance, cranking_error, cranking_order, cranking_step, crowded, dwell_fit,
    full_load_line, gap, hot_idle, hot_trim, idle_rows, idle_slope, image_holds, image_loss, late_launch, launch_order,
    load_sensor, load_trend, locked_timing, output_sense, over_speed_order, over_speed_safe, plug_gap, plug_voltage,
    reach, sensor_range, settings, slope_load, slope_speed, stand_in, stands_out, tachometer, throttle_calibration,
    top_row, zero_offset, zero_proof,
};
use crate::project::Project;

/// Every check, in the order of the tuner's work.
pub const CHECKS: &[&Check] = &[
    &gap::CHECK,
    &cranking_error::CHECK,
    &zero_offset::CHECK,
    &zero_proof::CHECK,
    &load_sensor::CHECK,
    &throttle_calibration::CHECK,
    &sensor_range::CHECK,
    &boost_signal::CHECK,
    &compression_octane::CHECK,
    &stands_out::CHECK,
    &slope_speed::CHECK,
    &slope_load::CHECK,
    &load_trend::CHECK,
    &boost_trend::CHECK,
    &boost_retard::CHECK,
    &full_load_line::CHECK,
    &ceiling::CHECK,
    &top_row::CHECK,
    &reach::CHECK,
    &crowded::CHECK,
    &idle_slope::CHECK,
    &idle_rows::CHECK,
    &cranking_advance::CHECK,
    &cranking_step::CHECK,
    &hot_trim::CHECK,
    &hot_idle::CHECK,
    &stand_in::CHECK,
    &boost_trim::CHECK,
    &cranking_order::CHECK,
    &over_speed_order::CHECK,
    &over_speed_safe::CHECK,
    &launch_order::CHECK,
    &late_launch::CHECK,
    &clamp_order::CHECK,
    &dwell_fit::CHECK,
    &coil_energy::CHECK,
    &coil_current::CHECK,
    &plug_voltage::CHECK,
    &plug_gap::CHECK,
    &tachometer::CHECK,
    &chatter::CHECK,
    &output_sense::CHECK,
    &locked_timing::CHECK,
    &image_holds::CHECK,
    &image_loss::CHECK,
    &settings::CHECK,
];

/// The checks of what an engine is driven with: table, trims and what bounds them. A copy with locked timing is no map to
/// drive with, and has one advance on purpose.
pub(super) const OF_THE_MAP: &[&str] = &[
    "stands_out",
    "slope_speed",
    "slope_load",
    "load_trend",
    "boost_trend",
    "full_load_line",
    "ceiling",
    "top_row",
    "reach",
    "crowded",
    "idle_slope",
    "idle_rows",
    "cranking_step",
    "hot_trim",
    "boost_retard",
    "boost_trim",
    "hot_idle",
    "stand_in",
];

/// The check of that id.
pub fn check(id: &str) -> Option<&'static Check> {
    CHECKS.iter().find(|check| check.id == id).copied()
}

/// The threshold of that name.
pub fn threshold(name: &str) -> Option<&'static Threshold> {
    CHECKS.iter().flat_map(|check| check.thresholds).find(|threshold| threshold.name == name)
}

/// Runs every check, on a copy with locked timing those that are not of the map. The worst findings come first, equally bad ones in the order of [`CHECKS`]; the same project gives
/// the same list. Accepted findings are among them, with their reason.
pub fn run(project: &Project) -> Vec<Finding> {
    let is_locked = project.locked_timing_deg.is_some();
    let checks = CHECKS.iter().filter(|check| !(is_locked && OF_THE_MAP.contains(&check.id)));
    let mut findings: Vec<Finding> = checks.flat_map(|check| check.findings(project)).collect();
    findings.sort_by_key(|finding| finding.severity);
    findings
}
