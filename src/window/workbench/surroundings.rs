//! What the window needs from the outside world, so that a test can replace it.

use std::sync::Arc;

use jiff::Timestamp;

use super::trace::Trace;
use crate::document::DataFolder;
use crate::window::tasks::chooser::{Chooser, system_chooser};
use crate::window::tasks::settings_file::SettingsFile;

/// Folders, settings and the system's dialogs.
pub struct Surroundings {
    /// Where recovery copies, locks and the list of recent files are.
    pub data: DataFolder,
    /// Where the settings are.
    pub settings: SettingsFile,
    /// How a path is asked for.
    pub chooser: Chooser,
    /// What time it is.
    pub clock: fn() -> Timestamp,
    /// Where every message that is carried out is written down.
    pub trace: Trace,
    /// Whether the window greets: the caution, the suggestions for a beginning, what a crash left behind.
    pub greets: bool,
}

impl Surroundings {
    /// The user's own.
    pub fn standard() -> Self {
        let (data, settings) = (DataFolder::standard(), SettingsFile::standard());
        let trace = Trace::from_environment();
        Self { data, settings, chooser: system_chooser(), clock: Timestamp::now, trace, greets: true }
    }

    /// Nothing: nothing is kept, no dialogs, no greeting, and a fixed clock.
    pub fn none() -> Self {
        let (data, settings) = (DataFolder::none(), SettingsFile::none());
        Self { data, settings, chooser: Arc::new(|_| None), clock: still_clock, trace: Trace::none(), greets: false }
    }
}

/// Noon of the first day of 2026, in whole seconds since 1970.
fn still_clock() -> Timestamp {
    Timestamp::constant(1_767_268_800, 0)
}
