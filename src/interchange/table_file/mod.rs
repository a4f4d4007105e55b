//! A table in a CSV or TSV file.

mod error;
mod read;
mod write;

pub(super) use error::shown;
pub use error::{Place, TableFileError};
pub use read::{MAX_FILE_BYTES, TableFile, read_table, read_table_as};
pub use write::{WriteError, WriteOptions, write_table};
