//! What timing-light readings mean.

use super::analysis::{
    CRANKING_READINGS_BELOW_RPM, LEAST_READINGS, LightKind, Numbered, TimingAnswer, TimingSetting, has_one_advance,
    has_one_speed, rise_together,
};
use crate::project::{TimingReading, most_zero_offset_deg};
use crate::wording::{Unit, count, figure, fixed, quantity, signed_figure, with_unit};
use crate::worksheet::{DEG_PER_US_RPM, Gravity, Verdict, check_field};

/// The readings that tell everything apart, as commanded degrees and rpm: four speeds at one locked advance,
/// then three advances at one speed.
pub const PRESCRIBED_READINGS: [(f64, f64); 7] =
    [(10.0, 1000.0), (10.0, 2000.0), (10.0, 3000.0), (10.0, 4000.0), (5.0, 1500.0), (15.0, 1500.0), (25.0, 1500.0)];

/// The same in words.
pub(crate) const PRESCRIPTION: &str = "lock the advance at 10° and read at 1000, 2000, 3000 and 4000 rpm; then hold 1500 rpm and \
                            read at 5, 15 and 25°";

/// Slopes close to 0.5 and to 2, which reveal a light that shows half of every angle or twice every angle.
pub(super) const HALVED: std::ops::RangeInclusive<f64> = 0.4..=0.6;
pub(super) const DOUBLED: std::ops::RangeInclusive<f64> = 1.8..=2.2;
/// Readings of a light are good to about half a degree; common practice, no source.
const MOST_SCATTER_DEG: f64 = 1.0;
/// An offset is known well enough if half of its interval is no wider than this; common practice, no source.
const MOST_HALF_WIDTH_DEG: f64 = 1.5;
/// Beyond this, the reference itself is wrong rather than its fine trim.
const MOST_OFFSET_DEG: f64 = 10.0;
/// Smaller changes are below what a light shows; common practice, no source.
pub(super) const NOTHING_DEG: f64 = 0.25;
/// Lags smaller than this do not count: 0.04° at 6000 rpm.
pub(super) const LEAST_LAG_US: f64 = 1.0;
/// The speed for which a lag is given in degrees.
const SHOWN_RPM: f64 = 6000.0;

/// What the readings mean.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum TimingVerdict {
    /// The light shows half the angle.
    Halved {
        /// Observed over commanded.
        slope: f64,
        /// The light, if that was said.
        light: Option<LightKind>,
    },
    /// The light shows twice the angle.
    Doubled {
        /// Observed over commanded.
        slope: f64,
        /// The light, if that was said.
        light: Option<LightKind>,
    },
    /// At the one commanded advance the light shows about half of it or twice: either an offset or a wrongly
    /// set light.
    Share {
        /// Observed over commanded.
        share: f64,
        /// What was commanded, in degrees.
        commanded_deg: f64,
        /// The offset that it would otherwise be, in degrees.
        offset_deg: f64,
        /// The light, if that was said; never a plain one.
        light: Option<LightKind>,
    },
    /// The scale that was read is not what it seems to be.
    ScaleOff {
        /// Observed over commanded.
        slope: f64,
    },
    /// The zero offset would be out of range.
    OutOfRange {
        /// The zero offset that would be needed.
        zero_offset_deg: f64,
        /// By how many teeth to move the reference instead.
        teeth: f64,
        /// The most that a zero offset may be, in degrees.
        most_deg: f64,
    },
    /// The reference was counted from the wrong tooth.
    WholePitches {
        /// By how many pitches.
        pitches: f64,
        /// The offset that was found, in degrees.
        offset_deg: f64,
        /// By how much to move the reference, in degrees.
        reference_change_deg: f64,
    },
    /// One reading disagrees with all the others.
    Outlier {
        /// Its row, counted from 1.
        row: usize,
        /// How far it is from the fit of the others, in degrees.
        off_deg: f64,
    },
    /// Some were taken while cranking and are left out.
    Cranking {
        /// How many.
        readings: usize,
        /// By how much more than commanded they show on average, in degrees.
        mean_deg: f64,
    },
    /// All were taken while cranking.
    CrankingOnly,
    /// The zero offset is more than a fine trim.
    LargeOffset {
        /// The zero offset that results.
        zero_offset_deg: f64,
    },
    /// The observed advance runs ahead as the speed rises, which no lag can cause.
    RunsAhead {
        /// By how much, in µs.
        lead_us: f64,
    },
    /// Speed and commanded advance rise together.
    NotSeparated,
    /// Too few readings for a lag and for intervals.
    FewReadings {
        /// How many there are.
        readings: usize,
    },
    /// All at one speed.
    OneSpeed,
    /// The readings scatter widely around any line.
    Scatters {
        /// Their standard deviation.
        deviation_deg: f64,
    },
    /// The offset is not known precisely.
    WideInterval {
        /// Half the width of its interval.
        half_deg: f64,
    },
    /// The spark falls behind as the speed rises.
    Lags {
        /// By how much.
        latency_us: f64,
    },
    /// The spark falls behind by more than the latency field allows.
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
        /// The offset that remains.
        offset_deg: f64,
    },
}

impl TimingVerdict {
    /// Whether it says where the zero is or what to do about it, rather than how good the readings are.
    pub const fn is_of_the_zero(&self) -> bool {
        matches!(
            self,
            Self::Change { .. }
                | Self::InOrder { .. }
                | Self::OutOfRange { .. }
                | Self::WholePitches { .. }
                | Self::LargeOffset { .. }
        )
    }
}

impl Verdict for TimingVerdict {
    fn gravity(&self) -> Gravity {
        match self {
            Self::Halved { .. }
            | Self::Doubled { .. }
            | Self::Share { .. }
            | Self::ScaleOff { .. }
            | Self::OutOfRange { .. }
            | Self::WholePitches { .. } => Gravity::Obstacle,
            Self::LargeOffset { .. }
            | Self::RunsAhead { .. }
            | Self::LagOutOfRange { .. }
            | Self::NotSeparated
            | Self::Outlier { .. }
            | Self::CrankingOnly
            | Self::Scatters { .. }
            | Self::WideInterval { .. } => Gravity::Warning,
            Self::FewReadings { .. }
            | Self::OneSpeed
            | Self::OneAdvance
            | Self::Cranking { .. }
            | Self::Lags { .. }
            | Self::Change { .. } => Gravity::Note,
            Self::InOrder { .. } => Gravity::Good,
        }
    }

    #[expect(clippy::too_many_lines, reason = "one sentence for each verdict")]
    fn words(&self) -> String {
        match *self {
            Self::Halved { slope, light } => format!(
                "The light shows {} degrees for each commanded degree, about half. {} Read again.",
                fixed(slope, 3),
                halved_words(light)
            ),
            Self::Doubled { slope, light } => format!(
                "The light shows {} degrees for each commanded degree, about twice. {} Read again.",
                fixed(slope, 3),
                doubled_words(light)
            ),
            Self::Share { share, commanded_deg, offset_deg, light } => {
                share_words(share, commanded_deg, offset_deg, light)
            }
            Self::ScaleOff { slope } => format!(
                "The light shows {} degrees for each commanded degree: the mark on the damper or the degree scale is \
                 not what it seems. Prove the scale, and read again.",
                fixed(slope, 3)
            ),
            Self::OutOfRange { zero_offset_deg, teeth, most_deg } => format!(
                "It would take a zero offset of {}, and more than {} either way is no trim: move the reference by {}, and \
                 read again.",
                signed_figure(zero_offset_deg, Unit::Degree),
                quantity(most_deg, Unit::Degree),
                with_unit(&fixed(teeth, 0), Unit::Tooth)
            ),
            Self::WholePitches { pitches, offset_deg, reference_change_deg } => format!(
                "{} is about {} of the wheel: the reference was counted from another tooth. Prove dead centre and count \
                 again; then move the reference by {}, leave the zero offset as it is, and read again.",
                signed_figure(offset_deg, Unit::Degree),
                with_unit(&fixed(pitches, 0), Unit::Pitch),
                signed_figure(reference_change_deg, Unit::Degree)
            ),
            Self::Outlier { row, off_deg } => format!(
                "Reading {row} lies {} off what all the others say. It still counts: read it again, or take it out.",
                signed_figure(off_deg, Unit::Degree)
            ),
            Self::Cranking { readings, mean_deg } => format!(
                "{} below {} {} kept apart: while cranking the light shows {} against what is commanded.",
                count(readings, "reading"),
                quantity(CRANKING_READINGS_BELOW_RPM, Unit::Rpm),
                if readings == 1 { "is" } else { "are" },
                signed_figure(mean_deg, Unit::Degree)
            ),
            Self::CrankingOnly => format!(
                "All readings are below {}: while cranking the speed changes within every turn, so that they are good \
                 enough to start with and prove nothing. Read again with the engine running.",
                quantity(CRANKING_READINGS_BELOW_RPM, Unit::Rpm)
            ),
            Self::LargeOffset { zero_offset_deg } => format!(
                "A zero offset of {} is more than a fine trim: prove the sensor's place and the reference as well.",
                signed_figure(zero_offset_deg, Unit::Degree)
            ),
            Self::RunsAhead { lead_us } => format!(
                "The observed advance runs ahead by {} as the speed rises, which no lag does: the commanded advance \
                 may not have been the one noted.",
                figure(lead_us, Unit::Microsecond)
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
                figure(deviation_deg, Unit::Degree)
            ),
            Self::WideInterval { half_deg } => format!(
                "The offset is known to ±{} only: take more readings, at speeds further apart.",
                figure(half_deg, Unit::Degree)
            ),
            Self::Lags { latency_us } => format!("{}.", lag_words(latency_us)),
            Self::LagOutOfRange { latency_us } => format!(
                "{}: more than a sensor does, and more than the setting takes, so that it stays as it is. Look for a \
                 wrong speed or advance among the readings, or a timing light that lags itself.",
                lag_words(latency_us)
            ),
            Self::OneAdvance => {
                "All readings are at one commanded advance: a light that is set wrongly or a wrong scale \
                                 would not show. Read three advances at one speed."
                    .into()
            }
            Self::Change { change_deg, zero_offset_deg } => format!(
                "Change the zero offset by {}, to {}.",
                signed_figure(change_deg, Unit::Degree),
                signed_figure(zero_offset_deg, Unit::Degree)
            ),
            Self::InOrder { offset_deg } => {
                format!(
                    "Commanded is actual to within {}: leave the zero offset as it is.",
                    figure(offset_deg.abs(), Unit::Degree)
                )
            }
        }
    }
}

/// 'The spark falls behind by 103.7 µs, 3.73° at 6000 rpm'.
fn lag_words(latency_us: f64) -> String {
    let lag_deg = latency_us * SHOWN_RPM * DEG_PER_US_RPM;
    format!(
        "The spark falls behind by {}, {} at {SHOWN_RPM} rpm",
        figure(latency_us, Unit::Microsecond),
        figure(lag_deg, Unit::Degree)
    )
}

/// A light with a delay knob computes its degrees from the time between two flashes. A wasted spark comes every
/// revolution. If the light is set for that but triggered only by every other spark, it takes 720° for 360° and
/// shows half of every angle.
fn halved_words(light: Option<LightKind>) -> String {
    light_words(light, ("halve", "larger pulley, or counts degrees of the camshaft"), MISSES)
}

/// If it is set for one spark in two revolutions, it takes 360° for 720° and shows twice every angle.
fn doubled_words(light: Option<LightKind>) -> String {
    light_words(light, ("double", "smaller pulley"), TWO_TURNS)
}

/// What may be wrong with a light that shows this, by its kind: for a plain one, what it cannot do and what its
/// scale may have been made for; for one with a delay knob, how it is set wrongly.
fn light_words(light: Option<LightKind>, (cannot, made_for): (&str, &str), knob: &str) -> String {
    let plain = format!("A plain light on a marked pulley cannot {cannot}");
    match light {
        Some(LightKind::Plain) => format!("{plain}: the degree scale was made for a {made_for}. Prove the scale."),
        Some(LightKind::DelayKnob) => format!("{knob}."),
        None => format!("Which light is it? With a delay knob: {}. {plain}: then prove the degree scale.", lower(knob)),
    }
}

const MISSES: &str = "It is set for a spark every revolution and catches every other one alone: clip it to the lead anew, \
                      near the plug and the other way about, or to the other lead of the coil";
const TWO_TURNS: &str = "It is set for a spark in two revolutions, and a wasted spark comes every revolution: set it for a \
                         spark every revolution";

fn lower(text: &str) -> String {
    crate::wording::lower_first(text)
}

fn share_words(share: f64, commanded_deg: f64, offset_deg: f64, light: Option<LightKind>) -> String {
    let is_half = HALVED.contains(&share);
    let (about, cause) = if is_half { ("half", lower(MISSES)) } else { ("twice", lower(TWO_TURNS)) };
    let verb = if is_half { "halve" } else { "double" };
    let question = match light {
        Some(_) => format!("For a light with a delay knob that is the sign of a wrong setting: {cause}."),
        None => format!(
            "Which light is it, a plain one or one with a delay knob, and how is the knob set for a spark every revolution? \
             With a delay knob: {cause}. A plain light on a marked pulley cannot {verb}: then the zero is off by {}.",
            signed_figure(offset_deg, Unit::Degree)
        ),
    };
    format!(
        "At {} commanded the light shows about {about} of that, and no other advance was read. {question} Read at a second \
         commanded advance, which tells the two apart.",
        quantity(commanded_deg, Unit::Degree)
    )
}

/// What was found on the way to an answer.
pub(super) struct Seen<'a> {
    /// The readings that counted.
    pub(super) readings: &'a [TimingReading],
    /// Whether the slope is clearly not 1.
    pub(super) slope_is_off: bool,
    /// The share of the commanded advance that all readings show, if the slope cannot be told and the share is
    /// about a half or two.
    pub(super) share: Option<f64>,
    /// Row and degrees of the outlier.
    pub(super) outlier: Option<(usize, f64)>,
    /// Those taken while cranking.
    pub(super) cranking: &'a [Numbered<'a>],
    /// Whether there are any others.
    pub(super) is_running: bool,
    /// The setting they were taken with.
    pub(super) setting: &'a TimingSetting,
}

/// Everything there is to say about an answer, the most serious first.
pub(super) fn conclude(answer: &TimingAnswer, seen: &Seen<'_>) -> Vec<TimingVerdict> {
    let mut verdicts = Vec::new();
    let light = seen.setting.light;
    let slope = answer.slope.filter(|_| seen.slope_is_off);
    match slope.or_else(|| seen.share.filter(|_| !has_one_advance(seen.readings))) {
        Some(slope) => verdicts.push(of_slope(slope, light)),
        None => {
            verdicts.extend(of_share(answer, seen).map_or_else(|| of_offset(answer, seen.setting), |share| vec![share]))
        }
    }
    verdicts.extend(of_readings(seen.readings));
    verdicts.extend(of_cranking(seen));
    verdicts.extend(of_lag(answer));
    verdicts.extend(seen.outlier.map(|(row, off_deg)| TimingVerdict::Outlier { row, off_deg }));
    let half_deg = answer.offset_ci_deg.map(|[low, high]| 0.5 * (high - low));
    verdicts.extend(
        half_deg.filter(|half| *half > MOST_HALF_WIDTH_DEG).map(|half_deg| TimingVerdict::WideInterval { half_deg }),
    );
    let scatter_deg = answer.scatter_deg.filter(|deviation| *deviation > MOST_SCATTER_DEG);
    verdicts.extend(scatter_deg.map(|deviation_deg| TimingVerdict::Scatters { deviation_deg }));
    verdicts.sort_by_key(|verdict| std::cmp::Reverse(verdict.gravity()));
    verdicts
}

fn of_slope(slope: f64, light: Option<LightKind>) -> TimingVerdict {
    if HALVED.contains(&slope) {
        return TimingVerdict::Halved { slope, light };
    }
    if DOUBLED.contains(&slope) {
        return TimingVerdict::Doubled { slope, light };
    }
    TimingVerdict::ScaleOff { slope }
}

/// About half or twice of the one commanded advance: the user is asked, unless it is a plain light, which
/// cannot do that.
fn of_share(answer: &TimingAnswer, seen: &Seen<'_>) -> Option<TimingVerdict> {
    let (share, light) = (seen.share?, seen.setting.light);
    let commanded_deg = seen.readings.first()?.commanded_deg;
    (light != Some(LightKind::Plain)).then_some(TimingVerdict::Share {
        share,
        commanded_deg,
        offset_deg: answer.offset_deg,
        light,
    })
}

/// No two of these ask for different things. What `Change` says is what `apply` does; after the obstacles
/// (`WholePitches`, `OutOfRange`) `apply` does nothing.
fn of_offset(answer: &TimingAnswer, setting: &TimingSetting) -> Vec<TimingVerdict> {
    let TimingAnswer {
        offset_deg,
        reference_change_deg,
        zero_offset_change_deg: change_deg,
        new_zero_offset_deg: zero_offset_deg,
        pitches,
        ..
    } = *answer;
    if reference_change_deg != 0.0 {
        let pitches = pitches.round();
        return vec![TimingVerdict::WholePitches { pitches, offset_deg, reference_change_deg }];
    }
    let most_deg = most_zero_offset_deg(setting.pitch_deg);
    if zero_offset_deg.abs() > most_deg + 1e-9 {
        let teeth = (zero_offset_deg / setting.pitch_deg).round();
        return vec![TimingVerdict::OutOfRange { zero_offset_deg, teeth, most_deg }];
    }
    if change_deg.abs() < NOTHING_DEG {
        return vec![TimingVerdict::InOrder { offset_deg: change_deg }];
    }
    let is_large = zero_offset_deg.abs() > MOST_OFFSET_DEG;
    let mut verdicts = vec![TimingVerdict::Change { change_deg, zero_offset_deg }];
    verdicts.extend(is_large.then_some(TimingVerdict::LargeOffset { zero_offset_deg }));
    verdicts
}

fn of_cranking(seen: &Seen<'_>) -> Option<TimingVerdict> {
    if !seen.is_running {
        return Some(TimingVerdict::CrankingOnly);
    }
    let differences = seen.cranking.iter().map(|(_, reading)| reading.observed_deg - reading.commanded_deg);
    let readings = seen.cranking.len();
    #[expect(clippy::cast_precision_loss, reason = "a handful of readings")]
    let mean_deg = differences.sum::<f64>() / readings as f64;
    (readings > 0).then_some(TimingVerdict::Cranking { readings, mean_deg })
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

/// Whether the latency field allows this value, in µs.
pub(super) fn is_allowed_us(latency_us: f64) -> bool {
    check_field("trigger.latency_us", "", latency_us).is_ok()
}
