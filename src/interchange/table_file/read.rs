//! Reading a table file.

use super::{Place, TableFileError};
use crate::interchange::lines::Separator;
use crate::interchange::marks::Numbers;
use crate::interchange::number::DecimalMark;
use crate::interchange::records::{Record, read_records};
use crate::project::{Advance, AdvanceError, Origin};
use crate::table::{Axis, AxisError, Cell, MAX_BREAKPOINTS, Table};

/// Larger files are refused.
pub const MAX_FILE_BYTES: usize = 16 * 1024 * 1024;

/// A table read from a file, and the lines it was read from.
#[derive(Clone, Debug, PartialEq)]
pub struct TableFile {
    table: Table,
    separator: Separator,
    mark: Option<DecimalMark>,
    records: Vec<Record>,
}

impl TableFile {
    /// The table.
    pub fn table(&self) -> &Table {
        &self.table
    }

    /// The separator found in the first row.
    pub fn separator(&self) -> Separator {
        self.separator
    }

    /// The decimal mark used throughout; `None` if no number needs one.
    pub fn decimal_mark(&self) -> Option<DecimalMark> {
        self.mark
    }

    /// The line of a load breakpoint, counted from 1; `None` if there is no such load.
    pub fn line_of_load(&self, load: usize) -> Option<usize> {
        self.records.get(load + 1).map(|record| record.line)
    }

    /// The advance table with these axes and cells: nothing held, every origin *imported*.
    ///
    /// # Errors
    /// [`TableFileError::Range`] naming the place of a value out of range.
    pub fn import(&self) -> Result<Advance, TableFileError> {
        Advance::uniform(self.table.clone(), Origin::Imported).map_err(|reason| {
            let place = match &reason {
                AdvanceError::CellRange { cell, .. } => self.place_of(*cell),
                AdvanceError::SpeedRange { speed_rpm } => self.place_of_speed(*speed_rpm),
                _ => Place { line: 1, column: 1, text: String::new() },
            };
            TableFileError::Range { place, reason }
        })
    }

    fn place_of(&self, cell: Cell) -> Place {
        place_in(&self.records, cell.load + 1, cell.speed + 1)
    }

    fn place_of_speed(&self, speed_rpm: f64) -> Place {
        place_in(&self.records, 0, self.table.speed().index_of(speed_rpm).map_or(0, |speed| speed + 1))
    }
}

/// Reads a table: the first row has a corner text, which may be anything, and the speeds, every further row a
/// load and its cells; speeds and loads ascend.
///
/// Accepted are UTF-8, and UTF-16 with a byte-order mark; every line end; quotes; a tab or `;` as separator if
/// the first row has one, otherwise a comma; a decimal comma with tab or `;`; the minus sign U+2212; no-break
/// spaces between thousands; empty rows and columns at the end.
///
/// ```
/// use sparkloft::interchange::read_table;
///
/// let file = read_table(b"load,800,1500\n20,10,12\n100,8,9.5\n")?;
/// assert_eq!(file.table().lookup(1500.0, 100.0), 9.5);
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
///
/// # Errors
/// [`TableFileError`] naming the line and column of the first error, or [`TableFileError::AskMark`] if marks
/// may separate thousands or decimals and no number tells which.
pub fn read_table(bytes: &[u8]) -> Result<TableFile, TableFileError> {
    read_table_as(bytes, None)
}

/// Reads a table as [`read_table`] does, with a known decimal mark; the other mark may then separate thousands.
///
/// # Errors
/// As from [`read_table`], which asks if `mark` is `None`.
pub fn read_table_as(bytes: &[u8], mark: Option<DecimalMark>) -> Result<TableFile, TableFileError> {
    let (separator, mut records) = read_records(bytes, MAX_FILE_BYTES, "a table file has")?;
    let columns = check_rows(&mut records)?;
    let fields = records.iter().enumerate().flat_map(|(row, record)| {
        let first = if row == 0 { 1 } else { 0 };
        (first..columns).map(move |column| (record, column))
    });
    let numbers = Numbers::find(separator, mark, fields)?;
    let rows: Vec<usize> = (1..records.len()).collect();
    let speeds = read_all(numbers, &records, (1..columns).map(|column| (0, column)))?;
    let loads = read_all(numbers, &records, rows.iter().map(|&row| (row, 0)))?;
    let speed = axis(speeds, "speed", &records, |index| (0, index + 1))?;
    let load = axis(loads, "load", &records, |index| (index + 1, 0))?;
    let cells = rows.iter().flat_map(|&row| (1..columns).map(move |column| (row, column)));
    let cells = read_all(numbers, &records, cells)?;
    let table = Table::new(speed, load, cells)?;
    Ok(TableFile { table, separator, mark: numbers.mark(), records })
}

/// Removes empty columns from the end and checks that all rows have the same length; returns that length.
fn check_rows(records: &mut [Record]) -> Result<usize, TableFileError> {
    let Some((first, rest)) = records.split_first_mut() else {
        return Err(TableFileError::EmptyRow { line: 1 });
    };
    if first.line != 1 || first.is_blank() {
        return Err(TableFileError::EmptyRow { line: 1 });
    }
    first.trim_to(1);
    let wanted = first.fields.len();
    let mut next_line = first.last_line() + 1;
    for record in rest {
        if record.line != next_line || record.is_blank() {
            return Err(TableFileError::EmptyRow { line: next_line });
        }
        next_line = record.last_line() + 1;
        record.trim_to(wanted);
        if record.fields.len() != wanted {
            return Err(TableFileError::RowLength { line: record.line, given: record.fields.len(), wanted });
        }
    }
    Ok(wanted)
}

fn place_in(records: &[Record], row: usize, field: usize) -> Place {
    match records.get(row) {
        Some(record) => Place::of(record, field),
        None => Place { line: row + 1, column: field + 1, text: String::new() },
    }
}

fn axis(
    breakpoints: Vec<f64>,
    name: &'static str,
    records: &[Record],
    field_of: impl Fn(usize) -> (usize, usize),
) -> Result<Axis, TableFileError> {
    let count = breakpoints.len();
    Axis::new(breakpoints).map_err(|reason| {
        let at_fault = match reason {
            AxisError::Count { .. } => count.min(MAX_BREAKPOINTS + 1).checked_sub(1),
            _ => reason.index(),
        };
        let (row, field) = at_fault.map_or((0, 0), field_of);
        TableFileError::Axis { place: place_in(records, row, field), axis: name, reason }
    })
}

fn read_all(
    numbers: Numbers,
    records: &[Record],
    fields: impl Iterator<Item = (usize, usize)>,
) -> Result<Vec<f64>, TableFileError> {
    let read = |(row, field)| {
        let text = records.get(row).map_or("", |record: &Record| record.text(field));
        numbers.read(text).map_err(|reason| TableFileError::Number { place: place_in(records, row, field), reason })
    };
    fields.map(read).collect()
}

#[cfg(test)]
#[path = "read_tests.rs"]
mod tests;
