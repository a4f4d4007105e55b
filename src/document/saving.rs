//! Saving at once, looking at the file on the disk, and going back to what was saved.

use std::path::{Path, PathBuf};

use super::disk::{DiskState, Fingerprint, Seen};
use super::document::change;
use super::home::{Home, Lock};
use super::opening::{Content, content};
use super::{DataFolder, Document, OpenError, SaveError, SaveTo, Saved};

/// A look at the document's file that has begun.
#[derive(Debug)]
#[must_use = "nothing is looked at before it is run"]
pub struct CheckJob {
    path: PathBuf,
    known: Option<Fingerprint>,
    /// Where to try again for the lock, if another window has it.
    locks: Option<DataFolder>,
}

/// The result of looking at the file.
#[derive(Debug)]
pub struct CheckDone {
    job: CheckJob,
    seen: Seen,
    retaken: Option<Lock>,
}

impl CheckJob {
    /// Reads the whole file and compares it with its last known content; tries again for the lock if there is
    /// none.
    pub fn run(self) -> CheckDone {
        let seen = Seen::of(&self.path, self.known);
        let retaken = self.locks.as_ref().map(|data| Lock::take(data, &self.path));
        CheckDone { job: self, seen, retaken }
    }
}

/// Why the document's file is read again.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Reread {
    /// To go back to what was saved.
    Revert,
    /// To take over what someone else wrote into it.
    Reload,
}

impl Reread {
    const fn label(self) -> &'static str {
        match self {
            Self::Revert => "Revert to the saved file",
            Self::Reload => "Reload the changed file",
        }
    }
}

/// A reading of the document's file that has begun.
#[derive(Debug)]
#[must_use = "nothing is read before it is run"]
pub struct ReadJob {
    path: PathBuf,
    known: Option<Fingerprint>,
    why: Reread,
}

/// The content of the document's file.
#[derive(Debug)]
#[must_use = "the document does not know of it yet"]
pub struct ReadDone {
    job: ReadJob,
    content: Result<Content, OpenError>,
}

impl ReadJob {
    /// Reads the file.
    pub fn run(self) -> ReadDone {
        let content = content(&self.path);
        ReadDone { job: self, content }
    }
}

impl ReadDone {
    /// Why it was read.
    pub const fn why(&self) -> Reread {
        self.job.why
    }
}

impl Document {
    /// Saves to the document's file: [`begin_save`](Self::begin_save), [`SaveJob::run`](super::SaveJob::run)
    /// and [`finish_save`](Self::finish_save) in one, for callers that can wait for the disk.
    ///
    /// # Errors
    /// [`SaveError`]; the work stays in the window and in the recovery copy. [`SaveError::ChangedOnDisk`] if
    /// someone else wrote the file; then [`save_as`](Self::save_as), [`reload`](Self::reload) and
    /// [`save_over`](Self::save_over) are the options.
    pub fn save(&mut self) -> Result<Saved, SaveError> {
        self.save_at_once(SaveTo::Here)
    }

    /// Saves to the document's file whatever is in it now.
    ///
    /// # Errors
    /// As for [`save`](Self::save), except that it does not matter what was in the file.
    pub fn save_over(&mut self) -> Result<Saved, SaveError> {
        self.save_at_once(SaveTo::Over)
    }

    /// Saves under another name, replacing what is there, and continues with that file. A name without an
    /// ending gets `.ron`.
    ///
    /// # Errors
    /// As for [`save`](Self::save); the document keeps the file it had.
    pub fn save_as(&mut self, path: &Path) -> Result<Saved, SaveError> {
        self.save_at_once(SaveTo::As(path))
    }

    fn save_at_once(&mut self, to: SaveTo<'_>) -> Result<Saved, SaveError> {
        let job = self.begin_save(to)?;
        self.finish_save(job.run())
    }

    /// Looks at the file on the disk, and takes the lock if the window that had it is closed: for when this
    /// window gets the focus, and for a watcher of the file's folder. [`begin_check`](Self::begin_check),
    /// [`CheckJob::run`] and [`finish_check`](Self::finish_check) in one.
    pub fn check_disk(&mut self) -> DiskState {
        let done = self.begin_check().map(CheckJob::run);
        done.and_then(|done| self.finish_check(done)).unwrap_or(DiskState::Same)
    }

    /// Begins to look at the file on the disk; `None` if there is no file.
    pub fn begin_check(&self) -> Option<CheckJob> {
        let home = self.home.as_ref()?;
        let locks = home.is_in_use().then(|| self.data.clone());
        Some(CheckJob { path: home.path.clone(), known: home.known, locks })
    }

    /// Records the result of looking at the file; `None` if it was saved or read since, or if the document has been
    /// saved under another name.
    pub fn finish_check(&mut self, done: CheckDone) -> Option<DiskState> {
        let CheckDone { job: CheckJob { path, known, .. }, seen, retaken } = done;
        let home = self.home.as_mut().filter(|home| home.path == path && home.known == known)?;
        home.take_lock(retaken);
        let state = home.take_in(seen).clone();
        self.refresh_note();
        self.keep_copy();
        Some(state)
    }

    /// Goes back to what is in the file, as one step: nothing is lost. Returns whether anything changed.
    ///
    /// # Errors
    /// [`OpenError`] if the file cannot be read; the project is unchanged.
    pub fn revert(&mut self) -> Result<bool, OpenError> {
        self.read_at_once(Reread::Revert)
    }

    /// Takes over what someone else wrote into the file, as one step: nothing is lost. Returns whether anything
    /// changed.
    ///
    /// # Errors
    /// [`OpenError`] if the file cannot be read; the project is unchanged.
    pub fn reload(&mut self) -> Result<bool, OpenError> {
        self.read_at_once(Reread::Reload)
    }

    fn read_at_once(&mut self, why: Reread) -> Result<bool, OpenError> {
        let job = self.begin_reading(why)?;
        self.finish_reading(job.run()).unwrap_or(Ok(false))
    }

    /// Begins to read the file again. The result of [`ReadJob::run`] must be given to
    /// [`finish_reading`](Self::finish_reading).
    ///
    /// # Errors
    /// [`OpenError::NoFile`].
    pub fn begin_reading(&self, why: Reread) -> Result<ReadJob, OpenError> {
        let home = self.home.as_ref().ok_or(OpenError::NoFile)?;
        Ok(ReadJob { path: home.path.clone(), known: home.known, why })
    }

    /// Takes over what was read, as one step, and returns whether anything changed; `None` if the file was saved or
    /// read since, or if the document has been saved under another name.
    ///
    /// # Errors
    /// [`OpenError`] if the file could not be read; the project is unchanged.
    pub fn finish_reading(&mut self, done: ReadDone) -> Option<Result<bool, OpenError>> {
        let ReadDone { job: ReadJob { path, known, why }, content } = done;
        let is_it = |home: &&mut Home| home.path == path && home.known == known;
        self.home.as_mut().filter(is_it)?;
        Some(content.map(|content| self.take_over(content, why.label())))
    }

    fn take_over(&mut self, content: Content, label: &str) -> bool {
        self.close_gesture();
        if let Some(home) = &mut self.home {
            home.known = Some(content.known);
            home.disk = DiskState::Same;
        }
        self.saved = Some(content.project.clone());
        self.has_comments = content.has_comments;
        self.upgrade = content.upgrade;
        let changed = self.history.append(change(label, None), content.project);
        self.refresh_note();
        self.keep_copy();
        changed
    }
}

#[cfg(test)]
mod tests {
    use super::super::trial::{project, with_cell};
    use super::super::{DataFolder, SaveWarning, folder_to_watch};
    use super::*;
    use crate::project::{Fault, LARGEST_FILE_BYTES, Project, Snapshot, read, write};
    use std::fs;
    use std::path::PathBuf;
    use std::sync::Arc;
    use tempfile::TempDir;

    struct Place(TempDir);

    impl Place {
        fn new() -> Self {
            Self(tempfile::tempdir().unwrap())
        }

        fn path(&self, name: &str) -> PathBuf {
            self.0.path().join(name)
        }

        fn data(&self) -> DataFolder {
            DataFolder::at(self.path("data"))
        }

        fn open(&self, name: &str) -> Document {
            Document::open_in(&self.data(), &self.path(name)).unwrap()
        }

        /// A project saved under a name.
        fn saved(&self, name: &str) -> Document {
            let mut document = Document::untitled_in(&self.data(), project(), "x");
            document.save_as(&self.path(name)).unwrap();
            document
        }

        fn text(&self, name: &str) -> String {
            fs::read_to_string(self.path(name)).unwrap()
        }
    }

    fn set(document: &mut Document, advance_deg: f64) {
        let edit = |project: &_| Ok::<_, Fault>(with_cell(project, 3, advance_deg));
        assert!(document.apply("Set", None, edit).unwrap());
    }

    fn text_with(advance_deg: f64) -> String {
        write(&with_cell(&project(), 3, advance_deg)).unwrap()
    }

    #[test]
    fn a_new_project_gets_a_file_and_reads_back() {
        let place = Place::new();
        let mut document = Document::untitled_in(&place.data(), project(), "x");
        set(&mut document, 7.0);
        assert!(matches!(document.save(), Err(SaveError::NoFile)));
        let saved = document.save_as(&place.path("tarn 1.5")).unwrap();
        assert_eq!(saved.path, place.path("tarn 1.5.ron"));
        assert_eq!(saved.warnings, [SaveWarning::EndingAdded { path: saved.path.clone() }]);
        assert_eq!((document.title().as_str(), document.is_changed()), ("tarn 1.5", false));
        assert!(document.undo() && document.is_changed() && document.redo() && !document.is_changed());
        drop(document);
        let again = place.open("tarn 1.5.ron");
        assert_eq!(again.project(), &with_cell(&project(), 3, 7.0));
        assert_eq!((again.steps()[0].label.as_str(), again.note(), again.is_read_only()), ("Opened", None, false));
        let mut other = Document::untitled_in(&place.data(), project(), "x");
        assert!(matches!(other.save_as(&place.path("tarn 1.5")), Err(SaveError::Exists { .. })));
        assert_eq!(other.path(), None);
    }

    #[test]
    fn saving_an_unchanged_project_gives_the_same_bytes() {
        let place = Place::new();
        place.saved("a.ron").close();
        let before = place.text("a.ron");
        assert_eq!(place.open("a.ron").save().unwrap().warnings, []);
        assert_eq!(place.text("a.ron"), before);
    }

    #[test]
    fn someone_elses_change_is_noticed_and_each_way_on_works() {
        let place = Place::new();
        let mut document = place.saved("a.ron");
        // Written again with the same content: only the file time differs, which is no change.
        fs::write(place.path("a.ron"), place.text("a.ron")).unwrap();
        assert_eq!(document.check_disk(), DiskState::Same);
        set(&mut document, 1.0);
        fs::write(place.path("a.ron"), text_with(2.0)).unwrap();
        assert_eq!(document.check_disk(), DiskState::Changed);
        assert!(matches!(document.save(), Err(SaveError::ChangedOnDisk { .. })));
        assert_eq!((place.text("a.ron"), document.is_changed()), (text_with(2.0), true));

        assert!(document.reload().unwrap() && !document.is_changed());
        assert_eq!((write(document.project()).unwrap(), document.check_disk()), (text_with(2.0), DiskState::Same));
        assert!(document.undo());
        assert_eq!(write(document.project()).unwrap(), text_with(1.0), "nothing is lost by reloading");

        fs::write(place.path("a.ron"), text_with(3.0)).unwrap();
        document.save_over().unwrap();
        assert_eq!(place.text("a.ron"), text_with(1.0));

        fs::write(place.path("a.ron"), text_with(4.0)).unwrap();
        document.save_as(&place.path("mine.ron")).unwrap();
        assert_eq!((place.text("a.ron"), place.text("mine.ron")), (text_with(4.0), text_with(1.0)));
        assert_eq!(document.path(), Some(&*place.path("mine.ron")));
    }

    #[test]
    fn a_file_that_already_says_the_same_is_no_conflict() {
        let place = Place::new();
        let mut document = place.saved("a.ron");
        set(&mut document, 1.0);
        fs::write(place.path("a.ron"), text_with(1.0)).unwrap();
        assert_eq!(document.save().unwrap().warnings, []);
    }

    #[test]
    fn a_file_that_is_gone_is_written_again() {
        let place = Place::new();
        let mut document = place.saved("a.ron");
        fs::remove_file(place.path("a.ron")).unwrap();
        assert!(!document.is_changed());
        assert_eq!(document.check_disk(), DiskState::Missing);
        assert!(document.is_changed(), "the work is nowhere but here");
        assert!(matches!(document.revert(), Err(OpenError::Missing { .. })));
        assert_eq!(document.save().unwrap().warnings, [SaveWarning::WrittenAgain]);
        assert!(!document.is_changed());
        fs::remove_file(place.path("a.ron")).unwrap();
        fs::create_dir(place.path("a.ron")).unwrap();
        assert!(matches!(document.check_disk(), DiskState::Unreadable(_)));
        assert!(matches!(document.save(), Err(SaveError::Unreadable { .. })));
        assert!(matches!(document.save_over(), Err(SaveError::Folder { .. })));
    }

    #[test]
    fn a_second_window_is_read_only_until_the_first_is_closed() {
        let place = Place::new();
        let mut first = place.saved("a.ron");
        let mut second = place.open("a.ron");
        assert!(second.is_read_only() && !first.is_read_only());
        assert!(second.note().unwrap().contains("another window"));
        set(&mut second, 1.0);
        assert!(matches!(second.save(), Err(SaveError::InUse { .. })));
        assert!(matches!(second.save_over(), Err(SaveError::InUse { .. })));
        let mut third = place.saved("b.ron");
        assert!(matches!(third.save_as(&place.path("a.ron")), Err(SaveError::InUse { .. })));
        assert_eq!(third.path(), Some(&*place.path("b.ron")));
        set(&mut first, 2.0);
        first.save().unwrap();
        first.close();
        assert_eq!(second.check_disk(), DiskState::Changed);
        assert_eq!((second.is_read_only(), second.note()), (false, None));
        assert!(matches!(second.save(), Err(SaveError::ChangedOnDisk { .. })));
        assert!(place.open("a.ron").is_read_only(), "now the second holds the lock");
    }

    #[test]
    fn reverting_is_one_step_that_can_be_undone() {
        let place = Place::new();
        let mut document = place.saved("a.ron");
        assert!(!document.revert().unwrap());
        set(&mut document, 1.0);
        assert!(document.revert().unwrap() && !document.is_changed());
        assert_eq!(document.undo_label(), Some("Revert to the saved file"));
        assert!(document.undo());
        assert_eq!(write(document.project()).unwrap(), text_with(1.0));
        fs::write(place.path("a.ron"), "(format: 1,").unwrap();
        assert!(matches!(document.reload(), Err(OpenError::Invalid { .. })));
        assert_eq!(write(document.project()).unwrap(), text_with(1.0));
    }

    #[test]
    fn comments_are_mentioned_until_they_are_gone() {
        let place = Place::new();
        fs::write(place.path("a.ron"), format!("// mine\n{}", text_with(1.0))).unwrap();
        let mut document = place.open("a.ron");
        assert!(document.note().unwrap().contains("Comments"));
        assert!(!document.is_changed());
        document.save().unwrap();
        assert_eq!((document.note(), place.text("a.ron")), (None, text_with(1.0)));
    }

    #[test]
    fn a_project_too_large_to_be_read_again_is_not_written() {
        let place = Place::new();
        let mut document = place.saved("a.ron");
        let before = place.text("a.ron");
        let snapshots = |project: &Project| {
            let long = "x".repeat(20_000);
            let state = project.edit(|parts| parts.notes = long.clone())?;
            let numbers = 0..LARGEST_FILE_BYTES / 40_000 + 1;
            let (note, taken_at) = (long, "2026-05-04T10:00:00Z".to_owned());
            let kept = Snapshot { name: String::new(), note, taken_at, state };
            let all = numbers.map(|number| Arc::new(Snapshot { name: number.to_string(), ..kept.clone() })).collect();
            project.edit(|parts| parts.snapshots = all)
        };
        document.apply("Keep everything", None, snapshots).unwrap();
        assert!(matches!(document.save(), Err(SaveError::TooLarge { .. })));
        assert_eq!(place.text("a.ron"), before);
    }

    #[test]
    fn without_a_data_folder_saving_works_and_says_what_is_missing() {
        let place = Place::new();
        let mut document = Document::untitled_in(&DataFolder::none(), project(), "x");
        let warnings = document.save_as(&place.path("a.ron")).unwrap().warnings;
        assert!(matches!(&warnings[..], [SaveWarning::Unlocked { .. }]));
        assert!(document.note().unwrap().contains("not be noticed") && !document.is_read_only());
    }

    #[cfg(unix)]
    #[test]
    fn links_stay_links() {
        use std::os::unix::fs::symlink;
        let place = Place::new();
        fs::create_dir(place.path("real")).unwrap();
        symlink("real/a.ron", place.path("link.ron")).unwrap();
        // First the link points to nothing, then to a file.
        for _ in 0..2 {
            let mut document = Document::untitled_in(&place.data(), project(), "x");
            document.save_as(&place.path("link.ron")).unwrap();
            assert!(place.path("link.ron").is_symlink() && !place.path("real/a.ron").is_symlink());
            assert_eq!(folder_to_watch(document.path().unwrap()), Some(place.path("real")));
            assert!(place.open("real/a.ron").is_read_only(), "one file, one lock");
            fs::write(place.path("real/a.ron"), "").unwrap();
        }
    }

    #[cfg(unix)]
    #[test]
    fn a_write_protected_file_is_left_alone() {
        use std::os::unix::fs::PermissionsExt;
        let place = Place::new();
        place.saved("a.ron").close();
        fs::set_permissions(place.path("a.ron"), fs::Permissions::from_mode(0o444)).unwrap();
        let mut document = place.open("a.ron");
        assert!(document.is_read_only() && document.note().unwrap().contains("write-protected"));
        set(&mut document, 1.0);
        assert!(matches!(document.save(), Err(SaveError::WriteProtected { .. })));
        fs::set_permissions(place.path("a.ron"), fs::Permissions::from_mode(0o600)).unwrap();
        document.save().unwrap();
        assert_eq!((document.is_read_only(), document.note()), (false, None));
    }

    #[cfg(unix)]
    #[test]
    fn odd_file_names_work() {
        use std::ffi::OsStr;
        use std::os::unix::ffi::OsStrExt;
        let place = Place::new();
        for name in [&b"caf\xe9.ron"[..], b"a\nb.ron", b".ron", b"two.dots.txt", b" "] {
            let path = place.0.path().join(OsStr::from_bytes(name));
            let mut document = Document::untitled_in(&place.data(), project(), "x");
            let path = document.save_as(&path).unwrap().path;
            set(&mut document, 1.0);
            document.save().unwrap();
            assert!(!document.title().is_empty());
            document.close();
            assert_eq!(read(&fs::read(&path).unwrap()).unwrap(), with_cell(&project(), 3, 1.0));
            assert_eq!(Document::open_in(&place.data(), &path).unwrap().path(), Some(&*path));
        }
    }
}
