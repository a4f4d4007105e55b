//! The timing light: from readings to the zero offset that makes a commanded degree a real degree.

mod analysis;
#[cfg(test)]
mod tests;
mod verdict;

pub use analysis::{TimingAnswer, TimingSetting};
pub use verdict::{PRESCRIBED_READINGS, TimingVerdict};
