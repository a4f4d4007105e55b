//! Keys and text in the order in which they came: each is carried out before the next one is looked at, so that
//! a typed number and the keys that leave its sheet mean the same in one slow frame as in many quick ones.

use eframe::egui::{self, Event};

use super::Workbench;
use super::keys::is_of_keyboard;
use crate::window::state::outbox::Action;
use crate::window::workbench::router;

impl Workbench {
    /// Turns keyboard events into actions, one after the other. What nobody handles is left for the widgets.
    ///
    /// After a command the window is drawn before the next key is handled, since the keys may belong to what it
    /// opened; and keys of a command wait for widgets that have yet to accept text. Neither applies to commands
    /// that a held key repeats: a slow frame must not make them lag.
    pub(super) fn hear_keyboard(&mut self, ctx: &egui::Context) {
        let mut all = std::mem::take(&mut self.gestures.unheard);
        let new = ctx.input_mut(|input| std::mem::take(&mut input.events));
        all.extend(router::without_text_of_alt_keys(new));
        let (mut left, mut has_text_to_take) = (Vec::with_capacity(all.len()), false);
        let mut must_wait = self.gestures.deferred.is_some();
        for event in all {
            if !is_of_keyboard(&event) || is_release(&event) {
                left.push(event);
                continue;
            }
            must_wait |= has_text_to_take && router::is_shortcut(&event, &self.settings.keys);
            if must_wait {
                self.gestures.unheard.push(event);
                continue;
            }
            let before = left.len();
            must_wait = self.hear_key(ctx, event, &mut left);
            has_text_to_take |= left[before..].iter().any(|event| matches!(event, Event::Text(_) | Event::Paste(_)));
        }
        ctx.input_mut(|input| input.events = left);
        if !self.gestures.unheard.is_empty() {
            ctx.request_repaint();
        }
    }

    /// Carries out what one event asks for; returns whether the next one has to wait for the window to be
    /// drawn.
    fn hear_key(&mut self, ctx: &egui::Context, event: Event, left: &mut Vec<Event>) -> bool {
        ctx.input_mut(|input| input.events = vec![event]);
        let mut outbox = std::mem::take(&mut self.outbox);
        router::route(ctx, &self.view(), &mut outbox);
        left.extend(ctx.input_mut(|input| std::mem::take(&mut input.events)));
        let mut must_wait = false;
        for action in outbox.take() {
            must_wait |= match &action {
                Action::Run(command) | Action::RunAfterTyping(command) => !router::repeats(*command),
                Action::File(_) => true,
                _ => false,
            };
            self.carry_out(ctx, action);
        }
        self.shown.preview_screen = self.fitted_screen();
        must_wait
    }
}

fn is_release(event: &Event) -> bool {
    matches!(event, Event::Key { pressed: false, .. })
}
