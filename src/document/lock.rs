//! One writer per project file.
//!
//! The lock is on a file in the data folder, named after the project file, and not on one next to it. So there
//! is always a place for it, even for projects in folders that cannot be written; no shared or synchronised
//! folder is littered; and the project file itself is replaced at every save, which would lose a lock on it.
//! The price: users with different data folders do not see each other's locks, but what one of them saves, the
//! other notices by its content. The system releases the lock when its process ends, however it ends; the empty
//! file stays, since deleting it could take the lock away from another window that is just opening it.

use std::fs::{File, TryLockError};
use std::io;
use std::path::Path;

use super::bounded::open_ordinary;
use super::disk::{fnv1a, identity};
use super::{DataFolder, SaveError, SaveWarning};

/// Whether this process may write a file.
#[derive(Debug)]
pub(super) enum Lock {
    /// Yes, and nobody else may, as long as the file stays open.
    Held {
        /// Kept open only for its lock.
        _file: File,
    },
    /// No: another window may.
    InUse,
    /// Unknown: the system gave no lock, or no file to take it on; with its reason.
    Refused(String),
}

impl Lock {
    pub(super) fn take(data: &DataFolder, path: &Path) -> Self {
        match try_take(data, path) {
            Ok(Some(file)) => Self::Held { _file: file },
            Ok(None) => Self::InUse,
            Err(error) => Self::Refused(error.to_string()),
        }
    }

    /// Refuses to write a file that another window may write.
    pub(super) fn check(&self, path: &Path) -> Result<(), SaveError> {
        match self {
            Self::InUse => Err(SaveError::InUse { path: path.to_owned() }),
            Self::Held { .. } | Self::Refused(_) => Ok(()),
        }
    }

    /// The warning that a save with this lock should give.
    pub(super) fn warning(&self) -> Option<SaveWarning> {
        match self {
            Self::Refused(why) => Some(SaveWarning::Unlocked { why: why.clone() }),
            Self::Held { .. } | Self::InUse => None,
        }
    }
}

fn try_take(data: &DataFolder, path: &Path) -> io::Result<Option<File>> {
    let name = format!("{:016x}.lock", fnv1a(identity(path).as_os_str().as_encoded_bytes()));
    let place = data.folder("locks")?.join(name);
    let file = open_ordinary(&place, File::options().write(true).create(true).truncate(false))?;
    try_lock(&file).map(|held| held.then_some(file))
}

/// Locks a file unless another handle has the lock; returns whether it did.
pub(super) fn try_lock(file: &File) -> io::Result<bool> {
    match file.try_lock() {
        Ok(()) => Ok(true),
        Err(TryLockError::WouldBlock) => Ok(false),
        Err(TryLockError::Error(error)) => Err(error),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_second_waits_until_the_first_lets_go() {
        let folder = tempfile::tempdir().unwrap();
        let data = DataFolder::at(folder.path().join("data"));
        let path = folder.path().join("a.ron");
        let first = Lock::take(&data, &path);
        assert!(matches!(first, Lock::Held { .. }));
        assert!(matches!(Lock::take(&data, &folder.path().join("./a.ron")), Lock::InUse));
        assert!(matches!(Lock::take(&data, &folder.path().join("b.ron")), Lock::Held { .. }));
        drop(first);
        assert!(matches!(Lock::take(&data, &path), Lock::Held { .. }));
        assert!(matches!(Lock::take(&DataFolder::none(), &path), Lock::Refused(_)));
    }
}
