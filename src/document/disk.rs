//! What is on the disk, whatever a path turns out to be, and whether it is still what was last read or written.

use std::fs::{File, OpenOptions};
use std::io::Read;
use std::path::{Path, PathBuf};
use std::{fs, io};

use thiserror::Error;

use super::OpenError;
use crate::project::{LARGEST_FILE_BYTES, ReadError};

/// The state of an open project's file, compared with what was last read from it or written to it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum DiskState {
    /// The same bytes.
    Same,
    /// Someone else wrote it.
    Changed,
    /// It is no longer there.
    Missing,
    /// It is there but cannot be read: why.
    Unreadable(String),
}

/// Length and hash of a file's bytes: distinguishes contents regardless of file times.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Fingerprint {
    pub(super) length: u64,
    pub(super) hash: u64,
}

impl Fingerprint {
    pub(super) fn of(bytes: &[u8]) -> Self {
        Self { length: bytes.len() as u64, hash: fnv1a(bytes) }
    }
}

/// The 64-bit FNV-1a hash (Fowler, Noll, Vo), the same on every system and in every version of the program.
pub(super) fn fnv1a(bytes: &[u8]) -> u64 {
    bytes.iter().fold(0xcbf2_9ce4_8422_2325, |hash, &byte| (hash ^ u64::from(byte)).wrapping_mul(0x0100_0000_01b3))
}

/// Compares a file with its last known content; `known` is `None` if nothing is known of it.
pub(super) fn compare(path: &Path, known: Option<Fingerprint>) -> DiskState {
    match read(path) {
        Ok(bytes) if known == Some(Fingerprint::of(&bytes)) => DiskState::Same,
        Ok(_) | Err(OpenError::Invalid { .. }) => DiskState::Changed,
        Err(OpenError::Missing { .. }) => DiskState::Missing,
        Err(error) => DiskState::Unreadable(error.to_string()),
    }
}

/// The result of looking at a file.
#[derive(Clone, Debug)]
pub(super) struct Seen {
    /// The file compared with its last known content.
    pub(super) state: DiskState,
    /// Whether it is write-protected.
    pub(super) is_protected: bool,
}

impl Seen {
    pub(super) fn of(path: &Path, known: Option<Fingerprint>) -> Self {
        let is_protected = path.metadata().is_ok_and(|about| about.permissions().readonly());
        Self { state: compare(path, known), is_protected }
    }
}

/// The bytes of an ordinary file, if it is not larger than a project may be.
pub(super) fn read(path: &Path) -> Result<Vec<u8>, OpenError> {
    let path_of = || path.to_owned();
    read_bounded(path, LARGEST_FILE_BYTES).map_err(|error| match error {
        BoundedError::Folder => OpenError::Folder { path: path_of() },
        BoundedError::NotAFile => OpenError::NotAFile { path: path_of() },
        BoundedError::TooLarge { bytes, .. } => {
            OpenError::Invalid { path: path_of(), source: ReadError::TooLarge { bytes } }
        }
        BoundedError::Io(error) => OpenError::of(path, error),
    })
}

/// The file that a chain of symbolic links leads to, whether it exists or not; the path itself if it is not a
/// link.
pub(super) fn follow_links(path: &Path) -> PathBuf {
    // As many as Linux follows; a cycle of links then causes an error when it is opened.
    const MOST_LINKS: usize = 40;
    let mut target = path.to_owned();
    for _ in 0..MOST_LINKS {
        let Ok(next) = fs::read_link(&target) else {
            break;
        };
        target = target.parent().map_or_else(|| next.clone(), |folder| folder.join(&next));
    }
    target
}

/// The folder to watch in order to notice that someone else changes a document's file: that of the link's
/// target if the path is a link. The watcher calls [`Document::check_disk`](super::Document::check_disk) when
/// something in it is written, moved or deleted; not when something is read, since that call itself reads.
pub fn folder_to_watch(file: &Path) -> Option<PathBuf> {
    follow_links(file).parent().map(Path::to_owned)
}

/// Whether two paths lead to the same file, through symbolic or hard links.
pub(super) fn is_one_file(one: &Path, other: &Path) -> bool {
    #[cfg(unix)]
    {
        use std::os::unix::fs::MetadataExt;
        let number = |path: &Path| fs::metadata(path).ok().map(|about| (about.dev(), about.ino()));
        if number(one).is_some_and(|known| Some(known) == number(other)) {
            return true;
        }
    }
    identity(one) == identity(other)
}

/// A single name for a file, whatever path leads to it.
pub(super) fn identity(path: &Path) -> PathBuf {
    let target = follow_links(path);
    if let Ok(known) = fs::canonicalize(&target) {
        return known;
    }
    let folder = target.parent().and_then(|folder| fs::canonicalize(folder).ok());
    match (folder, target.file_name()) {
        (Some(folder), Some(name)) => folder.join(name),
        _ => target,
    }
}

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
    use std::fs::File;

    /// Check values of G. Fowler, L. C. Noll and K.-P. Vo, "FNV Hash", the authors' page, 1990s, from memory.
    #[test]
    fn the_hash_is_fnv_1a() {
        assert_eq!(fnv1a(b""), 0xcbf2_9ce4_8422_2325);
        assert_eq!(fnv1a(b"a"), 0xaf63_dc4c_8601_ec8c);
        assert_eq!(fnv1a(b"foobar"), 0x8594_4171_f739_67e8);
    }

    #[test]
    fn tells_what_happened_to_a_file() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("a.ron");
        assert_eq!(compare(&path, None), DiskState::Missing);
        fs::write(&path, "one").unwrap();
        let known = Some(Fingerprint::of(b"one"));
        assert_eq!(compare(&path, known), DiskState::Same);
        assert_eq!(compare(&path, None), DiskState::Changed);
        fs::write(&path, "two").unwrap();
        assert_eq!(compare(&path, known), DiskState::Changed);
        File::create(&path).unwrap().set_len(LARGEST_FILE_BYTES + 1).unwrap();
        assert_eq!(compare(&path, known), DiskState::Changed);
        assert!(matches!(compare(folder.path(), known), DiskState::Unreadable(_)));
    }

    #[cfg(unix)]
    #[test]
    fn devices_are_not_read_and_links_are_followed() {
        assert!(matches!(read(Path::new("/dev/zero")), Err(OpenError::NotAFile { .. })));
        let folder = tempfile::tempdir().unwrap();
        let inside = folder.path().join("inside");
        fs::create_dir(&inside).unwrap();
        let [first, second] = ["first", "second"].map(|name| folder.path().join(name));
        std::os::unix::fs::symlink("second", &first).unwrap();
        std::os::unix::fs::symlink("inside/real.ron", &second).unwrap();
        assert_eq!(follow_links(&first), inside.join("real.ron"));
        let before = identity(&first);
        fs::write(inside.join("real.ron"), "").unwrap();
        assert_eq!(identity(&first), before);
        assert_eq!(identity(&inside.join("../inside/real.ron")), before);
        std::os::unix::fs::symlink("ring", folder.path().join("ring")).unwrap();
        assert!(matches!(read(&folder.path().join("ring")), Err(OpenError::Io { .. })));
    }

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
