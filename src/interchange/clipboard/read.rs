//! From text on the clipboard to numbers in rows, with what was understood of it.

use std::fmt;

use thiserror::Error;

use crate::interchange::lines::Separator;
use crate::interchange::number::{DecimalMark, NumberError, Reading, Thousands, parse_number, read_number};
use crate::interchange::records::{Record, RecordError, split};
use crate::interchange::sheet::LoadOrder;
use crate::interchange::table_file::{MAX_FILE_BYTES, Place};
use crate::project::{ADVANCE_RANGE_DEG, SPEED_RANGE_RPM};
use crate::table::{Axis, MAX_BREAKPOINTS, Table};
use crate::wording::count;

/// The user's answers to questions that the text alone leaves open.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Answers {
    /// The decimal mark, after [`Clipping::AskMark`].
    pub mark: Option<DecimalMark>,
    /// Whether the first row and column are breakpoints, after [`Clipping::AskBreakpoints`].
    pub breakpoints: Option<bool>,
    /// In which order the load rows are, where there are no breakpoints to tell.
    pub loads: LoadOrder,
}

/// What a text turned out to be.
#[derive(Clone, Debug, PartialEq)]
pub enum Clipping {
    /// Numbers, ready to paste.
    Ready(Clip),
    /// Some mark may separate thousands or decimals, and nothing else in the text tells which.
    AskMark {
        /// The first such number.
        place: Place,
        /// Its value if the mark is a decimal point.
        point: f64,
        /// Its value if the mark is a decimal comma.
        comma: f64,
    },
    /// The first row and column are breakpoints of the table, but could also be cells.
    AskBreakpoints,
}

/// Breakpoints that came with the numbers.
#[derive(Clone, Debug, PartialEq)]
pub struct Breakpoints {
    /// Along the top, as given.
    pub speed: Vec<f64>,
    /// Down the side, reversed if they were descending, so that the lowest is first.
    pub load: Vec<f64>,
}

/// Numbers from the clipboard, lowest load row first.
#[derive(Clone, Debug, PartialEq)]
pub struct Clip {
    pub(super) rows: Vec<Vec<f64>>,
    pub(super) breakpoints: Option<Breakpoints>,
    mark: Option<DecimalMark>,
    turned: bool,
}

/// Why a text does not hold numbers in rows.
#[derive(Clone, Debug, PartialEq, Eq, Error)]
pub enum ClipError {
    /// No text at all.
    #[error("the clipboard holds no numbers; copy cells in a spreadsheet first")]
    Empty,
    /// More than fits any table.
    #[error("{rows} rows × {columns} columns were copied; a table has at most {MAX_BREAKPOINTS} × {MAX_BREAKPOINTS}")]
    TooLarge {
        /// How many rows.
        rows: usize,
        /// How many columns.
        columns: usize,
    },
    /// More text than is looked at.
    #[error("the clipboard holds more than 16 MB of text")]
    TooLong,
    /// The text cannot be split into rows.
    #[error(transparent)]
    Record(#[from] RecordError),
    /// A field that should be a number.
    #[error("{place}: {reason}")]
    Number {
        /// Where.
        place: Place,
        /// Why it is not a number.
        reason: NumberError,
    },
    /// Decimal commas and decimal points in one text.
    #[error("{place}: its decimal mark differs from line {first_line}; copy numbers of one kind")]
    MixedMarks {
        /// Where the second kind is.
        place: Place,
        /// The line with the first kind.
        first_line: usize,
    },
    /// Breakpoints, but no cells beside them.
    #[error("one row or one column holds no breakpoints with cells; copy at least two of each")]
    NoCells,
}

impl Clip {
    /// How many load rows of cells there are.
    pub fn loads(&self) -> usize {
        self.rows.len()
    }

    /// How many speed columns of cells there are.
    pub fn speeds(&self) -> usize {
        self.rows.first().map_or(0, Vec::len)
    }

    /// The breakpoints that came along.
    pub fn breakpoints(&self) -> Option<&Breakpoints> {
        self.breakpoints.as_ref()
    }

    /// The decimal mark, if any number has one.
    pub fn mark(&self) -> Option<DecimalMark> {
        self.mark
    }

    /// Whether the rows came with the highest load first and were reversed.
    pub fn turned(&self) -> bool {
        self.turned
    }
}

/// The size of a block: '1 load × 13 speeds'.
pub(super) fn size(loads: usize, speeds: usize) -> String {
    format!("{} × {}", count(loads, "load"), count(speeds, "speed"))
}

impl fmt::Display for Clip {
    /// What was understood, in words.
    fn fmt(&self, formatter: &mut fmt::Formatter<'_>) -> fmt::Result {
        let with = if self.breakpoints.is_some() { "with" } else { "without" };
        write!(formatter, "{} {with} breakpoints", size(self.loads(), self.speeds()))?;
        match self.mark {
            Some(DecimalMark::Point) => write!(formatter, ", decimal point")?,
            Some(DecimalMark::Comma) => write!(formatter, ", decimal comma")?,
            None => {}
        }
        if self.turned { write!(formatter, ", rows turned: they came highest load first") } else { Ok(()) }
    }
}

/// Reads tab-separated numbers; `table` is what they would be pasted into.
///
/// A first field that is blank or text means that there are breakpoints. If it is a number, the first row and column
/// are breakpoints if some number would be out of range as a cell and they run as axes do: speeds ascending, loads
/// ascending or descending.
///
/// # Errors
/// [`ClipError`] naming the first field that makes no sense.
pub fn read_clip(text: &str, table: &Table, answers: &Answers) -> Result<Clipping, ClipError> {
    let grid = Grid::split(text)?;
    let (mark, proven) = match grid.find_mark(answers.mark)? {
        Mark::Known { mark, proven } => (mark, proven),
        Mark::Ask(question) => return Ok(question),
    };
    let mut rows = grid.numbers(mark)?;
    let Some(with_breakpoints) = answers.breakpoints.or_else(|| grid.has_breakpoints(&rows, table)) else {
        return Ok(Clipping::AskBreakpoints);
    };
    if !with_breakpoints {
        grid.check_corner()?;
        let turned = answers.loads == LoadOrder::Down && rows.len() > 1;
        if turned {
            rows.reverse();
        }
        return Ok(Clipping::Ready(Clip { rows, breakpoints: None, mark: proven, turned }));
    }
    if !grid.has_room_for_breakpoints() {
        return Err(ClipError::NoCells);
    }
    Ok(Clipping::Ready(take_breakpoints(rows, proven)))
}

fn take_breakpoints(mut rows: Vec<Vec<f64>>, mark: Option<DecimalMark>) -> Clip {
    let mut load: Vec<f64> = rows.iter().skip(1).filter_map(|row| row.first().copied()).collect();
    let mut tails = rows.drain(..).map(|row| row.into_iter().skip(1).collect::<Vec<_>>());
    let speed = tails.next().unwrap_or_default();
    let mut cells: Vec<Vec<f64>> = tails.collect();
    let turned = load.len() > 1 && load.is_sorted_by(|before, after| before > after);
    if turned {
        load.reverse();
        cells.reverse();
    }
    Clip { rows: cells, breakpoints: Some(Breakpoints { speed, load }), mark, turned }
}

/// The fields of a text, the same number in each row.
struct Grid {
    records: Vec<Record>,
    columns: usize,
}

enum Mark {
    Known { mark: DecimalMark, proven: Option<DecimalMark> },
    Ask(Clipping),
}

impl Grid {
    fn split(text: &str) -> Result<Self, ClipError> {
        if text.len() > MAX_FILE_BYTES {
            return Err(ClipError::TooLong);
        }
        let mut records = split(text.strip_prefix('\u{feff}').unwrap_or(text), Separator::Tab)?;
        records.iter_mut().for_each(|record| record.trim_to(1));
        let columns = records.iter().map(|record| record.fields.len()).max().ok_or(ClipError::Empty)?;
        let rows = records.len();
        if rows > MAX_BREAKPOINTS + 1 || columns > MAX_BREAKPOINTS + 1 {
            return Err(ClipError::TooLarge { rows, columns });
        }
        check_gaps(&records)?;
        Ok(Self { records, columns })
    }

    fn text(&self, row: usize, column: usize) -> &str {
        self.records.get(row).and_then(|record| record.fields.get(column)).map_or("", String::as_str)
    }

    fn place(&self, row: usize, column: usize) -> Place {
        let line = self.records.get(row).map_or(row + 1, |record| record.line_of(column));
        Place { line, column: column + 1, text: self.text(row, column).to_owned() }
    }

    fn fields(&self) -> impl Iterator<Item = (usize, usize)> + use<> {
        let columns = self.columns;
        (0..self.records.len()).flat_map(move |row| (0..columns).map(move |column| (row, column)))
    }

    fn has_room_for_breakpoints(&self) -> bool {
        self.records.len() > 1 && self.columns > 1
    }

    /// Whether a field may be anything but a number: the corner beside breakpoints, blank or text.
    fn is_free_corner(&self, row: usize, column: usize) -> bool {
        (row, column) == (0, 0) && self.has_room_for_breakpoints() && read_number(self.text(0, 0)).is_err()
    }

    fn check_corner(&self) -> Result<(), ClipError> {
        match read_number(self.text(0, 0)) {
            Ok(_) => Ok(()),
            Err(reason) => Err(ClipError::Number { place: self.place(0, 0), reason }),
        }
    }

    /// The decimal mark: the one that the user named, or the one that some number proves.
    fn find_mark(&self, named: Option<DecimalMark>) -> Result<Mark, ClipError> {
        if let Some(mark) = named {
            return Ok(Mark::Known { mark, proven: named });
        }
        let mut proven: Option<(DecimalMark, usize)> = None;
        let mut question = None;
        for (row, column) in self.fields().filter(|&(row, column)| !self.is_free_corner(row, column)) {
            let place = || self.place(row, column);
            let reading =
                read_number(self.text(row, column)).map_err(|reason| ClipError::Number { place: place(), reason })?;
            match reading {
                Reading::Parsed { mark: Some(mark), .. } => {
                    let (first, first_line) = *proven.get_or_insert_with(|| (mark, place().line));
                    if first != mark {
                        return Err(ClipError::MixedMarks { place: place(), first_line });
                    }
                }
                Reading::Ambiguous { point, comma } if question.is_none() => {
                    question = Some(Clipping::AskMark { place: place(), point, comma });
                }
                _ => {}
            }
        }
        let proven = proven.map(|(mark, _)| mark);
        match question {
            Some(question) if proven.is_none() => Ok(Mark::Ask(question)),
            _ => Ok(Mark::Known { mark: proven.unwrap_or(DecimalMark::Point), proven }),
        }
    }

    /// All numbers; a corner without one counts as zero.
    fn numbers(&self, mark: DecimalMark) -> Result<Vec<Vec<f64>>, ClipError> {
        let number = |row, column| {
            if self.is_free_corner(row, column) {
                return Ok(0.0);
            }
            parse_number(self.text(row, column), mark, Thousands::BlankOrMark)
                .map_err(|reason| ClipError::Number { place: self.place(row, column), reason })
        };
        (0..self.records.len()).map(|row| (0..self.columns).map(|column| number(row, column)).collect()).collect()
    }

    /// Whether the first row and column are breakpoints; `None` if that cannot be told.
    fn has_breakpoints(&self, rows: &[Vec<f64>], table: &Table) -> Option<bool> {
        if !self.has_room_for_breakpoints() {
            return Some(false);
        }
        if self.is_free_corner(0, 0) {
            return Some(true);
        }
        let inside = |value: f64, (low, high): (f64, f64)| (low..=high).contains(&value);
        let (speed, load) = edges(rows);
        if !rows.iter().flatten().all(|&value| inside(value, ADVANCE_RANGE_DEG)) {
            let speeds_fit = ascends(&speed) && speed.iter().all(|&value| inside(value, SPEED_RANGE_RPM));
            return Some(speeds_fit && (ascends(&load) || descends(&load)));
        }
        let mut upward = load;
        if descends(&upward) {
            upward.reverse();
        }
        let known = find_run(table.speed(), &speed).is_some() && find_run(table.load(), &upward).is_some();
        if known { None } else { Some(false) }
    }
}

/// Refuses empty lines between others: they are missing numbers.
fn check_gaps(records: &[Record]) -> Result<(), ClipError> {
    let mut next_line = 1;
    for record in records {
        if record.line != next_line {
            let place = Place { line: next_line, column: 1, text: String::new() };
            return Err(ClipError::Number { place, reason: NumberError::Missing });
        }
        next_line = record.last_line() + 1;
    }
    Ok(())
}

/// The first row and the first column, without the corner.
fn edges(rows: &[Vec<f64>]) -> (Vec<f64>, Vec<f64>) {
    let top = rows.first().map(|row| row.iter().skip(1).copied().collect()).unwrap_or_default();
    let side = rows.iter().skip(1).filter_map(|row| row.first().copied()).collect();
    (top, side)
}

fn ascends(values: &[f64]) -> bool {
    values.is_sorted_by(|before, after| before < after)
}

fn descends(values: &[f64]) -> bool {
    values.len() > 1 && values.is_sorted_by(|before, after| before > after)
}

/// Where the values occur on an axis as consecutive breakpoints: the index of the first.
pub(super) fn find_run(axis: &Axis, values: &[f64]) -> Option<usize> {
    let start = axis.index_of(*values.first()?)?;
    let run = axis.breakpoints().get(start..start.checked_add(values.len())?)?;
    (run == values).then_some(start)
}
