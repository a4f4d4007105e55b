//! `lookup`: what the spark does at one point, or at any number of them, from file to file.

use std::fs::File;
use std::io;
use std::io::Read;
use std::path::{Path, PathBuf};

use serde::Serialize;

use super::output::Format;
use super::values::{Mark, number};
use super::{Answer, Failure};
use crate::command_line::answer::{Pending, unless_closed};
use crate::command_line::output::{locked_note, read_project, refuse_taken, shown};
use crate::command_line::stream::{Output, is_dash};
use crate::interchange::{Chunks, CommandedAdvance, DecimalMark, Evaluator, StreamError};
use crate::project::{Project, Signal};
use crate::spark::Conditions;
use crate::wording::count;
use flashed::WithFlashed;

mod flashed;
mod one;
mod workers;

/// Look up the spark at one point with all it is made up of, or at many points, file to file
#[derive(Debug, clap::Args)]
#[command(override_usage = "sparkloft lookup P --speed S --load L [--coolant C] [--air A] [--battery V] [--throttle T]
                        [--launch] [--as-flashed]
       sparkloft lookup P --points FILE -o OUT [--decimal-mark MARK] [--as-flashed]")]
#[command(after_help = "\
One point: the commanded advance as if the speed were rising, launch armed; what the timing light
should show. A temperature that is not given leaves its trim out. With --json: {locked_timing_deg
(null for a real map), conditions, state (stopped, cranking, running, launch, launch_cut,
over_speed, limit_cut), fires, contributions {cranking, blend, table, coolant_trim, air_trim,
launch, over_speed, margin, clamp}, commanded_deg}; contributions are degrees, 0 where they do not
apply and null where they are left out; their sum is commanded_deg.

Many points: FILE is text, UTF-8 or UTF-16, with a first row that names the columns; speed_rpm
(rpm) and load (% or kPa) must be among them, in any order; coolant_c, air_c, battery_v,
throttle_pct and launch (0 or 1) may be, and may be empty in any row: such a temperature leaves
its trim out. Every row comes out as it went in, in UTF-8, with table_deg, state and commanded_deg
appended: degrees before top dead centre; table_deg is the table alone, bilinear between the
cells, flat beyond the axes. Fields are parted by tabs or semicolons when the first row has one,
else by commas. Decimals follow the mark that the first number to tell it has, or the one named;
the other mark may part thousands. Numbers appended have a point. Memory stays bounded however
many rows there are. The output appears when it is complete; a row that is not understood, or
cannot be, ends the job with its line, and nothing is written or printed.

As flashed: with --as-flashed also what the unit makes of the bytes of the image: the table with
cells and breakpoints rounded to the counts of the image layout, interpolated in integer arithmetic
where all of them are counts; and the whole evaluation with every number that the image holds, as
the unit has it: what it does not apply is left out, what is set by hand is as in the project. One
point: with --json flashed {table_deg, wanted_deg, in_counts, largest_difference {deg, speed_rpm,
load}, state, fires, contributions, commanded_deg}; many points: flashed_deg (the table),
flashed_state and flashed_commanded_deg are appended at the end.

Examples:
  sparkloft lookup P.ron --speed 3200 --load 40 --coolant 85 --air 25
  sparkloft lookup P.ron --speed 4100 --load 100 --launch --json
  sparkloft lookup P.ron --points drive.csv -o drive-advance.csv
  sparkloft lookup P.ron --points - -o - < points.csv | head")]
pub(super) struct Lookup {
    /// The project file
    #[arg(value_name = "P")]
    project: PathBuf,
    #[command(flatten)]
    point: Point,
    /// Many points; - reads stdin
    #[arg(long, value_name = "FILE", requires = "output", conflicts_with = "Point")]
    points: Option<PathBuf>,
    /// The file to write, may be FILE itself; - writes to stdout
    #[arg(short, long, value_name = "OUT", requires = "points")]
    output: Option<PathBuf>,
    /// What stands before decimals in FILE, where its numbers do not tell, as 1,000 alone does not
    #[arg(long, value_name = "MARK", requires = "points")]
    decimal_mark: Option<Mark>,
    /// Also tell what the unit's own table gives, rounded to counts
    #[arg(long)]
    as_flashed: bool,
    #[command(flatten)]
    format: Format,
}

/// One operating point.
#[derive(Debug, clap::Args)]
struct Point {
    /// Speed in rpm
    #[arg(long, value_name = "RPM", value_parser = number, allow_hyphen_values = true, requires = "load")]
    #[arg(required_unless_present = "points")]
    speed: Option<f64>,
    /// Load in % or kPa, as the project says
    #[arg(long, value_name = "LOAD", value_parser = number, allow_hyphen_values = true, requires = "speed")]
    load: Option<f64>,
    /// Coolant temperature in °C
    #[arg(long, value_name = "C", value_parser = number, allow_hyphen_values = true, requires = "speed")]
    coolant: Option<f64>,
    /// Intake air temperature in °C
    #[arg(long, value_name = "C", value_parser = number, allow_hyphen_values = true, requires = "speed")]
    air: Option<f64>,
    /// Battery voltage in V
    #[arg(long, value_name = "V", value_parser = number, allow_hyphen_values = true, requires = "speed")]
    battery: Option<f64>,
    /// Throttle opening in %; where throttle is the load, the load when left out
    #[arg(long, value_name = "PCT", value_parser = number, allow_hyphen_values = true, requires = "speed")]
    throttle: Option<f64>,
    /// The launch switch is closed
    #[arg(long, requires = "speed")]
    launch: bool,
}

impl Lookup {
    pub(super) fn run(&self) -> Result<Answer, Failure> {
        let project = read_project(&self.project)?;
        match (&self.points, &self.output) {
            (Some(points), Some(output)) => {
                let mark = self.decimal_mark.map(Into::into);
                look_up((&self.project, &project), points, output, mark, self.as_flashed, self.format)
            }
            _ => {
                let conditions = self.point.conditions();
                conditions
                    .check(project.sensors.load)
                    .map_err(|refused| Failure::Usage(format!("{}: {refused}", flag(refused.signal)), "lookup"))?;
                one::look_up(&project, &conditions, self.as_flashed, self.format)
            }
        }
    }
}

/// The flag that gives a condition.
const fn flag(signal: Signal) -> &'static str {
    match signal {
        Signal::Speed => "--speed",
        Signal::Coolant => "--coolant",
        Signal::Air => "--air",
        Signal::Battery => "--battery",
        Signal::Throttle => "--throttle",
        Signal::Load | Signal::Pressure | Signal::Advance => "--load",
    }
}

impl Point {
    fn conditions(&self) -> Conditions {
        Conditions {
            speed_rpm: self.speed.unwrap_or_default(),
            load: self.load.unwrap_or_default(),
            coolant_c: self.coolant,
            air_c: self.air,
            battery_v: self.battery,
            throttle_pct: self.throttle,
            launch_switch: self.launch,
        }
    }
}

#[derive(Serialize)]
struct Done {
    file: String,
    rows: usize,
    locked_timing_deg: Option<f64>,
}

/// Copies the rows of `points` to `output` with what the unit would command.
fn look_up(
    (path, project): (&Path, &Project),
    points: &Path,
    output: &Path,
    mark: Option<DecimalMark>,
    as_flashed: bool,
    format: Format,
) -> Result<Answer, Failure> {
    if is_dash(output) && format.json {
        return Err(Failure::Usage("with --json stdout is taken: -o needs a file".into(), "lookup"));
    }
    let commanded = CommandedAdvance::new(project);
    if !is_dash(output) {
        refuse_taken("lookup", output, &[("the project", path)])?;
    }
    let (rows, files) = if as_flashed {
        let unit = flashed::unit(project)?;
        let with =
            WithFlashed { commanded, flashed: flashed::of(project)?, unit: CommandedAdvance::of(unit.evaluation()) };
        append(&with, points, output, mark)?
    } else {
        append(&commanded, points, output, mark)?
    };
    let notes = Vec::from_iter(locked_note(project, "the project"));
    if is_dash(output) {
        return Ok(Answer { notes, ..Answer::default() });
    }
    let done = Done { file: shown(output), rows, locked_timing_deg: project.locked_timing_deg };
    let answer = format.answer(&done, || format!("looked up {}\nwrote {}\n", count(rows, "point"), done.file))?;
    Ok(Answer { notes, files: files.into_iter().collect(), ..answer })
}

fn append(
    evaluator: &(impl Evaluator + Clone + Sync + Send),
    points: &Path,
    path: &Path,
    mark: Option<DecimalMark>,
) -> Result<(usize, Option<Pending>), Failure> {
    let chunks = Chunks::new(open(points)?);
    let unwritable = |source| Failure::Output { path: path.to_owned(), source };
    let mut output = Output::to(path)?;
    match workers::append_columns(chunks, &mut output, evaluator, mark) {
        Ok(rows) => output.finish().map_err(unwritable).map(|file| (rows, file)),
        Err(StreamError::Write(source)) => unless_closed(Err(source)).map_err(unwritable).map(|()| (0, None)),
        Err(source) => Err(Failure::Points { path: points.to_owned(), source }),
    }
}

fn open(points: &Path) -> Result<Box<dyn Read + Send>, Failure> {
    if is_dash(points) {
        return Ok(Box::new(io::stdin()));
    }
    let opened = File::open(points).map_err(|source| Failure::Read { path: points.to_owned(), source })?;
    Ok(Box::new(opened))
}
