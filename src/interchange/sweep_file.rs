//! Readings of timing sweeps as delimited text: a first row of column names, then one row for each settled reading.

use thiserror::Error;

use super::marks::AskMark;
use super::named_columns::{ColumnsError, NamedColumns};
use super::number::DecimalMark;
use super::records::{DelimitedError, Record, read_records};
use super::row_checks::{LoadColumn, OtherLoadUnit, RowFault, out_of_range, too_long};
use crate::project::{LoadKind, SweepReading, TorqueKind};

/// The columns of readings. Speed, load and advance are mandatory, and exactly one of `torque_nm`, `power_kw` and `brake`.
/// The load may also be called `load_pct` or `load_kpa`, and then has to be in the project's unit. Other columns are
/// ignored, and the order is free.
pub const SWEEP_COLUMNS: [&str; 16] = [
    "speed_rpm",
    "load",
    "advance_deg",
    "torque_nm",
    "power_kw",
    "brake",
    "knock",
    "lambda",
    "coolant_c",
    "air_c",
    "air_kpa",
    "humidity_pct",
    "time_s",
    "point",
    "pull",
    "torque_sd",
];
/// Longer files are refused.
pub const MOST_SWEEP_ROWS: usize = 100_000;
/// Larger files are refused.
pub const MAX_SWEEP_BYTES: usize = 32 * 1024 * 1024;

const NOUN: &str = "a file of sweep readings";
/// The columns that hold numbers, the first four mandatory.
const NUMBERS: usize = 13;

/// What a file of readings holds.
#[derive(Clone, Debug, PartialEq)]
pub struct ReadSweep {
    /// What its readings have for torque.
    pub torque_kind: TorqueKind,
    /// What its loads are; `None` where nothing says.
    pub load: Option<LoadKind>,
    /// The readings in the order of the file; all are used.
    pub readings: Vec<SweepReading>,
    /// The line of each, counted from 1.
    pub lines: Vec<usize>,
}

/// Why a file does not hold readings of sweeps. None of it is used.
#[derive(Clone, Debug, PartialEq, Error)]
pub enum SweepFileError {
    /// The file is not delimited text.
    #[error(transparent)]
    Text(#[from] DelimitedError),
    /// A column or a number is missing.
    #[error(transparent)]
    Columns(#[from] ColumnsError),
    /// The loads are in another unit than the project's.
    #[error(transparent)]
    LoadUnit(#[from] OtherLoadUnit),
    /// No column for the torque.
    #[error("line 1: there is no torque: one of the columns torque_nm, power_kw and brake is wanted")]
    NoTorque,
    /// More than one column for the torque.
    #[error("line 1: there are both {first} and {second}; leave one of them out, so that it is plain which counts")]
    TwoTorques {
        /// The first of them.
        first: &'static str,
        /// The second.
        second: &'static str,
    },
    /// A row makes no reading.
    #[error(transparent)]
    Row(#[from] RowFault),
    /// No rows.
    #[error("there is no reading below the row of column names")]
    Empty,
    /// More rows than are read.
    #[error("the file has {rows} readings; at most {MOST_SWEEP_ROWS} are read")]
    TooMany {
        /// How many there are.
        rows: usize,
    },
}

impl SweepFileError {
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

/// Reads readings with loads of a kind, as [`read_sweep_as`] does with a decimal mark that the numbers tell.
///
/// # Errors
/// [`SweepFileError`] naming the line of the first error.
pub fn read_sweep(bytes: &[u8], load: LoadKind) -> Result<ReadSweep, SweepFileError> {
    read_sweep_as(bytes, None, Some(load))
}

/// Reads readings with a known decimal mark, and with loads of the given kind; without one they are what their column
/// says, or in any unit. An empty field of a column that need not be there is not known. Accepted are UTF-8 and UTF-16,
/// every line end, quotes, and a comma, semicolon or tab between fields; with the latter two also a decimal comma.
///
/// # Errors
/// [`SweepFileError`] naming the line of the first error, or with [`ColumnsError::AskMark`] inside if marks may separate
/// thousands or decimals and no number tells which.
pub fn read_sweep_as(
    bytes: &[u8],
    mark: Option<DecimalMark>,
    load: Option<LoadKind>,
) -> Result<ReadSweep, SweepFileError> {
    let (separator, records) = read_records(bytes, MAX_SWEEP_BYTES, "a file of sweep readings has")?;
    let header = records.first();
    let load = load.or_else(|| LoadColumn::kind_said(header));
    let load_column = load.map_or(Ok(LoadColumn::PLAIN), |load| LoadColumn::find(header, load))?;
    // A text that is no table at all is told which columns are wanted, before its torque is asked for.
    let places = ["speed_rpm", load_column.name, "advance_deg"];
    NamedColumns::find(header, places, places.len(), NOUN).map_err(with_all_columns)?;
    let torque_kind = torque_kind(header)?;
    let names = columns(load_column.name, torque_kind);
    let numbers = NamedColumns::find(header, names, 4, NOUN).map_err(with_all_columns)?;
    let texts = NamedColumns::find(header, ["point"], 0, NOUN).map_err(with_all_columns)?;
    let rows = records.get(1..).unwrap_or_default();
    if rows.is_empty() {
        return Err(SweepFileError::Empty);
    }
    if rows.len() > MOST_SWEEP_ROWS {
        return Err(SweepFileError::TooMany { rows: rows.len() });
    }
    let how = numbers.how(rows, separator, mark).map_err(ColumnsError::from)?;
    let patterns = names.map(|column| format!("evidence.sweeps[].readings[].{}", plain(column)));
    let (mut readings, mut lines) = (Vec::with_capacity(rows.len()), Vec::with_capacity(rows.len()));
    for record in rows.iter().filter(|record| !record.is_blank()) {
        let values = numbers.numbers(record, how)?;
        for (index, (value, (column, pattern))) in values.iter().zip(names.iter().zip(&patterns)).enumerate() {
            let refusal = match load {
                None if LoadColumn::is_one(column) => None,
                load => out_of_range(*value, (column, pattern), load.unwrap_or(LoadKind::Throttle)),
            };
            if let Some(reason) = refusal {
                return Err(RowFault::new(numbers.line_of(record, index), column, reason).into());
            }
        }
        let [point] = texts.texts(record);
        if let Some(reason) = too_long(point, "evidence.sweeps[].readings[].point") {
            return Err(RowFault::new(texts.line_of(record, 0), "point", reason).into());
        }
        let reading = reading(values, point);
        if torque_kind == TorqueKind::PowerKw && reading.speed_rpm <= 0.0 {
            let reason = "0 rpm: without a speed there is no torque in a power; leave the row out";
            return Err(RowFault::new(record.line, "speed_rpm", reason).into());
        }
        readings.push(reading);
        lines.push(record.line);
    }
    Ok(ReadSweep { torque_kind, load, readings, lines })
}

fn columns(load: &'static str, torque: TorqueKind) -> [&'static str; NUMBERS] {
    [
        "speed_rpm",
        load,
        "advance_deg",
        torque.name(),
        "knock",
        "lambda",
        "coolant_c",
        "air_c",
        "air_kpa",
        "humidity_pct",
        "time_s",
        "pull",
        "torque_sd",
    ]
}

/// A column as the project calls it.
fn plain(column: &str) -> &str {
    if LoadColumn::is_one(column) {
        "load"
    } else if TorqueKind::ALL.iter().any(|kind| kind.name() == column) {
        "torque"
    } else {
        column
    }
}

fn torque_kind(header: Option<&Record>) -> Result<TorqueKind, SweepFileError> {
    let has =
        |kind: &&TorqueKind| header.is_some_and(|header| header.fields.iter().any(|field| field.trim() == kind.name()));
    let mut found = TorqueKind::ALL.iter().filter(has);
    match (found.next(), found.next()) {
        (None, _) => Err(SweepFileError::NoTorque),
        (Some(first), Some(second)) => Err(SweepFileError::TwoTorques { first: first.name(), second: second.name() }),
        (Some(kind), None) => Ok(*kind),
    }
}

/// The error with every column that such a file can have.
fn with_all_columns(error: ColumnsError) -> ColumnsError {
    match error {
        ColumnsError::NoColumn { name, noun, .. } => {
            ColumnsError::NoColumn { name, noun, wanted: SWEEP_COLUMNS.join(", ") }
        }
        other => other,
    }
}

fn reading(values: [Option<f64>; NUMBERS], point: &str) -> SweepReading {
    let [speed_rpm, load, advance_deg, torque, rest @ ..] = values;
    let [knock, lambda, coolant_c, air_c, air_kpa, humidity_pct, time_s, pull, torque_sd] = rest;
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "whole and within the field's range")]
    let pull = pull.map(|pull| pull as u32);
    SweepReading {
        speed_rpm: speed_rpm.unwrap_or_default(),
        load: load.unwrap_or_default(),
        advance_deg: advance_deg.unwrap_or_default(),
        torque: torque.unwrap_or_default(),
        knock,
        lambda,
        coolant_c,
        air_c,
        air_kpa,
        humidity_pct,
        time_s,
        point: (!point.is_empty()).then(|| point.to_owned()),
        pull,
        torque_sd,
        left_out: None,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn read(text: &str) -> Result<ReadSweep, String> {
        read_sweep(text.as_bytes(), LoadKind::Pressure).map_err(|error| error.to_string())
    }

    fn refused(text: &str) -> String {
        read(text).unwrap_err()
    }

    #[test]
    fn reads_its_columns_in_any_order_and_what_is_missing_is_not_known() {
        let text = "advance_deg,load,speed_rpm,power_kw,knock,point,pull,lambda,coolant_c,air_c,air_kpa,humidity_pct,time_s,torque_sd,who\r\n\
                    14,60,3000,92.28,0,P1,1,0.9,85,25,99,40,12.5,0.4,me\r\n\
                    18,60,3010,95.8,,,,,,,,,,,\r\n";
        let read = read(text).unwrap();
        assert_eq!((read.torque_kind, read.lines.as_slice()), (TorqueKind::PowerKw, &[2, 3][..]));
        let wanted = SweepReading {
            speed_rpm: 3000.0,
            load: 60.0,
            advance_deg: 14.0,
            torque: 92.28,
            knock: Some(0.0),
            lambda: Some(0.9),
            coolant_c: Some(85.0),
            air_c: Some(25.0),
            air_kpa: Some(99.0),
            humidity_pct: Some(40.0),
            time_s: Some(12.5),
            point: Some("P1".into()),
            pull: Some(1),
            torque_sd: Some(0.4),
            left_out: None,
        };
        assert_eq!(read.readings[0], wanted);
        let plain =
            SweepReading { speed_rpm: 3010.0, load: 60.0, advance_deg: 18.0, torque: 95.8, ..SweepReading::default() };
        assert_eq!(read.readings[1], plain);
    }

    #[test]
    fn every_kind_of_torque_has_its_column_and_there_is_one() {
        for kind in TorqueKind::ALL {
            let read = read(&format!("speed_rpm;load_kpa;advance_deg;{}\n3.000;60;14;92,28\n", kind.name())).unwrap();
            assert_eq!((read.torque_kind, read.readings[0].torque, read.readings[0].speed_rpm), (kind, 92.28, 3000.0));
        }
        let none = refused("speed_rpm,load,advance_deg\n3000,60,14\n");
        assert_eq!(none, "line 1: there is no torque: one of the columns torque_nm, power_kw and brake is wanted");
        let both = refused("speed_rpm,load,advance_deg,brake,torque_nm\n3000,60,14,1,2\n");
        assert!(both.starts_with("line 1: there are both torque_nm and brake"), "{both}");
    }

    #[test]
    fn mistakes_are_named_by_line_and_column() {
        let header = "speed_rpm,load,advance_deg,torque_nm,lambda,pull\n";
        let row = |row: &str| refused(&format!("{header}3000,60,14,92,,\n{row}\n"));
        assert!(row("3000,60,14,0,,").starts_with("line 3: torque_nm: 0 is outside 0.001.."));
        assert!(row("3000,60,14,-5,,").starts_with("line 3: torque_nm: \u{2212}5 is outside"));
        assert!(row("3000,60,14,,,").starts_with("line 3: torque_nm '': a number is missing"));
        assert!(row("3000,60,late,92,,").starts_with("line 3: advance_deg 'late': not a number"));
        assert_eq!(row("3000,60,95,92,,"), "line 3: advance_deg: 95 is outside \u{2212}60..90°");
        assert_eq!(row("3000,600,14,92,,"), "line 3: load: 600 is outside 1..500 kPa");
        assert_eq!(row("3000,60,14,92,14.7,"), "line 3: lambda: 14.7 is outside 0.5..2");
        assert_eq!(row("3000,60,14,92,,1.5"), "line 3: pull: 1.5 is not a whole number");
        assert_eq!(row("3000,60,14"), "line 3: the row has 3 fields, but the first row has 6");
        assert_eq!(refused(header), "there is no reading below the row of column names");
        assert!(refused("speed_rpm,advance_deg,brake\n1,2,3\n").starts_with("line 1: there is no column 'load'; a file of sweep readings has the columns speed_rpm, load, advance_deg, torque_nm"));
        let still = refused("speed_rpm,load,advance_deg,power_kw\n0,60,14,92\n");
        assert_eq!(still, "line 2: speed_rpm: 0 rpm: without a speed there is no torque in a power; leave the row out");
        let none = "line 1: there is no column 'speed_rpm'; a file of sweep readings has the columns speed_rpm, load";
        assert!(refused("hello, world\nthis is, no table\n").starts_with(none));
        assert!(refused("").starts_with(none));
        let unit = refused("speed_rpm,load_pct,advance_deg,brake\n3000,60,14,92\n");
        assert!(unit.starts_with("line 1: the loads of 'load_pct' are in %, those of the project in kPa"), "{unit}");
    }

    #[test]
    fn marks_in_doubt_are_asked_for_and_mixed_ones_refused() {
        let text = "speed_rpm;load;advance_deg;brake\n3,000;60;14;92\n";
        assert!(read_sweep(text.as_bytes(), LoadKind::Pressure).unwrap_err().asks().is_some());
        let told = read_sweep_as(text.as_bytes(), Some(DecimalMark::Point), Some(LoadKind::Pressure)).unwrap();
        assert_eq!(told.readings[0].speed_rpm, 3000.0);
        let mixed = refused("speed_rpm;load;advance_deg;brake\n3000;60,5;14;92\n3000;60;14.5;92\n");
        assert!(mixed.starts_with("line 3: advance_deg '14.5': its decimal mark differs from line 2"), "{mixed}");
    }

    #[test]
    fn a_hundred_thousand_rows_are_read_and_not_one_more() {
        let header = "speed_rpm,load,advance_deg,brake\n";
        let rows = |count: usize| format!("{header}{}", "3000,60.5,14.5,92.25\n".repeat(count));
        assert_eq!(read(&rows(MOST_SWEEP_ROWS)).unwrap().readings.len(), 100_000);
        assert_eq!(refused(&rows(MOST_SWEEP_ROWS + 1)), "the file has 100001 readings; at most 100000 are read");
    }
}
