//! Copying and pasting cells.

use eframe::egui;

use super::Workbench;
use crate::interchange::{Answers, LoadOrder};
use crate::project::Project;
use crate::window::views::grid::{Pasting, copied, paste};
use crate::wording::{Refusal, count};

impl Workbench {
    pub(super) fn copy(&mut self, ctx: &egui::Context, breakpoints: bool) {
        let cells = &self.screen.selection.cells;
        let table = self.document.project().advance.table();
        match copied(table, cells, &self.screen.grid.clipboard, breakpoints) {
            Ok((text, copied)) => {
                let with = if breakpoints { " with breakpoints" } else { "" };
                self.say(format!("{} copied{with}", count(cells.count(), "cell")));
                self.screen.grid.clipboard.copied = Some(copied);
                ctx.copy_text(text);
            }
            Err(error) => self.report(Err(error.into())),
        }
    }

    /// A table has no empty cells, so cutting is copying, and says so.
    pub(super) fn cut(&mut self, ctx: &egui::Context) {
        self.copy(ctx, false);
        if self.screen.notice.as_ref().is_some_and(|notice| !notice.is_error) {
            self.say("Copied, not cut: a table has no empty cells".to_owned());
        }
    }

    pub(super) fn paste(&mut self, text: String, answers: Answers) {
        self.end_gesture();
        self.screen.grid.clipboard.question = None;
        let advance = &self.document.project().advance;
        match paste(advance, &self.screen.selection.cells, &self.screen.grid.clipboard, &text, answers) {
            Ok(Pasting::Done { advance, cells, label, told }) => {
                let with_it = |project: &Project| project.with_advance(advance).map_err(Refusal::from);
                let done = self.step(label, Some(cells.clone()), with_it);
                if done.is_ok() {
                    self.screen.selection = self.screen.selection.with_cells(cells);
                }
                match done {
                    Ok(true) => self.say(told),
                    Ok(false) => self.complain(format!("Nothing changed: the cells hold what was pasted ({told})")),
                    Err(why) => self.complain(why),
                }
            }
            Ok(Pasting::Ask(question)) => self.screen.grid.clipboard.question = Some(question),
            Err(reason) => self.complain(format!("Nothing was pasted: {reason}")),
        }
    }

    pub(super) fn toggle_decimal_comma(&mut self) {
        let clipboard = &mut self.screen.grid.clipboard;
        clipboard.mark = clipboard.mark.other();
        let mark = clipboard.mark.character();
        self.say(format!("Copied numbers now have a decimal '{mark}'"));
    }

    pub(super) fn toggle_load_order(&mut self) {
        let clipboard = &mut self.screen.grid.clipboard;
        let (loads, first) = match clipboard.loads {
            LoadOrder::Up => (LoadOrder::Down, "highest"),
            LoadOrder::Down => (LoadOrder::Up, "lowest"),
        };
        clipboard.loads = loads;
        self.say(format!("Rows on the clipboard now run from the {first} load on"));
    }
}
