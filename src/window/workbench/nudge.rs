//! Raising or lowering by a held key or button: one step, however often it repeats.

use std::time::Duration;

use eframe::egui;

use super::Workbench;
use super::hands::{Nudge, Source};
use crate::shaping::Tool;
use crate::window::state::commands::Command;
use crate::wording::settle;

/// A held button begins to repeat after this long, in seconds: like keyboards.
const REPEAT_AFTER_S: f64 = 0.4;
/// It then repeats at this interval, in seconds.
const REPEAT_EVERY_S: f64 = 0.1;

impl Workbench {
    /// One press or repeat of the keys of a command.
    pub(super) fn nudge_by_key(&mut self, command: Command, by_deg: f64) {
        let source = Source::Key(command);
        let is_same = self.gestures.nudge.as_ref().is_some_and(|nudge| nudge.source == source);
        let goes_on = is_same && self.document.gesture_open();
        if !goes_on {
            self.start_nudge(source);
        }
        self.add(by_deg);
    }

    /// A press-and-hold button went down.
    pub(super) fn start_button_nudge(&mut self, ctx: &egui::Context, by_deg: f64) {
        let next_s = ctx.input(|input| input.time) + REPEAT_AFTER_S;
        self.start_nudge(Source::Button { by_deg, next_s });
        self.add(by_deg);
    }

    fn start_nudge(&mut self, source: Source) {
        self.end_gesture();
        self.document.begin_gesture();
        self.gestures.nudge = Some(Nudge { source, total_deg: 0.0 });
    }

    /// Adds to the nudge; what the tool refuses is not counted. The total counts from where the gesture began:
    /// once the gesture is gone, nothing more is added.
    fn add(&mut self, by_deg: f64) {
        if !self.document.gesture_open() {
            self.gestures.nudge = None;
        }
        let Some(total_deg) = self.gestures.nudge.as_ref().map(|nudge| settle(nudge.total_deg + by_deg)) else {
            return;
        };
        let cells = self.screen.selection.cells.clone();
        if self.drag(Tool::Add { deg: total_deg }, cells) {
            self.gestures.nudge = self.gestures.nudge.take().map(|nudge| Nudge { total_deg, ..nudge });
        }
    }

    /// Repeats while the button is down; closes the step when key or button is released.
    pub(super) fn go_on_nudging(&mut self, ctx: &egui::Context) {
        let Some(nudge) = &self.gestures.nudge else {
            return;
        };
        match nudge.source {
            Source::Key(command) => {
                let keys = self.settings.keys.of(command);
                let down = ctx.input(|input| keys.iter().any(|shortcut| input.keys_down.contains(&shortcut.key)));
                if !down {
                    self.end_nudge();
                }
            }
            Source::Button { .. } if !ctx.input(|input| input.pointer.primary_down()) => self.end_nudge(),
            Source::Button { by_deg, next_s } => self.repeat_button(ctx, by_deg, next_s),
        }
    }

    fn repeat_button(&mut self, ctx: &egui::Context, by_deg: f64, next_s: f64) {
        let now_s = ctx.input(|input| input.time);
        if now_s < next_s {
            return ctx.request_repaint_after(Duration::from_secs_f64(next_s - now_s));
        }
        let source = Source::Button { by_deg, next_s: now_s + REPEAT_EVERY_S };
        self.gestures.nudge = self.gestures.nudge.take().map(|nudge| Nudge { source, ..nudge });
        self.add(by_deg);
        ctx.request_repaint_after(Duration::from_secs_f64(REPEAT_EVERY_S));
    }

    fn end_nudge(&mut self) {
        self.gestures.nudge = None;
        self.end_drag();
    }
}
