//! The message in the status line, and how long it stays there.

use std::path::{Path, PathBuf};

use crate::document::Revision;
use crate::window::state::Sheet;
use crate::window::state::commands::Command;
use crate::window::state::export_state::{Formats, Replacing};
use crate::window::state::selection::{CellEditor, CellSelection};

/// A short message in the status line.
#[derive(Clone, Debug, PartialEq)]
pub struct Notice {
    /// What to say; for a problem the reason first, without the path.
    pub text: String,
    /// The file that it is about, shown after the reason.
    pub path: Option<PathBuf>,
    /// Whether something went wrong.
    pub is_error: bool,
    /// What makes a problem disappear.
    pub cause: Cause,
    /// When it was given; filled in at the end of that frame.
    pub told_at: Option<Moment>,
}

/// What was shown, selected and in the document when a problem was reported.
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

/// What the report of a problem depends on: it stays until this changes. Any other message replaces it in any case.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Cause {
    /// What was shown, selected and in the document when it was reported.
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
    /// Nothing that the window could observe.
    Lasting,
}

impl Notice {
    /// A piece of information; it disappears with the next key or click.
    pub fn said(text: impl Into<String>) -> Self {
        Self { text: text.into(), path: None, is_error: false, cause: Cause::Here, told_at: None }
    }

    /// Something that went wrong.
    pub fn problem(text: impl Into<String>, cause: Cause) -> Self {
        Self { is_error: true, cause, ..Self::said(text) }
    }

    /// A problem with a file. If the reason begins with the path, the path is moved to the end.
    pub fn problem_with(path: &Path, why: &str) -> Self {
        let text = why.replacen(&format!("{}: ", path.display()), "", 1);
        Self { path: Some(path.to_owned()), ..Self::problem(text, Cause::Lasting) }
    }

    /// The whole message in one line.
    pub fn whole(&self) -> String {
        let word = if self.is_error { "Problem: " } else { "" };
        let path = self.path.as_ref().map_or_else(String::new, |path| format!(" \u{2014} {}", path.display()));
        format!("{word}{}{path}", self.text)
    }
}
