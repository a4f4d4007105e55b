//! Measured points as delimited text: a first row of column names, then one row a point.

use std::collections::BTreeMap;

use thiserror::Error;

use super::lines::push_text_field;
use super::marks::AskMark;
use super::named_columns::{ColumnsError, NamedColumns};
use super::number::DecimalMark;
use super::records::{DelimitedError, Record, read_records};
use super::row_checks::{LoadColumn, OtherLoadUnit, RowFault, Unfit, out_of_range, too_long};
use crate::project::{Fault, LoadKind, MOST_POINTS, MeasuredPoint, PointBound, PointKind};
use crate::wording::shortest;

/// The columns of measured points in the order in which they are written; name, speed, load and advance are mandatory.
/// The load may also be called `load_pct` or `load_kpa`, and then has to be in the project's unit.
pub const POINT_COLUMNS: [&str; 13] = [
    "name",
    "speed_rpm",
    "load",
    "advance_deg",
    "low_deg",
    "high_deg",
    "sd_deg",
    "bound",
    "kind",
    "source",
    "taken_at",
    "note",
    "in_use",
];
/// Larger files are refused.
pub const MAX_POINTS_BYTES: usize = 4 * 1024 * 1024;

/// The columns that hold numbers, the first three mandatory.
const NUMBERS: usize = 6;
/// Columns of text.
const TEXTS: [&str; 7] = ["name", "bound", "kind", "source", "taken_at", "note", "in_use"];

/// Why a file does not hold measured points. None of it is used.
#[derive(Clone, Debug, PartialEq, Error)]
pub enum MeasuredFileError {
    /// The file is not delimited text.
    #[error(transparent)]
    Text(#[from] DelimitedError),
    /// A column or a number is missing.
    #[error(transparent)]
    Columns(#[from] ColumnsError),
    /// The loads are in another unit than the project's.
    #[error(transparent)]
    LoadUnit(#[from] OtherLoadUnit),
    /// A row makes no point.
    #[error(transparent)]
    Row(#[from] RowFault),
    /// Two rows have the same name.
    #[error("line {line}: the point '{name}' stands in line {first_line} already; give one of them another name")]
    Twice {
        /// The second line, counted from 1.
        line: usize,
        /// The name.
        name: String,
        /// The first line.
        first_line: usize,
    },
    /// More rows than a project has room for.
    #[error("the file has {rows} points; a project has at most {MOST_POINTS}")]
    TooMany {
        /// How many there are.
        rows: usize,
    },
}

impl MeasuredFileError {
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

/// Reads measured points with loads of a kind, as [`read_measured_as`] does with a decimal mark that the numbers tell.
///
/// # Errors
/// [`MeasuredFileError`] naming the line of the first error.
pub fn read_measured(bytes: &[u8], load: LoadKind) -> Result<Vec<MeasuredPoint>, MeasuredFileError> {
    read_measured_as(bytes, None, load)
}

/// Reads measured points with a known decimal mark, and with loads of the given kind.
///
/// An empty field is what was not given: no interval, no standard deviation. Without a bound, knock says at most, an
/// interval that is open above says at least, one that is open below at most, anything else about. Without a kind a point
/// is typed, and without a word about it in use. Accepted are UTF-8 and UTF-16, every line end, quotes, and a comma,
/// semicolon or tab between fields; with the latter two also a decimal comma. Other columns are ignored, and the order is
/// free.
///
/// # Errors
/// [`MeasuredFileError`] naming the line of the first error, or with [`ColumnsError::AskMark`] inside if marks may
/// separate thousands or decimals and no number tells which.
pub fn read_measured_as(
    bytes: &[u8],
    mark: Option<DecimalMark>,
    load: LoadKind,
) -> Result<Vec<MeasuredPoint>, MeasuredFileError> {
    let (separator, records) = read_records(bytes, MAX_POINTS_BYTES, "a file of measured points has")?;
    let header = records.first();
    let load_column = LoadColumn::find(header, load)?;
    let wanted = |error| with_all_columns(error);
    let names = ["speed_rpm", load_column.name, "advance_deg", "low_deg", "high_deg", "sd_deg"];
    let numbers = NamedColumns::find(header, names, 3, NOUN).map_err(wanted)?;
    let texts = NamedColumns::find(header, TEXTS, 1, NOUN).map_err(wanted)?;
    let rows: Vec<Record> = records.iter().skip(1).filter(|record| !record.is_blank()).cloned().collect();
    if rows.len() > MOST_POINTS {
        return Err(MeasuredFileError::TooMany { rows: rows.len() });
    }
    let how = numbers.how(&rows, separator, mark).map_err(ColumnsError::from)?;
    let mut lines: BTreeMap<String, usize> = BTreeMap::new();
    let mut points = Vec::with_capacity(rows.len());
    for record in &rows {
        let values = numbers.numbers(record, how)?;
        for (index, (value, column)) in values.iter().zip(names).enumerate() {
            let pattern = format!("evidence.points[].{}", plain(column));
            if let Some(reason) = out_of_range(*value, (column, &pattern), load) {
                return Err(RowFault::new(numbers.line_of(record, index), column, reason).into());
            }
        }
        let words = texts.texts(record);
        let refused = |Unfit { column, reason }: Unfit| {
            let index = TEXTS.iter().position(|text| *text == column).unwrap_or_default();
            RowFault::new(texts.line_of(record, index), column, reason)
        };
        for (column, text) in TEXTS.into_iter().zip(words) {
            if let Some(reason) = too_long(text, &format!("evidence.points[].{column}")) {
                return Err(refused(Unfit { column, reason }).into());
            }
        }
        let point = point(values, words).map_err(refused)?;
        if let Some(Fault { path, message, hint }) = point.fault("") {
            let reason = if hint.is_empty() { message } else { format!("{message}; {hint}") };
            return Err(RowFault::new(record.line, path.trim_start_matches('.'), reason).into());
        }
        if let Some(&first_line) = lines.get(&point.name) {
            return Err(MeasuredFileError::Twice { line: record.line, name: point.name, first_line });
        }
        lines.insert(point.name.clone(), record.line);
        points.push(point);
    }
    Ok(points)
}

const NOUN: &str = "a file of measured points";

/// A column as the project calls it.
fn plain(column: &str) -> &str {
    if LoadColumn::is_one(column) { "load" } else { column }
}

/// The error with every column that such a file can have.
fn with_all_columns(error: ColumnsError) -> ColumnsError {
    match error {
        ColumnsError::NoColumn { name, noun, .. } => {
            ColumnsError::NoColumn { name, noun, wanted: POINT_COLUMNS.join(", ") }
        }
        other => other,
    }
}

/// The point of a row; where a word is none of those that there are, its column and why.
fn point(
    [speed_rpm, load, advance_deg, low_deg, high_deg, sd_deg]: [Option<f64>; NUMBERS],
    [name, bound, kind, source, taken_at, note, in_use]: [&str; TEXTS.len()],
) -> Result<MeasuredPoint, Unfit> {
    let kind = word("kind", kind, PointKind::ALL.map(|kind| (kind.name(), kind)))?.unwrap_or_default();
    let bound = word("bound", bound, PointBound::ALL.map(|bound| (bound.name(), bound)))?;
    let usual_bound = || match (kind, low_deg, high_deg) {
        (PointKind::Knock, ..) | (_, None, Some(_)) => PointBound::AtMost,
        (_, Some(_), None) => PointBound::AtLeast,
        _ => PointBound::About,
    };
    let flags = [("yes", true), ("no", false), ("true", true), ("false", false), ("1", true), ("0", false)];
    Ok(MeasuredPoint {
        name: name.to_owned(),
        speed_rpm: speed_rpm.unwrap_or_default(),
        load: load.unwrap_or_default(),
        advance_deg: advance_deg.unwrap_or_default(),
        low_deg,
        high_deg,
        sd_deg,
        bound: bound.unwrap_or_else(usual_bound),
        kind,
        source: source.to_owned(),
        taken_at: taken_at.to_owned(),
        note: note.to_owned(),
        in_use: word("in_use", in_use, flags)?.unwrap_or(true),
    })
}

/// What a word means; `None` where there is none.
fn word<T: Copy, const N: usize>(column: &'static str, text: &str, known: [(&str, T); N]) -> Result<Option<T>, Unfit> {
    if text.is_empty() {
        return Ok(None);
    }
    let alike = |name: &str| text.replace([' ', '-'], "_").eq_ignore_ascii_case(name);
    match known.iter().find(|(name, _)| alike(name)) {
        Some((_, value)) => Ok(Some(*value)),
        None => {
            let names = known.map(|(name, _)| name).join(", ");
            Err(Unfit { column, reason: format!("'{}' is none of {names}", super::table_file::shown(text)) })
        }
    }
}

/// Writes measured points so that [`read_measured`] gives the same points; rows end with CR LF, and the load's column says
/// its unit. Texts lose the blanks around them.
pub fn write_measured(points: &[impl AsRef<MeasuredPoint>], load: LoadKind) -> String {
    let mut out = Vec::new();
    let header = POINT_COLUMNS.map(|column| if column == "load" { LoadColumn::with_unit(load) } else { column });
    out.extend_from_slice(header.join(",").as_bytes());
    out.extend_from_slice(b"\r\n");
    for point in points {
        let point = point.as_ref();
        let number = |value: Option<f64>| value.map(shortest).unwrap_or_default();
        let fields = [
            point.name.clone(),
            shortest(point.speed_rpm),
            shortest(point.load),
            shortest(point.advance_deg),
            number(point.low_deg),
            number(point.high_deg),
            number(point.sd_deg),
            point.bound.name().into(),
            point.kind.name().into(),
            point.source.clone(),
            point.taken_at.clone(),
            point.note.clone(),
            if point.in_use { "yes" } else { "no" }.into(),
        ];
        for (index, (field, column)) in fields.iter().zip(POINT_COLUMNS).enumerate() {
            if index > 0 {
                out.push(b',');
            }
            // A negative number is no formula.
            if TEXTS.contains(&column) {
                push_text_field(&mut out, field)
            } else {
                out.extend_from_slice(field.as_bytes())
            }
        }
        out.extend_from_slice(b"\r\n");
    }
    String::from_utf8_lossy(&out).into_owned()
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn read(text: &str) -> Result<Vec<MeasuredPoint>, String> {
        read_measured(text.as_bytes(), LoadKind::Pressure).map_err(|error| error.to_string())
    }

    fn refused(text: &str) -> String {
        read(text).unwrap_err()
    }

    #[test]
    fn what_is_not_given_is_not_known_or_the_usual() {
        let text = "name,note,load,speed_rpm,advance_deg,low_deg,high_deg,sd_deg,kind,taken_by\r\n\
                    P1,,60,3000,24.5,23.9,25.2,,best torque,me\r\n\
                    P2,\"a, b\",60,3500,27,26.5,,,,\r\n\
                    \r\n\
                    P3,,100,3500,18,,19,0.4,knock,\r\n";
        let points = read(text).unwrap();
        let facts = |at: usize| (points[at].bound, points[at].kind, points[at].low_deg, points[at].high_deg);
        assert_eq!(facts(0), (PointBound::About, PointKind::BestTorque, Some(23.9), Some(25.2)));
        assert_eq!(facts(1), (PointBound::AtLeast, PointKind::Typed, Some(26.5), None));
        assert_eq!(facts(2), (PointBound::AtMost, PointKind::Knock, None, Some(19.0)));
        assert_eq!((points[1].note.as_str(), points[2].sd_deg, points[0].in_use), ("a, b", Some(0.4), true));
    }

    #[test]
    fn decimal_commas_and_other_marks_are_read_as_everywhere() {
        let points = read("name;speed_rpm;load;advance_deg;in_use\nP1;3.000;60,5;24,5;no\n").unwrap();
        assert_eq!((points[0].speed_rpm, points[0].load, points[0].advance_deg), (3000.0, 60.5, 24.5));
        assert!(!points[0].in_use);
        let asked = "name;speed_rpm;load;advance_deg\nP1;3,000;60;24\n";
        assert!(read_measured(asked.as_bytes(), LoadKind::Pressure).unwrap_err().asks().is_some());
        let told = read_measured_as(asked.as_bytes(), Some(DecimalMark::Point), LoadKind::Pressure).unwrap();
        assert_eq!(told[0].speed_rpm, 3000.0);
        let mixed = refused("name;speed_rpm;load;advance_deg\nP1;3000;60,5;24.5\n");
        assert!(mixed.starts_with("line 2: advance_deg '24.5': its decimal mark differs from line 2"), "{mixed}");
        // The digits of a name or a note tell nothing of marks.
        assert_eq!(read("name;note;speed_rpm;load;advance_deg\n1,5;1.234;3000;60;24.5\n").unwrap()[0].name, "1,5");
    }

    #[test]
    fn mistakes_are_named_by_line_and_column() {
        let header = "name,speed_rpm,load,advance_deg,low_deg,high_deg,bound,kind,in_use\n";
        let row = |row: &str| refused(&format!("{header}{row}\n"));
        assert_eq!(row("P1,3000,60,95,,,,,"), "line 2: advance_deg: 95 is outside \u{2212}60..90°");
        assert_eq!(row("P1,3000,0.5,24,,,,,"), "line 2: load: 0.5 is outside 1..500 kPa");
        assert_eq!(row("P1,3000,60,,,,,,"), "line 2: advance_deg '': a number is missing");
        assert_eq!(
            row("P1,3000,60,24,25,26,,,"),
            "line 2: low_deg: the interval begins at 25.0°, above the advance of 24.0°; give an interval with the \
             advance inside it"
        );
        assert!(row("P1,3000,60,24,23,,about,,").starts_with("line 2: bound: from 23.0° the interval is open"));
        assert!(row("P1,3000,60,24,,,about,knock,").starts_with("line 2: bound: knock says"));
        assert_eq!(row("P1,3000,60,24,,,maybe,,"), "line 2: bound: 'maybe' is none of about, at_most, at_least");
        assert!(row("P1,3000,60,24,,,,ear,").starts_with("line 2: kind: 'ear' is none of best_torque, "));
        assert!(row("P1,3000,60,24,,,,,perhaps").starts_with("line 2: in_use: 'perhaps' is none of yes, no"));
        assert_eq!(row(",3000,60,24,,,,,"), "line 2: name: a measured point needs a name");
        assert!(row(&format!("{},3000,60,24,,,,,", "n".repeat(81))).starts_with("line 2: name: 81 characters"));
        assert_eq!(
            row("P1,3000,60,24,,,,,\nP2,3000,60,24,,,,,\nP1,3000,60,24,,,,,"),
            "line 4: the point 'P1' stands in line 2 already; give one of them another name"
        );
        assert!(row("P1,3000,60").starts_with("line 2: the row has 3 fields"));
        let missing = refused("name,speed_rpm,load\nP1,1,2\n");
        assert!(missing.starts_with("line 1: there is no column 'advance_deg'; a file of measured points has the columns name, speed_rpm, load, advance_deg, low_deg"), "{missing}");
        assert!(refused("speed_rpm,load,advance_deg\n1,2,3\n").contains("there is no column 'name'"));
        let many: String = (0..=MOST_POINTS).map(|at| format!("P{at},3000,60,24,,,,,\n")).collect();
        assert_eq!(refused(&format!("{header}{many}")), "the file has 1001 points; a project has at most 1000");
    }

    /// Otherwise kilopascals would be taken for per cent.
    #[test]
    fn loads_that_say_their_unit_have_to_be_the_projects() {
        let text = "name,speed_rpm,load_kpa,advance_deg\nP1,3000,60,24\n";
        assert_eq!(read(text).unwrap()[0].load, 60.0);
        let told = read_measured(text.as_bytes(), LoadKind::Throttle).unwrap_err().to_string();
        assert_eq!(
            told,
            "line 1: the loads of 'load_kpa' are in kPa, those of the project in %; nothing converts one into the other"
        );
        assert!(
            write_measured(&[] as &[Box<MeasuredPoint>], LoadKind::Throttle).starts_with("name,speed_rpm,load_pct,")
        );
    }

    fn any_point() -> impl Strategy<Value = MeasuredPoint> {
        let text = || "[a-zäß0-9 ,;=+\"'\n-]{0,12}".prop_map(|text: String| text.trim().to_owned());
        let ends = (proptest::option::of(0.0..20.0), proptest::option::of(0.0..20.0), proptest::option::of(0.01..60.0));
        let place = (0.0..30_000.0, 1.0..500.0, -40.0..70.0);
        (place, ends, (0..3_usize, 0..5_usize, any::<bool>()), (text(), text(), text())).prop_map(
            |((speed_rpm, load, advance_deg), (low, high, sd_deg), (bound, kind, in_use), (source, taken_at, note))| {
                let (low_deg, high_deg) = (low.map(|by: f64| advance_deg - by), high.map(|by: f64| advance_deg + by));
                let kind = PointKind::ALL[kind];
                let bound = match PointBound::ALL[bound] {
                    _ if kind == PointKind::Knock => PointBound::AtMost,
                    PointBound::About if low_deg.is_some() != high_deg.is_some() => PointBound::AtLeast,
                    bound => bound,
                };
                MeasuredPoint {
                    name: String::new(),
                    speed_rpm,
                    load,
                    advance_deg,
                    low_deg,
                    high_deg,
                    sd_deg,
                    bound,
                    kind,
                    source,
                    taken_at,
                    note,
                    in_use,
                }
            },
        )
    }

    proptest! {
        #[test]
        fn what_is_written_reads_back_the_same(points in proptest::collection::vec(any_point(), 0..12)) {
            let name = |(at, point): (usize, MeasuredPoint)| Box::new(MeasuredPoint { name: format!("-{at},°"), ..point });
            let points: Vec<Box<MeasuredPoint>> = points.into_iter().enumerate().map(name).collect();
            let read = read_measured(write_measured(&points, LoadKind::Pressure).as_bytes(), LoadKind::Pressure);
            let points: Vec<MeasuredPoint> = points.into_iter().map(|point| *point).collect();
            prop_assert_eq!(read, Ok(points));
        }
    }
}
