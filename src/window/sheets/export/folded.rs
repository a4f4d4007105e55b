//! Which rows the view of the bytes has. A long run of fill is one row, which can be opened: then its bytes follow it. Pure,
//! so that it can be proved that every byte is reachable and stands where it should.

use std::collections::BTreeSet;
use std::ops::Range;

/// Fewer rows than this are not folded: little would be won.
const LEAST_ROWS: u64 = 4;

/// A row of the view.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) enum Row {
    /// The bytes at these addresses.
    Bytes(Range<u64>),
    /// What says that these addresses hold nothing but fill; their bytes follow if it is open.
    Fill(Fill),
}

/// A run of fill that can be folded.
#[derive(Clone, Debug, PartialEq, Eq)]
pub(super) struct Fill {
    /// Its whole rows.
    pub(super) addresses: Range<u64>,
    /// The first address of the fill, which may be in the row before: it stays the same however many bytes a row has.
    pub(super) key: u64,
    /// Whether its bytes are shown.
    pub(super) is_open: bool,
}

/// Rows of one kind.
#[derive(Clone, Debug)]
struct Piece {
    first_row: usize,
    addresses: Range<u64>,
    fill: Option<Fill>,
}

/// The rows of an image.
#[derive(Clone, Debug)]
pub(super) struct Folded {
    first: u64,
    end: u64,
    per_row: u64,
    pieces: Vec<Piece>,
    rows: usize,
}

/// The stretches of an image that belong to nothing and hold nothing but fill. `parts` are the stretches that belong to
/// something, in ascending addresses; without an image, whatever belongs to nothing counts as fill.
pub(super) fn fill_of(
    (first, end): (u64, u64),
    parts: impl IntoIterator<Item = Range<u64>>,
    is_fill: impl Fn(u64) -> bool,
) -> Vec<Range<u64>> {
    let mut found: Vec<Range<u64>> = Vec::new();
    let mut at = first;
    for part in parts.into_iter().chain(std::iter::once(end..end)) {
        for address in at..part.start.min(end) {
            if !is_fill(address) {
                continue;
            }
            match found.last_mut().filter(|run| run.end == address && address != at) {
                Some(run) => run.end += 1,
                None => found.push(address..address + 1),
            }
        }
        at = at.max(part.end);
    }
    found
}

impl Folded {
    /// The rows of an image with `per_row` bytes in a row; `fill` are stretches of fill in ascending addresses, `opened` the
    /// first addresses of those that are open.
    pub(super) fn new((first, end): (u64, u64), per_row: u64, fill: &[Range<u64>], opened: &BTreeSet<u64>) -> Self {
        let mut folded = Self { first, end, per_row, pieces: Vec::new(), rows: 0 };
        let mut at = first;
        for run in fill {
            let from = first + (run.start - first).next_multiple_of(per_row);
            // The last row of the image may be shorter.
            let to = if run.end == end { end } else { run.end - (run.end - first) % per_row };
            if to.saturating_sub(from).div_ceil(per_row) < LEAST_ROWS {
                continue;
            }
            let is_open = opened.contains(&run.start);
            folded.push(at..from, None);
            folded.push(from..to, Some(Fill { addresses: from..to, key: run.start, is_open }));
            at = to;
        }
        folded.push(at..end, None);
        folded
    }

    fn push(&mut self, addresses: Range<u64>, fill: Option<Fill>) {
        if addresses.is_empty() {
            return;
        }
        let bytes = usize::try_from((addresses.end - addresses.start).div_ceil(self.per_row)).unwrap_or(usize::MAX);
        let rows = match &fill {
            None => bytes,
            Some(fill) if fill.is_open => bytes.saturating_add(1),
            Some(_) => 1,
        };
        self.pieces.push(Piece { first_row: self.rows, addresses, fill });
        self.rows = self.rows.saturating_add(rows);
    }

    /// How many rows there are.
    pub(super) const fn rows(&self) -> usize {
        self.rows
    }

    /// A row by its index.
    pub(super) fn row(&self, index: usize) -> Option<Row> {
        if index >= self.rows {
            return None;
        }
        let piece = self.pieces.get(self.pieces.partition_point(|piece| piece.first_row <= index).checked_sub(1)?)?;
        let within = index - piece.first_row;
        let within = match &piece.fill {
            Some(fill) if within == 0 => return Some(Row::Fill(fill.clone())),
            Some(fill) if !fill.is_open => return None,
            Some(_) => within - 1,
            None => within,
        };
        let from = piece.addresses.start + within as u64 * self.per_row;
        (from < piece.addresses.end).then(|| Row::Bytes(from..(from + self.per_row).min(piece.addresses.end)))
    }

    fn piece_at(&self, address: u64) -> Option<&Piece> {
        let after = self.pieces.partition_point(|piece| piece.addresses.start <= address);
        self.pieces.get(after.checked_sub(1)?).filter(|piece| address < piece.addresses.end)
    }

    /// The run of fill that a byte is in, if it can be folded.
    pub(super) fn fill_at(&self, address: u64) -> Option<&Fill> {
        self.piece_at(address)?.fill.as_ref()
    }

    /// The row that shows a byte, or says that it is fill.
    pub(super) fn row_of(&self, address: u64) -> Option<usize> {
        let piece = self.piece_at(address)?;
        let within = usize::try_from((address - piece.addresses.start) / self.per_row).unwrap_or(usize::MAX);
        Some(match &piece.fill {
            None => piece.first_row + within,
            Some(fill) if fill.is_open => piece.first_row + 1 + within,
            Some(_) => piece.first_row,
        })
    }

    /// The byte so many rows further down, or up, in the same column. A folded run is one row, at its first byte.
    pub(super) fn down(&self, from: u64, rows: i64) -> u64 {
        let Some(here) = self.row_of(from).filter(|_| rows != 0) else { return from };
        let by = usize::try_from(rows.unsigned_abs()).unwrap_or(usize::MAX);
        let last = self.rows.saturating_sub(1);
        let to = if rows > 0 { here.saturating_add(by).min(last) } else { here.saturating_sub(by) };
        // What says that a run is open has no byte of its own.
        let beyond = if rows > 0 { to + 1 } else { to.wrapping_sub(1) };
        let column = (from - self.first) % self.per_row;
        [to, beyond].into_iter().find_map(|row| self.byte_in(row, column)).unwrap_or(from)
    }

    fn byte_in(&self, row: usize, column: u64) -> Option<u64> {
        match self.row(row)? {
            Row::Bytes(addresses) => Some((addresses.start + column).min(addresses.end - 1)),
            Row::Fill(fill) => (!fill.is_open).then_some(fill.addresses.start),
        }
    }

    /// The byte so many further on, or back; a folded run is passed over in one.
    pub(super) fn along(&self, from: u64, bytes: i64) -> u64 {
        let mut at = from;
        for _ in 0..bytes.unsigned_abs() {
            let run = self.fill_at(at).filter(|fill| !fill.is_open).map_or(at..at + 1, |fill| fill.addresses.clone());
            let next = if bytes > 0 { run.end } else { run.start.wrapping_sub(1) };
            if !(self.first..self.end).contains(&next) {
                break;
            }
            let folded = self.fill_at(next).filter(|fill| !fill.is_open);
            at = folded.map_or(next, |fill| fill.addresses.start);
        }
        at
    }
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;

    const FILL: u8 = 0xFF;

    /// An image of parts and gaps by turns: its first address, its bytes, and where the parts are.
    fn any_image() -> impl Strategy<Value = (u64, Vec<u8>, Vec<Range<u64>>)> {
        let pieces = proptest::collection::vec((0..300_u64, proptest::collection::vec(any::<u8>(), 1..80)), 0..6);
        (0..0x1_0000_u64, pieces, 1..200_usize).prop_map(|(first, pieces, last)| {
            let (mut bytes, mut parts) = (Vec::new(), Vec::new());
            for (gap, part) in pieces {
                bytes.resize(bytes.len() + usize::try_from(gap).unwrap(), FILL);
                let from = first + bytes.len() as u64;
                parts.push(from..from + part.len() as u64);
                bytes.extend(part);
            }
            bytes.resize(bytes.len() + last, FILL);
            (first, bytes, parts)
        })
    }

    fn rows(folded: &Folded) -> Vec<Row> {
        (0..folded.rows()).map(|row| folded.row(row).unwrap()).collect()
    }

    /// What stands in the rows, byte by byte; a folded run stands for its fill.
    fn shown(folded: &Folded, first: u64, bytes: &[u8]) -> Vec<(u64, u8)> {
        let byte = |address: u64| bytes[usize::try_from(address - first).unwrap()];
        let in_row = |row: Row| match row {
            Row::Bytes(addresses) => addresses.map(|address| (address, byte(address))).collect::<Vec<_>>(),
            Row::Fill(fill) if fill.is_open => Vec::new(),
            Row::Fill(fill) => fill.addresses.map(|address| (address, FILL)).collect(),
        };
        rows(folded).into_iter().flat_map(in_row).collect()
    }

    proptest! {
        #[test]
        fn the_rows_show_the_images_bytes_each_once(
            (first, bytes, parts) in any_image(), short in any::<bool>(), open in proptest::collection::vec(any::<bool>(), 8)
        ) {
            let ends = (first, first + bytes.len() as u64);
            let byte = |address: u64| bytes[usize::try_from(address - first).unwrap()];
            let fill = fill_of(ends, parts.clone(), |address| byte(address) == FILL);
            let opened = fill.iter().zip(open.iter().cycle()).filter(|(_, open)| **open).map(|(run, _)| run.start);
            let folded = Folded::new(ends, if short { 8 } else { 16 }, &fill, &opened.collect());
            let expected: Vec<(u64, u8)> = (ends.0..ends.1).zip(bytes.iter().copied()).collect();
            prop_assert_eq!(shown(&folded, first, &bytes), expected);
            for address in ends.0..ends.1 {
                let holds = match folded.row(folded.row_of(address).unwrap()).unwrap() {
                    Row::Bytes(addresses) => addresses.contains(&address),
                    Row::Fill(fill) => !fill.is_open && fill.addresses.contains(&address),
                };
                prop_assert!(holds, "{address:X}");
                let is_of_a_part = parts.iter().any(|part| part.contains(&address));
                prop_assert!(folded.fill_at(address).is_none() || !is_of_a_part);
            }
        }

        #[test]
        fn every_byte_is_reached_by_opening_and_by_keys((first, bytes, parts) in any_image()) {
            let ends = (first, first + bytes.len() as u64);
            let byte = |address: u64| bytes[usize::try_from(address - first).unwrap()];
            let fill = fill_of(ends, parts, |address| byte(address) == FILL);
            let opened = fill.iter().map(|run| run.start).collect();
            let all = Folded::new(ends, 16, &fill, &opened);
            let in_rows = rows(&all).into_iter().filter_map(|row| match row {
                Row::Bytes(addresses) => Some(addresses),
                Row::Fill(_) => None,
            });
            prop_assert_eq!(in_rows.flatten().collect::<Vec<_>>(), (ends.0..ends.1).collect::<Vec<_>>());
            for folded in [all, Folded::new(ends, 16, &fill, &BTreeSet::new())] {
                // Step by step from the first to the last and back, row by row, and byte by byte.
                let stops = |from: u64, step: &dyn Fn(u64) -> u64| {
                    let mut stops = vec![from];
                    while let Some(&at) = stops.last() && step(at) != at {
                        stops.push(step(at));
                    }
                    stops
                };
                let heads = rows(&folded).iter().filter(|row| matches!(row, Row::Fill(fill) if fill.is_open)).count();
                let down = stops(ends.0, &|at| folded.down(at, 1));
                prop_assert_eq!(down.len(), folded.rows() - heads);
                let mut up = stops(*down.last().unwrap(), &|at| folded.down(at, -1));
                up.reverse();
                prop_assert_eq!(up, down);
                let along = stops(ends.0, &|at| folded.along(at, 1));
                let is_hidden = |address: &u64| {
                    folded.fill_at(*address).is_some_and(|fill| !fill.is_open && fill.addresses.start != *address)
                };
                prop_assert_eq!(&along, &(ends.0..ends.1).filter(|address| !is_hidden(address)).collect::<Vec<_>>());
                let mut back = stops(*along.last().unwrap(), &|at| folded.along(at, -1));
                back.reverse();
                prop_assert_eq!(back, along);
            }
        }
    }

    #[test]
    fn short_runs_and_what_is_no_fill_stay_open() {
        let ends = (0x100, 0x300);
        let fill = fill_of(ends, [0x100..0x110, 0x150..0x158, 0x200..0x210], |address| address != 0x2F8);
        assert_eq!(fill, [0x110..0x150, 0x158..0x200, 0x210..0x2F8, 0x2F9..0x300]);
        let folded = Folded::new(ends, 16, &fill, &BTreeSet::from([0x158]));
        let runs: Vec<Fill> = rows(&folded)
            .into_iter()
            .filter_map(|row| match row {
                Row::Fill(fill) => Some(fill),
                Row::Bytes(_) => None,
            })
            .collect();
        let run = |addresses: Range<u64>, key, is_open| Fill { addresses, key, is_open };
        let expected =
            [run(0x110..0x150, 0x110, false), run(0x160..0x200, 0x158, true), run(0x210..0x2F0, 0x210, false)];
        assert_eq!(runs, expected);
        assert_eq!(folded.down(0x105, 1), 0x110);
        assert_eq!(folded.down(0x110, 1), 0x150);
        assert_eq!(folded.along(0x14F, 1), 0x150);
    }
}
