//! The file of an open project, as its document knows it, and the lock that lets only one writer have it.
//!
//! The lock is on a file in the data folder, named after the project file, and not on one next to it. So there
//! is always a place for it, even for projects in folders that cannot be written; no shared or synchronised
//! folder is littered; and the project file itself is replaced at every save, which would lose a lock on it.
//! The price: users with different data folders do not see each other's locks, but what one of them saves, the
//! other notices by its content. The system releases the lock when its process ends, however it ends; the empty
//! file stays, since deleting it could take the lock away from another window that is just opening it.

use std::fs::{File, TryLockError};
use std::io;
use std::path::{Path, PathBuf};

use super::disk::{DiskState, Fingerprint, Seen, fnv1a, identity, open_ordinary};
use super::{DataFolder, SaveError, SaveWarning, disk};

/// Where a project is saved.
#[derive(Debug)]
pub(super) struct Home {
    /// Absolute, as it was asked for: it may be a link.
    pub(super) path: PathBuf,
    /// A single name for the file to which the path led when the lock was taken.
    identity: PathBuf,
    /// What was last read or written; `None` if nothing was.
    pub(super) known: Option<Fingerprint>,
    /// The state of the file when last looked at.
    pub(super) disk: DiskState,
    pub(super) lock: Lock,
    pub(super) is_protected: bool,
}

impl Home {
    /// Takes the lock and looks at the file.
    pub(super) fn new(data: &DataFolder, path: PathBuf, known: Option<Fingerprint>) -> Self {
        let mut home = Self::unseen(data, path);
        home.known = known;
        home.take_in(Seen::of(&home.path, known));
        home
    }

    /// Takes the lock of a file that is about to be written, without looking at it.
    pub(super) fn unseen(data: &DataFolder, path: PathBuf) -> Self {
        let (identity, lock) = (disk::identity(&path), Lock::take(data, &path));
        Self { path, identity, known: None, disk: DiskState::Same, lock, is_protected: false }
    }

    /// Records the result of looking at the file.
    pub(super) fn take_in(&mut self, seen: Seen) -> &DiskState {
        self.is_protected = seen.is_protected;
        self.disk = seen.state;
        &self.disk
    }

    /// Takes over the lock that a thread has tried to get again, if there is still none.
    pub(super) fn take_lock(&mut self, retaken: Option<Lock>) {
        if let (Some(lock), Lock::InUse) = (retaken, &self.lock) {
            self.lock = lock;
        }
    }

    /// Whether another window had the lock when it was last tried.
    pub(super) const fn is_in_use(&self) -> bool {
        matches!(self.lock, Lock::InUse)
    }

    /// Hands the lock over to another home of the same file, which could not get it.
    pub(super) fn hand_lock_to(&mut self, other: &mut Self) {
        let is_wanted = matches!((&self.lock, &other.lock), (Lock::Held { .. }, Lock::InUse));
        if is_wanted && self.identity == other.identity {
            std::mem::swap(&mut self.lock, &mut other.lock);
        }
    }

    /// What the user should know about the file, in one or two sentences.
    pub(super) fn note(&self) -> Option<String> {
        match &self.lock {
            Lock::InUse => Some(
                "Read-only: another window has this file open. Changes can be saved under another name, or here once that window is closed."
                    .into(),
            ),
            _ if self.is_protected => Some(
                "Read-only: the file is write-protected. Changes can be saved under another name, or here once the protection is lifted."
                    .into(),
            ),
            Lock::Refused(why) => Some(format!(
                "A second window on this file would not be noticed ({why}). Changes on the disk still are, when saving."
            )),
            Lock::Held { .. } => None,
        }
    }
}

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
