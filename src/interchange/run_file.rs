//! Reading a run for the rig: a first row of column names, then one row for each point in time.

use thiserror::Error;

use super::marks::AskMark;
use super::named_columns::{ColumnsError, NamedColumns};
use super::number::DecimalMark;
use super::records::{DelimitedError, read_records};
use crate::project::LoadKind;
use crate::rig::{BATTERY_V, Row, Run, RunError};
use crate::wording::{shortest, written};

/// The columns of a run; the first three are mandatory. Other columns are ignored, and the order is free.
pub const RUN_COLUMNS: [&str; 8] =
    ["time_s", "speed_rpm", "load", "coolant_c", "air_c", "battery_v", "throttle_pct", "launch"];
const REQUIRED: usize = 3;
/// Larger files are refused.
pub const MAX_RUN_BYTES: usize = 64 * 1024 * 1024;

/// Why a file does not hold a run. None of it is used.
#[derive(Clone, Debug, PartialEq, Error)]
pub enum RunFileError {
    /// The file is not delimited text.
    #[error(transparent)]
    Text(#[from] DelimitedError),
    /// A column or a number is missing.
    #[error(transparent)]
    Columns(#[from] ColumnsError),
    /// A launch switch that is neither open nor closed.
    #[error("line {line}: launch {} is neither 0 (open) nor 1 (closed)", written(*.value))]
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

impl RunFileError {
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

/// Reads a run.
///
/// Where their columns are missing or their fields empty, temperatures and throttle are unknown, the battery
/// has 13.8 V, and the launch switch is open. Accepted are UTF-8 and UTF-16, every line end, quotes, and a
/// comma, semicolon or tab between fields; with the latter two also a decimal comma.
///
/// # Errors
/// [`RunFileError`] naming the line of the first error, or with [`ColumnsError::AskMark`] inside if marks may
/// separate thousands or decimals and no number tells which.
pub fn read_run(bytes: &[u8]) -> Result<Run, RunFileError> {
    read_run_as(bytes, None, None)
}

/// Reads a run as [`read_run`] does, with a known decimal mark, so that the other mark may separate thousands,
/// and with loads of the given kind.
///
/// # Errors
/// As from [`read_run`], which asks if `mark` is `None`; and if a load is out of the range of its kind.
pub fn read_run_as(bytes: &[u8], mark: Option<DecimalMark>, load: Option<LoadKind>) -> Result<Run, RunFileError> {
    let (separator, records) = read_records(bytes, MAX_RUN_BYTES, "a run has")?;
    let columns = NamedColumns::find(records.first(), RUN_COLUMNS, REQUIRED, "a run")?;
    let records = records.get(1..).unwrap_or_default();
    let how = columns.how(records, separator, mark).map_err(ColumnsError::from)?;
    let mut lines = Vec::new();
    let mut rows = Vec::new();
    for record in records {
        rows.push(row(columns.numbers(record, how)?, record.line)?);
        lines.push(record.line);
    }
    of_kind(rows, load).map_err(|reason| match reason.row().and_then(|row| lines.get(row)) {
        Some(&line) => RunFileError::Row { line, reason },
        None => RunFileError::Run(reason),
    })
}

/// A run whose loads are checked against the range of their kind, if the kind is known.
fn of_kind(rows: Vec<Row>, load: Option<LoadKind>) -> Result<Run, RunError> {
    let run = Run::new(rows)?;
    load.map_or(Ok(()), |load| run.check_loads(load))?;
    Ok(run)
}

/// Writes a run so that [`read_run`] gives the same run to the bit; rows end with CR LF. A temperature or the
/// throttle has a column if it is known in any row, and an empty field where it is not.
pub fn write_run(run: &Run) -> String {
    let known = known_columns(run);
    let mut text = Vec::new();
    let mut row_of = |fields: &[Option<String>; RUN_COLUMNS.len()]| {
        let shown =
            fields.iter().zip(known).filter(|(_, known)| *known).map(|(field, _)| field.clone().unwrap_or_default());
        text.push(shown.collect::<Vec<_>>().join(","));
    };
    row_of(&RUN_COLUMNS.map(|name| Some(name.to_owned())));
    run.rows().iter().for_each(|row| row_of(&run_fields(row)));
    text.iter().map(|line| format!("{line}\r\n")).collect()
}

/// The fields of a row in the order of [`RUN_COLUMNS`]; `None` for what is unknown.
fn run_fields(row: &Row) -> [Option<String>; RUN_COLUMNS.len()] {
    let launch = if row.launch { 1.0 } else { 0.0 };
    [
        Some(row.time_s),
        Some(row.speed_rpm),
        Some(row.load),
        row.coolant_c,
        row.air_c,
        Some(row.battery_v),
        row.throttle_pct,
        Some(launch),
    ]
    .map(|value| value.map(shortest))
}

fn known_columns(run: &Run) -> [bool; RUN_COLUMNS.len()] {
    let mut known = [false; RUN_COLUMNS.len()];
    for row in run.rows() {
        for (known, field) in known.iter_mut().zip(run_fields(row)) {
            *known |= field.is_some();
        }
    }
    known
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
    fn files_over_64_mb_are_refused() {
        let told = read_run(&vec![b'0'; MAX_RUN_BYTES + 1]).unwrap_err().to_string();
        assert_eq!(told, "the file has 67108865 bytes; a run has at most 67108864 (64 MB)");
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
    fn a_written_run_reads_back_to_the_bit() {
        use crate::project::SAMPLES;
        use crate::rig::BuiltIn;
        for sample in SAMPLES {
            let project = sample.project().unwrap();
            for built_in in BuiltIn::ALL {
                let run = built_in.run(&project).unwrap();
                // The run's own cyclic variation has no column.
                assert_eq!(read_run(write_run(&run).as_bytes()).unwrap().rows(), run.rows());
            }
        }
        let run = read_run(b"time_s,speed_rpm,load\n0,900,0.1\n1e-3,950,20\n").unwrap();
        assert_eq!(
            write_run(&run),
            "time_s,speed_rpm,load,battery_v,launch\r\n0,900,0.1,13.8,0\r\n0.001,950,20,13.8,0\r\n"
        );
    }

    #[test]
    fn an_empty_cell_that_need_not_be_there_is_not_known() {
        let text = "time_s,speed_rpm,load,coolant_c,battery_v,launch\r\n0,900,20,80,,\r\n1,950,20,,12,1\r\n";
        let run = read_run(text.as_bytes()).unwrap();
        let facts = |row: usize| (run.rows()[row].coolant_c, run.rows()[row].battery_v, run.rows()[row].launch);
        assert_eq!([facts(0), facts(1)], [(Some(80.0), 13.8, false), (None, 12.0, true)]);
        assert_eq!(read_run(write_run(&run).as_bytes()), Ok(run), "what is not known is written as an empty cell");
        let pressure = read_run_as(text.as_bytes(), None, Some(LoadKind::Pressure));
        assert!(pressure.is_ok());
        let none = text.replace(",20,", ",0.5,");
        let refused = read_run_as(none.as_bytes(), None, Some(LoadKind::Pressure)).unwrap_err();
        assert_eq!(refused.to_string(), "line 2: load 0.5 is outside 1..500");
    }

    #[test]
    fn what_is_left_out_is_not_known() {
        let run = read_run(b"time_s;speed_rpm;load\n0;900,5;20\n1;950,5;20\n").unwrap();
        let Row { speed_rpm, coolant_c, battery_v, throttle_pct, launch, .. } = run.rows()[0];
        assert_eq!((speed_rpm, run.rows()[1].speed_rpm), (900.5, 950.5));
        assert_eq!((coolant_c, battery_v, throttle_pct, launch), (None, 13.8, None, false));
    }

    #[test]
    fn one_mark_holds_for_all_columns_of_a_run() {
        let text = "time_s\tspeed_rpm\tload\n0\t1,000\t10\n1\t2,000\t10\n";
        assert!(error(text).starts_with("line 2, column 2 ('1,000'): the mark may part thousands or decimals"));
        let speed = |mark| read_run_as(text.as_bytes(), Some(mark), None).unwrap().rows()[0].speed_rpm;
        assert_eq!((speed(DecimalMark::Point), speed(DecimalMark::Comma)), (1000.0, 1.0));
        // Another number tells: 10.5 has a decimal point, so the comma separates thousands.
        let told = text.replace("\t10", "\t10.5");
        assert_eq!(read_run(told.as_bytes()).unwrap().rows()[1].speed_rpm, 2000.0);
        let mixed = text.replace("1,000", "1,5").replace("\t10", "\t10.5");
        assert_eq!(
            error(&mixed),
            "line 2: load '10.5': its decimal mark differs from line 2; write all numbers with a point or all with a \
             comma"
        );
    }

    #[test]
    fn mistakes_are_named_by_line() {
        let header = "time_s,speed_rpm,load,launch\n";
        let with = |rows: &str| error(&format!("{header}{rows}"));
        assert_eq!(with("0,900,20,0\n\n1,-5,20,0\n"), "line 4: speed_rpm −5 is outside 0..30000");
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
