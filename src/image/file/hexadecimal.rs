//! Lines and hexadecimal digits.

use std::fmt::Write;

use super::error::{RecordFault, shown};

/// The lines of a text, from 1, without their ends (LF, CR LF or CR) and trailing blanks.
pub(super) fn lines(text: &[u8]) -> impl Iterator<Item = (usize, &[u8])> {
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

/// Turns pairs of digits into bytes. `column` is that of the first digit, from 1. A digit without a partner is left out;
/// the caller compares lengths.
pub(super) fn decode(digits: &[u8], column: usize, bytes: &mut Vec<u8>) -> Result<(), RecordFault> {
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

/// Compares the number of digits of a record with the number of bytes that its length field asks for.
pub(super) const fn check_length(digits: usize, expected_bytes: usize) -> Result<(), RecordFault> {
    if digits < expected_bytes * 2 {
        return Err(RecordFault::Short { expected: expected_bytes, found: digits / 2 });
    }
    if digits > expected_bytes * 2 {
        return Err(RecordFault::Long { expected: expected_bytes * 2, found: digits });
    }
    Ok(())
}

/// The low eight bits of the sum of bytes.
pub(super) fn sum(bytes: &[u8]) -> u8 {
    bytes.iter().fold(0, |sum, byte| sum.wrapping_add(*byte))
}

/// The number whose bytes stand most significant first.
pub(super) fn big_endian(bytes: &[u8]) -> u32 {
    bytes.iter().fold(0, |number, byte| number << 8 | u32::from(*byte))
}

/// Appends bytes as pairs of upper-case digits.
pub(super) fn append(text: &mut String, bytes: &[u8]) {
    for byte in bytes {
        // Writing into a string cannot fail.
        let _ = write!(text, "{byte:02X}");
    }
}
