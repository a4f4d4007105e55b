//! The data records of a text file, put together to one image.

use std::ops::Range;

use super::error::{FileError, RecordFault};

/// The data records of a file in the order in which they stand.
#[derive(Debug, Default)]
pub(super) struct Pieces {
    bytes: Vec<u8>,
    list: Vec<Piece>,
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
    pub(super) fn push(&mut self, address: u64, line: usize, data: &[u8]) {
        let from = self.bytes.len();
        self.bytes.extend_from_slice(data);
        self.list.push(Piece { address, line, bytes: from..self.bytes.len() });
    }

    /// How many data records there are.
    pub(super) fn count(&self) -> usize {
        self.list.len()
    }

    /// Puts every byte in its place in an image of `size` bytes from `start`; the rest is `fill`. Gives back the image and
    /// the stretches of addresses that were not given.
    ///
    /// # Errors
    /// [`FileError::Line`] when bytes lie outside the image or are given twice.
    pub(super) fn place(mut self, start: u32, size: u32, fill: u8) -> Result<(Vec<u8>, Vec<Range<u64>>), FileError> {
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
                let (line, other) = (piece.line.max(last_line), piece.line.min(last_line));
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
