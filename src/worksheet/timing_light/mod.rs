//! The timing light: from readings to the zero offset that makes a commanded degree a real degree.

mod analysis;
mod proof;
#[cfg(test)]
mod tests;
mod verdict;

pub use analysis::{CRANKING_READINGS_BELOW_RPM, LightKind, TimingAnswer, TimingSetting};
pub use proof::{FAST_RPM, MOST_EACH_DEG, MOST_MEAN_DEG, SAME_DEG, SAME_US, Unproved, proof_words};
pub(super) use verdict::PRESCRIPTION;
pub use verdict::{PRESCRIBED_READINGS, TimingVerdict};
