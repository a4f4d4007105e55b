//! Motorola S-record: `S`, type, length, address, data, checksum; length, address, data and checksum sum to FF modulo 256.
//!
//! S0 header; S1, S2, S3 data with 16, 24, 32 address bits; S5, S6 count of data records with 16, 24 bits; S7, S8, S9 end
//! with a start address of 32, 24, 16 bits. The length counts address, data and checksum. Source: "M68000 Family
//! Programmer's Reference Manual", Motorola, 1992, appendix C (from memory).

use super::error::{FileError, RecordFault, shown};
use super::{Pieces, RecordWidth, append, big_endian, check_length, decode, lines, sum};

/// The address size of the data records.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum SRecordType {
    /// S1 records with 16-bit addresses, closed by S9: `.s19`.
    S19,
    /// S2 records with 24-bit addresses, closed by S8: `.s28`.
    S28,
    /// S3 records with 32-bit addresses, closed by S7: `.s37`.
    S37,
}

impl SRecordType {
    /// The smallest type whose addresses reach this far.
    pub const fn reaching(address: u64) -> Self {
        match address {
            0..=0xFFFF => Self::S19,
            0x1_0000..=0xFF_FFFF => Self::S28,
            _ => Self::S37,
        }
    }

    const fn address_bytes(self) -> usize {
        match self {
            Self::S19 => 2,
            Self::S28 => 3,
            Self::S37 => 4,
        }
    }

    const fn digits(self) -> (u8, u8) {
        match self {
            Self::S19 => (b'1', b'9'),
            Self::S28 => (b'2', b'8'),
            Self::S37 => (b'3', b'7'),
        }
    }
}

/// An S-record file.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct SRecordFile {
    /// Its text; lines end with LF.
    pub text: String,
    /// The type written.
    pub kind: SRecordType,
    /// Whether the addresses need a larger type than the one asked for.
    pub grown: bool,
}

/// Writes an image as S-records: an S0 header with a name of at most 32 bytes, the data, the count of data
/// records, the end. The type is `least`, or a larger one if the addresses need it.
pub fn s_record(start: u32, image: &[u8], least: SRecordType, width: RecordWidth, name: &str) -> SRecordFile {
    let last = u64::from(start) + (image.len() as u64).saturating_sub(1);
    let kind = least.max(SRecordType::reaching(last));
    let (data_digit, end_digit) = kind.digits();
    let mut text = String::with_capacity(image.len() * 3);
    let name: Vec<u8> = name.bytes().filter(|byte| (b' '..=b'~').contains(byte)).take(32).collect();
    record(&mut text, b'0', 2, 0, &name);
    let mut address = u64::from(start);
    let mut count = 0_u64;
    for data in image.chunks(width.bytes()) {
        record(&mut text, data_digit, kind.address_bytes(), address, data);
        address += data.len() as u64;
        count += 1;
    }
    match count {
        0..=0xFFFF => record(&mut text, b'5', 2, count, &[]),
        0x1_0000..=0xFF_FFFF => record(&mut text, b'6', 3, count, &[]),
        _ => {}
    }
    record(&mut text, end_digit, kind.address_bytes(), 0, &[]);
    SRecordFile { text, kind, grown: kind > least }
}

fn record(text: &mut String, digit: u8, address_bytes: usize, address: u64, data: &[u8]) {
    let length = u8::try_from(address_bytes + data.len() + 1).unwrap_or(u8::MAX);
    let address = address.to_be_bytes();
    let address = &address[address.len() - address_bytes..];
    let total = length.wrapping_add(sum(address)).wrapping_add(sum(data));
    text.push('S');
    text.push(char::from(digit));
    append(text, &[length]);
    append(text, address);
    append(text, data);
    append(text, &[!total]);
    text.push('\n');
}

/// Reads S-records; also returns whether there is an end record.
///
/// # Errors
/// [`FileError::Line`] for the first faulty record.
pub(super) fn read(text: &[u8]) -> Result<(Pieces, bool), FileError> {
    let mut pieces = Pieces::default();
    let mut bytes = Vec::with_capacity(256);
    let (mut ended, mut records) = (false, 0_usize);
    for (line, content) in lines(text) {
        if content.is_empty() {
            continue;
        }
        let at = |fault: RecordFault| fault.at(line);
        if ended {
            return Err(at(RecordFault::AfterEnd));
        }
        let (digit, address, data) = parse(content, &mut bytes).map_err(at)?;
        match digit {
            b'0' if records > 0 => return Err(at(RecordFault::LateHeader)),
            b'0' => {}
            b'1'..=b'3' => pieces.push(place(digit, address, data.len()).map_err(at)?, line, data),
            b'5' | b'6' => check_count(address, pieces.count()).map_err(at)?,
            _ => ended = true,
        }
        records += 1;
    }
    Ok((pieces, ended))
}

/// Type digit, address and data of one record.
fn parse<'a>(content: &[u8], bytes: &'a mut Vec<u8>) -> Result<(u8, u64, &'a [u8]), RecordFault> {
    let [b'S', digit, digits @ ..] = content else {
        return Err(RecordFault::Start { expected: "'S' and a digit", found: shown(content.first()) });
    };
    let address_bytes = match digit {
        b'0' | b'1' | b'5' | b'9' => 2,
        b'2' | b'6' | b'8' => 3,
        b'3' | b'7' => 4,
        _ => return Err(RecordFault::Type(format!("S{}", shown(Some(digit)).trim_matches('\'')))),
    };
    decode(digits, 3, bytes)?;
    let Some(&length) = bytes.first() else {
        return Err(RecordFault::Short { expected: address_bytes + 2, found: 0 });
    };
    check_length(digits.len(), 1 + usize::from(length))?;
    let Some((found, rest)) = bytes.split_last().filter(|_| bytes.len() >= address_bytes + 2) else {
        return Err(RecordFault::Short { expected: address_bytes + 2, found: bytes.len() });
    };
    let expected = !sum(rest);
    if *found != expected {
        return Err(RecordFault::Checksum { found: *found, expected });
    }
    let (address, data) = rest.split_at(address_bytes + 1);
    if !matches!(digit, b'0'..=b'3') && !data.is_empty() {
        let kind = format!("S{}", char::from(*digit));
        return Err(RecordFault::Length { kind, expected: "0", found: data.len() });
    }
    Ok((*digit, u64::from(big_endian(&address[1..])), data))
}

/// Refuses a data record that does not end within what its type can address; returns its address.
const fn place(digit: u8, address: u64, length: usize) -> Result<u64, RecordFault> {
    let limit = match digit {
        b'1' => 1 << 16,
        b'2' => 1 << 24,
        _ => 1 << 32,
    };
    if address + length as u64 > limit { Err(RecordFault::Wraps("the last address of its type")) } else { Ok(address) }
}

fn check_count(stated: u64, found: usize) -> Result<(), RecordFault> {
    let stated = usize::try_from(stated).unwrap_or(usize::MAX);
    if stated == found { Ok(()) } else { Err(RecordFault::Count { stated, found }) }
}
