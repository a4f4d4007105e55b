//! Files that a job has made and that wait for its report before they take their places.

use std::path::{Path, PathBuf};

use super::Failure;
use super::stream::Unfinished;
use crate::document::{Export, SaveWarning, Staged, commit_all};

/// Something that waits to take its place; dropped, it is gone.
#[derive(Debug)]
pub(super) enum Pending {
    /// Files, all or none.
    Files(Vec<Staged>),
    /// Files for a flashing tool.
    Export(Box<Export>),
    /// What was written row by row.
    Stream(Unfinished),
    /// Folders made for the files before it.
    Folders(Folders),
}

impl Pending {
    /// Takes its place; gives remarks.
    pub(super) fn finish(self) -> Result<Vec<String>, Failure> {
        let told = |warnings: Vec<Option<SaveWarning>>| warnings.iter().flatten().map(ToString::to_string).collect();
        match self {
            Self::Files(files) => Ok(told(commit_all(files)?)),
            Self::Export(export) => {
                let files = export.commit()?.files;
                Ok(told(files.into_iter().map(|file| file.warning).collect()))
            }
            Self::Stream(file) => {
                let path = file.target().to_owned();
                file.finish().map(|()| Vec::new()).map_err(|source| Failure::Output { path, source })
            }
            // The files are in them by now, so that they stay.
            Self::Folders(made) => {
                drop(made);
                Ok(Vec::new())
            }
        }
    }
}

/// Folders that were made on the way to one, the innermost first; those that stay empty go again.
#[derive(Debug)]
pub(super) struct Folders(Vec<PathBuf>);

impl Folders {
    /// The folder and those on the way to it.
    pub(super) fn make(folder: &Path) -> Result<Self, std::io::Error> {
        let missing = |folder: &&Path| !folder.as_os_str().is_empty() && !folder.exists();
        let made = Self(folder.ancestors().take_while(missing).map(Path::to_owned).collect());
        std::fs::create_dir_all(folder).map(|()| made)
    }
}

impl Drop for Folders {
    fn drop(&mut self) {
        // The system removes no folder with something in it.
        self.0.iter().for_each(|folder| drop(std::fs::remove_dir(folder)));
    }
}
