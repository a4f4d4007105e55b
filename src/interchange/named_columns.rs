//! A first row of column names, and numbers by those names below it.

use thiserror::Error;

use super::lines::Separator;
use super::marks::{AskMark, FieldFault, Numbers};
use super::number::DecimalMark;
use super::records::Record;
use super::table_file::shown;
use crate::wording::count;

/// What is wrong with named columns.
#[derive(Clone, Debug, PartialEq, Error)]
pub enum ColumnsError {
    /// A mandatory column is missing.
    #[error("line 1: there is no column '{name}'; {noun} has the columns {wanted}")]
    NoColumn {
        /// Its name.
        name: &'static str,
        /// What the file should hold.
        noun: &'static str,
        /// Every column that such a file can have.
        wanted: String,
    },
    /// A column occurs twice.
    #[error("line 1: there are two columns '{name}'")]
    TwoColumns {
        /// Its name.
        name: &'static str,
    },
    /// A row with more or fewer fields than the first.
    #[error("line {line}: the row has {}, but the first row has {wanted}", count(*.given, "field"))]
    RowLength {
        /// Which line, counted from 1.
        line: usize,
        /// How many fields it has.
        given: usize,
        /// How many there are names for.
        wanted: usize,
    },
    /// A field that is not a number.
    #[error("line {line}: {column} '{text}': {reason}")]
    Number {
        /// Which line, counted from 1.
        line: usize,
        /// The column's name.
        column: &'static str,
        /// The text there.
        text: String,
        /// What is wrong with it.
        reason: FieldFault,
    },
    /// A mark may separate thousands or decimals: the user has to be asked.
    #[error(transparent)]
    AskMark(#[from] AskMark),
}

impl ColumnsError {
    /// The question to ask, if a mark may separate thousands or decimals.
    pub const fn asks(&self) -> Option<&AskMark> {
        match self {
            Self::AskMark(question) => Some(question),
            _ => None,
        }
    }

    /// Whether the problem is a mark that may separate thousands or decimals, which only the author knows.
    pub const fn is_about_marks(&self) -> bool {
        match self {
            Self::AskMark(_) => true,
            Self::Number { reason, .. } => reason.is_about_marks(),
            _ => false,
        }
    }
}

/// The positions of `N` columns.
pub(super) struct NamedColumns<const N: usize> {
    names: [&'static str; N],
    places: [Option<usize>; N],
    required: usize,
    width: usize,
}

impl<const N: usize> NamedColumns<N> {
    /// Finds `names`, of which the first `required` are mandatory, in the first row of a file that should hold
    /// `noun`.
    pub(super) fn find(
        header: Option<&Record>,
        names: [&'static str; N],
        required: usize,
        noun: &'static str,
    ) -> Result<Self, ColumnsError> {
        let given = header.map_or(&[][..], |record| &record.fields);
        let mut places = [None; N];
        for (at, (place, name)) in places.iter_mut().zip(names).enumerate() {
            let mut found = given.iter().enumerate().filter(|(_, text)| text.trim() == name).map(|(column, _)| column);
            *place = found.next();
            if found.next().is_some() {
                return Err(ColumnsError::TwoColumns { name });
            }
            if place.is_none() && at < required {
                return Err(ColumnsError::NoColumn { name, noun, wanted: names.join(", ") });
            }
        }
        Ok(Self { names, places, required, width: given.len() })
    }

    /// The columns in this order from the first on, for a file without a row of column names.
    pub(super) fn in_order(names: [&'static str; N]) -> Self {
        let mut places = [None; N];
        places.iter_mut().enumerate().for_each(|(at, place)| *place = Some(at));
        Self { names, places, required: N, width: N }
    }

    /// How to read the numbers in these columns; `mark` is the decimal mark if it is known.
    pub(super) fn how(
        &self,
        records: &[Record],
        separator: Separator,
        mark: Option<DecimalMark>,
    ) -> Result<Numbers, AskMark> {
        let fields = records.iter().flat_map(|record| self.places.iter().flatten().map(move |&at| (record, at)));
        Numbers::find(separator, mark, fields)
    }

    /// The numbers of a row; `None` if the file does not have the column, or if the field of an optional column
    /// is empty.
    pub(super) fn numbers(&self, record: &Record, how: Numbers) -> Result<[Option<f64>; N], ColumnsError> {
        if record.fields.len() != self.width {
            let (given, wanted) = (record.fields.len(), self.width);
            return Err(ColumnsError::RowLength { line: record.line, given, wanted });
        }
        let mut values = [None; N];
        for (index, ((value, place), column)) in values.iter_mut().zip(self.places).zip(self.names).enumerate() {
            let is_left_out = |at: &usize| index >= self.required && record.text(*at).trim().is_empty();
            *value = place.filter(|at| !is_left_out(at)).map(|at| number(record, at, column, how)).transpose()?;
        }
        Ok(values)
    }
}

impl<const N: usize> NamedColumns<N> {
    /// The texts of a row, without blanks around them; empty if the file does not have the column.
    pub(super) fn texts<'r>(&self, record: &'r Record) -> [&'r str; N] {
        self.places.map(|place| place.map_or("", |at| record.text(at).trim()))
    }

    /// The line on which a row has the column of that index.
    pub(super) fn line_of(&self, record: &Record, index: usize) -> usize {
        self.places.get(index).copied().flatten().map_or(record.line, |at| record.line_of(at))
    }
}

fn number(record: &Record, at: usize, column: &'static str, how: Numbers) -> Result<f64, ColumnsError> {
    let text = record.text(at);
    how.read(text).map_err(|reason| ColumnsError::Number {
        line: record.line_of(at),
        column,
        text: shown(text),
        reason,
    })
}
