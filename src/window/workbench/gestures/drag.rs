//! Changing the project: at once, or by a drag. Each becomes one step.

use eframe::egui;

use super::{Drag, Gestures, Hearing};
use crate::document::Document;
use crate::project::Project;
use crate::shaping::{Shaped, Tool};
use crate::table::Selection;
use crate::window::state::edits::DocumentEdit;
use crate::window::state::screen::Screen;
use crate::window::views::inspector::fit_words;
use crate::wording::{Refusal, count};

impl Gestures {
    /// Applies a tool as one step.
    pub(in crate::window::workbench) fn shape(
        &mut self,
        document: &mut Document,
        screen: &mut Screen,
        tool: &Tool,
        cells: &Selection,
    ) {
        self.end(document, screen);
        match tool.apply(&document.project().advance, cells) {
            Ok(shaped) => self.apply_shaped(document, screen, tool, shaped),
            Err(error) => screen.complain(Refusal::from(error)),
        }
    }

    /// Makes one step of a tool's result.
    pub(in crate::window::workbench) fn apply_shaped(
        &mut self,
        document: &mut Document,
        screen: &mut Screen,
        tool: &Tool,
        shaped: Shaped,
    ) {
        self.end(document, screen);
        let told = told(document.project(), tool, &shaped);
        // The selection on the screen, not the cells that the tool worked on: those may be the whole table.
        let selected = Some(screen.selection.cells.clone());
        let label = tool.label(&shaped);
        let advance = shaped.advance.clone();
        let with_it = |project: &Project| project.with_advance(advance).map_err(Refusal::from);
        match document.apply(label, selected, with_it) {
            Ok(true) => screen.say(told),
            Ok(false) => screen.complain(unchanged(&shaped)),
            Err(why) => screen.complain(why),
        }
    }

    /// Shows what a tool would do, as part of a gesture; returns whether it can be done.
    pub(in crate::window::workbench) fn drag_tool(
        &mut self,
        document: &mut Document,
        screen: &mut Screen,
        tool: Tool,
        cells: Selection,
    ) -> bool {
        if self.hearing != Hearing::Open {
            return false;
        }
        if !document.gesture_open() {
            document.begin_gesture();
        }
        let done = document.preview(|start| {
            let shaped = tool.apply(&start.advance, &cells)?;
            start.with_advance(shaped.advance).map_err(Refusal::from)
        });
        match done {
            Ok(()) => self.drag = Some(Drag::Tool(tool, cells)),
            Err(why) => {
                screen.complain(why);
                return false;
            }
        }
        true
    }

    /// Shows what an edit would do, as part of a gesture. If it is refused, the gesture stays as it was.
    pub(in crate::window::workbench) fn drag_edit(
        &mut self,
        document: &mut Document,
        screen: &mut Screen,
        label: String,
        edit: &DocumentEdit,
    ) {
        if self.hearing != Hearing::Open {
            return;
        }
        if !document.gesture_open() {
            document.begin_gesture();
        }
        match document.preview(|start| edit.apply(start)) {
            Ok(()) => self.drag = Some(Drag::Edit(label)),
            Err(why) => screen.complain(why),
        }
    }

    /// Makes one step of the drag that is going on.
    pub(in crate::window::workbench) fn end_drag(&mut self, document: &mut Document, screen: &mut Screen) {
        match self.drag.take() {
            Some(Drag::Tool(tool, cells)) => end_tool_drag(document, screen, &tool, &cells),
            Some(Drag::Edit(label)) => {
                let selected = Some(screen.selection.cells.clone());
                document.finish_gesture(label, selected);
            }
            None => document.cancel_gesture(),
        }
        self.led_to = Some(document.revision());
    }

    /// Closes the gesture in progress, if any, as its step. Everything that goes through the document closes it
    /// too, but does not know what is being held or dragged: whatever does that must call this first.
    pub(in crate::window::workbench) fn end(&mut self, document: &mut Document, screen: &mut Screen) {
        let was_nudging = self.nudge.take().is_some();
        if !document.gesture_open() {
            self.drag = None;
            return;
        }
        self.end_drag(document, screen);
        if !was_nudging {
            self.hearing = Hearing::Over;
        }
    }

    /// Cancels the gesture in progress: the project is as it was before.
    pub(in crate::window::workbench) fn cancel(&mut self, document: &mut Document) {
        if self.nudge.take().is_none() && self.drag.is_some() {
            self.hearing = Hearing::Over;
        }
        self.drag = None;
        document.cancel_gesture();
    }

    /// Accepts drags again once the pointer of the finished one is released and all its requests have arrived.
    pub(in crate::window::workbench) fn settle_hearing(&mut self, ctx: &egui::Context) {
        let (is_down, is_pressed) = ctx.input(|input| (input.pointer.any_down(), input.pointer.any_pressed()));
        self.hearing = match self.hearing {
            Hearing::Open | Hearing::Released => Hearing::Open,
            Hearing::Over if is_pressed => Hearing::Open,
            Hearing::Over if is_down => Hearing::Over,
            Hearing::Over => Hearing::Released,
        };
    }
}

fn end_tool_drag(document: &mut Document, screen: &mut Screen, tool: &Tool, cells: &Selection) {
    let start = document.steps()[document.current_step()].project.clone();
    match tool.apply(&start.advance, cells) {
        Ok(shaped) => {
            let selected = Some(screen.selection.cells.clone());
            if document.finish_gesture(tool.label(&shaped), selected) {
                screen.say(told(&start, tool, &shaped));
            } else if shaped.held == shaped.selected {
                // A drag or nudge that returned to where it began needs no message; one that could not move
                // does.
                screen.complain(unchanged(&shaped));
            }
        }
        Err(error) => {
            document.cancel_gesture();
            screen.complain(Refusal::from(error));
        }
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
fn told(project: &Project, tool: &Tool, shaped: &Shaped) -> String {
    let label = tool.label(shaped);
    let told = match shaped.held {
        0 => label,
        1 if shaped.into_held => label,
        1 => format!("{label}; 1 held cell stayed"),
        held => format!("{label}; {held} held cells stayed"),
    };
    shaped.fitted.as_ref().map_or_else(|| told.clone(), |fit| format!("{told}: {}", fit_words::came_to(project, fit)))
}
