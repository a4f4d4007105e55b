//! Converts a stream of UTF-16 to UTF-8 as it comes.

use std::io::{self, ErrorKind, Read};

/// How many bytes are requested from the stream at once.
const BLOCK_BYTES: usize = 1 << 16;

/// Passes a stream on as it is, or converted to UTF-8 if it begins with a UTF-16 byte-order mark; the mark is
/// kept, in UTF-8.
#[derive(Debug)]
pub(super) struct AsUtf8<R> {
    reader: R,
    state: State,
    /// Bytes that are ready, and how many of them were taken.
    ready: Vec<u8>,
    at: usize,
    /// Bytes that are not a whole unit yet, and a surrogate that waits for its second half.
    odd: Vec<u8>,
    high: Option<u16>,
    lines: usize,
}

#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum State {
    /// Nothing has been read yet.
    New,
    /// Bytes are passed on as they are.
    Plain,
    /// The stream is UTF-16, with the low byte first or not.
    Utf16 { low_first: bool },
    /// The stream has ended.
    Ended,
}

impl<R: Read> AsUtf8<R> {
    pub(super) const fn new(reader: R) -> Self {
        Self { reader, state: State::New, ready: Vec::new(), at: 0, odd: Vec::new(), high: None, lines: 1 }
    }

    /// Looks at the first two bytes.
    fn begin(&mut self) -> io::Result<()> {
        let mut mark = Vec::with_capacity(2);
        self.reader.by_ref().take(2).read_to_end(&mut mark)?;
        self.state = match mark[..] {
            [0xff, 0xfe] => State::Utf16 { low_first: true },
            [0xfe, 0xff] => State::Utf16 { low_first: false },
            _ => State::Plain,
        };
        match self.state {
            State::Plain => self.ready = mark,
            _ => self.ready.extend_from_slice("\u{feff}".as_bytes()),
        }
        Ok(())
    }

    /// Makes more bytes ready, until there are some or the stream ends.
    fn refill(&mut self, low_first: bool) -> io::Result<()> {
        (self.at, self.ready) = (0, Vec::new());
        while self.ready.is_empty() {
            let mut block = std::mem::take(&mut self.odd);
            let wanted = u64::try_from(BLOCK_BYTES).unwrap_or(u64::MAX);
            if self.reader.by_ref().take(wanted).read_to_end(&mut block)? == 0 {
                self.state = State::Ended;
                let is_cut = !block.is_empty() || self.high.is_some();
                return if is_cut {
                    Err(self.refused("the UTF-16 text ends in the middle of a character"))
                } else {
                    Ok(())
                };
            }
            let (pairs, odd) = block.as_chunks::<2>();
            self.odd = odd.to_vec();
            for &pair in pairs {
                self.take_unit(if low_first { u16::from_le_bytes(pair) } else { u16::from_be_bytes(pair) })?;
            }
        }
        Ok(())
    }

    fn take_unit(&mut self, unit: u16) -> io::Result<()> {
        let units = match (self.high.take(), unit) {
            (None, 0xd800..=0xdbff) => {
                self.high = Some(unit);
                return Ok(());
            }
            (None, _) => vec![unit],
            (Some(high), _) => vec![high, unit],
        };
        for character in char::decode_utf16(units) {
            let character = character.map_err(|error| {
                self.refused(&format!("{:#06x} is half of a UTF-16 pair", error.unpaired_surrogate()))
            })?;
            self.lines += usize::from(character == '\n');
            let mut bytes = [0; 4];
            self.ready.extend_from_slice(character.encode_utf8(&mut bytes).as_bytes());
        }
        Ok(())
    }

    fn refused(&self, why: &str) -> io::Error {
        io::Error::new(ErrorKind::InvalidData, format!("line {}: {why}; save the file as UTF-8", self.lines))
    }
}

impl<R: Read> Read for AsUtf8<R> {
    fn read(&mut self, buffer: &mut [u8]) -> io::Result<usize> {
        if self.state == State::New {
            self.begin()?;
        }
        let rest = self.ready.get(self.at..).unwrap_or_default();
        if rest.is_empty() {
            match self.state {
                State::Utf16 { low_first } => self.refill(low_first)?,
                State::Ended => return Ok(0),
                State::New | State::Plain => return self.reader.read(buffer),
            }
        }
        let rest = self.ready.get(self.at..).unwrap_or_default();
        let read = { rest }.read(buffer)?;
        self.at += read;
        Ok(read)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Returns only a few bytes at a time, as a pipe may.
    struct Slow<'a>(&'a [u8], usize);

    impl Read for Slow<'_> {
        fn read(&mut self, buffer: &mut [u8]) -> io::Result<usize> {
            let most = self.1.min(buffer.len());
            self.0.read(&mut buffer[..most])
        }
    }

    fn read(bytes: &[u8], step: usize) -> Result<String, String> {
        let mut found = Vec::new();
        let read = AsUtf8::new(Slow(bytes, step)).read_to_end(&mut found);
        read.map(|_| String::from_utf8(found).unwrap()).map_err(|error| error.to_string())
    }

    fn utf16(text: &str, order: fn(u16) -> [u8; 2]) -> Vec<u8> {
        text.encode_utf16().flat_map(order).collect()
    }

    #[test]
    fn either_byte_order_and_utf_8_come_out_alike() {
        let text = "\u{feff}load;800\r\n20;\u{2212}1,5 \u{1d11e}";
        for step in [1, 2, 3, 7, 1000] {
            assert_eq!(read(&utf16(text, u16::to_le_bytes), step).unwrap(), text);
            assert_eq!(read(&utf16(text, u16::to_be_bytes), step).unwrap(), text);
            assert_eq!(read(text.as_bytes(), step).unwrap(), text);
        }
        assert_eq!((read(b"", 1).unwrap(), read(b"a", 1).unwrap()), (String::new(), "a".to_owned()));
    }

    #[test]
    fn what_is_cut_is_told_with_its_line() {
        let mut cut = utf16("\u{feff}a\nb", u16::to_le_bytes);
        cut.push(0x20);
        assert!(read(&cut, 3).unwrap_err().starts_with("line 2: the UTF-16 text ends"));
        cut.push(0xd8);
        assert!(read(&cut, 3).unwrap_err().starts_with("line 2: the UTF-16 text ends"));
        cut.extend_from_slice(b"a\0");
        assert!(read(&cut, 3).unwrap_err().starts_with("line 2: 0xd820 is half of a UTF-16 pair"));
    }
}
