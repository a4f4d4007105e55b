//! Intel HEX: `:` length, 16-bit address, type, data, checksum; all bytes of a record sum to 0 modulo 256.
//!
//! Types: 00 data, 01 end, 02 extended segment address (× 16), 03 start segment address, 04 extended linear address
//! (upper 16 bits), 05 start linear address. Source: "Hexadecimal Object File Format Specification", revision A, Intel, 1988
//! (from memory).

use super::error::{FileError, RecordFault, shown};
use super::{Pieces, RecordWidth, append, big_endian, check_length, decode, lines, sum};

/// Bytes of a record besides its data: length, address, type and checksum.
const FRAME: usize = 5;

/// Writes an image as Intel HEX. Records do not cross a multiple of 64 KiB; a type-04 record precedes every
/// record whose upper 16 address bits differ from those before it (0 at the start). Lines end with LF.
pub fn intel_hex(start: u32, image: &[u8], width: RecordWidth) -> String {
    let mut text = String::with_capacity(image.len() * 3);
    let mut upper = 0;
    let mut address = u64::from(start);
    let mut rest = image;
    while !rest.is_empty() {
        let high = address >> 16 & 0xFFFF;
        if high != upper {
            upper = high;
            record(&mut text, 0, 4, &low_bytes(high));
        }
        let room = usize::try_from(0x1_0000 - (address & 0xFFFF)).unwrap_or(usize::MAX);
        let (data, after) = rest.split_at(width.bytes().min(room).min(rest.len()));
        record(&mut text, address, 0, data);
        address += data.len() as u64;
        rest = after;
    }
    record(&mut text, 0, 1, &[]);
    text
}

/// The low 16 bits, most significant byte first.
const fn low_bytes(number: u64) -> [u8; 2] {
    let bytes = number.to_be_bytes();
    [bytes[6], bytes[7]]
}

fn record(text: &mut String, address: u64, kind: u8, data: &[u8]) {
    let [high, low] = low_bytes(address);
    let length = u8::try_from(data.len()).unwrap_or(u8::MAX);
    let head = [length, high, low, kind];
    let total = sum(&head).wrapping_add(sum(data));
    text.push(':');
    append(text, &head);
    append(text, data);
    append(text, &[total.wrapping_neg()]);
    text.push('\n');
}

/// What address records add to the 16-bit address of a data record.
#[derive(Clone, Copy)]
enum Base {
    Segment(u64),
    Linear(u64),
}

/// Reads Intel HEX.
///
/// # Errors
/// [`FileError::Line`] for the first faulty record, or if there is no end record.
pub(super) fn read(text: &[u8]) -> Result<Pieces, FileError> {
    let mut pieces = Pieces::default();
    let mut base = Base::Linear(0);
    let mut bytes = Vec::with_capacity(256);
    let (mut ended, mut last) = (false, 0);
    for (line, content) in lines(text) {
        if content.is_empty() {
            continue;
        }
        last = line;
        let at = |fault: RecordFault| fault.at(line);
        if ended {
            return Err(at(RecordFault::AfterEnd));
        }
        let (kind, address, data) = parse(content, &mut bytes).map_err(at)?;
        match kind {
            0 => pieces.push(place(base, address, data.len()).map_err(at)?, line, data),
            1 => ended = true,
            2 => base = Base::Segment(u64::from(big_endian(data)) << 4),
            4 => base = Base::Linear(u64::from(big_endian(data)) << 16),
            // The start address of a program does not matter for an image of data.
            _ => {}
        }
    }
    if ended { Ok(pieces) } else { Err(RecordFault::NoEnd.at(last + 1)) }
}

/// Type, address and data of one record.
fn parse<'a>(content: &[u8], bytes: &'a mut Vec<u8>) -> Result<(u8, u64, &'a [u8]), RecordFault> {
    let Some(digits) = content.strip_prefix(b":") else {
        return Err(RecordFault::Start { expected: "':'", found: shown(content.first()) });
    };
    decode(digits, 2, bytes)?;
    let Some(&length) = bytes.first() else {
        return Err(RecordFault::Short { expected: FRAME, found: 0 });
    };
    check_length(digits.len(), FRAME + usize::from(length))?;
    let [_, high, low, kind, data @ .., found] = bytes.as_slice() else {
        return Err(RecordFault::Short { expected: FRAME, found: bytes.len() });
    };
    let expected = found.wrapping_sub(sum(bytes));
    if *found != expected {
        return Err(RecordFault::Checksum { found: *found, expected });
    }
    check_type(*kind, data.len())?;
    Ok((*kind, u64::from(*high) << 8 | u64::from(*low), data))
}

fn check_type(kind: u8, found: usize) -> Result<(), RecordFault> {
    let (fits, expected) = match kind {
        0 => (true, ""),
        1 => (found == 0, "0"),
        2 | 4 => (found == 2, "2"),
        3 | 5 => (found == 4, "4"),
        _ => return Err(RecordFault::Type(format!("{kind:02X}"))),
    };
    if fits { Ok(()) } else { Err(RecordFault::Length { kind: format!("{kind:02X}"), expected, found }) }
}

/// The full address of a data record. The format would let a record wrap around to the start of its segment,
/// but no sensible tool writes that, so it is refused.
fn place(base: Base, address: u64, length: usize) -> Result<u64, RecordFault> {
    let end = address + length as u64;
    match base {
        Base::Segment(_) if end > 0x1_0000 => Err(RecordFault::Wraps("the end of its 64 KiB segment")),
        Base::Linear(base) if base + end > 1 << 32 => Err(RecordFault::Wraps("the last 32-bit address")),
        Base::Segment(base) | Base::Linear(base) => Ok(base + address),
    }
}
