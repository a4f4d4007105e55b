//! The points of a curve to and from the clipboard: tab-separated, with decimal point or comma.

use thiserror::Error;

use super::number::{DecimalMark, NumberError, Reading, read_number};
use crate::table::{Curve, MAX_BREAKPOINTS};
use crate::wording::{shortest, written};

/// What the clipboard holds for a curve.
#[derive(Clone, Debug, PartialEq)]
pub enum CurveClip {
    /// Breakpoints and values: in two rows, as they are copied, or in two columns.
    Points(Vec<(f64, f64)>),
    /// One row or column of numbers, to be pasted where the keyboard focus is.
    Line(Vec<f64>),
}

/// Why a text makes no sense for a curve.
#[derive(Clone, Debug, PartialEq, Error)]
pub enum CurveClipError {
    /// Nothing but blanks.
    #[error("the clipboard holds no numbers")]
    Empty,
    /// A field that is not a number.
    #[error("line {line}, column {column}: '{text}': {reason}")]
    Field {
        /// Its line, counted from 1.
        line: usize,
        /// Its column, counted from 1.
        column: usize,
        /// Its text.
        text: String,
        /// Why it makes no sense.
        reason: NumberError,
    },
    /// Some numbers have a decimal point, others a comma.
    #[error("some numbers have a decimal point, others a decimal comma; copy them with one of the two")]
    MixedMarks,
    /// The mark may separate thousands or decimals.
    #[error("'{text}' can mean {point} or {comma}; copy it without marks between thousands", point = written(*.point), comma = written(*.comma))]
    Ambiguous {
        /// The text of the number.
        text: String,
        /// Its value if the mark is a decimal point.
        point: f64,
        /// Its value if the mark is a decimal comma.
        comma: f64,
    },
    /// Rows of different lengths, or more rows and columns than a curve has.
    #[error(
        "{rows} rows of up to {columns} numbers; a curve is two rows or two columns of equal length, breakpoints first"
    )]
    Shape {
        /// How many rows.
        rows: usize,
        /// The longest of them.
        columns: usize,
    },
}

/// The curve as two rows, breakpoints above values.
pub fn write_curve(curve: &Curve, mark: DecimalMark) -> String {
    let row = |numbers: &[f64]| {
        let texts: Vec<String> = numbers.iter().map(|&number| shortest(number)).collect();
        texts.join("\t").replace('.', &mark.character().to_string())
    };
    format!("{}\n{}\n", row(curve.axis().breakpoints()), row(curve.values()))
}

/// Reads the clipboard. Two rows of two numbers count as rows, as they are copied, unless only the first column
/// ascends as breakpoints do.
///
/// # Errors
/// [`CurveClipError`] naming the first field that makes no sense, or what is wrong with the shape.
pub fn read_curve(text: &str) -> Result<CurveClip, CurveClipError> {
    let rows = numbers(&fields(text))?;
    let columns = rows.iter().map(Vec::len).max().ok_or(CurveClipError::Empty)?;
    let shape = CurveClipError::Shape { rows: rows.len(), columns };
    let is_even = rows.iter().all(|row| row.len() == columns);
    if !is_even || rows.len().max(columns) > MAX_BREAKPOINTS {
        return Err(shape);
    }
    let is_axis = |numbers: &[f64]| numbers.is_sorted_by(|before, after| before < after);
    match rows.as_slice() {
        [at, value] if columns > 2 || columns == 2 && (is_axis(at) || at.first() >= value.first()) => {
            Ok(CurveClip::Points(at.iter().copied().zip(value.iter().copied()).collect()))
        }
        [line] => Ok(CurveClip::Line(line.clone())),
        lines if columns == 1 => Ok(CurveClip::Line(lines.iter().flatten().copied().collect())),
        pairs if columns == 2 => {
            Ok(CurveClip::Points(pairs.iter().filter_map(|row| Some((*row.first()?, *row.get(1)?))).collect()))
        }
        _ => Err(shape),
    }
}

/// The fields of a text; blank lines at the end and blank fields at the end of a line are dropped.
fn fields(text: &str) -> Vec<Vec<&str>> {
    let text = text.strip_prefix('\u{feff}').unwrap_or(text).trim_end();
    if text.is_empty() {
        return Vec::new();
    }
    text.lines().map(|line| line.trim_end().split('\t').map(str::trim).collect()).collect()
}

fn numbers(rows: &[Vec<&str>]) -> Result<Vec<Vec<f64>>, CurveClipError> {
    let mut readings = Vec::with_capacity(rows.len());
    let mut proven = None;
    for (line, row) in rows.iter().enumerate() {
        let mut read = Vec::with_capacity(row.len());
        for (column, &text) in row.iter().enumerate() {
            let (line, column) = (line + 1, column + 1);
            let field = |reason| CurveClipError::Field { line, column, text: text.to_owned(), reason };
            let reading = read_number(text).map_err(field)?;
            if let Reading::Parsed { mark: Some(mark), .. } = reading {
                if proven.is_some_and(|other| other != mark) {
                    return Err(CurveClipError::MixedMarks);
                }
                proven = Some(mark);
            }
            read.push((text, reading));
        }
        readings.push(read);
    }
    let value = |&(text, reading): &(&str, Reading)| match (reading, proven) {
        (Reading::Parsed { value, .. }, _) => Ok(value),
        (Reading::Ambiguous { point, .. }, Some(DecimalMark::Point)) => Ok(point),
        (Reading::Ambiguous { comma, .. }, Some(DecimalMark::Comma)) => Ok(comma),
        (Reading::Ambiguous { point, comma }, None) => {
            Err(CurveClipError::Ambiguous { text: text.to_owned(), point, comma })
        }
    };
    readings.iter().map(|row| row.iter().map(value).collect()).collect()
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    #[test]
    fn rows_columns_and_lines_are_understood() {
        let points = CurveClip::Points(vec![(20.0, 3.0), (40.0, 1.5), (80.0, -2.0)]);
        assert_eq!(read_curve("20\t40\t80\n3\t1.5\t-2\n"), Ok(points.clone()));
        assert_eq!(read_curve("20\t3\r\n40\t1,5\r\n80\t\u{2212}2\r\n\r\n"), Ok(points));
        assert_eq!(read_curve("1\t2\t3"), Ok(CurveClip::Line(vec![1.0, 2.0, 3.0])));
        assert_eq!(read_curve("1\n2\n3\n"), Ok(CurveClip::Line(vec![1.0, 2.0, 3.0])));
        let two = CurveClip::Points(vec![(20.0, 3.0), (40.0, 5.0)]);
        assert_eq!(read_curve("20\t40\n3\t5"), Ok(two.clone()));
        assert_eq!(read_curve("20\t3\n40\t5"), Ok(two));
        assert_eq!(read_curve("7,5"), Ok(CurveClip::Line(vec![7.5])));
    }

    #[test]
    fn what_does_not_fit_is_refused_with_a_reason() {
        let why = |text: &str| read_curve(text).unwrap_err().to_string();
        assert_eq!(why(" \n"), "the clipboard holds no numbers");
        assert!(why("20\t40\n3\tx").starts_with("line 2, column 2: 'x'"));
        assert!(why("1.5\t2,5").contains("decimal point, others a decimal comma"));
        assert!(why("1,500\t2\n1\t2").contains("'1,500' can mean 1500 or 1.5"));
        assert!(why("1\t2\t3\n1\t2").contains("2 rows of up to 3"));
        assert!(why("1\t2\t3\n1\t2\t3\n1\t2\t3").contains("3 rows of up to 3"));
    }

    proptest! {
        #[test]
        fn what_is_copied_is_pasted(points in proptest::collection::vec((1.0..50.0, -60.0..60.0), 2..64), comma in any::<bool>()) {
            let mut at = 0.0;
            let points: Vec<(f64, f64)> = points.into_iter().map(|(gap, value): (f64, f64)| {
                at += gap;
                (at, value)
            }).collect();
            let Ok(curve) = Curve::from_points(&points) else { return Ok(()) };
            let mark = if comma { DecimalMark::Comma } else { DecimalMark::Point };
            // A text like 1,234 may be refused, never misread.
            match read_curve(&write_curve(&curve, mark)) {
                Ok(CurveClip::Points(read)) => prop_assert_eq!(read, points),
                other => prop_assert!(matches!(other, Err(CurveClipError::Ambiguous { .. })), "{:?}", other),
            }
        }
    }
}
