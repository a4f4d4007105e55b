//! Making steps of the history and going to them. A drag or nudge in progress becomes a step of its own first.

use std::sync::Arc;

use super::clipboard::{Pasted, change_as_told, lay_over};
use super::shown::{Remedied, ToApply};
use super::{NOTHING_CHANGED, Workbench};
use crate::checks::Cure;
use crate::compare::take_back_cells;
use crate::interchange::Answers;
use crate::project::{LastExport, Project};
use crate::table::Selection;
use crate::window::state::edits::{DocumentEdit, EvidenceEdit};
use crate::window::state::export_state::{ImageRead, ImageValues, WrittenFiles};
use crate::window::state::file_jobs::file_name;
use crate::window::state::inspector_state::Proposal;
use crate::window::state::screen::Sheet;
use crate::wording::Refusal;

impl Workbench {
    /// Makes a step of what is held or dragged, before anything else changes the document.
    pub(super) fn end_gesture(&mut self) {
        self.gestures.end(&mut self.document, &mut self.screen);
    }

    /// The only way in which the window makes a step at once: what is being dragged or held becomes a step of
    /// its own first.
    pub(super) fn step(
        &mut self,
        label: impl Into<String>,
        selected: Option<Selection>,
        edit: impl FnOnce(&Project) -> Result<Project, Refusal>,
    ) -> Result<bool, Refusal> {
        self.end_gesture();
        self.document.apply(label, selected, edit)
    }

    /// Makes a step, and reports the result: `done`, or `unchanged` if nothing changed.
    fn step_told(
        &mut self,
        label: impl Into<String>,
        edit: impl FnOnce(&Project) -> Result<Project, Refusal>,
        (done, unchanged): (Option<String>, &str),
    ) {
        let selected = Some(self.screen.selection.cells.clone());
        match (self.step(label, selected, edit), done) {
            (Ok(true), Some(done)) => self.screen.say(done),
            (Ok(true), None) => {}
            (Ok(false), _) => self.screen.complain(unchanged),
            (Err(why), _) => self.screen.complain(why),
        }
    }

    /// Makes one step of a view's edit.
    pub(super) fn edit(&mut self, label: String, edit: &DocumentEdit) {
        self.step_told(label, |project| edit.apply(project), (None, NOTHING_CHANGED));
    }

    /// Keeps the readings of the sample whose engine was swept, to try the Evidence sheet with.
    pub(super) fn keep_sample_sweeps(&mut self) {
        let Some((load, sweep)) = crate::project::sample_sweep() else {
            return self.screen.complain("no sample has sweep readings");
        };
        if load != self.document.project().sensors.load {
            let words = "the sample readings have loads of another kind than this project: open the sample \
                         'tarn-special' (Ctrl+Shift+O) and look at its Evidence sheet";
            return self.screen.complain(words);
        }
        let edit = EvidenceEdit::Keep((*sweep).clone()).into();
        self.edit(format!("Keep the sample readings {}", sweep.name), &edit);
        self.screen.go_to(Sheet::Evidence);
    }

    /// Applies a tool as one step: now if its result is known or quickly computed, otherwise as soon as it is
    /// known.
    pub(super) fn commit(&mut self, proposal: Proposal) {
        if let Some(tool) = self.shown.commit(&self.document, &mut self.screen, proposal) {
            self.apply_tool(tool);
        }
    }

    pub(super) fn apply_tool(&mut self, tool: ToApply) {
        let (document, screen) = (&mut self.document, &mut self.screen);
        match tool {
            ToApply::Shaped(tool, shaped) => self.gestures.apply_shaped(document, screen, &tool, shaped),
            ToApply::Tool(tool, cells) => self.gestures.shape(document, screen, &tool, &cells),
        }
    }

    /// Carries a remedy out as one step: now if its result is known or quickly computed, otherwise as soon as
    /// it is known.
    pub(super) fn cure(&mut self, cure: Cure) {
        self.end_gesture();
        if let Some(remedied) = self.shown.cure(&self.document, &mut self.screen, cure) {
            self.take_remedied(remedied);
        }
    }

    pub(super) fn take_remedied(&mut self, Remedied { label, after }: Remedied) {
        let after = match after {
            Ok(after) => after,
            Err(why) => return self.screen.complain(why),
        };
        self.step_told(label.clone(), |_| Ok(after), (Some(label), NOTHING_CHANGED));
    }

    /// Pastes cells as one step, or asks what is ambiguous.
    pub(super) fn paste(&mut self, text: &str, answers: Answers) {
        self.end_gesture();
        if let Some(pasted) = lay_over(&self.document, &mut self.screen, text, answers) {
            self.put_pasted(pasted);
        }
    }

    /// Changes cells by the clipboard's numbers as one step, as was told.
    pub(super) fn paste_told(&mut self) {
        self.end_gesture();
        if let Some(pasted) = change_as_told(&self.document, &mut self.screen) {
            self.put_pasted(pasted);
        }
    }

    fn put_pasted(&mut self, pasted: Pasted) {
        let Pasted { advance, cells, label, told } = pasted;
        let with_it = |project: &Project| project.with_advance(advance).map_err(Refusal::from);
        let done = self.step(label, Some(cells.clone()), with_it);
        if done.is_ok() {
            self.screen.selection = self.screen.selection.with_cells(cells);
        }
        match done {
            Ok(true) => self.screen.say(told),
            Ok(false) => {
                self.screen.complain(format!("Nothing changed: the cells hold what was pasted ({told})"));
            }
            Err(why) => self.screen.complain(why),
        }
    }

    /// Takes cells back from the base as one step.
    pub(super) fn take_back(&mut self, cells: &Selection) {
        self.end_gesture();
        let base = self.shown.base();
        let taken = match take_back_cells(&base.project, self.document.project(), cells, &base.name) {
            Ok(taken) => taken,
            Err(error) => return self.screen.complain(Refusal::from(error)),
        };
        let told = taken.cells.to_string();
        match self.step(taken.label, Some(cells.clone()), |_| Ok(taken.project)) {
            Ok(_) => self.screen.say(told),
            Err(why) => self.screen.complain(why),
        }
    }

    /// Takes back the region of change that the cursor is in.
    pub(super) fn take_back_region(&mut self) {
        let view = self.view();
        let cells = view.region_here.cells(&view);
        self.take_back(&cells);
    }

    /// Replaces the table by the one that was read, as one step.
    pub(super) fn import_table(&mut self) {
        let Some((label, file)) = self.files.table_to_import() else {
            return;
        };
        let edit = |project: &Project| project.with_advance(file.import()?).map_err(Refusal::from);
        let done = self.step(label.clone(), None, edit);
        self.files.imported(&mut self.screen, label, done);
    }

    /// Takes over the values of the image that was read, as one step.
    pub(super) fn take_image(&mut self) {
        let Some(ImageRead { path, into, read: Ok(values) }) = self.files.take_image().map(|read| *read) else {
            return;
        };
        let ImageValues { project, cells, fields, .. } = *values;
        self.end_gesture();
        if !into.is_same(self.document.project()) {
            return self.screen.complain("The project has changed since the image was read; read it again");
        }
        let label = format!("Read the image {}", file_name(&path));
        let done = format!("{label}: {cells} cells and {} other fields changed", fields.len());
        let unchanged = "Nothing changed: the image holds the project's values";
        self.step_told(label, |_| Ok(project), (Some(done), unchanged));
    }

    /// Records the image that was written, as one step.
    pub(super) fn remember_image(&mut self, written: WrittenFiles) {
        let name = written.names.first().cloned().unwrap_or_default();
        let label = format!("Export {name}, {}", written.checksum);
        let last = LastExport {
            file_name: name,
            written_at: (self.surroundings.clock)().to_string(),
            checksum: written.checksum.clone(),
            despite_errors: written.despite_errors.clone(),
            state: written.project.as_state(),
        };
        let remember = |project: &Project| {
            let last = Some(Arc::new(last));
            project.edit(|parts| parts.last_export = last).map_err(Refusal::from)
        };
        let selected = Some(self.screen.selection.cells.clone());
        let done = self.step(label, selected, remember);
        self.screen.say(written.told());
        if let Err(why) = done {
            self.screen.complain(why);
        }
        self.screen.export.despite_errors.clear();
        self.screen.export.written = Some(written);
    }

    /// Goes back one step and selects the cells that it had changed.
    pub(super) fn undo(&mut self) {
        self.end_gesture();
        let undone = self.document.current_step();
        if self.document.undo() {
            self.select_cells_of(undone);
        }
    }

    /// Goes forward one step and selects the cells that it changes.
    pub(super) fn redo(&mut self) {
        self.end_gesture();
        if self.document.redo() {
            self.select_cells_of(self.document.current_step());
        }
    }

    /// Goes to any step and selects the cells that it had changed.
    pub(super) fn jump(&mut self, step: usize) {
        self.end_gesture();
        if self.document.jump(step) {
            self.select_cells_of(step);
        }
    }

    fn select_cells_of(&mut self, step: usize) {
        let step = self.document.steps().get(step);
        if let Some(cells) = step.and_then(|step| step.selected.clone()) {
            self.screen.selection = self.screen.selection.with_cells(cells);
        }
    }
}
