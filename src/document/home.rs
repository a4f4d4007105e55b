//! The file of an open project, as its document knows it.

use std::path::PathBuf;

use super::DataFolder;
use super::disk::{self, DiskState, Fingerprint, Seen};
use super::lock::Lock;

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
