//! Files that a job has made and that wait to take their places until it is done.

use std::path::{Path, PathBuf};

use super::Failure;
use crate::document::{Export, Placed, SaveWarning, Staged, place_all};

/// Something that waits to take its place; dropped, it is removed.
#[derive(Debug)]
pub(super) enum Pending {
    /// Files, placed all or none.
    Files(Vec<Staged>),
    /// Files for a flashing tool.
    Export(Box<Export>),
    /// Folders made for other pending files.
    Folders(Folders),
}

/// What has taken its place; it can be undone until this is dropped.
#[derive(Debug)]
pub(super) struct Done {
    placed: Placed,
    /// Dropped last, when nothing can be undone any more.
    _folders: Option<Folders>,
    /// Remarks about it.
    pub(super) remarks: Vec<String>,
}

impl Done {
    /// Restores what was there before.
    pub(super) fn give_back(self) {
        self.placed.give_back();
    }
}

impl Pending {
    /// Puts it in its place.
    pub(super) fn place(self) -> Result<Done, Failure> {
        let told = |warning: &Option<SaveWarning>| warning.as_ref().map(ToString::to_string);
        match self {
            Self::Files(files) => {
                let placed = place_all(files)?;
                let remarks = placed.warnings().iter().filter_map(told).collect();
                Ok(Done { placed, _folders: None, remarks })
            }
            Self::Export(export) => {
                let (exported, placed) = export.place()?;
                let remarks = exported.remarks.into_iter().chain(placed.warnings().iter().filter_map(told)).collect();
                Ok(Done { placed, _folders: None, remarks })
            }
            Self::Folders(made) => Ok(Done { placed: Placed::default(), _folders: Some(made), remarks: Vec::new() }),
        }
    }
}

/// Puts all of them in their places, or none.
pub(super) fn place(files: Vec<Pending>) -> Result<Vec<Done>, Failure> {
    let mut done = Vec::with_capacity(files.len());
    for file in files {
        match file.place() {
            Ok(placed) => done.push(placed),
            Err(failure) => {
                give_back(done);
                return Err(failure);
            }
        }
    }
    Ok(done)
}

/// Restores what was there before, the last first: folders that were made can only go once the files in them
/// are gone.
pub(super) fn give_back(done: Vec<Done>) {
    let (folders, files): (Vec<_>, Vec<_>) = done.into_iter().partition(|done| done._folders.is_some());
    files.into_iter().rev().for_each(Done::give_back);
    drop(folders);
}

/// Folders that were made, the innermost first; those that remain empty are removed again.
#[derive(Debug)]
pub(super) struct Folders(Vec<PathBuf>);

impl Folders {
    /// Makes the folder and those on the way to it.
    pub(super) fn make(folder: &Path) -> Result<Self, std::io::Error> {
        let missing = |folder: &&Path| !folder.as_os_str().is_empty() && !folder.exists();
        let made = Self(folder.ancestors().take_while(missing).map(Path::to_owned).collect());
        std::fs::create_dir_all(folder).map(|()| made)
    }
}

impl Drop for Folders {
    fn drop(&mut self) {
        // The system does not remove a folder with something in it.
        self.0.iter().for_each(|folder| drop(std::fs::remove_dir(folder)));
    }
}
