//! Timing sweeps: at a held speed and load the advance is moved step by step and torque is read at each. From the
//! readings come best torque, the flat top, the least advance that loses nothing, and where knock sets in.

mod air;
mod answer;
mod bringing;
mod choice;
mod choosing;
mod concluding;
mod curve;
#[cfg(test)]
mod curve_tests;
mod grouping;
mod interval;
mod joining;
mod judging;
mod keeping;
mod knock;
mod limits;
mod next_readings;
mod note;
mod operating_point;
mod pulls;
mod reduction;
mod shape;
#[cfg(test)]
mod tests;
mod verdict;

pub use answer::{SweepAnswer, SweepRow};
pub use bringing::SweepBringing;
pub use choice::{Chosen, Counts, SweepChoice};
pub use curve::{Curve, DegInterval};
pub use knock::KnockBracket;
pub use limits::{SWEEP_THRESHOLDS, SweepLimits, SweepSetting};
pub use note::{Stray, SweepNote};
pub use operating_point::{OtherAnswer, PointReading, ReadingUse, SweepPoint, SweepState};
pub use verdict::SweepVerdict;
