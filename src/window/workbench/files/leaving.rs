//! The question about unsaved changes before the open project is replaced or the window closes.

use super::Files;
use crate::document::Document;
use crate::window::state::file_jobs::Next;
use crate::window::state::screen::Screen;

impl Files {
    /// Asks if there are unsaved changes; returns what can be done without asking.
    pub(in crate::window::workbench) fn ask_before(
        &mut self,
        document: &Document,
        screen: &mut Screen,
        next: Next,
    ) -> Option<Next> {
        if self.dialogs.question.is_some() && next != Next::Quit {
            screen.complain(format!("Answer the question above first, before {}", next.words()));
            return None;
        }
        if self.dialogs.saving {
            // When that is done, the user is asked about what was changed meanwhile.
            return self.goes_on_after_saving(next);
        }
        if document.is_changed() {
            self.dialogs.question = Some(next);
            return None;
        }
        Some(next)
    }

    /// Takes the question away, since it was answered; returns what to continue with. While the project is being saved,
    /// that has to wait until it is done.
    pub(in crate::window::workbench) fn take_question(&mut self) -> Option<Next> {
        let next = self.dialogs.question.take()?;
        if self.dialogs.saving { self.goes_on_after_saving(next) } else { Some(next) }
    }

    fn goes_on_after_saving(&mut self, next: Next) -> Option<Next> {
        self.saving.then = Some(next);
        None
    }
}
