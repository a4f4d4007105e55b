//! Shaping the table: one tool at once, a drag, a held key. Each becomes one step.

use eframe::egui;

use super::Workbench;
use crate::shaping::Tool;
use crate::table::{Selection, settle};
use crate::window::commands::Command;
use crate::window::screen::Notice;

/// Raising or lowering by a held key: one step, however often the key repeats.
pub(super) struct Nudge {
    command: Command,
    total_deg: f64,
}

impl Workbench {
    pub(super) fn shape(&mut self, tool: &Tool, cells: &Selection) {
        self.end_gesture();
        let shaped = match tool.apply(&self.document.project().advance, cells) {
            Ok(shaped) => shaped,
            Err(error) => return self.report(Err(error.to_string())),
        };
        let label = tool.label(&shaped);
        let told = if shaped.held > 0 { format!("{label}; {} held cells stayed", shaped.held) } else { label.clone() };
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

    pub(super) fn nudge(&mut self, command: Command, by_deg: f64) {
        let before = self.nudge.take().filter(|nudge| nudge.command == command).map_or(0.0, |nudge| nudge.total_deg);
        if before == 0.0 && self.document.gesture_open() {
            self.end_drag();
        }
        let total_deg = settle(before + by_deg);
        let done = self.drag(Tool::Add { deg: total_deg }, self.screen.selection.cells.clone());
        // What is out of range is not added up, so that the end is the last value shown.
        self.nudge = Some(Nudge { command, total_deg: if done { total_deg } else { before } });
    }

    pub(super) fn end_nudge_when_released(&mut self, ctx: &egui::Context) {
        let Some(nudge) = &self.nudge else {
            return;
        };
        let keys = self.keys.of(nudge.command);
        let still_down = ctx.input(|input| keys.iter().any(|shortcut| input.keys_down.contains(&shortcut.key)));
        if !still_down {
            self.nudge = None;
            self.end_drag();
        }
    }
}
