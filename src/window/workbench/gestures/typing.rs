//! Keys and text that have not taken effect yet: events for the next frame, and commands that wait for a field.

use eframe::egui::{self, Event};

use super::{BeforeClosing, Deferred, Gestures};
use crate::window::state::commands::Command;
use crate::window::state::outbox::Action;
use crate::window::state::screen::Screen;
use crate::window::state::selection::CellEditor;

impl Gestures {
    /// Takes the keyboard focus from the field that has it; the action waits until the field has accepted its text.
    pub(in crate::window::workbench) fn defer(
        &mut self,
        ctx: &egui::Context,
        screen: &Screen,
        action: impl Into<Action>,
    ) {
        let action = action.into();
        let field = ctx.memory(egui::Memory::focused);
        if let Some(field) = field {
            ctx.memory_mut(|memory| memory.surrender_focus(field));
        }
        let refused = screen.form.refused();
        let actions = Vec::new();
        let deferred = self.deferred.get_or_insert(Deferred { actions, field, refused, is_drawn: false });
        if !deferred.actions.contains(&action) {
            deferred.actions.push(action);
        }
        ctx.request_repaint();
    }

    /// What waited, if the field was drawn since.
    pub(in crate::window::workbench) fn take_deferred(&mut self) -> Option<Deferred> {
        self.deferred.take_if(|deferred| deferred.is_drawn)
    }

    /// Whether anything waits for a field.
    pub(in crate::window::workbench) const fn is_deferring(&self) -> bool {
        self.deferred.is_some()
    }

    /// Goes back to the sheet that was drawn last if a field there has not accepted its text; the change of sheet waits
    /// for it.
    pub(in crate::window::workbench) fn stay_with_text(&mut self, ctx: &egui::Context, screen: &mut Screen) {
        let wanted = screen.sheet;
        if wanted != self.drawn_sheet && self.deferred.is_none() && screen.form.has_unset() {
            screen.sheet = self.drawn_sheet;
            self.defer(ctx, screen, Command::Sheet(wanted));
        }
    }

    /// The keyboard events that were kept for this frame.
    pub(in crate::window::workbench) fn take_unheard(&mut self) -> Vec<Event> {
        std::mem::take(&mut self.unheard)
    }

    /// Keeps a keyboard event for the next frame.
    pub(in crate::window::workbench) fn hear_later(&mut self, ctx: &egui::Context, event: Event) {
        self.unheard.push(event);
        ctx.request_repaint();
    }

    /// Whether closing the window was postponed to this frame; true only once.
    pub(in crate::window::workbench) const fn take_closing(&mut self) -> bool {
        std::mem::replace(&mut self.closes_next, false)
    }

    /// What is to be done with what is being typed before the window closes.
    pub(in crate::window::workbench) fn before_closing(
        &mut self,
        ctx: &egui::Context,
        editor: Option<&CellEditor>,
    ) -> BeforeClosing {
        let reaches_a_field = |event: &Event| matches!(event, Event::Text(_) | Event::Paste(_));
        let is_on_its_way = !self.unheard.is_empty() || ctx.input(|input| input.events.iter().any(reaches_a_field));
        if editor.is_some() && self.kept_open_for.as_ref() == editor {
            self.kept_open_for = None;
            BeforeClosing::LeaveEditor
        } else if editor.is_some() {
            BeforeClosing::CommitEditor
        } else if is_on_its_way {
            self.closes_next = true;
            BeforeClosing::Wait
        } else if self.deferred.is_some() || ctx.text_edit_focused() {
            BeforeClosing::Quit
        } else {
            BeforeClosing::Nothing
        }
    }

    /// Records for which number the window was kept open, so that closing it again discards the number.
    pub(in crate::window::workbench) fn kept_open_for(&mut self, editor: Option<&CellEditor>) {
        self.kept_open_for = editor.cloned();
    }
}
