//! Floor 3: the image for the flashing tool. Bytes in and out; no files here.
//!
//! [`encode`] turns a project into the bytes that its layout describes, [`decode`] turns bytes back into a
//! project, and [`verify`] compares the two. An item's numbers are kept in this room as everywhere else, lowest
//! load and lowest speed first, row by row; the order and the directions of the layout apply only where bytes
//! are read or written.
//!
//! [`intel_hex`], [`s_record`] and the image's own bytes are the files for flashing tools; [`read_file`] reads
//! any of them and recognises the format by the content. [`a2l`] describes the same addresses. [`as_flashed`]
//! is the table as the unit will have it.

mod a2l;
mod as_flashed;
mod assemble;
mod checksum;
mod compare_spark;
mod decode;
mod encode;
mod error;
mod file;
mod folding;
mod number;
mod output;
mod place;
mod rearrange;
mod remarks;
#[cfg(test)]
mod samples;
#[cfg(test)]
mod spark_proofs;
mod unit;
mod unit_axis;
mod values;
mod verify;

pub use a2l::a2l;
pub use as_flashed::{AsFlashed, FlashedDifference, as_flashed, flashed_size};
pub use assemble::{EncodedItem, Image, Loss};
pub use checksum::{ChecksumMismatch, checksum_of, digits as checksum_digits, name as checksum_name};
pub use compare_spark::{SparkComparison, SparkDifference, SparkPlace, StateDifference, compare_spark};
pub use decode::{Decoded, OnMismatch, ReadChanges, decode, read_changes};
pub use encode::{ItemDescription, describe, encode, encode_or_all_faults, verify};
pub use error::{DecodeError, ImageError, PastRange, cell_name};
pub use file::{
    FileError, FileFormat, FileWarning, ReadFile, RecordFault, RecordWidth, SRecordFile, SRecordType, intel_hex,
    longest_file_bytes, read_file, s_record,
};
pub use folding::{folding_words, largest_folding};
pub use number::{Quantity, Raw, count_range, physical_range};
pub use output::{Output, OutputFormat, ReadBackError, check_read_back, output, title};
pub use place::{Place, stored_words};
pub use rearrange::{
    AddError, Completed, add_item, add_missing, move_item, rebase, remove_item, resize_item, set_checksum_kind,
    set_image_size,
};
pub use remarks::{NotHeld, Remark, RemarkKind, not_held};
pub use unit::{Features, FlashedUnit};
pub use unit_axis::{FRACTION_BITS, IntegerLookup};
pub use values::Resampled;
pub use verify::{Comparison, Difference, Stray};
