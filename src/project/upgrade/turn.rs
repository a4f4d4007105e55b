//! What every step from one version to the next does alike: it looks at the project and at each state kept in it, and puts
//! other text in the place of some parts.

use ron::error::SpannedError;
use ron::value::RawValue;
use serde::Deserialize;

use super::super::locate::offset_in;
use super::super::ron_text::options;
use super::Step;
use super::rewrite::Edits;

/// A text while it is turned into the next version.
pub(super) struct Turn<'t> {
    text: &'t str,
    edits: Edits,
    /// What could not be carried over, in words.
    pub(super) remarks: Vec<String>,
}

/// Where a project keeps states of its own.
#[derive(Deserialize)]
struct Keeping<'a> {
    #[serde(borrow, default)]
    last_export: Option<&'a RawValue>,
    #[serde(borrow, default)]
    snapshots: Option<&'a RawValue>,
}

#[derive(Deserialize)]
struct Kept<'a> {
    #[serde(default)]
    name: String,
    #[serde(borrow)]
    state: &'a RawValue,
}

/// A part of the text as what it should be, if it is.
pub(super) fn read<'a, T: Deserialize<'a>>(part: Option<&'a RawValue>) -> Option<T> {
    options().from_str(part?.get_ron()).ok()
}

/// Turns a text with `project`, which is given an outline of the project and of each state kept in it, and how remarks
/// about it begin. Parts that are not as their version has them stay as they are: whoever reads the text afterwards says
/// what is wrong with them.
///
/// # Errors
/// What the parser says of a text that is no RON.
pub(super) fn turn_all<'t, Outline: Deserialize<'t>>(
    text: &'t str,
    project: impl Fn(&mut Turn<'t>, &Outline, &str),
) -> Result<Step, SpannedError> {
    let mut turn = Turn { text, edits: Edits::default(), remarks: Vec::new() };
    project(&mut turn, &options().from_str(text)?, "");
    let Keeping { last_export, snapshots } = options().from_str(text)?;
    let snapshots: Vec<Kept<'_>> = read(snapshots).unwrap_or_default();
    let mut state = |state: &'t RawValue, whose: &str| {
        if let Some(outline) = read(Some(state)) {
            project(&mut turn, &outline, whose);
        }
    };
    for kept in &snapshots {
        state(kept.state, &format!("Snapshot '{}': ", kept.name));
    }
    if let Some(kept) = read::<Kept<'_>>(last_export) {
        state(kept.state, "Last export: ");
    }
    Ok(Step { rewritten: turn.edits.carry_out(text), remarks: turn.remarks })
}

impl Turn<'_> {
    /// Puts other text in the place of a part.
    pub(super) fn replace(&mut self, part: &RawValue, new: String) {
        let part = part.get_ron().trim();
        if let Some(start) = offset_in(self.text, part) {
            self.edits.replace(start..start + part.len(), new);
        }
    }

    /// Puts fields behind the value of another one.
    pub(super) fn after(&mut self, part: &RawValue, fields: &str) {
        let part = part.get_ron().trim();
        if let Some(start) = offset_in(self.text, part) {
            let end = start + part.len();
            self.edits.replace(end..end, format!(", {fields}"));
        }
    }
}
