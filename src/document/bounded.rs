//! Reading a whole file, whatever the path turns out to be.

use std::fs::{self, File, OpenOptions};
use std::io::{self, Read};
use std::path::Path;

use thiserror::Error;

/// Why a file was not read.
#[derive(Debug, Error)]
pub enum BoundedError {
    /// The path is a folder.
    #[error("this is a folder; choose a file in it")]
    Folder,
    /// The path is a device, a pipe or the like: reading it might never end.
    #[error("this is no ordinary file; choose another")]
    NotAFile,
    /// It is longer than any file of this kind should be.
    #[error("the file has {bytes} bytes, and at most {limit} are read here; choose another")]
    TooLarge {
        /// Its length.
        bytes: u64,
        /// The most that is read.
        limit: u64,
    },
    /// What the system said.
    #[error(transparent)]
    Io(#[from] io::Error),
}

/// The bytes of an ordinary file that has at most `limit` of them.
///
/// # Errors
/// [`BoundedError`]; at most one byte more than `limit` is read.
pub fn read_bounded(path: &Path, limit: u64) -> Result<Vec<u8>, BoundedError> {
    let about = fs::metadata(path)?;
    if about.is_dir() {
        return Err(BoundedError::Folder);
    }
    if !about.is_file() {
        return Err(BoundedError::NotAFile);
    }
    let mut bytes = Vec::new();
    File::open(path)?.take(limit.saturating_add(1)).read_to_end(&mut bytes)?;
    // It may have grown since its length was read, or the length may be wrong.
    let length = about.len().max(bytes.len() as u64);
    if length > limit {
        return Err(BoundedError::TooLarge { bytes: length, limit });
    }
    Ok(bytes)
}

/// Opens a path unless it is a device, a pipe or the like: opening one of those might wait for ever.
pub(super) fn open_ordinary(path: &Path, options: &OpenOptions) -> io::Result<File> {
    match fs::metadata(path) {
        Ok(about) if !about.is_file() => Err(io::Error::other("this is no ordinary file")),
        _ => options.open(path),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_file_is_read_up_to_its_limit() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("a");
        fs::write(&path, "four").unwrap();
        assert_eq!(read_bounded(&path, 4).unwrap(), b"four");
        assert!(matches!(read_bounded(&path, 3), Err(BoundedError::TooLarge { bytes: 4, limit: 3 })));
        assert!(matches!(read_bounded(folder.path(), 4), Err(BoundedError::Folder)));
        assert!(matches!(read_bounded(&folder.path().join("b"), 4), Err(BoundedError::Io(_))));
    }

    #[cfg(unix)]
    #[test]
    fn devices_and_pipes_are_refused_at_once() {
        let folder = tempfile::tempdir().unwrap();
        let pipe = folder.path().join("pipe");
        assert!(std::process::Command::new("mkfifo").arg(&pipe).status().unwrap().success());
        for path in [Path::new("/dev/zero"), &pipe] {
            assert!(matches!(read_bounded(path, 4), Err(BoundedError::NotAFile)), "{}", path.display());
        }
    }
}
