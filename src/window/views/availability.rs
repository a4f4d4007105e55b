//! Whether a command can run now, and if not, why not.

use crate::document::ReadOnly;
use crate::window::state::commands::Command;
use crate::window::state::screen::Sheet;
use crate::window::views::view::View;

/// Whether a command can run now.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Availability {
    /// It can.
    Available,
    /// It cannot, for this reason; the reason is the tooltip of its disabled button.
    Not(&'static str),
}

/// Whether a command can run now.
pub fn availability(command: Command, view: &View<'_>) -> Availability {
    let unless =
        |ready: bool, reason: &'static str| if ready { Availability::Available } else { Availability::Not(reason) };
    if acts_on_cells(command) && !view.screen.sheet.row().shows_cells {
        return Availability::Not("go to the Advance sheet: this acts on the cells of its table");
    }
    if command.asks_something() && view.dialogs.question.is_some() {
        return Availability::Not("answer first whether the changes are to be saved");
    }
    match command {
        Command::Undo => {
            unless(view.document.undo_label().is_some(), "nothing to undo: this is how the project was opened")
        }
        Command::Redo => unless(view.document.redo_label().is_some(), "nothing to redo: this is the newest step"),
        Command::RigPlay
        | Command::RigDropEdge
        | Command::RigExtraEdge
        | Command::RigExportRun
        | Command::RigExportEvents
        | Command::RigExportPicture
        | Command::PictureOfRig => {
            if view.screen.sheet != Sheet::Rig {
                return Availability::Not("go to the Rig sheet: this acts on its run");
            }
            unless(view.screen.rig.run.is_ok(), "there is no run: choose another, or mend its rows")
        }
        Command::RigRows | Command::RigNoFaults | Command::RigReadRun => {
            unless(view.screen.sheet == Sheet::Rig, "go to the Rig sheet: this acts on its run")
        }
        Command::DegreeStrip if view.screen.engine.stop.diameter_mm.is_none() => {
            Availability::Not("type the pulley's diameter in the true TDC worksheet first")
        }
        Command::DegreeStrip => unless(
            view.screen.engine.stop.strip().is_ok(),
            "the strip's last degree is not above its first: change them in the true TDC worksheet",
        ),
        Command::NextProject | Command::PreviousProject => {
            unless(view.projects.has_several(), "only one project is open")
        }
        Command::Save | Command::SaveAs | Command::Revert if view.dialogs.saving => {
            Availability::Not("the project is being saved just now")
        }
        Command::Save => match view.document.read_only() {
            None => Availability::Available,
            Some(ReadOnly::InUse) => Availability::Not("the file is open in another window; use Save as"),
            Some(ReadOnly::Protected) => Availability::Not("the file is write-protected; use Save as"),
        },
        Command::Revert => unless(
            view.document.path().is_some() && view.document.is_changed(),
            "the project is as its file holds it, or has no file yet",
        ),
        Command::LockedTiming => unless(
            view.project.locked_timing_deg.is_none(),
            "this is a locked-timing copy already; open the real project",
        ),
        Command::GoHeld => {
            unless(!view.settled().advance.held().is_empty(), "no cell is held: hold those that were really measured")
        }
        Command::GoMeasured | Command::SelectMeasured => of_measured(command, view),
        Command::InsertSpeed | Command::InsertLoad => unless(
            view.project.locked_timing_deg.is_none(),
            "the table of a locked-timing copy is fixed; open the real project",
        ),
        Command::NextFinding | Command::PreviousFinding => {
            unless(view.checked.tally.total() > 0, "nothing to go to: the checks are content")
        }
        Command::TakeBackRegion => may_take_back_region(view),
        Command::TakeBack => unless(
            view.base.project.sensors.load == view.project.sensors.load,
            "the base's load is of another kind: its rows mean something else",
        ),
        Command::Deed(deed) => (deed.unfit)(&view.selection.cells).map_or(Availability::Available, Availability::Not),
        Command::Copy | Command::CopyWithAxes | Command::Cut => unless(
            view.screen.selection.cells.as_block().is_some(),
            "the selection is no block: select a rectangle of cells",
        ),
        _ => Availability::Available,
    }
}

/// Going to measured points needs some within the axes, selecting by them some that are in use as well.
fn of_measured(command: Command, view: &View<'_>) -> Availability {
    let project = view.settled();
    let mut over = project.evidence.points.iter().filter(|point| point.is_over(project.advance.table()));
    match command {
        Command::SelectMeasured if !over.any(|point| point.in_use) => {
            Availability::Not("no measured point within the axes of the table is in use")
        }
        Command::GoMeasured if over.next().is_none() => {
            Availability::Not("no point was measured within the axes of the table")
        }
        _ => Availability::Available,
    }
}

fn may_take_back_region(view: &View<'_>) -> Availability {
    if view.screen.sheet != Sheet::Compare || view.screen.compare.merging.is_some() {
        return Availability::Not("go to the Compare sheet: its regions of change are taken back");
    }
    if view.region_here.cells(view).is_empty() {
        return Availability::Not(
            "the cursor is in no region of change: choose one in the list, in the grid or on the surface",
        );
    }
    Availability::Available
}

impl Command {
    /// Whether it asks the user something, so that it has to wait while something else is being asked.
    fn asks_something(self) -> bool {
        use Command::{
            CloseProject, DegreeStrip, ExportImage, ExportTable, LockedTiming, New, OpenSample, Revert,
            RigExportEvents, RigExportPicture, RigExportRun, RigReadRun, TakeSnapshot,
        };
        self.file_job().is_some()
            || matches!(
                self,
                CloseProject
                    | DegreeStrip
                    | ExportImage
                    | ExportTable
                    | LockedTiming
                    | New
                    | OpenSample
                    | Revert
                    | RigExportEvents
                    | RigExportPicture
                    | RigExportRun
                    | RigReadRun
                    | TakeSnapshot
            )
    }
}

/// Whether the command changes or marks cells of the advance table, so that these must be visible.
fn acts_on_cells(command: Command) -> bool {
    use Command::{
        ArmLift, BoxSelect, CellMenu, Copy, CopyColumn, CopyRow, CopyWithAxes, Cut, Deed, DrawOnSlice, EditCell,
        GoHeld, GoHighest, GoLowest, GoMeasured, GoMostBent, GoSteepest, InsertLoad, InsertSpeed, Lower, LowerTen,
        Paste, PasteAdd, PasteColumn, PastePercent, PasteRow, PasteTable, PictureOfColumn, PictureOfGrid, PictureOfRow,
        PictureOfSurface, Raise, RaiseTen, SelectAll, SelectMeasured, ShowBase, TakeBack, TakeBackRegion, ViewOther,
    };
    matches!(
        command,
        ArmLift
            | BoxSelect
            | CellMenu
            | Copy
            | CopyColumn
            | CopyRow
            | CopyWithAxes
            | Cut
            | Deed(_)
            | DrawOnSlice
            | EditCell
            | GoHeld
            | GoHighest
            | GoLowest
            | GoMeasured
            | GoMostBent
            | GoSteepest
            | InsertLoad
            | InsertSpeed
            | Lower
            | LowerTen
            | Paste
            | PasteAdd
            | PasteColumn
            | PastePercent
            | PasteRow
            | PasteTable
            | PictureOfColumn
            | PictureOfGrid
            | PictureOfRow
            | PictureOfSurface
            | Raise
            | RaiseTen
            | SelectAll
            | SelectMeasured
            | ShowBase
            | TakeBack
            | TakeBackRegion
            | ViewOther
    )
}
