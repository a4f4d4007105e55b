//! A first row of column names, and numbers by those names below it.

use thiserror::Error;

use super::lines::Separator;
use super::number::{DecimalMark, NumberError, Thousands, parse_number};
use super::records::Record;
use crate::table::counted;

/// Longer texts are cut in messages.
const SHOWN_CHARACTERS: usize = 40;

/// What is wrong with named columns.
#[derive(Clone, Debug, PartialEq, Error)]
pub enum ColumnsError {
    /// A column that must be there is not.
    #[error("line 1: there is no column '{name}'; {noun} has the columns {wanted}")]
    NoColumn {
        /// Its name.
        name: &'static str,
        /// What the file should hold.
        noun: &'static str,
        /// Every column that such a file can have.
        wanted: String,
    },
    /// A column is there twice.
    #[error("line 1: there are two columns '{name}'")]
    TwoColumns {
        /// Its name.
        name: &'static str,
    },
    /// A row with more or fewer fields than the first.
    #[error("line {line}: the row has {}, but the first row has {wanted}", counted(*.given, "field"))]
    RowLength {
        /// Which line, counted from 1.
        line: usize,
        /// How many fields it has.
        given: usize,
        /// How many there are names for.
        wanted: usize,
    },
    /// A field that holds no number.
    #[error("line {line}: {column} '{text}': {reason}")]
    Number {
        /// Which line, counted from 1.
        line: usize,
        /// The column's name.
        column: &'static str,
        /// The text there.
        text: String,
        /// What is wrong with it.
        reason: NumberError,
    },
}

/// Where each of `N` columns stands.
pub(super) struct NamedColumns<const N: usize> {
    names: [&'static str; N],
    places: [Option<usize>; N],
    width: usize,
    may_have_comma: bool,
}

impl<const N: usize> NamedColumns<N> {
    /// Finds `names`, of which the first `required` must be there, in the first row of what should be `noun`.
    pub(super) fn find(
        header: Option<&Record>,
        separator: Separator,
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
        Ok(Self { names, places, width: given.len(), may_have_comma: separator != Separator::Comma })
    }

    /// The columns in this order from the first on, where no row names them.
    pub(super) fn in_order(separator: Separator, names: [&'static str; N]) -> Self {
        let mut places = [None; N];
        places.iter_mut().enumerate().for_each(|(at, place)| *place = Some(at));
        Self { names, places, width: N, may_have_comma: separator != Separator::Comma }
    }

    /// The numbers of a row; `None` where the file has no such column.
    pub(super) fn numbers(&self, record: &Record) -> Result<[Option<f64>; N], ColumnsError> {
        if record.fields.len() != self.width {
            let (given, wanted) = (record.fields.len(), self.width);
            return Err(ColumnsError::RowLength { line: record.line, given, wanted });
        }
        let mut values = [None; N];
        for ((value, place), column) in values.iter_mut().zip(self.places).zip(self.names) {
            *value = place.map(|at| self.number(record, at, column)).transpose()?;
        }
        Ok(values)
    }

    fn number(&self, record: &Record, at: usize, column: &'static str) -> Result<f64, ColumnsError> {
        let text = record.fields.get(at).map_or("", String::as_str);
        let parse = |mark| parse_number(text, mark, Thousands::Blank);
        let with_point = parse(DecimalMark::Point);
        let number = if self.may_have_comma { with_point.or_else(|_| parse(DecimalMark::Comma)) } else { with_point };
        number.map_err(|reason| {
            let text = text.trim().chars().take(SHOWN_CHARACTERS).collect();
            ColumnsError::Number { line: record.line_of(at), column, text, reason }
        })
    }
}
