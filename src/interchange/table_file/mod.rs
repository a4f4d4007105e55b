//! A table in a CSV or TSV file.

mod error;
mod read;
mod write;

pub use error::{Place, TableFileError};
pub use read::{MAX_FILE_BYTES, TableFile, read_table};
pub use write::{WriteError, WriteOptions, write_table};
