//! Numbers and times as the screen shows them.

use jiff::Timestamp;
use jiff::tz::TimeZone;

pub use crate::wording::{fixed, signed, step_decimals as decimals};

/// An advance with the decimals of the step.
pub fn degrees(value: f64, step_deg: f64) -> String {
    fixed(value, decimals(step_deg))
}

/// A time of today's clock: `14:02:07`.
pub fn time(at: Timestamp) -> String {
    at.to_zoned(TimeZone::system()).strftime("%H:%M:%S").to_string()
}

/// A time with its date: `2026-03-01 14:02`.
pub fn date_and_time(at: Timestamp) -> String {
    at.to_zoned(TimeZone::system()).strftime("%Y-%m-%d %H:%M").to_string()
}

/// A date as file names have it: `2026-03-01`.
pub fn date(at: Timestamp) -> String {
    at.to_zoned(TimeZone::system()).strftime("%Y-%m-%d").to_string()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn decimals_follow_the_step() {
        let cases = [(1.0, 1), (0.5, 1), (0.1, 1), (0.25, 2), (0.125, 3), (0.01, 2)];
        for (step, expected) in cases {
            assert_eq!(decimals(step), expected, "{step}");
        }
    }

    #[test]
    fn signs_are_true_minus_signs_and_zero_has_none() {
        assert_eq!(fixed(-0.04, 1), "0.0");
        assert_eq!(fixed(-2.0, 1), "\u{2212}2.0");
        assert_eq!(signed(1.5, 1), "+1.5");
        assert_eq!(signed(0.01, 1), "0.0");
        assert_eq!(signed(-0.5, 1), "\u{2212}0.5");
    }
}
