//! The text typed over cells: how it changes, and what it means.

use crate::interchange::{NumberError, typed_number};
use crate::project::Advance;
use crate::shaping::Tool;
use crate::table::Selection;
use crate::window::state::commands::{Command, KeyMap};
use crate::window::state::selection::CellEditor;
use crate::wording::{Refusal, written};

/// No advance needs more characters.
const MOST_CHARACTERS: usize = 24;

impl CellEditor {
    /// An editor that replaces the selected cells with what is typed.
    pub fn typing(text: &str) -> Self {
        let mut editor = Self { text: String::new(), caret: 0, in_place: false };
        editor.insert(text);
        editor
    }

    /// An editor for a value, with the caret after it.
    pub fn on_value(advance_deg: f64) -> Self {
        let mut editor = Self::typing(&written(advance_deg));
        editor.in_place = true;
        editor
    }

    /// Inserts text at the caret, as far as there is room; line ends and tabs are left out.
    pub fn insert(&mut self, text: &str) {
        let room = MOST_CHARACTERS.saturating_sub(self.length());
        let typed: String = text.chars().filter(|character| !character.is_control()).take(room).collect();
        self.text.insert_str(self.byte(self.caret), &typed);
        self.caret += typed.chars().count();
    }

    /// Removes the character before the caret.
    pub fn backspace(&mut self) {
        if self.caret > 0 {
            self.caret -= 1;
            self.delete();
        }
    }

    /// Removes the character after the caret.
    pub fn delete(&mut self) {
        let at = self.byte(self.caret);
        if at < self.text.len() {
            self.text.remove(at);
        }
    }

    /// Moves the caret by that many characters, within the text.
    pub fn step(&mut self, by: isize) {
        self.caret = self.caret.saturating_add_signed(by).min(self.length());
    }

    fn length(&self) -> usize {
        self.text.chars().count()
    }

    fn byte(&self, characters: usize) -> usize {
        self.text.char_indices().nth(characters).map_or(self.text.len(), |(at, _)| at)
    }
}

/// The tool that a typed text asks for, tried on the cells.
///
/// # Errors
/// A sentence if the text is not a number, has a plus before it, or the cells cannot hold it.
pub(in crate::window) fn entered(
    text: &str,
    advance: &Advance,
    cells: &Selection,
    keys: &KeyMap,
) -> Result<Tool, Refusal> {
    if let Some(why) = raising(text, keys) {
        return Err(Refusal::new(why));
    }
    let deg = typed_number(text).map_err(|error| match error {
        NumberError::Missing => Refusal::new("Type a number of degrees, or press Esc to leave the cells as they are"),
        NumberError::Comma => Refusal::new(error.to_string()).at(format!("'{text}'")),
        error => Refusal::new(format!("'{text}' is {error}; mend it, or press Esc to leave the cells as they are")),
    })?;
    let tool = Tool::Type { deg };
    tool.apply(advance, cells)?;
    Ok(tool)
}

/// Why a number with a plus before it is refused: whoever types it wants to raise, but it would set.
pub(in crate::window) fn raising(text: &str, keys: &KeyMap) -> Option<String> {
    let number = text.trim_start().strip_prefix('+')?;
    let number = if number.trim().is_empty() { "a number" } else { number };
    let raise = keys.of(Command::Raise).first().map_or_else(String::new, |keys| format!(", {} to raise", keys.text()));
    Some(format!("'{text}': type {number} to set{raise}"))
}

/// What Enter will do, shown before it is pressed.
pub(in crate::window) fn effect(advance: &Advance, cells: &Selection) -> String {
    let count = cells.count();
    let held = cells.cells().filter(|&cell| advance.held().contains(cell)).count();
    match (count, held) {
        (1, 1) => "sets the held cell, which stays held".to_owned(),
        (1, _) => "sets 1 cell".to_owned(),
        (_, 0) => format!("sets {count} cells"),
        (_, held) if held == count => format!("sets none of {count} cells, all held"),
        (_, held) => format!("sets {} of {count} cells, {held} held", count - held),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::project::Origin;
    use crate::table::{Axis, Cell, Table};

    fn advance() -> Advance {
        let axis = || Axis::new(vec![0.0, 10.0]).unwrap();
        Advance::uniform(Table::from_fn(axis(), axis(), |_, _| 20.0).unwrap(), Origin::Typed).unwrap()
    }

    #[test]
    fn edits_at_the_caret() {
        let mut editor = CellEditor::typing("12\t,5\n");
        assert_eq!((editor.text.as_str(), editor.caret), ("12,5", 4));
        editor.step(-2);
        editor.backspace();
        editor.insert("\u{2212}3");
        assert_eq!((editor.text.as_str(), editor.caret), ("1\u{2212}3,5", 3));
        editor.step(-9);
        editor.backspace();
        editor.delete();
        assert_eq!((editor.text.as_str(), editor.caret), ("\u{2212}3,5", 0));
        editor.step(99);
        editor.delete();
        editor.insert(&"9".repeat(99));
        assert_eq!((editor.text.chars().count(), editor.caret), (MOST_CHARACTERS, MOST_CHARACTERS));
    }

    #[test]
    fn a_point_and_a_comma_are_decimal_marks() {
        let advance = advance();
        let (all, keys) = (Selection::all(advance.table()), KeyMap::default());
        for (text, deg) in [("12.5", 12.5), ("12,5", 12.5), ("1.234", 1.234), ("-3", -3.0), ("\u{2212}3,", -3.0)] {
            assert_eq!(entered(text, &advance, &all, &keys), Ok(Tool::Type { deg }), "{text}");
        }
        for text in ["", " ", "12.3.4", "1,234", "1,234.5", "abc", "1e", "400", "inf"] {
            assert!(entered(text, &advance, &all, &keys).is_err(), "{text}");
        }
    }

    #[test]
    fn a_number_with_a_plus_is_refused_and_told_what_to_do_instead() {
        let (advance, mut keys) = (advance(), KeyMap::default());
        let all = Selection::all(advance.table());
        let refused = |text: &str, keys: &KeyMap| entered(text, &advance, &all, keys).unwrap_err().to_string();
        assert_eq!(refused("+1", &keys), "'+1': type 1 to set, Alt+Up to raise");
        assert_eq!(refused(" +", &keys), "' +': type a number to set, Alt+Up to raise");
        keys.set(Command::Raise, vec![]);
        assert_eq!(refused("+2,5", &keys), "'+2,5': type 2,5 to set");
    }

    #[test]
    fn says_what_enter_will_do() {
        let advance = advance();
        let one = Selection::cell(advance.table(), Cell::new(0, 0));
        let all = Selection::all(advance.table());
        let some_held = advance.with_held(&one, true);
        assert_eq!(effect(&advance, &one), "sets 1 cell");
        assert_eq!(effect(&advance, &all), "sets 4 cells");
        assert_eq!(effect(&some_held, &all), "sets 3 of 4 cells, 1 held");
        assert_eq!(effect(&some_held, &one), "sets the held cell, which stays held");
        assert_eq!(effect(&advance.with_held(&all, true), &all), "sets none of 4 cells, all held");
    }
}
