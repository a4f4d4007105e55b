//! Why a file is not an image.

use thiserror::Error;

use crate::project::AddressRange;

/// Why a file is not an image.
#[derive(Clone, Debug, PartialEq, Eq, Error)]
pub enum FileError {
    /// A faulty line of a text file.
    #[error("line {line}: {fault}")]
    Line {
        /// Which, from 1.
        line: usize,
        /// What is wrong with it.
        fault: RecordFault,
    },
    /// Neither text records nor exactly as many bytes as the image.
    #[error(
        "the file has {given} bytes and no line that begins with ':' or 'S'; a raw binary of this image has {expected} bytes, an Intel HEX or S-record file has records"
    )]
    Unknown {
        /// Its size.
        given: usize,
        /// The size of the image.
        expected: u32,
    },
    /// The file lacks bytes of an item or of the checksum.
    #[error(
        "the file holds nothing for address {address:X}, where {what} stands; it may be cut short, or for another layout"
    )]
    Missing {
        /// The first address missing.
        address: u64,
        /// The item in quotes, or the checksum.
        what: String,
    },
}

/// What is wrong with a record.
#[derive(Clone, Debug, PartialEq, Eq, Error)]
pub enum RecordFault {
    /// Not a record at all.
    #[error("a record begins with {expected}, not with {found}")]
    Start {
        /// What it begins with.
        expected: &'static str,
        /// What stands there.
        found: String,
    },
    /// A character that is not a hexadecimal digit.
    #[error("{found} in column {column} is no hexadecimal digit")]
    Digit {
        /// Where, from 1.
        column: usize,
        /// What stands there.
        found: String,
    },
    /// Fewer bytes than the record says.
    #[error("the record is cut short: it has {found} bytes, its length says {expected}")]
    Short {
        /// How many it should have, from the length field to the checksum.
        expected: usize,
        /// How many it has.
        found: usize,
    },
    /// More bytes than the record says, or half a byte.
    #[error("the record is too long: it has {found} hexadecimal digits, its length says {expected}")]
    Long {
        /// How many digits it should have.
        expected: usize,
        /// How many it has.
        found: usize,
    },
    /// A checksum that is not that of the bytes.
    #[error("the record's checksum is {found:02X}, its bytes give {expected:02X}; a digit of this line is wrong")]
    Checksum {
        /// What stands there.
        found: u8,
        /// What the bytes give.
        expected: u8,
    },
    /// A type that does not exist.
    #[error("there is no record type {0}")]
    Type(String),
    /// A length that the type does not have.
    #[error("a record of type {kind} has {expected} data bytes, not {found}")]
    Length {
        /// The type.
        kind: String,
        /// How many it has.
        expected: &'static str,
        /// How many were found.
        found: usize,
    },
    /// A header after the first record.
    #[error("a header stands only at the beginning")]
    LateHeader,
    /// A data record that holds none.
    #[error("a data record {0} holds no data; its type digit is wrong")]
    NoData(String),
    /// A data record of another type than the rest of the file.
    #[error(
        "{kind} does not go with {other} in line {line}: a file has data of one type, and S9 closes S1, S8 closes S2, S7 closes S3"
    )]
    Mixed {
        /// The type.
        kind: String,
        /// The type of the record that it does not go with.
        other: String,
        /// The line of that record.
        line: usize,
    },
    /// Data, or a second count, after the count of the data records.
    #[error("the data records were counted in line {other} already")]
    AfterCount {
        /// The line of the count.
        other: usize,
    },
    /// An end record that is not the last one.
    #[error("an end record, but line {next} holds another record")]
    EarlyEnd {
        /// The line of the next record.
        next: usize,
    },
    /// Bytes given twice.
    #[error("address {address:X} is given in line {other} as well")]
    Overlap {
        /// The first address given twice.
        address: u64,
        /// The other line that gives it.
        other: usize,
    },
    /// Bytes outside the image.
    #[error("address {address:X} lies outside the image {}", AddressRange::new(*.start, *.end))]
    Outside {
        /// The first address outside.
        address: u64,
        /// The image's first address.
        start: u64,
        /// The address after its last.
        end: u64,
    },
    /// A record that runs past the end of its 64 KiB segment or of the address space.
    #[error("the record runs past {0}")]
    Wraps(&'static str),
    /// A count of records that is wrong.
    #[error(
        "{stated} data records are said to come before this line, there are {found}; lines are missing or too many"
    )]
    Count {
        /// What the record says.
        stated: usize,
        /// How many there are.
        found: usize,
    },
    /// Anything after the last record.
    #[error("there is something after the last record")]
    AfterEnd,
    /// No end record.
    #[error("the file ends without an end record (:00000001FF); it may be cut short")]
    NoEnd,
}

impl RecordFault {
    pub(super) const fn at(self, line: usize) -> FileError {
        FileError::Line { line, fault: self }
    }
}

/// A byte as a message shows it.
pub(super) fn shown(byte: Option<&u8>) -> String {
    match byte {
        None => "the end of the line".into(),
        Some(byte) if byte.is_ascii_graphic() => format!("'{}'", char::from(*byte)),
        Some(byte) => format!("byte {byte:02X}"),
    }
}
