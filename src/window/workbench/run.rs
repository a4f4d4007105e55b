//! What each command does.

use eframe::egui;

use super::Workbench;
use super::clipboard::{
    copy, copy_slice, copy_table, cut, paste_changes, paste_slice, paste_table, toggle_decimal_comma, toggle_load_order,
};
use crate::checks::Finding;
use crate::document::Reread;
use crate::drawing::{Camera, Layer};
use crate::interchange::PasteAs;
use crate::picture::SliceLine;
use crate::shaping::{Along, Deed, Does};
use crate::table::{Selection, Table};
use crate::window::sheets::checks;
use crate::window::sheets::export::files_to_write;
use crate::window::state::commands::Command::{
    self, ArmLift, BoxSelect, CloseProject, CompareImage, CopyColumn, CopyRow, CopyTable, DrawOnSlice, GoHeld,
    GoHighest, GoLowest, GoMeasured, GoMostBent, GoSteepest, ImportTable, LookDark, LookLight, LookSunlight,
    LookSystem, Lower, LowerTen, NextProject, Open, PasteColumn, PasteRow, PasteTable, PictureOfColumn, PictureOfGrid,
    PictureOfRig, PictureOfRow, PictureOfSurface, PreviousProject, Raise, RaiseTen, ReadImage, ReadSweeps, RigDropEdge,
    RigExportEvents, RigExportPicture, RigExportRun, RigExtraEdge, RigNoFaults, RigPlay, RigReadRun, RigRows,
    RigShowPoint, SaveAs, SelectMeasured, SetupSheet, SetupSheetLetter, ToggleComb, ViewFront, ViewPlan, ViewSide,
    ViewThreeQuarter,
};
use crate::window::state::compare_state::SnapshotForm;
use crate::window::state::dialogs::Floating;
use crate::window::state::file_jobs::{FileJob, Next, RigJob};
use crate::window::state::grid_state::FlashedGrid;
use crate::window::state::layer_state::LayerMessage;
use crate::window::state::notice::Cause;
use crate::window::state::screen::{Finder, Menu, Screen, Sheet, SidePanel};
use crate::window::tasks::checking::Checked;
use crate::window::tasks::pictures::{self, Painted};
use crate::window::views::availability::{Availability, availability};
use crate::window::views::{grid, inspector, measured, notable};
use crate::wording::{Unit, capital, fixed, with_unit};

/// The file that a command of the rig reads or writes.
const fn rig_job(command: Command) -> FileJob {
    FileJob::Rig(match command {
        RigExportRun => RigJob::WriteRun,
        RigExportEvents => RigJob::WriteEvents,
        RigExportPicture => RigJob::WritePicture,
        _ => RigJob::ReadRun,
    })
}

impl Workbench {
    pub(super) fn run(&mut self, ctx: &egui::Context, command: Command) {
        if let Availability::Not(reason) = availability(command, &self.view()) {
            return refuse(&mut self.screen, command, reason);
        }
        let cells = self.screen.selection.cells.clone();
        match command {
            Command::Undo => self.undo(),
            Command::Redo => self.redo(),
            Command::Deed(deed) => self.do_deed(deed, &cells),
            Command::SelectAll => {
                self.screen.selection.cells = Selection::all(self.document.project().advance.table());
            }
            Command::History => toggle_panel(&mut self.screen, SidePanel::History),
            Command::Keys => toggle_panel(&mut self.screen, SidePanel::Keys),
            Command::Marks => toggle_panel(&mut self.screen, SidePanel::Marks),
            Command::Sentences => ctx.memory_mut(|memory| memory.request_focus(inspector::first_sentence())),
            Command::Breakpoints => toggle_panel(&mut self.screen, SidePanel::Breakpoints),
            Command::Fairing => toggle_panel(&mut self.screen, SidePanel::Fairing),
            Command::Finder => {
                self.files.refresh_recent();
                self.screen.finder = self.screen.finder.is_none().then(Finder::default);
            }
            Command::Copy => copy(ctx, &self.document, &mut self.screen, false),
            Command::CopyWithAxes => copy(ctx, &self.document, &mut self.screen, true),
            CopyRow | CopyColumn | PasteRow | PasteColumn => self.take_slice(ctx, command),
            Command::Cut => cut(ctx, &self.document, &mut self.screen),
            Command::Paste => ctx.send_viewport_cmd(egui::ViewportCommand::RequestPaste),
            Command::PasteAdd => paste_changes(ctx, &mut self.screen, PasteAs::Added),
            Command::PastePercent => paste_changes(ctx, &mut self.screen, PasteAs::PerCent),
            Command::ShowBase => self.show_base(ctx),
            GoHighest | GoLowest | GoSteepest | GoMostBent | GoHeld | GoMeasured | SelectMeasured => {
                self.go_to_notable(command);
            }
            Command::InsertSpeed => self.insert_beside_cursor(Along::Speed),
            Command::InsertLoad => self.insert_beside_cursor(Along::Load),
            Command::CellMenu => self.screen.menu = Some(Menu { of: self.screen.menu_of_cells(), at: None, row: 0 }),
            Command::ViewOther => self.screen.surface.camera.turn_round(),
            Command::DecimalComma => toggle_decimal_comma(&mut self.screen),
            Command::LowestLoadFirst => toggle_load_order(&mut self.screen),
            Command::EditCell => grid::edit_in_place(&mut self.screen, self.document.project()),
            Command::FocusTable => grid::toggle_focus(ctx),
            Command::ToggleContours => self.screen.toggle_contours(),
            Command::WholeTable => self.screen.grid.whole = !self.screen.grid.whole,
            Command::Layer(layer) => self.toggle_layer(layer),
            Command::NextLayer => self.choose_layer(self.screen.layers.next()),
            Command::FixRange => self.toggle_fixed_range(),
            ArmLift | BoxSelect | ToggleComb | DrawOnSlice => switch(&mut self.screen, command),
            Command::SurfaceTab => self.screen.surface.tab = !self.screen.surface.tab,
            Command::NextFinding | Command::PreviousFinding => {
                let by = if command == Command::NextFinding { 1 } else { -1 };
                let table = self.document.project().advance.table();
                go_to_finding(ctx, self.shown.checked(), table, &mut self.screen, by);
            }
            Command::TakeSnapshot => self.screen.compare.snapshot_form = Some(SnapshotForm::default()),
            Command::TakeBack => self.take_back(&cells),
            Command::TakeBackRegion => self.take_back_region(),
            Command::Merge => start_merging(&mut self.screen),
            Command::LockedTiming => self.files.open_panel(Floating::locked_timing()),
            Command::New => self.files.open_panel(Floating::new_project()),
            Command::OpenSample => self.files.open_panel(Floating::Samples),
            Command::Save => self.save_here(ctx, None),
            Command::Revert => self.read_again(ctx, Reread::Revert),
            Command::ExportTable => self.files.open_panel(Floating::export(self.screen.grid.clipboard.mark)),
            Command::AsFlashed => toggle_flashed(&mut self.screen, FlashedGrid::Degrees),
            Command::FlashedCounts => toggle_flashed(&mut self.screen, FlashedGrid::Counts),
            Command::ExportImage => self.export_image(ctx),
            RigPlay | RigRows | RigDropEdge | RigExtraEdge | RigNoFaults | RigShowPoint => {
                run_rig(&mut self.screen, command);
            }
            RigReadRun | RigExportRun | RigExportEvents | RigExportPicture => self.choose(ctx, rig_job(command)),
            Raise | Lower | RaiseTen | LowerTen | ViewFront | ViewSide | ViewPlan | ViewThreeQuarter | LookSystem
            | LookLight | LookDark | LookSunlight | Open | SaveAs | ImportTable | SetupSheet | ReadImage
            | CompareImage | SetupSheetLetter | ReadSweeps => self.lead(ctx, command),
            Command::SampleSweeps => self.keep_sample_sweeps(),
            Command::Sheet(sheet) => self.screen.go_to(sheet),
            Command::DegreeStrip => self.choose_strip(ctx),
            NextProject | PreviousProject | CloseProject | CopyTable | PasteTable | PictureOfSurface
            | PictureOfGrid | PictureOfRow | PictureOfColumn | PictureOfRig => self.run_between(ctx, command),
            Command::Quit => self.quit(ctx),
        }
    }

    /// Tints by a layer, or by advance again if that one is on.
    fn toggle_layer(&mut self, layer: Layer) {
        let is_on = self.screen.layers.layer == layer;
        self.choose_layer(if is_on { Layer::Advance } else { layer });
    }

    fn choose_layer(&mut self, layer: Layer) {
        self.screen.apply(LayerMessage::Choose(layer).into());
        self.screen.say(format!("Grid and surface are tinted by {}", layer.name()));
    }

    /// Fixes the range of the chosen layer, or lets it go.
    fn toggle_fixed_range(&mut self) {
        // The layer may have been chosen just now.
        self.shown.settle_scales(&self.document, &self.screen, None);
        let scale = self.view().scales.layer;
        if !scale.layer.has_range() {
            return self.screen.complain(format!("{} has no range to fix", capital(scale.layer.name())));
        }
        let ends = (!scale.is_fixed).then_some(scale.range);
        self.screen.apply(LayerMessage::Fix(scale.layer, ends).into());
    }

    /// Follows a command to its target: a look, a view of the surface, a few steps up or down, a file dialog.
    fn lead(&mut self, ctx: &egui::Context, command: Command) {
        if let Some(look) = command.look() {
            self.screen.look = look;
        }
        if let Some(view) = command.camera() {
            self.screen.surface.camera = Camera::view(view);
            // Also if a drag has ended in this frame.
            self.gestures.take_led_to();
            self.shown.let_scales_go();
        }
        if let Some(steps) = command.nudge_steps() {
            let by_deg = steps * self.document.project().step_deg;
            self.gestures.nudge_by_key(&mut self.document, &mut self.screen, command, by_deg);
        }
        if let Some(job) = command.file_job() {
            self.choose(ctx, job);
        }
    }

    /// Copies the slice at the cursor, or pastes onto slices.
    fn take_slice(&mut self, ctx: &egui::Context, command: Command) {
        let along = if matches!(command, CopyRow | PasteRow) { Along::Speed } else { Along::Load };
        let take = if matches!(command, CopyRow | CopyColumn) { copy_slice } else { paste_slice };
        take(ctx, &self.document, &mut self.screen, along);
    }

    /// Uses a tool that is a command.
    fn do_deed(&mut self, deed: &Deed, cells: &Selection) {
        match deed.does {
            Does::Sentence(key) => self.commit_sentence(key),
            Does::Tool(tool) => {
                let tool = tool(&self.document.project().advance, cells);
                self.gestures.shape(&mut self.document, &mut self.screen, &tool, cells);
            }
        }
    }

    /// Does what a sentence of the inspector says, on the cells that it acts on.
    fn commit_sentence(&mut self, key: &str) {
        let sentence =
            inspector::sentences::sentences(&self.view()).into_iter().find(|sentence| sentence.of.key == key);
        match sentence.map(|sentence| sentence.plan) {
            Some(Ok(proposal)) => self.commit(proposal),
            Some(Err(refusal)) => self.screen.complain(refusal.long),
            None => {}
        }
    }

    /// Selects the cell that a command goes to, and says what it is.
    fn go_to_notable(&mut self, command: Command) {
        let Some((selection, told)) = notable::find(&self.view(), command) else {
            return self.screen.complain(format!("{}: the table has no such place", command.text()));
        };
        self.screen.selection = selection;
        self.screen.say(told);
    }

    /// Inserts a breakpoint next to the cursor's, as one step.
    fn insert_beside_cursor(&mut self, along: Along) {
        match inspector::insert_at_cursor(&self.view(), along) {
            Ok(proposal) => self.commit(proposal),
            Err(why) => self.screen.complain(format!("Nothing was inserted: {why}")),
        }
    }

    /// Carries out a command that leads to another project, or takes something to another project or program.
    fn run_between(&mut self, ctx: &egui::Context, command: Command) {
        match command {
            NextProject | PreviousProject => {
                if let Some(id) = self.shelf.tabs().beside(command == NextProject) {
                    self.leave_for(ctx, Next::Show(id));
                }
            }
            CloseProject => self.leave_for(ctx, Next::Close(self.shelf.shown())),
            CopyTable => copy_table(ctx, &self.document, &mut self.screen),
            PasteTable => paste_table(ctx, &mut self.screen),
            _ => self.copy_picture(ctx, command),
        }
    }

    /// Has a view painted for the clipboard.
    fn copy_picture(&mut self, ctx: &egui::Context, command: Command) {
        let (look, clipboard) = (self.theme.palette.look, &self.surroundings.pictures);
        if command == Command::PictureOfRig {
            return match pictures::rig(&self.screen.rig, self.document.project(), look) {
                Ok(paint) => self.files.paint(ctx, clipboard, &mut self.screen, "the rig", paint),
                Err(why) => self.screen.complain(format!("There is no picture of the rig: {why}")),
            };
        }
        let (project, cursor) = (self.document.project().clone(), self.screen.selection.cursor);
        let table = project.advance.table();
        let at = |breakpoints: &[f64], place: usize| breakpoints.get(place).copied().unwrap_or_default();
        let painted = match command {
            Command::PictureOfSurface => Painted::Surface(self.screen.surface.camera),
            Command::PictureOfRow => Painted::Slice(SliceLine::Load(at(table.load().breakpoints(), cursor.load))),
            Command::PictureOfColumn => Painted::Slice(SliceLine::Speed(at(table.speed().breakpoints(), cursor.speed))),
            _ => Painted::Grid,
        };
        let layer = self.screen.layers.layer;
        let tint = (layer, self.screen.layers.fixed(layer));
        let beside = measured::beside(&self.view());
        let is_drawn = painted != Painted::Grid && beside.is_base();
        let shows_points = !matches!(painted, Painted::Surface(_)) || beside.has_pins();
        let shows_base = is_drawn || layer == Layer::Difference;
        let base = shows_base.then(|| (self.shown.base().name.clone(), self.shown.base().project.clone()));
        self.files.paint(ctx, clipboard, &mut self.screen, painted.name(), move || {
            let base = base.as_ref().map(|(name, project)| (name.as_str(), project));
            pictures::paint(&painted, &project, base, look, tint, shows_points)
        });
    }

    /// Asks where to write the strip for the pulley.
    fn choose_strip(&mut self, ctx: &egui::Context) {
        match self.screen.engine.stop.strip() {
            Ok(strip) => self.choose(ctx, FileJob::DegreeStrip(strip.svg())),
            Err(error) => self.screen.complain(format!("There is no degree strip: {error}")),
        }
    }

    /// Goes to the Export sheet and asks where to write.
    fn export_image(&mut self, ctx: &egui::Context) {
        self.screen.go_to(Sheet::Export);
        let files = files_to_write(&self.view());
        if files.formats.is_empty() {
            return self.screen.complain("Choose at least one format on the Export sheet");
        }
        self.choose(ctx, FileJob::WriteImage(files));
    }
}

/// Says why a command cannot be run. Having nothing to undo or redo is not reported as a problem.
fn refuse(screen: &mut Screen, command: Command, reason: &str) {
    let text = format!("{}: {reason}", command.text());
    match command {
        Command::Undo | Command::Redo => screen.say(text),
        _ => screen.complain_of(Cause::Command(command), text),
    }
}

/// Carries out a command of the rig.
fn run_rig(screen: &mut Screen, command: Command) {
    let rig = &mut screen.rig;
    let here_s = rig.cursor_s;
    match command {
        RigPlay => rig.toggle_play(),
        RigRows => rig.toggle_rows(),
        RigDropEdge => {
            rig.settings.dropped_at_s.push(here_s);
            screen.say(format!("The next edge after {} is dropped", with_unit(&fixed(here_s, 3), Unit::Second)));
        }
        RigExtraEdge => {
            rig.settings.extra_at_s.push(here_s);
            screen.say(format!("An edge is added at {}", with_unit(&fixed(here_s, 3), Unit::Second)));
        }
        RigNoFaults => {
            rig.settings = crate::rig::Settings::default();
            rig.one_gap = false;
        }
        RigShowPoint => {
            rig.hides_point = !rig.hides_point;
            let told = if rig.hides_point { "hidden" } else { "shown" };
            screen.say(format!("The running point is {told} on the Advance sheet"));
        }
        _ => {}
    }
}

/// Goes to another open finding, `by` after the one last gone to, wrapping around.
fn go_to_finding(ctx: &egui::Context, checked: &Checked, table: &Table, screen: &mut Screen, by: isize) {
    let open: Vec<&Finding> = checked.findings.iter().filter(|finding| finding.is_open()).collect();
    let key = screen.checks.looked_at.as_ref();
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
    checks::focus(ctx, finding);
    screen.apply(checks::go(table, finding));
}

/// Shows the table as flashed in the grid, or the project's again if that is shown already.
fn toggle_flashed(screen: &mut Screen, wanted: FlashedGrid) {
    screen.sheet = Sheet::Advance;
    screen.surface.tab = false;
    screen.grid.flashed = match (screen.grid.flashed, wanted) {
        (FlashedGrid::Off, wanted) => wanted,
        (FlashedGrid::Counts, FlashedGrid::Counts) => FlashedGrid::Degrees,
        (_, FlashedGrid::Counts) => FlashedGrid::Counts,
        _ => FlashedGrid::Off,
    };
}

/// Switches what a drag does on the surface or on a slice, or the comb.
fn switch(screen: &mut Screen, command: Command) {
    match command {
        ArmLift => screen.surface.toggle_lift(),
        BoxSelect => screen.surface.toggle_box(),
        DrawOnSlice => screen.slices.draws = !screen.slices.draws,
        _ => toggle_comb(screen),
    }
}

/// Shows or hides the comb, and says what it is, since it may be a sheet without slices that is open.
fn toggle_comb(screen: &mut Screen) {
    let is_hidden = !screen.slices.hides_comb;
    screen.slices.hides_comb = is_hidden;
    screen.say(if is_hidden { "The slices have no curvature comb" } else { "The slices have a curvature comb" });
}

fn start_merging(screen: &mut Screen) {
    screen.go_to(Sheet::Compare);
    screen.compare.merging.get_or_insert_default();
}

fn toggle_panel(screen: &mut Screen, panel: SidePanel) {
    screen.panel = if screen.panel == Some(panel) { None } else { Some(panel) };
}
