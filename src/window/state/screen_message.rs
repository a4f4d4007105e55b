//! What a view may ask of the screen, as data.

use super::screen::{Finder, Screen, Sheet};
use crate::checks::{Finding, Spot};
use crate::table::Cell;
use crate::window::state::checks_state::{ChecksMessage, FindingKey};
use crate::window::state::compare_state::CompareMessage;
use crate::window::state::engine_state::{EngineMessage, Page};
use crate::window::state::export_state::ExportMessage;
use crate::window::state::form_state::FormMessage;
use crate::window::state::grid_state::GridMessage;
use crate::window::state::inspector_state::InspectorMessage;
use crate::window::state::limits_state::LimitsMessage;
use crate::window::state::notice::Notice;
use crate::window::state::proposals::{Proposal, Proposer};
use crate::window::state::rig_state::RigMessage;
use crate::window::state::selection::CellSelection;
use crate::window::state::surface_state::SurfaceMessage;
use crate::window::state::trims_state::TrimsMessage;
use crate::wording::capital;

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
    /// Set the width of the surface, in points.
    SurfaceWidth(f32),
    /// Set the height of slices and inspector, in points.
    BelowHeight(f32),
    /// For the grid.
    Grid(GridMessage),
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
            ScreenMessage::SurfaceWidth(width) => self.splits.surface_width = width,
            ScreenMessage::BelowHeight(height) => self.splits.below_height = height,
            ScreenMessage::Grid(message) => self.grid.apply(message),
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
            ScreenMessage::Rig(message) => self.rig.apply(message),
            ScreenMessage::Compare(message) => self.compare.apply(message),
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
    Surface(SurfaceMessage),
    Inspector(InspectorMessage),
    Form(FormMessage),
    Engine(EngineMessage),
    Trims(TrimsMessage),
    Limits(LimitsMessage),
    Rig(RigMessage),
    Compare(CompareMessage),
    Checks(ChecksMessage),
    Export(ExportMessage)
);
