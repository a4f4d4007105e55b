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
    /// Go to a finding's place, and select its cells where it has some that fit the table.
    GoTo(Box<Finding>, Option<CellSelection>),
    /// Select cells of the advance table.
    Select(CellSelection),
    /// The pointer is over this cell, in whichever view, or over none.
    Point(Option<Cell>),
    /// The pointer has left this cell in one view; another view may have told another cell meanwhile.
    Leave(Cell),
    /// What the pointer is over on a sheet that shows no cells, in physical units.
    PointWords(String),
    /// Say this in the status line; `None` puts away what stands there.
    Tell(Option<Box<Notice>>),
    /// Preview what a part of the window proposes, or take its preview away.
    Propose(Proposer, Option<Proposal>),
    /// This is typed into the command palette; its first row is marked.
    Find(String),
    /// Mark a row of the command palette.
    MarkFound(usize),
    /// Close the command palette.
    CloseFinder,
    /// The surface is to be so wide, points.
    SurfaceWidth(f32),
    /// Slices and inspector are to be so high, points.
    BelowHeight(f32),
    /// Of the grid.
    Grid(GridMessage),
    /// Of the surface.
    Surface(SurfaceMessage),
    /// Of the inspector and the panel of breakpoints.
    Inspector(InspectorMessage),
    /// Of texts typed into forms.
    Form(FormMessage),
    /// Of the Engine sheet.
    Engine(EngineMessage),
    /// Of the Trims sheet.
    Trims(TrimsMessage),
    /// Of the Limits sheet.
    Limits(LimitsMessage),
    /// Of the rig.
    Rig(RigMessage),
    /// Of the Compare sheet.
    Compare(CompareMessage),
    /// Of the Checks sheet.
    Checks(ChecksMessage),
    /// Of the Export sheet.
    Export(ExportMessage),
}

impl Screen {
    /// Does what is asked.
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

    /// Goes to a finding's place: its sheet, its cells selected; the status line says what it is.
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

/// Wraps what each part is asked, so that a view names only its own.
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
