//! What belongs to the screen alone: selection, camera, open sheet, half-typed text.

use crate::document::Revision;
use crate::drawing::Look;
use crate::table::{Cell, Table};
use crate::window::state::checks_state::ChecksState;
use crate::window::state::compare_state::CompareState;
use crate::window::state::engine_state::EngineState;
use crate::window::state::export_state::ExportState;
use crate::window::state::form_state::FormState;
use crate::window::state::grid_state::GridState;
use crate::window::state::inspector_state::InspectorState;
use crate::window::state::limits_state::LimitsState;
use crate::window::state::notice::{Moment, Notice};
use crate::window::state::proposals::Proposals;
use crate::window::state::rig_state::RigScreen;
use crate::window::state::selection::CellSelection;
use crate::window::state::surface_state::SurfaceState;
use crate::window::state::trims_state::TrimsState;

pub use super::Sheet;

/// Which look to show.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum LookChoice {
    /// Light or dark, following the system.
    #[default]
    System,
    /// This one.
    Fixed(Look),
}

/// A panel that opens beside or over the sheet.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum SidePanel {
    /// Every step, to jump to any.
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

/// How the Advance sheet is divided, in points; as requested, if there is room for it.
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

/// The whole state of the screen. Views read it and change it by sending
/// [`ScreenMessage`](crate::window::state::screen_message::ScreenMessage).
#[derive(Clone, Debug)]
pub struct Screen {
    /// The open sheet.
    pub sheet: Sheet,
    /// The look asked for.
    pub look: LookChoice,
    /// The selected cells of the advance table.
    pub selection: CellSelection,
    /// What the pointer is over.
    pub pointer: PointerState,
    /// How the grid is looked at and typed into.
    pub grid: GridState,
    /// How the surface is looked at.
    pub surface: SurfaceState,
    /// The tools whose result is previewed.
    pub proposals: Proposals,
    /// Amounts, choices and half-typed text of the inspector and the panel of breakpoints.
    pub inspector: InspectorState,
    /// Text being typed into the rows of forms, and what was refused there.
    pub form: FormState,
    /// The open page of the Engine sheet and the input of its worksheets.
    pub engine: EngineState,
    /// The temperatures for which the Trims sheet shows the effect.
    pub trims: TrimsState,
    /// The load of the Limits sheet's picture, and the output that is open.
    pub limits: LimitsState,
    /// The run, its faults, and the cursor.
    pub rig: RigScreen,
    /// The base, a merge, and how the difference is looked at.
    pub compare: CompareState,
    /// What the user is looking at on the Checks sheet.
    pub checks: ChecksState,
    /// The Export sheet.
    pub export: ExportState,
    /// The panel that is open beside the sheet.
    pub panel: Option<SidePanel>,
    /// The command palette, when it is open.
    pub finder: Option<Finder>,
    /// How the Advance sheet is divided.
    pub splits: Splits,
    /// The message in the status line.
    pub notice: Option<Notice>,
}

/// What the pointer is over.
#[derive(Clone, Debug, Default)]
pub struct PointerState {
    /// The cell, in whichever view.
    pub cell: Option<Cell>,
    /// On a sheet without cells: what is under the pointer, in physical units.
    pub words: String,
}

impl Screen {
    /// The initial screen for a table.
    pub fn new(table: &Table) -> Self {
        Self {
            sheet: Sheet::default(),
            look: LookChoice::default(),
            selection: CellSelection::cell(table, Cell::new(0, 0)),
            pointer: PointerState::default(),
            grid: GridState::default(),
            surface: SurfaceState::default(),
            proposals: Proposals::default(),
            inspector: InspectorState::default(),
            form: FormState::default(),
            engine: EngineState::default(),
            trims: TrimsState::default(),
            limits: LimitsState::default(),
            rig: RigScreen::default(),
            compare: CompareState::default(),
            checks: ChecksState::default(),
            export: ExportState::default(),
            panel: None,
            finder: None,
            splits: Splits::default(),
            notice: None,
        }
    }

    /// Opens a sheet.
    pub fn go_to(&mut self, sheet: Sheet) {
        self.sheet = sheet;
        self.pointer.words.clear();
        self.checks.proposed = None;
    }

    /// What the reports of problems depend on, together with the state of the document.
    pub fn moment(&self, revision: Revision) -> Moment {
        Moment {
            revision,
            sheet: self.sheet,
            selection: self.selection.clone(),
            editor: self.grid.editor.clone(),
            export: (self.export.formats, self.export.replacing.clone()),
        }
    }
}
