//! The open project and the one road by which it changes.

use jiff::Timestamp;

use crate::project::Project;
use crate::table::Selection;

use super::history::{Change, History};
use super::{Revision, Step};

/// One open project.
///
/// It changes only through [`apply`](Self::apply), a gesture, or a walk through its history; each change is one
/// labelled step. Everything but `preview`, `finish_gesture` and `cancel_gesture` first closes a gesture that is
/// open, as a step of its own.
#[derive(Debug)]
pub struct Document {
    pub(super) history: History,
    pub(super) name: String,
}

impl Document {
    /// A project that was never saved: a new one, or a built-in sample. `name` is its title until it has a file.
    pub fn untitled(project: Project, name: impl Into<String>) -> Self {
        let history = History::new(project, change("New", None));
        Self { history, name: name.into() }
    }

    /// What the project is called in a title bar.
    pub fn title(&self) -> &str {
        &self.name
    }

    /// The project: the preview while a gesture is open.
    pub fn project(&self) -> &Project {
        self.history.project()
    }

    /// Names the state that [`project`](Self::project) returns.
    pub fn revision(&self) -> Revision {
        self.history.revision()
    }

    /// Makes one labelled step of a change, and says whether anything changed; no step when nothing did.
    ///
    /// # Errors
    /// The error of `edit`; the project is as it was.
    pub fn apply<E>(
        &mut self,
        label: impl Into<String>,
        selected: Option<Selection>,
        edit: impl FnOnce(&Project) -> Result<Project, E>,
    ) -> Result<bool, E> {
        self.close_gesture();
        let project = edit(self.project())?;
        Ok(self.history.append(change(label, selected), project))
    }

    /// Opens a gesture: a drag or a held key, of which only the end becomes a step.
    pub fn begin_gesture(&mut self) {
        self.close_gesture();
        self.history.begin_gesture();
    }

    /// Shows what the gesture would do to the project as it was when it began; opens one if none is open.
    ///
    /// # Errors
    /// The error of `edit`; what is shown stays as it was.
    pub fn preview<E>(&mut self, edit: impl FnOnce(&Project) -> Result<Project, E>) -> Result<(), E> {
        let project = edit(self.history.settled())?;
        self.history.preview(project);
        Ok(())
    }

    /// Closes the gesture as one step; false when there was none or nothing changed.
    pub fn finish_gesture(&mut self, label: impl Into<String>, selected: Option<Selection>) -> bool {
        self.history.finish_gesture(change(label, selected))
    }

    /// Closes the gesture without a step: the project is as it was when it began.
    pub fn cancel_gesture(&mut self) {
        self.history.cancel_gesture();
    }

    /// Whether a gesture is open.
    pub fn gesture_open(&self) -> bool {
        self.history.gesture_open()
    }

    pub(super) fn close_gesture(&mut self) {
        self.finish_gesture("Drag", None);
    }

    /// Goes back one step; false at the first.
    pub fn undo(&mut self) -> bool {
        self.close_gesture();
        self.history.undo()
    }

    /// Goes forward one step; false at the last.
    pub fn redo(&mut self) -> bool {
        self.close_gesture();
        self.history.redo()
    }

    /// Goes to any step; false when it is the current one or does not exist.
    pub fn jump(&mut self, step: usize) -> bool {
        self.close_gesture();
        self.history.jump(step)
    }

    /// The label of the step that [`undo`](Self::undo) takes back.
    pub fn undo_label(&self) -> Option<&str> {
        self.history.undo_label()
    }

    /// The label of the step that [`redo`](Self::redo) makes again.
    pub fn redo_label(&self) -> Option<&str> {
        self.history.redo_label()
    }

    /// Every state the project was in, oldest first; never empty, and only ever grows.
    pub fn steps(&self) -> &[Step] {
        self.history.steps()
    }

    /// The index of the step whose state the project is in.
    pub fn current_step(&self) -> usize {
        self.history.current()
    }
}

pub(super) fn change(label: impl Into<String>, selected: Option<Selection>) -> Change {
    Change { label: label.into(), at: Timestamp::now(), selected }
}
