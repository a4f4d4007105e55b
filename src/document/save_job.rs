//! Saving in three parts: begun where the document is, carried out on any thread, and finished where the
//! document is.

use std::path::{Path, PathBuf};

use super::disk::{self, DiskState, Fingerprint, Seen};
use super::files::whole_path;
use super::home::{Home, Lock};
use super::recovery::{Copy, CopyWriter};
use super::{DataFolder, Document, SaveError, SaveWarning, Saved, replace};
use crate::project::{LARGEST_FILE_BYTES, Project, write};

const ENDING: &str = ".ron";

/// Where to save a project.
#[derive(Clone, Copy, Debug)]
pub enum SaveTo<'a> {
    /// The document's file, unless someone else wrote it. If it is a symbolic link, its target is written.
    Here,
    /// The document's file, whatever is in it now.
    Over,
    /// Another file, replacing what is there. A name without an ending gets `.ron`.
    As(&'a Path),
}

/// A save that has begun. It holds everything that it needs, so that the document can change meanwhile.
#[derive(Debug)]
#[must_use = "nothing is saved before it is run"]
pub struct SaveJob {
    project: Project,
    copy: Copy,
    writer: CopyWriter,
    data: DataFolder,
    to: To,
    own: Option<Own>,
}

/// Where to save, with paths of its own.
#[derive(Debug)]
enum To {
    Own { over: bool },
    As(PathBuf),
}

/// What is known about the document's file when the save begins.
#[derive(Debug)]
struct Own {
    path: PathBuf,
    /// What was last read or written.
    known: Option<Fingerprint>,
    /// Whether another window had the lock when it was last tried.
    is_in_use: bool,
    warning: Option<SaveWarning>,
}

/// A save that was carried out, or failed.
#[derive(Debug)]
#[must_use = "the document does not know of it yet"]
pub struct SaveDone {
    project: Project,
    /// `None` if it was clear before writing that it would fail.
    target: Option<Target>,
    seen: Option<Seen>,
    has_copied: bool,
    done: Result<(Fingerprint, Vec<SaveWarning>), SaveError>,
}

/// The file that is written.
#[derive(Debug)]
struct Target {
    path: PathBuf,
    place: Place,
    /// The lock of the document's file, if it had to be tried again.
    retaken: Option<Lock>,
    /// Warnings to be given before and after those of the writing itself.
    warnings: [Option<SaveWarning>; 2],
}

/// Whose file is written.
#[derive(Debug)]
enum Place {
    /// The document's.
    Own {
        /// What was last read or written.
        known: Option<Fingerprint>,
        /// Whether to write it whatever is in it.
        over: bool,
    },
    /// One that becomes the document's.
    New(Home),
}

impl SaveJob {
    /// Takes the lock and writes the file. The file and its folder are flushed, which takes long on some disks.
    pub fn run(self) -> SaveDone {
        let Self { project, copy, writer, data, to, own } = self;
        let (mut seen, mut has_copied) = (None, false);
        let mut target = match Target::of(&data, to, own) {
            Ok(target) => target,
            Err(error) => return SaveDone { project, target: None, seen, has_copied, done: Err(error) },
        };
        let [first, last] = std::mem::take(&mut target.warnings);
        let path = &target.path;
        let save = || {
            let bytes = bytes_of(&project)?;
            let mut warnings: Vec<_> = first.into_iter().collect();
            if let Place::Own { known, over } = target.place {
                let seen = seen.insert(Seen::of(path, known));
                warnings.extend(may_write(path, &seen.state, over, &bytes)?);
            }
            let copy_now = || {
                has_copied = true;
                writer.write_now(copy)
            };
            warnings.extend(replace::write(&disk::follow_links(path), &bytes, copy_now)?);
            warnings.extend(last);
            Ok((Fingerprint::of(&bytes), warnings))
        };
        let done = save();
        SaveDone { project, target: Some(target), seen, has_copied, done }
    }
}

impl Target {
    /// Finds the file and takes its lock.
    fn of(data: &DataFolder, to: To, own: Option<Own>) -> Result<Self, SaveError> {
        let (over, ending) = match to {
            To::Own { over } => (over, None),
            To::As(path) => {
                let (path, ending) = with_ending(whole_path(&path)?)?;
                let is_at = |own: &Own| disk::identity(&own.path) == disk::identity(&path);
                if !own.as_ref().is_some_and(is_at) {
                    return Self::new(data, path, ending);
                }
                (false, ending)
            }
        };
        let Own { path, known, is_in_use, warning } = own.ok_or(SaveError::NoFile)?;
        let retaken = is_in_use.then(|| Lock::take(data, &path));
        let warning = match &retaken {
            Some(lock) => lock.check(&path).map(|()| lock.warning())?,
            None => warning,
        };
        Ok(Self { path, place: Place::Own { known, over }, retaken, warnings: [ending, warning] })
    }

    /// One that becomes the document's.
    fn new(data: &DataFolder, path: PathBuf, ending: Option<SaveWarning>) -> Result<Self, SaveError> {
        let home = Home::unseen(data, path.clone());
        home.lock.check(&path)?;
        let warnings = [ending, home.lock.warning()];
        Ok(Self { path, place: Place::New(home), retaken: None, warnings })
    }
}

impl SaveDone {
    /// Where the project was saved; none if it was not.
    pub fn saved_to(&self) -> Option<&Path> {
        self.target.as_ref().filter(|_| self.done.is_ok()).map(|target| target.path.as_path())
    }
}

impl Document {
    /// Begins to save; closes an open gesture. No file is touched before the job is run. The result of
    /// [`SaveJob::run`] must be given to [`finish_save`](Self::finish_save).
    ///
    /// # Errors
    /// [`SaveError::NoFile`] if it never had a file and none is given.
    pub fn begin_save(&mut self, to: SaveTo<'_>) -> Result<SaveJob, SaveError> {
        self.close_gesture();
        let to = match to {
            SaveTo::Here => To::Own { over: false },
            SaveTo::Over => To::Own { over: true },
            SaveTo::As(path) => To::As(path.to_owned()),
        };
        let own = self.home.as_ref().map(|home| Own {
            path: home.path.clone(),
            known: home.known,
            is_in_use: home.is_in_use(),
            warning: home.lock.warning(),
        });
        if own.is_none() && matches!(to, To::Own { .. }) {
            return Err(SaveError::NoFile);
        }
        let (project, copy, writer) = (self.project().clone(), self.copy(), self.keeper.writer());
        Ok(SaveJob { project, copy, writer, data: self.data.clone(), to, own })
    }

    /// Records the result of a save. Changes made since it began are still unsaved, and keep their recovery
    /// copy.
    ///
    /// # Errors
    /// Why nothing was saved; the work stays in the window and in the recovery copy.
    pub fn finish_save(&mut self, done: SaveDone) -> Result<Saved, SaveError> {
        let SaveDone { project, target, seen, has_copied, done } = done;
        if has_copied {
            self.keeper.expect_copy();
        }
        let Some(Target { path, place, retaken, .. }) = target else {
            self.keep_copy_of_changes();
            return done.and(Err(SaveError::NoFile));
        };
        if let Some(home) = self.home.as_mut().filter(|home| home.path == path) {
            home.take_lock(retaken);
        }
        let is_own = matches!(place, Place::Own { .. });
        let result = self.settle(project, &path, place, seen, done);
        let upgrade = self.upgrade.take_if(|_| result.is_ok());
        let upgraded_from = upgrade.filter(|_| is_own).map(|upgrade| upgrade.from);
        self.refresh_note();
        if result.is_ok() {
            self.keep_copy();
        } else {
            self.keep_copy_of_changes();
        }
        result.map(|warnings| Saved { path, warnings, upgraded_from })
    }

    /// A save that failed may have left the only complete version in the copy: that must not be deleted.
    fn keep_copy_of_changes(&mut self) {
        if self.is_changed() {
            self.keep_copy();
        }
    }

    fn settle(
        &mut self,
        project: Project,
        path: &Path,
        place: Place,
        seen: Option<Seen>,
        done: Result<(Fingerprint, Vec<SaveWarning>), SaveError>,
    ) -> Result<Vec<SaveWarning>, SaveError> {
        let is_own = matches!(place, Place::Own { .. });
        match place {
            Place::New(home) if done.is_ok() => self.home = Some(home),
            Place::New(_) | Place::Own { .. } => {}
        }
        let home = self.home.as_mut().filter(|home| home.path == *path);
        if let (Some(seen), Some(home)) = (seen, home) {
            home.take_in(seen);
        }
        if is_own && matches!(done, Err(SaveError::CutShort { .. })) {
            // The content of the file is unknown now; the work is in the copy.
            self.saved = None;
        }
        let (known, warnings) = done?;
        // The document may have been saved under another name meanwhile.
        if let Some(home) = self.home.as_mut().filter(|home| home.path == *path) {
            home.known = Some(known);
            home.disk = DiskState::Same;
            home.is_protected = false;
            self.saved = Some(project);
            self.has_comments = false;
        }
        Ok(warnings)
    }
}

/// Whether a file that others may have changed may be written, and the warning to give about it.
fn may_write(path: &Path, state: &DiskState, over: bool, bytes: &[u8]) -> Result<Option<SaveWarning>, SaveError> {
    match state {
        DiskState::Missing => Ok(Some(SaveWarning::WrittenAgain)),
        DiskState::Changed if !over && !holds(path, bytes) => Err(SaveError::ChangedOnDisk { path: path.to_owned() }),
        DiskState::Unreadable(why) if !over => Err(SaveError::Unreadable { path: path.to_owned(), why: why.clone() }),
        _ => Ok(None),
    }
}

/// The bytes of a project's file.
pub(super) fn bytes_of(project: &Project) -> Result<Vec<u8>, SaveError> {
    let bytes = write(project)?.into_bytes();
    let length = bytes.len() as u64;
    if length > LARGEST_FILE_BYTES {
        return Err(SaveError::TooLarge { bytes: length });
    }
    Ok(bytes)
}

fn holds(path: &Path, bytes: &[u8]) -> bool {
    disk::read(path).is_ok_and(|found| found == bytes)
}

/// Adds `.ron` to a name without an ending, unless a file with the bare name exists, which was then meant. The
/// '5' of 'tarn 1.5' is not an ending.
fn with_ending(path: PathBuf) -> Result<(PathBuf, Option<SaveWarning>), SaveError> {
    let ending = path.extension().map(|ending| ending.to_string_lossy());
    let has_ending = ending.is_some_and(|ending| ending.chars().any(char::is_alphabetic));
    if has_ending || path.file_name().is_none() || path.exists() {
        return Ok((path, None));
    }
    let mut name = path.into_os_string();
    name.push(ENDING);
    let path = PathBuf::from(name);
    if path.exists() {
        return Err(SaveError::Exists { path });
    }
    let warning = SaveWarning::EndingAdded { path: path.clone() };
    Ok((path, Some(warning)))
}

#[cfg(test)]
mod tests {
    use super::super::trial::{project, with_cell};
    use super::super::{DataFolder, Recovery};
    use super::*;
    use crate::project::Fault;
    use std::fs;

    fn set(document: &mut Document, advance_deg: f64) {
        let edit = |project: &_| Ok::<_, Fault>(with_cell(project, 3, advance_deg));
        assert!(document.apply("Set", None, edit).unwrap());
    }

    fn text_with(advance_deg: f64) -> String {
        write(&with_cell(&project(), 3, advance_deg)).unwrap()
    }

    /// A document saved as `a.ron`.
    fn saved(folder: &Path) -> Document {
        let mut document = Document::untitled_in(&DataFolder::at(folder.join("data")), project(), "x");
        document.save_as(&folder.join("a.ron")).unwrap();
        document
    }

    #[test]
    fn what_changes_while_a_save_runs_stays_unsaved_and_keeps_its_copy() {
        let folder = tempfile::tempdir().unwrap();
        let mut document = saved(folder.path());
        set(&mut document, 1.0);
        let job = document.begin_save(SaveTo::Here).unwrap();
        set(&mut document, 2.0);
        let done = std::thread::spawn(move || job.run()).join().unwrap();
        assert_eq!(done.saved_to(), Some(&*folder.path().join("a.ron")));
        assert!(document.is_changed());
        document.finish_save(done).unwrap();
        assert_eq!(fs::read_to_string(folder.path().join("a.ron")).unwrap(), text_with(1.0));
        assert!(document.is_changed() && document.check_disk() == DiskState::Same);
        assert!(document.undo() && !document.is_changed() && document.redo());
        drop(document);
        let mut offers = Recovery::new(&DataFolder::at(folder.path().join("data"))).list();
        let mut again = offers.remove(0).open().unwrap();
        assert_eq!((write(again.project()).unwrap(), again.is_changed()), (text_with(2.0), true));
        assert_eq!(again.save().unwrap().warnings, [], "the copy knows what the save wrote");
    }

    #[test]
    fn a_save_that_fails_leaves_everything_as_it_was() {
        let folder = tempfile::tempdir().unwrap();
        let mut document = saved(folder.path());
        set(&mut document, 1.0);
        let job = document.begin_save(SaveTo::Here).unwrap();
        fs::write(folder.path().join("a.ron"), text_with(9.0)).unwrap();
        let done = job.run();
        assert_eq!(done.saved_to(), None);
        assert!(matches!(document.finish_save(done), Err(SaveError::ChangedOnDisk { .. })));
        assert!(document.is_changed());
        let job = document.begin_save(SaveTo::As(&folder.path().join("no/b.ron"))).unwrap();
        assert!(matches!(document.finish_save(job.run()), Err(SaveError::MissingFolder { .. })));
        assert_eq!((document.path(), document.is_changed()), (Some(&*folder.path().join("a.ron")), true));
        assert_eq!(fs::read_to_string(folder.path().join("a.ron")).unwrap(), text_with(9.0));
    }

    #[test]
    fn after_a_file_was_damaged_the_work_is_unsaved_and_its_copy_stays() {
        let folder = tempfile::tempdir().unwrap();
        let mut document = saved(folder.path());
        let mut done = document.begin_save(SaveTo::Here).unwrap().run();
        let copy = document.keeper.writer().write_now(document.copy()).unwrap();
        let (path, source) = (folder.path().join("a.ron"), std::io::ErrorKind::StorageFull.into());
        done.done = Err(SaveError::CutShort { path, copy: copy.clone(), source });
        done.has_copied = true;
        assert!(matches!(document.finish_save(done), Err(SaveError::CutShort { .. })));
        assert!(document.is_changed());
        drop(document);
        assert!(copy.exists());
    }

    #[test]
    fn a_save_that_ends_after_the_document_went_elsewhere_is_not_its_state() {
        let folder = tempfile::tempdir().unwrap();
        let mut document = saved(folder.path());
        set(&mut document, 1.0);
        let done = document.begin_save(SaveTo::Here).unwrap().run();
        set(&mut document, 2.0);
        document.save_as(&folder.path().join("b.ron")).unwrap();
        document.finish_save(done).unwrap();
        assert!(!document.is_changed() && document.path() == Some(&*folder.path().join("b.ron")));
        assert_eq!(fs::read_to_string(folder.path().join("a.ron")).unwrap(), text_with(1.0));
        assert_eq!(fs::read_to_string(folder.path().join("b.ron")).unwrap(), text_with(2.0));
    }

    #[test]
    fn a_look_at_the_disk_that_a_save_overtook_says_nothing() {
        let folder = tempfile::tempdir().unwrap();
        let mut document = saved(folder.path());
        set(&mut document, 1.0);
        let check = document.begin_check().unwrap();
        document.save().unwrap();
        let late = check.run();
        assert_eq!(document.finish_check(late), None);
        assert_eq!(document.check_disk(), DiskState::Same);
    }
}
