//! The result of a tool.

use super::{Faired, Fitted, Place, ShapingError};
use crate::project::{Advance, AdvanceError, Origin};
use crate::table::{Cell, Selection, Table};

/// A computed value this close to the present one leaves the cell as it is: a plane stays a plane to the bit,
/// and no cell is marked as moved by rounding error. Far below any step, and equal to the resolution of settled
/// numbers.
const DUST_DEG: f64 = 1e-12;

/// A reshaped table and what was done to it.
#[derive(Clone, Debug, PartialEq)]
pub struct Shaped {
    /// The new table.
    pub advance: Advance,
    /// How many cells the tool was asked to act on.
    pub selected: usize,
    /// How many cells changed: in value or in their hold mark; with new axes under the same surface, how many
    /// cells are at coordinates where no cell with that value was before.
    pub changed: usize,
    /// How many selected cells were left alone because they are held.
    pub held: usize,
    /// Whether a number was typed into a held cell; it stays held.
    pub into_held: bool,
    /// How many held cells were lost because their breakpoint was removed or moved.
    pub held_lost: usize,
    /// With new axes: the largest change of the surface anywhere.
    pub largest_change: Option<Deviation>,
    /// What fairing under demands came to.
    pub faired: Option<Box<Faired>>,
    /// What a fit came to.
    pub fitted: Option<Box<Fitted>>,
}

/// A difference and where it is.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Deviation {
    /// New minus old, degrees.
    pub deg: f64,
    /// At this speed.
    pub speed_rpm: f64,
    /// At this load, % or kPa.
    pub load: f64,
}

impl Shaped {
    /// The table with other values; cells whose bits change get `origin`.
    pub(super) fn values(
        before: &Advance,
        selection: &Selection,
        values: Vec<f64>,
        origin: Origin,
    ) -> Result<Self, ShapingError> {
        let advance = before.with_values(values, origin).map_err(|error| out_of_range(before.table(), error))?;
        let pairs = before.table().values().iter().zip(advance.table().values());
        let changed = pairs.filter(|(was, is)| was.to_bits() != is.to_bits()).count();
        let held = selection.cells().filter(|&cell| before.held().contains(cell)).count();
        Ok(Self::plain(advance, selection.count(), changed, held))
    }

    /// A result with only the counts that every tool has.
    pub(super) const fn plain(advance: Advance, selected: usize, changed: usize, held: usize) -> Self {
        Self {
            advance,
            selected,
            changed,
            held,
            into_held: false,
            held_lost: 0,
            largest_change: None,
            faired: None,
            fitted: None,
        }
    }
}

fn out_of_range(table: &Table, error: AdvanceError) -> ShapingError {
    match error {
        AdvanceError::CellRange { cell, deg, .. } => ShapingError::Result(Place { deg, ..Place::of(table, cell) }),
        error => error.into(),
    }
}

/// Refuses a selection that is empty or made for another size.
pub(super) fn check(advance: &Advance, selection: &Selection) -> Result<(), ShapingError> {
    if !selection.fits(advance.table()) {
        return Err(ShapingError::Size);
    }
    if selection.is_empty() { Err(ShapingError::NothingSelected) } else { Ok(()) }
}

/// The selected cells that may move.
pub(super) fn free<'a>(advance: &'a Advance, selection: &'a Selection) -> impl Iterator<Item = Cell> + 'a {
    selection.cells().filter(|&cell| !advance.held().contains(cell))
}

/// Sets every free cell to what `value` computes from its present value.
pub(super) fn reshape(
    advance: &Advance,
    selection: &Selection,
    origin: Origin,
    value: impl Fn(Cell, f64) -> f64,
) -> Result<Shaped, ShapingError> {
    check(advance, selection)?;
    let mut values = advance.table().values().to_vec();
    for cell in free(advance, selection) {
        let slot = &mut values[advance.table().index(cell)];
        *slot = value(cell, *slot);
    }
    Shaped::values(advance, selection, values, origin)
}

/// As [`reshape`], for tools that apply one rule to many cells: extended cells stay extended, since nobody
/// looked at each.
pub(super) fn reshape_by_rule(
    advance: &Advance,
    selection: &Selection,
    value: impl Fn(Cell, f64) -> f64,
) -> Result<Shaped, ShapingError> {
    let shaped = reshape(advance, selection, Origin::Typed, value)?;
    let mut extended = Selection::none(advance.table().load().len(), advance.table().speed().len());
    extended.extend(advance.table().cells().filter(|&cell| advance.origin(cell) == Origin::Extended));
    Ok(Shaped { advance: shaped.advance.with_origin(&extended, Origin::Extended), ..shaped })
}

/// `computed`, or `present` if the two differ by no more than rounding error.
pub(super) fn unless_dust(present: f64, computed: f64) -> f64 {
    if (computed - present).abs() <= DUST_DEG { present } else { computed }
}
