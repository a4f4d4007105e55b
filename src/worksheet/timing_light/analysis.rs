//! Readings → offset, lag and scale, each with its interval.

use serde::Serialize;

use super::verdict::{self, TimingVerdict};
use crate::project::{Project, TimingLight, TimingReading};
use crate::wording::{figure, settle, signed_figure};
use crate::worksheet::error::{WorksheetError, check, check_field};
use crate::worksheet::least_squares::Fit;
use crate::worksheet::light::DEG_PER_US_RPM;
use crate::worksheet::verdict::{Verdict, as_words, obstacle};

/// With fewer readings there is the offset alone.
pub(super) const LEAST_READINGS: usize = 4;
/// Beyond this the columns count as dependent: speeds that are all but one cannot be told from the offset.
const MOST_CONDITION: f64 = 1e8;
/// Beyond this speed and commanded advance cannot be told apart: the variance of their coefficients is ten times what it
/// would be if they were independent, which is as much as is commonly allowed (D. W. Marquardt, "Generalized inverses,
/// ridge regression, biased linear estimation, and nonlinear estimation", Technometrics 12 (1970), from memory).
const MOST_INFLATION: f64 = 10.0;
/// An offset this close to whole pitches is a tooth miscounted.
const NEAR_WHOLE_PITCHES: f64 = 0.15;
/// A slope closer to 1 than this is 1 as far as a light can be read: 0.4° over 20°.
const SLOPE_TOLERANCE: f64 = 0.02;

/// What the readings were taken with.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct TimingSetting {
    /// The zero offset in use, in crank degrees.
    pub zero_offset_deg: f64,
    /// The wheel's pitch in crank degrees.
    pub pitch_deg: f64,
}

impl Default for TimingSetting {
    /// No zero offset yet, and the pitch of 36 teeth.
    fn default() -> Self {
        Self { zero_offset_deg: 0.0, pitch_deg: 10.0 }
    }
}

impl TimingSetting {
    /// That of a project.
    pub fn of(project: &Project) -> Self {
        let trigger = &project.trigger;
        Self { zero_offset_deg: trigger.zero_offset_deg, pitch_deg: trigger.wheel.pitch_deg() }
    }
}

/// What the readings tell. Intervals hold with 95 %; they and the lag are `None` below four readings.
#[derive(Clone, Debug, PartialEq, Serialize)]
pub struct TimingAnswer {
    /// Observed − commanded at standstill, or its mean where the lag cannot be told, in degrees.
    pub offset_deg: f64,
    /// Its interval.
    pub offset_ci_deg: Option<[f64; 2]>,
    /// How late the unit is, in µs: the observed advance falls behind by that time as the speed rises.
    pub latency_us: Option<f64>,
    /// Its interval.
    pub latency_ci_us: Option<[f64; 2]>,
    /// Observed degrees for each commanded degree, where speed and commanded advance can be told apart.
    pub slope: Option<f64>,
    /// Its interval.
    pub slope_ci: Option<[f64; 2]>,
    /// By how much to move the reference, in degrees: whole pitches where a tooth was miscounted, 0 elsewhere.
    #[serde(skip_serializing_if = "stays")]
    pub reference_change_deg: f64,
    /// What to add to the zero offset, in degrees: the offset, less what the reference takes.
    pub zero_offset_change_deg: f64,
    /// The zero offset to set, in degrees.
    pub new_zero_offset_deg: f64,
    /// The offset in pitches of the wheel.
    pub pitches: f64,
    /// What it all means; the weightiest first.
    #[serde(serialize_with = "as_words")]
    pub verdicts: Vec<TimingVerdict>,
    /// The standard deviation of the readings from the fit, in degrees, where there are enough of them.
    #[serde(skip)]
    pub scatter_deg: Option<f64>,
    /// The readings themselves.
    #[serde(skip)]
    pub readings: Vec<TimingReading>,
}

/// What was fitted.
struct Fitted {
    offset_deg: f64,
    offset_half_deg: Option<f64>,
    /// Degrees per rpm.
    per_rpm: Option<f64>,
    per_rpm_half: Option<f64>,
    scatter_deg: Option<f64>,
}

impl TimingAnswer {
    /// Works out readings: observed − commanded = offset + k·speed by least squares, where latency = −k·10⁶/6 µs (0.036°
    /// of crank per µs at 6000 rpm). The slope of observed over commanded is a third column where it can be told from the
    /// others: condition below 10⁸ and variance inflation 1/(1 − r²) of at most 10, where r is the correlation of speed
    /// and commanded advance. A slope that is clearly not 1 would be taken for offset and lag, so that these then come
    /// from the fit of all three. Below four readings, and at a single speed, the offset is the mean.
    ///
    /// # Errors
    /// [`WorksheetError`] without readings and for a value out of range.
    pub fn of(readings: &[TimingReading], setting: &TimingSetting) -> Result<Self, WorksheetError> {
        check_readings(readings)?;
        check_field("trigger.zero_offset_deg", "zero offset", setting.zero_offset_deg)?;
        check("pitch", setting.pitch_deg, 1.0, 60.0, "°")?;
        let sloped = sloped_fit(readings);
        let slope = sloped.as_ref().map(|fit| fit.coefficients[2]);
        let slope_half = sloped.as_ref().and_then(|fit| fit.half_width(2));
        let is_off = slope.zip(slope_half).is_some_and(|(slope, half)| (slope - 1.0).abs() > half.max(SLOPE_TOLERANCE));
        let fitted = match &sloped {
            Some(fit) if is_off => Fitted::with_lag(fit),
            _ => Fitted::straight(readings),
        };
        let pitches = fitted.offset_deg / setting.pitch_deg;
        let reference_change_deg = match whole_pitches(pitches) {
            // A slope that is off leaves nothing to be moved.
            Some(whole) if !is_off => settle(whole * setting.pitch_deg),
            _ => 0.0,
        };
        // Left to the bit as it was where the reference stays.
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
            readings: readings.to_vec(),
        };
        answer.verdicts = verdict::conclude(&answer, is_off);
        Ok(answer)
    }

    /// What the fit expects of observed − commanded at a speed, slope aside, in degrees: the line of a plot.
    pub fn difference_deg(&self, speed_rpm: f64) -> f64 {
        self.offset_deg - self.latency_us.unwrap_or(0.0) * DEG_PER_US_RPM * speed_rpm
    }

    /// The lag to set as the sensor's latency, in µs: one that is surely there and that a project can have.
    pub fn sure_latency_us(&self) -> Option<f64> {
        let [low_us, _] = self.latency_ci_us?;
        let latency_us = self.latency_us.filter(|us| low_us > 0.0 && *us >= verdict::LEAST_LAG_US);
        latency_us.filter(|us| verdict::is_allowed_us(*us))
    }

    /// Why the result must not be applied, if so.
    pub fn obstacle(&self) -> Option<&TimingVerdict> {
        obstacle(&self.verdicts)
    }

    /// The name of the step that applies it.
    pub fn label(&self) -> String {
        let reference = match self.reference_change_deg {
            0.0 => "Set".to_owned(),
            moved => format!("Move the reference by {}, set", signed_figure(moved, "°")),
        };
        let latency = self.sure_latency_us().map(|us| format!(", sensor latency to {}", figure(us, "µs")));
        let zero_offset = signed_figure(self.new_zero_offset_deg, "°");
        format!("{reference} zero offset to {zero_offset}{}", latency.unwrap_or_default())
    }

    /// The project with the reference and the zero offset moved as told, the latency where it is sure, and the readings that led there, taken at
    /// `taken_at` (RFC 3339).
    ///
    /// # Errors
    /// [`WorksheetError`] where a verdict forbids it or the project cannot have the value.
    pub fn apply(&self, project: &Project, taken_at: &str) -> Result<Project, WorksheetError> {
        if let Some(verdict) = self.obstacle() {
            return Err(WorksheetError::Obstacle(verdict.words()));
        }
        let zero_offset_deg = self.new_zero_offset_deg;
        Ok(project.edit(|parts| {
            parts.trigger.zero_offset_deg = zero_offset_deg;
            if self.reference_change_deg != 0.0 {
                let reference_deg = parts.trigger.reference_deg + self.reference_change_deg;
                parts.trigger.reference_deg = settle(reference_deg.rem_euclid(360.0));
            }
            parts.trigger.latency_us = self.sure_latency_us().unwrap_or(parts.trigger.latency_us);
            parts.timing_light = TimingLight {
                taken_at: taken_at.into(),
                wheel: parts.trigger.wheel,
                reference_deg: parts.trigger.reference_deg,
                zero_offset_deg,
                sensor: parts.trigger.sensor,
                latency_us: parts.trigger.latency_us,
                readings: self.readings.clone(),
            };
        })?)
    }
}

impl Fitted {
    /// With the slope held at 1.
    fn straight(readings: &[TimingReading]) -> Self {
        let differences: Vec<f64> =
            readings.iter().map(|reading| reading.observed_deg - reading.commanded_deg).collect();
        let ones = vec![1.0; readings.len()];
        if readings.len() < LEAST_READINGS || has_one_speed(readings) {
            let fit = Fit::new(&[ones], &differences);
            let is_enough = readings.len() >= LEAST_READINGS;
            return Self {
                offset_deg: fit.coefficients[0],
                offset_half_deg: fit.half_width(0).filter(|_| is_enough),
                per_rpm: None,
                per_rpm_half: None,
                scatter_deg: fit.deviation.filter(|_| is_enough),
            };
        }
        Self::with_lag(&Fit::new(&[ones, speeds(readings)], &differences))
    }

    /// From a fit whose first columns are ones and speeds.
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

/// Observed = offset + k·speed + slope·commanded, where these can be told apart and one reading at least is left over.
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

/// Whether there is nothing to be moved.
#[expect(clippy::trivially_copy_pass_by_ref, reason = "serde wants it so")]
fn stays(change_deg: &f64) -> bool {
    *change_deg == 0.0
}

/// The whole pitches that an offset is about, if it is.
fn whole_pitches(pitches: f64) -> Option<f64> {
    let whole = pitches.round();
    (whole != 0.0 && (pitches - whole).abs() <= NEAR_WHOLE_PITCHES).then_some(whole)
}

/// Whether speed and commanded advance cannot be told apart.
pub(super) fn rise_together(readings: &[TimingReading]) -> bool {
    variance_inflation(readings) > MOST_INFLATION
}

/// By how much the variance of the coefficients of speed and commanded advance grows because they go together: 1/(1 − r²),
/// from 1 on; infinite where either is the same throughout.
fn variance_inflation(readings: &[TimingReading]) -> f64 {
    if has_one_speed(readings) || has_one_advance(readings) {
        return f64::INFINITY;
    }
    let correlation = correlation(readings);
    1.0 / (1.0 - correlation * correlation).max(0.0)
}

/// How far speed and commanded advance, neither of them all the same, go together: −1 to 1.
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

fn check_readings(readings: &[TimingReading]) -> Result<(), WorksheetError> {
    if readings.is_empty() {
        return Err(WorksheetError::Contradiction("there are no readings; one at least is wanted".into()));
    }
    for (at, reading) in readings.iter().enumerate() {
        let check = |field: &str, what: &str, value| {
            let path = format!("timing_light.readings[].{field}");
            check_field(&path, &format!("reading {}, {what}", at + 1), value)
        };
        check("commanded_deg", "commanded", reading.commanded_deg)?;
        check("observed_deg", "observed", reading.observed_deg)?;
        check("speed_rpm", "speed", reading.speed_rpm)?;
    }
    Ok(())
}
