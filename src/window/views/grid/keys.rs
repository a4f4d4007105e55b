//! Keys and typed text that the table takes.

use eframe::egui::{self, Event, Id, ImeEvent, Key, Modifiers};

use super::editor::entered;
use crate::interchange::Answers;
use crate::shaping::Along;
use crate::window::kit::grid::{Walk, moved};
use crate::window::state::commands::Command;
use crate::window::state::grid_state::GridMessage;
use crate::window::state::notice::Cause;
use crate::window::state::outbox::{Action, Outbox};
use crate::window::state::screen::Sheet;
use crate::window::state::selection::{CellEditor, CellSelection};
use crate::window::views::view::View;
use crate::window::views::{slices, surface};

/// Handles the events that belong to the table, in order: arrows, Tab, Enter, Escape, numbers, the clipboard.
///
/// Numbers and the clipboard reach the table wherever the focus is, as long as it is not in a text field. The
/// other keys do so only while no other control has the focus. Delete and Backspace open an empty editor, since
/// a table has no empty cells; the number stays until another is entered.
pub fn keys(ctx: &egui::Context, view: &View<'_>, outbox: &mut Outbox) {
    let events = ctx.input(|input| input.events.clone());
    if events.is_empty() {
        return;
    }
    let focused = ctx.memory(|memory| memory.focused());
    let mut pad = Keypad::new(view, outbox);
    pad.is_free = focused.is_none_or(shows_the_table);
    pad.has_focus = focused == Some(super::id());
    pad.alt = ctx.input(|input| input.modifiers.alt);
    let left: Vec<Event> = events.into_iter().filter(|event| !pad.take(event)).collect();
    pad.hand_over();
    ctx.input_mut(|input| input.events = left);
}

/// Whether a widget is one of the views of the table, which share its keys.
fn shows_the_table(widget: Id) -> bool {
    let slices = [Along::Speed, Along::Load].map(slices::id);
    widget == super::id() || widget == surface::id() || widget == surface::handle_id() || slices.contains(&widget)
}

/// Makes a step of the number being typed; returns whether that was possible. Without an editor there is
/// nothing to do.
pub fn commit_editor(view: &View<'_>, outbox: &mut Outbox) -> bool {
    let mut pad = Keypad::new(view, outbox);
    let is_done = pad.commit();
    pad.hand_over();
    is_done
}

/// As [`commit_editor`], for a command that comes after the number: a refusal says that it was not run.
pub fn commit_editor_before(view: &View<'_>, outbox: &mut Outbox, command: Command) -> bool {
    let mut pad = Keypad { waiting: Some(command), ..Keypad::new(view, outbox) };
    let is_done = pad.commit();
    pad.hand_over();
    is_done
}

/// Makes a step of the number being typed, or closes the editor and says that nothing was set.
pub fn settle_editor(view: &View<'_>, outbox: &mut Outbox) {
    let Some(editor) = view.screen.grid.editor.as_ref() else {
        return;
    };
    let text = editor.text.clone();
    if !commit_editor(view, outbox) {
        outbox.send(GridMessage::CloseEditor);
        outbox
            .complain(format!("'{text}' was not set: it is no number that the cells can take; they are as they were"));
    }
}

/// Applies the events to copies of selection and editor.
struct Keypad<'a> {
    view: &'a View<'a>,
    outbox: &'a mut Outbox,
    selection: CellSelection,
    editor: Option<CellEditor>,
    /// Whether no other control has the keyboard focus.
    is_free: bool,
    /// Whether the table has the focus.
    has_focus: bool,
    alt: bool,
    /// The command whose keys were pressed while the number was being typed.
    waiting: Option<Command>,
}

impl<'a> Keypad<'a> {
    fn new(view: &'a View<'a>, outbox: &'a mut Outbox) -> Self {
        let (selection, editor) = (view.screen.selection.clone(), view.screen.grid.editor.clone());
        Self { view, outbox, selection, editor, is_free: true, has_focus: true, alt: false, waiting: None }
    }

    /// Handles an event; returns whether it was for the table.
    fn take(&mut self, event: &Event) -> bool {
        match event {
            Event::Text(text) | Event::Ime(ImeEvent::Commit(text)) if !self.alt => self.text(text),
            Event::Key { key, pressed: true, modifiers, .. } if !modifiers.alt => self.key(*key, *modifiers),
            Event::Copy => self.copy(false),
            Event::Cut => self.copy(true),
            Event::Paste(text) => self.paste(text),
            _ => false,
        }
    }

    /// Requests the selection and the editor as they are now.
    fn hand_over(&mut self) {
        if self.selection != self.view.screen.selection || self.editor != self.view.screen.grid.editor {
            self.outbox.send(Action::TypeOver(self.selection.clone(), self.editor.clone()));
        }
    }

    fn text(&mut self, text: &str) -> bool {
        if let Some(editor) = &mut self.editor {
            editor.insert(text);
            return true;
        }
        let starts = text.starts_with(|first: char| first.is_ascii_digit() || "-+.,\u{2212}".contains(first));
        if !starts {
            return false;
        }
        if self.view.screen.sheet == Sheet::Advance {
            self.editor = Some(CellEditor::typing(text));
        } else {
            self.outbox.complain("Numbers are typed on the Advance sheet");
        }
        true
    }

    fn key(&mut self, key: Key, modifiers: Modifiers) -> bool {
        if self.editor.is_some() { self.editor_key(key, modifiers) } else { self.table_key(key, modifiers) }
    }

    fn editor_key(&mut self, key: Key, modifiers: Modifiers) -> bool {
        let in_place = self.editor.as_ref().is_some_and(|editor| editor.in_place);
        match key {
            Key::Enter => _ = self.commit() && self.step_on(Walk::Columns, modifiers.shift),
            Key::Tab => _ = self.commit() && self.step_on(Walk::Rows, modifiers.shift),
            Key::Escape => self.editor = None,
            Key::ArrowUp | Key::ArrowDown if !in_place && self.selection.cells.count() == 1 => {
                _ = self.commit() && self.go(key, Modifiers::NONE);
            }
            _ => return self.caret_key(key),
        }
        true
    }

    fn caret_key(&mut self, key: Key) -> bool {
        let Some(editor) = &mut self.editor else {
            return false;
        };
        match key {
            Key::ArrowLeft => editor.step(-1),
            Key::ArrowRight => editor.step(1),
            Key::Home | Key::ArrowUp => editor.step(isize::MIN),
            Key::End | Key::ArrowDown => editor.step(isize::MAX),
            Key::Backspace => editor.backspace(),
            Key::Delete => editor.delete(),
            _ => return false,
        }
        true
    }

    fn table_key(&mut self, key: Key, modifiers: Modifiers) -> bool {
        if key == Key::Escape {
            return self.escape();
        }
        if !self.is_free {
            return false;
        }
        match key {
            Key::Enter => self.walk(Walk::Columns, modifiers.shift),
            Key::Tab if self.has_focus && !modifiers.command => self.walk(Walk::Rows, modifiers.shift),
            Key::Delete | Key::Backspace if modifiers.is_none() && self.view.screen.sheet == Sheet::Advance => {
                self.editor = Some(CellEditor::typing(""));
                true
            }
            _ => self.go(key, modifiers),
        }
    }

    /// Moves the cursor as in every grid; returns whether the key is one that moves.
    fn go(&mut self, key: Key, modifiers: Modifiers) -> bool {
        let moved = moved(&self.selection, self.view.table(), self.view.screen.grid.rows, key, modifiers);
        let is_moved = moved.is_some();
        self.selection = moved.unwrap_or_else(|| self.selection.clone());
        is_moved
    }

    /// After a number for a single cell, moves on to its neighbour; after one for several cells, the cursor
    /// stays.
    fn step_on(&mut self, walk: Walk, back: bool) -> bool {
        self.selection.cells.count() > 1 || self.walk(walk, back)
    }

    /// Tab and Enter: through the selected cells if there are several, otherwise to the neighbour.
    fn walk(&mut self, walk: Walk, back: bool) -> bool {
        if self.selection.cells.count() > 1 {
            self.selection.cursor = walk.next(&self.selection, back);
            return true;
        }
        let key = match (walk, back) {
            (Walk::Rows, false) => Key::ArrowRight,
            (Walk::Rows, true) => Key::ArrowLeft,
            (Walk::Columns, false) => Key::ArrowDown,
            (Walk::Columns, true) => Key::ArrowUp,
        };
        self.go(key, Modifiers::NONE)
    }

    /// Cancels one thing: a question, otherwise the selection of several cells. Others handle previews and an
    /// armed lift.
    fn escape(&mut self) -> bool {
        let screen = self.view.screen;
        if screen.grid.clipboard.question.is_some() {
            self.outbox.send(GridMessage::CloseQuestion);
            self.outbox.say("Nothing was pasted");
            return true;
        }
        if screen.proposals.shown.is_some() || screen.surface.lift_armed || self.selection.cells.count() == 1 {
            return false;
        }
        self.selection = CellSelection::cell(self.view.table(), self.selection.cursor);
        true
    }

    /// Closes the editor with a step; if its text is not a number, it stays open. Several selected cells stay
    /// selected.
    fn commit(&mut self) -> bool {
        let Some(editor) = &self.editor else {
            return true;
        };
        let cells = self.selection.cells.clone();
        match entered(&editor.text, &self.view.document.project().advance, &cells, self.view.keys) {
            Ok(tool) => {
                self.outbox.shape(tool, cells);
                self.editor = None;
                true
            }
            Err(reason) => {
                let waiting = self.waiting.map(|command| format!("; '{}' was not run", command.text()));
                self.outbox.complain_of(Cause::Editor, format!("{reason}{}", waiting.unwrap_or_default()));
                false
            }
        }
    }

    fn copy(&mut self, cuts: bool) -> bool {
        if let Some(editor) = &mut self.editor {
            self.outbox.send(Action::Copy(editor.text.clone()));
            if cuts {
                *editor = CellEditor { in_place: editor.in_place, ..CellEditor::typing("") };
            }
            return true;
        }
        self.hand_over();
        self.outbox.run(if cuts { Command::Cut } else { Command::Copy });
        true
    }

    fn paste(&mut self, text: &str) -> bool {
        if let Some(editor) = &mut self.editor {
            editor.insert(text.lines().next().unwrap_or_default());
            return true;
        }
        self.hand_over();
        self.outbox.send(Action::Paste(text.to_owned(), Answers::default()));
        true
    }
}
