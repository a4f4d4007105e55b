//! What the clipboard keeps on the screen: how cells are copied, and what a paste has to ask.

use crate::interchange::{Answers, DecimalMark, LoadOrder};
use crate::project::Advance;

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
