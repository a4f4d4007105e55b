//! Floor 4: the checks. Each examines a project for one kind of mistake and says where it is, why it matters
//! and what to do; if the remedy is mechanical, a [`Cure`] carries it out. One file per check.
//!
//! What makes a project invalid is refused when it is read and is not a finding. Ordinary good tables have
//! none. Thresholds are common practice, no source, unless stated; the project keeps those that differ from
//! their default. A finding that was accepted with a reason stays accepted until its value changes.

mod accepted;
#[cfg(test)]
mod carried_over;
mod cure;
mod finding;
#[cfg(test)]
mod fixtures;
mod margin;
mod measured;
#[cfg(test)]
mod proofs;
mod relaxed;
#[cfg(test)]
mod remedies;
mod run_verdict;
mod subject;

mod boost_retard;
mod boost_signal;
mod boost_trend;
mod boost_trim;
mod ceiling;
mod chatter;
mod check;
mod clamp_order;
mod coil_current;
mod coil_energy;
mod compression_octane;
mod cranking_advance;
mod cranking_error;
mod cranking_order;
mod cranking_step;
mod crowded;
mod dwell_fit;
mod full_load_line;
mod gap;
mod hot_idle;
mod hot_trim;
mod idle_rows;
mod idle_slope;
mod image_holds;
mod image_loss;
mod late_launch;
mod launch_order;
mod load_sensor;
mod load_trend;
mod locked_timing;
mod opinion_knock;
mod opinion_late;
mod output_sense;
mod over_speed_order;
mod over_speed_safe;
mod plug_gap;
mod plug_voltage;
mod point_held;
mod point_knock;
mod point_missed;
mod reach;
mod sensor_range;
mod settings;
mod slope_load;
mod slope_speed;
mod stand_in;
mod stands_out;
mod tachometer;
mod throttle_calibration;
mod top_row;
mod zero_offset;
mod zero_proof;

pub use crate::project::threshold_named as threshold;
pub use accepted::{AcceptError, accept, take_back_acceptance};
pub use check::{
    Check, Looked, SetThresholdError, Threshold, assumed_words, check, run, run_watched, run_with_margins,
};
pub use cure::{Change, Cure, SlopeLimit, Uncured};
pub use finding::{Finding, Place, Severity, Spot, Tally, worst_by_cell};
pub use margin::Margin;
pub use relaxed::{NO_REASON, Relaxed, relaxed, relaxed_words};
pub use run_verdict::{RunFact, RunVerdict, run_verdicts};

/// Every check, in the order in which a tuner works.
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
    &point_knock::CHECK,
    &point_held::CHECK,
    &point_missed::CHECK,
    &opinion_knock::CHECK,
    &opinion_late::CHECK,
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
