//! `worksheet coil`: dwell, time, duty and energy.

use super::{Target, row, verdict_lines};
use crate::command_line::values::number as parse_number;
use crate::command_line::{Answer, Failure};
use crate::project::{LoadKind, NewProject};
use crate::wording::{Unit, figure, figure_number, fixed, given, quantity};
use crate::worksheet::{CoilAnswer, CoilQuestion};

/// How long the coils must charge, what they store, and whether there is time for it at the limit
#[derive(Debug, clap::Args)]
#[command(after_help = "\
Values that are not given are the project's, or a new project's without one. The current rises as
(V - drop)/R·(1 - e^(-tR/L)), R being the coil at its temperature and the harness; a coil fires
once a revolution, 60000/rpm ms. Where the current is never reached the dwell goes to nine tenths
of what is. Applied, the dwell curve becomes the one proposed, at the voltages given, and the coil
values given here become the project's; current and limit are of the question alone.

With --json: {current_a, energy_mj, limit_rpm, revolution_ms, available_ms, rows [{battery_v,
attainable_a, dwell_ms (null where never reached), proposed_ms, energy_mj, duty (0 to 1),
curve_ms, curve_a, curve_mj}], verdicts}; curve is the dwell curve so far.

Examples:
  sparkloft worksheet coil --resistance 0.5 --inductance 3.7 --current 7 --limit 7000
  sparkloft worksheet coil P.ron --current 7.5 --battery 8,10,12,14,16 --apply -o P.ron")]
pub(super) struct CoilSheet {
    #[command(flatten)]
    target: Target,
    /// Primary resistance at 20 °C in Ω
    #[arg(long, value_name = "OHM", value_parser = parse_number)]
    resistance: Option<f64>,
    /// Primary inductance in mH
    #[arg(long, value_name = "MH", value_parser = parse_number)]
    inductance: Option<f64>,
    /// The coil's temperature in °C
    #[arg(long, value_name = "C", value_parser = parse_number, allow_hyphen_values = true)]
    temperature: Option<f64>,
    /// Resistance of loom and connectors in Ω
    #[arg(long, value_name = "OHM", value_parser = parse_number)]
    harness: Option<f64>,
    /// Voltage across the driver in V
    #[arg(long, value_name = "V", value_parser = parse_number)]
    drop: Option<f64>,
    /// How long the spark burns, in ms
    #[arg(long, value_name = "MS", value_parser = parse_number)]
    burn: Option<f64>,
    /// The current the coil is rated for, in A
    #[arg(long, value_name = "A", value_parser = parse_number)]
    rated: Option<f64>,
    /// The current to reach in A; seven eighths of the rated one when left out
    #[arg(long, value_name = "A", value_parser = parse_number)]
    current: Option<f64>,
    /// The highest speed in rpm
    #[arg(long, value_name = "RPM", value_parser = parse_number)]
    limit: Option<f64>,
    /// Battery voltages, rising, parted by commas; those of the dwell curve when left out
    #[arg(long, value_name = "V,V…", value_parser = parse_number, value_delimiter = ',')]
    battery: Vec<f64>,
}

impl CoilSheet {
    pub(super) fn run(&self) -> Result<Answer, Failure> {
        let (project, rewrite) = self.target.read()?;
        let new = NewProject { name: String::new(), cylinders: 4, load: LoadKind::Throttle, speeds: 2, loads: 2 };
        let from = project.clone().map_or_else(|| new.create(), Ok)?;
        let question = self.question(CoilQuestion::of(&from));
        let found = CoilAnswer::of(&question)?;
        self.target.answer(
            (project.as_ref(), rewrite),
            &found,
            || text(&found),
            |project| found.label(project),
            |project| found.apply(project),
        )
    }

    /// The question with the values that were given on the command line.
    fn question(&self, mut question: CoilQuestion) -> CoilQuestion {
        let coil = &mut question.coil;
        for (given, place) in [
            (self.resistance, &mut coil.resistance_ohm),
            (self.inductance, &mut coil.inductance_mh),
            (self.temperature, &mut coil.temperature_c),
            (self.harness, &mut coil.harness_ohm),
            (self.drop, &mut coil.driver_drop_v),
            (self.burn, &mut coil.burn_time_ms),
            (self.rated, &mut coil.rated_current_a),
        ] {
            *place = given.unwrap_or(*place);
        }
        question.current_a = self.current.unwrap_or(CoilQuestion::usual_current_a(coil.rated_current_a));
        question.limit_rpm = self.limit.unwrap_or(question.limit_rpm);
        if !self.battery.is_empty() {
            question.voltages.clone_from(&self.battery);
        }
        question
    }
}

fn text(found: &CoilAnswer) -> String {
    let mut text = row(
        "current",
        &format!("{}, {} stored", quantity(found.current_a, Unit::Ampere), figure(found.energy_mj, Unit::Millijoule)),
    );
    let times = format!(
        "{}, {} a revolution, {} for charging",
        quantity(found.limit_rpm, Unit::Rpm),
        figure(found.revolution_ms, Unit::Millisecond),
        figure(found.available_ms, Unit::Millisecond)
    );
    text += &row("limit", &times);
    text += "\n battery    dwell   stored   duty |  curve  current   stored\n";
    for point in &found.rows {
        let mark = if point.dwell_ms.is_some() { ' ' } else { '*' };
        text += &format!(
            "{:>6} V {:>5} ms{mark} {:>5} mJ {:>4} % | {:>5} ms {:>4} A {:>6} mJ\n",
            given(point.battery_v, Unit::Volt),
            figure_number(point.proposed_ms, Unit::Millisecond),
            figure_number(point.energy_mj, Unit::Millijoule),
            fixed(point.duty * 100.0, 0),
            figure_number(point.curve_ms, Unit::Millisecond),
            figure_number(point.curve_a, Unit::Ampere),
            figure_number(point.curve_mj, Unit::Millijoule)
        );
    }
    if found.rows.iter().any(|row| row.dwell_ms.is_none()) {
        text += "* the current is never reached there\n";
    }
    text + "\n" + &verdict_lines(&found.verdicts)
}
