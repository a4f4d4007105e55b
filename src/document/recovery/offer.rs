//! Copies left by processes that are gone.

use std::fs;
use std::io;
use std::path::Path;

use jiff::Timestamp;

use crate::project::read;

use super::super::{DataFolder, Document, OpenError};
use super::copy::{Header, parse};
use super::keeper::Keeper;
use super::slot::{COPY_ENDING, FOLDER, Slot};

/// The recovery copies of a data folder.
#[derive(Clone, Debug)]
pub struct Recovery {
    data: DataFolder,
}

impl Recovery {
    /// Those kept in a data folder.
    pub fn new(data: &DataFolder) -> Self {
        Self { data: data.clone() }
    }

    /// The copies whose process ended without saving them, the latest first. Each is offered to one caller only, for as
    /// long as that caller keeps the offer. A copy that says just what its file says is deleted instead.
    pub fn list(&self) -> Vec<Offer> {
        let entries = self.data.folder(FOLDER).and_then(fs::read_dir).into_iter().flatten().flatten();
        let copies =
            entries.map(|entry| entry.path()).filter(|path| path.extension().is_some_and(|e| e == COPY_ENDING));
        let mut offers: Vec<_> = copies.filter_map(|copy| self.offer(&copy)).collect();
        offers.sort_by_key(|offer| std::cmp::Reverse(offer.header.at));
        offers
    }

    fn offer(&self, copy: &Path) -> Option<Offer> {
        let text = fs::read_to_string(copy).ok()?;
        let Some((header, project)) = parse(&text) else {
            log::warn!("{} is no recovery copy", copy.display());
            return None;
        };
        let slot = Slot::take_over(copy, header.process).ok().flatten()?;
        let on_disk = header.origin.path.as_ref().and_then(|path| fs::read(path).ok());
        if on_disk.is_some_and(|bytes| bytes == project.as_bytes()) {
            let _ = slot.remove();
            return None;
        }
        Some(Offer { data: self.data.clone(), header, slot })
    }
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

    /// From when the copy is.
    pub fn copied_at(&self) -> Timestamp {
        self.header.at
    }

    /// From when the project's file is, when there is one.
    pub fn saved_at(&self) -> Option<Timestamp> {
        let modified = fs::metadata(self.path()?).and_then(|about| about.modified()).ok()?;
        Timestamp::try_from(modified).ok()
    }

    /// Opens the copy: with the project's file as the first step and the recovered changes as the second. The copy stays
    /// until the document is saved or closed.
    ///
    /// # Errors
    /// [`OpenError`] when the copy itself is damaged; it stays where the error says.
    pub fn open(self) -> Result<Document, OpenError> {
        let Self { data, header: Header { origin, at, .. }, slot } = self;
        let path = slot.copy().to_owned();
        let bytes = fs::read(&path).map_err(|error| OpenError::of(&path, error))?;
        let project = read(&bytes).map_err(|source| OpenError::Invalid { path, source })?;
        let keeper = Keeper::adopting(&data, slot);
        Ok(Document::recovered(&data, keeper, origin, at, project))
    }

    /// Deletes the copy.
    ///
    /// # Errors
    /// What the system says when it cannot be deleted.
    pub fn discard(self) -> io::Result<()> {
        self.slot.remove()
    }
}
