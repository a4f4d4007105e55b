//! The advance table: degrees before TDC over speed and load, with what is held and where each value came from.

use std::sync::Arc;

use serde::{Deserialize, Serialize};
use thiserror::Error;

use super::Origin;
use crate::table::{Axis, Cell, Selection, Table, TableError};
use crate::wording::{Unit, bounds, given_load, outside, quantity, with_unit, written};

/// Every cell lies in this range, in crank degrees before TDC.
pub const ADVANCE_RANGE_DEG: (f64, f64) = (-60.0, 90.0);
/// Every speed breakpoint lies in this range, in crank rpm.
pub const SPEED_RANGE_RPM: (f64, f64) = (0.0, 30_000.0);

/// The advance table. Rows are loads, columns are speeds in rpm, cells are degrees before TDC.
///
/// Cloning shares the contents.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize)]
#[serde(try_from = "AdvanceForm", into = "AdvanceForm")]
pub struct Advance {
    table: Table,
    held: Arc<Selection>,
    origins: Arc<[Origin]>,
}

/// Why parts do not make an advance table.
#[derive(Clone, Debug, PartialEq, Error)]
pub enum AdvanceError {
    /// A cell outside the allowed range.
    #[error("{} at {}, load {} is outside {}", with_unit(&written(*.deg), Unit::Degree), quantity(*.speed_rpm, Unit::Rpm), given_load(*.load), bounds(ADVANCE_RANGE_DEG, Unit::Degree))]
    CellRange {
        /// Which cell.
        cell: Cell,
        /// Its speed breakpoint.
        speed_rpm: f64,
        /// Its load breakpoint.
        load: f64,
        /// The value refused.
        deg: f64,
    },
    /// A speed breakpoint outside the allowed range.
    #[error("speed breakpoint {}", outside(*.speed_rpm, SPEED_RANGE_RPM, Unit::Rpm))]
    SpeedRange {
        /// The breakpoint refused.
        speed_rpm: f64,
    },
    /// Held marks or origins made for another size.
    #[error("held marks and origins are for another table size")]
    Size,
    /// Rows of unequal length, or not one per load.
    #[error("{given} rows of {what}, but {loads} loads")]
    Rows {
        /// `cells` or `marks`.
        what: &'static str,
        /// How many rows were given.
        given: usize,
        /// How many loads there are.
        loads: usize,
    },
    /// A row that does not hold one entry per speed.
    #[error("row {row} of {what} has {given} entries, but there are {speeds} speeds")]
    RowLength {
        /// `cells` or `marks`.
        what: &'static str,
        /// Which row, counted from 1.
        row: usize,
        /// How many entries it has.
        given: usize,
        /// How many speeds there are.
        speeds: usize,
    },
    /// A letter that means no origin.
    #[error(
        "'{letter}' in row {row} of marks stands for no origin; the letters are t m i s f d p a x, upper case when held"
    )]
    Letter {
        /// The letter.
        letter: char,
        /// Which row, counted from 1.
        row: usize,
    },
    /// Axes and values do not fit together.
    #[error(transparent)]
    Table(#[from] TableError),
}

impl Advance {
    /// Puts a table, its held cells and one origin per cell together.
    ///
    /// # Errors
    /// [`AdvanceError`] when a value is out of range or the sizes differ.
    pub fn new(table: Table, held: Selection, origins: Vec<Origin>) -> Result<Self, AdvanceError> {
        check_ranges(&table)?;
        if !held.fits(&table) || origins.len() != table.values().len() {
            return Err(AdvanceError::Size);
        }
        Ok(Self { table, held: Arc::new(held), origins: origins.into() })
    }

    /// A table with nothing held and one origin throughout.
    ///
    /// # Errors
    /// [`AdvanceError`] when a value is out of range.
    pub fn uniform(table: Table, origin: Origin) -> Result<Self, AdvanceError> {
        let held = Selection::none(table.load().len(), table.speed().len());
        let origins = vec![origin; table.values().len()];
        Self::new(table, held, origins)
    }

    /// Axes and values.
    pub fn table(&self) -> &Table {
        &self.table
    }

    /// The held cells.
    pub fn held(&self) -> &Selection {
        &self.held
    }

    /// Where a cell's value came from; the cell lies within the table.
    pub fn origin(&self, cell: Cell) -> Origin {
        self.origins[self.table.index(cell)]
    }

    /// The origin of a value that is looked up at a speed in rpm and a load: the cell's own where a cell lies
    /// exactly there; extended beyond the table, or where it rests on an extended cell; otherwise interpolated.
    pub fn origin_at(&self, speed_rpm: f64, load: f64) -> Origin {
        let (speeds, loads) = (self.table.speed(), self.table.load());
        if let Some((load, speed)) = loads.index_of(load).zip(speeds.index_of(speed_rpm)) {
            return self.origin(Cell::new(load, speed));
        }
        let is_inside = |axis: &Axis, x: f64| (axis.first()..=axis.last()).contains(&x);
        if !is_inside(speeds, speed_rpm) || !is_inside(loads, load) {
            return Origin::Extended;
        }
        let (column, row) = (speeds.locate(speed_rpm), loads.locate(load));
        let around = |index: usize, fraction: f64| [(index, 1.0 - fraction), (index + 1, fraction)];
        let mut corners = around(row.index, row.fraction).into_iter().flat_map(|(load, of_load)| {
            around(column.index, column.fraction).map(|(speed, of_speed)| (Cell::new(load, speed), of_load * of_speed))
        });
        let is_extended = corners.any(|(cell, share)| share > 0.0 && self.origin(cell) == Origin::Extended);
        if is_extended { Origin::Extended } else { Origin::Interpolated }
    }

    /// Every origin, in the order of the table's values.
    pub fn origins(&self) -> &[Origin] {
        &self.origins
    }

    /// The same numbers, with their hold marks and origins, over other breakpoints. A number that is not held
    /// and now lies beyond the old axes was never tried there, so it counts as extended.
    ///
    /// # Errors
    /// [`AdvanceError`] when the count does not fit or a breakpoint is out of range.
    pub fn under_axes(&self, speed: Axis, load: Axis) -> Result<Self, AdvanceError> {
        let (old, new) = (&self.table, Table::new(speed, load, self.table.values().to_vec())?);
        if (new.speed().len(), new.load().len()) != (old.speed().len(), old.load().len()) {
            return Err(AdvanceError::Size);
        }
        let is_beyond = |axis: &Axis, x: f64| !(axis.first()..=axis.last()).contains(&x);
        let origin = |cell: Cell| {
            let (speed_rpm, load) = (new.speed().breakpoints()[cell.speed], new.load().breakpoints()[cell.load]);
            let is_new = is_beyond(old.speed(), speed_rpm) || is_beyond(old.load(), load);
            if is_new && !self.held.contains(cell) { Origin::Extended } else { self.origin(cell) }
        };
        let origins = new.cells().map(origin).collect();
        Self::new(new, Selection::clone(&self.held), origins)
    }

    /// The same table with other values: cells whose bits change get `origin`, everything else stays. An
    /// extended cell stays extended when a tool computes a value for it: the engine still has not been run
    /// there.
    ///
    /// # Errors
    /// [`AdvanceError`] when the count does not fit or a value is out of range.
    pub fn with_values(&self, values: Vec<f64>, origin: Origin) -> Result<Self, AdvanceError> {
        let table = self.table.with_values(values)?;
        check_ranges(&table)?;
        let changed =
            self.table.values().iter().zip(table.values()).map(|(before, after)| before.to_bits() != after.to_bits());
        let becomes = |was: Origin| if was == Origin::Extended && origin.is_computed() { was } else { origin };
        let origins = self.origins.iter().zip(changed).map(|(&was, changed)| if changed { becomes(was) } else { was });
        let origins = origins.collect();
        Ok(Self { table, held: Arc::clone(&self.held), origins })
    }

    /// The same table with the selected cells held, or released.
    pub fn with_held(&self, selection: &Selection, held: bool) -> Self {
        let mut marks = Selection::clone(&self.held);
        for cell in selection.cells() {
            marks.set(cell, held);
        }
        Self { held: Arc::new(marks), ..self.clone() }
    }

    /// The same table with the selected cells' origin set.
    pub fn with_origin(&self, selection: &Selection, origin: Origin) -> Self {
        let mut origins = self.origins.to_vec();
        for cell in selection.cells() {
            if let Some(slot) = origins.get_mut(self.table.index(cell)) {
                *slot = origin;
            }
        }
        Self { origins: origins.into(), ..self.clone() }
    }
}

fn check_ranges(table: &Table) -> Result<(), AdvanceError> {
    let inside = |value: f64, (low, high): (f64, f64)| (low..=high).contains(&value);
    if let Some(&speed_rpm) = table.speed().breakpoints().iter().find(|&&x| !inside(x, SPEED_RANGE_RPM)) {
        return Err(AdvanceError::SpeedRange { speed_rpm });
    }
    let Some(cell) = table.cells().find(|&cell| !inside(table.at(cell), ADVANCE_RANGE_DEG)) else {
        return Ok(());
    };
    Err(AdvanceError::CellRange {
        cell,
        speed_rpm: table.speed().breakpoints()[cell.speed],
        load: table.load().breakpoints()[cell.load],
        deg: table.at(cell),
    })
}

/// The file form of the advance table: one line of cells per load row, and one short string of letters per row.
#[derive(Serialize, Deserialize)]
#[serde(deny_unknown_fields)]
struct AdvanceForm {
    speed_rpm: Axis,
    load: Axis,
    cells: Vec<Vec<f64>>,
    marks: Vec<String>,
}

impl TryFrom<AdvanceForm> for Advance {
    type Error = AdvanceError;

    fn try_from(form: AdvanceForm) -> Result<Self, AdvanceError> {
        let (loads, speeds) = (form.load.len(), form.speed_rpm.len());
        check_rows("cells", loads, speeds, form.cells.iter().map(Vec::len))?;
        check_rows("marks", loads, speeds, form.marks.iter().map(|row| row.chars().count()))?;
        let mut held = Selection::none(loads, speeds);
        let mut origins = Vec::with_capacity(loads * speeds);
        for (load, row) in form.marks.iter().enumerate() {
            for (speed, letter) in row.chars().enumerate() {
                held.set(Cell::new(load, speed), letter.is_ascii_uppercase());
                let unknown = AdvanceError::Letter { letter, row: load + 1 };
                origins.push(Origin::from_letter(letter.to_ascii_lowercase()).ok_or(unknown)?);
            }
        }
        let table = Table::new(form.speed_rpm, form.load, form.cells.concat())?;
        Self::new(table, held, origins)
    }
}

fn check_rows(
    what: &'static str,
    loads: usize,
    speeds: usize,
    lengths: impl ExactSizeIterator<Item = usize>,
) -> Result<(), AdvanceError> {
    if lengths.len() != loads {
        return Err(AdvanceError::Rows { what, given: lengths.len(), loads });
    }
    for (row, given) in lengths.enumerate() {
        if given != speeds {
            return Err(AdvanceError::RowLength { what, row: row + 1, given, speeds });
        }
    }
    Ok(())
}

impl From<Advance> for AdvanceForm {
    fn from(advance: Advance) -> Self {
        let table = advance.table();
        let mark = |cell: Cell| {
            let letter = advance.origin(cell).letter();
            if advance.held.contains(cell) { letter.to_ascii_uppercase() } else { letter }
        };
        let rows = 0..table.load().len();
        let columns = 0..table.speed().len();
        Self {
            speed_rpm: table.speed().clone(),
            load: table.load().clone(),
            cells: rows.clone().map(|load| table.row(load).to_vec()).collect(),
            marks: rows.map(|load| columns.clone().map(|speed| mark(Cell::new(load, speed))).collect()).collect(),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn advance() -> Advance {
        let axis = |top: f64| Axis::new(vec![0.0, top]).unwrap();
        let table = Table::new(axis(1000.0), axis(100.0), vec![1.0, 2.0, 3.0, 4.0]).unwrap();
        Advance::uniform(table, Origin::Starter).unwrap()
    }

    #[test]
    fn only_changed_cells_get_the_new_origin() {
        let after = advance().with_values(vec![1.0, 2.5, 3.0, 4.0], Origin::Typed).unwrap();
        assert_eq!(after.origins(), [Origin::Starter, Origin::Typed, Origin::Starter, Origin::Starter]);
    }

    #[test]
    fn an_extended_cell_stays_so_until_it_is_typed_or_brought() {
        let cell = Selection::cell(advance().table(), Cell::new(1, 1));
        let start = advance().with_origin(&cell, Origin::Extended);
        let after = |origin| start.with_values(vec![1.0, 2.0, 3.0, 5.0], origin).unwrap().origin(Cell::new(1, 1));
        assert_eq!([Origin::Interpolated, Origin::Faired].map(after), [Origin::Extended; 2]);
        assert_eq!([Origin::Typed, Origin::Imported].map(after), [Origin::Typed, Origin::Imported]);
    }

    #[test]
    fn what_is_looked_up_beyond_the_table_or_from_there_is_extended() {
        let cell = Selection::cell(advance().table(), Cell::new(1, 1));
        let start = advance().with_origin(&cell, Origin::Extended);
        let at = |speed_rpm, load| start.origin_at(speed_rpm, load);
        assert_eq!((at(0.0, 100.0), at(1000.0, 100.0)), (Origin::Starter, Origin::Extended));
        assert_eq!((at(500.0, 0.0), at(0.0, 50.0)), (Origin::Interpolated, Origin::Interpolated));
        assert_eq!((at(500.0, 50.0), at(500.0, 100.0)), (Origin::Extended, Origin::Extended));
        assert_eq!((at(1000.1, 0.0), at(0.0, -1.0)), (Origin::Extended, Origin::Extended));
    }

    #[test]
    fn refuses_values_out_of_range_naming_the_cell() {
        let error = advance().with_values(vec![1.0, 2.0, 90.5, 4.0], Origin::Typed).unwrap_err();
        assert!(matches!(error, AdvanceError::CellRange { cell: Cell { load: 1, speed: 0 }, .. }));
        assert_eq!(error.to_string(), "90.5° at 0 rpm, load 100 is outside −60..90°");
    }

    #[test]
    fn form_and_table_are_the_same_thing() {
        let held = advance().with_held(&Selection::cell(advance().table(), Cell::new(1, 1)), true);
        let form = AdvanceForm::from(held.clone());
        assert_eq!(form.marks, ["aa", "aA"]);
        assert_eq!(Advance::try_from(form).unwrap(), held);
    }

    #[test]
    fn a_form_of_the_wrong_shape_is_refused() {
        let mut form = AdvanceForm::from(advance());
        form.marks[1] = "a?".into();
        assert!(matches!(Advance::try_from(form), Err(AdvanceError::Letter { letter: '?', row: 2 })));
        let mut form = AdvanceForm::from(advance());
        form.cells[0].pop();
        assert!(matches!(Advance::try_from(form), Err(AdvanceError::RowLength { what: "cells", row: 1, .. })));
    }
}
