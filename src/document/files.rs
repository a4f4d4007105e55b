//! Project files without an open document: for jobs that need no history, no lock and no recovery copy.

use std::io;
use std::path::{self, Path, PathBuf};

use super::{OpenError, SaveError, SaveWarning, disk, opening, replace, save_job};
use crate::project::{Project, Upgrade};

/// Reads a project file, and what there is to say when it is of an older format.
///
/// # Errors
/// [`OpenError`] naming the file, what is wrong and what to do.
pub fn read_project(path: &Path) -> Result<(Project, Option<Upgrade>), OpenError> {
    opening::content(path).map(|content| (content.project, content.upgrade))
}

/// Writes a project file, in the place of what is there.
///
/// # Errors
/// As for [`write_file`], and when the project is too large for a file.
pub fn write_project(path: &Path, project: &Project) -> Result<Option<SaveWarning>, SaveError> {
    write_file(path, &save_job::bytes_of(project)?)
}

/// Puts a file with these bytes in the place of what is there, or creates it: through a symbolic link its target,
/// keeping the mode. There is always a whole file, the old or the new; where that cannot be had, nothing is written.
///
/// # Errors
/// [`SaveError`]; the old file is as it was.
pub fn write_file(path: &Path, bytes: &[u8]) -> Result<Option<SaveWarning>, SaveError> {
    let no_copy = || Err(io::Error::new(io::ErrorKind::Unsupported, "there is no document to copy"));
    replace::write(&target_of(path)?, bytes, no_copy)
}

/// The file that writing to a path replaces or creates, by its whole path: where a chain of symbolic links ends.
///
/// # Errors
/// [`SaveError`] when no file can be written there.
pub fn replaceable(path: &Path) -> Result<PathBuf, SaveError> {
    let target = target_of(path)?;
    replace::check_target(&target)?;
    Ok(target)
}

fn target_of(path: &Path) -> Result<PathBuf, SaveError> {
    let absolute = path::absolute(path).map_err(|error| SaveError::of(path, error))?;
    Ok(disk::follow_links(&absolute))
}

#[cfg(all(test, unix))]
mod tests {
    use std::fs;

    use super::*;
    use crate::document::trial;
    use crate::project::write;

    #[test]
    fn writes_through_links_and_reads_back() {
        let folder = tempfile::tempdir().unwrap();
        let (file, link) = (folder.path().join("a.ron"), folder.path().join("link.ron"));
        std::os::unix::fs::symlink("a.ron", &link).unwrap();
        let project = trial::project();
        assert_eq!(write_project(&link, &project).unwrap(), None);
        assert_eq!(fs::read_to_string(&file).unwrap(), write(&project).unwrap());
        assert!(link.is_symlink() && read_project(&link).unwrap() == (project, None));
        assert!(matches!(read_project(&folder.path().join("b.ron")), Err(OpenError::Missing { .. })));
    }

    #[test]
    fn a_file_that_cannot_be_replaced_whole_is_left_alone() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("n".repeat(255));
        assert_eq!(write_file(&path, b"first").unwrap(), None);
        // The temporary file's longer name does not fit, so that only overwriting in place would do.
        assert!(matches!(write_file(&path, b"second"), Err(SaveError::NoCopy { .. })));
        assert_eq!(fs::read(&path).unwrap(), b"first");
        assert!(matches!(write_file(folder.path(), b"x"), Err(SaveError::Folder { .. })));
        assert!(matches!(write_file(Path::new(""), b"x"), Err(SaveError::Name { .. })));
        assert!(matches!(replaceable(&folder.path().join("no/a.csv")), Err(SaveError::MissingFolder { .. })));
        assert_eq!(replaceable(&path).unwrap(), path);
    }
}
