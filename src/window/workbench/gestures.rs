//! Shaping the table: one tool at once, or a drag. Each becomes one step.

use super::Workbench;
use crate::shaping::{Shaped, Tool};
use crate::table::Selection;
use crate::window::screen::Notice;

impl Workbench {
    pub(super) fn shape(&mut self, tool: &Tool, cells: &Selection) {
        self.end_gesture();
        match tool.apply(&self.document.project().advance, cells) {
            Ok(shaped) => self.apply_shaped(tool, cells, shaped),
            Err(error) => self.report(Err(error.to_string())),
        }
    }

    /// Makes one step of a tool's result.
    pub(super) fn apply_shaped(&mut self, tool: &Tool, cells: &Selection, shaped: Shaped) {
        let label = tool.label(&shaped);
        let told = match shaped.held {
            0 => label.clone(),
            1 if shaped.into_held => label.clone(),
            1 => format!("{label}; 1 held cell stayed"),
            held => format!("{label}; {held} held cells stayed"),
        };
        let done = self.document.apply(label, Some(cells.clone()), |project| project.with_advance(shaped.advance));
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
            self.drag = Some((tool, cells));
        }
        self.report(done);
        is_done
    }

    pub(super) fn end_drag(&mut self) {
        let Some((tool, cells)) = self.drag.take() else {
            return self.document.cancel_gesture();
        };
        let start = self.document.steps()[self.document.current_step()].project.clone();
        match tool.apply(&start.advance, &cells) {
            Ok(shaped) => drop(self.document.finish_gesture(tool.label(&shaped), Some(cells))),
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
