//! Files that are ready and wait to take their places: what can fail has failed before anything is replaced.

use std::fs;
use std::io::{self, Read, Seek, Write};
use std::path::{Path, PathBuf};

use atomic_write_file::AtomicWriteFile;

use super::{SaveError, SaveWarning, replace, replaceable, save_job};
use crate::project::Project;

/// A file that is on the disk under a name of its own and takes its place when it is told to; dropped, it is gone.
#[derive(Debug)]
pub struct Staged {
    target: PathBuf,
    bytes: Vec<u8>,
    /// `None` for a name to which the few more letters of another do not fit, and nothing of it is there yet.
    file: Option<AtomicWriteFile>,
}

impl Staged {
    /// Makes a file ready for a path: through a symbolic link for its target.
    ///
    /// # Errors
    /// [`SaveError`] when no file can be written there; what is there is as it was.
    pub fn file(path: &Path, bytes: Vec<u8>) -> Result<Self, SaveError> {
        let target = replaceable(path)?;
        let written = AtomicWriteFile::options().read(true).open(&target).and_then(|mut file| {
            file.write_all(&bytes)?;
            file.sync_all().map(|()| file)
        });
        match written {
            Ok(file) => Ok(Self { target, bytes, file: Some(file) }),
            Err(why) if !replace::may_overwrite_after(&why) => Err(SaveError::of(&target, why)),
            Err(_) if !target.exists() => Ok(Self { target, bytes, file: None }),
            Err(source) => Err(SaveError::NoCopy { path: target, source }),
        }
    }

    /// Makes a project's file ready.
    ///
    /// # Errors
    /// As for [`Self::file`], and when the project is too large for a file.
    pub fn project(path: &Path, project: &Project) -> Result<Self, SaveError> {
        Self::file(path, save_job::bytes_of(project)?)
    }

    /// What stands in the file that is ready.
    ///
    /// # Errors
    /// What the system says.
    pub fn read_back(&mut self) -> io::Result<Vec<u8>> {
        let Some(file) = &mut self.file else {
            return Ok(self.bytes.clone());
        };
        let mut found = Vec::new();
        file.rewind()?;
        file.read_to_end(&mut found)?;
        Ok(found)
    }

    /// Takes its place.
    ///
    /// # Errors
    /// [`SaveError`]; what is there is as it was.
    pub fn commit(self) -> Result<Option<SaveWarning>, SaveError> {
        replace::check_target(&self.target)?;
        let Some(file) = self.file else {
            return replace::create(&self.target, &self.bytes);
        };
        match file.commit() {
            Ok(()) => Ok(None),
            Err(why) if fs::read(&self.target).is_ok_and(|found| found == self.bytes) => {
                Ok(Some(SaveWarning::NotConfirmed { why: why.to_string() }))
            }
            Err(why) => Err(SaveError::of(&self.target, why)),
        }
    }
}

/// Files take their places, all or none: where one cannot, those before it give theirs back.
///
/// # Errors
/// [`SaveError`] of the one that could not.
pub fn commit_all(files: Vec<Staged>) -> Result<Vec<Option<SaveWarning>>, SaveError> {
    let mut replaced = Replaced::default();
    let mut warnings = Vec::with_capacity(files.len());
    for file in files {
        replaced.note(&file.target);
        match file.commit() {
            Ok(warning) => warnings.push(warning),
            Err(error) => {
                replaced.give_back();
                return Err(error);
            }
        }
    }
    Ok(warnings)
}

/// What stood where files were written, to put it back.
#[derive(Debug, Default)]
struct Replaced(Vec<(PathBuf, Option<Vec<u8>>)>);

impl Replaced {
    fn note(&mut self, target: &Path) {
        self.0.push((target.to_owned(), fs::read(target).ok()));
    }

    /// As far as the system lets it: it has just refused something.
    fn give_back(self) {
        for (target, before) in self.0 {
            match before {
                Some(bytes) if fs::read(&target).is_ok_and(|found| found == bytes) => {}
                Some(bytes) => drop(replace::replace_file(&target, &bytes)),
                None => drop(fs::remove_file(&target)),
            }
        }
    }
}

#[cfg(unix)]
#[cfg(test)]
mod tests {
    use super::*;

    fn names(folder: &Path) -> usize {
        fs::read_dir(folder).unwrap().count()
    }

    #[test]
    fn nothing_is_there_until_it_is_told_to_and_nothing_is_left_when_not() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("a.hex");
        let mut staged = Staged::file(&path, b"new".to_vec()).unwrap();
        assert_eq!(staged.read_back().unwrap(), b"new");
        assert!(!path.exists());
        drop(staged);
        assert_eq!(names(folder.path()), 0);
        fs::write(&path, "old").unwrap();
        assert_eq!(Staged::file(&path, b"new".to_vec()).unwrap().commit().unwrap(), None);
        assert_eq!((fs::read(&path).unwrap(), names(folder.path())), (b"new".to_vec(), 1));
    }

    #[test]
    fn the_longest_names_are_made_but_not_replaced() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("n".repeat(255));
        let mut staged = Staged::file(&path, b"new".to_vec()).unwrap();
        assert_eq!(staged.read_back().unwrap(), b"new");
        assert!(!path.exists());
        assert_eq!(staged.commit().unwrap(), None);
        assert!(matches!(Staged::file(&path, b"other".to_vec()), Err(SaveError::NoCopy { .. })));
        assert_eq!(fs::read(&path).unwrap(), b"new");
    }

    #[test]
    fn where_one_cannot_all_give_their_places_back() {
        let folder = tempfile::tempdir().unwrap();
        let [a, b, c] = ["a.hex", "b.hex", "c.a2l"].map(|name| folder.path().join(name));
        fs::write(&a, "old").unwrap();
        let stage = |path: &Path| Staged::file(path, b"new".to_vec()).unwrap();
        let files = vec![stage(&a), stage(&b), stage(&c)];
        fs::create_dir(&c).unwrap();
        fs::write(c.join("in the way"), "x").unwrap();
        assert!(commit_all(files).is_err());
        assert_eq!((fs::read(&a).unwrap(), b.exists(), names(folder.path())), (b"old".to_vec(), false, 2));
        fs::remove_dir_all(&c).unwrap();
        assert_eq!(commit_all(vec![stage(&a), stage(&b), stage(&c)]).unwrap(), [None, None, None]);
        assert!([a, b, c].iter().all(|path| fs::read(path).unwrap() == b"new"));
    }
}
