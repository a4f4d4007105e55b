//! Where the gap of the wheel may lie: the reference angles at which no spark falls into it.

use thiserror::Error;

use super::{Parts, Wheel, thresholds};
use crate::wording::{Unit, bounds, quantity, rounded, settle};

/// A wheel on an engine, and the range before top dead centre in which sparks occur.
///
/// The gap ends at the reference edge. With the true reference r (reference + zero offset) the gap lies from r
/// to r + gap degrees before top dead centre of the first coil's pair, and for each later pair another
/// 720/cylinders further before.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct GapPlace {
    wheel: Wheel,
    cylinders: u8,
    from_deg: f64,
    to_deg: f64,
}

/// No reference keeps the gap clear.
#[derive(Clone, Copy, Debug, PartialEq, Error)]
#[error(
    "{cylinders} cylinders with a wheel of {}−{}: its gap of {} reaches into {} before top dead centre of a pair wherever \
     the sensor sits; {}",
    .wheel.teeth, .wheel.missing, quantity(.wheel.gap_deg(), Unit::Degree), bounds(*.stretch_deg, Unit::Degree), remedy(*.least_teeth, .wheel.missing)
)]
pub struct NoFreeReference {
    /// The wheel.
    pub wheel: Wheel,
    /// The number of cylinders.
    pub cylinders: u8,
    /// The range to be kept clear, in degrees before top dead centre.
    pub stretch_deg: (f64, f64),
    /// The least number of teeth, with as many missing, for which such a reference exists; `None` if there is
    /// no such wheel.
    pub least_teeth: Option<u16>,
}

/// The most teeth that a wheel can have.
const MOST_TEETH: u16 = 360;
/// The fewest.
const FEWEST_TEETH: u16 = 6;

/// What would help, in words.
fn remedy(least_teeth: Option<u16>, missing: u16) -> String {
    match least_teeth {
        Some(teeth) => format!("it takes at least {teeth} teeth with {missing} missing"),
        None => "no number of teeth helps".into(),
    }
}

impl GapPlace {
    /// For the range that the check of the gap uses unless a project says otherwise.
    pub fn usual(wheel: Wheel, cylinders: u8) -> Self {
        let (from, to) = (thresholds::GAP_CLEAR_FROM_DEG, thresholds::GAP_CLEAR_TO_DEG);
        Self { wheel, cylinders, from_deg: from.default, to_deg: to.default }
    }

    /// For a project's wheel, cylinders and range.
    pub fn of(parts: &Parts) -> Self {
        let (from, to) = (thresholds::GAP_CLEAR_FROM_DEG, thresholds::GAP_CLEAR_TO_DEG);
        let (from_deg, to_deg) = (from.of(parts), to.of(parts));
        Self { wheel: parts.trigger.wheel, cylinders: parts.engine.cylinders, from_deg, to_deg }
    }

    /// With another number of cylinders.
    #[must_use]
    pub fn with_cylinders(self, cylinders: u8) -> Self {
        Self { cylinders, ..self }
    }

    /// The range to be kept clear, in degrees before top dead centre; empty where the first is not below the
    /// second.
    pub fn stretch_deg(&self) -> (f64, f64) {
        (self.from_deg, self.to_deg)
    }

    /// Crank degrees from one pair's top dead centre to the next one's.
    fn spacing_deg(&self) -> f64 {
        720.0 / f64::from(self.cylinders)
    }

    /// How many degrees of the gap lie in the range before top dead centre of the pair of coil `channel`,
    /// counted from 0.
    pub fn overlap_deg(&self, channel: usize, true_reference_deg: f64) -> f64 {
        self.overlaps_deg(channel, true_reference_deg).map(|deg| deg.max(0.0)).sum()
    }

    /// How many degrees the gap is clear of that range, on the nearer side; 0 or less where it reaches into it.
    pub fn clearance_deg(&self, channel: usize, true_reference_deg: f64) -> f64 {
        -self.overlaps_deg(channel, true_reference_deg).fold(f64::NEG_INFINITY, f64::max)
    }

    /// How far the gap reaches into the range in each turn nearby, negative by as much as it is clear of it.
    fn overlaps_deg(&self, channel: usize, true_reference_deg: f64) -> impl Iterator<Item = f64> {
        let gap_deg = self.wheel.gap_deg();
        let places = u16::try_from(channel).unwrap_or(u16::MAX);
        let end_deg = (true_reference_deg + f64::from(places) * self.spacing_deg()).rem_euclid(360.0);
        let (from_deg, to_deg) = (self.from_deg, self.to_deg);
        let turns = [-720.0, -360.0, 0.0, 360.0].into_iter();
        turns.map(move |turn| (end_deg + turn + gap_deg).min(to_deg) - (end_deg + turn).max(from_deg))
    }

    /// Whether the gap stays out of the range before every pair's top dead centre.
    pub fn is_clear(&self, true_reference_deg: f64) -> bool {
        (0..usize::from(self.cylinders) / 2).all(|channel| self.overlap_deg(channel, true_reference_deg) <= 1e-9)
    }

    /// The true references at which the gap is clear: the first and last of the free stretch next to the first pair, in
    /// degrees before its top dead centre. None are where the last is below the first.
    fn free_deg(&self) -> (f64, f64) {
        (self.to_deg, self.spacing_deg() + self.from_deg - self.wheel.gap_deg())
    }

    /// The middle of the true references at which the gap is clear, taking the free stretch next to the first
    /// pair; rounded to a tenth of a degree if that is clear as well.
    ///
    /// # Errors
    /// [`NoFreeReference`] where the gap is longer than the room between two such ranges.
    pub fn middle_deg(&self) -> Result<f64, NoFreeReference> {
        let (low_deg, high_deg) = self.free_deg();
        // With no stretch to keep clear, every reference is free.
        if high_deg < low_deg - 1e-9 && self.from_deg < self.to_deg {
            return Err(NoFreeReference {
                wheel: self.wheel,
                cylinders: self.cylinders,
                stretch_deg: self.stretch_deg(),
                least_teeth: self.least_teeth(),
            });
        }
        let middle_deg = settle((0.5 * (low_deg + high_deg)).rem_euclid(360.0));
        let tenth_deg = rounded(middle_deg, 1);
        Ok(if self.is_clear(tenth_deg) { tenth_deg } else { middle_deg })
    }

    /// The least number of teeth, with as many missing, for which some reference is clear.
    pub fn least_teeth(&self) -> Option<u16> {
        let missing = self.wheel.missing;
        let fewest = FEWEST_TEETH.max(missing.saturating_mul(3).saturating_add(3));
        let room_deg = self.spacing_deg() - (self.to_deg - self.from_deg).max(0.0);
        (fewest..=MOST_TEETH).find(|&teeth| Wheel { teeth, missing }.gap_deg() <= room_deg + 1e-9)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn place(teeth: u16, missing: u16, cylinders: u8) -> GapPlace {
        GapPlace::usual(Wheel { teeth, missing }, cylinders)
    }

    /// By hand: the gap of 36−1 is 20° long and free from 45° to spacing − 5 − 20°.
    #[test]
    fn the_reference_is_the_middle_of_what_is_free() {
        for (cylinders, deg) in [(4, 100.0), (6, 70.0), (8, 55.0)] {
            assert_eq!(place(36, 1, cylinders).middle_deg(), Ok(deg));
        }
        assert_eq!(place(60, 2, 4).middle_deg(), Ok(101.0));
        assert_eq!(place(24, 1, 6).middle_deg(), Ok(65.0));
        // 18.62° of gap: the middle is rounded to a tenth.
        assert_eq!(place(58, 2, 4).middle_deg(), Ok(100.7));
        // The gap is exactly as long as the room: only one reference is left.
        assert_eq!(place(18, 1, 8).middle_deg(), Ok(45.0));
    }

    #[test]
    fn where_none_is_free_the_least_number_of_teeth_is_named() {
        let error = place(12, 1, 8).middle_deg().unwrap_err();
        assert_eq!(error.least_teeth, Some(18));
        assert_eq!(
            error.to_string(),
            "8 cylinders with a wheel of 12−1: its gap of 60.0° reaches into −5..45° before top dead centre of a pair \
             wherever the sensor sits; it takes at least 18 teeth with 1 missing"
        );
        assert_eq!(place(24, 2, 8).middle_deg().unwrap_err().least_teeth, Some(27));
        assert!(place(12, 1, 6).middle_deg().is_ok());
        let wide = GapPlace { to_deg: 90.0, ..place(36, 1, 8) };
        assert!(wide.middle_deg().unwrap_err().to_string().ends_with("no number of teeth helps"));
    }

    proptest! {
        /// References said to be free are clear from the first to the last and not beyond; where none is free, no angle
        /// is clear; and the least number of teeth suffices while one tooth fewer does not.
        #[test]
        fn the_middle_is_clear_and_nothing_is_where_there_is_none(
            teeth in 6_u16..80, missing in 1_u16..5, half in 2_u8..5, from_deg in -30.0..10.0_f64, wide_deg in 0.0..70.0_f64,
        ) {
            prop_assume!(teeth >= 3 * missing + 3);
            let place = GapPlace { from_deg, to_deg: from_deg + wide_deg, ..place(teeth, missing, 2 * half) };
            let wheel = |teeth| GapPlace { wheel: Wheel { teeth, missing }, ..place };
            match place.middle_deg() {
                Ok(deg) => {
                    prop_assert!(place.is_clear(deg));
                    let (low_deg, high_deg) = place.free_deg();
                    for part in 0..=10 {
                        let deg = low_deg + (high_deg - low_deg) * f64::from(part) / 10.0;
                        prop_assert!(place.is_clear(deg), "{deg} of {low_deg}..{high_deg}");
                    }
                    let is_stretch = wide_deg > 0.01;
                    for beyond in [low_deg - 0.005, high_deg + 0.005].into_iter().filter(|_| is_stretch) {
                        prop_assert!(!place.is_clear(beyond), "{beyond} of {low_deg}..{high_deg}");
                    }
                }
                Err(error) => {
                    prop_assert!((0..3600).all(|tenth| !place.is_clear(f64::from(tenth) / 10.0)));
                    if let Some(least) = error.least_teeth {
                        prop_assert!(least > teeth && wheel(least).middle_deg().is_ok());
                        prop_assert!(least == 3 * missing + 3 || wheel(least - 1).middle_deg().is_err());
                    }
                }
            }
        }
    }
}
