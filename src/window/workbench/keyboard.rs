//! Keys and text in the order in which they came: each is carried out before the next one is looked at, so that a
//! typed number and the keys that leave its sheet mean the same in one slow frame as in many quick ones.
//!
//! What is being typed takes effect first: before a command, before another sheet.

use eframe::egui::{self, Event};

use super::Workbench;
use super::keys::{self, Pressed, is_of_keyboard};
use crate::window::sheets::advance;
use crate::window::state::commands::{Command, Shortcut};
use crate::window::state::outbox::Action;
use crate::window::state::screen::ScreenMessage;
use crate::window::state::screen::Sheet;
use crate::window::views::{form, grid};
use crate::window::workbench::router;

impl Workbench {
    /// Turns keyboard events into actions, one after the other. What nobody handles is left for the widgets.
    ///
    /// After a command the window is drawn before the next key is handled, since the keys may belong to what it
    /// opened; and keys of a command wait for widgets that have yet to accept text. Neither applies to commands
    /// that a held key repeats: a slow frame must not make them lag.
    pub(super) fn hear_keyboard(&mut self, ctx: &egui::Context) {
        let mut all = self.gestures.take_unheard();
        let new = ctx.input_mut(|input| std::mem::take(&mut input.events));
        all.extend(router::without_text_of_alt_keys(new));
        let (mut left, mut has_text_to_take) = (Vec::with_capacity(all.len()), false);
        let mut must_wait = self.gestures.is_deferring();
        for event in all {
            if !is_of_keyboard(&event) || is_release(&event) {
                left.push(event);
                continue;
            }
            if self.screen.shows_base {
                continue;
            }
            must_wait |= has_text_to_take && router::is_shortcut(&event, &self.settings.keys);
            if must_wait {
                self.gestures.hear_later(ctx, event);
                continue;
            }
            let before = left.len();
            must_wait = self.hear_key(ctx, event, &mut left);
            has_text_to_take |= left[before..].iter().any(|event| matches!(event, Event::Text(_) | Event::Paste(_)));
        }
        ctx.input_mut(|input| input.events = left);
    }

    /// Carries out what one event asks for; returns whether the next one has to wait for the window to be
    /// drawn.
    fn hear_key(&mut self, ctx: &egui::Context, event: Event, left: &mut Vec<Event>) -> bool {
        ctx.input_mut(|input| input.events = vec![event]);
        let mut outbox = std::mem::take(&mut self.outbox);
        router::route(ctx, &self.view(), self.gestures.left_field(), &mut outbox);
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
        self.shown.fit_screen(&self.screen);
        must_wait
    }

    /// While a command waits for its new keys, the next keys pressed become its own, or are refused.
    pub(super) fn capture_keys(&mut self, ctx: &egui::Context) {
        let Some(command) = self.files.capturing(self.screen.panel) else {
            return;
        };
        match keys::capture(ctx, command, &self.settings.keys) {
            Pressed::Nothing => {}
            Pressed::Escape => self.files.end_capture(),
            Pressed::Refused(why) => self.files.refuse_capture(why),
            Pressed::Taken(shortcut) => {
                self.files.end_capture();
                self.set_keys(command, vec![shortcut]);
            }
        }
    }

    /// Gives a command other keys, unless they are in use.
    pub(super) fn set_keys(&mut self, command: Command, keys: Vec<Shortcut>) {
        let own = &mut self.settings.keys;
        match keys.iter().find_map(|&shortcut| keys::refusal(own, command, shortcut)) {
            Some(why) => self.screen.complain(why),
            None => own.set(command, keys),
        }
    }

    /// Runs what waited, unless the text was refused: then the reason is shown, and the command is not run.
    pub(super) fn run_deferred(&mut self, ctx: &egui::Context) {
        let Some(deferred) = self.gestures.take_deferred() else {
            return;
        };
        if let Some((key, why)) = self.screen.form.refuse_unset() {
            // No field took it: it stays where it was typed, and is marked there.
            let name = form::name_of(&self.view(), &key);
            self.screen.complain(format!("{name}: {why}"));
        }
        let shown = self.shelf.shown();
        if self.screen.form.refused() <= deferred.refused {
            for action in deferred.actions {
                self.carry_out(ctx, action);
            }
        }
        // The focus returns, so that typing can continue, unless the command gave it to something else, or leads to another
        // project, whose field of that name has the same identity.
        if let Some(field) = deferred.field
            && self.shelf.shown() == shown
            && ctx.memory(egui::Memory::focused).is_none()
        {
            ctx.memory_mut(|memory| memory.request_focus(field));
        }
    }

    /// Leaves nothing half-typed behind on a sheet, however it was left: a number over cells is set or refused,
    /// and a field is drawn once more to accept its text.
    pub(super) fn settle_typing(&mut self, ctx: &egui::Context) {
        let shows_editor = self.screen.sheet == Sheet::Advance && !advance::only_shows(&self.view());
        if self.screen.grid.editor.is_some() && !shows_editor {
            self.do_at_once(ctx, grid::settle_editor);
        }
        self.gestures.stay_with_text(ctx, &mut self.screen);
    }

    /// Changes the screen. A number being typed belongs to the cells it is typed over: if others get selected,
    /// in whatever way, it is set or refused first.
    pub(super) fn change_screen(&mut self, ctx: &egui::Context, message: ScreenMessage) {
        let typed_over = self.screen.grid.editor.is_some().then(|| self.screen.selection.clone());
        self.screen.apply(message);
        let is_still_typed = self.screen.grid.editor.is_some();
        let Some(before) = typed_over.filter(|before| is_still_typed && before.cells != self.screen.selection.cells)
        else {
            return;
        };
        let wanted = std::mem::replace(&mut self.screen.selection, before);
        self.do_at_once(ctx, grid::settle_editor);
        self.screen.selection = wanted;
    }
}

fn is_release(event: &Event) -> bool {
    matches!(event, Event::Key { pressed: false, .. })
}
