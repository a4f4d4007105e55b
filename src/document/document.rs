//! The open project and the only way in which it changes.

use std::path::Path;

use jiff::Timestamp;

use super::disk::DiskState;
use super::history::{Change, History, is_equal};
use super::home::{Home, Lock};
use super::recovery::{Copy, Keeper, Origin};
use super::{DataFolder, Revision, Step};
use crate::project::{Project, Upgrade};
use crate::table::Selection;

/// Why a file may not be saved to.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum ReadOnly {
    /// Another window has it open.
    InUse,
    /// It is write-protected.
    Protected,
}

/// One open project.
///
/// It changes only through [`apply`](Self::apply), a gesture, or a move through its history; each change is one
/// labelled step. Every method that changes or saves the project or begins a gesture, except `preview`,
/// `finish_gesture` and `cancel_gesture`, first closes an open gesture as a step of its own.
///
/// While it differs from its file, a recovery copy is kept. [`close`](Self::close) deletes it; merely dropping
/// a changed document keeps it, so that work is only lost if the user said so.
#[derive(Debug)]
pub struct Document {
    pub(super) history: History,
    /// The project in the file, or the new project before any change; `None` if the content of the file is
    /// unknown.
    pub(super) saved: Option<Project>,
    pub(super) name: String,
    pub(super) home: Option<Home>,
    pub(super) has_comments: bool,
    /// Remarks about its file's older format, until the file is written.
    pub(super) upgrade: Option<Upgrade>,
    pub(super) note: Option<String>,
    pub(super) keeper: Keeper,
    pub(super) data: DataFolder,
}

impl Document {
    /// What the project is called in a title bar: its file's name without the ending, or the name it was given.
    pub fn title(&self) -> String {
        let file = self.path().and_then(Path::file_stem);
        file.map_or_else(|| self.name.clone(), |name| name.to_string_lossy().into_owned())
    }

    /// Its file; none if it was never saved.
    pub fn path(&self) -> Option<&Path> {
        self.home.as_ref().map(|home| home.path.as_path())
    }

    /// Whether the file must not be saved to, because another window has it open or it is write-protected. The
    /// project can still be changed, and saved under another name.
    pub fn is_read_only(&self) -> bool {
        self.read_only().is_some()
    }

    /// Why the file must not be saved to.
    pub fn read_only(&self) -> Option<ReadOnly> {
        match self.home.as_ref()? {
            Home { lock: Lock::InUse, .. } => Some(ReadOnly::InUse),
            Home { is_protected: true, .. } => Some(ReadOnly::Protected),
            _ => None,
        }
    }

    /// What the user should know about the file: why it is read-only, and what saving would lose.
    pub fn note(&self) -> Option<&str> {
        self.note.as_deref()
    }

    pub(super) fn refresh_note(&mut self) {
        let comments = "Comments in the file are lost when it is saved; the project's notes are kept.";
        let home = self.home.as_ref().and_then(Home::note);
        let upgrade = self.upgrade.as_ref().map(Upgrade::to_string);
        let comments = self.has_comments.then(|| comments.to_owned());
        let notes: Vec<_> = [home, upgrade, comments].into_iter().flatten().collect();
        self.note = (!notes.is_empty()).then(|| notes.join(" "));
    }

    /// Whether the project differs from its file, or from the new project that it was; also true if the file is
    /// known to be gone.
    pub fn is_changed(&self) -> bool {
        let is_gone = self.home.as_ref().is_some_and(|home| home.disk == DiskState::Missing);
        is_gone || !self.saved.as_ref().is_some_and(|saved| is_equal(saved, self.project()))
    }

    /// Why the work is not in a recovery copy although it should be.
    pub fn recovery_fault(&self) -> Option<String> {
        self.keeper.fault()
    }

    /// The time of the recovery copy that this process last wrote; `None` if it has written none or has deleted it.
    pub fn recovery_copy_at(&self) -> Option<Timestamp> {
        self.keeper.copied_at()
    }

    /// Has `bell` called, from any thread, whenever [`recovery_fault`](Self::recovery_fault) or
    /// [`recovery_copy_at`](Self::recovery_copy_at) changes.
    pub fn ring_with(&mut self, bell: impl Fn() + Send + Sync + 'static) {
        self.keeper.ring_with(Box::new(bell));
    }

    /// Whether it was given a bell.
    pub fn rings(&self) -> bool {
        self.keeper.rings()
    }

    /// Closes it for good, as [`close`](Self::close) does but without waiting, after another document has
    /// replaced it. If both have the same file, the other takes over the lock, so that nobody else can take it
    /// in between.
    pub fn give_way_to(mut self, next: &mut Self) {
        if let (Some(own), Some(theirs)) = (&mut self.home, &mut next.home) {
            own.hand_lock_to(theirs);
        }
        next.refresh_note();
        self.close_soon();
    }

    /// Closes it for good, as [`close`](Self::close) does but without waiting: the lock is free at once, and the
    /// recovery copy is deleted by its own thread.
    pub fn close_soon(mut self) {
        self.keeper.delete();
        self.keeper.let_go();
    }

    /// Has a recovery copy that waits to be written written now, without waiting for it.
    pub fn hurry_copy(&self) {
        self.keeper.hurry();
    }

    /// Closes it for good: unsaved changes are discarded, together with their recovery copy.
    pub fn close(mut self) {
        self.keeper.delete();
    }

    /// The project in the form of a recovery copy.
    pub(super) fn copy(&self) -> Copy {
        let base = self.home.as_ref().and_then(|home| home.known);
        let origin = Origin { path: self.path().map(Path::to_owned), base, name: self.title() };
        Copy { origin, at: Timestamp::now(), project: self.project().clone() }
    }

    /// Updates the recovery copy to the present project.
    pub(super) fn keep_copy(&mut self) {
        if self.is_changed() {
            self.keeper.changed(self.copy());
        } else {
            self.keeper.delete();
        }
    }

    fn moved(&mut self, moved: bool) -> bool {
        if moved {
            self.keep_copy();
        }
        moved
    }

    /// The present project: the preview while a gesture is open.
    pub fn project(&self) -> &Project {
        self.history.project()
    }

    /// The revision of the state that [`project`](Self::project) returns.
    pub fn revision(&self) -> Revision {
        self.history.revision()
    }

    /// Makes a change as one labelled step, and returns whether anything changed; if nothing did, there is no
    /// step.
    ///
    /// # Errors
    /// The error of `edit`; the project is unchanged.
    pub fn apply<E>(
        &mut self,
        label: impl Into<String>,
        selected: Option<Selection>,
        edit: impl FnOnce(&Project) -> Result<Project, E>,
    ) -> Result<bool, E> {
        self.close_gesture();
        let project = edit(self.project())?;
        let changed = self.history.append(change(label, selected), project);
        Ok(self.moved(changed))
    }

    /// Opens a gesture: a drag or a held key, of which only the final state becomes a step.
    pub fn begin_gesture(&mut self) {
        self.close_gesture();
        self.history.begin_gesture();
    }

    /// Shows what the gesture would do to the project as it was when the gesture began; opens one if none is
    /// open.
    ///
    /// # Errors
    /// The error of `edit`; what is shown does not change.
    pub fn preview<E>(&mut self, edit: impl FnOnce(&Project) -> Result<Project, E>) -> Result<(), E> {
        let project = edit(self.history.settled())?;
        self.history.preview(project);
        self.keep_copy();
        Ok(())
    }

    /// Closes the gesture as one step; returns false if there was none or nothing changed.
    pub fn finish_gesture(&mut self, label: impl Into<String>, selected: Option<Selection>) -> bool {
        let changed = self.history.finish_gesture(change(label, selected));
        self.moved(changed)
    }

    /// Closes the gesture without a step: the project is again as it was when the gesture began.
    pub fn cancel_gesture(&mut self) {
        if self.gesture_open() {
            self.history.cancel_gesture();
            self.keep_copy();
        }
    }

    /// Whether a gesture is open.
    pub fn gesture_open(&self) -> bool {
        self.history.gesture_open()
    }

    pub(super) fn close_gesture(&mut self) {
        self.finish_gesture("Drag", None);
    }

    /// Goes back to the step from which the current one was made; returns false at the first.
    pub fn undo(&mut self) -> bool {
        self.close_gesture();
        let moved = self.history.undo();
        self.moved(moved)
    }

    /// Goes forward to the newest step made from the current one; returns false if there is none.
    pub fn redo(&mut self) -> bool {
        self.close_gesture();
        let moved = self.history.redo();
        self.moved(moved)
    }

    /// Goes to any step; returns false if it is the current one or does not exist.
    pub fn jump(&mut self, step: usize) -> bool {
        self.close_gesture();
        let moved = self.history.jump(step);
        self.moved(moved)
    }

    /// The label of the step that [`undo`](Self::undo) takes back.
    pub fn undo_label(&self) -> Option<&str> {
        self.history.undo_label()
    }

    /// The label of the step that [`redo`](Self::redo) makes again.
    pub fn redo_label(&self) -> Option<&str> {
        self.history.redo_label()
    }

    /// Every state that the project has had, oldest first; never empty, and it only grows.
    pub fn steps(&self) -> &[Step] {
        self.history.steps()
    }

    /// For every step, whether undo or redo leads to it from the current one. The others were undone and then
    /// replaced: they are side branches, which only [`jump`](Self::jump) reaches.
    pub fn line_of_steps(&self) -> Vec<bool> {
        self.history.line()
    }

    /// The index of the current step.
    pub fn current_step(&self) -> usize {
        self.history.current()
    }
}

pub(super) fn change(label: impl Into<String>, selected: Option<Selection>) -> Change {
    Change { label: label.into(), at: Timestamp::now(), selected }
}

#[cfg(test)]
mod tests {
    use super::super::trial::{project, with_cell};
    use super::*;
    use std::convert::Infallible;

    fn set(cell: usize, advance_deg: f64) -> impl Fn(&Project) -> Result<Project, Infallible> {
        move |project| Ok(with_cell(project, cell, advance_deg))
    }

    fn document() -> Document {
        Document::untitled_in(&DataFolder::none(), project(), "tarn")
    }

    #[test]
    fn knows_whether_it_changed() {
        let mut document = document();
        assert_eq!((document.title().as_str(), document.path(), document.is_changed()), ("tarn", None, false));
        assert_eq!(document.apply("Set", None, set(0, 1.0)), Ok(true));
        assert!(document.is_changed() && document.undo() && !document.is_changed() && document.redo());
        assert_eq!(document.apply("Set again", None, set(0, 1.0)), Ok(false));
        assert!(document.jump(0) && !document.is_changed());
        document.begin_gesture();
        document.preview(set(1, 2.0)).unwrap();
        assert!(document.is_changed());
        document.cancel_gesture();
        assert!(!document.is_changed() && document.steps().len() == 2);
    }

    #[test]
    fn an_edit_that_fails_changes_nothing() {
        let mut document = document();
        document.begin_gesture();
        document.preview(set(1, 2.0)).unwrap();
        let (shown, revision) = (document.project().clone(), document.revision());
        assert_eq!(document.preview(|_| Err("no")), Err("no"));
        assert!(document.project().is_same(&shown) && document.revision() == revision);
        assert_eq!(document.apply("Fail", None, |_| Err("no")), Err("no"));
        let labels: Vec<_> = document.steps().iter().map(|step| step.label.as_str()).collect();
        assert_eq!(labels, ["New", "Drag"], "the gesture became a step, the failed edit did not");
        assert!(document.project().is_same(&shown) && !document.gesture_open());
    }

    #[test]
    fn a_preview_starts_from_where_the_gesture_began() {
        let mut document = document();
        document.begin_gesture();
        for deg in [1.0, 2.0] {
            document.preview(set(if deg < 2.0 { 1 } else { 2 }, deg)).unwrap();
        }
        let cells = crate::table::Selection::all(document.project().advance.table());
        assert!(document.finish_gesture("Lift", Some(cells.clone())));
        let step = &document.steps()[1];
        assert_eq!((step.label.as_str(), step.selected.as_ref()), ("Lift", Some(&cells)));
        assert_eq!(step.project, with_cell(&project(), 2, 2.0));
        assert!(!document.finish_gesture("Lift", None));
    }

    #[test]
    fn documents_never_share_a_revision() {
        let (one, two) = (document(), document());
        assert_ne!(one.revision(), two.revision());
    }
}
