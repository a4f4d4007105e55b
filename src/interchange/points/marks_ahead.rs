//! The decimal mark of a stream: found in its first rows, for there is no second look at a stream.

use std::io::Read;

use super::evaluator::Evaluator;
use super::rows::Rows;
use super::{Chunks, PointsFault, StreamError};
use crate::interchange::lines::{Separator, count_breaks};
use crate::interchange::marks::{AskMark, MarkSearch, Numbers};
use crate::interchange::number::DecimalMark;
use crate::interchange::table_file::{Place, shown};

/// So many bytes are looked at, and held until their turn.
const LOOKED_AT_BYTES: usize = 16 << 20;

impl<R: Read> Chunks<R> {
    /// The rows of a stream: its columns from the first row, and how its numbers are read. That is by `mark` where the user
    /// named it, the other mark then parting thousands; else by the first numbers that tell it. To be taken once, before
    /// any chunk.
    ///
    /// # Errors
    /// [`StreamError`] when the columns are not there, or marks may part thousands or decimals and no number of the first
    /// 16 MB tells which.
    pub fn rows<E: Evaluator>(&mut self, evaluator: E, mark: Option<DecimalMark>) -> Result<Rows<E>, StreamError> {
        let header = self.header()?;
        let rows = Rows::new(&header, evaluator)?;
        let separator = Separator::of_first_row(&header);
        if let Some(mark) = mark {
            return Ok(rows.reading(Numbers::Named(mark, separator)));
        }
        let numbers = self.look_ahead(&rows, separator, count_breaks(&header))?;
        Ok(rows.reading(numbers))
    }

    fn look_ahead<E: Evaluator>(
        &mut self,
        rows: &Rows<E>,
        separator: Separator,
        mut lines: usize,
    ) -> Result<Numbers, StreamError> {
        let mut looked_at = 0;
        let mut search = MarkSearch::new(separator);
        while looked_at < LOOKED_AT_BYTES {
            let mut chunk = Vec::new();
            match self.read_into(&mut chunk) {
                Ok(true) => {}
                Ok(false) => break,
                // The rows before it have their turn first.
                Err(error) => {
                    self.ahead.push_back(Err(error));
                    break;
                }
            }
            let mut found = None;
            let is_whole = rows.each_number(&chunk, |text, column, line| {
                let place = || Place { line: lines + line, column: column + 1, text: text.to_owned() };
                found = search.look(text, place);
                found.is_none()
            });
            lines += count_breaks(&chunk);
            looked_at += chunk.len();
            self.ahead.push_back(Ok(chunk));
            if let Some(found) = found {
                return Ok(found);
            }
            // A row that is none ends the job when its turn comes, whatever stands after it.
            if !is_whole {
                break;
            }
        }
        search.end().map_err(|AskMark { place, .. }| {
            let column = rows.column_name(place.column.saturating_sub(1)).to_owned();
            PointsFault::AskMark { column, text: shown(&place.text) }.on(place.line).into()
        })
    }
}
