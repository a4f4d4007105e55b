//! Reading timing-light readings, from a file or pasted.

use thiserror::Error;

use super::marks::AskMark;
use super::named_columns::{ColumnsError, NamedColumns};
use super::number::{DecimalMark, read_number};
use super::records::{DelimitedError, Record, read_records};
use crate::project::TimingReading;

/// The columns of readings, all of them mandatory. Other columns are ignored, and the order is free.
pub const READING_COLUMNS: [&str; 3] = ["commanded_deg", "observed_deg", "speed_rpm"];
/// Larger files are refused.
pub const MAX_READINGS_BYTES: usize = 1024 * 1024;

/// Why a text does not hold readings. None of it is used.
#[derive(Clone, Debug, PartialEq, Error)]
pub enum ReadingsFileError {
    /// The file is not delimited text.
    #[error(transparent)]
    Text(#[from] DelimitedError),
    /// A column or a number is missing.
    #[error(transparent)]
    Columns(#[from] ColumnsError),
}

impl ReadingsFileError {
    /// The question to ask, if a mark may separate thousands or decimals.
    pub const fn asks(&self) -> Option<&AskMark> {
        match self {
            Self::Columns(error) => error.asks(),
            _ => None,
        }
    }

    /// Whether the problem is a mark that may separate thousands or decimals, which only the author knows.
    pub const fn is_about_marks(&self) -> bool {
        matches!(self, Self::Columns(error) if error.is_about_marks())
    }
}

/// Reads readings with a first row of [`READING_COLUMNS`]; without such a row, three numbers per row are taken
/// in that order. Ranges are not checked. Accepted are UTF-8 and UTF-16, every line end, quotes, and a comma,
/// semicolon or tab between fields; with the latter two also a decimal comma.
///
/// # Errors
/// [`ReadingsFileError`] naming the line of the first error, or with [`ColumnsError::AskMark`] inside if marks
/// may separate thousands or decimals and no number tells which.
pub fn read_readings(bytes: &[u8]) -> Result<Vec<TimingReading>, ReadingsFileError> {
    read_readings_as(bytes, None)
}

/// Reads readings as [`read_readings`] does, with a known decimal mark; the other mark may then separate
/// thousands.
///
/// # Errors
/// As from [`read_readings`], which asks if `mark` is `None`.
pub fn read_readings_as(bytes: &[u8], mark: Option<DecimalMark>) -> Result<Vec<TimingReading>, ReadingsFileError> {
    let (separator, records) = read_records(bytes, MAX_READINGS_BYTES, "readings have")?;
    let is_plain = |first: &Record| {
        first.fields.len() == READING_COLUMNS.len() && first.fields.iter().all(|text| read_number(text).is_ok())
    };
    let (columns, rows) = match records.split_first() {
        Some((first, _)) if is_plain(first) => (NamedColumns::in_order(READING_COLUMNS), &records[..]),
        Some((header, rows)) => (named(Some(header))?, rows),
        None => (named(None)?, &[][..]),
    };
    let how = columns.how(rows, separator, mark).map_err(ColumnsError::from)?;
    let reading = |record: &Record| -> Result<TimingReading, ReadingsFileError> {
        let [commanded_deg, observed_deg, speed_rpm] = columns.numbers(record, how)?.map(Option::unwrap_or_default);
        Ok(TimingReading { commanded_deg, observed_deg, speed_rpm })
    };
    rows.iter().map(reading).collect()
}

fn named(header: Option<&Record>) -> Result<NamedColumns<3>, ColumnsError> {
    NamedColumns::find(header, READING_COLUMNS, READING_COLUMNS.len(), "a file of readings")
}

#[cfg(test)]
mod tests {
    use super::*;

    fn rows(text: &str) -> Vec<(f64, f64, f64)> {
        let readings = read_readings(text.as_bytes()).unwrap();
        readings.iter().map(|reading| (reading.commanded_deg, reading.observed_deg, reading.speed_rpm)).collect()
    }

    #[test]
    fn reads_its_columns_in_any_order_or_three_plain_ones() {
        let wanted = [(10.0, 14.0, 1000.0), (10.0, 13.5, 2000.0)];
        assert_eq!(rows("speed_rpm,note,observed_deg,commanded_deg\n1000,a,14,10\n2000,b,13.5,10\n"), wanted);
        assert_eq!(rows("10;14;1000\n10;13,5;2000\n"), wanted);
        assert_eq!(rows("10\t14\t1000\r\n10\t13.5\t2000"), wanted);
    }

    #[test]
    fn files_over_1_mb_are_refused() {
        let told = read_readings(&vec![b'0'; MAX_READINGS_BYTES + 1]).unwrap_err().to_string();
        assert_eq!(told, "the file has 1048577 bytes; readings have at most 1048576 (1 MB)");
    }

    #[test]
    fn a_speed_with_thousands_is_not_taken_for_decimals() {
        let error = |text: &str| read_readings(text.as_bytes()).unwrap_err().to_string();
        assert_eq!(rows("10.5\t12.5\t1,000\n"), [(10.5, 12.5, 1000.0)], "the other numbers tell");
        assert!(error("10.5\t12,5\t1,000\n").contains("its decimal mark differs"), "{}", error("10.5\t12,5\t1,000\n"));
        assert!(error("10\t12\t1,000\n").starts_with("line 1, column 3 ('1,000'): the mark may part"));
        let read = read_readings_as(b"10\t12\t1,000\n", Some(DecimalMark::Point)).unwrap();
        assert_eq!(read[0].speed_rpm, 1000.0);
    }

    #[test]
    fn mistakes_are_named_by_line() {
        let error = |text: &str| read_readings(text.as_bytes()).unwrap_err().to_string();
        assert_eq!(
            error("commanded_deg,observed_deg\n1,2\n"),
            "line 1: there is no column 'speed_rpm'; a file of readings has the columns commanded_deg, observed_deg, \
             speed_rpm"
        );
        assert!(error("").starts_with("line 1: there is no column 'commanded_deg'"));
        assert_eq!(
            error("10,14,1000\n10,x,1\n"),
            "line 2: observed_deg 'x': not a number; digits with one decimal mark are wanted"
        );
        assert_eq!(error("10,14,1000\n10,1\n"), "line 2: the row has 2 fields, but the first row has 3");
    }
}
