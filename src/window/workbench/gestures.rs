//! Changing the project: at once, or by a drag. Each becomes one step.

use eframe::egui;

use super::Workbench;
use super::hands::{Drag, Hearing};
use crate::project::Project;
use crate::shaping::{Shaped, Tool};
use crate::table::Selection;
use crate::window::state::edits::DocumentEdit;
use crate::wording::{Refusal, count};

impl Workbench {
    /// The only way in which the window makes a step at once: what is being dragged or held becomes a step of
    /// its own first.
    pub(super) fn step(
        &mut self,
        label: impl Into<String>,
        selected: Option<Selection>,
        edit: impl FnOnce(&Project) -> Result<Project, Refusal>,
    ) -> Result<bool, Refusal> {
        self.end_gesture();
        self.document.apply(label, selected, edit)
    }

    pub(super) fn shape(&mut self, tool: &Tool, cells: &Selection) {
        self.end_gesture();
        match tool.apply(&self.document.project().advance, cells) {
            Ok(shaped) => self.apply_shaped(tool, shaped),
            Err(error) => self.report(Err(error.into())),
        }
    }

    /// Makes one step of a tool's result.
    pub(super) fn apply_shaped(&mut self, tool: &Tool, shaped: Shaped) {
        let told = told(tool, &shaped);
        // The selection on the screen, not the cells that the tool worked on: those may be the whole table.
        let selected = Some(self.screen.selection.cells.clone());
        let label = tool.label(&shaped);
        let advance = shaped.advance.clone();
        let with_it = |project: &Project| project.with_advance(advance).map_err(Refusal::from);
        match self.step(label, selected, with_it) {
            Ok(true) => self.say(told),
            Ok(false) => self.complain(unchanged(&shaped)),
            Err(why) => self.complain(why),
        }
    }

    /// Shows what a tool would do, as part of a gesture; returns whether it can be done.
    pub(super) fn drag(&mut self, tool: Tool, cells: Selection) -> bool {
        if self.gestures.hearing != Hearing::Open {
            return false;
        }
        if !self.document.gesture_open() {
            self.document.begin_gesture();
        }
        let done = self.document.preview(|start| {
            let shaped = tool.apply(&start.advance, &cells)?;
            start.with_advance(shaped.advance).map_err(Refusal::from)
        });
        let is_done = done.is_ok();
        if is_done {
            self.gestures.drag = Some(Drag::Tool(tool, cells));
        }
        self.report(done);
        is_done
    }

    /// Shows what an edit would do, as part of a gesture. If it is refused, the gesture stays as it was.
    pub(super) fn drag_edit(&mut self, label: String, edit: &DocumentEdit) {
        if self.gestures.hearing != Hearing::Open {
            return;
        }
        if !self.document.gesture_open() {
            self.document.begin_gesture();
        }
        let done = self.document.preview(|start| edit.apply(start));
        if done.is_ok() {
            self.gestures.drag = Some(Drag::Edit(label));
        }
        self.report(done);
    }

    pub(super) fn end_drag(&mut self) {
        match self.gestures.drag.take() {
            Some(Drag::Tool(tool, cells)) => self.end_tool_drag(&tool, &cells),
            Some(Drag::Edit(label)) => {
                let selected = Some(self.screen.selection.cells.clone());
                self.document.finish_gesture(label, selected);
            }
            None => self.document.cancel_gesture(),
        }
        self.shown.scales.keep_for(self.document.revision());
    }

    fn end_tool_drag(&mut self, tool: &Tool, cells: &Selection) {
        let start = self.document.steps()[self.document.current_step()].project.clone();
        match tool.apply(&start.advance, cells) {
            Ok(shaped) => {
                let selected = Some(self.screen.selection.cells.clone());
                if self.document.finish_gesture(tool.label(&shaped), selected) {
                    self.say(told(tool, &shaped));
                } else if shaped.held == shaped.selected {
                    // A drag or nudge that returned to where it began needs no message; one that could not move
                    // does.
                    self.complain(unchanged(&shaped));
                }
            }
            Err(error) => {
                self.document.cancel_gesture();
                self.report(Err(error.into()));
            }
        }
    }

    /// Closes the gesture in progress, if any, as its step. Everything that goes through the document closes it
    /// too, but does not know what is being held or dragged: whatever does that must call this first.
    pub(super) fn end_gesture(&mut self) {
        let was_nudging = self.gestures.nudge.take().is_some();
        if !self.document.gesture_open() {
            self.gestures.drag = None;
            return;
        }
        self.end_drag();
        if !was_nudging {
            self.gestures.hearing = Hearing::Over;
        }
    }

    /// Cancels the gesture in progress: the project is as it was before.
    pub(super) fn cancel_gesture(&mut self) {
        if self.gestures.nudge.take().is_none() && self.gestures.drag.is_some() {
            self.gestures.hearing = Hearing::Over;
        }
        self.gestures.drag = None;
        self.document.cancel_gesture();
    }

    /// Accepts drags again once the pointer of the finished one is released and all its requests have arrived.
    pub(super) fn settle_hearing(&mut self, ctx: &egui::Context) {
        let (is_down, is_pressed) = ctx.input(|input| (input.pointer.any_down(), input.pointer.any_pressed()));
        self.gestures.hearing = match self.gestures.hearing {
            Hearing::Open | Hearing::Released => Hearing::Open,
            Hearing::Over if is_pressed => Hearing::Open,
            Hearing::Over if is_down => Hearing::Over,
            Hearing::Over => Hearing::Released,
        };
    }
}

/// Why a tool made no step.
fn unchanged(shaped: &Shaped) -> String {
    let Shaped { selected, held, .. } = *shaped;
    if held == selected {
        let cells = count(held, "selected cell");
        return format!(
            "Nothing changed: {cells} {} held; release what is to move",
            if held == 1 { "is" } else { "are" }
        );
    }
    let others = if held > 0 { "the other selected cells are" } else { "the selected cells are" };
    let held = if held > 0 { format!("{} stayed, ", count(held, "held cell")) } else { String::new() };
    format!("Nothing changed: {held}{others} so already")
}

/// What was done, with the held cells that stayed.
fn told(tool: &Tool, shaped: &Shaped) -> String {
    let label = tool.label(shaped);
    match shaped.held {
        0 => label,
        1 if shaped.into_held => label,
        1 => format!("{label}; 1 held cell stayed"),
        held => format!("{label}; {held} held cells stayed"),
    }
}
