//! Tab-separated text to and from any spreadsheet: what is copied here, what is pasted in `paste`.

mod paste;
mod read;
#[cfg(test)]
mod tests;

use thiserror::Error;

use crate::interchange::lines::Separator;
use crate::interchange::number::DecimalMark;
use crate::interchange::sheet::{LoadOrder, Sheet, Style};
use crate::table::{Selection, Table};

pub use paste::{Paste, PasteError, PasteOutcome, paste};
pub use read::{Answers, Breakpoints, Clip, ClipError, Clipping, read_clip};

/// How cells are copied.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct CopyOptions {
    /// Whether breakpoints go along.
    pub breakpoints: bool,
    /// Which way the loads run.
    pub loads: LoadOrder,
    /// What stands before decimals.
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
    /// The cells fill no rectangle.
    #[error("the {cells} selected cells are no block; select one rectangle of cells to copy")]
    NoBlock {
        /// How many are selected.
        cells: usize,
    },
    /// The selection was made for another table size.
    #[error("the selection is for another table size; select again")]
    OtherSize,
}

/// The selected block as tab-separated text, each row ended by LF; numbers with every digit that counts.
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
