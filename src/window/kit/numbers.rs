//! Times as the screen shows them.

use jiff::Timestamp;
use jiff::tz::TimeZone;

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
