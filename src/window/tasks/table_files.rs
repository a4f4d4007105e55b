//! Reading and writing table files, and writing pages to print. All of it on threads.

use std::path::{Path, PathBuf};
use std::sync::Arc;

use super::jobs::News;
use crate::document::{read_bounded, write_file};
use crate::interchange::{DecimalMark, MAX_FILE_BYTES, TableFileError, read_table_as};
use crate::window::state::dialogs::ReadTable;
use crate::wording::Refusal;

/// Writes a table.
pub fn write(path: PathBuf, text: &str) -> News {
    let done = put(&path, text.as_bytes());
    News::Exported { path, done }
}

/// Writes a page: its name, and how its bytes are made.
pub fn write_page(what: &'static str, path: PathBuf, make: impl FnOnce() -> Result<Vec<u8>, Refusal>) -> News {
    let done = make().and_then(|bytes| put(&path, &bytes));
    News::PageWritten(what, path, done)
}

/// Remarks about a file that was written, or why it was not.
fn put(path: &Path, bytes: &[u8]) -> Result<Option<String>, Refusal> {
    let warning = write_file(path, bytes)?;
    Ok(warning.map(|warning| warning.to_string()))
}

/// Reads a table.
pub fn read(path: PathBuf) -> News {
    match read_bounded(&path, MAX_FILE_BYTES as u64) {
        Ok(bytes) => read_as(path, bytes.into(), None),
        Err(error) => News::TableRead { path, read: ReadTable::Refused(error.to_string()) },
    }
}

/// Reads a table from the bytes of its file; if `mark` is `None`, the result may be a question for the decimal mark.
pub fn read_as(path: PathBuf, bytes: Arc<[u8]>, mark: Option<DecimalMark>) -> News {
    let read = match read_table_as(&bytes, mark) {
        Ok(file) => ReadTable::Found(Box::new(file)),
        Err(TableFileError::AskMark(question)) => ReadTable::Ask { bytes, question },
        Err(error) => ReadTable::Refused(error.to_string()),
    };
    News::TableRead { path, read }
}
