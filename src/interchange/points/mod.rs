//! Rows of operating points go in, the same rows with computed columns appended come out: any number of them,
//! in constant memory.
//!
//! [`Chunks`] splits the input between rows; [`Rows`] turns one chunk into its output and needs nothing from
//! any other, so chunks may be processed in any order and in parallel.

mod chunks;
mod commanded;
mod fast_number;
mod rows;
mod utf16;

use std::io;

use thiserror::Error;

use crate::interchange::FieldFault;
use crate::interchange::lines::push_text_field;

pub use chunks::{CHUNK_BYTES, Chunks, MAX_ROW_BYTES};
pub use commanded::CommandedAdvance;
pub(super) use fast_number::push_shortest;
pub use rows::{Processed, Rows};

/// A column that is read.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Input {
    /// Its name in the first row.
    pub name: &'static str,
    /// Whether it is mandatory.
    pub required: bool,
}

/// A number out of range.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Refusal {
    /// Which input, by its index in [`Evaluator::inputs`].
    pub input: usize,
    /// What is allowed, in words.
    pub allowed: String,
}

/// Computes the appended columns of a row from its inputs.
pub trait Evaluator {
    /// The columns that are read, at most sixteen.
    fn inputs(&self) -> &'static [Input];

    /// The names of the columns that are appended.
    fn outputs(&self) -> &'static [&'static str];

    /// Appends one field per output. `values` has one finite number per input, in their order; `None` if the
    /// file does not have the column, or if the field of an optional column is empty.
    ///
    /// # Errors
    /// [`Refusal`] naming the input that is out of range.
    fn evaluate(&self, values: &[Option<f64>], fields: &mut Fields<'_>) -> Result<(), Refusal>;
}

/// The end of a row, to which fields are appended.
#[derive(Debug)]
pub struct Fields<'a> {
    out: &'a mut Vec<u8>,
    separator: u8,
}

impl Fields<'_> {
    /// Appends a finite number with all significant digits.
    #[inline]
    pub fn number(&mut self, value: f64) {
        self.out.push(self.separator);
        push_shortest(self.out, value);
    }

    /// Appends a plain word, which needs no quotes.
    #[inline]
    pub fn word(&mut self, word: &'static str) {
        self.out.push(self.separator);
        self.out.extend_from_slice(word.as_bytes());
    }

    /// Appends a text, in quotes where needed.
    pub fn text(&mut self, text: &str) {
        self.out.push(self.separator);
        push_text_field(self.out, text);
    }
}

/// What is wrong, and on which line.
#[derive(Clone, Debug, PartialEq, Error)]
#[error("line {line}: {fault}")]
pub struct PointsError {
    /// The line, counted from 1: within a chunk, until [`PointsError::after_lines`] makes it the line of the
    /// file.
    pub line: usize,
    /// What is wrong there.
    pub fault: PointsFault,
}

/// What is wrong with a line of points.
#[derive(Clone, Debug, PartialEq, Error)]
pub enum PointsFault {
    /// An empty file.
    #[error("the file is empty; the first row must name the columns")]
    NoHeader,
    /// A required column is missing.
    #[error("there is no column '{name}'; the columns are: {found}")]
    MissingColumn {
        /// The name looked for.
        name: &'static str,
        /// The names that are there.
        found: String,
    },
    /// A column that occurs twice.
    #[error("the column '{name}' is there more than once")]
    RepeatedColumn {
        /// Its name.
        name: &'static str,
    },
    /// A column that the file has already and that would be appended.
    #[error("there is a column '{name}' already; rename or remove it, for it will be appended")]
    TakenColumn {
        /// Its name.
        name: &'static str,
    },
    /// A row of another length than the first.
    #[error("the row has {given} fields, but the first row names {wanted} columns")]
    FieldCount {
        /// How many it has.
        given: usize,
        /// How many it should have.
        wanted: usize,
    },
    /// A field that should be a number.
    #[error("column '{column}' ('{text}'): {reason}")]
    Number {
        /// The column's name.
        column: &'static str,
        /// The text there.
        text: String,
        /// Why it is not a number.
        reason: FieldFault,
    },
    /// A mark may separate thousands or decimals, and nothing tells which.
    #[error(
        "column '{column}' ('{text}'): the mark may part thousands or decimals, and no other number tells which; write it \
         without the mark, or with one more decimal"
    )]
    AskMark {
        /// The column's name.
        column: String,
        /// The text there.
        text: String,
    },
    /// A number out of range.
    #[error("column '{column}' ('{text}'): out of range; allowed is {allowed}")]
    Refused {
        /// The column's name.
        column: &'static str,
        /// The number there.
        text: String,
        /// What is allowed, in words.
        allowed: String,
    },
    /// A quote that is never closed.
    #[error("a quote is opened here and never closed")]
    OpenQuote,
    /// Text after a closing quote.
    #[error("text stands after a closing quote; a quote inside quotes is written twice")]
    AfterQuote,
    /// A row that does not end.
    #[error("the row has more than {MAX_ROW_BYTES} bytes; a quote may have been left open")]
    RowTooLong,
}

impl PointsFault {
    /// This fault on a line.
    fn on(self, line: usize) -> PointsError {
        PointsError { line, fault: self }
    }
}

impl PointsError {
    /// The same in a file that has `lines` lines before the chunk.
    #[must_use]
    pub fn after_lines(self, lines: usize) -> Self {
        Self { line: self.line.saturating_add(lines), ..self }
    }
}

impl PointsFault {
    /// Whether the problem is a mark that may separate thousands or decimals, which only the author knows.
    pub const fn is_about_marks(&self) -> bool {
        match self {
            Self::AskMark { .. } => true,
            Self::Number { reason, .. } => reason.is_about_marks(),
            _ => false,
        }
    }
}

/// Why a stream of points ended early; whatever was written by then is not a result.
#[derive(Debug, Error)]
pub enum StreamError {
    /// Something is wrong with the points.
    #[error(transparent)]
    Points(#[from] PointsError),
    /// Reading failed.
    #[error("the points cannot be read: {0}")]
    Read(io::Error),
    /// Writing failed.
    #[error("the points cannot be written: {0}")]
    Write(io::Error),
    /// A mistake in this program.
    #[error("a mistake in this program broke the computation off")]
    BrokenOff,
}

impl StreamError {
    /// Whether the problem is a mark that may separate thousands or decimals, which only the author knows.
    pub const fn is_about_marks(&self) -> bool {
        matches!(self, Self::Points(error) if error.fault.is_about_marks())
    }
}
