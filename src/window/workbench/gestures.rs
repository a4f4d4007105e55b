//! Shaping the table: one tool at once, or a drag. Each becomes one step.

use super::Workbench;
use crate::shaping::{Shaped, Tool};
use crate::table::Selection;
use crate::window::Edit;
use crate::window::screen::Notice;

/// What a drag that is going on does.
pub(super) enum Drag {
    /// A tool on cells.
    Tool(Tool, Selection),
    /// Any other edit, with the label of its step.
    Edit(String),
}

impl Workbench {
    pub(super) fn shape(&mut self, tool: &Tool, cells: &Selection) {
        self.end_gesture();
        match tool.apply(&self.document.project().advance, cells) {
            Ok(shaped) => self.apply_shaped(tool, shaped),
            Err(error) => self.report(Err(error.to_string())),
        }
    }

    /// Makes one step of a tool's result.
    pub(super) fn apply_shaped(&mut self, tool: &Tool, shaped: Shaped) {
        let told = told(tool, &shaped);
        // What was selected on the screen, not what the tool worked on: that may be the whole table.
        let selected = Some(self.screen.selection.cells.clone());
        let done = self.document.apply(tool.label(&shaped), selected, |project| project.with_advance(shaped.advance));
        let done = done.map(|_| ()).map_err(|fault| fault.to_string());
        if done.is_ok() {
            self.screen.notice = Some(Notice { text: told, is_error: false });
        }
        self.report(done);
    }

    /// Shows what a tool would do, as part of a gesture; says whether it can be done.
    pub(super) fn drag(&mut self, tool: Tool, cells: Selection) -> bool {
        if !self.document.gesture_open() {
            self.document.begin_gesture();
        }
        let done = self.document.preview(|start| {
            let shaped = tool.apply(&start.advance, &cells).map_err(|error| error.to_string())?;
            start.with_advance(shaped.advance).map_err(|fault| fault.to_string())
        });
        let is_done = done.is_ok();
        if is_done {
            self.drag = Some(Drag::Tool(tool, cells));
        }
        self.report(done);
        is_done
    }

    /// Shows what an edit would do, as part of a gesture. What is refused leaves the gesture as it was.
    pub(super) fn drag_edit(&mut self, label: String, edit: Edit) {
        if !self.document.gesture_open() {
            self.document.begin_gesture();
        }
        let done = self.document.preview(edit);
        if done.is_ok() {
            self.drag = Some(Drag::Edit(label));
        }
        self.report(done);
    }

    pub(super) fn end_drag(&mut self) {
        match self.drag.take() {
            Some(Drag::Tool(tool, cells)) => self.end_tool_drag(&tool, &cells),
            Some(Drag::Edit(label)) => {
                let selected = Some(self.screen.selection.cells.clone());
                self.document.finish_gesture(label, selected);
            }
            None => self.document.cancel_gesture(),
        }
    }

    fn end_tool_drag(&mut self, tool: &Tool, cells: &Selection) {
        let start = self.document.steps()[self.document.current_step()].project.clone();
        match tool.apply(&start.advance, cells) {
            Ok(shaped) => {
                let selected = Some(self.screen.selection.cells.clone());
                if self.document.finish_gesture(tool.label(&shaped), selected) {
                    self.screen.notice = Some(Notice { text: told(tool, &shaped), is_error: false });
                }
            }
            Err(error) => {
                self.document.cancel_gesture();
                self.report(Err(error.to_string()));
            }
        }
    }

    /// Closes the gesture that is going on, if any, as its step.
    pub(super) fn end_gesture(&mut self) {
        if self.document.gesture_open() {
            self.nudge = None;
            self.end_drag();
        }
    }
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
