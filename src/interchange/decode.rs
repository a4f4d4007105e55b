//! From the bytes of a text file to text.

use std::borrow::Cow;

use thiserror::Error;

use super::lines::count_breaks;

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
