//! Appends fields to the rows of one chunk; a chunk with quotes in it takes a slower path.

use super::fast_number::plain_number;
use super::{Evaluator, Fields, PointsError, PointsFault, Refusal};
use crate::interchange::lines::{Quoting, Separator, count_breaks};
use crate::interchange::marks::{FieldFault, Numbers};
use crate::interchange::number::DecimalMark;
use crate::interchange::records::{RecordError, split};
use crate::interchange::table_file::shown;
use crate::wording::shortest;

/// The most columns that an evaluator reads.
const MOST_INPUTS: usize = 16;

/// The numbers of one row.
pub(super) type Values = [Option<f64>; MOST_INPUTS];

/// What processing a chunk gave.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Processed {
    /// How many lines it has.
    pub lines: usize,
    /// How many rows were computed.
    pub rows: usize,
}

/// Knows the columns of a file and computes its rows, chunk by chunk.
#[derive(Clone, Debug)]
pub struct Rows<E> {
    evaluator: E,
    /// How to read numbers that are not plain digits with a point.
    numbers: Numbers,
    /// Whether plain digits with a point may be read directly, because the point is the decimal mark.
    reads_points: bool,
    pub(super) separator: u8,
    /// For each column of the file, the index of its input, if it is one.
    pub(super) columns: Vec<Option<u8>>,
    header: Vec<u8>,
}

impl<E: Evaluator> Rows<E> {
    /// Finds the columns in the first row, given as it is in the file, in UTF-8. The decimal mark is a point
    /// unless `reading` says otherwise.
    ///
    /// # Errors
    /// [`PointsError`] if a column is missing, occurs twice, or would be appended although it exists.
    pub fn new(header: &[u8], evaluator: E) -> Result<Self, PointsError> {
        let bare = header.strip_prefix(b"\xef\xbb\xbf").unwrap_or(header);
        let separator = Separator::of_first_row(bare);
        let names = names(bare, separator)?;
        let mut columns = vec![None; names.len()];
        for (index, input) in evaluator.inputs().iter().take(MOST_INPUTS).enumerate() {
            if let Some(column) = find(&names, input.name, input.required)?.and_then(|at| columns.get_mut(at)) {
                *column = u8::try_from(index).ok();
            }
        }
        if let Some(&name) = evaluator.outputs().iter().find(|&&output| names.iter().any(|name| name == output)) {
            return Err(PointsFault::TakenColumn { name }.on(1));
        }
        let end = header.iter().rposition(|byte| !matches!(byte, b'\r' | b'\n')).map_or(0, |last| last + 1);
        let (row, line_end) = header.split_at(end);
        let mut extended = row.to_vec();
        let mut fields = Fields { out: &mut extended, separator: separator.byte() };
        evaluator.outputs().iter().for_each(|name| fields.text(name));
        extended.extend_from_slice(line_end);
        let (numbers, separator) = (Numbers::Point, separator.byte());
        Ok(Self { evaluator, numbers, reads_points: true, separator, columns, header: extended })
    }

    /// The same rows with their numbers read in this way.
    pub(super) fn reading(self, numbers: Numbers) -> Self {
        let reads_points = matches!(numbers.mark(), Some(DecimalMark::Point));
        Self { numbers, reads_points, ..self }
    }

    /// The first row with the appended names.
    pub fn header(&self) -> &[u8] {
        &self.header
    }

    /// Appends the rows of a chunk to `out`, each with its computed fields; everything else stays byte for
    /// byte. Empty lines stay empty. A chunk begins and ends between rows, as [`super::Chunks`] makes them.
    ///
    /// # Errors
    /// [`PointsError`] with the line counted from the chunk's first; `out` is then unchanged.
    pub fn process(&self, chunk: &[u8], out: &mut Vec<u8>) -> Result<Processed, PointsError> {
        let before = out.len();
        let result = if chunk.contains(&b'"') { self.quoted_rows(chunk, out) } else { self.plain_rows(chunk, out) };
        if result.is_err() {
            out.truncate(before);
        }
        result
    }

    fn plain_rows(&self, chunk: &[u8], out: &mut Vec<u8>) -> Result<Processed, PointsError> {
        let mut values = [None; MOST_INPUTS];
        let mut done = Processed::default();
        let mut rest = chunk;
        while !rest.is_empty() {
            let line = done.lines + 1;
            let end = self.read_plain_row(rest, &mut values).map_err(|fault| fault.on(line))?;
            let (row, from_break) = rest.split_at(end);
            let (line_end, next) = from_break.split_at(break_length(from_break));
            done.rows += self.finish(row, line_end, &values, out).map_err(|fault| fault.on(line))?;
            done.lines = line;
            rest = next;
        }
        Ok(done)
    }

    /// Reads the numbers of the first row; returns where the row ends.
    #[inline]
    fn read_plain_row(&self, rest: &[u8], values: &mut Values) -> Result<usize, PointsFault> {
        if rest.first().is_some_and(|&byte| is_break(byte)) {
            return Ok(0);
        }
        let mut at = 0;
        for (column, input) in self.columns.iter().enumerate() {
            let field = rest.get(at..).unwrap_or_default();
            let end = at + self.read_plain_field(field, *input, values)?;
            let more = rest.get(end) == Some(&self.separator);
            if !more && column + 1 == self.columns.len() {
                return Ok(end);
            }
            if !more {
                break;
            }
            at = end + 1;
        }
        Err(self.field_count(rest))
    }

    #[inline]
    fn read_plain_field(&self, rest: &[u8], input: Option<u8>, values: &mut Values) -> Result<usize, PointsFault> {
        let Some(input) = input.map(usize::from) else {
            return Ok(self.field_end(rest));
        };
        // If the point is not the decimal mark, digits with a point are thousands, or wrong.
        if let Some((value, end)) = plain_number(rest)
            && (self.reads_points || !rest.get(..end).unwrap_or_default().contains(&b'.'))
            && rest.get(end).is_none_or(|&byte| byte == self.separator || is_break(byte))
        {
            values[input] = Some(value);
            return Ok(end);
        }
        let end = self.field_end(rest);
        values[input] = self.odd_number(rest.get(..end).unwrap_or_default(), input)?;
        Ok(end)
    }

    #[inline]
    fn field_end(&self, rest: &[u8]) -> usize {
        rest.iter().position(|&byte| byte == self.separator || is_break(byte)).unwrap_or(rest.len())
    }

    #[cold]
    fn field_count(&self, rest: &[u8]) -> PointsFault {
        let row = rest.split(|&byte| is_break(byte)).next().unwrap_or_default();
        let given = row.split(|&byte| byte == self.separator).count();
        PointsFault::FieldCount { given, wanted: self.columns.len() }
    }

    /// A number in any form that files may have; `None` if an optional field is empty.
    pub(super) fn odd_number(&self, field: &[u8], input: usize) -> Result<Option<f64>, PointsFault> {
        let text = String::from_utf8_lossy(field);
        let is_required = self.evaluator.inputs().get(input).is_none_or(|input| input.required);
        if !is_required && text.trim().is_empty() {
            return Ok(None);
        }
        self.numbers.read(&text).map(Some).map_err(|reason| self.no_number(&text, input, reason))
    }

    fn no_number(&self, text: &str, input: usize, reason: FieldFault) -> PointsFault {
        PointsFault::Number { column: self.input_name(input), text: shown(text), reason }
    }

    /// The name of a column that is read.
    pub(super) fn column_name(&self, column: usize) -> &'static str {
        let input = self.columns.get(column).copied().flatten();
        input.map_or("", |input| self.input_name(usize::from(input)))
    }

    fn input_name(&self, input: usize) -> &'static str {
        self.evaluator.inputs().get(input).map_or("", |input| input.name)
    }

    /// Writes one row with its appended fields; returns 1, or 0 for an empty line.
    #[inline]
    pub(super) fn finish(
        &self,
        row: &[u8],
        line_end: &[u8],
        values: &Values,
        out: &mut Vec<u8>,
    ) -> Result<usize, PointsFault> {
        out.extend_from_slice(row);
        if !row.is_empty() {
            let mut fields = Fields { out, separator: self.separator };
            self.evaluator.evaluate(values, &mut fields).map_err(|refusal| self.refused(refusal, values))?;
        }
        out.extend_from_slice(line_end);
        Ok(usize::from(!row.is_empty()))
    }

    #[cold]
    fn refused(&self, Refusal { input, allowed }: Refusal, values: &Values) -> PointsFault {
        let value = values.get(input).copied().flatten();
        PointsFault::Refused { column: self.input_name(input), text: value.map_or_else(String::new, shortest), allowed }
    }
}

#[inline]
pub(super) fn is_break(byte: u8) -> bool {
    matches!(byte, b'\n' | b'\r')
}

/// How many bytes the line break at the start takes.
#[inline]
pub(super) fn break_length(bytes: &[u8]) -> usize {
    match bytes {
        [b'\r', b'\n', ..] => 2,
        [b'\r' | b'\n', ..] => 1,
        _ => 0,
    }
}

fn names(header: &[u8], separator: Separator) -> Result<Vec<String>, PointsError> {
    let text = String::from_utf8_lossy(header);
    let records = split(&text, separator).map_err(|error| match error {
        RecordError::AfterQuote { line } => PointsFault::AfterQuote.on(line),
        RecordError::OpenQuote { line } | RecordError::Unreadable { line } => PointsFault::OpenQuote.on(line),
    })?;
    let first = records.into_iter().next().ok_or(PointsFault::NoHeader.on(1))?;
    Ok(first.fields.into_iter().map(|name| name.trim().to_owned()).collect())
}

fn find(names: &[String], name: &'static str, required: bool) -> Result<Option<usize>, PointsError> {
    let mut places = names.iter().enumerate().filter(|(_, found)| *found == name).map(|(at, _)| at);
    let first = places.next();
    if places.next().is_some() {
        return Err(PointsFault::RepeatedColumn { name }.on(1));
    }
    if first.is_none() && required {
        return Err(PointsFault::MissingColumn { name, found: names.join(", ") }.on(1));
    }
    Ok(first)
}

impl<E: Evaluator> Rows<E> {
    pub(super) fn quoted_rows(&self, chunk: &[u8], out: &mut Vec<u8>) -> Result<Processed, PointsError> {
        let mut values = Values::default();
        let mut done = Processed::default();
        let mut rest = chunk;
        while !rest.is_empty() {
            let end = self.read_quoted_row(rest, done.lines + 1, &mut values)?;
            let (row, from_break) = rest.split_at(end);
            let (line_end, next) = from_break.split_at(break_length(from_break));
            let fault_on = |fault: PointsFault| fault.on(done.lines + 1);
            let rows = self.finish(row, line_end, &values, out).map_err(fault_on)?;
            done.rows += rows;
            done.lines += count_breaks(row) + 1;
            rest = next;
        }
        Ok(done)
    }

    /// Reads the numbers of the first row, which begins on `line`; returns where the row ends.
    fn read_quoted_row(&self, rest: &[u8], line: usize, values: &mut Values) -> Result<usize, PointsError> {
        let (mut at, mut column) = (0, 0);
        let line_at = |at: usize| line + count_breaks(rest.get(..at).unwrap_or_default());
        loop {
            let end = self.quoted_field_end(rest, at).map_err(|fault| fault.on(line_at(at)))?;
            if end == 0 && break_length(rest) > 0 {
                return Ok(0);
            }
            if let Some(Some(input)) = self.columns.get(column) {
                let field = unquoted(rest.get(at..end).unwrap_or_default());
                let number = self.odd_number(field, usize::from(*input));
                values[usize::from(*input)] = number.map_err(|fault| fault.on(line_at(at)))?;
            }
            column += 1;
            if rest.get(end) == Some(&self.separator) {
                at = end + 1;
                continue;
            }
            if column != self.columns.len() {
                let wanted = self.columns.len();
                return Err(PointsFault::FieldCount { given: column, wanted }.on(line));
            }
            return Ok(end);
        }
    }

    /// Passes every number of whole rows to `see`: its text, its column from 0 and its line from 1. Stops when
    /// `see` says so, or at a faulty row; returns whether all were passed.
    pub(super) fn each_number(&self, chunk: &[u8], mut see: impl FnMut(&str, usize, usize) -> bool) -> bool {
        let (mut rest, mut line) = (chunk, 1);
        while !rest.is_empty() {
            let (mut at, mut column) = (0, 0);
            let end = loop {
                let Ok(end) = self.quoted_field_end(rest, at) else {
                    return false;
                };
                if end == 0 && break_length(rest) > 0 {
                    break end;
                }
                if let Some(Some(_)) = self.columns.get(column) {
                    let text = String::from_utf8_lossy(unquoted(rest.get(at..end).unwrap_or_default()));
                    let line = line + count_breaks(rest.get(..at).unwrap_or_default());
                    if !see(&text, column, line) {
                        return false;
                    }
                }
                column += 1;
                if rest.get(end) != Some(&self.separator) {
                    if column != self.columns.len() {
                        return false;
                    }
                    break end;
                }
                at = end + 1;
            };
            let (row, from_break) = rest.split_at(end);
            line += count_breaks(row) + 1;
            rest = from_break.split_at(break_length(from_break)).1;
        }
        true
    }

    fn quoted_field_end(&self, rest: &[u8], start: usize) -> Result<usize, PointsFault> {
        let mut state = Quoting::FieldStart;
        for (at, &byte) in rest.iter().enumerate().skip(start) {
            state = state.after(byte, byte == self.separator);
            match state {
                Quoting::FieldStart => return Ok(at),
                Quoting::Astray => return Err(PointsFault::AfterQuote),
                _ => {}
            }
        }
        if state == Quoting::Quoted { Err(PointsFault::OpenQuote) } else { Ok(rest.len()) }
    }
}

/// The text between the quotes of a quoted field. Doubled quotes are left as they are: no number has one.
fn unquoted(field: &[u8]) -> &[u8] {
    field.strip_prefix(b"\"").and_then(|rest| rest.strip_suffix(b"\"")).unwrap_or(field)
}
