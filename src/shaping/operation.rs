//! How tools are offered on the command line, as data. Each tool's operation is in the tool's own file.

use std::collections::BTreeMap;

use thiserror::Error;

use super::Tool;
use crate::project::Parts;
use crate::table::{AxisError, Selection, Table};

/// A tool as the command line offers it.
#[derive(Debug)]
pub struct Operation {
    /// The word that selects it.
    pub name: &'static str,
    /// What it does.
    pub about: &'static str,
    /// Its arguments.
    pub arguments: &'static [Argument],
    /// Whether it always changes the whole table, so that a selection would be meaningless.
    pub takes_whole_table: bool,
    /// Makes the tool from what was given.
    pub tool: fn(&Given<'_>) -> Result<Tool, OperationError>,
}

/// An argument of an operation.
#[derive(Debug)]
pub struct Argument {
    /// Unique within the operation; for an option, its name.
    pub name: &'static str,
    /// The placeholder for its value in help.
    pub value_name: &'static str,
    /// Its help text.
    pub help: &'static str,
    /// What it accepts.
    pub takes: Takes,
}

/// What an argument accepts.
#[derive(Clone, Copy, Debug)]
pub enum Takes {
    /// A number that must be given.
    Number,
    /// One of these words, which must be given.
    Word(&'static [Word]),
    /// An option with a number, and its default.
    NumberOption(&'static str),
    /// An option with a number and no default.
    NumberIfGiven,
    /// An option with one of these words, and its default if it has one.
    WordOption(&'static [Word], Option<&'static str>),
    /// An option with numbers separated by commas. Mandatory unless the option named here is given; with `None`
    /// always optional.
    ListOption(Option<&'static str>),
    /// An option without a value.
    Flag,
}

/// A word that an argument accepts.
#[derive(Debug)]
pub struct Word {
    /// Its usual spelling.
    pub name: &'static str,
    /// Its help text.
    pub help: &'static str,
    /// Another spelling.
    pub alias: Option<&'static str>,
}

/// What was given to an operation.
#[derive(Debug)]
pub struct Given<'a> {
    /// The project it is for.
    pub project: &'a Parts,
    /// The table it is for.
    pub table: &'a Table,
    /// The cells it is for.
    pub selection: &'a Selection,
    /// Whether rows were chosen explicitly, instead of all by default.
    pub rows_chosen: bool,
    /// The numbers, by the name of their argument.
    pub numbers: BTreeMap<&'static str, Vec<f64>>,
    /// The words, by the name of their argument, as indices into those it accepts; a flag that is set has index
    /// 0.
    pub words: BTreeMap<&'static str, usize>,
}

impl Given<'_> {
    /// The number of an argument.
    pub(super) fn number(&self, name: &'static str) -> Result<f64, OperationError> {
        self.numbers(name).first().copied().ok_or(OperationError::Missing { what: name })
    }

    /// The numbers of an argument; empty if it was left out.
    pub(super) fn numbers(&self, name: &str) -> &[f64] {
        self.numbers.get(name).map_or(&[], Vec::as_slice)
    }

    /// The word of an argument, by its index; `None` if it was left out.
    pub(super) fn word(&self, name: &str) -> Option<usize> {
        self.words.get(name).copied()
    }
}

/// Why what was given does not make a tool.
#[derive(Clone, Debug, PartialEq, Error)]
pub enum OperationError {
    /// Something mandatory was not given.
    #[error("{what} is missing")]
    Missing {
        /// The argument.
        what: &'static str,
    },
    /// What was given does not fit the table or the selection.
    #[error("{operation}: {reason}")]
    Unfit {
        /// The operation.
        operation: &'static str,
        /// What does not fit, and the remedy.
        reason: String,
    },
    /// Breakpoints that do not make an axis.
    #[error("--new-{axis}: {reason}")]
    Axis {
        /// `speed` or `load`.
        axis: &'static str,
        /// What is wrong.
        reason: AxisError,
    },
}
