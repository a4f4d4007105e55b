//! What each command does.

use eframe::egui;

use super::Workbench;
use crate::checks::Finding;
use crate::compare::take_back_cells;
use crate::document::Reread;
use crate::drawing::Camera;
use crate::shaping::{Deed, Does};
use crate::table::Selection;
use crate::window::sheets::checks;
use crate::window::state::commands::Command::{
    self, CompareImage, ImportTable, LookDark, LookLight, LookSunlight, LookSystem, Lower, LowerTen, Open, Raise,
    RaiseTen, ReadImage, RigDropEdge, RigExportEvents, RigExportPicture, RigExportRun, RigExtraEdge, RigNoFaults,
    RigPlay, RigReadRun, RigRows, RigShowPoint, SaveAs, SetupSheet, SetupSheetLetter, ViewFront, ViewPlan, ViewSide,
    ViewThreeQuarter,
};
use crate::window::state::compare_state::SnapshotForm;
use crate::window::state::dialogs::Floating;
use crate::window::state::file_jobs::{FileJob, Next};
use crate::window::state::grid_state::FlashedGrid;
use crate::window::state::notice::{Cause, Notice};
use crate::window::state::screen::{Finder, Sheet, SidePanel};
use crate::window::views::availability::{Availability, availability};
use crate::window::views::{grid, inspector};

impl Workbench {
    pub(super) fn run(&mut self, ctx: &egui::Context, command: Command) {
        if let Availability::Not(reason) = availability(command, &self.view()) {
            return self.refuse(command, reason);
        }
        let cells = self.screen.selection.cells.clone();
        match command {
            Command::Undo => self.undo(),
            Command::Redo => self.redo(),
            Command::Deed(deed) => self.do_deed(deed, &cells),
            Command::SelectAll => self.select_all(),
            Command::History => self.toggle_panel(SidePanel::History),
            Command::Keys => self.toggle_panel(SidePanel::Keys),
            Command::Marks => self.toggle_panel(SidePanel::Marks),
            Command::Sentences => ctx.memory_mut(|memory| memory.request_focus(inspector::first_sentence())),
            Command::Breakpoints => self.toggle_panel(SidePanel::Breakpoints),
            Command::Finder => self.toggle_finder(),
            Command::Copy => self.copy(ctx, false),
            Command::CopyWithAxes => self.copy(ctx, true),
            Command::Cut => self.cut(ctx),
            Command::Paste => ctx.send_viewport_cmd(egui::ViewportCommand::RequestPaste),
            Command::DecimalComma => self.toggle_decimal_comma(),
            Command::LowestLoadFirst => self.toggle_load_order(),
            Command::EditCell => grid::edit_in_place(&mut self.screen, self.document.project()),
            Command::FocusTable => grid::toggle_focus(ctx),
            Command::ToggleContours => self.screen.grid.contours = !self.screen.grid.contours,
            Command::ToggleOrigins => self.screen.grid.origins = !self.screen.grid.origins,
            Command::ArmLift => self.screen.surface.lift_armed = !self.screen.surface.lift_armed,
            Command::SurfaceTab => self.screen.surface.tab = !self.screen.surface.tab,
            Command::NextFinding => self.go_to_finding(ctx, 1),
            Command::PreviousFinding => self.go_to_finding(ctx, -1),
            Command::TakeSnapshot => self.screen.compare.snapshot_form = Some(SnapshotForm::default()),
            Command::TakeBack => self.take_back(&cells),
            Command::Merge => self.start_merging(),
            Command::LockedTiming => self.files.dialogs.panel = Some(Floating::locked_timing()),
            Command::New => self.files.dialogs.panel = Some(Floating::new_project()),
            Command::OpenSample => self.files.dialogs.panel = Some(Floating::Samples),
            Command::Save => self.save(ctx, None),
            Command::Revert => self.read_again(ctx, Reread::Revert),
            Command::ExportTable => self.files.dialogs.panel = Some(Floating::export(self.screen.grid.clipboard.mark)),
            Command::AsFlashed => self.toggle_flashed(FlashedGrid::Degrees),
            Command::FlashedCounts => self.toggle_flashed(FlashedGrid::Counts),
            Command::ExportImage => self.export_image(ctx),
            RigPlay | RigRows | RigDropEdge | RigExtraEdge | RigNoFaults | RigShowPoint | RigReadRun | RigExportRun
            | RigExportEvents | RigExportPicture => self.run_rig(ctx, command),
            Raise | Lower | RaiseTen | LowerTen | ViewFront | ViewSide | ViewPlan | ViewThreeQuarter | LookSystem
            | LookLight | LookDark | LookSunlight | Open | SaveAs | ImportTable | SetupSheet | ReadImage
            | CompareImage | SetupSheetLetter => self.lead(ctx, command),
            Command::Sheet(sheet) => self.screen.go_to(sheet),
            Command::DegreeStrip => self.choose_strip(ctx),
            Command::Quit => self.leave_for(ctx, Next::Quit),
        }
    }

    /// Says why a command cannot be run. Having nothing to undo or redo is not reported as a problem.
    fn refuse(&mut self, command: Command, reason: &str) {
        let text = format!("{}: {reason}", command.text());
        match command {
            Command::Undo | Command::Redo => self.say(text),
            _ => self.complain_of(Cause::Command(command), text),
        }
    }

    /// Follows a command to its target: a look, a view of the surface, a few steps up or down, a file dialog.
    fn lead(&mut self, ctx: &egui::Context, command: Command) {
        if let Some(look) = command.look() {
            self.screen.look = look;
        }
        if let Some(view) = command.camera() {
            self.screen.surface.camera = Camera::view(view);
            self.shown.scales.let_go();
        }
        if let Some(steps) = command.nudge_steps() {
            self.nudge_by_key(command, steps * self.document.project().step_deg);
        }
        if let Some(job) = command.file_job() {
            self.choose(ctx, job);
        }
    }

    /// Uses a tool that is a command.
    fn do_deed(&mut self, deed: &Deed, cells: &Selection) {
        match deed.does {
            Does::Sentence(key) => self.commit_sentence(key),
            Does::Tool(tool) => self.shape(&tool(&self.document.project().advance, cells), cells),
        }
    }

    /// Does what a sentence of the inspector says, on the cells that it acts on.
    fn commit_sentence(&mut self, key: &str) {
        let sentence =
            inspector::sentences::sentences(&self.view()).into_iter().find(|sentence| sentence.of.key == key);
        match sentence.map(|sentence| sentence.plan) {
            Some(Ok(proposal)) => self.commit(proposal),
            Some(Err(refusal)) => self.complain(refusal.long),
            None => {}
        }
    }

    /// Asks where to write the strip for the pulley.
    fn choose_strip(&mut self, ctx: &egui::Context) {
        match self.screen.engine.stop.strip() {
            Ok(strip) => self.choose(ctx, FileJob::DegreeStrip(strip.svg())),
            Err(error) => self.complain(format!("There is no degree strip: {error}")),
        }
    }

    /// Goes back one step and selects the cells that it had changed.
    fn undo(&mut self) {
        self.end_gesture();
        let undone = self.document.current_step();
        if self.document.undo() {
            self.select_cells_of(undone);
        }
    }

    /// Goes forward one step and selects the cells that it changes.
    fn redo(&mut self) {
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

    /// Goes to another open finding, `by` after the one last gone to, wrapping around.
    fn go_to_finding(&mut self, ctx: &egui::Context, by: isize) {
        let checked = self.shown.checker.checked();
        let open: Vec<&Finding> = checked.findings.iter().filter(|finding| finding.is_open()).collect();
        let key = self.screen.checks.looked_at.as_ref();
        let here = open.iter().position(|finding| key.is_some_and(|key| key.is_of(finding)));
        let count = isize::try_from(open.len()).unwrap_or(isize::MAX);
        let next = match (here.and_then(|here| isize::try_from(here).ok()), count) {
            (_, 0) => return,
            (Some(here), count) => (here + by).rem_euclid(count),
            (None, count) => {
                if by > 0 {
                    0
                } else {
                    count - 1
                }
            }
        };
        let Some(finding) = usize::try_from(next).ok().and_then(|next| open.get(next)) else {
            return;
        };
        let going = checks::go(self.document.project().advance.table(), finding);
        checks::focus(ctx, finding);
        self.screen.apply(going);
    }

    fn toggle_finder(&mut self) {
        self.files.recent.refresh();
        self.screen.finder = self.screen.finder.is_none().then(Finder::default);
    }

    fn take_back(&mut self, cells: &Selection) {
        self.end_gesture();
        let base = self.shown.base.current().clone();
        let taken = match take_back_cells(&base.project, self.document.project(), cells, &base.name) {
            Ok(taken) => taken,
            Err(error) => return self.report(Err(error.into())),
        };
        let told = taken.cells.to_string();
        let done = self.step(taken.label, Some(cells.clone()), |_| Ok(taken.project));
        if done.is_ok() {
            self.screen.notice = Some(Notice::said(told));
        }
        self.report(done.map(|_| ()));
    }

    /// Shows the table as flashed in the grid, or the project's again if that is shown already.
    fn toggle_flashed(&mut self, wanted: FlashedGrid) {
        self.screen.sheet = Sheet::Advance;
        self.screen.surface.tab = false;
        self.screen.grid.flashed = match (self.screen.grid.flashed, wanted) {
            (FlashedGrid::Off, wanted) => wanted,
            (FlashedGrid::Counts, FlashedGrid::Counts) => FlashedGrid::Degrees,
            (_, FlashedGrid::Counts) => FlashedGrid::Counts,
            _ => FlashedGrid::Off,
        };
    }

    fn start_merging(&mut self) {
        self.screen.go_to(Sheet::Compare);
        self.screen.compare.merging.get_or_insert_default();
    }

    fn select_all(&mut self) {
        self.screen.selection.cells = Selection::all(self.document.project().advance.table());
    }

    fn toggle_panel(&mut self, panel: SidePanel) {
        self.screen.panel = if self.screen.panel == Some(panel) { None } else { Some(panel) };
    }
}
