//! The throttle sensor: its calibration from two voltages, and whether it is wired correctly.

use serde::Serialize;

use super::{Gravity, Verdict, WorksheetError, as_words, check, check_field, obstacle};
use crate::project::Project;
use crate::wording::{Unit, quantity, range};

/// Volts of a well-adjusted sensor with the throttle closed; common practice, no source.
pub const GOOD_CLOSED_V: std::ops::RangeInclusive<f64> = 0.4..=0.9;
/// Volts of a well-adjusted sensor with the throttle wide open; common practice, no source.
pub const GOOD_OPEN_V: std::ops::RangeInclusive<f64> = 3.9..=4.6;
/// This close to a rail, a broken or shorted wire looks like a reading; common practice, no source.
const RAIL_V: f64 = 0.1;
/// A signal that moves less than this counts as standing still; common practice, no source.
const STANDS_STILL_V: f64 = 0.3;
/// A signal that moves less than this is coarse; common practice, no source.
const COARSE_V: f64 = 2.0;
/// The sensor's supply: the upper rail of its signal.
const SUPPLY_V: f64 = 5.0;

/// What the throttle sensor's voltages mean.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum ThrottleVerdict {
    /// The voltage falls as the throttle opens.
    EndsSwapped,
    /// The voltage hardly changes.
    StandsStill {
        /// By how much it moves, in V.
        travel_v: f64,
    },
    /// A voltage at a rail.
    AtRail {
        /// Whether it is the voltage with the throttle closed.
        closed: bool,
        /// The voltage.
        volts: f64,
    },
    /// The voltage changes little.
    Coarse {
        /// By how much it moves, in V.
        travel_v: f64,
    },
    /// It works, but a voltage is not what a well-adjusted sensor gives.
    Unusual {
        /// Whether it is the voltage with the throttle closed.
        closed: bool,
        /// The voltage.
        volts: f64,
    },
    /// All is well.
    Good,
}

impl Verdict for ThrottleVerdict {
    fn gravity(&self) -> Gravity {
        match self {
            Self::EndsSwapped | Self::StandsStill { .. } => Gravity::Obstacle,
            Self::AtRail { .. } | Self::Coarse { .. } => Gravity::Warning,
            Self::Unusual { .. } => Gravity::Note,
            Self::Good => Gravity::Good,
        }
    }

    fn words(&self) -> String {
        let place = |closed| if closed { "closed" } else { "open" };
        match *self {
            Self::EndsSwapped => {
                "The voltage falls as the throttle opens: the two end wires are swapped. Swap them, and \
                                  measure again."
                    .into()
            }
            Self::StandsStill { travel_v } => format!(
                "The voltage moves by {} only: the signal wire and an end wire are swapped, or a wire is loose. Stop \
                 and rewire: with the signal at an end the supply may drop out at one end of the travel.",
                quantity(travel_v, Unit::Volt)
            ),
            Self::AtRail { closed, volts } => format!(
                "{} with the throttle {} is within {} of a rail: a broken or shorted wire could not be told from a \
                 reading.",
                quantity(volts, Unit::Volt),
                place(closed),
                quantity(RAIL_V, Unit::Volt)
            ),
            Self::Coarse { travel_v } => {
                format!("The voltage moves by {} only: openings are told coarsely.", quantity(travel_v, Unit::Volt))
            }
            Self::Unusual { closed, volts } => {
                let good = if closed { GOOD_CLOSED_V } else { GOOD_OPEN_V };
                format!(
                    "It works, but {} with the throttle {} is outside the usual {}: turn the sensor if it can \
                     be turned.",
                    quantity(volts, Unit::Volt),
                    place(closed),
                    range((*good.start(), *good.end()), Unit::Volt)
                )
            }
            Self::Good => "Good: both voltages are where a well set sensor has them.".into(),
        }
    }
}

/// The throttle sensor, judged by its voltages closed and open.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct ThrottleAnswer {
    /// Volts with the throttle closed, 0 %.
    pub closed_v: f64,
    /// Volts with the throttle wide open, 100 %.
    pub open_v: f64,
    /// Per cent of opening per volt; `None` if the voltage hardly moves ([`ThrottleVerdict::StandsStill`]).
    pub pct_per_v: Option<f64>,
    /// What it means; the most serious first.
    #[serde(serialize_with = "as_words")]
    pub verdicts: Vec<ThrottleVerdict>,
}

impl ThrottleAnswer {
    /// Judges two voltages of a 5 V sensor. Limits: common practice, no source.
    ///
    /// ```
    /// use sparkloft::worksheet::ThrottleAnswer;
    ///
    /// let sensor = ThrottleAnswer::of(0.5, 4.5)?;
    /// assert_eq!(sensor.pct(2.5)?, Some(50.0));
    /// assert!(ThrottleAnswer::of(0.5, 9.0).is_err());
    /// # Ok::<(), Box<dyn std::error::Error>>(())
    /// ```
    ///
    /// # Errors
    /// [`WorksheetError`] for a voltage that no such sensor gives.
    pub fn of(closed_v: f64, open_v: f64) -> Result<Self, WorksheetError> {
        check_field("sensors.throttle.first_v", "closed", closed_v)?;
        check_field("sensors.throttle.second_v", "open", open_v)?;
        let travel_v = open_v - closed_v;
        let mut verdicts = Vec::new();
        if travel_v.abs() < STANDS_STILL_V {
            verdicts.push(ThrottleVerdict::StandsStill { travel_v: travel_v.abs() });
        } else if travel_v < 0.0 {
            verdicts.push(ThrottleVerdict::EndsSwapped);
        } else {
            verdicts.extend(well_wired(closed_v, open_v));
        }
        let pct_per_v = (travel_v.abs() >= STANDS_STILL_V).then(|| 100.0 / travel_v);
        Ok(Self { closed_v, open_v, pct_per_v, verdicts })
    }

    /// The opening in % at a voltage, from 0 to 100; `None` if the voltage hardly moves.
    ///
    /// # Errors
    /// [`WorksheetError`] for a voltage out of range.
    pub fn pct(&self, volts: f64) -> Result<Option<f64>, WorksheetError> {
        check("signal", volts, 0.0, SUPPLY_V, Unit::Volt)?;
        Ok(self.pct_per_v.map(|pct_per_v| ((volts - self.closed_v) * pct_per_v).clamp(0.0, 100.0)))
    }

    /// Why the result must not be applied, if so.
    pub fn obstacle(&self) -> Option<&ThrottleVerdict> {
        obstacle(&self.verdicts)
    }

    /// The name of the step that applies it.
    pub fn label(&self) -> String {
        format!(
            "Set throttle sensor to {} closed, {} open",
            quantity(self.closed_v, Unit::Volt),
            quantity(self.open_v, Unit::Volt)
        )
    }

    /// The project with this calibration, its throttle sensor fitted.
    ///
    /// # Errors
    /// [`WorksheetError`] where a verdict forbids it.
    pub fn apply(&self, project: &Project) -> Result<Project, WorksheetError> {
        if let Some(verdict) = self.obstacle() {
            return Err(WorksheetError::Obstacle(verdict.words()));
        }
        Ok(project.edit(|parts| {
            let sensor = &mut parts.sensors.throttle;
            (sensor.first_v, sensor.first_reads) = (self.closed_v, 0.0);
            (sensor.second_v, sensor.second_reads) = (self.open_v, 100.0);
            sensor.fitted = true;
            parts.confirm("sensors.throttle");
        })?)
    }
}

/// For a voltage that rises as the throttle opens.
fn well_wired(closed_v: f64, open_v: f64) -> Vec<ThrottleVerdict> {
    let mut verdicts = Vec::new();
    for (closed, volts) in [(true, closed_v), (false, open_v)] {
        let is_at_rail = volts <= RAIL_V || volts >= SUPPLY_V - RAIL_V;
        let good = if closed { GOOD_CLOSED_V } else { GOOD_OPEN_V };
        if is_at_rail {
            verdicts.push(ThrottleVerdict::AtRail { closed, volts });
        } else if !good.contains(&volts) {
            verdicts.push(ThrottleVerdict::Unusual { closed, volts });
        }
    }
    if open_v - closed_v < COARSE_V {
        verdicts.push(ThrottleVerdict::Coarse { travel_v: open_v - closed_v });
    }
    if verdicts.is_empty() {
        verdicts.push(ThrottleVerdict::Good);
    }
    verdicts.sort_by_key(|verdict| std::cmp::Reverse(verdict.gravity()));
    verdicts
}

#[cfg(test)]
mod tests {
    use approx::assert_abs_diff_eq;

    use super::*;
    use crate::project::{LoadKind, NewProject};

    fn answer(closed_v: f64, open_v: f64) -> ThrottleAnswer {
        ThrottleAnswer::of(closed_v, open_v).unwrap()
    }

    /// Limits: common practice, no source.
    #[test]
    fn wiring_shows_in_the_voltages() {
        use ThrottleVerdict::{AtRail, Coarse, EndsSwapped, Good, StandsStill, Unusual};
        assert_eq!(answer(0.4, 4.6).verdicts, [Good]);
        assert_eq!(answer(4.3, 0.6).verdicts, [EndsSwapped]);
        assert!(matches!(answer(4.9, 4.8).verdicts[..], [StandsStill { .. }]));
        assert!(matches!(answer(0.05, 4.2).verdicts[..], [AtRail { closed: true, .. }]));
        assert!(matches!(answer(0.6, 4.95).verdicts[..], [AtRail { closed: false, .. }]));
        assert!(matches!(answer(1.2, 4.2).verdicts[..], [Unusual { closed: true, .. }]));
        assert!(matches!(answer(0.6, 2.0).verdicts[..], [Coarse { .. }, Unusual { closed: false, .. }]));
        assert!(answer(0.1, 4.2).verdicts[0].words().contains("0.1 V with the throttle closed"));
    }

    #[test]
    fn openings_are_linear_between_the_voltages() {
        let found = answer(0.6, 4.2);
        assert_abs_diff_eq!(found.pct(2.4).unwrap().unwrap(), 50.0, epsilon = 1e-12);
        assert_eq!((found.pct(0.2).unwrap(), found.pct(5.0).unwrap()), (Some(0.0), Some(100.0)));
        assert_eq!(answer(2.5, 2.5).pct(2.5).unwrap(), None);
        assert!(found.pct(6.0).is_err());
        assert_eq!(ThrottleAnswer::of(-1.0, 4.0).unwrap_err().to_string(), "closed: −1 is outside 0..5 V");
    }

    #[test]
    fn only_a_sound_sensor_is_applied() {
        let new = NewProject { name: "t".into(), cylinders: 6, load: LoadKind::Throttle, speeds: 8, loads: 8 };
        let project = new.create().unwrap();
        let found = answer(0.52, 4.41);
        assert_eq!(found.label(), "Set throttle sensor to 0.52 V closed, 4.41 V open");
        let sensor = found.apply(&project).unwrap().sensors.throttle.clone();
        assert_eq!((sensor.first_v, sensor.second_v, sensor.second_reads), (0.52, 4.41, 100.0));
        assert!(answer(4.41, 0.52).apply(&project).unwrap_err().to_string().contains("end wires are swapped"));
    }
}
