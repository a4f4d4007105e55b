//! `worksheet first-start`: the engine cranked without fuel, before it runs for the first time.

use std::path::PathBuf;
use std::str::FromStr;

use serde::Serialize;

use super::{row, verdict_lines};
use crate::command_line::output::{Format, read_project};
use crate::command_line::values::number as parse_number;
use crate::command_line::{Answer, Failure};
use crate::wording::{Refusal, Unit, figure, fixed, quantity};
use crate::worksheet::{FirstStart, FirstStartAnswer, Steps, WorksheetError};

/// Before the first start: what to do and what the light should show, cranked without fuel
#[derive(Debug, clap::Args)]
#[command(after_help = "\
Tells from the project what is commanded while cranking, what a timing light should show of each
coil before its own pair's mark, with plugs out and with plugs in, and the supply that the unit
is to have. With --shown and --supply it judges what was seen: coils that are swapped, a
reference counted from another tooth, a zero that is off, a supply that is too low.

With --json: {commanded_deg, variation, firing_order, coils: [{coil, cylinders,
mark_after_first_deg, plugs_out_deg, plugs_in_deg ([low, high])}], supply_v ([low, high]), dwell_ms,
current_a, energy_mj, steps: [{heading, steps}], shown_deg, measured_v, verdicts}.

Examples:
  sparkloft worksheet first-start P.ron
  sparkloft worksheet first-start P.ron --shown A=8 --shown B=8.5 --supply 9.6")]
pub(super) struct FirstStartSheet {
    /// The project file
    #[arg(value_name = "P")]
    project: PathBuf,
    /// What the light shows of a coil before its own pair's mark, in degrees; may be given more than once
    #[arg(long, value_name = "COIL=DEG", allow_hyphen_values = true)]
    shown: Vec<Shown>,
    /// The supply at the unit while cranking
    #[arg(long, value_name = "V", value_parser = parse_number, allow_hyphen_values = true)]
    supply: Option<f64>,
    #[command(flatten)]
    format: Format,
}

/// A coil's name and what the light shows of it.
#[derive(Clone, Debug)]
struct Shown(String, f64);

impl FromStr for Shown {
    type Err = Refusal;

    fn from_str(text: &str) -> Result<Self, Refusal> {
        let (coil, deg) = text
            .rsplit_once('=')
            .ok_or_else(|| Refusal::new("write what the light shows as COIL=DEG, such as A=8.5"))?;
        Ok(Self(coil.to_owned(), parse_number(deg)?))
    }
}

#[derive(Serialize)]
struct Found {
    #[serde(flatten)]
    asked: FirstStart,
    steps: Vec<Steps>,
    shown_deg: Vec<Option<f64>>,
    measured_v: Option<f64>,
    verdicts: serde_json::Value,
}

impl FirstStartSheet {
    pub(super) fn run(&self) -> Result<Answer, Failure> {
        let project = read_project(&self.project)?;
        let asked = FirstStart::of(&project);
        let mut shown_deg = vec![None; asked.coils.len()];
        for Shown(name, deg) in &self.shown {
            let place = asked.coils.iter().position(|coil| coil.coil == *name);
            let Some(slot) = place.and_then(|place| shown_deg.get_mut(place)) else {
                let coils: Vec<&str> = asked.coils.iter().map(|coil| coil.coil.as_str()).collect();
                let message = format!("there is no coil '{name}'; the project has {}", coils.join(", "));
                return Err(WorksheetError::Contradiction(message).into());
            };
            *slot = Some(*deg);
        }
        let answer = asked.judge(&shown_deg, self.supply)?;
        let is_seen = self.supply.is_some() || !self.shown.is_empty();
        let words = || text(&asked, is_seen.then_some(&answer));
        let found = Found {
            steps: asked.steps(),
            shown_deg,
            measured_v: self.supply,
            verdicts: if is_seen { serde_json::json!(answer)["verdicts"].take() } else { serde_json::json!([]) },
            asked: asked.clone(),
        };
        self.format.answer(&found, words)
    }
}

fn text(asked: &FirstStart, seen: Option<&FirstStartAnswer>) -> String {
    let mut text = row("commanded", &figure(asked.commanded_deg, Unit::Degree));
    let [lowest, highest] = asked.supply_v.map(|volts| quantity(volts, Unit::Volt));
    text += &row("supply", &format!("{lowest} to {highest}"));
    let at_lowest = format!(
        "{} of dwell, {}, {} stored",
        figure(asked.dwell_ms, Unit::Millisecond),
        figure(asked.current_a, Unit::Ampere),
        figure(asked.energy_mj, Unit::Millijoule)
    );
    text += &row(&format!("at {lowest}"), &at_lowest);
    text += "\ncoil      cylinders   turn by   plugs out      plugs in\n";
    for coil in &asked.coils {
        let [first, second] = coil.cylinders;
        let [low, high] = coil.plugs_in_deg;
        text += &format!(
            "{:<9} {:>9} {:>8}° {:>10}° {:>13}\n",
            coil.coil,
            format!("{first}+{second}"),
            fixed(coil.mark_after_first_deg, 0),
            fixed(coil.plugs_out_deg, 1),
            format!("{} to {}°", fixed(low, 1), fixed(high, 1))
        );
    }
    if let Some(seen) = seen {
        text += &format!("\n{}", verdict_lines(&seen.verdicts));
    }
    for part in asked.steps() {
        text += &format!("\n{}\n", part.heading);
        for (at, step) in part.steps.iter().enumerate() {
            text += &format!("  {}. {step}\n", at + 1);
        }
    }
    format!("{text}\nCaution: {}\n", FirstStart::caution())
}
