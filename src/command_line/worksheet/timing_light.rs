//! `worksheet timing-light`: from readings to the zero offset.

use std::path::PathBuf;
use std::str::FromStr;

use jiff::Timestamp;
use serde::Serialize;

use super::{Target, row, verdict_lines};
use crate::command_line::output::{read_up_to, refuse_taken};
use crate::command_line::values::Mark;
use crate::command_line::values::number as parse_number;
use crate::command_line::{Answer, Failure};
use crate::interchange::{MAX_READINGS_BYTES, read_readings_as};
use crate::project::{TimingReading, cautions};
use crate::wording::{Refusal, Unit, figure, fixed, signed_figure};
use crate::worksheet::{LightKind, TimingAnswer, TimingSetting, Unproved};

/// From timing-light readings to the zero offset that makes a commanded degree a real degree
#[derive(Debug, clap::Args)]
#[command(after_help = "\
FILE.csv has the columns commanded_deg (what the unit commands), observed_deg (what the light
shows, both in degrees before top dead centre) and speed_rpm; without a row of names the columns
stand in that order. To tell everything apart read at 1000, 2000, 3000 and 4000 rpm with the
advance locked at 10°, then at 5, 15 and 25° with 1500 rpm held.

Observed minus commanded = offset + k·speed by least squares; a lag of the unit is -k·10^6/6 µs.
Intervals hold with 95 % (Student's t), from four readings on; below four readings, and at one
speed, there is the offset alone. The slope of observed over commanded is told where speed and
advance can be told apart: where their going together inflates no variance beyond ten times. Where
it is clearly not 1, offset and lag are those of the fit with it. Observed 14 at commanded 10
changes the zero offset by +4. An offset of about whole pitches means a tooth miscounted: nothing
is applied before the reference was moved by hand. Readings below 600 rpm are kept apart, and one
that lies off all the others is named; it still counts.

A light with a delay knob that is set wrongly shows half or twice of every angle. Where one
commanded advance alone was read and that may be so, --light says which light it is.

--apply corrects zero offset and latency and keeps the readings as taken before the correction;
read again, and apply again: where nothing is left to correct, the readings are kept and prove the
zero (two or more commanded advances, one reading above 2500 rpm, on average within 1° and each
within 2° of what is commanded). --apply --keep keeps them and corrects nothing.

With --json: {offset_deg, offset_ci_deg ([low, high] or null), latency_us, latency_ci_us, slope,
slope_ci, zero_offset_change_deg, new_zero_offset_deg, pitches, verdicts, outlier_row (or null),
cranking_readings}, reference_change_deg where a tooth was miscounted, and with a project
missing_for_proof, what the readings lack to prove its zero as it is.

Examples:
  sparkloft worksheet timing-light --reading 10,14,1000 --zero-offset -1.5 --pitch 6
  sparkloft worksheet timing-light P.ron --readings light.csv --apply -o P.ron")]
pub(super) struct TimingLight {
    #[command(flatten)]
    target: Target,
    /// Readings from a file
    #[arg(long, value_name = "FILE.csv", required_unless_present = "reading")]
    readings: Option<PathBuf>,
    /// What stands before decimals in that file, where its numbers do not tell, as 1,000 alone does not
    #[arg(long, value_name = "MARK", requires = "readings")]
    decimal_mark: Option<Mark>,
    /// One reading: degrees commanded, degrees observed, rpm; may be given more than once
    #[arg(long, value_name = "COMMANDED,OBSERVED,RPM", allow_hyphen_values = true)]
    reading: Vec<Reading>,
    /// The zero offset in use, in degrees; the project's, or 0 without one
    #[arg(long, value_name = "DEG", value_parser = parse_number, allow_hyphen_values = true)]
    zero_offset: Option<f64>,
    /// Which timing light it is
    #[arg(long, value_name = "LIGHT")]
    light: Option<Light>,
    /// With --apply: keep the readings and leave zero offset and latency as they are
    #[arg(long, requires = "apply")]
    keep: bool,
    /// The wheel's pitch in degrees; the project's, or 10 without one
    #[arg(long, value_name = "DEG", value_parser = parse_number)]
    pitch: Option<f64>,
}

/// The timing lights there are.
#[derive(Clone, Copy, Debug, clap::ValueEnum)]
enum Light {
    /// It flashes with the spark; the degrees stand on the pulley
    Plain,
    /// It flashes later by what its knob says
    DelayKnob,
}

/// The answer, and what the readings still lack to prove the project's zero.
#[derive(Serialize)]
struct Found<'a> {
    #[serde(flatten)]
    answer: &'a TimingAnswer,
    #[serde(skip_serializing_if = "Option::is_none")]
    missing_for_proof: Option<Vec<String>>,
}

/// A reading as given on the command line.
#[derive(Clone, Copy, Debug)]
struct Reading([f64; 3]);

impl FromStr for Reading {
    type Err = Refusal;

    fn from_str(text: &str) -> Result<Self, Refusal> {
        let numbers = text.split(',').map(parse_number).collect::<Result<Vec<f64>, Refusal>>()?;
        let numbers: Result<[f64; 3], _> = numbers.try_into();
        numbers.map(Self).map_err(|_| Refusal::new("write a reading as COMMANDED,OBSERVED,RPM, such as 10,14,1000"))
    }
}

impl TimingLight {
    pub(super) fn run(&self) -> Result<Answer, Failure> {
        if let Some((output, readings)) = self.target.output.as_deref().zip(self.readings.as_deref()) {
            refuse_taken("worksheet timing-light", output, &[("the file of readings", readings)])?;
        }
        let (project, rewrite) = self.target.read()?;
        let mut setting = project.as_deref().map(TimingSetting::of).unwrap_or_default();
        setting.light = self.light.map(|light| match light {
            Light::Plain => LightKind::Plain,
            Light::DelayKnob => LightKind::DelayKnob,
        });
        setting.zero_offset_deg = self.zero_offset.unwrap_or(setting.zero_offset_deg);
        setting.pitch_deg = self.pitch.unwrap_or(setting.pitch_deg);
        let found = TimingAnswer::of(&self.all_readings()?, &setting)?;
        let taken_at = Timestamp::now().round(jiff::Unit::Second).unwrap_or(Timestamp::UNIX_EPOCH).to_string();
        let missing = project.as_ref().map(|project| {
            let record = found.record(project, &taken_at);
            Unproved::of_record(&record, &project.trigger)
        });
        let in_words = |missing: &Vec<Unproved>| missing.iter().map(Unproved::words).collect();
        self.target.answer(
            (project.as_ref(), rewrite),
            &Found { answer: &found, missing_for_proof: missing.as_ref().map(in_words) },
            || text(&found, missing.as_deref()),
            |_| if self.keep { found.keep_label() } else { found.label() },
            |project| if self.keep { found.keep(project, &taken_at) } else { found.apply(project, &taken_at) },
        )
    }

    fn all_readings(&self) -> Result<Vec<TimingReading>, Failure> {
        let mut readings = match &self.readings {
            Some(path) => {
                let bytes = read_up_to(path, MAX_READINGS_BYTES as u64)?;
                let mark = self.decimal_mark.map(Into::into);
                read_readings_as(&bytes, mark).map_err(|source| Failure::Readings { path: path.clone(), source })?
            }
            None => Vec::new(),
        };
        readings.extend(self.reading.iter().map(|&Reading([commanded_deg, observed_deg, speed_rpm])| TimingReading {
            commanded_deg,
            observed_deg,
            speed_rpm,
        }));
        Ok(readings)
    }
}

fn text(found: &TimingAnswer, missing: Option<&[Unproved]>) -> String {
    let deg = |value: f64| signed_figure(value, Unit::Degree);
    let us = |value: f64| figure(value, Unit::Microsecond);
    let plain = |value: f64| fixed(value, 3);
    let with = |value: String, interval: Option<[f64; 2]>, shown: &dyn Fn(f64) -> String| match interval {
        Some([low, high]) => format!("{value}   95 % between {} and {}", shown(low), shown(high)),
        None => value,
    };
    let mut text = row("offset", &with(deg(found.offset_deg), found.offset_ci_deg, &deg));
    if let Some(latency_us) = found.latency_us {
        text += &row("latency", &with(us(latency_us), found.latency_ci_us, &us));
    }
    if let Some(slope) = found.slope {
        text += &row("slope", &with(plain(slope), found.slope_ci, &plain));
    }
    text += &row("offset in pitches", &fixed(found.pitches, 2));
    if found.reference_change_deg != 0.0 {
        text += &row("reference is off", &signed_figure(found.reference_change_deg, Unit::Degree));
    }
    text += &row("zero offset changes", &deg(found.zero_offset_change_deg));
    text += &row("new zero offset", &deg(found.new_zero_offset_deg));
    let proof = match missing {
        None => String::new(),
        Some([]) => "Kept as they are, these readings prove the zero.\n".into(),
        Some(missing) => {
            format!("Kept as they are, these readings do not prove the zero: {}.\n", Unproved::all_words(missing))
        }
    };
    format!("{text}\n{}{proof}\nCaution: {}\n", verdict_lines(&found.verdicts), cautions::TIMING_LIGHT)
}
