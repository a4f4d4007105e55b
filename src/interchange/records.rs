//! From the bytes of a file to text, and from text to rows of fields, each row knowing its line: the same for every
//! kind of delimited text.

use std::borrow::Cow;

use thiserror::Error;

use super::lines::{Quoting, Separator, count_breaks, unguarded};

/// Why a file is not delimited text. None of it is used.
#[derive(Clone, Debug, PartialEq, Eq, Error)]
pub enum DelimitedError {
    /// The file is too large.
    #[error("the file has {bytes} bytes; {whose} at most {most_bytes} ({} MB)", .most_bytes / (1024 * 1024))]
    TooLarge {
        /// Its size.
        bytes: usize,
        /// The largest size of such a file: whole megabytes.
        most_bytes: usize,
        /// Whose size that is, to begin a clause: 'a run has'.
        whose: &'static str,
    },
    /// The bytes are not text.
    #[error(transparent)]
    Decode(#[from] DecodeError),
    /// The text cannot be split into rows.
    #[error(transparent)]
    Record(#[from] RecordError),
}

/// The rows of a file, and what separates their fields, as the first row tells. Larger files than `most_bytes` are
/// refused; `whose` is as in [`DelimitedError::TooLarge`].
pub(super) fn read_records(
    bytes: &[u8],
    most_bytes: usize,
    whose: &'static str,
) -> Result<(Separator, Vec<Record>), DelimitedError> {
    if bytes.len() > most_bytes {
        return Err(DelimitedError::TooLarge { bytes: bytes.len(), most_bytes, whose });
    }
    let text = decode(bytes)?;
    let separator = Separator::of_first_row(text.as_bytes());
    Ok((separator, split(&text, separator)?))
}

/// One row of fields, quotes removed.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct Record {
    /// The line it begins on, counted from 1.
    pub(super) line: usize,
    /// Its fields; at least one.
    pub(super) fields: Vec<String>,
}

/// Why a text cannot be split into rows.
#[derive(Clone, Debug, PartialEq, Eq, Error)]
pub enum RecordError {
    /// A quote that is never closed.
    #[error("line {line}: a quote is opened here and never closed")]
    OpenQuote {
        /// Where it opens, counted from 1.
        line: usize,
    },
    /// Text after a closing quote.
    #[error("line {line}: text stands after a closing quote; a quote inside quotes is written twice")]
    AfterQuote {
        /// Which line, counted from 1.
        line: usize,
    },
    /// The CSV library refused it.
    #[error("line {line}: the row cannot be read")]
    Unreadable {
        /// Which line, counted from 1.
        line: usize,
    },
}

impl Record {
    /// The text of a field; empty if there is no such field.
    pub(super) fn text(&self, field: usize) -> &str {
        self.fields.get(field).map_or("", String::as_str)
    }

    /// The line on which a field begins.
    pub(super) fn line_of(&self, field: usize) -> usize {
        let before = self.fields.iter().take(field);
        self.line + before.map(|text| count_breaks(text.as_bytes())).sum::<usize>()
    }

    /// The line on which the row ends.
    pub(super) fn last_line(&self) -> usize {
        self.line_of(self.fields.len())
    }

    /// Whether every field is blank.
    pub(super) fn is_blank(&self) -> bool {
        self.fields.iter().all(|field| is_blank(field))
    }

    /// Removes blank fields from the end, but keeps at least `least` fields.
    pub(super) fn trim_to(&mut self, least: usize) {
        while self.fields.len() > least && self.fields.last().is_some_and(|field| is_blank(field)) {
            self.fields.pop();
        }
    }
}

fn is_blank(field: &str) -> bool {
    field.trim().is_empty()
}

/// Splits by RFC 4180, where rows may end with LF, CR LF or CR. Lines without any text are dropped, and so are
/// blank rows at the end.
pub(super) fn split(text: &str, separator: Separator) -> Result<Vec<Record>, RecordError> {
    check_quotes(text.as_bytes(), separator)?;
    let mut reader = csv::ReaderBuilder::new()
        .has_headers(false)
        .flexible(true)
        .delimiter(separator.byte())
        .from_reader(text.as_bytes());
    let mut records: Vec<Record> = Vec::new();
    let mut row = csv::StringRecord::new();
    let mut lines = LineCounter { bytes: text.as_bytes(), counted: 0, line: 1 };
    loop {
        let line = lines.line_of_row_at(usize::try_from(reader.position().byte()).unwrap_or(usize::MAX));
        if !reader.read_record(&mut row).map_err(|_| RecordError::Unreadable { line })? {
            break;
        }
        records.push(Record { line, fields: row.iter().map(|field| unguarded(field).to_owned()).collect() });
    }
    while records.last().is_some_and(Record::is_blank) {
        records.pop();
    }
    Ok(records)
}

/// Continues counting from row to row, so that the text is scanned only once.
struct LineCounter<'a> {
    bytes: &'a [u8],
    counted: usize,
    line: usize,
}

impl LineCounter<'_> {
    /// The line of the row that begins at `offset` or, after empty lines, behind it.
    fn line_of_row_at(&mut self, offset: usize) -> usize {
        let rest = self.bytes.get(offset..).unwrap_or_default();
        let empty = rest.iter().take_while(|byte| matches!(byte, b'\r' | b'\n')).count();
        let end = self.bytes.len().min(offset.saturating_add(empty));
        self.line += count_breaks(self.bytes.get(self.counted..end).unwrap_or_default());
        self.counted = end;
        self.line
    }
}

fn check_quotes(bytes: &[u8], separator: Separator) -> Result<(), RecordError> {
    if !bytes.contains(&b'"') {
        return Ok(());
    }
    let mut state = Quoting::FieldStart;
    let mut opened = 0;
    for (at, &byte) in bytes.iter().enumerate() {
        let next = state.after(byte, byte == separator.byte());
        if state == Quoting::FieldStart && next == Quoting::Quoted {
            opened = at;
        }
        if next == Quoting::Astray {
            return Err(RecordError::AfterQuote { line: line_at(bytes, at) });
        }
        state = next;
    }
    if state == Quoting::Quoted { Err(RecordError::OpenQuote { line: line_at(bytes, opened) }) } else { Ok(()) }
}

fn line_at(bytes: &[u8], offset: usize) -> usize {
    count_breaks(bytes.get(..offset).unwrap_or(bytes)) + 1
}

/// Why bytes are not text.
#[derive(Clone, Debug, PartialEq, Eq, Error)]
pub enum DecodeError {
    /// A byte that is not valid UTF-8 in its place.
    #[error(
        "line {line}: byte {byte:#04x} is not valid UTF-8; save the file as UTF-8, or as UTF-16 with a byte-order mark"
    )]
    Utf8 {
        /// Which line, counted from 1.
        line: usize,
        /// The byte.
        byte: u8,
    },
    /// A NUL character, which no text has: UTF-16 without a byte-order mark.
    #[error(
        "line {line}: a NUL byte stands there: the file is no text, or UTF-16 without a byte-order mark; save it as UTF-8"
    )]
    Nul {
        /// Which line, counted from 1.
        line: usize,
    },
    /// Half of a surrogate pair.
    #[error("line {line}: {unit:#06x} is half of a UTF-16 pair; save the file as UTF-8")]
    Utf16 {
        /// Which line, counted from 1.
        line: usize,
        /// The lone code unit.
        unit: u16,
    },
    /// An odd number of bytes after a UTF-16 byte-order mark.
    #[error("line {line}: the UTF-16 text ends in the middle of a character; the file may have been cut off")]
    OddLength {
        /// The last line, counted from 1.
        line: usize,
    },
}

/// Reads UTF-8 with or without a byte-order mark, or UTF-16 in either byte order with one. The mark itself is
/// dropped.
///
/// # Errors
/// [`DecodeError`] naming the line of the first invalid sequence.
pub fn decode(bytes: &[u8]) -> Result<Cow<'_, str>, DecodeError> {
    match bytes {
        [0xff, 0xfe, rest @ ..] => decode_utf16(rest, u16::from_le_bytes).map(Cow::Owned),
        [0xfe, 0xff, rest @ ..] => decode_utf16(rest, u16::from_be_bytes).map(Cow::Owned),
        [0xef, 0xbb, 0xbf, rest @ ..] => decode_utf8(rest).map(Cow::Borrowed),
        _ => decode_utf8(bytes).map(Cow::Borrowed),
    }
}

fn decode_utf8(bytes: &[u8]) -> Result<&str, DecodeError> {
    let text = std::str::from_utf8(bytes).map_err(|error| {
        let (valid, rest) = bytes.split_at(error.valid_up_to());
        DecodeError::Utf8 { line: count_breaks(valid) + 1, byte: rest.first().copied().unwrap_or(0) }
    })?;
    match text.split_once('\0') {
        Some((before, _)) => Err(DecodeError::Nul { line: count_breaks(before.as_bytes()) + 1 }),
        None => Ok(text),
    }
}

fn decode_utf16(bytes: &[u8], unit: fn([u8; 2]) -> u16) -> Result<String, DecodeError> {
    let (pairs, odd) = bytes.as_chunks::<2>();
    let mut text = String::with_capacity(bytes.len());
    for character in char::decode_utf16(pairs.iter().map(|&pair| unit(pair))) {
        let character = character.map_err(|error| DecodeError::Utf16 {
            line: count_breaks(text.as_bytes()) + 1,
            unit: error.unpaired_surrogate(),
        })?;
        text.push(character);
    }
    if !odd.is_empty() {
        return Err(DecodeError::OddLength { line: count_breaks(text.as_bytes()) + 1 });
    }
    Ok(text)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn fields(text: &str) -> Vec<(usize, Vec<String>)> {
        split(text, Separator::Comma).unwrap().into_iter().map(|record| (record.line, record.fields)).collect()
    }

    fn row(line: usize, fields: &[&str]) -> (usize, Vec<String>) {
        (line, fields.iter().map(|&field| field.to_owned()).collect())
    }

    /// The seven rules of RFC 4180, "Common Format and MIME Type for CSV Files", IETF, 2005, section 2, each with an example
    /// of its own.
    #[test]
    fn follows_rfc_4180() {
        assert_eq!(fields("a,b\r\nc,d\r\n"), [row(1, &["a", "b"]), row(2, &["c", "d"])]);
        assert_eq!(fields("a,b\r\nc,d"), [row(1, &["a", "b"]), row(2, &["c", "d"])]);
        assert_eq!(fields("a, b ,\r\n"), [row(1, &["a", " b ", ""])]);
        assert_eq!(fields("\"a\",b\r\n"), [row(1, &["a", "b"])]);
        assert_eq!(fields("\"a\r\nb\",\"c,d\"\r\ne,f"), [row(1, &["a\r\nb", "c,d"]), row(3, &["e", "f"])]);
        assert_eq!(fields("\"a\"\"b\",\"\"\r\n"), [row(1, &["a\"b", ""])]);
    }

    #[test]
    fn lines_are_right_for_every_line_end() {
        for end in ["\n", "\r\n", "\r"] {
            let text = ["a,b", "\"x", "y\",c", "", "d,\"e", "", "f\"", ",", ""].join(end);
            let records = split(&text, Separator::Comma).unwrap();
            assert_eq!(records.iter().map(|record| record.line).collect::<Vec<_>>(), [1, 2, 5], "{end:?}");
            assert_eq!(records[1].line_of(1), 3);
            assert_eq!(records[2].last_line(), 7);
        }
    }

    #[test]
    fn quotes_gone_wrong_are_named_by_line() {
        let error = |text| split(text, Separator::Comma).unwrap_err();
        assert_eq!(error("a\nb,\"c\nd\n"), RecordError::OpenQuote { line: 2 });
        assert_eq!(error("a\n\"b\"c\n"), RecordError::AfterQuote { line: 2 });
        assert_eq!(fields("2\" bore,1"), [row(1, &["2\" bore", "1"])]);
    }

    fn utf16(text: &str, order: fn(u16) -> [u8; 2]) -> Vec<u8> {
        std::iter::once(0xfeff).chain(text.encode_utf16()).flat_map(order).collect()
    }

    #[test]
    fn reads_every_encoding_to_the_same_text() {
        let text = "load;800\r\n20;\u{2212}1,5 \u{1d11e}";
        assert_eq!(decode(text.as_bytes()).unwrap(), text);
        assert_eq!(decode(format!("\u{feff}{text}").as_bytes()).unwrap(), text);
        assert_eq!(decode(&utf16(text, u16::to_le_bytes)).unwrap(), text);
        assert_eq!(decode(&utf16(text, u16::to_be_bytes)).unwrap(), text);
        assert_eq!(decode(b"").unwrap(), "");
    }

    #[test]
    fn names_the_line_of_what_is_invalid() {
        assert_eq!(decode(b"a\0\n\0b\0"), Err(DecodeError::Nul { line: 1 }));
        assert_eq!(decode(b"a\r\nb\rc\xff"), Err(DecodeError::Utf8 { line: 3, byte: 0xff }));
        let mut bytes = utf16("a\nb", u16::to_le_bytes);
        bytes.push(0x20);
        assert_eq!(decode(&bytes), Err(DecodeError::OddLength { line: 2 }));
        bytes.push(0xd8);
        assert_eq!(decode(&bytes), Err(DecodeError::Utf16 { line: 2, unit: 0xd820 }));
    }
}
