//! What belongs to the screen and to nothing else: selection, camera, open sheet, half-typed text.

use std::collections::BTreeMap;
use std::path::{Path, PathBuf};

use super::commands::Command;
use crate::compare::Version;
use crate::document::Revision;
use crate::drawing::{Camera, Look, View as CameraView};
use crate::shaping::Tool;
use crate::table::{Block, Cell, Selection, Table};
use crate::window::state::engine_state::EngineState;
use crate::window::state::form_state::FormState;
use crate::window::state::inspector_state::InspectorState;

use crate::window::state::checks_state::ChecksState;
use crate::window::state::clipboard_state::ClipboardState;
use crate::window::state::export_state::{ExportState, Formats, Replacing};
use crate::window::state::limits_state::LimitsState;
use crate::window::state::rig_state::RigScreen;
use crate::window::state::trims_state::TrimsState;

/// The sheets on the rail.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash)]
pub enum Sheet {
    /// Installation, trigger, sensors, coils and the worksheets.
    Engine,
    /// The advance table.
    #[default]
    Advance,
    /// Degrees added for coolant and air temperature.
    Trims,
    /// Cranking, over-speed, launch, clamp, tachometer and switched outputs.
    Limits,
    /// The simulated bench rig.
    Rig,
    /// Edited against base.
    Compare,
    /// What the checks noticed.
    Checks,
    /// The bytes for the flashing tool, and the printed sheet.
    Export,
}

impl Sheet {
    /// In the order of the rail.
    pub const ALL: [Self; 8] =
        [Self::Engine, Self::Advance, Self::Trims, Self::Limits, Self::Rig, Self::Compare, Self::Checks, Self::Export];

    /// Its name on the rail.
    pub const fn name(self) -> &'static str {
        match self {
            Self::Engine => "Engine",
            Self::Advance => "Advance",
            Self::Trims => "Trims",
            Self::Limits => "Limits & outputs",
            Self::Rig => "Rig",
            Self::Compare => "Compare",
            Self::Checks => "Checks",
            Self::Export => "Export",
        }
    }

    /// Whether it shows the cells of the advance table, so that commands on cells mean something there.
    pub const fn shows_cells(self) -> bool {
        matches!(self, Self::Advance | Self::Compare)
    }
}

/// Whether the grid shows the project's table or the one that the unit will have.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum FlashedGrid {
    /// The project's.
    #[default]
    Off,
    /// The unit's, in degrees.
    Degrees,
    /// The unit's, in counts.
    Counts,
}

/// Which look to show.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum LookChoice {
    /// Light or dark as the system says.
    #[default]
    System,
    /// This one.
    Fixed(Look),
}

/// What the table's selection is: the selected cells, the cursor among them and the corner that Shift keeps.
#[derive(Clone, Debug, PartialEq)]
pub struct CellSelection {
    /// The selected cells; never empty.
    pub cells: Selection,
    /// Where the next arrow key starts.
    pub cursor: Cell,
    /// The corner that stays when Shift extends the selection.
    pub anchor: Cell,
}

impl CellSelection {
    /// One cell.
    pub fn cell(table: &Table, cell: Cell) -> Self {
        Self { cells: Selection::cell(table, cell), cursor: cell, anchor: cell }
    }

    /// The block between `anchor` and `cursor`.
    pub fn block(table: &Table, anchor: Cell, cursor: Cell) -> Self {
        Self { cells: Selection::block(table, &Block::between(anchor, cursor)), cursor, anchor }
    }

    /// What a click on a cell makes of the selection: the cell alone; with Shift the block from the anchor; with Ctrl
    /// the cell in addition.
    pub fn clicked(&self, table: &Table, cell: Cell, shift: bool, ctrl: bool) -> Self {
        if shift {
            return Self::block(table, self.anchor, cell);
        }
        let mut clicked = Self::cell(table, cell);
        if ctrl && self.cells.fits(table) {
            clicked.cells.extend(self.cells.cells());
        }
        clicked
    }

    /// These cells, with the cursor where it is when it is among them, else at the first of them. An empty set leaves
    /// the selection as it is.
    pub fn with_cells(&self, cells: Selection) -> Self {
        if cells.contains(self.cursor) {
            return Self { cells, cursor: self.cursor, anchor: self.anchor };
        }
        let first = cells.cells().next();
        match first {
            Some(first) => Self { cells, cursor: first, anchor: first },
            None => self.clone(),
        }
    }

    /// The same selection if it fits the table, else the nearest cell that does.
    pub fn fitted(self, table: &Table) -> Self {
        if self.cells.fits(table) {
            return self;
        }
        let (loads, speeds) = (table.load().len(), table.speed().len());
        Self::cell(table, Cell::new(self.cursor.load.min(loads - 1), self.cursor.speed.min(speeds - 1)))
    }
}

/// Text being typed over the selected cells.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct CellEditor {
    /// What stands there so far.
    pub text: String,
    /// Where the next character goes, counted in characters.
    pub caret: usize,
    /// Whether it edits the one cell's value in place (F2) instead of replacing all selected cells.
    pub in_place: bool,
}

/// How the base is shown on the surface.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum BaseStyle {
    /// Not at all.
    #[default]
    Hidden,
    /// As a second body.
    Solid,
    /// As a wire net.
    Wire,
    /// The edited surface tinted by its difference from the base.
    Difference,
}

/// What opens beside or over the sheet.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum SidePanel {
    /// Every step, to jump to.
    History,
    /// Keys and how to change them.
    Keys,
    /// The breakpoints of the advance table.
    Breakpoints,
    /// What the marks mean.
    Marks,
}

/// The command palette while it is open.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Finder {
    /// What is typed.
    pub text: String,
    /// The marked row.
    pub row: usize,
}

/// Which table is the base.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub enum BaseChoice {
    /// The newest snapshot, or the state in which the file was opened when there is none.
    #[default]
    Automatic,
    /// A snapshot by name.
    Snapshot(String),
    /// An earlier step of the history.
    Step(usize),
    /// What was last exported.
    LastExport,
    /// Another project file.
    File(PathBuf),
}

/// What was decided of the conflicts of a merge, each by its place.
pub type Decisions = BTreeMap<String, Version>;

/// A merge that is going on. Its base is the one that the project is compared with.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct MergeScreen {
    /// What is merged into the project, once it is chosen.
    pub theirs: Option<BaseChoice>,
    /// What was decided.
    pub decisions: Decisions,
}

/// A snapshot's name and note while they are typed.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct SnapshotForm {
    /// The snapshot that is changed; `None` while a new one is taken.
    pub of: Option<String>,
    /// Its name.
    pub name: String,
    /// What there is to say about it.
    pub note: String,
}

/// Which part of the window previews a tool.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Proposer {
    /// A sentence of the inspector.
    Sentence,
    /// The panel of breakpoints.
    Breakpoints,
}

/// A tool whose result is shown before it is applied.
#[derive(Clone, Debug, PartialEq)]
pub struct Proposal {
    /// Who shows it, and so who may take it away.
    pub by: Proposer,
    /// The tool.
    pub tool: Tool,
    /// The cells it would act on.
    pub cells: Selection,
}

/// The amounts in the inspector's sentences.
#[derive(Clone, Debug, PartialEq)]
pub struct Amounts {
    /// Raise or lower by, degrees.
    pub raise_deg: f64,
    /// Set to, degrees.
    pub set_deg: f64,
    /// Scale by, per cent.
    pub scale_percent: f64,
    /// Fair with this strength.
    pub fair_strength: f64,
    /// Lift by, degrees.
    pub lift_deg: f64,
    /// Lift with this radius, cells.
    pub lift_radius_cells: f64,
    /// Repeat with this offset, degrees.
    pub repeat_offset_deg: f64,
    /// Limit slope to, degrees per 1000 rpm.
    pub slope_per_1000rpm: f64,
    /// Limit slope to, degrees per load unit.
    pub slope_per_load_unit: f64,
    /// Clamp between, degrees.
    pub clamp_deg: (f64, f64),
    /// Round to multiples of, degrees.
    pub round_deg: f64,
}

impl Default for Amounts {
    fn default() -> Self {
        Self {
            raise_deg: 1.0,
            set_deg: 20.0,
            scale_percent: 5.0,
            fair_strength: 2.0,
            lift_deg: 1.0,
            lift_radius_cells: 3.0,
            repeat_offset_deg: 1.5,
            slope_per_1000rpm: 12.0,
            slope_per_load_unit: 0.5,
            clamp_deg: (0.0, 40.0),
            round_deg: 0.5,
        }
    }
}

/// How the Advance sheet is divided, in points: what is asked for, where there is room for it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Splits {
    /// Width of the surface.
    pub surface_width: f32,
    /// Height of slices and inspector.
    pub below_height: f32,
}

impl Default for Splits {
    fn default() -> Self {
        Self { surface_width: 528.0, below_height: 300.0 }
    }
}

/// A short message in the status line.
#[derive(Clone, Debug, PartialEq)]
pub struct Notice {
    /// What to say: of something that went wrong the reason first, without the path.
    pub text: String,
    /// The file that it is about, told after the reason.
    pub path: Option<PathBuf>,
    /// Whether something went wrong.
    pub is_error: bool,
    /// What takes a problem away.
    pub cause: Cause,
    /// When it was told; filled in at the end of that frame.
    pub told_at: Option<Moment>,
}

/// What was shown, selected and in the document when a problem was told.
#[derive(Clone, Debug, PartialEq)]
pub struct Moment {
    /// The state of the document.
    pub revision: Revision,
    /// The open sheet.
    pub sheet: Sheet,
    /// The selected cells.
    pub selection: CellSelection,
    /// What was typed over them.
    pub editor: Option<CellEditor>,
    /// The formats chosen for the image, and what was asked about replacing files.
    pub export: (Formats, Option<Replacing>),
}

/// What a problem lasts as long as. Something else that is said takes it away in any case.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Cause {
    /// What was shown, selected and in the document when it was told.
    Here,
    /// A text refused in a field, by the field's key.
    Field(String),
    /// The number typed over cells.
    Editor,
    /// A command that cannot be run.
    Command(Command),
    /// The state of the project's file on the disk.
    File,
    /// A file dialog that is open.
    Dialog,
    /// A path that is refused in the panel where it is typed.
    Path,
    /// Nothing that the window could watch.
    Lasting,
}

impl Notice {
    /// Something to know; gone with the next key or click.
    pub fn said(text: impl Into<String>) -> Self {
        Self { text: text.into(), path: None, is_error: false, cause: Cause::Here, told_at: None }
    }

    /// Something that went wrong.
    pub fn problem(text: impl Into<String>, cause: Cause) -> Self {
        Self { is_error: true, cause, ..Self::said(text) }
    }

    /// Something that went wrong with a file. Where the reason begins with the path, the path goes behind it.
    pub fn problem_with(path: &Path, why: &str) -> Self {
        let text = why.replacen(&format!("{}: ", path.display()), "", 1);
        Self { path: Some(path.to_owned()), ..Self::problem(text, Cause::Lasting) }
    }

    /// All of it in one line.
    pub fn whole(&self) -> String {
        let word = if self.is_error { "Problem: " } else { "" };
        let path = self.path.as_ref().map_or_else(String::new, |path| format!(" \u{2014} {}", path.display()));
        format!("{word}{}{path}", self.text)
    }
}

/// Everything of the screen. Views read it; they change it through the [`crate::window::state::outbox::Outbox`].
#[derive(Clone, Debug)]
pub struct Screen {
    /// The open sheet.
    pub sheet: Sheet,
    /// The look asked for.
    pub look: LookChoice,
    /// The selected cells of the advance table.
    pub selection: CellSelection,
    /// The cell under the pointer, in whichever view.
    pub hover: Option<Cell>,
    /// Text being typed over cells.
    pub editor: Option<CellEditor>,
    /// The eye of the surface views.
    pub camera: Camera,
    /// Whether a drag on any vertex of the surface lifts it.
    pub lift_armed: bool,
    /// How the base is shown on the surface.
    pub base_style: BaseStyle,
    /// Whether contour lines run through the grid.
    pub grid_contours: bool,
    /// Whether each cell shows its origin.
    pub grid_origins: bool,
    /// Whether the grid shows the table as the unit will have it.
    pub flashed: FlashedGrid,
    /// How many load rows the grid shows: a page of the page keys.
    pub grid_rows: usize,
    /// How cells go to the clipboard, and what a paste has to ask.
    pub clipboard: ClipboardState,
    /// The inspector's amounts.
    pub amounts: Amounts,
    /// The tool whose result is shown before it is applied.
    pub preview: Option<Proposal>,
    /// A tool that was applied or given up a moment ago; it is not previewed again before the pointer has left it.
    pub settled: Option<Proposal>,
    /// Choices and half-typed text of the inspector and the panel of breakpoints.
    pub inspector: InspectorState,
    /// Text being typed into the rows of forms, and what was refused there.
    pub form: FormState,
    /// The open page of the Engine sheet and what its worksheets are asked.
    pub engine: EngineState,
    /// What is looked at on the Checks sheet.
    pub checks: ChecksState,
    /// The panel that is open beside the sheet.
    pub panel: Option<SidePanel>,
    /// The command palette, when it is open.
    pub finder: Option<Finder>,
    /// Which table is the base.
    pub base: BaseChoice,
    /// The merge on the Compare sheet, while one is going on.
    pub merging: Option<MergeScreen>,
    /// The threshold of the regions on the Compare sheet, degrees.
    pub region_threshold_deg: f64,
    /// Speed in rpm and load under the pointer on the Compare sheet.
    pub compare_hover: Option<(f64, f64)>,
    /// Whether Compare shows the base as a solid body instead of a wire net; `None` as suits the table.
    pub compare_base_solid: Option<bool>,
    /// The form for a snapshot, while it is open.
    pub snapshot_form: Option<SnapshotForm>,
    /// Whether Compare shows the difference as a surface instead of both surfaces.
    pub difference_as_surface: bool,
    /// The run, its faults, and where it is looked at.
    pub rig: RigScreen,
    /// Whether the surface is shown instead of the grid where there is room for one only.
    pub surface_tab: bool,
    /// At which temperatures the Trims sheet shows their effect.
    pub trims: TrimsState,
    /// Under which conditions the Limits sheet shows its picture, and the output that is open.
    pub limits: LimitsState,
    /// The Export sheet.
    pub export: ExportState,
    /// What the pointer is over on a sheet that shows no cells, in physical units.
    pub pointed: String,
    /// How the Advance sheet is divided.
    pub splits: Splits,
    /// The message in the status line.
    pub notice: Option<Notice>,
}

impl Screen {
    /// A fresh screen for a table.
    pub fn new(table: &Table) -> Self {
        Self {
            sheet: Sheet::default(),
            look: LookChoice::default(),
            selection: CellSelection::cell(table, Cell::new(0, 0)),
            hover: None,
            editor: None,
            camera: Camera::view(CameraView::ThreeQuarter),
            lift_armed: false,
            base_style: BaseStyle::default(),
            grid_contours: true,
            grid_origins: false,
            flashed: FlashedGrid::default(),
            grid_rows: 8,
            clipboard: ClipboardState::default(),
            amounts: Amounts::default(),
            preview: None,
            settled: None,
            inspector: InspectorState::default(),
            form: FormState::default(),
            engine: EngineState::default(),
            checks: ChecksState::default(),
            panel: None,
            finder: None,
            base: BaseChoice::default(),
            merging: None,
            region_threshold_deg: 0.5,
            compare_hover: None,
            compare_base_solid: None,
            snapshot_form: None,
            difference_as_surface: false,
            rig: RigScreen::default(),
            surface_tab: false,
            trims: TrimsState::default(),
            limits: LimitsState::default(),
            export: ExportState::default(),
            pointed: String::new(),
            splits: Splits::default(),
            notice: None,
        }
    }

    /// Opens a sheet.
    pub fn go_to(&mut self, sheet: Sheet) {
        self.sheet = sheet;
        self.pointed.clear();
        self.checks.proposed = None;
    }

    /// What problems may last as long as, with the state of the document.
    pub fn moment(&self, revision: Revision) -> Moment {
        Moment {
            revision,
            sheet: self.sheet,
            selection: self.selection.clone(),
            editor: self.editor.clone(),
            export: (self.export.formats, self.export.replacing.clone()),
        }
    }

    /// Previews what a part of the window proposes, or takes its preview away; what another part previews stays.
    pub fn propose(&mut self, by: Proposer, proposal: Option<Proposal>) {
        let own = |held: &Option<Proposal>| held.as_ref().is_none_or(|held| held.by == by);
        if own(&self.settled) && self.settled != proposal {
            self.settled = None;
        }
        if proposal.is_some() && self.settled == proposal {
            return;
        }
        if proposal.is_some() || own(&self.preview) {
            self.preview = proposal;
        }
    }

    /// Takes the preview away until something else is proposed.
    pub fn settle_preview(&mut self) {
        if let Some(proposal) = self.preview.take() {
            self.settled = Some(proposal);
        }
    }
}
