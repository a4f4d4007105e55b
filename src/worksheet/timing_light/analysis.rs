//! From readings to offset, lag and scale, each with its interval.

use serde::Serialize;

use super::verdict::{self, TimingVerdict};
use crate::project::{Parts, Project, TimingLight, TimingReading};
use crate::wording::{Unit, count, figure, settle, signed_figure};
use crate::worksheet::least_squares::Fit;
use crate::worksheet::{DEG_PER_US_RPM, Verdict, WorksheetError, as_words, check, check_field, obstacle};

/// With fewer readings, only the offset is computed.
pub(super) const LEAST_READINGS: usize = 4;
/// Beyond this the columns count as linearly dependent: if all speeds are nearly the same, lag and offset
/// cannot be told apart.
const MOST_CONDITION: f64 = 1e8;
/// Beyond this, speed and commanded advance cannot be told apart: the variance of their coefficients is ten
/// times what it would be if they were independent, the usual limit (D. W. Marquardt, "Generalized inverses,
/// ridge regression, biased linear estimation, and nonlinear estimation", Technometrics 12 (1970), from
/// memory).
const MOST_INFLATION: f64 = 10.0;
/// An offset this close to a whole number of pitches means a miscounted tooth.
const NEAR_WHOLE_PITCHES: f64 = 0.15;
/// A slope this close to 1 counts as 1, which is as well as a light can be read: 0.4° over 20°.
const SLOPE_TOLERANCE: f64 = 0.02;
/// Below this the starter turns the engine or it barely runs: the speed varies greatly within a turn, and a
/// reading says less. Common practice, no source.
pub const CRANKING_READINGS_BELOW_RPM: f64 = 600.0;
/// A reading must be off by at least this to count as an outlier: repeated readings of one light differ by half
/// of it. Common practice, no source.
const LEAST_OUTLIER_DEG: f64 = 1.0;
/// Below this commanded advance, the share that a light shows of it says nothing.
const LEAST_SHARE_OF_DEG: f64 = 2.0;
/// Which timing light it is.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum LightKind {
    /// It flashes with the spark; the pulley has a scale of degrees.
    Plain,
    /// It flashes later by the angle set on its knob, so the pulley needs only one mark.
    DelayKnob,
}

/// What the readings were taken with.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct TimingSetting {
    /// The zero offset in use, in crank degrees.
    pub zero_offset_deg: f64,
    /// The wheel's pitch in crank degrees.
    pub pitch_deg: f64,
    /// The sensor's latency in use, in µs.
    pub latency_us: f64,
    /// The light, if that was said.
    pub light: Option<LightKind>,
}

impl Default for TimingSetting {
    /// No zero offset and no latency yet, the pitch of 36 teeth, and a light of unknown kind.
    fn default() -> Self {
        Self { zero_offset_deg: 0.0, pitch_deg: 10.0, latency_us: 0.0, light: None }
    }
}

impl TimingSetting {
    /// The setting of a project.
    pub fn of(parts: &Parts) -> Self {
        let trigger = &parts.trigger;
        Self {
            zero_offset_deg: trigger.zero_offset_deg,
            pitch_deg: trigger.wheel.pitch_deg(),
            latency_us: trigger.latency_us,
            light: None,
        }
    }
}

/// What the readings reveal. Intervals are at 95 % confidence; they and the lag are `None` below four readings.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct TimingAnswer {
    /// Observed − commanded at standstill in degrees, or the mean of it where the lag cannot be told.
    pub offset_deg: f64,
    /// Its interval.
    pub offset_ci_deg: Option<[f64; 2]>,
    /// How late the unit is, in µs: as the speed rises, the observed advance falls behind by this time.
    pub latency_us: Option<f64>,
    /// Its interval.
    pub latency_ci_us: Option<[f64; 2]>,
    /// Observed degrees per commanded degree, where speed and commanded advance can be told apart.
    pub slope: Option<f64>,
    /// Its interval.
    pub slope_ci: Option<[f64; 2]>,
    /// By how much the reference is wrong, in degrees: whole pitches where a tooth was miscounted, otherwise 0.
    /// It is never applied automatically: whoever counted the teeth has to count them again.
    #[serde(skip_serializing_if = "stays")]
    pub reference_change_deg: f64,
    /// What to add to the zero offset, in degrees: the offset without the part that belongs to the reference.
    pub zero_offset_change_deg: f64,
    /// The zero offset to set, in degrees.
    pub new_zero_offset_deg: f64,
    /// The offset in pitches of the wheel.
    pub pitches: f64,
    /// What it all means; the most serious first.
    #[serde(serialize_with = "as_words")]
    pub verdicts: Vec<TimingVerdict>,
    /// The standard deviation of the readings from the fit, in degrees, if there are enough of them.
    #[serde(skip)]
    pub scatter_deg: Option<f64>,
    /// The row, counted from 1, of the one reading that disagrees with all the others. It is not left out of
    /// the fit.
    pub outlier_row: Option<usize>,
    /// How many readings were taken while cranking; they are left out unless there are no others.
    pub cranking_readings: usize,
    /// The readings themselves, including those taken while cranking.
    #[serde(skip)]
    pub readings: Vec<TimingReading>,
    /// The latency of the sensor as it is set, in µs.
    #[serde(skip)]
    present_latency_us: f64,
}

/// The result of a fit.
struct Fitted {
    offset_deg: f64,
    offset_half_deg: Option<f64>,
    /// Degrees per rpm.
    per_rpm: Option<f64>,
    per_rpm_half: Option<f64>,
    scatter_deg: Option<f64>,
}

/// A reading and the number of its row, counted from 1.
pub(super) type Numbered<'a> = (usize, &'a TimingReading);

impl TimingAnswer {
    /// As [`TimingAnswer::of_rows`], for readings in the rows 1, 2, 3, …
    ///
    /// # Errors
    /// As [`TimingAnswer::of_rows`].
    pub fn of(readings: &[TimingReading], setting: &TimingSetting) -> Result<Self, WorksheetError> {
        let rows: Vec<(usize, TimingReading)> = readings.iter().cloned().zip(1..).map(|(a, row)| (row, a)).collect();
        Self::of_rows(&rows, setting)
    }

    /// Evaluates readings: observed − commanded = offset + k·speed by least squares, where latency = −k·10⁶/6
    /// µs (0.036° of crank per µs at 6000 rpm). The slope of observed over commanded is a third column where it
    /// can be told from the others: condition below 10⁸ and variance inflation 1/(1 − r²) of at most 10, where
    /// r is the correlation of speed and commanded advance. A slope that is clearly not 1 would distort offset
    /// and lag, so that these then come from the fit of all three. Below four readings, and at a single speed,
    /// the offset is the mean. Readings taken while cranking are left out unless there are no others. Each
    /// reading comes with the number of its row.
    ///
    /// # Errors
    /// [`WorksheetError`] without readings and for a value out of range.
    pub fn of_rows(rows: &[(usize, TimingReading)], setting: &TimingSetting) -> Result<Self, WorksheetError> {
        check_readings(rows)?;
        check_field("trigger.zero_offset_deg", "zero offset", setting.zero_offset_deg)?;
        check("pitch", setting.pitch_deg, 1.0, 60.0, Unit::Degree)?;
        let numbered = || rows.iter().map(|(row, reading)| (*row, reading));
        let (running, cranking): (Vec<Numbered<'_>>, Vec<Numbered<'_>>) =
            numbered().partition(|(_, reading)| reading.speed_rpm >= CRANKING_READINGS_BELOW_RPM);
        let counted = if running.is_empty() { &cranking } else { &running };
        let readings: Vec<TimingReading> = counted.iter().map(|(_, reading)| (*reading).clone()).collect();
        let readings = readings.as_slice();
        let sloped = sloped_fit(readings);
        let slope = sloped.as_ref().map(|fit| fit.coefficients[2]);
        let slope_half = sloped.as_ref().and_then(|fit| fit.half_width(2));
        let is_off = slope.zip(slope_half).is_some_and(|(slope, half)| (slope - 1.0).abs() > half.max(SLOPE_TOLERANCE));
        let (fitted, fit) = match sloped {
            Some(fit) if is_off => (Fitted::with_lag(&fit), fit),
            _ => Fitted::straight(readings),
        };
        let outlier = fit.outlier(LEAST_OUTLIER_DEG);
        let outlier = outlier.and_then(|outlier| Some((counted.get(outlier.row)?.0, outlier.off)));
        let share = if slope.is_some() { None } else { share(readings) };
        let pitches = fitted.offset_deg / setting.pitch_deg;
        let reference_change_deg = match whole_pitches(pitches) {
            // If the slope is off, no change of the reference is proposed.
            Some(whole) if !is_off => settle(whole * setting.pitch_deg),
            _ => 0.0,
        };
        // Where the reference stays, the offset keeps its bits.
        let change_deg = match reference_change_deg {
            0.0 => fitted.offset_deg,
            moved => settle(fitted.offset_deg - moved),
        };
        let around = |middle: f64, half: f64| [middle - half, middle + half];
        let latency = |per_rpm: f64| -per_rpm / DEG_PER_US_RPM + 0.0;
        let latency_us = fitted.per_rpm.map(latency);
        let mut answer = Self {
            offset_deg: fitted.offset_deg,
            offset_ci_deg: fitted.offset_half_deg.map(|half| around(fitted.offset_deg, half)),
            latency_us,
            latency_ci_us: latency_us.zip(fitted.per_rpm_half).map(|(us, half)| around(us, half / DEG_PER_US_RPM)),
            slope,
            slope_ci: slope.zip(slope_half).map(|(slope, half)| around(slope, half)),
            reference_change_deg,
            zero_offset_change_deg: change_deg,
            new_zero_offset_deg: settle(setting.zero_offset_deg + change_deg),
            pitches,
            verdicts: Vec::new(),
            scatter_deg: fitted.scatter_deg,
            outlier_row: outlier.map(|(row, _)| row),
            cranking_readings: cranking.len(),
            readings: rows.iter().map(|(_, reading)| reading.clone()).collect(),
            present_latency_us: setting.latency_us,
        };
        let seen = verdict::Seen {
            readings,
            slope_is_off: is_off,
            share,
            outlier,
            cranking: &cranking,
            is_running: !running.is_empty(),
            setting,
        };
        answer.verdicts = verdict::conclude(&answer, &seen);
        Ok(answer)
    }

    /// What the fit predicts for observed − commanded at a speed, slope aside, in degrees: the line of a plot.
    pub fn difference_deg(&self, speed_rpm: f64) -> f64 {
        self.offset_deg - self.latency_us.unwrap_or(0.0) * DEG_PER_US_RPM * speed_rpm
    }

    /// The latency to set for the sensor, in µs, if a lag is certain, within the range of the field, and
    /// certainly not the latency already set.
    pub fn sure_latency_us(&self) -> Option<f64> {
        let [low_us, high_us] = self.latency_ci_us?;
        let latency_us = self.latency_us.filter(|us| low_us > 0.0 && *us >= verdict::LEAST_LAG_US)?;
        let present_us = self.present_latency_us;
        let is_other =
            !(low_us..=high_us).contains(&present_us) && (latency_us - present_us).abs() >= verdict::LEAST_LAG_US;
        Some(latency_us).filter(|us| is_other && verdict::is_allowed_us(*us))
    }

    /// Whether there is anything to correct: the zero offset, by a change large enough for a light to show, or the
    /// sensor's latency.
    pub fn corrects(&self) -> bool {
        self.zero_offset_change_deg.abs() >= verdict::NOTHING_DEG || self.sure_latency_us().is_some()
    }

    /// Why the result must not be applied, if so.
    pub fn obstacle(&self) -> Option<&TimingVerdict> {
        obstacle(&self.verdicts)
    }

    /// The name of the step that applies it.
    pub fn label(&self) -> String {
        let latency = self.sure_latency_us().map(|us| format!("sensor latency to {}", figure(us, Unit::Microsecond)));
        let zero_offset = (self.zero_offset_change_deg.abs() >= verdict::NOTHING_DEG)
            .then(|| format!("zero offset to {}", signed_figure(self.new_zero_offset_deg, Unit::Degree)));
        let all: Vec<String> = zero_offset.into_iter().chain(latency).collect();
        if all.is_empty() { self.keep_label() } else { format!("Set {}", all.join(", ")) }
    }

    /// The name of the step that keeps the readings and changes nothing else.
    pub fn keep_label(&self) -> String {
        let readings = count(self.readings.len(), "reading");
        format!("Keep {readings}, zero offset as it is")
    }

    /// The project with the zero offset corrected, the latency where it is certain, and the readings that led
    /// there, taken at `taken_at` (RFC 3339) with the trigger as it was: a correction has to be proved by
    /// readings taken after it. Where there is nothing to correct, the readings are kept and the trigger does
    /// not change by a bit.
    ///
    /// # Errors
    /// [`WorksheetError`] where a verdict forbids it or the project cannot have the value.
    pub fn apply(&self, project: &Project, taken_at: &str) -> Result<Project, WorksheetError> {
        if !self.corrects() {
            return self.keep(project, taken_at);
        }
        let kept = self.keep(project, taken_at)?;
        let is_moved = self.zero_offset_change_deg.abs() >= verdict::NOTHING_DEG;
        Ok(kept.edit(|parts| {
            if is_moved {
                parts.trigger.zero_offset_deg = self.new_zero_offset_deg;
            }
            parts.trigger.latency_us = self.sure_latency_us().unwrap_or(parts.trigger.latency_us);
        })?)
    }

    /// The project with these readings as those that are to prove its zero, taken at `taken_at` (RFC 3339) with
    /// the trigger as it is; nothing else changes.
    ///
    /// # Errors
    /// [`WorksheetError`] where a verdict forbids it.
    pub fn keep(&self, project: &Project, taken_at: &str) -> Result<Project, WorksheetError> {
        if let Some(verdict) = self.obstacle() {
            return Err(WorksheetError::Obstacle(verdict.words()));
        }
        Ok(project.edit(|parts| parts.timing_light = self.record(parts, taken_at))?)
    }

    /// The readings, together with a project's present trigger.
    pub fn record(&self, parts: &Parts, taken_at: &str) -> TimingLight {
        let trigger = &parts.trigger;
        TimingLight {
            taken_at: taken_at.into(),
            wheel: trigger.wheel,
            reference_deg: trigger.reference_deg,
            zero_offset_deg: trigger.zero_offset_deg,
            sensor: trigger.sensor,
            latency_us: trigger.latency_us,
            readings: self.readings.clone(),
        }
    }
}

impl Fitted {
    /// A fit with the slope fixed at 1.
    fn straight(readings: &[TimingReading]) -> (Self, Fit) {
        let differences: Vec<f64> =
            readings.iter().map(|reading| reading.observed_deg - reading.commanded_deg).collect();
        let ones = vec![1.0; readings.len()];
        if readings.len() < LEAST_READINGS || has_one_speed(readings) {
            let fit = Fit::new(&[ones], &differences);
            let is_enough = readings.len() >= LEAST_READINGS;
            let fitted = Self {
                offset_deg: fit.coefficients[0],
                offset_half_deg: fit.half_width(0).filter(|_| is_enough),
                per_rpm: None,
                per_rpm_half: None,
                scatter_deg: fit.deviation.filter(|_| is_enough),
            };
            return (fitted, fit);
        }
        let fit = Fit::new(&[ones, speeds(readings)], &differences);
        (Self::with_lag(&fit), fit)
    }

    /// From a fit whose first two columns are ones and speeds.
    fn with_lag(fit: &Fit) -> Self {
        Self {
            offset_deg: fit.coefficients[0],
            offset_half_deg: fit.half_width(0),
            per_rpm: Some(fit.coefficients[1]),
            per_rpm_half: fit.half_width(1),
            scatter_deg: fit.deviation,
        }
    }
}

/// Fits observed = offset + k·speed + slope·commanded, where these can be told apart and at least one reading
/// is left over.
fn sloped_fit(readings: &[TimingReading]) -> Option<Fit> {
    if readings.len() < LEAST_READINGS || rise_together(readings) {
        return None;
    }
    let column = |value: fn(&TimingReading) -> f64| readings.iter().map(value).collect::<Vec<f64>>();
    let columns = [vec![1.0; readings.len()], speeds(readings), column(|reading| reading.commanded_deg)];
    let fit = Fit::new(&columns, &column(|reading| reading.observed_deg));
    (fit.condition < MOST_CONDITION).then_some(fit)
}

fn speeds(readings: &[TimingReading]) -> Vec<f64> {
    readings.iter().map(|reading| reading.speed_rpm).collect()
}

/// The mean share of the commanded advance that the readings show, if for all of them it is about half or for
/// all about twice. `None` otherwise, or if too little was commanded to speak of a share.
fn share(readings: &[TimingReading]) -> Option<f64> {
    let of = |reading: &TimingReading| {
        (reading.commanded_deg.abs() >= LEAST_SHARE_OF_DEG).then(|| reading.observed_deg / reading.commanded_deg)
    };
    let shares: Vec<f64> = readings.iter().map(of).collect::<Option<_>>()?;
    let alike =
        [verdict::HALVED, verdict::DOUBLED].iter().any(|range| shares.iter().all(|share| range.contains(share)));
    #[expect(clippy::cast_precision_loss, reason = "a handful of readings")]
    alike.then(|| shares.iter().sum::<f64>() / shares.len() as f64)
}

/// Whether there is no change at all, so that its field is left out.
#[expect(clippy::trivially_copy_pass_by_ref, reason = "serde wants it so")]
fn stays(change_deg: &f64) -> bool {
    *change_deg == 0.0
}

/// The whole number of pitches that an offset is close to, if it is.
fn whole_pitches(pitches: f64) -> Option<f64> {
    let whole = pitches.round();
    (whole != 0.0 && (pitches - whole).abs() <= NEAR_WHOLE_PITCHES).then_some(whole)
}

/// Whether speed and commanded advance cannot be told apart.
pub(super) fn rise_together(readings: &[TimingReading]) -> bool {
    variance_inflation(readings) > MOST_INFLATION
}

/// The factor by which the variance of the coefficients of speed and commanded advance grows because the two
/// are correlated: 1/(1 − r²), 1 or more; infinite where either is constant.
fn variance_inflation(readings: &[TimingReading]) -> f64 {
    if has_one_speed(readings) || has_one_advance(readings) {
        return f64::INFINITY;
    }
    let correlation = correlation(readings);
    1.0 / (1.0 - correlation * correlation).max(0.0)
}

/// The correlation of speed and commanded advance, −1 to 1; neither may be constant.
fn correlation(readings: &[TimingReading]) -> f64 {
    #[expect(clippy::cast_precision_loss, reason = "a handful of readings")]
    let count = readings.len() as f64;
    let mean = |value: fn(&TimingReading) -> f64| readings.iter().map(value).sum::<f64>() / count;
    let (speed, advance) = (mean(|reading| reading.speed_rpm), mean(|reading| reading.commanded_deg));
    let (mut xx, mut yy, mut xy) = (0.0, 0.0, 0.0);
    for reading in readings {
        let (x, y) = (reading.speed_rpm - speed, reading.commanded_deg - advance);
        (xx, yy, xy) = (xx + x * x, yy + y * y, xy + x * y);
    }
    xy / (xx * yy).sqrt()
}

pub(super) fn has_one_speed(readings: &[TimingReading]) -> bool {
    readings.windows(2).all(|pair| pair[0].speed_rpm == pair[1].speed_rpm)
}

pub(super) fn has_one_advance(readings: &[TimingReading]) -> bool {
    readings.windows(2).all(|pair| pair[0].commanded_deg == pair[1].commanded_deg)
}

fn check_readings(rows: &[(usize, TimingReading)]) -> Result<(), WorksheetError> {
    if rows.is_empty() {
        return Err(WorksheetError::Contradiction("there are no readings; one at least is wanted".into()));
    }
    for (row, reading) in rows {
        let check = |field: &str, what: &str, value| {
            let path = format!("timing_light.readings[].{field}");
            check_field(&path, &format!("reading {row}, {what}"), value)
        };
        check("commanded_deg", "commanded", reading.commanded_deg)?;
        check("observed_deg", "observed", reading.observed_deg)?;
        check("speed_rpm", "speed", reading.speed_rpm)?;
    }
    Ok(())
}
