//! Motorola S-record: `S`, type, length, address, data, checksum; length, address, data and checksum sum to FF modulo 256.
//!
//! S0 header; S1, S2, S3 data with 16, 24, 32 address bits; S5, S6 count of data records with 16, 24 bits; S7, S8, S9 end
//! with a start address of 32, 24, 16 bits. The length counts address, data and checksum. A file has data of one type:
//! S1 closed by S9, S2 by S8, S3 by S7. Source: "M68000 Family Programmer's Reference Manual", Motorola, 1992, appendix C
//! (from memory).

use std::ops::Range;

use super::error::{FileError, RecordFault, shown};
use super::{Piece, Pieces, RecordWidth, append, big_endian, check_length, decode, lines, sum};

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

/// What an S-record file holds.
#[derive(Debug)]
pub(super) struct SRecords {
    /// Its data records.
    pub(super) pieces: Pieces,
    /// Whether there is an end record.
    pub(super) is_ended: bool,
    /// A count that is not that of the data records. To be told after whatever is wrong with the data records
    /// themselves, since one that should be none is the more exact reason.
    pub(super) miscount: Option<FileError>,
}

/// A record that is sound by itself.
#[derive(Debug)]
struct Record {
    line: usize,
    digit: u8,
    address: u64,
    data: Range<usize>,
}

impl Record {
    const fn is_data(&self) -> bool {
        matches!(self.digit, b'1'..=b'3')
    }

    /// Whether it is data that would be a header with the type digit 0: a header's first two bytes are zero.
    const fn may_be_header(&self) -> bool {
        match self.digit {
            b'1' => self.address == 0,
            b'2' => self.address >> 8 == 0,
            b'3' => self.address >> 16 == 0,
            _ => false,
        }
    }

    const fn is_count(&self) -> bool {
        matches!(self.digit, b'5' | b'6')
    }

    /// 'S1'.
    fn kind(&self) -> String {
        kind(self.digit)
    }

    /// The type digit of the data records that it closes; `None` if it is no end record.
    const fn closes(&self) -> Option<u8> {
        match self.digit {
            b'7' => Some(b'3'),
            b'8' => Some(b'2'),
            b'9' => Some(b'1'),
            _ => None,
        }
    }

    /// How many data records a count record states.
    fn stated(&self) -> usize {
        usize::try_from(self.address).unwrap_or(usize::MAX)
    }

    const fn at(&self, fault: RecordFault) -> FileError {
        fault.at(self.line)
    }
}

fn kind(digit: u8) -> String {
    format!("S{}", char::from(digit))
}

/// Reads S-records. The type digit is not covered by a record's checksum, so what the types say of one another
/// is checked as well, and the record that does not fit the others is the faulty one.
///
/// # Errors
/// [`FileError::Line`] for a faulty record.
pub(super) fn read(text: &[u8]) -> Result<SRecords, FileError> {
    let (mut records, mut data) = (Vec::new(), Vec::new());
    let mut bytes = Vec::with_capacity(256);
    for (line, content) in lines(text) {
        if content.is_empty() {
            continue;
        }
        let (digit, address, found) = parse(content, &mut bytes).map_err(|fault| fault.at(line))?;
        let from = data.len();
        data.extend_from_slice(found);
        records.push(Record { line, digit, address, data: from..data.len() });
    }
    check_order(&records)?;
    check_types(&records)?;
    let miscount = miscount(&records);
    let is_ended = records.last().is_some_and(|last| last.closes().is_some());
    let unsure_line = records.first().filter(|first| first.may_be_header()).map(|first| first.line);
    let mut pieces = Pieces { bytes: data, list: Vec::new(), unsure_line };
    for Record { line, address, data, .. } in records.into_iter().filter(Record::is_data) {
        pieces.list.push(Piece { address, line, bytes: data });
    }
    Ok(SRecords { pieces, is_ended, miscount })
}

/// The header comes first, then the data, the count, the end. An end record before the last record, and a
/// count before data that it does not count, are other records with a wrong type digit.
fn check_order(records: &[Record]) -> Result<(), FileError> {
    let (mut found, mut count_line) = (0, None);
    for (index, record) in records.iter().enumerate() {
        let rest = records.get(index + 1..).unwrap_or_default();
        match record.digit {
            b'0' if index > 0 => return Err(record.at(RecordFault::LateHeader)),
            b'0' => {}
            b'1'..=b'3' => {
                if record.data.is_empty() {
                    return Err(record.at(RecordFault::NoData(record.kind())));
                }
                if let Some(other) = count_line {
                    return Err(record.at(RecordFault::AfterCount { other }));
                }
                found += 1;
            }
            b'5' | b'6' => {
                let is_right = found > 0 && record.stated() == found;
                if !is_right && rest.iter().any(|next| next.is_data() || next.is_count()) {
                    return Err(record.at(RecordFault::Count { stated: record.stated(), found }));
                }
                if let Some(other) = count_line {
                    return Err(record.at(RecordFault::AfterCount { other }));
                }
                count_line = Some(record.line);
            }
            _ => {
                if let Some(next) = rest.first() {
                    return Err(record.at(RecordFault::EarlyEnd { next: next.line }));
                }
            }
        }
    }
    Ok(())
}

/// All data records are of one type, and the end record is the one that goes with it.
fn check_types(records: &[Record]) -> Result<(), FileError> {
    let data = || records.iter().filter(|record| record.is_data());
    let mismatch = |record: &Record, other: &Record| {
        record.at(RecordFault::Mixed { kind: record.kind(), other: other.kind(), line: other.line })
    };
    let Some(first) = data().next() else {
        return Ok(());
    };
    let end = records.last().and_then(|last| Some((last, last.closes()?)));
    let Some((end, closed)) = end else {
        return data().find(|record| record.digit != first.digit).map_or(Ok(()), |odd| Err(mismatch(odd, first)));
    };
    let mut odd = data().filter(|record| record.digit != closed);
    let Some(first_odd) = odd.next() else {
        return Ok(());
    };
    // An end record with another type digit has a wrong length, so a single record that does not go with it is at
    // fault itself.
    let are_all_odd = 1 + odd.count() == data().count();
    Err(if are_all_odd && data().count() > 1 { mismatch(end, first_odd) } else { mismatch(first_odd, end) })
}

/// The count record that does not state how many data records there are.
fn miscount(records: &[Record]) -> Option<FileError> {
    let found = records.iter().filter(|record| record.is_data()).count();
    let wrong = records.iter().find(|record| record.is_count() && record.stated() != found)?;
    Some(wrong.at(RecordFault::Count { stated: wrong.stated(), found }))
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
        return Err(RecordFault::Length { kind: kind(*digit), expected: "0", found: data.len() });
    }
    let address = u64::from(big_endian(&address[1..]));
    check_reach(*digit, address, data.len())?;
    Ok((*digit, address, data))
}

/// Refuses a data record that does not end within what its type can address.
const fn check_reach(digit: u8, address: u64, length: usize) -> Result<(), RecordFault> {
    let limit = match digit {
        b'1' => 1 << 16,
        b'2' => 1 << 24,
        b'3' => 1 << 32,
        _ => return Ok(()),
    };
    if address + length as u64 > limit { Err(RecordFault::Wraps("the last address of its type")) } else { Ok(()) }
}
