//! What timing-light readings mean.

use super::analysis::{LEAST_READINGS, TimingAnswer, has_one_advance, has_one_speed, rise_together};
use crate::project::TimingReading;
use crate::wording::{count, figure, fixed, signed_figure, with_unit};
use crate::worksheet::error::check_field;
use crate::worksheet::light::DEG_PER_US_RPM;
use crate::worksheet::verdict::{Gravity, Verdict};

/// The readings that tell everything apart: commanded degrees and rpm. Four speeds at one locked advance, then three
/// advances at one speed.
pub const PRESCRIBED_READINGS: [(f64, f64); 7] =
    [(10.0, 1000.0), (10.0, 2000.0), (10.0, 3000.0), (10.0, 4000.0), (5.0, 1500.0), (15.0, 1500.0), (25.0, 1500.0)];

/// What to take, in words.
const PRESCRIPTION: &str = "lock the advance at 10° and read at 1000, 2000, 3000 and 4000 rpm; then hold 1500 rpm and \
                            read at 5, 15 and 25°";

/// A light that halves or doubles flashes is told by a slope this close to 0.5 or 2.
const HALVED: std::ops::RangeInclusive<f64> = 0.4..=0.6;
const DOUBLED: std::ops::RangeInclusive<f64> = 1.8..=2.2;
/// Readings of a light are good to about half a degree; common practice, no source.
const MOST_SCATTER_DEG: f64 = 1.0;
/// An offset is known well enough when its interval is no wider either way; common practice, no source.
const MOST_HALF_WIDTH_DEG: f64 = 1.5;
/// Beyond this the reference itself is wrong rather than its fine trim.
const MOST_OFFSET_DEG: f64 = 10.0;
/// Smaller changes are below what a light shows; common practice, no source.
const NOTHING_DEG: f64 = 0.25;
/// Smaller lags are nothing: 0.04° at 6000 rpm.
pub(super) const LEAST_LAG_US: f64 = 1.0;
/// At this speed a lag is told in degrees.
const SHOWN_RPM: f64 = 6000.0;

/// What the readings mean.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum TimingVerdict {
    /// The light fires at every other flash, or shows half the angle.
    Halved {
        /// Observed over commanded.
        slope: f64,
    },
    /// The light shows twice the angle.
    Doubled {
        /// Observed over commanded.
        slope: f64,
    },
    /// The scale that was read is not what it seems.
    ScaleOff {
        /// Observed over commanded.
        slope: f64,
    },
    /// No project can have such a zero offset.
    OutOfRange {
        /// The zero offset that it would take.
        zero_offset_deg: f64,
    },
    /// The reference was counted from another tooth.
    WholePitches {
        /// How many pitches it is off.
        pitches: f64,
        /// The offset that was found, in degrees.
        offset_deg: f64,
        /// By how much to move the reference, in degrees.
        reference_change_deg: f64,
        /// The zero offset to set then, in degrees.
        zero_offset_deg: f64,
    },
    /// The zero offset is more than a fine trim.
    LargeOffset {
        /// The zero offset that comes out.
        zero_offset_deg: f64,
    },
    /// The observed advance runs ahead with speed, which no lag does.
    RunsAhead {
        /// By how much, in µs.
        lead_us: f64,
    },
    /// Speed and commanded advance rise together.
    NotSeparated,
    /// Too few for a lag and for intervals.
    FewReadings {
        /// How many there are.
        readings: usize,
    },
    /// All at one speed.
    OneSpeed,
    /// The readings lie far from any line.
    Scatters {
        /// Their standard deviation.
        deviation_deg: f64,
    },
    /// The offset is not known well.
    WideInterval {
        /// Half the width of its interval.
        half_deg: f64,
    },
    /// The spark falls behind as the speed rises.
    Lags {
        /// By how much.
        latency_us: f64,
    },
    /// The spark falls behind by more than a project can have.
    LagOutOfRange {
        /// By how much.
        latency_us: f64,
    },
    /// All at one commanded advance.
    OneAdvance,
    /// The zero offset is to be changed.
    Change {
        /// By how much.
        change_deg: f64,
        /// To what.
        zero_offset_deg: f64,
    },
    /// A commanded degree is a real degree.
    InOrder {
        /// What is left.
        offset_deg: f64,
    },
}

impl Verdict for TimingVerdict {
    fn gravity(&self) -> Gravity {
        match self {
            Self::Halved { .. } | Self::Doubled { .. } | Self::ScaleOff { .. } | Self::OutOfRange { .. } => {
                Gravity::Obstacle
            }
            Self::WholePitches { .. }
            | Self::LargeOffset { .. }
            | Self::RunsAhead { .. }
            | Self::LagOutOfRange { .. }
            | Self::NotSeparated
            | Self::Scatters { .. }
            | Self::WideInterval { .. } => Gravity::Warning,
            Self::FewReadings { .. } | Self::OneSpeed | Self::OneAdvance | Self::Lags { .. } | Self::Change { .. } => {
                Gravity::Note
            }
            Self::InOrder { .. } => Gravity::Good,
        }
    }

    fn words(&self) -> String {
        match *self {
            Self::Halved { slope } => format!(
                "The light shows {} degrees for each commanded degree, about half: it divides the flashes by two. \
                 Set it for wasted spark, and read again.",
                fixed(slope, 3)
            ),
            Self::Doubled { slope } => format!(
                "The light shows {} degrees for each commanded degree, about twice: it doubles the flashes. \
                 Set it for a spark every revolution, and read again.",
                fixed(slope, 3)
            ),
            Self::ScaleOff { slope } => format!(
                "The light shows {} degrees for each commanded degree: the mark on the damper or the degree scale is \
                 not what it seems. Prove the scale, and read again.",
                fixed(slope, 3)
            ),
            Self::OutOfRange { zero_offset_deg } => format!(
                "It would take a zero offset of {}, more than a trim can be: set the reference anew.",
                signed_figure(zero_offset_deg, "°")
            ),
            Self::WholePitches { pitches, offset_deg, reference_change_deg, zero_offset_deg } => format!(
                "{} is about {} of the wheel: the reference was counted from another tooth. Move the reference by {}, \
                 and set the zero offset to {}.",
                signed_figure(offset_deg, "°"),
                with_unit(&fixed(pitches, 0), "pitches"),
                signed_figure(reference_change_deg, "°"),
                signed_figure(zero_offset_deg, "°")
            ),
            Self::LargeOffset { zero_offset_deg } => format!(
                "A zero offset of {} is more than a fine trim: prove the sensor's place and the reference as well.",
                signed_figure(zero_offset_deg, "°")
            ),
            Self::RunsAhead { lead_us } => format!(
                "The observed advance runs ahead by {} as the speed rises, which no lag does: the commanded advance \
                 may not have been the one noted.",
                figure(lead_us, "µs")
            ),
            Self::NotSeparated => format!(
                "Speed and commanded advance rise together: a lag, an offset and a wrong scale cannot be told apart. To \
                 tell them, {PRESCRIPTION}."
            ),
            Self::FewReadings { readings } => format!(
                "{} {} the offset alone, as their mean: no lag and no interval. For these {PRESCRIPTION}.",
                count(readings, "reading"),
                if readings == 1 { "gives" } else { "give" }
            ),
            Self::OneSpeed => {
                "All readings are at one speed: a lag cannot be told from the offset. Read at four speeds.".into()
            }
            Self::Scatters { deviation_deg } => format!(
                "The readings scatter by {} about the line: look for slack in the drive, a loose mark or an unsteady \
                 speed.",
                figure(deviation_deg, "°")
            ),
            Self::WideInterval { half_deg } => format!(
                "The offset is known to ±{} only: take more readings, at speeds further apart.",
                figure(half_deg, "°")
            ),
            Self::Lags { latency_us } => format!("{}.", lag_words(latency_us)),
            Self::LagOutOfRange { latency_us } => format!(
                "{}: more than a sensor does, and more than the setting takes, so that it stays as it is. Look for a \
                 wrong speed or advance among the readings, or a timing light that lags itself.",
                lag_words(latency_us)
            ),
            Self::OneAdvance => "All readings are at one commanded advance: a light that divides flashes or a wrong \
                                 scale would not show. Read three advances at one speed."
                .into(),
            Self::Change { change_deg, zero_offset_deg } => format!(
                "Change the zero offset by {}, to {}.",
                signed_figure(change_deg, "°"),
                signed_figure(zero_offset_deg, "°")
            ),
            Self::InOrder { offset_deg } => {
                format!(
                    "Commanded is actual to within {}: leave the zero offset as it is.",
                    figure(offset_deg.abs(), "°")
                )
            }
        }
    }
}

/// 'The spark falls behind by 103.7 µs, 3.73° at 6000 rpm'.
fn lag_words(latency_us: f64) -> String {
    let lag_deg = latency_us * SHOWN_RPM * DEG_PER_US_RPM;
    format!("The spark falls behind by {}, {} at {SHOWN_RPM} rpm", figure(latency_us, "µs"), figure(lag_deg, "°"))
}

/// Everything there is to say about an answer, the weightiest first.
pub(super) fn conclude(answer: &TimingAnswer, slope_is_off: bool) -> Vec<TimingVerdict> {
    let mut verdicts = Vec::new();
    match answer.slope.filter(|_| slope_is_off) {
        Some(slope) => verdicts.push(of_slope(slope)),
        None => verdicts.extend(of_offset(answer)),
    }
    verdicts.extend(of_readings(&answer.readings));
    verdicts.extend(of_lag(answer));
    let half_deg = answer.offset_ci_deg.map(|[low, high]| 0.5 * (high - low));
    verdicts.extend(
        half_deg.filter(|half| *half > MOST_HALF_WIDTH_DEG).map(|half_deg| TimingVerdict::WideInterval { half_deg }),
    );
    let scatter_deg = answer.scatter_deg.filter(|deviation| *deviation > MOST_SCATTER_DEG);
    verdicts.extend(scatter_deg.map(|deviation_deg| TimingVerdict::Scatters { deviation_deg }));
    verdicts.sort_by_key(|verdict| std::cmp::Reverse(verdict.gravity()));
    verdicts
}

fn of_slope(slope: f64) -> TimingVerdict {
    if HALVED.contains(&slope) {
        return TimingVerdict::Halved { slope };
    }
    if DOUBLED.contains(&slope) {
        return TimingVerdict::Doubled { slope };
    }
    TimingVerdict::ScaleOff { slope }
}

/// No two of these ask for different things; what is told is what is applied.
fn of_offset(answer: &TimingAnswer) -> Vec<TimingVerdict> {
    let TimingAnswer {
        offset_deg,
        reference_change_deg,
        zero_offset_change_deg: change_deg,
        new_zero_offset_deg: zero_offset_deg,
        pitches,
        ..
    } = *answer;
    if check_field("trigger.zero_offset_deg", "", zero_offset_deg).is_err() {
        return vec![TimingVerdict::OutOfRange { zero_offset_deg }];
    }
    if reference_change_deg != 0.0 {
        let pitches = pitches.round();
        return vec![TimingVerdict::WholePitches { pitches, offset_deg, reference_change_deg, zero_offset_deg }];
    }
    if change_deg.abs() < NOTHING_DEG {
        return vec![TimingVerdict::InOrder { offset_deg: change_deg }];
    }
    let is_large = zero_offset_deg.abs() > MOST_OFFSET_DEG;
    let mut verdicts = vec![TimingVerdict::Change { change_deg, zero_offset_deg }];
    verdicts.extend(is_large.then_some(TimingVerdict::LargeOffset { zero_offset_deg }));
    verdicts
}

fn of_readings(readings: &[TimingReading]) -> Option<TimingVerdict> {
    if readings.len() < LEAST_READINGS {
        return Some(TimingVerdict::FewReadings { readings: readings.len() });
    }
    if has_one_speed(readings) {
        return Some(TimingVerdict::OneSpeed);
    }
    if has_one_advance(readings) {
        return Some(TimingVerdict::OneAdvance);
    }
    rise_together(readings).then_some(TimingVerdict::NotSeparated)
}

fn of_lag(answer: &TimingAnswer) -> Option<TimingVerdict> {
    let (latency_us, [low_us, high_us]) = answer.latency_us.zip(answer.latency_ci_us)?;
    if latency_us.abs() < LEAST_LAG_US {
        return None;
    }
    if high_us < 0.0 {
        return Some(TimingVerdict::RunsAhead { lead_us: -latency_us });
    }
    let verdict = match is_allowed_us(latency_us) {
        true => TimingVerdict::Lags { latency_us },
        false => TimingVerdict::LagOutOfRange { latency_us },
    };
    (low_us > 0.0).then_some(verdict)
}

/// Whether a project can have so much latency, in µs.
pub(super) fn is_allowed_us(latency_us: f64) -> bool {
    check_field("trigger.latency_us", "", latency_us).is_ok()
}
