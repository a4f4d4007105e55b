//! The operations of `shape` on the command line, made from the data that the tools provide.

use std::collections::BTreeMap;

use clap::builder::{PossibleValue, PossibleValuesParser, TypedValueParser, ValueParser};
use clap::error::ErrorKind;
use clap::{Arg, ArgAction, ArgMatches, Command, FromArgMatches, Subcommand};

use crate::command_line::Failure;
use crate::command_line::values::number;
use crate::shaping::{self, Argument, Given, OPERATIONS, OperationError, Takes, Tool, Word};
use crate::table::{Selection, Table};

/// One operation with the values of its arguments by name.
#[derive(Clone, Debug)]
pub(super) struct Operation {
    of: &'static shaping::Operation,
    numbers: BTreeMap<&'static str, Vec<f64>>,
    words: BTreeMap<&'static str, usize>,
}

impl Operation {
    /// Whether a selection is meaningless for it.
    pub(super) const fn takes_whole_table(&self) -> bool {
        self.of.takes_whole_table
    }

    /// The tool for this selection of a table.
    pub(super) fn tool(&self, table: &Table, selection: &Selection, rows_chosen: bool) -> Result<Tool, Failure> {
        let (numbers, words) = (self.numbers.clone(), self.words.clone());
        (self.of.tool)(&Given { table, selection, rows_chosen, numbers, words }).map_err(|error| match error {
            OperationError::Axis { axis, reason } => Failure::NewAxis { axis, reason },
            OperationError::Missing { .. } | OperationError::Unfit { .. } => Failure::Usage(error.to_string(), "shape"),
        })
    }

    fn new(of: &'static shaping::Operation, matches: &ArgMatches) -> Self {
        let (mut numbers, mut words) = (BTreeMap::new(), BTreeMap::new());
        for argument in of.arguments {
            match argument.takes {
                Takes::Number | Takes::NumberOption(_) | Takes::ListOption(_) => {
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
