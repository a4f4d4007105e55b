//! The files that flashing tools read: Intel HEX, Motorola S-record, raw binary.
//!
//! Writers give the whole image, fill included, in ascending addresses. [`read_file`] recognises the format by
//! the content and is strict: whatever it accepts is exactly what the file says.

mod error;
mod intel_hex;
#[cfg(test)]
mod mutation;
mod read;
mod s_record;
#[cfg(test)]
mod tests;

use std::fmt::Write;
use std::ops::Range;

use error::shown;

pub use error::{FileError, RecordFault};
pub use intel_hex::intel_hex;
pub use read::{FileFormat, FileWarning, ReadFile, longest_file_bytes, read_file};
pub use s_record::{SRecordFile, SRecordType, s_record};

/// Data bytes in a record of a text file.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum RecordWidth {
    /// 16 bytes.
    Sixteen,
    /// 32 bytes.
    ThirtyTwo,
}

impl RecordWidth {
    /// The number of bytes.
    pub const fn bytes(self) -> usize {
        match self {
            Self::Sixteen => 16,
            Self::ThirtyTwo => 32,
        }
    }
}

/// The data records of a file in the order of the file.
#[derive(Debug, Default)]
struct Pieces {
    bytes: Vec<u8>,
    list: Vec<Piece>,
    /// A line that may be no data at all: the first of an S-record file, where a header with a wrong type digit looks
    /// like data. If it overlaps another, it is the faulty one.
    unsure_line: Option<usize>,
}

#[derive(Debug)]
struct Piece {
    address: u64,
    line: usize,
    bytes: Range<usize>,
}

impl Piece {
    fn end(&self) -> u64 {
        self.address + self.bytes.len() as u64
    }
}

impl Pieces {
    fn push(&mut self, address: u64, line: usize, data: &[u8]) {
        let from = self.bytes.len();
        self.bytes.extend_from_slice(data);
        self.list.push(Piece { address, line, bytes: from..self.bytes.len() });
    }

    /// Puts every byte in its place in an image of `size` bytes from `start`; the rest is `fill`. Returns the
    /// image and the ranges of addresses for which there were no bytes.
    ///
    /// # Errors
    /// [`FileError::Line`] if bytes lie outside the image or are given twice.
    fn place(mut self, start: u32, size: u32, fill: u8) -> Result<(Vec<u8>, Vec<Range<u64>>), FileError> {
        let (start, end) = (u64::from(start), u64::from(start) + u64::from(size));
        for piece in &self.list {
            let outside = if piece.address < start { piece.address } else { piece.address.max(end) };
            if piece.address < start || piece.end() > end {
                return Err(RecordFault::Outside { address: outside, start, end }.at(piece.line));
            }
        }
        self.list.retain(|piece| !piece.bytes.is_empty());
        self.list.sort_by_key(|piece| (piece.address, piece.line));
        let mut image = vec![fill; size as usize];
        let mut gaps = Vec::new();
        let (mut next, mut last_line) = (start, 0);
        for piece in &self.list {
            if piece.address < next {
                let (mut line, mut other) = (piece.line.max(last_line), piece.line.min(last_line));
                if self.unsure_line == Some(other) {
                    (line, other) = (other, line);
                }
                return Err(RecordFault::Overlap { address: piece.address, other }.at(line));
            }
            if piece.address > next {
                gaps.push(next..piece.address);
            }
            (next, last_line) = (piece.end(), piece.line);
            let at = usize::try_from(piece.address - start).unwrap_or(usize::MAX);
            let place = image.get_mut(at..).and_then(|rest| rest.get_mut(..piece.bytes.len()));
            if let (Some(place), Some(bytes)) = (place, self.bytes.get(piece.bytes.clone())) {
                place.copy_from_slice(bytes);
            }
        }
        if next < end {
            gaps.push(next..end);
        }
        Ok((image, gaps))
    }
}

/// The lines of a text, numbered from 1, without their ends (LF, CR LF or CR) and trailing blanks.
fn lines(text: &[u8]) -> impl Iterator<Item = (usize, &[u8])> {
    let unix = text.split(|&byte| byte == b'\n');
    let lines = unix.flat_map(|line| line.strip_suffix(b"\r").unwrap_or(line).split(|&byte| byte == b'\r'));
    lines.enumerate().map(|(index, line)| (index + 1, line.trim_ascii_end()))
}

const fn digit(byte: u8) -> Option<u8> {
    match byte {
        b'0'..=b'9' => Some(byte - b'0'),
        b'A'..=b'F' => Some(byte - b'A' + 10),
        b'a'..=b'f' => Some(byte - b'a' + 10),
        _ => None,
    }
}

/// Turns pairs of digits into bytes. `column` is that of the first digit, from 1. A digit without a partner is
/// ignored here, since the caller compares lengths.
fn decode(digits: &[u8], column: usize, bytes: &mut Vec<u8>) -> Result<(), RecordFault> {
    bytes.clear();
    for (index, byte) in digits.iter().enumerate() {
        let found = || RecordFault::Digit { column: column + index, found: shown(Some(byte)) };
        let value = digit(*byte).ok_or_else(found)?;
        match bytes.last_mut() {
            Some(last) if index % 2 == 1 => *last = *last << 4 | value,
            _ => bytes.push(value),
        }
    }
    if digits.len() % 2 == 1 {
        bytes.pop();
    }
    Ok(())
}

/// Compares the number of digits of a record with the number of bytes that its length field requires.
const fn check_length(digits: usize, expected_bytes: usize) -> Result<(), RecordFault> {
    if digits < expected_bytes * 2 {
        return Err(RecordFault::Short { expected: expected_bytes, found: digits / 2 });
    }
    if digits > expected_bytes * 2 {
        return Err(RecordFault::Long { expected: expected_bytes * 2, found: digits });
    }
    Ok(())
}

/// The low eight bits of the sum of bytes.
fn sum(bytes: &[u8]) -> u8 {
    bytes.iter().fold(0, |sum, byte| sum.wrapping_add(*byte))
}

/// The number whose bytes are given most significant first.
fn big_endian(bytes: &[u8]) -> u32 {
    bytes.iter().fold(0, |number, byte| number << 8 | u32::from(*byte))
}

/// Appends bytes as pairs of upper-case digits.
fn append(text: &mut String, bytes: &[u8]) {
    for byte in bytes {
        // Writing into a string cannot fail.
        let _ = write!(text, "{byte:02X}");
    }
}
