//! Splits a stream of bytes into chunks that begin and end between rows, and finds its decimal mark in the
//! first rows: a stream cannot be read a second time.

use std::collections::VecDeque;
use std::io::Read;

use super::rows::Rows;
use super::utf16::AsUtf8;
use super::{Evaluator, PointsFault, StreamError};
use crate::interchange::lines::{Quoting, Separator, count_breaks};
use crate::interchange::marks::{AskMark, MarkSearch, Numbers};
use crate::interchange::number::DecimalMark;
use crate::interchange::table_file::{Place, shown};

/// The approximate size of a chunk.
pub const CHUNK_BYTES: usize = 1 << 20;
/// A longer row is refused, so that memory use stays bounded.
pub const MAX_ROW_BYTES: usize = 16 << 20;

/// Splits a stream between rows. UTF-16 with a byte-order mark is converted to UTF-8 with one.
#[derive(Debug)]
pub struct Chunks<R> {
    reader: AsUtf8<R>,
    pending: Vec<u8>,
    /// Chunks that were read ahead, and the error that came after them.
    pub(super) ahead: VecDeque<Result<Vec<u8>, StreamError>>,
    ended: bool,
    size: usize,
    separator: u8,
}

impl<R: Read> Chunks<R> {
    /// Reads chunks of about [`CHUNK_BYTES`].
    pub fn new(reader: R) -> Self {
        Self::with_size(reader, CHUNK_BYTES)
    }

    /// Reads chunks of about `size` bytes, at least one.
    pub fn with_size(reader: R, size: usize) -> Self {
        let (reader, pending, ahead) = (AsUtf8::new(reader), Vec::new(), VecDeque::new());
        Self { reader, pending, ahead, ended: false, size: size.max(1), separator: b',' }
    }

    /// The first row with its line break, as it is in the stream. To be called once, before any chunk is taken.
    ///
    /// # Errors
    /// [`StreamError`] if reading fails or the row does not end within [`MAX_ROW_BYTES`].
    pub fn header(&mut self) -> Result<Vec<u8>, StreamError> {
        let mut header = std::mem::take(&mut self.pending);
        let mut wanted = self.size;
        loop {
            self.read_up_to(wanted, &mut header)?;
            if let Some(end) = first_row_end(&header, self.ended) {
                self.pending = header.split_off(end);
                self.separator = Separator::of_first_row(&header).byte();
                return Ok(header);
            }
            wanted = self.more(header.len())?;
        }
    }

    /// Puts the next complete rows into `chunk`; returns `false` when there are no more.
    ///
    /// # Errors
    /// [`StreamError`] if reading fails or a row does not end within [`MAX_ROW_BYTES`]; its line is counted
    /// from the start of this chunk.
    pub fn next_into(&mut self, chunk: &mut Vec<u8>) -> Result<bool, StreamError> {
        if let Some(looked_at) = self.ahead.pop_front() {
            *chunk = looked_at?;
            return Ok(true);
        }
        self.read_into(chunk)
    }

    pub(super) fn read_into(&mut self, chunk: &mut Vec<u8>) -> Result<bool, StreamError> {
        chunk.clear();
        std::mem::swap(chunk, &mut self.pending);
        let mut wanted = self.size;
        loop {
            self.read_up_to(wanted, chunk)?;
            let end = if self.ended { Some(chunk.len()) } else { last_row_end(chunk, self.separator) };
            if let Some(end) = end {
                self.pending.extend_from_slice(chunk.get(end..).unwrap_or_default());
                chunk.truncate(end);
                return Ok(!chunk.is_empty());
            }
            wanted = self.more(chunk.len())?;
        }
    }

    /// How many bytes to try next if no row ends in the first `tried`.
    fn more(&self, tried: usize) -> Result<usize, StreamError> {
        if tried > MAX_ROW_BYTES {
            return Err(PointsFault::RowTooLong.on(1).into());
        }
        Ok(tried.saturating_mul(2).max(self.size).min(MAX_ROW_BYTES + 1))
    }

    fn read_up_to(&mut self, wanted: usize, bytes: &mut Vec<u8>) -> Result<(), StreamError> {
        let missing = wanted.saturating_sub(bytes.len());
        if missing == 0 || self.ended {
            return Ok(());
        }
        bytes.reserve(missing);
        let limit = u64::try_from(missing).unwrap_or(u64::MAX);
        let read = self.reader.by_ref().take(limit).read_to_end(bytes).map_err(StreamError::Read)?;
        self.ended = read < missing;
        Ok(())
    }
}

/// Where the first row ends, line break included. `None` if more bytes are needed to tell.
fn first_row_end(bytes: &[u8], ended: bool) -> Option<usize> {
    let mark = if bytes.starts_with(b"\xef\xbb\xbf") { 3 } else { 0 };
    let mut state = Quoting::FieldStart;
    for (at, &byte) in bytes.iter().enumerate().skip(mark) {
        state = state.after(byte, matches!(byte, b',' | b';' | b'\t'));
        if state == Quoting::FieldStart && matches!(byte, b'\r' | b'\n') {
            return match (byte, bytes.get(at + 1)) {
                (b'\r', Some(b'\n')) => Some(at + 2),
                (b'\r', None) if !ended => None,
                _ => Some(at + 1),
            };
        }
    }
    ended.then_some(bytes.len())
}

/// Where the last complete row ends, line break included. A CR at the very end may be half of a CR LF and does
/// not count.
fn last_row_end(bytes: &[u8], separator: u8) -> Option<usize> {
    if bytes.contains(&b'"') {
        return last_quoted_row_end(bytes, separator);
    }
    let known = bytes.split_last().map_or(bytes, |(_, known)| known);
    let feed = bytes.iter().rposition(|&byte| byte == b'\n');
    feed.or_else(|| known.iter().rposition(|&byte| byte == b'\r')).map(|at| at + 1)
}

fn last_quoted_row_end(bytes: &[u8], separator: u8) -> Option<usize> {
    let mut state = Quoting::FieldStart;
    let mut last = None;
    for (at, &byte) in bytes.iter().enumerate() {
        state = state.after(byte, byte == separator);
        let ends = match byte {
            b'\n' => true,
            b'\r' => bytes.get(at + 1).is_some_and(|&next| next != b'\n'),
            _ => false,
        };
        if ends && state == Quoting::FieldStart {
            last = Some(at + 1);
        }
    }
    last
}

/// How many bytes are read ahead, and kept until their turn, to find the decimal mark.
const LOOKED_AT_BYTES: usize = 16 << 20;

impl<R: Read> Chunks<R> {
    /// The reader for the rows of a stream: its columns come from the first row. Numbers are read by `mark` if
    /// the user named it (the other mark may then separate thousands), otherwise as the first number shows that
    /// leaves no doubt about its mark. To be called once, before any chunk is taken.
    ///
    /// # Errors
    /// [`StreamError`] if columns are missing, or if marks may separate thousands or decimals and no number in
    /// the first 16 MB tells which.
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
                // The error is reported after the rows before it.
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
            // A faulty row ends the job when it is processed, so nothing after it matters.
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
