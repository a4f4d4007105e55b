//! A table in a CSV or TSV file: writing one, and what can be wrong when one is read.

mod read;

use std::fmt;

use thiserror::Error;

use crate::interchange::lines::Separator;
use crate::interchange::marks::{AskMark, FieldFault};
use crate::interchange::number::DecimalMark;
use crate::interchange::records::{DelimitedError, Record};
use crate::interchange::sheet::{LoadOrder, Sheet, Style};
use crate::project::AdvanceError;
use crate::table::{AxisError, Table, TableError};
use crate::wording::{count, one_line};

pub use read::{MAX_FILE_BYTES, TableFile, read_table, read_table_as};

/// A field of a file: where it is, and its text.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Place {
    /// The line, counted from 1.
    pub line: usize,
    /// The column, counted from 1.
    pub column: usize,
    /// The text there.
    pub text: String,
}

/// Longer texts are cut in messages.
const SHOWN_CHARACTERS: usize = 40;

/// A text of a file as messages show it: trimmed, and cut if it is long.
pub(in crate::interchange) fn shown(text: &str) -> String {
    let text = one_line(text.trim());
    let mut characters = text.chars();
    let shown: String = characters.by_ref().take(SHOWN_CHARACTERS).collect();
    if characters.next().is_some() { format!("{shown}…") } else { shown }
}

impl Place {
    /// The place of a field of a row.
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

/// Why a file does not hold a table. None of it is used.
#[derive(Clone, Debug, PartialEq, Error)]
pub enum TableFileError {
    /// The file is not delimited text.
    #[error(transparent)]
    Text(#[from] DelimitedError),
    /// A row without any text, before the last row.
    #[error("line {line}: the row is empty; empty rows may only stand at the end")]
    EmptyRow {
        /// Which line, counted from 1.
        line: usize,
    },
    /// A row with more or fewer fields than the first row.
    #[error("line {line}: the row has {}, but the first row has {wanted}: a load and {} are wanted", count(*.given, "field"), count(.wanted - 1, "cell"))]
    RowLength {
        /// Which line, counted from 1.
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
        /// Why it is not a number.
        reason: FieldFault,
    },
    /// A mark may separate thousands or decimals: the user has to be asked.
    #[error(transparent)]
    AskMark(#[from] AskMark),
    /// Breakpoints that do not make an axis.
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
    /// Axes and cells that do not make a table.
    #[error("line 1: {0}")]
    Table(#[from] TableError),
}

impl TableFileError {
    /// Whether the problem is a mark that may separate thousands or decimals, which only the author knows.
    pub const fn is_about_marks(&self) -> bool {
        match self {
            Self::AskMark(_) => true,
            Self::Number { reason, .. } => reason.is_about_marks(),
            _ => false,
        }
    }
}

/// How a table file is written. The default is read back by [`read_table`] to the same bits.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct WriteOptions {
    /// What separates fields.
    pub separator: Separator,
    /// The decimal mark; a comma needs a tab or `;` as separator.
    pub mark: DecimalMark,
    /// In which order the loads are.
    pub loads: LoadOrder,
    /// Whether speeds go down the side and loads along the top.
    pub transposed: bool,
    /// Whether breakpoints are written; otherwise cells alone.
    pub breakpoints: bool,
    /// How many decimals cells are rounded to; `None` writes all significant digits.
    pub decimals: Option<u8>,
}

impl Default for WriteOptions {
    fn default() -> Self {
        Self {
            separator: Separator::Comma,
            mark: DecimalMark::Point,
            loads: LoadOrder::Up,
            transposed: false,
            breakpoints: true,
            decimals: None,
        }
    }
}

/// Why a table cannot be written in this way.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Error)]
pub enum WriteError {
    /// A decimal comma while commas also separate the fields.
    #[error("a decimal comma needs a tab or ';' as separator")]
    CommaTwice,
}

/// The table as text, with rows ended by CR LF as RFC 4180 requires.
///
/// ```
/// use sparkloft::interchange::{WriteOptions, read_table, write_table};
///
/// let file = read_table(b"load,800,1500\n20,10,12\n100,8,9.5\n")?;
/// let text = write_table(file.table(), &WriteOptions::default())?;
/// assert_eq!(read_table(text.as_bytes())?.table(), file.table());
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
///
/// # Errors
/// [`WriteError`] if separator and decimal mark are both a comma.
pub fn write_table(table: &Table, options: &WriteOptions) -> Result<String, WriteError> {
    if options.separator == Separator::Comma && options.mark == DecimalMark::Comma {
        return Err(WriteError::CommaTwice);
    }
    let sheet = Sheet::of(table, &table.block(), options.loads);
    let sheet = if options.transposed { sheet.transposed() } else { sheet };
    let style = Style {
        separator: options.separator,
        mark: options.mark,
        breakpoints: options.breakpoints,
        decimals: options.decimals,
        line_end: "\r\n",
        proves_mark: options.separator != Separator::Comma,
    };
    Ok(sheet.render(&style))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::interchange::read_table;
    use crate::interchange::samples::any_table;
    use crate::table::Axis;
    use proptest::prelude::*;

    fn table() -> Table {
        let axis = |list: &[f64]| Axis::new(list.to_vec()).unwrap();
        let values = vec![10.0, 12.25, 14.0, 8.5, 9.0, -0.04];
        Table::new(axis(&[800.0, 1500.0, 2500.5]), axis(&[20.0, 60.0]), values).unwrap()
    }

    fn written(options: WriteOptions) -> String {
        write_table(&table(), &options).unwrap()
    }

    #[test]
    fn writes_the_plain_form() {
        let text = "load / speed_rpm,800,1500,2500.5\r\n20,10,12.25,14\r\n60,8.5,9,-0.04\r\n";
        assert_eq!(written(WriteOptions::default()), text);
    }

    #[test]
    fn writes_every_option() {
        let options = WriteOptions {
            separator: Separator::Semicolon,
            mark: DecimalMark::Comma,
            loads: LoadOrder::Down,
            transposed: true,
            breakpoints: true,
            decimals: Some(1),
        };
        let text = "speed_rpm / load;60;20\r\n800;8,5;10,0\r\n1500;9,0;12,3\r\n2500,5;0,0;14,0\r\n";
        assert_eq!(written(options), text);
        let options = WriteOptions { breakpoints: false, separator: Separator::Tab, ..WriteOptions::default() };
        assert_eq!(written(options), "10\t12.25\t14\r\n8.5\t9\t-0.04\r\n");
    }

    #[test]
    fn refuses_two_meanings_of_a_comma() {
        let options = WriteOptions { mark: DecimalMark::Comma, ..WriteOptions::default() };
        assert_eq!(write_table(&table(), &options), Err(WriteError::CommaTwice));
    }

    proptest! {
        #![proptest_config(ProptestConfig::with_cases(64))]

        #[test]
        fn reads_back_to_the_same_bits(table in any_table(), choice in 0..4_usize) {
            let (separator, mark) = [
                (Separator::Comma, DecimalMark::Point),
                (Separator::Tab, DecimalMark::Point),
                (Separator::Tab, DecimalMark::Comma),
                (Separator::Semicolon, DecimalMark::Comma),
            ][choice];
            let text = write_table(&table, &WriteOptions { separator, mark, ..WriteOptions::default() }).unwrap();
            let file = read_table(text.as_bytes()).unwrap();
            let bits = |table: &Table| {
                let all = [table.speed().breakpoints(), table.load().breakpoints(), table.values()].concat();
                all.into_iter().map(f64::to_bits).collect::<Vec<_>>()
            };
            prop_assert_eq!(bits(file.table()), bits(&table));
            prop_assert_eq!(file.table(), &table);
        }
    }
}
