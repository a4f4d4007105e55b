//! Saving, and going back to what was saved.

use std::path::{self, Path, PathBuf};

use crate::project::{LARGEST_FILE_BYTES, write};

use super::disk::{self, DiskState, Fingerprint};
use super::document::change;
use super::home::Home;
use super::lock::Lock;
use super::opening::content;
use super::recovery::Copy;
use super::{Document, OpenError, SaveError, SaveWarning, Saved, replace};

const ENDING: &str = "ron";

impl Document {
    /// Saves to the document's file. Through a symbolic link, its target is written.
    ///
    /// # Errors
    /// [`SaveError`]; the work stays in the window and in the recovery copy. [`SaveError::ChangedOnDisk`] when someone
    /// else wrote the file, and then [`save_as`](Self::save_as), [`reload`](Self::reload) and
    /// [`save_over`](Self::save_over) are the ways on.
    pub fn save(&mut self) -> Result<Saved, SaveError> {
        self.save_here(false)
    }

    /// Saves to the document's file whatever is in it now.
    ///
    /// # Errors
    /// As for [`save`](Self::save), except for what was in the file.
    pub fn save_over(&mut self) -> Result<Saved, SaveError> {
        self.save_here(true)
    }

    /// Saves under another name, in the place of what is there, and goes on with that file. A name without an ending
    /// gets `.ron`.
    ///
    /// # Errors
    /// As for [`save`](Self::save); the document keeps the file it had.
    pub fn save_as(&mut self, path: &Path) -> Result<Saved, SaveError> {
        let path = path::absolute(path).map_err(|error| SaveError::of(path, error))?;
        let (path, ending) = with_ending(path)?;
        let mut warnings: Vec<_> = ending.into_iter().collect();
        let is_here = self.home.as_ref().is_some_and(|home| home.is_at(&path));
        if is_here {
            let mut saved = self.save()?;
            saved.warnings.extend(warnings);
            return Ok(saved);
        }
        self.close_gesture();
        let copy = self.copy();
        let bytes = self.bytes()?;
        let home = Home::new(&self.data, path, None);
        home.check_lock()?;
        warnings.extend(self.write(&home, &bytes, copy)?);
        Ok(self.settle(home, &bytes, warnings))
    }

    fn save_here(&mut self, over: bool) -> Result<Saved, SaveError> {
        self.close_gesture();
        let (bytes, copy) = (self.bytes()?, self.copy());
        let mut home = self.home.take().ok_or(SaveError::NoFile)?;
        match self.write_here(&mut home, &bytes, copy, over) {
            Ok(warnings) => Ok(self.settle(home, &bytes, warnings)),
            Err(error) => {
                self.home = Some(home);
                self.refresh_note();
                Err(error)
            }
        }
    }

    fn write_here(
        &mut self,
        home: &mut Home,
        bytes: &[u8],
        copy: Copy,
        over: bool,
    ) -> Result<Vec<SaveWarning>, SaveError> {
        home.retry_lock(&self.data);
        home.check_lock()?;
        home.look();
        let mut warnings = Vec::new();
        match &home.disk {
            DiskState::Missing => warnings.push(SaveWarning::WrittenAgain),
            DiskState::Changed if !over && !holds(&home.path, bytes) => {
                return Err(SaveError::ChangedOnDisk { path: home.path.clone() });
            }
            DiskState::Unreadable(why) if !over => {
                return Err(SaveError::Unreadable { path: home.path.clone(), why: why.clone() });
            }
            _ => {}
        }
        warnings.extend(self.write(home, bytes, copy)?);
        Ok(warnings)
    }

    fn write(&mut self, home: &Home, bytes: &[u8], copy: Copy) -> Result<Vec<SaveWarning>, SaveError> {
        let target = disk::follow_links(&home.path);
        let mut warnings: Vec<_> =
            replace::write(&target, bytes, || self.keeper.write_now(copy))?.into_iter().collect();
        if let Lock::Refused(why) = &home.lock {
            warnings.push(SaveWarning::Unlocked { why: why.clone() });
        }
        Ok(warnings)
    }

    /// Takes down that the project is in the file.
    fn settle(&mut self, mut home: Home, bytes: &[u8], warnings: Vec<SaveWarning>) -> Saved {
        let path = home.path.clone();
        home.known = Some(Fingerprint::of(bytes));
        home.disk = DiskState::Same;
        home.is_protected = false;
        self.home = Some(home);
        self.saved = Some(self.project().clone());
        self.has_comments = false;
        self.keeper.delete();
        self.refresh_note();
        Saved { path, warnings }
    }

    fn bytes(&self) -> Result<Vec<u8>, SaveError> {
        let bytes = write(self.project())?.into_bytes();
        let length = bytes.len() as u64;
        if length > LARGEST_FILE_BYTES {
            return Err(SaveError::TooLarge { bytes: length });
        }
        Ok(bytes)
    }

    /// Looks at the file on the disk, and takes the lock if the window that had it is closed. For when this window gets the
    /// focus, and for a watcher of the file's folder.
    pub fn check_disk(&mut self) -> DiskState {
        let Some(home) = &mut self.home else {
            return DiskState::Same;
        };
        home.retry_lock(&self.data);
        let state = home.look().clone();
        self.refresh_note();
        self.keep_copy();
        state
    }

    /// Goes back to what is in the file, as one step: nothing is lost. Says whether anything changed.
    ///
    /// # Errors
    /// [`OpenError`] when the file cannot be read; the project is as it was.
    pub fn revert(&mut self) -> Result<bool, OpenError> {
        self.read_again("Revert to the saved file")
    }

    /// Takes over what someone else wrote into the file, as one step: nothing is lost. Says whether anything changed.
    ///
    /// # Errors
    /// [`OpenError`] when the file cannot be read; the project is as it was.
    pub fn reload(&mut self) -> Result<bool, OpenError> {
        self.read_again("Reload the changed file")
    }

    fn read_again(&mut self, label: &str) -> Result<bool, OpenError> {
        self.close_gesture();
        let home = self.home.as_mut().ok_or(OpenError::NoFile)?;
        let content = content(&home.path)?;
        home.known = Some(content.known);
        home.disk = DiskState::Same;
        self.saved = Some(content.project.clone());
        self.has_comments = content.has_comments;
        let changed = self.history.append(change(label, None), content.project);
        self.refresh_note();
        self.keep_copy();
        Ok(changed)
    }
}

fn holds(path: &Path, bytes: &[u8]) -> bool {
    disk::read(path).is_ok_and(|found| found == bytes)
}

/// Adds `.ron` to a name without an ending, unless a file of the name exists: then that one was meant.
fn with_ending(path: PathBuf) -> Result<(PathBuf, Option<SaveWarning>), SaveError> {
    if path.extension().is_some() || path.file_name().is_none() || path.exists() {
        return Ok((path, None));
    }
    let path = path.with_extension(ENDING);
    if path.exists() {
        return Err(SaveError::Exists { path });
    }
    let warning = SaveWarning::EndingAdded { path: path.clone() };
    Ok((path, Some(warning)))
}
