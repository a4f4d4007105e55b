//! `worksheet throttle`: the throttle sensor's voltages, and whether it is wired correctly.

use serde::Serialize;

use super::{Target, row, verdict_lines};
use crate::command_line::values::number as parse_number;
use crate::command_line::{Answer, Failure};
use crate::wording::{Unit, figure, quantity};
use crate::worksheet::ThrottleAnswer;

/// From the throttle sensor's voltages closed and open to its calibration, and whether it is wired right
#[derive(Debug, clap::Args)]
#[command(after_help = "\
Measure the signal against the sensor's ground with the ignition on and the engine off, on a 5 V
supply.

With --json: {closed_v, open_v, pct_per_v, verdicts, volts, opening_pct}.

Examples:
  sparkloft worksheet throttle --closed 0.52 --open 4.41 --volts 1.8
  sparkloft worksheet throttle P.ron --closed 0.52 --open 4.41 --apply -o P.ron")]
pub(super) struct Throttle {
    #[command(flatten)]
    target: Target,
    /// Volts with the throttle closed
    #[arg(long, value_name = "V", value_parser = parse_number, allow_hyphen_values = true)]
    closed: f64,
    /// Volts with the throttle wide open
    #[arg(long, value_name = "V", value_parser = parse_number, allow_hyphen_values = true)]
    open: f64,
    /// A voltage to read as an opening
    #[arg(long, value_name = "V", value_parser = parse_number, allow_hyphen_values = true)]
    volts: Option<f64>,
}

#[derive(Serialize)]
struct Found {
    #[serde(flatten)]
    answer: ThrottleAnswer,
    volts: Option<f64>,
    opening_pct: Option<f64>,
}

impl Throttle {
    pub(super) fn run(&self) -> Result<Answer, Failure> {
        let (project, rewrite) = self.target.read()?;
        let answer = ThrottleAnswer::of(self.closed, self.open)?;
        let opening_pct = self.volts.map(|volts| answer.pct(volts)).transpose()?.flatten();
        let found = Found { answer, volts: self.volts, opening_pct };
        self.target.answer(
            (project.as_ref(), rewrite),
            &found,
            || text(&found),
            |_| found.answer.label(),
            |project| found.answer.apply(project),
        )
    }
}

fn text(found: &Found) -> String {
    let ThrottleAnswer { closed_v, open_v, pct_per_v, ref verdicts } = found.answer;
    let mut text = row("closed", &quantity(closed_v, Unit::Volt));
    text += &row("open", &quantity(open_v, Unit::Volt));
    if let Some(pct_per_v) = pct_per_v {
        text += &row("for each volt", &figure(pct_per_v, Unit::Percent));
    }
    if let Some((volts, pct)) = found.volts.zip(found.opening_pct) {
        text += &row("opening", &format!("{} at {}", figure(pct, Unit::Percent), quantity(volts, Unit::Volt)));
    }
    text + "\n" + &verdict_lines(verdicts)
}
