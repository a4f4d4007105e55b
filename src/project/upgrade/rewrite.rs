//! A text changed in some places, and the way from the new text back to the old one.

use std::ops::Range;

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
