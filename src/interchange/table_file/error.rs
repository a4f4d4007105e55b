//! What can be wrong with a table file.

use std::fmt;

use thiserror::Error;

use super::MAX_FILE_BYTES;
use crate::interchange::marks::{AskMark, FieldFault};
use crate::interchange::records::Record;
use crate::interchange::{DecodeError, RecordError};
use crate::project::AdvanceError;
use crate::table::{AxisError, TableError};
use crate::wording::count;

/// Where something stands in a file, and what.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Place {
    /// The line, count from 1.
    pub line: usize,
    /// The column, count from 1.
    pub column: usize,
    /// The text there.
    pub text: String,
}

/// Longer texts are cut in messages.
const SHOWN_CHARACTERS: usize = 40;

/// A text of a file as messages show it: without blanks around it, and cut when it is long.
pub(in crate::interchange) fn shown(text: &str) -> String {
    let mut characters = text.trim().chars();
    let shown: String = characters.by_ref().take(SHOWN_CHARACTERS).collect();
    if characters.next().is_some() { format!("{shown}…") } else { shown }
}

impl Place {
    /// Where a field of a row stands.
    pub(in crate::interchange) fn of(record: &Record, field: usize) -> Self {
        Self { line: record.line_of(field), column: field + 1, text: record.text(field).to_owned() }
    }
}

impl fmt::Display for Place {
    fn fmt(&self, formatter: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(formatter, "line {}, column {}", self.line, self.column)?;
        let shown = shown(&self.text);
        if shown.is_empty() { Ok(()) } else { write!(formatter, " ('{shown}')") }
    }
}

/// Why a file holds no table. Nothing of it is used.
#[derive(Clone, Debug, PartialEq, Error)]
pub enum TableFileError {
    /// Too large a file.
    #[error("the file has {bytes} bytes; a table file has at most {MAX_FILE_BYTES} (16 MB)")]
    TooLarge {
        /// Its size.
        bytes: usize,
    },
    /// The bytes are no text.
    #[error(transparent)]
    Decode(#[from] DecodeError),
    /// The text falls into no rows.
    #[error(transparent)]
    Record(#[from] RecordError),
    /// A row without any text before the last row.
    #[error("line {line}: the row is empty; empty rows may only stand at the end")]
    EmptyRow {
        /// Which line, count from 1.
        line: usize,
    },
    /// A row with more or fewer fields than the first row.
    #[error("line {line}: the row has {}, but the first row has {wanted}: a load and {} are wanted", count(*.given, "field"), count(.wanted - 1, "cell"))]
    RowLength {
        /// Which line, count from 1.
        line: usize,
        /// How many fields it has.
        given: usize,
        /// How many the first row has.
        wanted: usize,
    },
    /// A field that should be a number.
    #[error("{place}: {reason}")]
    Number {
        /// Where.
        place: Place,
        /// Why it is none.
        reason: FieldFault,
    },
    /// A mark that may part thousands or decimals: to be asked for.
    #[error(transparent)]
    AskMark(#[from] AskMark),
    /// Breakpoints that make no axis.
    #[error("{place}: {axis} {reason}")]
    Axis {
        /// Where.
        place: Place,
        /// `speed` or `load`.
        axis: &'static str,
        /// Why.
        reason: AxisError,
    },
    /// A value out of range for an advance table.
    #[error("{place}: {reason}")]
    Range {
        /// Where.
        place: Place,
        /// Which range.
        reason: AdvanceError,
    },
    /// Axes and cells that make no table.
    #[error("line 1: {0}")]
    Table(#[from] TableError),
}

impl TableFileError {
    /// Whether it is about marks of which nobody but the writer knows what they are.
    pub const fn is_about_marks(&self) -> bool {
        match self {
            Self::AskMark(_) => true,
            Self::Number { reason, .. } => reason.is_about_marks(),
            _ => false,
        }
    }
}
