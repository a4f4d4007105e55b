//! Commands given while something is being typed: the field takes its text first.

use eframe::egui::{self, Id, ViewportCommand};

use super::Workbench;
use crate::window::commands::Command;
use crate::window::grid;

/// Commands that wait for a field to take its text, which it does in the frame after the keyboard has left it.
#[derive(Debug)]
pub(super) struct Deferred {
    commands: Vec<Command>,
    /// The field that had the keyboard.
    field: Option<Id>,
    /// How many texts were refused before.
    refused: usize,
}

impl Workbench {
    /// Takes the keyboard from the field that has it, and runs the command in the next frame.
    pub(super) fn run_after_typing(&mut self, ctx: &egui::Context, command: Command) {
        let field = ctx.memory(egui::Memory::focused);
        if let Some(field) = field {
            ctx.memory_mut(|memory| memory.surrender_focus(field));
        }
        let refused = self.screen.form.refused();
        let deferred = self.deferred.get_or_insert(Deferred { commands: Vec::new(), field, refused });
        deferred.commands.push(command);
        ctx.request_repaint();
    }

    /// Runs what waited, unless the text was refused: then it is told why, and nothing is done without it.
    pub(super) fn run_deferred(&mut self, ctx: &egui::Context) {
        let Some(Deferred { commands, field, refused }) = self.deferred.take() else {
            return;
        };
        if self.screen.form.refused() <= refused {
            for command in commands {
                self.run(ctx, command);
            }
        }
        // The keyboard comes back, so that one can go on typing, unless the command gave it to something else.
        if let Some(field) = field
            && ctx.memory(egui::Memory::focused).is_none()
        {
            ctx.memory_mut(|memory| memory.request_focus(field));
        }
    }

    /// Puts off closing the window while something is being typed; says whether it did.
    pub(super) fn takes_typed_before_closing(&mut self, ctx: &egui::Context) -> bool {
        if self.screen.editor.is_some() {
            let mut outbox = std::mem::take(&mut self.outbox);
            if grid::commit_editor(&self.view(), &mut outbox) {
                outbox.run(Command::Quit);
            }
            self.outbox = outbox;
            ctx.request_repaint();
        } else if ctx.text_edit_focused() {
            self.run_after_typing(ctx, Command::Quit);
        } else {
            return false;
        }
        ctx.send_viewport_cmd(ViewportCommand::CancelClose);
        true
    }
}
