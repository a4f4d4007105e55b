//! Recognising the format of a file and reading it.

use std::ops::Range;

use super::error::FileError;
use super::{Pieces, intel_hex, s_record};
use crate::project::{ChecksumKind, Parts};

/// The formats of files for flashing tools.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum FileFormat {
    /// Intel HEX.
    IntelHex,
    /// Motorola S-record.
    SRecord,
    /// The bytes themselves.
    Binary,
}

impl FileFormat {
    /// Its name.
    pub const fn name(self) -> &'static str {
        match self {
            Self::IntelHex => "Intel HEX",
            Self::SRecord => "Motorola S-record",
            Self::Binary => "raw binary",
        }
    }
}

/// A file read.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct ReadFile {
    /// What it is.
    pub format: FileFormat,
    /// The whole image.
    pub bytes: Vec<u8>,
    /// What is worth knowing.
    pub warnings: Vec<FileWarning>,
}

/// Something unusual that does no harm.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum FileWarning {
    /// An S-record file without S7, S8 or S9.
    NoEnd,
    /// Bytes between the items that the file does not give; they are taken as fill.
    Filled {
        /// The first address.
        first: u64,
        /// How many bytes.
        bytes: u64,
    },
}

impl std::fmt::Display for FileWarning {
    fn fmt(&self, formatter: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            Self::NoEnd => formatter.write_str("the file ends without an end record (S7, S8 or S9)"),
            Self::Filled { first, bytes } => {
                write!(
                    formatter,
                    "the file leaves out {bytes} bytes between the items, the first at {first:X}; they are taken as fill"
                )
            }
        }
    }
}

/// The largest sensible size, in bytes, of a file for an image of `size` bytes: for each byte of the image as many
/// as a text file needs at most, blank lines and long line ends included, and some for its beginning.
pub fn longest_file_bytes(size: u32) -> u64 {
    const PER_BYTE: u64 = 16;
    const AT_LEAST: u64 = 65_536;
    AT_LEAST + PER_BYTE * u64::from(size)
}

/// Reads a file for the image of a project's layout, whatever its name: Intel HEX, S-record with one of S1 to
/// S3, or a raw binary of exactly the image's size.
///
/// # Errors
/// [`FileError`] with the line (wrong checksum, overlap, truncated record, missing end, address outside the
/// image, garbage) or with the item for which the file holds no bytes.
pub fn read_file(file: &[u8], project: &Parts) -> Result<ReadFile, FileError> {
    let layout = &project.image;
    let format = format_of(file, layout.size)?;
    let mut warnings = Vec::new();
    let mut miscount = None;
    let pieces: Pieces = match format {
        FileFormat::Binary => return Ok(ReadFile { format, bytes: file.to_vec(), warnings }),
        FileFormat::IntelHex => intel_hex::read(file)?,
        FileFormat::SRecord => {
            let found = s_record::read(file)?;
            if !found.is_ended {
                warnings.push(FileWarning::NoEnd);
            }
            miscount = found.miscount;
            found.pieces
        }
    };
    let (bytes, gaps) = pieces.place(layout.start, layout.size, layout.fill)?;
    miscount.map_or(Ok(()), Err)?;
    if let Some(first) = gaps.first() {
        check_gaps(&gaps, project)?;
        let bytes = gaps.iter().map(|gap| gap.end - gap.start).sum();
        warnings.push(FileWarning::Filled { first: first.start, bytes });
    }
    Ok(ReadFile { format, bytes, warnings })
}

/// A file of exactly the image's size is binary, unless it is plain text with a record on its first line: the
/// text of a whole image is more than twice as long. Otherwise the first line that begins like a record
/// decides.
fn format_of(file: &[u8], size: u32) -> Result<FileFormat, FileError> {
    let is_text = |byte: &u8| matches!(byte, b' '..=b'~' | b'\t' | b'\r' | b'\n');
    if file.len() == size as usize && !(matches!(file, [b':' | b'S', ..]) && file.iter().all(is_text)) {
        return Ok(FileFormat::Binary);
    }
    let format = |(_, line): (usize, &[u8])| match line {
        [b':', ..] => Some(FileFormat::IntelHex),
        [b'S', b'0'..=b'9', ..] => Some(FileFormat::SRecord),
        _ => None,
    };
    let found = super::lines(file).find_map(format);
    found.ok_or(FileError::Unknown { given: file.len(), expected: size })
}

/// Refuses a file that lacks bytes of an item or of the checksum.
fn check_gaps(gaps: &[Range<u64>], project: &Parts) -> Result<(), FileError> {
    let items = project.image.items.iter().map(|item| {
        let size = project.content_size(item);
        let bytes = (size.speeds * size.loads) as u64 * u64::from(item.cell.size());
        (u64::from(item.address), bytes, format!("'{}'", item.name))
    });
    let checksum = &project.image.checksum;
    let stored = (checksum.kind != ChecksumKind::None)
        .then(|| (u64::from(checksum.stored_at), u64::from(checksum.kind.size()), "the checksum".to_owned()));
    for (from, bytes, what) in items.chain(stored) {
        if let Some(gap) = gaps.iter().find(|gap| gap.start < from + bytes && from < gap.end) {
            return Err(FileError::Missing { address: gap.start.max(from), what });
        }
    }
    Ok(())
}
