//! Project files without an open document, for jobs that need no history and no recovery copy.

use std::path::{self, Path, PathBuf};
use std::time::Duration;
use std::{fs, io, thread};

use super::disk::{DiskState, Fingerprint};
use super::home::Lock;
use super::{DataFolder, OpenError, SaveError, SaveWarning, disk, opening, replace, save_job};
use crate::project::{Project, Upgrade};

/// How many attempts are made to get the lock of a file that another job is just writing, and how far apart: a
/// second in all.
const ATTEMPTS: u32 = 50;
const BETWEEN_ATTEMPTS: Duration = Duration::from_millis(20);

/// Reads a project file; also returns remarks if it is in an older format.
///
/// # Errors
/// [`OpenError`] naming the file, what is wrong and what to do.
pub fn read_project(path: &Path) -> Result<(Project, Option<Upgrade>), OpenError> {
    opening::content(path).map(|content| (content.project, content.upgrade))
}

/// A project file that is read in order to be rewritten: its lock is held until then, so that nobody else who
/// respects the lock writes it, and changes by others are detected.
#[derive(Debug)]
pub struct Rewrite {
    path: PathBuf,
    /// What was read.
    known: Option<Fingerprint>,
    _lock: Lock,
}

impl Rewrite {
    /// Takes the lock of a file. If the system does not support locks, changes by others are still detected.
    ///
    /// # Errors
    /// [`SaveError::InUse`] if a window or another job has it.
    pub fn begin(data: &DataFolder, path: &Path) -> Result<Self, SaveError> {
        let path = path::absolute(path).map_err(|error| SaveError::of(path, error))?;
        for _ in 0..ATTEMPTS {
            match Lock::take(data, &path) {
                Lock::InUse => thread::sleep(BETWEEN_ATTEMPTS),
                lock => return Ok(Self { path, known: None, _lock: lock }),
            }
        }
        Err(SaveError::InUse { path })
    }

    /// Reads the project; also returns remarks if it is in an older format.
    ///
    /// # Errors
    /// As for [`read_project`].
    pub fn read(&mut self) -> Result<(Project, Option<Upgrade>), OpenError> {
        let content = opening::content(&self.path)?;
        self.known = Some(content.known);
        Ok((content.project, content.upgrade))
    }

    /// Checks that the file is still what was read.
    ///
    /// # Errors
    /// [`SaveError::ChangedSinceRead`].
    pub fn check(&self) -> Result<(), SaveError> {
        match disk::compare(&self.path, self.known) {
            DiskState::Same => Ok(()),
            _ => Err(SaveError::ChangedSinceRead { path: self.path.clone() }),
        }
    }
}

/// Writes a project file in place of what is there.
///
/// # Errors
/// As for [`write_file`], and if the project is too large for a file.
pub fn write_project(path: &Path, project: &Project) -> Result<Option<SaveWarning>, SaveError> {
    write_file(path, &save_job::bytes_of(project)?)
}

/// Replaces what is there with a file of these bytes, or creates it: the target if it is a symbolic link,
/// keeping the mode. At any moment there is a complete file, old or new; if that cannot be guaranteed, nothing
/// is written.
///
/// # Errors
/// [`SaveError`]; the old file is unchanged.
pub fn write_file(path: &Path, bytes: &[u8]) -> Result<Option<SaveWarning>, SaveError> {
    let no_copy = || Err(io::Error::new(io::ErrorKind::Unsupported, "there is no document to copy"));
    replace::write(&target_of(path)?, bytes, no_copy)
}

/// The full path of the file that writing to a path would replace or create: the end of a chain of symbolic
/// links.
///
/// # Errors
/// [`SaveError`] if no file can be written there.
pub fn replaceable(path: &Path) -> Result<PathBuf, SaveError> {
    let target = target_of(path)?;
    replace::check_target(&target)?;
    Ok(target)
}

fn target_of(path: &Path) -> Result<PathBuf, SaveError> {
    let named = whole_path(path)?;
    let target = disk::follow_links(&named);
    // A path that leads into the system's list of open files is a stream of some program, and has no folder.
    let is_stream = target.starts_with("/proc") && target.components().any(|part| part.as_os_str() == "fd");
    // Streams are also recognised by name: if one leads to a file, replacing that would lose what other
    // programs have written.
    let is_named_stream =
        ["/dev/stdin", "/dev/stdout", "/dev/stderr", "/dev/fd"].iter().any(|of| named.starts_with(of));
    if is_stream || is_named_stream || fs::metadata(path).is_ok_and(|about| !about.is_file() && !about.is_dir()) {
        return Err(SaveError::NotAFile { path: path.to_owned() });
    }
    Ok(target)
}

/// The full path of a file to be written.
///
/// # Errors
/// [`SaveError`] if it is not the name of a file, or if there is no folder to start from.
pub(super) fn whole_path(path: &Path) -> Result<PathBuf, SaveError> {
    check_name(path)?;
    path::absolute(path).map_err(|error| match error.kind() {
        io::ErrorKind::NotFound => SaveError::NoWorkingFolder { path: path.to_owned() },
        _ => SaveError::of(path, error),
    })
}

/// Refuses names with nothing before the ending, and names of folders.
fn check_name(path: &Path) -> Result<(), SaveError> {
    let ends_as_folder =
        path.as_os_str().as_encoded_bytes().last().is_some_and(|&byte| path::is_separator(byte.into()));
    if ends_as_folder {
        return Err(SaveError::Folder { path: path.to_owned() });
    }
    let has_ending = path.extension().is_some();
    let is_nameless = |stem: &std::ffi::OsStr| stem.as_encoded_bytes().iter().all(|&byte| byte == b'.');
    if has_ending && path.file_stem().is_some_and(is_nameless) {
        return Err(SaveError::Nameless { path: path.to_owned() });
    }
    Ok(())
}

#[cfg(all(test, unix))]
mod tests {
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
    fn a_file_that_is_rewritten_is_locked_and_looked_at() {
        let folder = tempfile::tempdir().unwrap();
        let (data, path) = (DataFolder::at(folder.path().join("data")), folder.path().join("a.ron"));
        write_project(&path, &trial::project()).unwrap();
        let mut first = Rewrite::begin(&data, &path).unwrap();
        assert_eq!(first.read().unwrap(), (trial::project(), None));
        assert!(matches!(Rewrite::begin(&data, &path), Err(SaveError::InUse { .. })));
        first.check().unwrap();
        write_project(&path, &trial::with_cell(&trial::project(), 0, 9.0)).unwrap();
        assert!(matches!(first.check(), Err(SaveError::ChangedSinceRead { .. })));
        fs::remove_file(&path).unwrap();
        assert!(first.check().is_err());
        drop(first);
        assert!(Rewrite::begin(&data, &path).is_ok() && Rewrite::begin(&DataFolder::none(), &path).is_ok());
    }

    #[test]
    fn a_file_that_cannot_be_replaced_is_left_alone() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("n".repeat(255));
        for text in ["first", "second"] {
            assert_eq!(write_file(&path, text.as_bytes()).unwrap(), None);
            assert_eq!(fs::read(&path).unwrap(), text.as_bytes());
        }
        assert!(matches!(write_file(folder.path(), b"x"), Err(SaveError::Folder { .. })));
        assert!(matches!(write_file(Path::new(""), b"x"), Err(SaveError::Name { .. })));
        assert!(matches!(replaceable(&folder.path().join("no/a.csv")), Err(SaveError::MissingFolder { .. })));
        assert_eq!(replaceable(&path).unwrap(), path);
    }
}
