//! Copies left behind by processes that are gone.

use std::path::Path;
use std::{fs, io};

use jiff::Timestamp;

use super::super::{BoundedError, DataFolder, Document, OpenError, disk, read_bounded};
use super::copy::{COPY_ENDING, FOLDER, Header, Slot, parse};
use super::keeper::Keeper;
use crate::project::{LARGEST_FILE_BYTES, read_upgrading};
use crate::wording::Refusal;

/// The recovery copies of a data folder.
#[derive(Clone, Debug)]
pub struct Recovery {
    data: DataFolder,
}

impl Recovery {
    /// Those in a data folder.
    pub fn new(data: &DataFolder) -> Self {
        Self { data: data.clone() }
    }

    /// The copies whose process ended without saving them, the latest first. Each is offered to only one
    /// caller, as long as that caller keeps the offer. A copy with the same content as its file is deleted
    /// instead.
    pub fn list(&self) -> Vec<Offer> {
        self.look().offers
    }

    /// The same, and also what is there but cannot be read.
    pub fn look(&self) -> LeftBehind {
        let mut found = LeftBehind::default();
        let entries = match self.data.folder(FOLDER).and_then(fs::read_dir) {
            Ok(entries) => entries,
            Err(error) => {
                if let Some(folder) = self.data.path() {
                    found.unreadable.push(format!("{}: {error}", folder.join(FOLDER).display()));
                }
                return found;
            }
        };
        let paths = entries.flatten().map(|entry| entry.path());
        for copy in paths.filter(|path| path.extension().is_some_and(|ending| ending == COPY_ENDING)) {
            match self.offer(&copy) {
                Ok(offer) => found.offers.extend(offer),
                Err(_) if Slot::is_owned(&copy) => {}
                Err(why) => found.unreadable.push(why.to_string()),
            }
        }
        found.offers.sort_by_key(|offer| std::cmp::Reverse(offer.header.at));
        found.unreadable.sort();
        found
    }

    /// A copy whose process is gone; `None` if the process lives.
    fn offer(&self, copy: &Path) -> Result<Option<Offer>, Refusal> {
        let bytes = read_copy(copy)?;
        let text = String::from_utf8_lossy(&bytes);
        let Some((header, project)) = parse(&text) else {
            let refusal = Refusal::new("its first lines are not those of a recovery copy");
            return Err(refusal.at(copy.display().to_string()));
        };
        let taken = Slot::take_over(copy, header.process);
        let Some(slot) =
            taken.map_err(|error| Refusal::new(format!("its lock: {error}")).at(copy.display().to_string()))?
        else {
            return Ok(None);
        };
        let on_disk = header.origin.path.as_ref().and_then(|path| disk::read(path).ok());
        if on_disk.is_some_and(|bytes| bytes == project.as_bytes()) {
            let _ = slot.remove();
            return Ok(None);
        }
        Ok(Some(Offer { data: self.data.clone(), header, slot }))
    }
}

/// What processes that are gone left in the folder of recovery copies.
#[derive(Debug, Default)]
pub struct LeftBehind {
    /// The copies that can be opened, the latest first.
    pub offers: Vec<Offer>,
    /// What is there and cannot be read: its path and why.
    pub unreadable: Vec<String>,
}

/// The comment lines of a copy are shorter than this.
const LONGEST_HEADER_BYTES: u64 = 64 * 1024;

fn read_copy(path: &Path) -> Result<Vec<u8>, OpenError> {
    read_bounded(path, LARGEST_FILE_BYTES + LONGEST_HEADER_BYTES).map_err(|error| match error {
        BoundedError::Io(error) => OpenError::of(path, error),
        other => OpenError::of(path, io::Error::other(other.to_string())),
    })
}

/// A recovery copy that can be opened or discarded; dropping the offer keeps the copy for later.
#[derive(Debug)]
pub struct Offer {
    data: DataFolder,
    header: Header,
    slot: Slot,
}

impl Offer {
    /// The project's file; none for a project that was never saved.
    pub fn path(&self) -> Option<&Path> {
        self.header.origin.path.as_deref()
    }

    /// What the project was called in the title bar.
    pub fn name(&self) -> &str {
        &self.header.origin.name
    }

    /// The time of the copy.
    pub fn copied_at(&self) -> Timestamp {
        self.header.at
    }

    /// The time of the project's file, if there is one.
    pub fn saved_at(&self) -> Option<Timestamp> {
        let modified = fs::metadata(self.path()?).and_then(|about| about.modified()).ok()?;
        Timestamp::try_from(modified).ok()
    }

    /// Opens the copy, with the project's file as the first step and the recovered changes as the second. The
    /// copy stays until the document is saved or closed.
    ///
    /// # Errors
    /// [`OpenError`] if the copy itself is damaged; it stays at the path that the error names.
    pub fn open(self) -> Result<Document, OpenError> {
        let Self { data, header: Header { origin, at, .. }, slot } = self;
        let path = slot.copy().to_owned();
        let bytes = read_copy(&path)?;
        let read = read_upgrading(&bytes).map_err(|source| OpenError::Invalid { path, source })?;
        let keeper = Keeper::adopting(&data, slot);
        Ok(Document::recovered(&data, keeper, origin, at, read))
    }

    /// Deletes the copy.
    ///
    /// # Errors
    /// What the system says if it cannot be deleted.
    pub fn discard(self) -> io::Result<()> {
        self.slot.remove()
    }
}

#[cfg(test)]
mod tests {
    use super::super::super::SaveError;
    use super::*;
    use crate::document::trial::{project, with_cell};
    use crate::project::{Fault, write};
    use std::path::PathBuf;

    fn set(document: &mut Document, advance_deg: f64) {
        let edit = |project: &_| Ok::<_, Fault>(with_cell(project, 3, advance_deg));
        assert!(document.apply("Set", None, edit).unwrap());
    }

    fn count(data: &DataFolder) -> usize {
        fs::read_dir(data.folder(FOLDER).unwrap()).unwrap().count()
    }

    /// A data folder, and a file in it that is saved with 1° and left unsaved with 2°, as a crash leaves it.
    fn after_a_crash() -> (tempfile::TempDir, DataFolder, PathBuf) {
        let folder = tempfile::tempdir().unwrap();
        let data = DataFolder::at(folder.path().join("data"));
        let path = folder.path().join("a.ron");
        let mut document = Document::untitled_in(&data, project(), "x");
        set(&mut document, 1.0);
        document.save_as(&path).unwrap();
        assert_eq!(count(&data), 0);
        set(&mut document, 2.0);
        assert_eq!(Recovery::new(&data).list().len(), 0);
        drop(document);
        assert_eq!(count(&data), 2);
        (folder, data, path)
    }

    fn only(data: &DataFolder) -> Offer {
        let mut offers = Recovery::new(data).list();
        assert_eq!(offers.len(), 1);
        offers.remove(0)
    }

    #[test]
    fn a_copy_is_offered_once_and_opens_with_the_file_below_it() {
        let (_folder, data, path) = after_a_crash();
        let offer = only(&data);
        assert!(Recovery::new(&data).list().is_empty(), "nobody else is offered it meanwhile");
        assert_eq!((offer.path(), offer.name()), (Some(&*path), "a"));
        assert!(offer.saved_at().is_some() && offer.copied_at() > Timestamp::UNIX_EPOCH);
        drop(offer);
        let mut document = only(&data).open().unwrap();
        assert!(Recovery::new(&data).list().is_empty(), "it belongs to the document now");
        assert!(document.is_changed() && !document.is_read_only());
        assert_eq!(document.project(), &with_cell(&project(), 3, 2.0));
        assert!(document.undo() && !document.is_changed());
        assert_eq!(document.project(), &with_cell(&project(), 3, 1.0));
        assert!(document.redo());
        document.save().unwrap();
        drop(document);
        assert_eq!(count(&data), 0);
        assert_eq!(fs::read_to_string(path).unwrap(), write(&with_cell(&project(), 3, 2.0)).unwrap());
    }

    #[test]
    fn a_recovered_project_that_is_dropped_again_is_offered_again() {
        let (_folder, data, _) = after_a_crash();
        drop(only(&data).open().unwrap());
        let mut document = only(&data).open().unwrap();
        set(&mut document, 3.0);
        drop(document);
        let document = only(&data).open().unwrap();
        assert_eq!(document.project(), &with_cell(&project(), 3, 3.0));
        document.close();
        assert_eq!(count(&data), 0);
    }

    #[test]
    fn what_someone_else_wrote_after_the_crash_is_not_overwritten() {
        let (_folder, data, path) = after_a_crash();
        fs::write(&path, write(&with_cell(&project(), 0, 9.0)).unwrap()).unwrap();
        let mut document = only(&data).open().unwrap();
        assert!(matches!(document.save(), Err(SaveError::ChangedOnDisk { .. })));
        fs::remove_file(&path).unwrap();
        drop(document);
        let mut document = only(&data).open().unwrap();
        assert_eq!((document.steps().len(), document.is_changed()), (1, true));
        document.save().unwrap();
        assert!(path.exists());
    }

    #[test]
    fn a_copy_that_says_what_the_file_says_is_not_offered() {
        let (_folder, data, path) = after_a_crash();
        fs::write(&path, write(&with_cell(&project(), 3, 2.0)).unwrap()).unwrap();
        assert!(Recovery::new(&data).list().is_empty());
        assert_eq!(count(&data), 0);
    }

    #[test]
    fn a_damaged_copy_is_kept_until_it_is_discarded() {
        let (_folder, data, _) = after_a_crash();
        let copy = only(&data).slot.copy().to_owned();
        let text = fs::read_to_string(&copy).unwrap();
        fs::write(&copy, &text[..text.len() - 20]).unwrap();
        let error = only(&data).open().unwrap_err();
        assert!(error.to_string().contains(&*copy.to_string_lossy()));
        only(&data).discard().unwrap();
        assert_eq!(count(&data), 0);
    }

    #[cfg(unix)]
    #[test]
    fn what_cannot_be_read_is_told_and_nothing_waits_for_it() {
        let (_folder, data, _) = after_a_crash();
        let recovery = data.folder(FOLDER).unwrap();
        let pipe = |name: &str| {
            let made = std::process::Command::new("mkfifo").arg(recovery.join(name)).status().unwrap();
            assert!(made.success());
        };
        pipe("a.ron");
        std::os::unix::fs::symlink("/dev/zero", recovery.join("b.ron")).unwrap();
        fs::File::create(recovery.join("c.ron")).unwrap().set_len(1 << 40).unwrap();
        fs::write(recovery.join("d.ron"), "(format: 1)").unwrap();
        // A good copy whose lock is not a file.
        let copy = only(&data).slot.copy().to_owned();
        fs::copy(&copy, recovery.join("e.ron")).unwrap();
        pipe("e.lock");
        let found = Recovery::new(&data).look();
        assert_eq!(found.offers.len(), 1);
        assert_eq!(found.unreadable.len(), 5, "{:?}", found.unreadable);
        for (told, name) in found.unreadable.iter().zip(["a", "b", "c", "d", "e"]) {
            assert!(told.contains(&format!("{name}.ron: ")), "{told}");
        }
        assert!(Recovery::new(&DataFolder::none()).look().unreadable.is_empty());
    }

    #[test]
    fn unsaved_projects_have_copies_too_and_a_finished_change_has_none() {
        let folder = tempfile::tempdir().unwrap();
        let data = DataFolder::at(folder.path());
        let mut document = Document::untitled_in(&data, project(), "two strokes");
        document.begin_gesture();
        document.preview(|project| Ok::<_, Fault>(with_cell(project, 3, 5.0))).unwrap();
        drop(document);
        let offer = only(&data);
        assert_eq!((offer.path(), offer.name(), offer.saved_at()), (None, "two strokes", None));
        let mut document = offer.open().unwrap();
        assert_eq!((document.title().as_str(), document.path()), ("two strokes", None));
        assert_eq!(document.project(), &with_cell(&project(), 3, 5.0));
        document.save_as(&folder.path().join("b.ron")).unwrap();
        set(&mut document, 1.0);
        assert!(document.undo());
        drop(document);
        assert_eq!(count(&data), 0, "undone, so that nothing differs from the file");
    }
}
