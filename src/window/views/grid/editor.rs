//! The text typed over cells: how it changes, what it means, and how it is seen, with its caret over the cursor's cell.

use eframe::egui::{self, Id, Pos2, Rect, Role, Sense, Stroke, StrokeKind, UiBuilder, WidgetInfo, pos2};

use crate::interchange::{NumberError, typed_number};
use crate::project::Advance;
use crate::shaping::Tool;
use crate::table::Selection;
use crate::window::kit::grid::Layout;
use crate::window::kit::theme::kit_sizes::{BUBBLE, BUBBLE_AWAY, HAIRLINE};
use crate::window::kit::theme::view_sizes::{CARET_ROOM, EDITOR_PAD};
use crate::window::kit::theme::{color, hairline, ring};
use crate::window::state::commands::{Command, KeyMap};
use crate::window::state::grid_state::GridMessage;
use crate::window::state::outbox::Outbox;
use crate::window::state::selection::CellEditor;
use crate::window::views::view::View;
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

/// The id of the editor for screen readers.
pub(in crate::window) fn editor_id() -> Id {
    super::id().with("editor")
}

/// A press anywhere else closes the editor: with a step if its text is a number, otherwise without.
pub(in crate::window) fn commit_when_left(ui: &egui::Ui, view: &View<'_>, outbox: &mut Outbox, shown: Option<Rect>) {
    if view.screen.grid.editor.is_none() {
        return;
    }
    let pressed = ui.input(|input| if input.pointer.any_pressed() { input.pointer.interact_pos() } else { None });
    let is_left = pressed.is_some_and(|at| !shown.is_some_and(|rect| rect.contains(at)));
    if is_left && !super::commit_editor(view, outbox) {
        outbox.send(GridMessage::CloseEditor);
    }
}

/// Paints the open editor; returns its area.
pub(in crate::window) fn paint(ui: &mut egui::Ui, view: &View<'_>, layout: &Layout) -> Option<Rect> {
    let editor = view.screen.grid.editor.as_ref()?;
    let cell = layout.cell(view.screen.selection.cursor)?;
    let (theme, palette) = (view.theme, view.theme.palette);
    let ink = color(palette.ink);
    let galley = ui.painter().layout_no_wrap(editor.text.clone(), theme.digits_font_of(layout.digits), ink);
    let wide = cell.width().max(galley.size().x + 2.0 * EDITOR_PAD + CARET_ROOM);
    let right = (cell.left() + wide).min(ui.max_rect().right());
    let rect = Rect::from_min_max(pos2(right - wide, cell.top()), pos2(right, cell.bottom())).expand(HAIRLINE);
    let painter = ui.painter();
    painter.rect_filled(rect, 0.0, color(palette.field));
    let stroke = Stroke::new(theme.selection_width, color(palette.accent));
    painter.rect_stroke(rect, 0.0, stroke, StrokeKind::Inside);
    let at = pos2(rect.right() - EDITOR_PAD - galley.size().x, rect.center().y - galley.size().y / 2.0);
    let caret = galley.pos_from_cursor(egui::text::CCursor::new(editor.caret));
    painter.galley(at, galley, ink);
    let caret = caret.translate(at.to_vec2());
    painter.vline(caret.left(), caret.y_range(), ring(ink));
    let effect = raising(&editor.text, view.keys)
        .unwrap_or_else(|| effect(&view.document.project().advance, &view.screen.selection.cells));
    bubble(ui, view, rect, &effect);
    tell(ui, rect, &editor.text, &effect);
    Some(rect)
}

/// Says beside the editor what Enter will do.
fn bubble(ui: &egui::Ui, view: &View<'_>, editor: Rect, text: &str) {
    let (theme, palette) = (view.theme, view.theme.palette);
    let galley = ui.painter().layout_no_wrap(text.to_owned(), theme.small_font(), color(palette.ink));
    let size = galley.size() + 2.0 * BUBBLE;
    let bounds = ui.max_rect();
    let below = editor.bottom() + BUBBLE_AWAY;
    let y = if below + size.y > bounds.bottom() { editor.top() - BUBBLE_AWAY - size.y } else { below };
    let x = editor.left().min(bounds.right() - size.x).max(bounds.left());
    let rect = Rect::from_min_size(Pos2::new(x, y), size);
    let painter = ui.painter();
    painter.rect_filled(rect, f32::from(theme.radius), color(palette.paper));
    let stroke = hairline(color(palette.rule_strong));
    painter.rect_stroke(rect, f32::from(theme.radius), stroke, StrokeKind::Inside);
    painter.galley(rect.min + BUBBLE, galley, color(palette.ink));
}

fn tell(ui: &mut egui::Ui, rect: Rect, text: &str, effect: &str) {
    ui.scope_builder(UiBuilder::new().accessibility_parent(super::id()), |ui| {
        let response = ui.interact(rect, editor_id(), Sense::hover());
        response.widget_info(|| WidgetInfo {
            current_text_value: Some(text.to_owned()),
            ..WidgetInfo::labeled(Role::TextInput, true, format!("number for the selected cells; Enter {effect}"))
        });
    });
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
