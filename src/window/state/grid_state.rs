//! What the grid keeps on the screen, the clipboard included: how cells are copied, and what a paste has to ask.

use crate::interchange::{Answers, DecimalMark, LoadOrder};
use crate::project::Advance;
use crate::window::state::selection::CellEditor;

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

/// How the grid is looked at and typed into.
#[derive(Clone, Debug)]
pub struct GridState {
    /// Text being typed over cells.
    pub editor: Option<CellEditor>,
    /// Degrees being typed while the pointer has hold of a cell, on the surface or on a slice; `None` while it has not.
    pub gripped: Option<String>,
    /// Whether contour lines run through it.
    pub contours: bool,
    /// Whether each cell shows its origin.
    pub origins: bool,
    /// Whether it shows the table as the unit will have it.
    pub flashed: FlashedGrid,
    /// How many load rows it shows: a page of the page keys.
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
            origins: false,
            flashed: FlashedGrid::default(),
            rows: 8,
            clipboard: ClipboardState::default(),
        }
    }
}

/// What a view may ask of the grid's state.
#[derive(Clone, Debug, PartialEq)]
pub enum GridMessage {
    /// Show the project's table, or the one that the unit will have.
    Flash(FlashedGrid),
    /// So many load rows are shown.
    Rows(usize),
    /// The pointer has hold of a cell, and this is typed meanwhile; or it has let go.
    Grip(Option<String>),
    /// Close the number being typed over cells, without a step.
    CloseEditor,
    /// Nothing is pasted.
    CloseQuestion,
    /// What stands before decimals in copied numbers.
    Mark(DecimalMark),
}

impl GridState {
    /// Does what is asked.
    pub fn apply(&mut self, message: GridMessage) {
        match message {
            GridMessage::Flash(flashed) => self.flashed = flashed,
            GridMessage::Rows(rows) => self.rows = rows,
            GridMessage::Grip(typed) => self.gripped = typed,
            GridMessage::CloseEditor => self.editor = None,
            GridMessage::CloseQuestion => self.clipboard.question = None,
            GridMessage::Mark(mark) => self.clipboard.mark = mark,
        }
    }
}

/// How cells go to the clipboard, what was copied last, and what a paste has to ask.
#[derive(Clone, Debug, PartialEq)]
pub struct ClipboardState {
    /// What stands before decimals in copied numbers.
    pub mark: DecimalMark,
    /// Which way rows without loads run, copied and pasted: highest first as the grid shows them, unless changed.
    pub loads: LoadOrder,
    /// What was copied here last.
    pub copied: Option<Copied>,
    /// What has to be answered before the clipboard's text is pasted.
    pub question: Option<Question>,
}

impl Default for ClipboardState {
    fn default() -> Self {
        Self { mark: DecimalMark::Point, loads: LoadOrder::Down, copied: None, question: None }
    }
}

/// A text that was copied here: when it comes back, nothing about it needs to be asked.
#[derive(Clone, Debug, PartialEq)]
pub struct Copied {
    /// The text.
    pub text: String,
    /// What is known of it.
    pub answers: Answers,
}

/// What only the user can tell about a text. Nothing has been changed yet.
#[derive(Clone, Debug, PartialEq)]
pub enum Question {
    /// Does a mark part thousands or decimals?
    Mark {
        /// The clipboard's text.
        text: String,
        /// What was answered before.
        answers: Answers,
        /// The first number in question, as it is written.
        number: String,
        /// What it means with a decimal point.
        point: f64,
        /// What it means with a decimal comma.
        comma: f64,
    },
    /// Are the first row and column breakpoints or cells?
    Breakpoints {
        /// The clipboard's text.
        text: String,
        /// What was answered before.
        answers: Answers,
    },
    /// The breakpoints are not the table's: replace the whole table by this one?
    Axes(Advance),
}
