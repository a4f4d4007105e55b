//! What is being typed takes effect first: before a command, before another sheet, before the window closes.

use eframe::egui::{self, Event, ViewportCommand};

use super::Workbench;
use super::hands::Deferred;
use crate::window::sheets::advance;
use crate::window::state::commands::Command;
use crate::window::state::screen::Sheet;
use crate::window::state::screen_message::ScreenMessage;
use crate::window::tasks::jobs::News;
use crate::window::views::{form, grid};

impl Workbench {
    /// Takes the keyboard focus from the field that has it, and runs the command once the field has accepted
    /// its text.
    pub(super) fn run_after_typing(&mut self, ctx: &egui::Context, command: Command) {
        let field = ctx.memory(egui::Memory::focused);
        if let Some(field) = field {
            ctx.memory_mut(|memory| memory.surrender_focus(field));
        }
        let refused = self.screen.form.refused();
        let commands = Vec::new();
        let deferred = self.gestures.deferred.get_or_insert(Deferred { commands, field, refused, is_drawn: false });
        if !deferred.commands.contains(&command) {
            deferred.commands.push(command);
        }
        ctx.request_repaint();
    }

    /// Runs what waited, unless the text was refused: then the reason is shown, and the command is not run.
    pub(super) fn run_deferred(&mut self, ctx: &egui::Context) {
        let Some(Deferred { commands, field, refused, .. }) =
            self.gestures.deferred.take_if(|deferred| deferred.is_drawn)
        else {
            return;
        };
        if let Some((key, why)) = self.screen.form.refuse_unset() {
            // No field took it: it stays where it was typed, and is marked there.
            let name = form::name_of(&self.view(), &key);
            self.complain(format!("{name}: {why}"));
        }
        if self.screen.form.refused() <= refused {
            for command in commands {
                self.run(ctx, command);
            }
        }
        // The focus returns, so that typing can continue, unless the command gave it to something else.
        if let Some(field) = field
            && ctx.memory(egui::Memory::focused).is_none()
        {
            ctx.memory_mut(|memory| memory.request_focus(field));
        }
    }

    /// Whether something is typed that has been neither accepted nor refused.
    pub(super) fn is_typing(&self) -> bool {
        self.screen.grid.editor.is_some() || self.screen.form.has_unset()
    }

    /// Whether news must wait until the open project is no longer being typed into, since they replace it or
    /// its state.
    pub(super) fn would_take_typing_away(&self, news: &News) -> bool {
        matches!(news, News::Opened(_) | News::Reread(_)) && self.is_typing()
    }

    /// Leaves nothing half-typed behind on a sheet, however it was left: a number over cells is set or refused,
    /// and a field is drawn once more to accept its text.
    pub(super) fn settle_typing(&mut self, ctx: &egui::Context) {
        let shows_editor = self.screen.sheet == Sheet::Advance && !advance::only_shows(&self.view());
        if self.screen.grid.editor.is_some() && !shows_editor {
            self.end_editor(ctx);
        }
        let wanted = self.screen.sheet;
        if wanted != self.gestures.drawn_sheet && self.gestures.deferred.is_none() && self.screen.form.has_unset() {
            self.screen.sheet = self.gestures.drawn_sheet;
            self.run_after_typing(ctx, Command::Sheet(wanted));
        }
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
        self.end_editor(ctx);
        self.screen.selection = wanted;
    }

    /// Sets the number typed over cells, or says why it is not set.
    fn end_editor(&mut self, ctx: &egui::Context) {
        let mut outbox = std::mem::take(&mut self.outbox);
        grid::settle_editor(&self.view(), &mut outbox);
        for action in outbox.take() {
            self.carry_out(ctx, action);
        }
    }

    /// Postpones closing the window while something is being typed; returns whether it did. An invalid number
    /// keeps the window open once and says so; closing again discards it.
    pub(super) fn takes_typed_before_closing(&mut self, ctx: &egui::Context) -> bool {
        let reaches_a_field = |event: &Event| matches!(event, Event::Text(_) | Event::Paste(_));
        let is_on_its_way =
            !self.gestures.unheard.is_empty() || ctx.input(|input| input.events.iter().any(reaches_a_field));
        if let Some(editor) =
            self.screen.grid.editor.take_if(|editor| self.gestures.kept_open_for.as_ref() == Some(editor))
        {
            log::debug!("closed without {:?}", editor.text);
            self.gestures.kept_open_for = None;
            return false;
        }
        if self.screen.grid.editor.is_some() {
            let mut outbox = std::mem::take(&mut self.outbox);
            if grid::commit_editor(&self.view(), &mut outbox) {
                outbox.run(Command::Quit);
            } else {
                self.gestures.kept_open_for.clone_from(&self.screen.grid.editor);
            }
            self.outbox = outbox;
            ctx.request_repaint();
        } else if is_on_its_way {
            self.gestures.closes_next = true;
            ctx.request_repaint();
        } else if self.gestures.deferred.is_some() || ctx.text_edit_focused() {
            self.run_after_typing(ctx, Command::Quit);
        } else {
            return false;
        }
        self.keep_open(ctx);
        true
    }

    /// Keeps the window open, and brings it back if it is minimised: its questions and messages must be seen, and a
    /// field accepts its text only when it is drawn.
    pub(super) fn keep_open(&self, ctx: &egui::Context) {
        ctx.send_viewport_cmd(ViewportCommand::CancelClose);
        if ctx.input(|input| input.viewport().minimized == Some(true)) {
            ctx.send_viewport_cmd(ViewportCommand::Minimized(false));
            ctx.send_viewport_cmd(ViewportCommand::Focus);
        }
    }
}
