//! `shape`: applies one tool to a selection of the advance table.

mod told;

use std::collections::BTreeMap;
use std::path::PathBuf;

use clap::builder::{OsStringValueParser, PossibleValue, PossibleValuesParser, TypedValueParser, ValueParser};
use clap::error::ErrorKind;
use clap::{Arg, ArgAction, ArgMatches, Command, FromArgMatches, Subcommand};
use serde::Serialize;

use super::output::{Format, file_path, pinned_note, read_for, save_project, shown};
use super::values::Range;
use super::{Answer, Failure};
use crate::command_line::values::number;
use crate::project::{LoadKind, Project};
use crate::shaping;
use crate::shaping::{Argument, Deviation, Given, OPERATIONS, OperationError, Shaped, ShapingError, Takes, Tool, Word};
use crate::table::Selection;
use crate::wording::{Unit, count, point, settle, signed_quantity};
use told::{Beside, contradicted};

/// Reshape the advance table with one tool
#[derive(Debug, clap::Args)]
#[command(subcommand_value_name = "OP", subcommand_help_heading = "OP, the tool to use")]
#[command(after_help = "\
Without --speed and --load the whole table is selected. Held and unselected cells keep their value
to the bit. Nothing is rounded to the project's step unless round or fair --step is used. A result
outside -60..90° is refused, never clamped. Demands of fair that cannot all be kept are exit code 1,
with --json {short_by_deg, demands [{kind, cells [{speed_rpm, load}], words, remedy}]}: none of them
is to spare, and nothing is written.

Examples:
  sparkloft shape P.ron -o OUT.ron --speed 2800..3700 --load 40..66 add -1.5
  sparkloft shape P.ron -o P.ron --load 60..100 smooth 2
  sparkloft shape P.ron -o P.ron fair --within 1 --not-rising-above 60 --step 0.5 --leave-idle
  sparkloft shape P.ron -o OUT.ron lift 3200 50 2 3
  sparkloft shape P.ron -o OUT.ron --load 100..100 repeat --offset -1.5
  sparkloft shape P.ron -o OUT.ron axes --new-speed 500,1000,2000,4000,8000 --keep surface")]
pub(super) struct Shape {
    /// The project file
    #[arg(value_name = "P")]
    project: PathBuf,
    /// The project file to write; may be P itself
    #[arg(short, long, global = true, value_name = "OUT")]
    #[arg(value_parser = OsStringValueParser::new().try_map(file_path))]
    output: Option<PathBuf>,
    /// Select the speed breakpoints from A to B, both included, in rpm
    #[arg(long, global = true, value_name = "A..B", allow_hyphen_values = true)]
    speed: Option<Range>,
    /// Select the load breakpoints from A to B, both included, in % or kPa
    #[arg(long, global = true, value_name = "A..B", allow_hyphen_values = true)]
    load: Option<Range>,
    #[command(flatten)]
    format: Format,
    #[command(subcommand)]
    operation: Operation,
}

#[derive(Serialize)]
struct Done {
    file: String,
    label: String,
    selected: usize,
    changed: usize,
    held: usize,
    #[serde(skip_serializing_if = "Option::is_none")]
    held_lost: Option<usize>,
    /// Its magnitude, without a sign.
    #[serde(skip_serializing_if = "Option::is_none")]
    largest_change_deg: Option<f64>,
    #[serde(skip_serializing_if = "Option::is_none")]
    largest_change: Option<Largest>,
    #[serde(flatten)]
    beside: Beside,
}

#[derive(Serialize)]
struct Largest {
    deg: f64,
    speed_rpm: f64,
    load: f64,
}

impl Shape {
    pub(super) fn run(&self) -> Result<Answer, Failure> {
        let usage = |what: &str| Failure::Usage(what.into(), "shape");
        let output = self.output.as_deref().ok_or_else(|| usage("-o OUT is missing"))?;
        if self.operation.takes_whole_table() && (self.speed.is_some() || self.load.is_some()) {
            return Err(usage("axes changes the whole table: leave --speed and --load out"));
        }
        let (project, rewrite) = read_for(&self.project, Some(output))?;
        let table = project.advance.table();
        let selection = Selection::ranges(table, self.speed.map(|range| range.0), self.load.map(|range| range.0))?;
        let tool = self.operation.tool(&project, &selection, self.load.is_some())?;
        let shaped = match tool.apply(&project.advance, &selection) {
            Err(ShapingError::Contradiction(told)) => return contradicted(self.format, table, &told),
            shaped => shaped?,
        };
        let reshaped = project.with_advance(shaped.advance.clone())?;
        let files = save_project(output, &reshaped, rewrite)?;
        let notes = pinned_note(&project, &reshaped).into_iter().collect();
        let done = Done::of(shown(output), &project, &tool, &shaped);
        let is_same = reshaped == project;
        Ok(Answer { notes, files, ..self.format.answer(&done, || done.text(&project, is_same))? })
    }
}

impl Done {
    fn of(file: String, project: &Project, tool: &Tool, shaped: &Shaped) -> Self {
        let axes_change = shaped.largest_change.is_some();
        let largest = |Deviation { deg, speed_rpm, load }| Largest { deg: settle(deg), speed_rpm, load };
        Self {
            file,
            label: tool.label(shaped),
            selected: shaped.selected,
            changed: shaped.changed,
            held: shaped.held,
            held_lost: axes_change.then_some(shaped.held_lost),
            largest_change_deg: shaped.largest_change.map(|change| settle(change.deg.abs())),
            largest_change: shaped.largest_change.map(largest),
            beside: Beside::of(project, tool, shaped),
        }
    }

    fn text(&self, project: &Project, is_same: bool) -> String {
        let Self { file, label, selected, changed, .. } = self;
        let label = if is_same { "nothing changed" } else { label };
        let mut text = format!("{label}\n{changed} of {} changed", count(*selected, "cell"));
        if self.held > 0 {
            text += &format!(", {} left alone", count(self.held, "held cell"));
        }
        if let Some(lost) = self.held_lost.filter(|lost| *lost > 0) {
            text += &format!(", {} gone with the old breakpoints", count(lost, "held cell"));
        }
        if let Some(largest) = &self.largest_change {
            text += &format!("\n{}", largest.text(project.sensors.load));
        }
        format!("{text}\n{}wrote {file}\n", self.beside.text(project))
    }
}

impl Largest {
    fn text(&self, load: LoadKind) -> String {
        if self.deg == 0.0 {
            return "the surface is the same everywhere".into();
        }
        let place = point(self.speed_rpm, self.load, load.unit());
        format!("largest change anywhere {} at {place}", signed_quantity(self.deg, Unit::Degree))
    }
}

/// One operation with the values of its arguments by name.
#[derive(Clone, Debug)]
struct Operation {
    of: &'static shaping::Operation,
    numbers: BTreeMap<&'static str, Vec<f64>>,
    words: BTreeMap<&'static str, usize>,
}

impl Operation {
    /// Whether a selection is meaningless for it.
    const fn takes_whole_table(&self) -> bool {
        self.of.takes_whole_table
    }

    /// The tool for this selection of a table.
    fn tool(&self, project: &Project, selection: &Selection, rows_chosen: bool) -> Result<Tool, Failure> {
        let table = project.advance.table();
        let (numbers, words) = (self.numbers.clone(), self.words.clone());
        (self.of.tool)(&Given { project, table, selection, rows_chosen, numbers, words }).map_err(|error| match error {
            OperationError::Axis { axis, reason } => Failure::NewAxis { axis, reason },
            OperationError::Missing { .. } | OperationError::Unfit { .. } => Failure::Usage(error.to_string(), "shape"),
        })
    }

    fn new(of: &'static shaping::Operation, matches: &ArgMatches) -> Self {
        let (mut numbers, mut words) = (BTreeMap::new(), BTreeMap::new());
        for argument in of.arguments {
            match argument.takes {
                Takes::Number | Takes::NumberOption(_) | Takes::NumberIfGiven | Takes::ListOption(_) => {
                    let given = matches.get_many::<f64>(argument.name).into_iter().flatten().copied();
                    numbers.insert(argument.name, given.collect());
                }
                Takes::Word(_) | Takes::WordOption(..) => {
                    words.extend(matches.get_one::<usize>(argument.name).map(|place| (argument.name, *place)));
                }
                Takes::Flag => words.extend(matches.get_flag(argument.name).then_some((argument.name, 0))),
            }
        }
        Self { of, numbers, words }
    }
}

impl FromArgMatches for Operation {
    fn from_arg_matches(matches: &ArgMatches) -> Result<Self, clap::Error> {
        let of = |name: &str| OPERATIONS.iter().find(|operation| operation.name == name);
        let asked = matches.subcommand().and_then(|(name, matches)| Some(Self::new(of(name)?, matches)));
        asked.ok_or_else(|| clap::Error::raw(ErrorKind::MissingSubcommand, "an operation is missing"))
    }

    fn update_from_arg_matches(&mut self, matches: &ArgMatches) -> Result<(), clap::Error> {
        *self = Self::from_arg_matches(matches)?;
        Ok(())
    }
}

impl Subcommand for Operation {
    fn augment_subcommands(command: Command) -> Command {
        command.subcommands(OPERATIONS.iter().map(|operation| {
            Command::new(operation.name).about(operation.about).args(operation.arguments.iter().map(arg))
        }))
    }

    fn augment_subcommands_for_update(command: Command) -> Command {
        Self::augment_subcommands(command)
    }

    fn has_subcommand(name: &str) -> bool {
        OPERATIONS.iter().any(|operation| operation.name == name)
    }
}

fn arg(argument: &'static Argument) -> Arg {
    let Argument { name, value_name, help, takes } = *argument;
    let arg = Arg::new(name).help(help);
    let of_number = |arg: Arg| arg.value_name(value_name).value_parser(number).allow_hyphen_values(true);
    let of_word = |arg: Arg, words| arg.value_name(value_name).value_parser(word_parser(words));
    match takes {
        Takes::Number => of_number(arg).required(true),
        Takes::Word(words) => of_word(arg, words).required(true),
        Takes::NumberOption(default) => of_number(arg).long(name).default_value(default),
        Takes::NumberIfGiven => of_number(arg).long(name),
        Takes::WordOption(words, default) => {
            let arg = of_word(arg, words).long(name);
            if let Some(default) = default { arg.default_value(default) } else { arg }
        }
        Takes::ListOption(unless) => {
            let arg = of_number(arg).long(name).value_delimiter(',').action(ArgAction::Append);
            if let Some(unless) = unless { arg.required_unless_present(unless) } else { arg }
        }
        Takes::Flag => arg.long(name).action(ArgAction::SetTrue),
    }
}

/// Accepts one of these words and returns its index among them.
fn word_parser(words: &'static [Word]) -> ValueParser {
    let possible = words.iter().map(|word| PossibleValue::new(word.name).help(word.help).aliases(word.alias));
    let place = |text: String| {
        words.iter().position(|word| word.name == text || word.alias == Some(text.as_str())).ok_or("no such word")
    };
    PossibleValuesParser::new(possible).try_map(place).into()
}
