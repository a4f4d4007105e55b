//! The base in the place of the table, as long as a key is held. Meanwhile the document and the selection stay as they
//! are, whatever is pressed.

use eframe::egui;

use super::Workbench;
use crate::window::state::commands::Command;
use crate::window::state::grid_state::GridMessage;
use crate::window::state::outbox::Action;
use crate::window::state::screen::ScreenMessage;

impl Workbench {
    /// Shows the base until the key that asked for it is released; what is held or dragged becomes a step first.
    pub(super) fn show_base(&mut self, ctx: &egui::Context) {
        if self.holds_base_key(ctx) {
            self.end_gesture();
            self.screen.shows_base = true;
            return;
        }
        let told = match self.settings.keys.of(Command::ShowBase).first() {
            Some(keys) => format!("Hold {} to see the base; it goes when the key is let go", keys.text()),
            None => format!("'{}' has no key: give it one on the Keys page, and hold it", Command::ShowBase.text()),
        };
        self.screen.say(told);
    }

    /// Shows the table again once the key is released or the sheet is another.
    pub(super) fn settle_base_shown(&mut self, ctx: &egui::Context) {
        let is_over = !self.holds_base_key(ctx) || !self.screen.sheet.row().shows_cells;
        if self.screen.shows_base && is_over {
            self.screen.shows_base = false;
            // The base may have other breakpoints.
            self.screen.pointer.cell = None;
        }
    }

    fn holds_base_key(&self, ctx: &egui::Context) -> bool {
        let keys = self.settings.keys.of(Command::ShowBase);
        ctx.input(|input| keys.iter().any(|shortcut| input.keys_down.contains(&shortcut.key)))
    }
}

/// Whether an action changes neither the document nor what is selected, so that it may be carried out on cells that are
/// the base's.
pub(super) fn only_looks(action: &Action) -> bool {
    match action {
        Action::DragEnd | Action::DragCancel | Action::PreviewCancel => true,
        Action::Run(command) => *command == Command::ShowBase || command.camera().is_some(),
        Action::Screen(message) => matches!(
            message,
            ScreenMessage::Point(_)
                | ScreenMessage::Leave(_)
                | ScreenMessage::PointWords(_)
                | ScreenMessage::Tell(_)
                | ScreenMessage::SurfaceWidth(_)
                | ScreenMessage::BelowHeight(_)
                | ScreenMessage::Surface(_)
                | ScreenMessage::Layer(_)
                | ScreenMessage::Compare(_)
                | ScreenMessage::Grid(GridMessage::Rows(_))
        ),
        _ => false,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::shaping::Tool;
    use crate::table::Selection;
    use crate::window::state::screen::Sheet;

    #[test]
    fn what_changes_cells_or_selection_waits() {
        let cells = Selection::none(2, 2);
        let changes = [
            Action::Shape(Tool::Release, cells.clone()),
            Action::Drag(Tool::Add { deg: 1.0 }, cells),
            Action::NudgeStart(0.5),
            Action::Run(Command::Undo),
            Action::Run(Command::Raise),
            Action::from(ScreenMessage::Show(Sheet::Export)),
        ];
        assert!(changes.iter().all(|action| !only_looks(action)));
        let looks = [Action::from(ScreenMessage::Point(None)), Action::Run(Command::ViewPlan), Action::DragEnd];
        assert!(looks.iter().all(only_looks));
    }
}
