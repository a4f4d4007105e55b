//! What belongs to the screen and to nothing else: selection, camera, open sheet, half-typed text; and what a view may ask of
//! it, as data.

use std::path::Path;

use crate::checks::{Finding, Spot};
use crate::document::Revision;
use crate::drawing::Look;
use crate::shaping::Along;
use crate::table::{Cell, Table};
use crate::window::state::checks_state::{ChecksMessage, ChecksState, FindingKey};
use crate::window::state::compare_state::{BaseChoice, CompareMessage, CompareState};
use crate::window::state::engine_state::{EngineMessage, EngineState, Page};
use crate::window::state::evidence_state::{EvidenceMessage, EvidenceState};
use crate::window::state::export_state::{ExportMessage, ExportState};
use crate::window::state::form_state::{FormMessage, FormState};
use crate::window::state::grid_state::{GridMessage, GridState};
use crate::window::state::inspector_state::{InspectorMessage, InspectorState};
use crate::window::state::inspector_state::{Proposal, Proposals, Proposer};
use crate::window::state::layer_state::{LayerMessage, LayerState};
use crate::window::state::limits_state::{LimitsMessage, LimitsState};
use crate::window::state::notice::{Cause, Moment, Notice};
use crate::window::state::rig_state::{RigMessage, RigScreen};
use crate::window::state::selection::CellSelection;
use crate::window::state::surface_state::{SlicesState, SurfaceMessage, SurfaceState};
use crate::window::state::trims_state::{TrimsMessage, TrimsState};
pub use crate::window::state::{LookChoice, Sheet};
use crate::wording::capital;

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
    /// Fairing under demands.
    Fairing,
}

/// The command palette while it is open.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct Finder {
    /// What is typed.
    pub text: String,
    /// The marked row.
    pub row: usize,
}

/// How the Advance sheet is divided, in points; as requested, if there is room for it. What was never requested follows
/// from the window.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Splits {
    /// Width of the surface.
    pub surface_width: Option<f32>,
    /// Height of the slices.
    pub below_height: Option<f32>,
}

/// Everything of the screen. Views read it; they ask for its changes by [`ScreenMessage`].
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
    /// What tints the table, and over which ranges.
    pub layers: LayerState,
    /// How the surface is looked at.
    pub surface: SurfaceState,
    /// How the slices are looked at and drawn on.
    pub slices: SlicesState,
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
    /// The sweep that is looked at.
    pub evidence: EvidenceState,
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
    /// Whether the base is shown in place of the table, as long as its key is held.
    pub shows_base: bool,
    /// The menu that is open.
    pub menu: Option<Menu>,
}

/// A menu of commands over the sheet.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Menu {
    /// What it is for.
    pub of: MenuOf,
    /// Its corner, in points; at the cursor if `None`.
    pub at: Option<(f32, f32)>,
    /// The row that keys have marked.
    pub row: usize,
}

/// What a menu is for.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum MenuOf {
    /// The selected cells.
    Cells,
    /// The selected columns.
    Speeds,
    /// The selected rows.
    Loads,
    /// The selected cells on the surface, and the surface itself.
    Surface,
    /// The slice along an axis, and the selected cells.
    Slice(Along),
    /// The selected cells of a comparison.
    Differences,
    /// The selected cells of a merge.
    Merged,
}

/// What the pointer is over.
#[derive(Clone, Debug, Default)]
pub struct PointerState {
    /// The cell, in whichever view.
    pub cell: Option<Cell>,
    /// Which of the project's measured points, in whichever view.
    pub measured: Option<usize>,
    /// On a sheet without cells: what is under the pointer, in physical units.
    pub words: String,
}

impl Screen {
    /// What the menu of cells is for on the sheet that is open.
    pub fn menu_of_cells(&self) -> MenuOf {
        match (self.sheet, &self.compare.merging) {
            (Sheet::Compare, None) => MenuOf::Differences,
            (Sheet::Compare, Some(_)) => MenuOf::Merged,
            _ => MenuOf::Cells,
        }
    }

    /// The initial screen for a table.
    pub fn new(table: &Table) -> Self {
        Self {
            sheet: Sheet::default(),
            look: LookChoice::default(),
            selection: CellSelection::cell(table, Cell::new(0, 0)),
            pointer: PointerState::default(),
            grid: GridState::default(),
            layers: LayerState::default(),
            surface: SurfaceState::default(),
            slices: SlicesState::default(),
            proposals: Proposals::default(),
            inspector: InspectorState::default(),
            form: FormState::default(),
            engine: EngineState::default(),
            trims: TrimsState::default(),
            limits: LimitsState::default(),
            evidence: EvidenceState::default(),
            rig: RigScreen::default(),
            compare: CompareState::default(),
            checks: ChecksState::default(),
            export: ExportState::default(),
            panel: None,
            finder: None,
            splits: Splits::default(),
            notice: None,
            shows_base: false,
            menu: None,
        }
    }

    /// Whether contour lines run through the grid in the look asked for.
    pub fn has_contours(&self) -> bool {
        if self.is_sunlit() { self.grid.contours_in_sunlight } else { self.grid.contours }
    }

    /// Shows or hides the contour lines in the grid for looks like the one asked for.
    pub fn toggle_contours(&mut self) {
        let is_sunlit = self.is_sunlit();
        let has = if is_sunlit { &mut self.grid.contours_in_sunlight } else { &mut self.grid.contours };
        *has = !*has;
    }

    fn is_sunlit(&self) -> bool {
        self.look == LookChoice::Fixed(Look::Sunlight)
    }

    /// Opens a sheet.
    pub fn go_to(&mut self, sheet: Sheet) {
        self.sheet = sheet;
        self.menu = None;
        self.pointer.words.clear();
        self.checks.proposed = None;
    }

    /// Takes over what does not depend on the document from the screen of the document before, for a new document.
    pub fn keep_of(&mut self, kept: &Self) {
        self.share(kept);
        self.sheet = kept.sheet;
        self.inspector.amounts = kept.inspector.amounts.clone();
        self.grid.contours = kept.grid.contours;
        self.grid.contours_in_sunlight = kept.grid.contours_in_sunlight;
        self.layers = kept.layers.clone();
        self.layers.typing = None;
        self.slices.hides_comb = kept.slices.hides_comb;
    }

    /// Takes over what is the user's and the same for every open project: the look, the clipboard, the splits.
    pub fn share(&mut self, shown: &Self) {
        self.look = shown.look;
        self.grid.clipboard = shown.grid.clipboard.clone();
        self.grid.clipboard.question = None;
        self.splits = shown.splits;
    }

    /// Ends what only makes sense while it is looked at, before another project is shown.
    pub fn put_away(&mut self) {
        self.notice.take_if(|notice| !notice.is_error);
        (self.finder, self.menu, self.pointer) = (None, None, PointerState::default());
        self.proposals = Proposals::default();
        self.checks.proposed = None;
        self.rig.playing = None;
    }

    /// Shows a message in the status line.
    pub fn say(&mut self, text: impl Into<String>) {
        self.notice = Some(Notice::said(text));
    }

    /// Reports a problem in the status line; it disappears when what is shown, selected or in the document changes.
    pub fn complain(&mut self, text: impl Into<String>) {
        self.complain_of(Cause::Here, text);
    }

    /// Reports a problem in the status line that stays as long as its cause.
    pub fn complain_of(&mut self, cause: Cause, text: impl Into<String>) {
        self.notice = Some(Notice::problem(text, cause));
    }

    /// Reports a problem with a file in the status line: the reason, then the path.
    pub fn complain_at(&mut self, path: &Path, why: &str) {
        self.notice = Some(Notice::problem_with(path, why));
    }

    /// Whether something is typed that has been neither accepted nor refused.
    pub fn is_typing(&self) -> bool {
        self.grid.editor.is_some() || self.form.has_unset()
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

/// A change of the screen: of all of it, or of the part that a view shows.
#[derive(Clone, Debug, PartialEq)]
pub enum ScreenMessage {
    /// Open a sheet.
    Show(Sheet),
    /// Go to a finding's place, and select its cells if it has some that fit the table.
    GoTo(Box<Finding>, Option<CellSelection>),
    /// Select cells of the advance table.
    Select(CellSelection),
    /// The pointer is over this cell, in whichever view, or over none.
    Point(Option<Cell>),
    /// The pointer has left this cell in one view; another view may have reported another cell meanwhile.
    Leave(Cell),
    /// The pointer is over this one of the project's measured points, in whichever view, or over none.
    PointMeasured(Option<usize>),
    /// What is under the pointer on a sheet without cells, in physical units.
    PointWords(String),
    /// Show this in the status line; `None` removes what is there.
    Tell(Option<Box<Notice>>),
    /// Preview the proposal of a part of the window, or end its preview.
    Propose(Proposer, Option<Proposal>),
    /// This is typed into the command palette; its first row is marked.
    Find(String),
    /// Mark a row of the command palette.
    MarkFound(usize),
    /// Close the command palette.
    CloseFinder,
    /// Open a menu, mark one of its rows, or close it.
    Menu(Option<Menu>),
    /// Set the width of the surface, in points.
    SurfaceWidth(f32),
    /// Set the height of slices and inspector, in points.
    BelowHeight(f32),
    /// For the grid.
    Grid(GridMessage),
    /// For the layers that tint the table.
    Layer(LayerMessage),
    /// For the surface.
    Surface(SurfaceMessage),
    /// For the inspector and the panel of breakpoints.
    Inspector(InspectorMessage),
    /// For texts typed into forms.
    Form(FormMessage),
    /// For the Engine sheet.
    Engine(EngineMessage),
    /// For the Trims sheet.
    Trims(TrimsMessage),
    /// For the Limits sheet.
    Limits(LimitsMessage),
    /// For the Evidence sheet.
    Evidence(EvidenceMessage),
    /// For the rig.
    Rig(RigMessage),
    /// For the Compare sheet.
    Compare(CompareMessage),
    /// For the Checks sheet.
    Checks(ChecksMessage),
    /// For the Export sheet.
    Export(ExportMessage),
}

impl Screen {
    /// Carries out the message.
    pub fn apply(&mut self, message: ScreenMessage) {
        match message {
            ScreenMessage::Show(sheet) => self.go_to(sheet),
            ScreenMessage::GoTo(finding, selection) => self.go_to_finding(&finding, selection),
            ScreenMessage::Select(selection) => self.selection = selection,
            ScreenMessage::Point(cell) => self.pointer.cell = cell,
            ScreenMessage::Leave(left) => drop(self.pointer.cell.take_if(|cell| *cell == left)),
            ScreenMessage::PointMeasured(index) => self.pointer.measured = index,
            ScreenMessage::PointWords(words) => self.pointer.words = words,
            ScreenMessage::Tell(notice) => self.notice = notice.map(|notice| *notice),
            ScreenMessage::Propose(by, proposal) => self.proposals.propose(by, proposal),
            ScreenMessage::Find(text) => self.finder = Some(Finder { text, row: 0 }),
            ScreenMessage::MarkFound(row) => {
                if let Some(finder) = &mut self.finder {
                    finder.row = row;
                }
            }
            ScreenMessage::CloseFinder => self.finder = None,
            ScreenMessage::Menu(menu) => self.menu = menu,
            ScreenMessage::SurfaceWidth(width) => self.splits.surface_width = Some(width),
            ScreenMessage::BelowHeight(height) => self.splits.below_height = Some(height),
            ScreenMessage::Grid(message) => self.grid.apply(message),
            ScreenMessage::Layer(message) => self.layers.apply(message),
            ScreenMessage::Surface(message) => self.surface.apply(message),
            ScreenMessage::Inspector(message) => self.inspector.apply(message),
            ScreenMessage::Form(message) => self.form.apply(message),
            ScreenMessage::Engine(message) => {
                if let EngineMessage::Open(_) = message {
                    self.pointer.words.clear();
                }
                self.engine.apply(message);
            }
            ScreenMessage::Trims(message) => self.trims.apply(message),
            ScreenMessage::Limits(message) => self.limits.apply(message),
            ScreenMessage::Evidence(message) => self.evidence.apply(message),
            ScreenMessage::Rig(message) => self.rig.apply(message),
            ScreenMessage::Compare(message) => {
                if let CompareMessage::Base(BaseChoice::Project(_)) = message {
                    self.go_to(Sheet::Compare);
                }
                self.compare.apply(message);
            }
            ScreenMessage::Checks(message) => self.checks.apply(message),
            ScreenMessage::Export(message) => self.export.apply(message),
        }
    }

    /// Goes to a finding's place: opens its sheet and selects its cells; the status line says what it is.
    fn go_to_finding(&mut self, finding: &Finding, selection: Option<CellSelection>) {
        self.go_to(Sheet::of_section(finding.place.section()));
        self.checks.looked_at = Some(FindingKey::of(finding));
        if let Spot::Field(path) = &finding.place.spot {
            let is_light = path.starts_with("timing_light.");
            self.engine.page = if is_light { Page::TimingLight } else { Page::Installation };
        }
        if let Some(selection) = selection {
            self.selection = selection;
        }
        let text = format!("{}: {}", capital(finding.severity.name()), finding.message);
        self.notice = Some(Notice::said(text));
    }
}

/// Conversions from the messages of each part, so that a view names only its own.
macro_rules! parts {
    ($($variant:ident($message:ty)),*) => {$(
        impl From<$message> for ScreenMessage {
            fn from(message: $message) -> Self {
                Self::$variant(message)
            }
        }
    )*};
}

parts!(
    Grid(GridMessage),
    Layer(LayerMessage),
    Surface(SurfaceMessage),
    Inspector(InspectorMessage),
    Form(FormMessage),
    Engine(EngineMessage),
    Trims(TrimsMessage),
    Limits(LimitsMessage),
    Evidence(EvidenceMessage),
    Rig(RigMessage),
    Compare(CompareMessage),
    Checks(ChecksMessage),
    Export(ExportMessage)
);
