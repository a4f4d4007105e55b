//! The files that flashing tools read: Intel HEX, Motorola S-record, raw binary.
//!
//! Writers give the whole image, fill included, in ascending addresses. [`read_file`] tells the format by the content and
//! is strict: whatever it does not refuse is exactly what the file says.

mod error;
mod hexadecimal;
mod intel_hex;
#[cfg(test)]
mod mutation;
mod pieces;
mod read;
mod s_record;
#[cfg(test)]
mod tests;

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
