//! The place of a recovery copy in the data folder.

use std::fs::{self, File};
use std::io;
use std::path::{Path, PathBuf};

use super::super::bounded::open_ordinary;
use super::super::disk::fnv1a;
use super::super::lock::try_lock;
use super::super::temporary::Access;
use super::super::{DataFolder, replace};

/// Where the copies are, inside the data folder.
pub(super) const FOLDER: &str = "recovery";
/// The ending of a copy's name; a copy is a project file.
pub(super) const COPY_ENDING: &str = "ron";
const LOCK_ENDING: &str = "lock";

/// A copy's file and the lock that shows that its owner is alive.
#[derive(Debug)]
pub(super) struct Slot {
    copy: PathBuf,
    /// Kept open only for its lock.
    lock: File,
}

impl Slot {
    /// A new place for a copy of a project file, or of a project that was never saved.
    pub(super) fn claim(data: &DataFolder, origin: Option<&Path>) -> io::Result<Self> {
        let folder = data.private_folder(FOLDER)?;
        let origin = origin.map_or(0, |path| fnv1a(path.as_os_str().as_encoded_bytes()));
        let process = std::process::id();
        let mut number = 0_u32;
        loop {
            // An earlier process may have had the same id, and its copies are still wanted.
            let copy = folder.join(format!("{origin:016x}-{process}-{number}.{COPY_ENDING}"));
            match File::create_new(copy.with_extension(LOCK_ENDING)) {
                Ok(lock) => {
                    // Where there are no locks, the process id has to do.
                    let _ = try_lock(&lock);
                    return Ok(Self { copy, lock });
                }
                Err(error) if error.kind() == io::ErrorKind::AlreadyExists => number += 1,
                Err(error) => return Err(error),
            }
        }
    }

    /// Takes over a copy whose owner is gone; `None` if the owner is alive. `process` is the owner's id.
    pub(super) fn take_over(copy: &Path, process: u32) -> io::Result<Option<Self>> {
        let options = File::options().write(true).create(true).truncate(false).to_owned();
        let lock = open_ordinary(&copy.with_extension(LOCK_ENDING), &options)?;
        let free = try_lock(&lock).unwrap_or(process != std::process::id());
        let slot = Self { copy: copy.to_owned(), lock };
        if free && !copy.exists() {
            // Its owner has just deleted it.
            slot.remove()?;
            return Ok(None);
        }
        Ok(free.then_some(slot))
    }

    /// Whether the owner of a copy is alive, as far as its lock shows.
    pub(super) fn is_owned(copy: &Path) -> bool {
        let lock = open_ordinary(&copy.with_extension(LOCK_ENDING), File::options().write(true));
        lock.and_then(|lock| try_lock(&lock)).is_ok_and(|is_free| !is_free)
    }

    pub(super) fn copy(&self) -> &Path {
        &self.copy
    }

    pub(super) fn write(&self, text: &str) -> io::Result<()> {
        replace::replace_file(&self.copy, text.as_bytes(), Access::Private)
    }

    /// Deletes the copy, and then the lock.
    pub(super) fn remove(self) -> io::Result<()> {
        let Self { copy, lock } = self;
        match fs::remove_file(&copy) {
            Err(error) if error.kind() != io::ErrorKind::NotFound => return Err(error),
            _ => {}
        }
        // Not every system can delete an open file.
        drop(lock);
        fs::remove_file(copy.with_extension(LOCK_ENDING))
    }
}
