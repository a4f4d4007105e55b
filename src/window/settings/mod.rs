//! What the user chose for every project: the look, keys, the decimal mark, cautions already understood.

mod file;
mod form;

use std::collections::BTreeSet;

use super::commands::KeyMap;
use super::screen::{LookChoice, Splits};

pub use file::SettingsFile;

/// The user's choices.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Settings {
    /// Light, dark, sunlight or as the system says.
    pub look: LookChoice,
    /// Whether numbers are written with a decimal comma in exported tables.
    pub decimal_comma: bool,
    /// Which keys run which command.
    pub keys: KeyMap,
    /// The projects whose caution was understood, by file or by sample name.
    pub understood: BTreeSet<String>,
    /// Whether the three ways on from the first start were put away.
    pub is_welcomed: bool,
    /// How the Advance sheet is divided.
    pub splits: Splits,
}
