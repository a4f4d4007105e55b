//! What the unit would command at each operating point.

use super::{Evaluator, Fields, Input, Refusal};
use crate::project::{LoadKind, Project, Signal};
use crate::spark::{Breakdown, Conditions, Evaluation, OutOfRange};
use crate::wording::shortest;

/// The advance table's value `table_deg`, the `state` and the `commanded_deg` of each point, as if the speed
/// were rising. They are computed from `speed_rpm` and `load`, and from temperatures, battery, throttle and
/// launch switch where the file has them. A temperature whose column is missing or whose field is empty leaves
/// its trim out.
#[derive(Clone, Debug)]
pub struct CommandedAdvance<'a> {
    evaluation: Evaluation<'a>,
    load: LoadKind,
}

const fn required(name: &'static str) -> Input {
    Input { name, required: true }
}

const fn optional(name: &'static str) -> Input {
    Input { name, required: false }
}

const INPUTS: [Input; 7] = [
    required("speed_rpm"),
    required("load"),
    optional("coolant_c"),
    optional("air_c"),
    optional("battery_v"),
    optional("throttle_pct"),
    optional("launch"),
];
/// The index of the launch switch among the inputs.
const LAUNCH: usize = 6;

/// A condition out of range, as an error about its column.
#[cold]
fn refusal(refused: OutOfRange) -> Refusal {
    let input = match refused.signal {
        Signal::Speed => 0,
        Signal::Coolant => 2,
        Signal::Air => 3,
        Signal::Battery => 4,
        Signal::Throttle => 5,
        Signal::Load | Signal::Pressure | Signal::Advance => 1,
    };
    let OutOfRange { range: (low, high), unit, .. } = refused;
    Refusal { input, allowed: format!("{}..{} {unit}", shortest(low), shortest(high)) }
}

impl<'a> CommandedAdvance<'a> {
    /// Prepares a project.
    pub fn new(project: &'a Project) -> Self {
        Self { evaluation: Evaluation::new(project), load: project.sensors.load }
    }

    /// The same for an evaluation of another kind.
    pub fn of(evaluation: Evaluation<'a>) -> Self {
        Self { load: evaluation.parts().sensors.load, evaluation }
    }

    /// The breakdown of a point whose conditions are within their ranges.
    pub fn breakdown(&self, values: &[Option<f64>]) -> Option<Breakdown> {
        let [Some(speed_rpm), Some(load), coolant_c, air_c, battery_v, throttle_pct, launch, ..] = *values else {
            return None;
        };
        let launch_switch = launch == Some(1.0);
        let conditions = Conditions { speed_rpm, load, coolant_c, air_c, battery_v, throttle_pct, launch_switch };
        Some(self.evaluation.lookup(&conditions))
    }
}

impl Evaluator for CommandedAdvance<'_> {
    fn inputs(&self) -> &'static [Input] {
        &INPUTS
    }

    fn outputs(&self) -> &'static [&'static str] {
        &["table_deg", "state", "commanded_deg"]
    }

    #[inline]
    fn evaluate(&self, values: &[Option<f64>], fields: &mut Fields<'_>) -> Result<(), Refusal> {
        let [Some(speed_rpm), Some(load), coolant_c, air_c, battery_v, throttle_pct, launch, ..] = *values else {
            return Ok(());
        };
        let launch = launch.unwrap_or(0.0);
        if launch != 0.0 && launch != 1.0 {
            return Err(Refusal { input: LAUNCH, allowed: "0 (open) or 1 (closed)".into() });
        }
        let launch_switch = launch == 1.0;
        let conditions = Conditions { speed_rpm, load, coolant_c, air_c, battery_v, throttle_pct, launch_switch };
        conditions.check(self.load).map_err(refusal)?;
        let found = self.evaluation.lookup(&conditions);
        // While cranking the table contributes nothing, but its value is still reported.
        let table_deg = match found.state.is_cranking_or_stopped() {
            true => self.evaluation.table_deg(speed_rpm, load),
            false => found.contributions.table,
        };
        let start = fields.out.len();
        fields.number(table_deg);
        let end = fields.out.len();
        fields.word(found.state.name());
        if found.commanded_deg.to_bits() == table_deg.to_bits() {
            // Formatting a number costs more than everything else here, so an equal number is copied.
            fields.out.extend_from_within(start..end);
        } else {
            fields.number(found.commanded_deg);
        }
        Ok(())
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::interchange::Rows;
    use crate::project::SAMPLES;

    fn appended(project: &Project, input: &str) -> Result<String, String> {
        let (header, points) = input.split_at(input.find('\n').unwrap() + 1);
        let rows = Rows::new(header.as_bytes(), CommandedAdvance::new(project)).unwrap();
        let mut out = rows.header().to_vec();
        rows.process(points.as_bytes(), &mut out).map_err(|error| error.after_lines(1).to_string())?;
        Ok(String::from_utf8(out).unwrap())
    }

    #[test]
    fn state_and_command_follow_the_columns_that_are_there() {
        let project = SAMPLES[0].project().unwrap().edit(|parts| {
            parts.limits.launch.enabled = true;
            (parts.limits.launch.retards_from_rpm, parts.limits.launch.cuts_at_rpm) = (3500.0, 4200.0);
        });
        let project = project.unwrap();
        let evaluation = Evaluation::new(&project);
        let text =
            appended(&project, "launch,speed_rpm,load,coolant_c,air_c,throttle_pct\n0,3200,10,20,60,10\n").unwrap();
        let mut lines = text.lines();
        assert_eq!(
            lines.next(),
            Some("launch,speed_rpm,load,coolant_c,air_c,throttle_pct,table_deg,state,commanded_deg")
        );
        let conditions = Conditions {
            speed_rpm: 3200.0,
            load: 10.0,
            coolant_c: Some(20.0),
            air_c: Some(60.0),
            throttle_pct: Some(10.0),
            ..Conditions::default()
        };
        let commanded_deg = evaluation.lookup(&conditions).commanded_deg;
        assert_eq!(lines.next(), Some(format!("0,3200,10,20,60,10,34,running,{}", shortest(commanded_deg)).as_str()));
        assert_ne!(commanded_deg, 34.0);
        let on_the_line = "speed_rpm,load,launch\n4300,100,1\n200,100,0\n20,100,0\n";
        let text = appended(&project, on_the_line).unwrap();
        let states: Vec<&str> = text.lines().skip(1).map(|line| line.split(',').nth(4).unwrap()).collect();
        assert_eq!(states, ["launch_cut", "cranking", "stopped"]);
    }

    #[test]
    fn a_launch_switch_is_open_or_closed() {
        let project = SAMPLES[0].project().unwrap();
        let error = appended(&project, "speed_rpm,load,launch\n1000,5,1\n1000,5,0.5\n").unwrap_err();
        assert_eq!(error, "line 3: column 'launch' ('0.5'): out of range; allowed is 0 (open) or 1 (closed)");
    }

    #[test]
    fn what_cannot_be_is_refused_by_its_column() {
        let project = SAMPLES[0].project().unwrap();
        let header = "speed_rpm,load,coolant_c,air_c,battery_v,throttle_pct\n";
        for (row, told) in [
            ("-5,10,20,20,12,10", "column 'speed_rpm' ('-5'): out of range; allowed is 0..30000 rpm"),
            ("900,101,20,20,12,10", "column 'load' ('101'): out of range; allowed is 0..100 %"),
            ("900,10,201,20,12,10", "column 'coolant_c' ('201'): out of range; allowed is -60..200 °C"),
            ("900,10,20,-61,12,10", "column 'air_c' ('-61'): out of range; allowed is -60..200 °C"),
            ("900,10,20,20,61,10", "column 'battery_v' ('61'): out of range; allowed is 0..60 V"),
            ("900,10,20,20,12,101", "column 'throttle_pct' ('101'): out of range; allowed is 0..100 %"),
        ] {
            assert_eq!(appended(&project, &format!("{header}{row}\n")).unwrap_err(), format!("line 2: {told}"));
        }
    }

    #[test]
    fn an_empty_field_is_as_good_as_no_column() {
        let project = SAMPLES[0].project().unwrap();
        let header = "speed_rpm,load,coolant_c,air_c,battery_v,throttle_pct,launch";
        let with = |row: &str| {
            let text = appended(&project, &format!("{header}\n{row}\n")).unwrap();
            text.lines().nth(1).and_then(|line| line.rsplit(',').next().map(str::to_owned)).unwrap()
        };
        let without = appended(&project, "speed_rpm,load\n900,10\n").unwrap();
        assert!(without.ends_with(&format!(",{}\n", with("900,10,,,,,"))), "{without}");
        assert_eq!(with("900,10,,\"\", ,,"), with("900,10,,,,,"));
        assert_ne!(with("900,10,20,,,,"), with("900,10,,,,,"), "the coolant trim is no longer left out");
        let missing = appended(&project, &format!("{header}\n,10,,,,,\n")).unwrap_err();
        assert_eq!(missing, "line 2: column 'speed_rpm' (''): a number is missing");
    }

    #[test]
    fn without_other_columns_it_is_the_table_where_nothing_else_acts() {
        let project = SAMPLES[0].project().unwrap();
        assert_eq!(
            appended(&project, "speed_rpm,load\n3200,10\n").unwrap(),
            "speed_rpm,load,table_deg,state,commanded_deg\n3200,10,34,running,34\n"
        );
    }
}
