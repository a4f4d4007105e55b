//! What every step from one version to the next does alike: it looks at the project and at each state kept in it, puts
//! other text in the place of some parts, and knows the way from the new text back to the old one.

use std::ops::Range;

use ron::error::SpannedError;
use ron::value::RawValue;
use serde::Deserialize;

use super::super::locate::offset_in;
use super::super::ron_text::options;

/// What one step did.
pub(super) struct Step {
    pub(super) rewritten: Rewritten,
    /// What could not be carried over, in words.
    pub(super) remarks: Vec<String>,
}

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
/// What the parser says of a text that is not RON.
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

/// Replacements in a text, in any order.
#[derive(Default)]
pub(super) struct Edits(Vec<(Range<usize>, String)>);

/// A text with its replacements made.
pub(super) struct Rewritten {
    text: String,
    /// Where each replacement was in the old text and is in the new one, in order.
    places: Vec<[Range<usize>; 2]>,
}

impl Edits {
    /// Puts other text in the place of some bytes.
    pub(super) fn replace(&mut self, old: Range<usize>, new: String) {
        self.0.push((old, new));
    }

    /// Makes all replacements; of two that overlap, the first in the text.
    pub(super) fn carry_out(mut self, old: &str) -> Rewritten {
        self.0.sort_by_key(|(range, _)| range.start);
        let (mut text, mut places, mut done) = (String::with_capacity(old.len()), Vec::new(), 0);
        for (range, new) in self.0 {
            let (Some(before), Some(_)) = (old.get(done..range.start), old.get(range.clone())) else {
                continue;
            };
            text.push_str(before);
            let start = text.len();
            text.push_str(&new);
            done = range.end;
            places.push([range, start..text.len()]);
        }
        text.push_str(old.get(done..).unwrap_or_default());
        Rewritten { text, places }
    }
}

impl Rewritten {
    pub(super) fn text(&self) -> &str {
        &self.text
    }

    /// The place in the old text of a place in the new one; within a replacement, where what was replaced began.
    pub(super) fn back(&self, new: usize) -> usize {
        let before = self.places.partition_point(|[_, place]| place.start <= new);
        match before.checked_sub(1).and_then(|at| self.places.get(at)) {
            None => new,
            Some([old, place]) if place.contains(&new) => old.start,
            Some([old, place]) => old.end + new.saturating_sub(place.end),
        }
    }
}

/// The place in bytes of a line and column, both from 1.
pub(super) fn offset_of(text: &str, (line, column): (usize, usize)) -> usize {
    let start: usize = text.split_inclusive('\n').take(line.saturating_sub(1)).map(str::len).sum();
    let rest = text.get(start..).unwrap_or_default();
    start + rest.chars().take(column.saturating_sub(1)).map(char::len_utf8).sum::<usize>()
}

#[cfg(test)]
mod tests {
    use super::super::super::locate::place_of;
    use super::*;

    #[test]
    fn every_place_leads_back() {
        let old = "ab°d\nefgh\n";
        let mut edits = Edits::default();
        edits.replace(6..8, "XXXX".into());
        edits.replace(0..1, String::new());
        edits.replace(7..9, "overlaps".into());
        let rewritten = edits.carry_out(old);
        assert_eq!(rewritten.text(), "b°d\nXXXXgh\n");
        let back = |part: &str| rewritten.back(rewritten.text().find(part).unwrap());
        assert_eq!([back("b"), back("d"), back("XXXX"), back("gh"), back("h")], [1, 4, 6, 8, 9]);
        assert_eq!(rewritten.back(rewritten.text().len()), old.len());
        for offset in [0, 1, 4, 5, 6, 10] {
            assert_eq!(offset_of(old, place_of(old, offset)), offset);
        }
    }
}
