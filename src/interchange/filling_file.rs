//! Logs that have throttle opening and manifold pressure side by side.

use thiserror::Error;

use super::marks::AskMark;
use super::named_columns::{ColumnsError, NamedColumns};
use super::number::DecimalMark;
use super::records::{DelimitedError, Record, read_records};
use crate::worksheet::LoggedFilling;

/// The columns of such a log, the first three mandatory. Other columns are ignored, and the order is free.
pub const FILLING_COLUMNS: [&str; 4] = ["speed_rpm", "throttle_pct", "pressure_kpa", "time_s"];
/// Larger files are refused.
pub const MAX_FILLING_BYTES: usize = 16 * 1024 * 1024;

const MANDATORY: usize = 3;

/// Why a text is no such log. None of it is used.
#[derive(Clone, Debug, PartialEq, Error)]
pub enum FillingFileError {
    /// The file is not delimited text.
    #[error(transparent)]
    Text(#[from] DelimitedError),
    /// A column or a number is missing.
    #[error(transparent)]
    Columns(#[from] ColumnsError),
}

impl FillingFileError {
    /// The question to ask, if a mark may separate thousands or decimals.
    pub const fn asks(&self) -> Option<&AskMark> {
        match self {
            Self::Columns(error) => error.asks(),
            Self::Text(_) => None,
        }
    }

    /// Whether the problem is a mark that may separate thousands or decimals, which only the author knows.
    pub const fn is_about_marks(&self) -> bool {
        matches!(self, Self::Columns(error) if error.is_about_marks())
    }
}

/// Reads a log with a first row of [`FILLING_COLUMNS`]; `mark` is the decimal mark if it is known. Ranges are not checked:
/// what no engine does is left out of a fit.
///
/// # Errors
/// [`FillingFileError`] naming the line of the first error, or with a question inside if marks may separate thousands or
/// decimals and no number tells which.
pub fn read_filling(bytes: &[u8], mark: Option<DecimalMark>) -> Result<Vec<LoggedFilling>, FillingFileError> {
    let (separator, records) = read_records(bytes, MAX_FILLING_BYTES, "such a log has")?;
    let (header, rows) = match records.split_first() {
        Some((header, rows)) => (Some(header), rows),
        None => (None, &[][..]),
    };
    let columns = NamedColumns::find(header, FILLING_COLUMNS, MANDATORY, "a log of throttle and pressure")?;
    let how = columns.how(rows, separator, mark).map_err(ColumnsError::from)?;
    let row = |record: &Record| -> Result<LoggedFilling, FillingFileError> {
        let [speed_rpm, opening_pct, pressure_kpa, time_s] = columns.numbers(record, how)?;
        let given = Option::unwrap_or_default;
        Ok(LoggedFilling {
            time_s,
            speed_rpm: given(speed_rpm),
            opening_pct: given(opening_pct),
            pressure_kpa: given(pressure_kpa),
        })
    };
    rows.iter().map(row).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn columns_are_found_in_any_order_and_time_may_be_missing() {
        let read = read_filling(b"pressure_kpa,rpm,throttle_pct,speed_rpm\n60,1,12.5,2000\n", None).unwrap();
        let row = LoggedFilling { time_s: None, speed_rpm: 2000.0, opening_pct: 12.5, pressure_kpa: 60.0 };
        assert_eq!(read, [row]);
        let read = read_filling("time_s;speed_rpm;throttle_pct;pressure_kpa\n0,5;2000;12,5;60\n".as_bytes(), None);
        assert_eq!(read.unwrap(), [LoggedFilling { time_s: Some(0.5), ..row }]);
    }

    #[test]
    fn a_log_without_one_of_the_signals_is_refused() {
        let told = |text: &str| read_filling(text.as_bytes(), None).unwrap_err().to_string();
        assert_eq!(
            told("speed_rpm,throttle_pct\n2000,12\n"),
            "line 1: there is no column 'pressure_kpa'; a log of throttle and pressure has the columns speed_rpm, \
             throttle_pct, pressure_kpa, time_s"
        );
        assert!(told("").starts_with("line 1: there is no column 'speed_rpm'"));
        assert!(told("speed_rpm,throttle_pct,pressure_kpa\n2000,12,x\n").starts_with("line 2: pressure_kpa 'x'"));
    }
}
