//! Tab-separated text to and from any spreadsheet: copying is here, pasting in `paste`.

mod read;
#[cfg(test)]
mod tests;

use std::ops::Range;

use thiserror::Error;

use crate::interchange::lines::Separator;
use crate::interchange::number::DecimalMark;
use crate::interchange::sheet::{LoadOrder, Sheet, Style};
use crate::project::{Advance, AdvanceError, Origin};
use crate::table::{Axis, AxisError, Block, Cell, Selection, Table, TableError};
use crate::wording::settle;
use read::{find_run, size};

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

/// The result of pasting.
#[derive(Clone, Debug, PartialEq)]
pub enum PasteOutcome {
    /// Cells were replaced.
    Pasted(Paste),
    /// The numbers came with breakpoints that are not the table's: nothing was changed. Imported, axes
    /// included, they would be this table.
    AxesDiffer(Advance),
}

/// The table after pasting.
#[derive(Clone, Debug, PartialEq)]
pub struct Paste {
    /// The table; changed cells have the origin *imported*.
    pub advance: Advance,
    /// The cells pasted onto, including held ones.
    pub cells: Selection,
    /// How many changed.
    pub changed: usize,
    /// How many stayed as they were because they are held.
    pub held: usize,
}

/// What pasted numbers do to the cells that they come to lie on.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum PasteAs {
    /// They replace them.
    #[default]
    Values,
    /// They are degrees to be added to them.
    Added,
    /// They are per cent by which they change.
    PerCent,
}

impl PasteAs {
    fn of(self, present: f64, pasted: f64) -> f64 {
        match self {
            Self::Values => pasted,
            Self::Added => settle(present + pasted),
            Self::PerCent => settle(present * (100.0 + pasted) / 100.0),
        }
    }
}

/// Why nothing was pasted.
#[derive(Clone, Debug, PartialEq, Error)]
pub enum PasteError {
    /// No cell is selected.
    #[error("no cell is selected; select where to paste")]
    Nothing,
    /// The selection was made for another table size.
    #[error("the selection is for another table size; select again")]
    OtherSize,
    /// Several values, but the selected cells do not fill a rectangle.
    #[error(
        "{} do not fit the {cells} selected cells, which are no block; select one cell or one rectangle", size(*loads, *speeds)
    )]
    NoBlock {
        /// Load rows on the clipboard.
        loads: usize,
        /// Speed columns on the clipboard.
        speeds: usize,
        /// How many cells are selected.
        cells: usize,
    },
    /// The selected block has another size.
    #[error(
        "{} do not fit the selected {}; select as many, or one cell: the upper left corner goes there",
        size(*loads, *speeds),
        size(*selected_loads, *selected_speeds)
    )]
    Size {
        /// Load rows on the clipboard.
        loads: usize,
        /// Speed columns on the clipboard.
        speeds: usize,
        /// Load rows selected.
        selected_loads: usize,
        /// Speed columns selected.
        selected_speeds: usize,
    },
    /// The table is too small from the selected cell on.
    #[error(
        "{} do not fit: from the selected cell down and to the right there is room for {}",
        size(*loads, *speeds),
        size(*room_loads, *room_speeds)
    )]
    Room {
        /// Load rows on the clipboard.
        loads: usize,
        /// Speed columns on the clipboard.
        speeds: usize,
        /// Load rows from the cell down to the lowest load.
        room_loads: usize,
        /// Speed columns from the cell rightwards.
        room_speeds: usize,
    },
    /// Changes for other breakpoints than the table's.
    #[error("the numbers have breakpoints that are not this table's; paste them without breakpoints onto the cells")]
    OtherBreakpoints,
    /// The breakpoints are neither the table's nor a valid axis.
    #[error("the pasted breakpoints are not the table's, and they make no new axis: {axis} {reason}")]
    Axis {
        /// `speed` or `load`.
        axis: &'static str,
        /// Why.
        reason: AxisError,
    },
    /// A value out of range.
    #[error(transparent)]
    Range(#[from] AdvanceError),
    /// Numbers that do not make a table.
    #[error(transparent)]
    Table(#[from] TableError),
}

/// Pastes onto the selected cells.
///
/// Numbers with breakpoints go to the cells of those breakpoints, whatever is selected. Without breakpoints, a
/// single value fills the selection, and a single row or column goes onto each of several selected ones of its length,
/// side by side or not. Other numbers need a selected block of their size, or one selected cell with enough room. That
/// cell gets their upper left corner as shown with the highest load at the top, that is,
/// their highest load and lowest speed.
///
/// # Errors
/// [`PasteError`] saying what does not fit; nothing is changed.
pub fn paste(advance: &Advance, selection: &Selection, clip: &Clip) -> Result<PasteOutcome, PasteError> {
    paste_as(PasteAs::Values, advance, selection, clip)
}

/// As [`paste`], with numbers that replace the cells or change them. Changes with other breakpoints than the table's
/// are refused.
///
/// # Errors
/// As [`paste`].
pub fn paste_as(
    how: PasteAs,
    advance: &Advance,
    selection: &Selection,
    clip: &Clip,
) -> Result<PasteOutcome, PasteError> {
    if let Some(breakpoints) = &clip.breakpoints {
        return paste_with_breakpoints(how, advance, breakpoints, clip);
    }
    if !selection.fits(advance.table()) {
        return Err(PasteError::OtherSize);
    }
    if let ([row], 1) = (clip.rows.as_slice(), clip.speeds()) {
        let value = row.first().copied().ok_or(PasteError::Nothing)?;
        return put(how, advance, selection.clone(), |_| value);
    }
    if let Some((at, is_row)) = lines_for(selection, clip) {
        let number = |cell: Cell| if is_row { clip.rows[0][cell.speed - at] } else { clip.rows[cell.load - at][0] };
        return put(how, advance, selection.clone(), number);
    }
    let start = place(advance.table(), selection, clip)?;
    put_block(how, advance, start, clip)
}

fn paste_with_breakpoints(
    how: PasteAs,
    advance: &Advance,
    breakpoints: &Breakpoints,
    clip: &Clip,
) -> Result<PasteOutcome, PasteError> {
    let table = advance.table();
    let starts = (find_run(table.load(), &breakpoints.load), find_run(table.speed(), &breakpoints.speed));
    if let (Some(load), Some(speed)) = starts {
        return put_block(how, advance, Cell::new(load, speed), clip);
    }
    if how != PasteAs::Values {
        return Err(PasteError::OtherBreakpoints);
    }
    let axis = |values: &[f64], axis| Axis::new(values.to_vec()).map_err(|reason| PasteError::Axis { axis, reason });
    let (speed, load) = (axis(&breakpoints.speed, "speed")?, axis(&breakpoints.load, "load")?);
    let table = Table::new(speed, load, clip.rows.concat())?;
    Ok(PasteOutcome::AxesDiffer(Advance::uniform(table, Origin::Imported)?))
}

/// Where along its line a single row or column of numbers goes if several lines of its length are selected, and whether
/// it is a row.
fn lines_for(selection: &Selection, clip: &Clip) -> Option<(usize, bool)> {
    let bounds = selection.bounds()?;
    let has = |loads: Range<usize>, speeds: Range<usize>| {
        Block { loads, speeds }.cells().any(|cell| selection.contains(cell))
    };
    let (loads, speeds) = (bounds.loads, bounds.speeds);
    let rows = loads.clone().filter(|&load| has(load..load + 1, speeds.clone())).count();
    let columns = speeds.clone().filter(|&speed| has(loads.clone(), speed..speed + 1)).count();
    // Every line that has a selected cell has all of them.
    let is_whole = |lines: usize, length: usize| lines > 1 && lines * length == selection.count();
    match (clip.loads(), clip.speeds()) {
        (1, length) if length == speeds.len() && is_whole(rows, length) => Some((speeds.start, true)),
        (length, 1) if length == loads.len() && is_whole(columns, length) => Some((loads.start, false)),
        _ => None,
    }
}

/// The cell where the numbers' lowest load and speed go.
fn place(table: &Table, selection: &Selection, clip: &Clip) -> Result<Cell, PasteError> {
    let (loads, speeds) = (clip.loads(), clip.speeds());
    if selection.is_empty() {
        return Err(PasteError::Nothing);
    }
    let no_block = PasteError::NoBlock { loads, speeds, cells: selection.count() };
    let block = selection.as_block().ok_or(no_block)?;
    let start = Cell::new(block.loads.start, block.speeds.start);
    let (selected_loads, selected_speeds) = (block.loads.len(), block.speeds.len());
    if (selected_loads, selected_speeds) == (loads, speeds) {
        return Ok(start);
    }
    if block.count() > 1 {
        return Err(PasteError::Size { loads, speeds, selected_loads, selected_speeds });
    }
    let (room_loads, room_speeds) = (start.load + 1, table.speed().len() - start.speed);
    if loads > room_loads || speeds > room_speeds {
        return Err(PasteError::Room { loads, speeds, room_loads, room_speeds });
    }
    Ok(Cell::new(room_loads - loads, start.speed))
}

fn put_block(how: PasteAs, advance: &Advance, start: Cell, clip: &Clip) -> Result<PasteOutcome, PasteError> {
    let block =
        Block { loads: start.load..start.load + clip.loads(), speeds: start.speed..start.speed + clip.speeds() };
    let cells = Selection::block(advance.table(), &block);
    put(how, advance, cells, |cell| clip.rows[cell.load - start.load][cell.speed - start.speed])
}

fn put(
    how: PasteAs,
    advance: &Advance,
    cells: Selection,
    value: impl Fn(Cell) -> f64,
) -> Result<PasteOutcome, PasteError> {
    if cells.is_empty() {
        return Err(PasteError::Nothing);
    }
    let table = advance.table();
    let mut values = table.values().to_vec();
    let mut held = 0;
    for cell in cells.cells() {
        if advance.held().contains(cell) {
            held += 1;
        } else {
            let slot = &mut values[table.index(cell)];
            *slot = how.of(*slot, value(cell));
        }
    }
    let after = advance.with_values(values, Origin::Imported)?;
    let both = table.values().iter().zip(after.table().values());
    let changed = both.filter(|(before, after)| before.to_bits() != after.to_bits()).count();
    Ok(PasteOutcome::Pasted(Paste { advance: after, cells, changed, held }))
}
