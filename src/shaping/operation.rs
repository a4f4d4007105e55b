//! How tools are offered on the command line, as data. A tool's own operation stands in its own file.

use std::collections::BTreeMap;

use thiserror::Error;

use super::Tool;
use crate::table::{AxisError, Selection, Table};

/// A tool as the command line has it.
#[derive(Debug)]
pub struct Operation {
    /// Its word.
    pub name: &'static str,
    /// What it does.
    pub about: &'static str,
    /// What it asks for.
    pub arguments: &'static [Argument],
    /// Whether it changes the whole table, so that a selection would mean nothing.
    pub takes_whole_table: bool,
    /// The tool with what was given.
    pub tool: fn(&Given<'_>) -> Result<Tool, OperationError>,
}

/// What an operation asks for.
#[derive(Debug)]
pub struct Argument {
    /// Tells it from the others; of an option, its name.
    pub name: &'static str,
    /// What stands for its value in help.
    pub value_name: &'static str,
    /// What help says of it.
    pub help: &'static str,
    /// What it takes.
    pub takes: Takes,
}

/// What an argument takes.
#[derive(Clone, Copy, Debug)]
pub enum Takes {
    /// A number that must be given.
    Number,
    /// One of these words, which must be given.
    Word(&'static [Word]),
    /// An option with a number, and what it is when left out.
    NumberOption(&'static str),
    /// An option with one of these words, and which it is when left out.
    WordOption(&'static [Word], Option<&'static str>),
    /// An option with numbers between commas; it may be left out unless another option of that name is, too.
    ListOption(Option<&'static str>),
    /// An option without a value.
    Flag,
}

/// A word that an argument takes.
#[derive(Debug)]
pub struct Word {
    /// As it is written.
    pub name: &'static str,
    /// What help says of it.
    pub help: &'static str,
    /// As it may be written, too.
    pub alias: Option<&'static str>,
}

/// What was given to an operation.
#[derive(Debug)]
pub struct Given<'a> {
    /// The table it is for.
    pub table: &'a Table,
    /// The cells it is for.
    pub selection: &'a Selection,
    /// Whether the rows were chosen, and not left to be all.
    pub rows_chosen: bool,
    /// The numbers, by the name of their argument.
    pub numbers: BTreeMap<&'static str, Vec<f64>>,
    /// The words, by the name of their argument, as places among those it takes; a flag that is set is the first.
    pub words: BTreeMap<&'static str, usize>,
}

impl Given<'_> {
    /// The number of an argument.
    pub(super) fn number(&self, name: &'static str) -> Result<f64, OperationError> {
        self.numbers(name).first().copied().ok_or(OperationError::Missing { what: name })
    }

    /// The numbers of an argument; none when it was left out.
    pub(super) fn numbers(&self, name: &str) -> &[f64] {
        self.numbers.get(name).map_or(&[], Vec::as_slice)
    }

    /// The word of an argument, by its place; `None` when it was left out.
    pub(super) fn word(&self, name: &str) -> Option<usize> {
        self.words.get(name).copied()
    }
}

/// Why no tool comes of what was given.
#[derive(Clone, Debug, PartialEq, Error)]
pub enum OperationError {
    /// Something that must be given was not.
    #[error("{what} is missing")]
    Missing {
        /// The argument.
        what: &'static str,
    },
    /// It does not fit the table or the selection.
    #[error("{operation}: {reason}")]
    Unfit {
        /// The operation.
        operation: &'static str,
        /// What does not fit, and the remedy.
        reason: String,
    },
    /// Breakpoints that are no axis.
    #[error("--new-{axis}: {reason}")]
    Axis {
        /// `speed` or `load`.
        axis: &'static str,
        /// What is wrong.
        reason: AxisError,
    },
}
