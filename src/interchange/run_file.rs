//! Reading a run for the rig: a first row of column names, then one row per instant.

use thiserror::Error;

use super::decode::{DecodeError, decode};
use super::lines::Separator;
use super::named_columns::{ColumnsError, NamedColumns};
use super::records::{RecordError, split};
use crate::rig::{Row, Run, RunError};
use crate::table::shortest;

/// The columns of a run; the first three must be there. Other columns are not read, and any order will do.
pub const RUN_COLUMNS: [&str; 8] =
    ["time_s", "speed_rpm", "load", "coolant_c", "air_c", "battery_v", "throttle_pct", "launch"];
const REQUIRED: usize = 3;
/// The battery of a run without that column: a charging system at work; common practice, no source.
const BATTERY_V: f64 = 13.8;
/// Larger files are refused.
const MAX_FILE_BYTES: usize = 64 * 1024 * 1024;

/// Why a file holds no run. Nothing of it is used.
#[derive(Clone, Debug, PartialEq, Error)]
pub enum RunFileError {
    /// Too large a file.
    #[error("the file has {bytes} bytes; a run has at most {MAX_FILE_BYTES} (64 MB)")]
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
    /// A column or a number is missing.
    #[error(transparent)]
    Columns(#[from] ColumnsError),
    /// A launch switch that is neither open nor closed.
    #[error("line {line}: launch {} is neither 0 (open) nor 1 (closed)", shortest(*.value))]
    Launch {
        /// Which line, counted from 1.
        line: usize,
        /// The value there.
        value: f64,
    },
    /// A value out of range or out of order.
    #[error("line {line}: {reason}")]
    Row {
        /// Which line, counted from 1.
        line: usize,
        /// What is wrong with it.
        reason: RunError,
    },
    /// Too few rows.
    #[error(transparent)]
    Run(RunError),
}

/// Reads a run.
///
/// Without their columns the temperatures and the throttle are not known, the battery has 13.8 V and the launch switch is
/// open. UTF-8 and UTF-16, every line end, quotes, and a comma, semicolon or tab between fields are understood; with the
/// latter two also a decimal comma.
///
/// # Errors
/// [`RunFileError`] naming the line of the first thing wrong.
pub fn read_run(bytes: &[u8]) -> Result<Run, RunFileError> {
    if bytes.len() > MAX_FILE_BYTES {
        return Err(RunFileError::TooLarge { bytes: bytes.len() });
    }
    let text = decode(bytes)?;
    let separator = Separator::of_first_row(text.as_bytes());
    let mut records = split(&text, separator)?.into_iter();
    let columns = NamedColumns::find(records.next().as_ref(), separator, RUN_COLUMNS, REQUIRED, "a run")?;
    let mut lines = Vec::new();
    let mut rows = Vec::new();
    for record in records {
        rows.push(row(columns.numbers(&record)?, record.line)?);
        lines.push(record.line);
    }
    Run::new(rows).map_err(|reason| match reason.row().and_then(|row| lines.get(row)) {
        Some(&line) => RunFileError::Row { line, reason },
        None => RunFileError::Run(reason),
    })
}

fn row(values: [Option<f64>; RUN_COLUMNS.len()], line: usize) -> Result<Row, RunFileError> {
    let [time_s, speed_rpm, load, coolant_c, air_c, battery_v, throttle_pct, launch] = values;
    let launch = launch.unwrap_or(0.0);
    if launch != 0.0 && launch != 1.0 {
        return Err(RunFileError::Launch { line, value: launch });
    }
    Ok(Row {
        time_s: time_s.unwrap_or(0.0),
        speed_rpm: speed_rpm.unwrap_or(0.0),
        load: load.unwrap_or(0.0),
        coolant_c,
        air_c,
        battery_v: battery_v.unwrap_or(BATTERY_V),
        throttle_pct,
        launch: launch == 1.0,
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn error(text: &str) -> String {
        read_run(text.as_bytes()).unwrap_err().to_string()
    }

    #[test]
    fn reads_its_columns_in_any_order() {
        let text = "load,time_s,note,speed_rpm,coolant_c,air_c,battery_v,throttle_pct,launch\r\n\
                    20,0,start,900,80,25,13.5,20,0\r\n30,1.5,,3000,81,26,14,30,1\r\n";
        let run = read_run(text.as_bytes()).unwrap();
        let expected = Row {
            time_s: 1.5,
            speed_rpm: 3000.0,
            load: 30.0,
            coolant_c: Some(81.0),
            air_c: Some(26.0),
            battery_v: 14.0,
            throttle_pct: Some(30.0),
            launch: true,
        };
        assert_eq!((run.rows().len(), run.rows()[1]), (2, expected));
    }

    #[test]
    fn what_is_left_out_is_not_known() {
        let run = read_run(b"time_s;speed_rpm;load\n0;900,5;20\n1;950.5;20\n").unwrap();
        let Row { speed_rpm, coolant_c, battery_v, throttle_pct, launch, .. } = run.rows()[0];
        assert_eq!((speed_rpm, run.rows()[1].speed_rpm), (900.5, 950.5));
        assert_eq!((coolant_c, battery_v, throttle_pct, launch), (None, 13.8, None, false));
    }

    #[test]
    fn mistakes_are_named_by_line() {
        let header = "time_s,speed_rpm,load,launch\n";
        let with = |rows: &str| error(&format!("{header}{rows}"));
        assert_eq!(with("0,900,20,0\n\n1,-5,20,0\n"), "line 4: speed_rpm -5 is outside 0..30000");
        assert_eq!(
            with("0,900,20,0\n0,900,20,0\n"),
            "line 3: time_s 0 is not after 0 of the row before; times must rise"
        );
        assert_eq!(
            with("0,fast,20,0\n"),
            "line 2: speed_rpm 'fast': not a number; digits with one decimal mark are wanted"
        );
        assert_eq!(with("0,900,,0\n"), "line 2: load '': a number is missing");
        assert_eq!(with("0,900,20,0.5\n"), "line 2: launch 0.5 is neither 0 (open) nor 1 (closed)");
        assert_eq!(with("0,900,20\n"), "line 2: the row has 3 fields, but the first row has 4");
        assert_eq!(with("0,900,20,0\n"), "a run needs two rows at least, and there is one");
        assert!(error("time_s,load\n0,1\n").starts_with("line 1: there is no column 'speed_rpm'"));
        assert_eq!(error("time_s,speed_rpm,load,load\n"), "line 1: there are two columns 'load'");
        assert!(error("").starts_with("line 1: there is no column 'time_s'"));
    }
}
