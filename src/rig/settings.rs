//! What the rig adds to a run: variation, latency, faults. All off unless asked for.

use thiserror::Error;

use super::{Layout, Swing};
use crate::wording::outside;

/// How a run is made harder. The default adds nothing.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Settings {
    /// Cyclic speed variation, 0..=0.5 of the speed; one period for each compression.
    pub variation: f64,
    /// The crank angle where the variation is fastest; half a period after TDC when `None`, so that the crank is slowest
    /// at TDC.
    pub fastest_deg: Option<f64>,
    /// The unit sees each edge so many µs late.
    pub latency_us: f64,
    /// It sees each edge up to so many µs early or late, evenly spread.
    pub jitter_us: f64,
    /// Another seed gives other jitter.
    pub seed: u64,
    /// At each of these times the next edge is not seen.
    pub dropped_at_s: Vec<f64>,
    /// At each of these times an edge is seen where none is.
    pub extra_at_s: Vec<f64>,
}

/// A setting that cannot be.
#[derive(Clone, Copy, Debug, PartialEq, Error)]
#[error("{setting} {}", outside(*.value, (*.low, *.high), ""))]
pub struct SettingsError {
    /// Which setting, with its unit.
    pub setting: &'static str,
    /// The value refused.
    pub value: f64,
    /// The least value.
    pub low: f64,
    /// The greatest value.
    pub high: f64,
}

impl Settings {
    /// Holds every number against its range.
    ///
    /// # Errors
    /// [`SettingsError`] for the first one outside.
    pub fn check(&self) -> Result<(), SettingsError> {
        let one = |setting, value, low, high| match (low..=high).contains(&value) {
            true => Ok(()),
            false => Err(SettingsError { setting, value, low, high }),
        };
        one("variation", self.variation, 0.0, 0.5)?;
        one("fastest_deg", self.fastest_deg.unwrap_or(0.0), -720.0, 720.0)?;
        one("latency_us", self.latency_us, 0.0, 1_000.0)?;
        one("jitter_us", self.jitter_us, 0.0, 1_000.0)?;
        self.dropped_at_s.iter().try_for_each(|&time_s| one("dropped_at_s", time_s, -1e6, 1e6))?;
        self.extra_at_s.iter().try_for_each(|&time_s| one("extra_at_s", time_s, -1e6, 1e6))
    }

    /// The variation asked for, if there is one.
    pub fn swing(&self, layout: &Layout) -> Option<Swing> {
        self.swing_of(self.variation, layout)
    }

    /// A variation of so much with the phase of these settings.
    pub(super) fn swing_of(&self, variation: f64, layout: &Layout) -> Option<Swing> {
        let fastest_deg = self.fastest_deg.unwrap_or_else(|| layout.fastest_deg());
        (variation > 0.0).then(|| Swing::new(variation, layout.compressions(), fastest_deg))
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_out_of_range_are_named() {
        assert_eq!(Settings::default().check(), Ok(()));
        let error = Settings { variation: 0.6, ..Settings::default() }.check().unwrap_err();
        assert_eq!(error.to_string(), "variation 0.6 is outside 0..0.5");
        assert!(Settings { jitter_us: f64::NAN, ..Settings::default() }.check().is_err());
        assert!(Settings { extra_at_s: vec![1.0, f64::INFINITY], ..Settings::default() }.check().is_err());
    }
}
