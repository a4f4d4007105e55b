//! Times as the screen shows them.

use std::sync::LazyLock;

use jiff::Timestamp;
use jiff::tz::TimeZone;

/// The time zone of this computer. It is looked up only once, since that reads files.
static HERE: LazyLock<TimeZone> = LazyLock::new(TimeZone::system);

/// Looks the time zone up in advance, so that no frame has to.
pub fn look_up_time_zone() {
    LazyLock::force(&HERE);
}

/// A time of today's clock: `14:02:07`.
pub fn time(at: Timestamp) -> String {
    at.to_zoned(HERE.clone()).strftime("%H:%M:%S").to_string()
}

/// A time with its date: `2026-03-01 14:02`.
pub fn date_and_time(at: Timestamp) -> String {
    at.to_zoned(HERE.clone()).strftime("%Y-%m-%d %H:%M").to_string()
}

/// A date as file names have it: `2026-03-01`.
pub fn date(at: Timestamp) -> String {
    at.to_zoned(HERE.clone()).strftime("%Y-%m-%d").to_string()
}
