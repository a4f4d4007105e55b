//! What the user is in the middle of: a drag, a held key, text on its way to a field.

use eframe::egui::{Event, Id};

use crate::shaping::Tool;
use crate::table::Selection;
use crate::window::state::commands::Command;
use crate::window::state::screen::Sheet;
use crate::window::state::selection::CellEditor;

/// What keyboard and pointer have begun and not ended.
#[derive(Default)]
pub(super) struct Gestures {
    /// Commands that wait for a field to accept what is typed.
    pub(super) deferred: Option<Deferred>,
    /// Keyboard events that are to be handled in the next frame.
    pub(super) unheard: Vec<Event>,
    /// The sheet that was drawn last.
    pub(super) drawn_sheet: Sheet,
    /// Whether closing the window was postponed until text has reached its field.
    pub(super) closes_next: bool,
    /// The number typed over cells for which closing the window was refused.
    pub(super) kept_open_for: Option<CellEditor>,
    /// The drag in progress, for the label of its step.
    pub(super) drag: Option<Drag>,
    /// Whether drags of the pointer are accepted.
    pub(super) hearing: Hearing,
    /// A held key or button: what it has added so far.
    pub(super) nudge: Option<Nudge>,
}

/// What the drag in progress does.
pub(super) enum Drag {
    /// A tool on cells.
    Tool(Tool, Selection),
    /// Any other edit, with the label of its step.
    Edit(String),
}

/// Whether drags of the pointer are accepted.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub(super) enum Hearing {
    /// It is.
    #[default]
    Open,
    /// Its gesture was ended by something else, such as saving. What the drag still requests counts from where
    /// it began, and would be done a second time.
    Over,
    /// As `Over`, and the pointer was released: its last request may still be on its way.
    Released,
}

/// Commands that wait for a field to accept its text, which it does when it is drawn after losing the keyboard
/// focus.
#[derive(Debug)]
pub(super) struct Deferred {
    pub(super) commands: Vec<Command>,
    /// The field that had the keyboard focus.
    pub(super) field: Option<Id>,
    /// How many texts were refused before.
    pub(super) refused: usize,
    /// Whether the field was drawn since; not while the window is minimised.
    pub(super) is_drawn: bool,
}

impl Deferred {
    pub(super) fn field_was_drawn(&mut self) {
        self.is_drawn = true;
    }
}

/// What has been added so far, and what continues to add.
pub(super) struct Nudge {
    pub(super) source: Source,
    pub(super) total_deg: f64,
}

#[derive(Clone, Copy, PartialEq)]
pub(super) enum Source {
    Key(Command),
    Button { by_deg: f64, next_s: f64 },
}
