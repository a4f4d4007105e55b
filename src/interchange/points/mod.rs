//! Rows of operating points go in, the same rows with computed columns appended come out: any number of them,
//! in constant memory.
//!
//! [`Chunks`] splits the input between rows; [`Rows`] turns one chunk into its output and needs nothing from
//! any other, so chunks may be processed in any order and in parallel.

mod chunks;
mod commanded;
mod error;
mod fast_number;
mod rows;
mod utf16;

use crate::interchange::lines::push_text_field;

pub use chunks::{CHUNK_BYTES, Chunks, MAX_ROW_BYTES};
pub use commanded::CommandedAdvance;
pub use error::{PointsError, PointsFault, StreamError};
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
