//! `worksheet sender`: a temperature sender's law, and what the unit reads from it.

use std::str::FromStr;

use clap::ValueEnum;
use serde::Serialize;

use super::{Target, row, verdict_lines};
use crate::command_line::values::number as parse_number;
use crate::command_line::{Answer, Failure};
use crate::project::{Project, Sender};
use crate::wording::{Refusal, Unit, figure, figure_number, given, quantity, scientific};
use crate::worksheet::{Divider, SenderAnswer, SenderLaw, SenderPlace, WorksheetError};

/// From two or three points of a temperature sender's data sheet to its whole table, in volts and counts
#[derive(Debug, clap::Args)]
#[command(after_help = "\
Three points give the Steinhart-Hart law 1/T = A + B·ln R + C·(ln R)³ (T in K), two the β form.
Without points the project's sender is taken. The divider is a pull-up resistor to the supply,
read by a converter of that supply.

With --json: {law {a, b, c, beta}, rows [{temperature_c, ohm, volts, counts, c_per_count}],
verdicts, readings [{temperature_c, ohm, volts, counts}]}; readings are those asked for with
--ohm, --volts and --at.

Examples:
  sparkloft worksheet sender --point 0,5975 --point 50,806.9 --point 100,175.7 --volts 0.55 --at 85
  sparkloft worksheet sender P.ron --place air --point 20,2502 --point 90,231.2 --apply -o P.ron")]
pub(super) struct SenderSheet {
    #[command(flatten)]
    target: Target,
    /// A point of the data sheet, °C and Ω; two or three of them
    #[arg(long, value_name = "C,OHM", allow_hyphen_values = true, required_unless_present = "project")]
    point: Vec<Point>,
    /// Which sender it is
    #[arg(long, default_value = "coolant")]
    place: Place,
    /// The pull-up resistor in Ω; the project's, or 2200 without one
    #[arg(long, value_name = "OHM", value_parser = parse_number)]
    pull_up: Option<f64>,
    /// The supply of pull-up and converter in V
    #[arg(long, value_name = "V", value_parser = parse_number, default_value = "5")]
    supply: f64,
    /// Bits of the converter
    #[arg(long, value_name = "BITS", default_value_t = 10)]
    bits: u8,
    /// A resistance to read as a temperature, in Ω; may be given more than once
    #[arg(long, value_name = "OHM", value_parser = parse_number)]
    ohm: Vec<f64>,
    /// A voltage at the sender to read as a temperature, in V; may be given more than once
    #[arg(long, value_name = "V", value_parser = parse_number)]
    volts: Vec<f64>,
    /// A temperature to find the resistance for, in °C; may be given more than once
    #[arg(long, value_name = "C", value_parser = parse_number, allow_hyphen_values = true)]
    at: Vec<f64>,
}

/// The pull-up if there is no project: common practice, no source.
const PULL_UP_OHM: f64 = 2200.0;

#[derive(Clone, Copy, Debug)]
struct Point((f64, f64));

impl FromStr for Point {
    type Err = Refusal;

    fn from_str(text: &str) -> Result<Self, Refusal> {
        let (celsius, ohm) =
            text.split_once(',').ok_or_else(|| Refusal::new("write a point as C,OHM, such as 20,2502"))?;
        Ok(Self((parse_number(celsius)?, parse_number(ohm)?)))
    }
}

#[derive(Clone, Copy, Debug, ValueEnum)]
enum Place {
    /// In the coolant
    Coolant,
    /// In the intake air
    Air,
}

impl From<Place> for SenderPlace {
    fn from(place: Place) -> Self {
        match place {
            Place::Coolant => Self::Coolant,
            Place::Air => Self::Air,
        }
    }
}

#[derive(Serialize)]
struct Found {
    #[serde(flatten)]
    answer: SenderAnswer,
    readings: Vec<Reading>,
}

#[derive(Serialize)]
struct Reading {
    temperature_c: f64,
    ohm: f64,
    volts: f64,
    counts: f64,
}

impl SenderSheet {
    pub(super) fn run(&self) -> Result<Answer, Failure> {
        let (project, rewrite) = self.target.read()?;
        let own = project.as_ref().map(|project| self.own(project));
        let pull_up_ohm = self.pull_up.or(own.map(|own| own.pull_up_ohm)).unwrap_or(PULL_UP_OHM);
        let divider = Divider { pull_up_ohm, supply_v: self.supply, bits: self.bits };
        let mut points: Vec<(f64, f64)> = self.point.iter().map(|point| point.0).collect();
        if let Some(own) = own.filter(|_| points.is_empty()) {
            points.extend(own.points_c.into_iter().zip(own.points_ohm));
        }
        let answer = SenderAnswer::of(&points, divider, self.place.into())?;
        let readings = self.readings(&answer)?;
        let found = Found { answer, readings };
        self.target.answer(
            (project.as_ref(), rewrite),
            &found,
            || text(&found),
            |_| found.answer.label(),
            |project| found.answer.apply(project),
        )
    }

    fn own<'p>(&self, project: &'p Project) -> &'p Sender {
        match self.place {
            Place::Coolant => &project.sensors.coolant,
            Place::Air => &project.sensors.air,
        }
    }

    fn readings(&self, answer: &SenderAnswer) -> Result<Vec<Reading>, Failure> {
        let divider = answer.divider();
        let reading = |temperature_c: f64, ohm: f64| {
            let (volts, counts) = (divider.volts(ohm), divider.counts(ohm));
            Reading { temperature_c, ohm, volts, counts }
        };
        let mut readings = Vec::new();
        let at_volts = |volts: &f64| divider.ohm(*volts).ok_or_else(|| no_reading(*volts, divider));
        let of_volts = self.volts.iter().map(at_volts).collect::<Result<Vec<f64>, _>>()?;
        for &ohm in self.ohm.iter().chain(&of_volts) {
            readings.push(reading(answer.law.temperature_c(ohm)?, ohm));
        }
        for &celsius in &self.at {
            readings.push(reading(celsius, answer.law.ohm(celsius)?));
        }
        Ok(readings)
    }
}

/// At 0 V or at the supply, the sender or its wire is broken or shorted.
fn no_reading(volts: f64, divider: &Divider) -> WorksheetError {
    let (volts, supply) = (quantity(volts, Unit::Volt), quantity(divider.supply_v, Unit::Volt));
    WorksheetError::Contradiction(format!(
        "{volts} is no reading between 0 and the supply of {supply}: at a rail the sender or its wire is broken or \
         shorted"
    ))
}

fn text(found: &Found) -> String {
    let SenderLaw { a, b, c, beta } = found.answer.law;
    let mut text = match beta {
        Some(beta) => row("β", &figure(beta, Unit::Kelvin)),
        None => row("A, B, C", &[a, b, c].map(scientific).join(", ")),
    };
    text += "\n     °C           Ω       V   counts  °C a count\n";
    for point in &found.answer.rows {
        text += &format!(
            "{:>7} {:>11} {:>7} {:>8} {:>11}\n",
            given(point.temperature_c, Unit::Celsius),
            figure_number(point.ohm, Unit::Ohm),
            figure_number(point.volts, Unit::Volt),
            given(point.counts, Unit::Count),
            figure_number(point.c_per_count, Unit::Celsius)
        );
    }
    if !found.readings.is_empty() {
        text.push('\n');
    }
    for reading in &found.readings {
        let figures = [(reading.temperature_c, Unit::Celsius), (reading.volts, Unit::Volt)]
            .map(|(value, unit)| figure(value, unit));
        let words = format!("{}, {}", figures.join(", "), quantity(reading.counts, Unit::Count));
        text += &row(&figure(reading.ohm, Unit::Ohm), &words);
    }
    text + "\n" + &verdict_lines(&found.answer.verdicts)
}
