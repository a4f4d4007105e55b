//! What the user is in the middle of: a drag, a held key, text on its way to a field.

mod drag;
mod nudge;
mod typing;

use eframe::egui::{self, Event, Id};

use crate::document::Revision;
use crate::shaping::Tool;
use crate::table::Selection;
use crate::window::state::commands::Command;
use crate::window::state::outbox::Action;
use crate::window::state::screen::Sheet;
use crate::window::state::selection::CellEditor;

/// What keyboard and pointer have begun and not ended. It is given the document and the screen to change, and knows
/// nothing else of the window.
#[derive(Default)]
pub(super) struct Gestures {
    /// What waits for a field to accept what is typed.
    deferred: Option<Deferred>,
    /// Keyboard events that are to be handled in the next frame.
    unheard: Vec<Event>,
    /// The sheet that was drawn last.
    drawn_sheet: Sheet,
    /// Whether a field of text had the keyboard focus then.
    has_field: bool,
    /// Whether closing the window was postponed until text has reached its field.
    closes_next: bool,
    /// The number typed over cells for which closing the window was refused.
    kept_open_for: Option<CellEditor>,
    /// The drag in progress, for the label of its step.
    drag: Option<Drag>,
    /// Whether drags of the pointer are accepted.
    hearing: Hearing,
    /// A held key or button: what it has added so far.
    nudge: Option<Nudge>,
    /// The state that the last drag led to, until it is taken.
    led_to: Option<Revision>,
}

/// What the drag in progress does.
enum Drag {
    /// A tool on cells.
    Tool(Tool, Selection),
    /// Any other edit, with the label of its step.
    Edit(String),
}

/// Whether drags of the pointer are accepted.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
enum Hearing {
    /// It is.
    #[default]
    Open,
    /// Its gesture was ended by something else, such as saving. What the drag still requests counts from where
    /// it began, and would be done a second time.
    Over,
    /// As `Over`, and the pointer was released: its last request may still be on its way.
    Released,
}

/// What waits for a field to accept its text, which it does when it is drawn after losing the keyboard
/// focus.
#[derive(Debug)]
pub(super) struct Deferred {
    pub(super) actions: Vec<Action>,
    /// The field that had the keyboard focus.
    pub(super) field: Option<Id>,
    /// How many texts were refused before.
    pub(super) refused: usize,
    /// Whether the field was drawn since; not while the window is minimised.
    is_drawn: bool,
}

/// What has been added so far, and what continues to add.
struct Nudge {
    source: Source,
    total_deg: f64,
}

#[derive(Clone, Copy, PartialEq)]
enum Source {
    Key(Command),
    Button { by_deg: f64, next_s: f64 },
}

/// What is to be done before the window closes.
pub(super) enum BeforeClosing {
    /// Nothing.
    Nothing,
    /// Discard the number typed over cells.
    LeaveEditor,
    /// Set the number typed over cells.
    CommitEditor,
    /// Quit by a command that waits for a field to accept its text.
    Quit,
    /// Try again in the next frame, since text is on its way to a field.
    Wait,
}

impl Gestures {
    /// Forgets the drag and the nudge of a document that was replaced.
    pub(super) fn forget(&mut self) {
        (self.drag, self.nudge) = (None, None);
    }

    /// Records that a sheet was drawn, with the field that has to accept its text.
    pub(super) fn drawn(&mut self, sheet: Sheet, ctx: &egui::Context) {
        self.drawn_sheet = sheet;
        self.has_field = ctx.text_edit_focused();
        if let Some(deferred) = &mut self.deferred {
            deferred.is_drawn = true;
        }
    }

    /// Whether a field of text had the keyboard focus when the window was last drawn.
    pub(super) const fn left_field(&self) -> bool {
        self.has_field
    }

    /// The state that a drag has led to since the last call.
    pub(super) const fn take_led_to(&mut self) -> Option<Revision> {
        self.led_to.take()
    }
}
