//! What a crash left behind, and the recently used files: both are in the data folder, and are read on a
//! thread.

use std::path::PathBuf;
use std::sync::Arc;

use eframe::egui;

use super::task::{Fault, Task};
use crate::document::{DataFolder, Offer, RecentFiles, Recovery};
use crate::window::state::dialogs::OfferWords;

/// Recovery copies on offer, each with its description, and what cannot be read, with the reason.
#[derive(Debug, Default)]
pub struct Leftovers {
    /// The copies.
    pub offers: Vec<(Offer, OfferWords)>,
    /// What cannot be read.
    pub unreadable: Vec<String>,
}

impl Leftovers {
    /// Looks for them in a data folder.
    pub fn find(data: &DataFolder) -> Self {
        let found = Recovery::new(data).look();
        let words = |offer: &Offer| OfferWords {
            name: offer.name().to_owned(),
            copied_at: offer.copied_at(),
            saved_at: offer.saved_at(),
        };
        let with_words = |offer: Offer| {
            let words = words(&offer);
            (offer, words)
        };
        Self { offers: found.offers.into_iter().map(with_words).collect(), unreadable: found.unreadable }
    }
}

/// Keeps the list of recently used files.
#[derive(Debug)]
pub struct RecentKeeper {
    files: RecentFiles,
    /// Files to be put first before the list is read.
    opened: Vec<PathBuf>,
    /// How often the list was requested.
    asked: u64,
    reading: Task<u64, Vec<PathBuf>>,
}

/// The name of reading the list in messages.
pub(in crate::window) const READING_RECENT: &str = "Reading the list of recent files";

impl RecentKeeper {
    /// The list in a data folder. The file that the window opened with is put first.
    pub fn new(data: &DataFolder, opened: Option<PathBuf>) -> Self {
        Self { files: RecentFiles::new(data), opened: opened.into_iter().collect(), asked: 1, reading: Task::default() }
    }

    /// A handle with which threads that open or save add to the list.
    pub const fn files(&self) -> &RecentFiles {
        &self.files
    }

    /// Puts a file first.
    pub fn put_first(&mut self, file: PathBuf) {
        self.opened.push(file);
        self.refresh();
    }

    /// Makes the list be read again.
    pub fn refresh(&mut self) {
        self.asked += 1;
    }

    /// Brings the list up to date.
    pub fn settle(&mut self, ctx: &egui::Context) {
        self.reading.receive();
        let (files, opened) = (self.files.clone(), self.opened.clone());
        self.reading.ask(&self.asked, ctx, READING_RECENT, move |_| {
            opened.into_iter().for_each(|opened| files.add(&opened));
            Ok(files.list())
        });
        if self.reading.working().is_some() {
            self.opened.clear();
        }
    }

    /// The list as it was last read.
    pub fn list(&self) -> Option<&Arc<Vec<PathBuf>>> {
        self.reading.newest().map(|(_, list)| list)
    }

    /// Why it could not be read, given only once.
    pub(in crate::window) fn take_fault(&mut self) -> Option<Fault> {
        let fault = self.reading.take_fault();
        if fault.is_some() {
            // Not repeated for the same request, or it would go on for ever.
            let before = self.list().map(|list| Vec::clone(list)).unwrap_or_default();
            self.reading.put(self.asked, Ok(before));
        }
        fault
    }
}
