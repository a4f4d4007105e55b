//! Timing sweeps: at a held speed and load the advance is moved step by step and torque is read at each. From the
//! readings come best torque, the flat top, the least advance that loses nothing, and where knock sets in.

mod air;
mod answer;
mod choice;
mod choosing;
mod concluding;
mod curve;
#[cfg(test)]
mod curve_tests;
mod grouping;
mod interval;
mod judging;
mod keeping;
mod knock;
mod limits;
mod next_readings;
mod operating_point;
mod pulls;
mod reduction;
mod shape;
#[cfg(test)]
mod tests;
mod verdict;

pub use air::AirStandard;
pub use answer::{Stray, SweepAnswer, SweepNote, SweepRow};
pub use choice::{Chosen, Counts, SweepChoice};
pub use curve::{Curve, DegInterval};
pub use keeping::SweepKeeping;
pub use knock::KnockBracket;
pub use limits::{SweepLimits, SweepSetting};
pub use operating_point::{OtherAnswer, PointReading, ReadingUse, SweepPoint, SweepState};
pub use verdict::SweepVerdict;
