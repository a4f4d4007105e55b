//! Tab-separated text to and from any spreadsheet: copying is here, pasting in `paste`.

mod paste;
mod read;
#[cfg(test)]
mod tests;

use thiserror::Error;

use crate::interchange::lines::Separator;
use crate::interchange::number::DecimalMark;
use crate::interchange::sheet::{LoadOrder, Sheet, Style};
use crate::table::{Selection, Table};

pub use paste::{Paste, PasteAs, PasteError, PasteOutcome, paste, paste_as};
pub use read::{Answers, Breakpoints, Clip, ClipError, Clipping, read_clip};

/// How cells are copied.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct CopyOptions {
    /// Whether breakpoints are copied along with the cells.
    pub breakpoints: bool,
    /// In which order the load rows are written.
    pub loads: LoadOrder,
    /// The decimal mark.
    pub mark: DecimalMark,
}

impl Default for CopyOptions {
    fn default() -> Self {
        Self { breakpoints: false, loads: LoadOrder::Up, mark: DecimalMark::Point }
    }
}

/// Why cells cannot be copied.
#[derive(Clone, Debug, PartialEq, Eq, Error)]
pub enum CopyError {
    /// No cell is selected.
    #[error("no cell is selected; select the cells to copy")]
    Nothing,
    /// The cells do not fill a rectangle.
    #[error("the {cells} selected cells are no block; select one rectangle of cells to copy")]
    NoBlock {
        /// How many are selected.
        cells: usize,
    },
    /// The selection was made for another table size.
    #[error("the selection is for another table size; select again")]
    OtherSize,
}

/// The selected block as tab-separated text, each row ended by LF; numbers with all significant digits.
///
/// # Errors
/// [`CopyError`] when the selection is no block of this table.
pub fn copy_block(table: &Table, selection: &Selection, options: &CopyOptions) -> Result<String, CopyError> {
    if !selection.fits(table) {
        return Err(CopyError::OtherSize);
    }
    if selection.is_empty() {
        return Err(CopyError::Nothing);
    }
    let block = selection.as_block().ok_or(CopyError::NoBlock { cells: selection.count() })?;
    let style = Style {
        separator: Separator::Tab,
        mark: options.mark,
        breakpoints: options.breakpoints,
        decimals: None,
        line_end: "\n",
        proves_mark: false,
    };
    Ok(Sheet::of(table, &block, options.loads).render(&style))
}
