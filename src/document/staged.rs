//! Files that are complete and wait to take their places: whatever can fail has failed before anything is
//! replaced.

use std::fs;
use std::io::{self, Seek, SeekFrom, Write};
use std::path::{Path, PathBuf};

use super::disk::Fingerprint;
use super::journal::Journal;
use super::temporary::{Access, Temporary, sync_folder};
use super::{Rewrite, SaveError, SaveWarning, replace, replaceable, save_job};
use crate::project::Project;

/// A complete file under a temporary name, which takes its place when told to; dropped, it is removed.
#[derive(Debug)]
pub struct Staged {
    file: Temporary,
    /// Its content; unknown if it was written row by row.
    bytes: Option<Vec<u8>>,
    reads_back: bool,
    rewrite: Option<Rewrite>,
}

impl Staged {
    /// Prepares a file for a path; if that is a symbolic link, for its target.
    ///
    /// # Errors
    /// [`SaveError`] if no file can be written there; what is there is unchanged.
    pub fn file(path: &Path, bytes: Vec<u8>) -> Result<Self, SaveError> {
        let mut staged = Self::stream(path)?;
        let written = staged.file.write_all(&bytes).and_then(|()| staged.file.sync());
        written.map_err(|why| refused(staged.file.target(), why))?;
        staged.bytes = Some(bytes);
        Ok(staged)
    }

    /// Prepares a project's file.
    ///
    /// # Errors
    /// As for [`Self::file`], and if the project is too large for a file.
    pub fn project(path: &Path, project: &Project) -> Result<Self, SaveError> {
        Self::file(path, save_job::bytes_of(project)?)
    }

    /// An empty file for a path, to be written to. It is not flushed to disk: after a power cut its rows can be
    /// computed again, and waiting for the disk would take longer than computing them.
    ///
    /// # Errors
    /// As for [`Self::file`].
    pub fn stream(path: &Path) -> Result<Self, SaveError> {
        let target = replaceable(path)?;
        let file = Temporary::beside(&target, Access::Usual).map_err(|why| refused(&target, why))?;
        Ok(Self { file, bytes: None, reads_back: false, rewrite: None })
    }

    /// The same, to be read back once more when it is in its place.
    #[must_use]
    pub fn reading_back(self) -> Self {
        Self { reads_back: true, ..self }
    }

    /// The same, made from the file that it replaces: it does not take its place if that file was changed
    /// meanwhile.
    #[must_use]
    pub fn rewriting(self, rewrite: Option<Rewrite>) -> Self {
        Self { rewrite, ..self }
    }

    /// The path of its place.
    pub fn target(&self) -> &Path {
        self.file.target()
    }

    /// The content of the prepared file, read from disk.
    ///
    /// # Errors
    /// What the system says.
    pub fn read_back(&mut self) -> io::Result<Vec<u8>> {
        self.file.read_back()
    }

    /// Puts it in its place.
    ///
    /// # Errors
    /// [`SaveError`]; what is there is unchanged.
    pub fn commit(self) -> Result<Option<SaveWarning>, SaveError> {
        let placed = place_all(vec![self])?;
        Ok(placed.warnings.into_iter().flatten().next())
    }

    fn check(&self) -> Result<(), SaveError> {
        self.rewrite.as_ref().map_or(Ok(()), Rewrite::check)?;
        replace::check_target(self.target())
    }

    fn take_place(self) -> Result<(Option<SaveWarning>, Option<Rewrite>), SaveError> {
        let Self { file, bytes, reads_back, rewrite } = self;
        let target = file.target().to_owned();
        file.take_place().map_err(|why| SaveError::of(&target, why))?;
        let Some(bytes) = bytes else {
            return Ok((None, rewrite));
        };
        if reads_back && !fs::read(&target).is_ok_and(|found| found == bytes) {
            return Err(SaveError::NotReadBack { path: target });
        }
        let warning = sync_folder(&target).err().map(|why| SaveWarning::NotConfirmed { why: why.to_string() });
        Ok((warning, rewrite))
    }
}

impl Write for Staged {
    fn write(&mut self, bytes: &[u8]) -> io::Result<usize> {
        self.file.write(bytes)
    }

    fn flush(&mut self) -> io::Result<()> {
        self.file.flush()
    }
}

impl Seek for Staged {
    fn seek(&mut self, to: SeekFrom) -> io::Result<u64> {
        self.file.seek(to)
    }
}

/// Why a file cannot be prepared. A file that may be written, in a folder that may not, could only be
/// overwritten in place, where a failure half-way would lose it.
fn refused(target: &Path, why: io::Error) -> SaveError {
    if replace::may_overwrite_after(&why) && target.exists() {
        return SaveError::NoCopy { path: target.to_owned(), source: why };
    }
    SaveError::of(target, why)
}

/// Files that have taken their places. What was there before can be restored as long as this lives.
#[derive(Debug, Default)]
#[must_use = "dropped, what stood there before is gone"]
pub struct Placed {
    warnings: Vec<Option<SaveWarning>>,
    before: Vec<Before>,
    /// Files that were read stay locked as long as they may be restored.
    _rewrites: Vec<Rewrite>,
}

/// What was there before a file was put in its place.
#[derive(Debug)]
enum Before {
    Nothing(PathBuf),
    Kept(Temporary),
}

impl Before {
    fn of(target: &Path) -> Result<Self, SaveError> {
        if !target.exists() {
            return Ok(Self::Nothing(target.to_owned()));
        }
        Temporary::keeping(target).map(Self::Kept).map_err(|why| SaveError::of(target, why))
    }

    /// As far as the system allows: it may just have refused something.
    fn give_back(self) {
        match self {
            Self::Nothing(target) => drop(fs::remove_file(target)),
            Self::Kept(kept) => drop(kept.take_place()),
        }
    }
}

impl Placed {
    /// The warnings about each file, in order.
    pub fn warnings(&self) -> &[Option<SaveWarning>] {
        &self.warnings
    }

    /// Restores what was there before, the last one first.
    pub fn give_back(self) {
        self.before.into_iter().rev().for_each(Before::give_back);
    }
}

/// Puts files in their places, all or none: if one fails, those before it are restored.
///
/// # Errors
/// [`SaveError`] of the one that failed.
pub fn place_all(files: Vec<Staged>) -> Result<Placed, SaveError> {
    files.iter().try_for_each(Staged::check)?;
    let mut placed = Placed::default();
    for file in files {
        match Before::of(file.target()) {
            Ok(before) => placed.before.push(before),
            Err(error) => {
                placed.give_back();
                return Err(error);
            }
        }
        match file.take_place() {
            Ok((warning, rewrite)) => {
                placed.warnings.push(warning);
                placed._rewrites.extend(rewrite);
            }
            Err(error) => {
                placed.give_back();
                return Err(error);
            }
        }
    }
    Ok(placed)
}

/// As [`place_all`], for files that belong together: if the process ends half-way,
/// [`broken_sets`](super::broken_sets) detects it.
///
/// # Errors
/// As for [`place_all`], and if the list of the files cannot be written in the folder.
pub(super) fn place_set(files: Vec<Staged>) -> Result<Placed, SaveError> {
    let known = |file: &Staged| file.bytes.as_deref().map(Fingerprint::of);
    let set: Vec<_> = files.iter().filter_map(|file| Some((file.target(), known(file)?))).collect();
    let first = set.first().map(|(target, _)| target.to_path_buf()).unwrap_or_default();
    let journal = Journal::begin(&set).map_err(|why| SaveError::of(&first, why))?;
    let placed = place_all(files);
    drop(journal);
    placed
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
    fn the_longest_names_are_made_and_replaced() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("n".repeat(255));
        for text in ["first", "second"] {
            let mut staged = Staged::file(&path, text.into()).unwrap().reading_back();
            assert_eq!(staged.read_back().unwrap(), text.as_bytes());
            assert_eq!(staged.commit().unwrap(), None);
            assert_eq!(fs::read(&path).unwrap(), text.as_bytes());
        }
        let too_long = Staged::file(&folder.path().join("n".repeat(256)), b"x".to_vec());
        assert!(matches!(too_long, Err(SaveError::Name { .. })));
        assert_eq!(names(folder.path()), 1);
    }

    #[test]
    fn where_one_cannot_all_give_their_places_back() {
        let folder = tempfile::tempdir().unwrap();
        let [a, b, c] = ["a.hex", "b.hex", "c.a2l"].map(|name| folder.path().join(name));
        fs::write(&a, "old").unwrap();
        let stage = |path: &Path| Staged::file(path, b"new".to_vec()).unwrap();
        let mut files = vec![stage(&a), stage(&b), stage(&c)];
        // An obstacle is found before anything is replaced.
        fs::create_dir(&c).unwrap();
        assert!(place_set(files).is_err());
        assert_eq!((fs::read(&a).unwrap(), b.exists(), names(folder.path())), (b"old".to_vec(), false, 2));
        fs::remove_dir(&c).unwrap();
        // A failure that only shows when renaming: the last file is gone.
        files = vec![stage(&a), stage(&b), stage(&c)];
        let parts = fs::read_dir(folder.path()).unwrap().map(|entry| entry.unwrap().path());
        let last = parts.filter(|path| path.extension().is_some_and(|e| e == "part")).max_by_key(|path| {
            let name = path.file_stem().unwrap().to_string_lossy().into_owned();
            name.rsplit('-').next().unwrap().parse::<u32>().unwrap()
        });
        fs::remove_file(last.unwrap()).unwrap();
        assert!(place_set(files).is_err());
        assert_eq!((fs::read(&a).unwrap(), b.exists(), names(folder.path())), (b"old".to_vec(), false, 1));
        let placed = place_set(vec![stage(&a), stage(&b), stage(&c)]).unwrap();
        assert_eq!(placed.warnings(), [None, None, None]);
        assert!([&a, &b, &c].iter().all(|path| fs::read(path).unwrap() == b"new"));
        placed.give_back();
        assert_eq!((fs::read(&a).unwrap(), names(folder.path())), (b"old".to_vec(), 1));
    }
}
