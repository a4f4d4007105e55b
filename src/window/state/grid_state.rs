//! The screen state of the grid, including the clipboard: how cells are copied, and what a paste has to ask.

use crate::interchange::{Answers, DecimalMark, LoadOrder, PasteAs};
use crate::project::{Advance, LoadKind};
use crate::table::Selection;
use crate::window::state::selection::CellEditor;

/// Whether the grid shows the project's table or the unit's.
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

/// How the grid is looked at and typed into.
#[derive(Clone, Debug)]
pub struct GridState {
    /// Text being typed over cells.
    pub editor: Option<CellEditor>,
    /// Degrees being typed while the pointer has hold of a cell, on the surface or on a slice; `None` while it has not.
    pub gripped: Option<String>,
    /// Whether contour lines run through it.
    pub contours: bool,
    /// The same in the sunlight look, where no tint sets lines apart from digits: off until asked for.
    pub contours_in_sunlight: bool,
    /// Whether all cells are shown at once, however small.
    pub whole: bool,
    /// Whether it shows the table as the unit will have it.
    pub flashed: FlashedGrid,
    /// How many load rows it shows: the page keys move by that many.
    pub rows: usize,
    /// How cells go to the clipboard, and what a paste has to ask.
    pub clipboard: ClipboardState,
}

impl Default for GridState {
    fn default() -> Self {
        Self {
            editor: None,
            gripped: None,
            contours: true,
            contours_in_sunlight: false,
            whole: false,
            flashed: FlashedGrid::default(),
            rows: 8,
            clipboard: ClipboardState::default(),
        }
    }
}

/// What a view may ask of the grid's state.
#[derive(Clone, Debug, PartialEq)]
pub enum GridMessage {
    /// Show the project's table, or the unit's.
    Flash(FlashedGrid),
    /// That many load rows are shown.
    Rows(usize),
    /// The pointer has grabbed a cell, and this was typed meanwhile; `None` once it has let go.
    Grip(Option<String>),
    /// Close the number being typed over cells without making a step.
    CloseEditor,
    /// Dismiss the question of a paste without pasting.
    CloseQuestion,
    /// The decimal mark of copied numbers.
    Mark(DecimalMark),
}

impl GridState {
    /// Carries out the message.
    pub fn apply(&mut self, message: GridMessage) {
        match message {
            GridMessage::Flash(flashed) => self.flashed = flashed,
            GridMessage::Rows(rows) => self.rows = rows,
            GridMessage::Grip(typed) => self.gripped = typed,
            GridMessage::CloseEditor => self.editor = None,
            GridMessage::CloseQuestion => (self.clipboard.question, self.clipboard.how) = (None, PasteAs::Values),
            GridMessage::Mark(mark) => self.clipboard.mark = mark,
        }
    }
}

/// How cells go to the clipboard, what was copied last, and what a paste has to ask.
#[derive(Clone, Debug, PartialEq)]
pub struct ClipboardState {
    /// The decimal mark of copied numbers.
    pub mark: DecimalMark,
    /// The order of rows without loads, when copied and pasted: highest first as in the grid, unless changed.
    pub loads: LoadOrder,
    /// What was copied here last.
    pub copied: Option<Copied>,
    /// What has to be answered before the clipboard's text can be pasted.
    pub question: Option<Question>,
    /// What the numbers that are being pasted do to the cells.
    pub how: PasteAs,
    /// Whether what is being pasted is to replace the whole table.
    pub is_whole: bool,
    /// What the loads of the project were that was copied from last.
    pub copied_load: Option<LoadKind>,
}

impl Default for ClipboardState {
    fn default() -> Self {
        Self {
            mark: DecimalMark::Point,
            loads: LoadOrder::Down,
            copied: None,
            question: None,
            how: PasteAs::Values,
            is_whole: false,
            copied_load: None,
        }
    }
}

/// A text that was copied here: if it is pasted again, nothing needs to be asked about it.
#[derive(Clone, Debug, PartialEq)]
pub struct Copied {
    /// The text.
    pub text: String,
    /// What is known of it.
    pub answers: Answers,
}

/// Something about a text that only the user can know. Nothing has been changed yet.
#[derive(Clone, Debug, PartialEq)]
pub enum Question {
    /// Does a mark separate thousands or decimals?
    Mark {
        /// The clipboard's text.
        text: String,
        /// What was answered before.
        answers: Answers,
        /// The first number in question, as it is written.
        number: String,
        /// Its value if the mark is a decimal point.
        point: f64,
        /// Its value if the mark is a decimal comma.
        comma: f64,
    },
    /// Are the first row and column breakpoints or cells?
    Breakpoints {
        /// The clipboard's text.
        text: String,
        /// What was answered before.
        answers: Answers,
    },
    /// Should the cells be changed so?
    Change {
        /// The clipboard's text.
        text: String,
        /// What was answered before.
        answers: Answers,
        /// The selected cells.
        cells: Selection,
        /// What would change.
        told: String,
    },
    /// The breakpoints are not the table's: replace the whole table by this one?
    Axes(Advance),
}
