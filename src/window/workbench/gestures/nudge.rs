//! Raising or lowering by a held key or button: one step, however often it repeats.

use std::time::Duration;

use eframe::egui;

use super::{Gestures, Nudge, Source};
use crate::document::Document;
use crate::shaping::Tool;
use crate::window::state::commands::{Command, KeyMap};
use crate::window::state::screen::Screen;
use crate::wording::settle;

/// A held button begins to repeat after this long, in seconds: like keyboards.
const REPEAT_AFTER_S: f64 = 0.4;
/// It then repeats at this interval, in seconds.
const REPEAT_EVERY_S: f64 = 0.1;

impl Gestures {
    /// One press or repeat of the keys of a command.
    pub(in crate::window::workbench) fn nudge_by_key(
        &mut self,
        document: &mut Document,
        screen: &mut Screen,
        command: Command,
        by_deg: f64,
    ) {
        let source = Source::Key(command);
        let is_same = self.nudge.as_ref().is_some_and(|nudge| nudge.source == source);
        let goes_on = is_same && document.gesture_open();
        if !goes_on {
            self.start_nudge(document, screen, source);
        }
        self.add(document, screen, by_deg);
    }

    /// A press-and-hold button went down.
    pub(in crate::window::workbench) fn start_button_nudge(
        &mut self,
        ctx: &egui::Context,
        document: &mut Document,
        screen: &mut Screen,
        by_deg: f64,
    ) {
        let next_s = ctx.input(|input| input.time) + REPEAT_AFTER_S;
        self.start_nudge(document, screen, Source::Button { by_deg, next_s });
        self.add(document, screen, by_deg);
    }

    fn start_nudge(&mut self, document: &mut Document, screen: &mut Screen, source: Source) {
        self.end(document, screen);
        document.begin_gesture();
        self.nudge = Some(Nudge { source, total_deg: 0.0 });
    }

    /// Adds to the nudge; what the tool refuses is not counted. The total counts from where the gesture began:
    /// once the gesture is gone, nothing more is added.
    fn add(&mut self, document: &mut Document, screen: &mut Screen, by_deg: f64) {
        if !document.gesture_open() {
            self.nudge = None;
        }
        let Some(total_deg) = self.nudge.as_ref().map(|nudge| settle(nudge.total_deg + by_deg)) else {
            return;
        };
        let cells = screen.selection.cells.clone();
        if self.drag_tool(document, screen, Tool::Add { deg: total_deg }, cells) {
            self.nudge = self.nudge.take().map(|nudge| Nudge { total_deg, ..nudge });
        }
    }

    /// Repeats while the button is down; closes the step when key or button is released.
    pub(in crate::window::workbench) fn go_on_nudging(
        &mut self,
        ctx: &egui::Context,
        document: &mut Document,
        screen: &mut Screen,
        keys: &KeyMap,
    ) {
        let Some(nudge) = &self.nudge else {
            return;
        };
        match nudge.source {
            Source::Key(command) => {
                let keys = keys.of(command);
                let down = ctx.input(|input| keys.iter().any(|shortcut| input.keys_down.contains(&shortcut.key)));
                if !down {
                    self.end_nudge(document, screen);
                }
            }
            Source::Button { .. } if !ctx.input(|input| input.pointer.primary_down()) => {
                self.end_nudge(document, screen);
            }
            Source::Button { by_deg, next_s } => self.repeat_button(ctx, document, screen, (by_deg, next_s)),
        }
    }

    fn repeat_button(
        &mut self,
        ctx: &egui::Context,
        document: &mut Document,
        screen: &mut Screen,
        (by_deg, next_s): (f64, f64),
    ) {
        let now_s = ctx.input(|input| input.time);
        if now_s < next_s {
            return ctx.request_repaint_after(Duration::from_secs_f64(next_s - now_s));
        }
        let source = Source::Button { by_deg, next_s: now_s + REPEAT_EVERY_S };
        self.nudge = self.nudge.take().map(|nudge| Nudge { source, ..nudge });
        self.add(document, screen, by_deg);
        ctx.request_repaint_after(Duration::from_secs_f64(REPEAT_EVERY_S));
    }

    fn end_nudge(&mut self, document: &mut Document, screen: &mut Screen) {
        self.nudge = None;
        self.end_drag(document, screen);
    }
}
