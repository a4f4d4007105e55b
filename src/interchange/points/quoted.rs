//! The slower way through a chunk that has quotes in it.

use super::evaluator::Evaluator;
use super::rows::{Processed, Rows, Values, break_length};
use super::{PointsError, PointsFault};
use crate::interchange::lines::{Quoting, count_breaks};

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

    /// Reads the numbers of the first row, which begins on `line`; gives where it ends.
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

    /// Shows every number of whole rows: its text, its column from 0 and its line from 1. Ends where `see` says so, and at a
    /// row that is none; says whether all were shown.
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

/// What stands between the quotes of a field that has them. A quote written twice stays so: no number has one.
fn unquoted(field: &[u8]) -> &[u8] {
    field.strip_prefix(b"\"").and_then(|rest| rest.strip_suffix(b"\"")).unwrap_or(field)
}
