//! Taking parts of the base back into the edited project: fields, sections, or selected cells. Each is one
//! step: all of it, or a refusal that changes nothing.

mod fields;
#[cfg(test)]
mod proofs;

use std::fmt;

use thiserror::Error;

use super::TableAxis;
use crate::project::{Advance, Fault, LoadKind, Origin, Project, TreeError};
use crate::table::{Axis, Selection};
use crate::wording::count;

pub use fields::{take_back_fields, take_back_sections};

/// The edited project with parts of the base in it.
#[derive(Clone, Debug, PartialEq)]
pub struct TakenBack {
    /// The project afterwards.
    pub project: Project,
    /// What the step is called: 'Take back 28 cells from start of season'.
    pub label: String,
    /// What happened to the selected cells; all zero if fields or sections were taken back.
    pub cells: CellCounts,
}

/// Why nothing was taken back.
#[derive(Clone, Debug, PartialEq, Error)]
pub enum TakeBackError {
    /// One table is over throttle, the other over pressure.
    #[error(
        "the base's load is {base} and this project's is {edited}, so its cells do not fit; take back the advance table together with the sensors",
        base = .base.name(), edited = .edited.name()
    )]
    LoadKinds {
        /// The base's load.
        base: LoadKind,
        /// The edited project's load.
        edited: LoadKind,
    },
    /// Fields or sections with loads, while one project is over throttle and the other over pressure.
    #[error(
        "the base's load is {base} and this project's is {edited}: what is written over load would mean something else; take back everything",
        base = .base.name(), edited = .edited.name()
    )]
    Relabelled {
        /// The base's load.
        base: LoadKind,
        /// The edited project's load.
        edited: LoadKind,
    },
    /// No cell is selected, or the selection is for a table of another size.
    #[error("no cell of this table is selected; select the cells to take back")]
    NothingSelected,
    /// Every selected cell would stay as it is.
    #[error("nothing to take back: {0}")]
    NoCellTaken(CellCounts),
    /// The project has these values already.
    #[error("nothing to take back: this project has the base's values already")]
    AlreadyAlike,
    /// An axis of another length.
    #[error(
        "the base has {base} {axis} breakpoints and this table {edited}; take back the whole advance table instead",
        axis = .axis.name()
    )]
    AxisLength {
        /// Which axis.
        axis: TableAxis,
        /// Breakpoints in the base.
        base: usize,
        /// Breakpoints in the edited table.
        edited: usize,
    },
    /// The field is not at the same place in both projects; the comparison is older than one of them.
    #[error("{path} has changed since the projects were compared; compare them again")]
    Gone {
        /// The field.
        path: String,
    },
    /// The result would not be a valid project.
    #[error("taken back alone this does not fit the rest: {0}; take back what belongs to it in the same step")]
    DoesNotFit(Fault),
    /// One of the two is a locked-timing copy.
    #[error(
        "one of the two is a locked-timing copy, the other is not, or at another advance: parts of them are never mixed; take back everything, or open the real project"
    )]
    Locked,
    /// A mistake in this program; any test that takes a field back would find it.
    #[error(transparent)]
    Tree(#[from] TreeError),
}

impl From<Fault> for TakeBackError {
    fn from(fault: Fault) -> Self {
        Self::DoesNotFit(fault)
    }
}

/// What was taken back, as the label of a step.
fn label(what: &str, from: &str) -> String {
    format!("Take back {what} from {from}")
}

/// What happened to the selected cells.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct CellCounts {
    /// Taken back: value or origin changed.
    pub taken: usize,
    /// Already as in the base.
    pub alike: usize,
    /// Left alone because they are held.
    pub held: usize,
    /// Left alone because they lie outside the base's table.
    pub outside: usize,
}

impl CellCounts {
    /// How many cells were selected.
    pub fn selected(self) -> usize {
        self.taken + self.alike + self.held + self.outside
    }
}

impl fmt::Display for CellCounts {
    /// '27 of 30 cells taken back, 1 held, 2 already alike'.
    fn fmt(&self, formatter: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(formatter, "{} of {} taken back", self.taken, count(self.selected(), "cell"))?;
        let left = [
            (self.held, "held"),
            (self.alike, "already alike"),
            (self.outside, "where the base's table does not reach"),
        ];
        left.into_iter()
            .filter(|(count, _)| *count > 0)
            .try_for_each(|(count, why)| write!(formatter, ", {count} {why}"))
    }
}

/// Takes the selected cells of the edited table back from the base, which is called `from` in the label.
///
/// At breakpoints that the base also has, value and origin are those of its cell. At other breakpoints inside
/// its axes the value is the base's bilinear value there, and cells that change get the origin *interpolated*.
/// Outside its axes nothing is taken: the base says nothing there. Held cells stay, unless exactly one cell is
/// selected. Held cells remain held, and no others become so.
///
/// # Errors
/// [`TakeBackError`] when the load kinds differ, nothing is selected, or no selected cell would change.
pub fn take_back_cells(
    base: &Project,
    edited: &Project,
    selection: &Selection,
    from: &str,
) -> Result<TakenBack, TakeBackError> {
    let kinds = (base.sensors.load, edited.sensors.load);
    if kinds.0 != kinds.1 {
        return Err(TakeBackError::LoadKinds { base: kinds.0, edited: kinds.1 });
    }
    if selection.is_empty() || !selection.fits(edited.advance.table()) {
        return Err(TakeBackError::NothingSelected);
    }
    let (advance, counts) = take(&base.advance, &edited.advance, selection)?;
    if counts.taken == 0 {
        return Err(TakeBackError::NoCellTaken(counts));
    }
    let project = edited.with_advance(advance)?;
    let one_held = selection.count() == 1 && selection.cells().all(|cell| edited.advance.held().contains(cell));
    let what = if one_held { "1 held cell".into() } else { count(counts.taken, "cell") };
    Ok(TakenBack { project, label: label(&what, from), cells: counts })
}

fn take(base: &Advance, edited: &Advance, selection: &Selection) -> Result<(Advance, CellCounts), TakeBackError> {
    let table = edited.table();
    let (mut values, mut origins) = (table.values().to_vec(), edited.origins().to_vec());
    let mut counts = CellCounts::default();
    let may_change_held = selection.count() == 1;
    for cell in selection.cells() {
        if edited.held().contains(cell) && !may_change_held {
            counts.held += 1;
            continue;
        }
        let (x, y) = (table.speed().breakpoints()[cell.speed], table.load().breakpoints()[cell.load]);
        let Some((deg, origin)) = offer(base, x, y) else {
            counts.outside += 1;
            continue;
        };
        let index = table.index(cell);
        let same_value = values[index].to_bits() == deg.to_bits();
        let origin = if same_value && origin == Origin::Interpolated { origins[index] } else { origin };
        let same = same_value && origins[index] == origin;
        *(if same { &mut counts.alike } else { &mut counts.taken }) += 1;
        (values[index], origins[index]) = (deg, origin);
    }
    let no_table = |error: &dyn fmt::Display| TakeBackError::DoesNotFit(Fault::new("advance", error.to_string()));
    let table = table.with_values(values).map_err(|error| no_table(&error))?;
    let advance = Advance::new(table, edited.held().clone(), origins).map_err(|error| no_table(&error))?;
    Ok((advance, counts))
}

/// The base's value at a speed and a load, and its origin; `None` outside its axes.
fn offer(base: &Advance, speed_rpm: f64, load: f64) -> Option<(f64, Origin)> {
    let table = base.table();
    let reaches = |axis: &Axis, x: f64| (axis.first()..=axis.last()).contains(&x);
    if !reaches(table.speed(), speed_rpm) || !reaches(table.load(), load) {
        return None;
    }
    Some((table.lookup(speed_rpm, load), base.origin_at(speed_rpm, load)))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::compare::samples::{advance, project};
    use crate::table::Cell;

    const AXES: (&[f64], &[f64]) = (&[1000.0, 2000.0, 3000.0], &[0.0, 50.0, 100.0]);

    fn base() -> Project {
        project(advance(AXES, &[10.0, 20.0, 30.0, 9.0, 19.0, 29.0, 8.0, 18.0, 28.0], Origin::Measured))
    }

    fn raised() -> Project {
        let values = base().advance.table().values().iter().map(|deg| deg + 1.0).collect();
        base().with_advance(base().advance.with_values(values, Origin::Typed).unwrap()).unwrap()
    }

    fn hold(project: &Project, cell: Cell) -> Project {
        let advance = project.advance.with_held(&Selection::cell(project.advance.table(), cell), true);
        project.with_advance(advance).unwrap()
    }

    #[test]
    fn cells_come_back_with_value_and_origin_and_nothing_else_moves() {
        let edited = raised();
        let selection = Selection::ranges(edited.advance.table(), Some((1000.0, 2000.0)), Some((50.0, 50.0))).unwrap();
        let taken = take_back_cells(&base(), &edited, &selection, "start of season").unwrap();
        assert_eq!(taken.label, "Take back 2 cells from start of season");
        let after = &taken.project.advance;
        assert_eq!(after.table().values(), [11.0, 21.0, 31.0, 9.0, 19.0, 30.0, 9.0, 19.0, 29.0]);
        assert_eq!(after.origin(Cell::new(1, 0)), Origin::Measured);
        assert_eq!(after.origin(Cell::new(1, 2)), Origin::Typed);
        assert_eq!(taken.project.edit(|parts| parts.advance = edited.advance.clone()).unwrap(), edited);
    }

    #[test]
    fn held_cells_stay_unless_one_alone_is_selected() {
        let held = Cell::new(2, 2);
        let edited = hold(&raised(), held);
        let taken = take_back_cells(&base(), &edited, &Selection::all(edited.advance.table()), "base").unwrap();
        assert_eq!(taken.cells, CellCounts { taken: 8, held: 1, ..CellCounts::default() });
        assert_eq!(taken.label, "Take back 8 cells from base");
        assert_eq!(taken.cells.to_string(), "8 of 9 cells taken back, 1 held");
        assert_eq!(taken.project.advance.table().at(held), 29.0);
        let alone = Selection::cell(edited.advance.table(), held);
        let taken = take_back_cells(&base(), &edited, &alone, "base").unwrap();
        assert_eq!(taken.label, "Take back 1 held cell from base");
        assert_eq!(taken.project.advance.table().at(held), 28.0);
        assert!(taken.project.advance.held().contains(held));
    }

    /// By hand: at 1500 rpm, load 25, the plane of the base is 14.5; 4000 rpm lies outside it.
    #[test]
    fn other_breakpoints_get_the_bases_surface() {
        let edited = project(advance((&[1500.0, 2000.0, 4000.0], &[25.0, 50.0]), &[0.0; 6], Origin::Typed));
        let taken = take_back_cells(&base(), &edited, &Selection::all(edited.advance.table()), "base").unwrap();
        assert_eq!(taken.cells, CellCounts { taken: 4, outside: 2, ..CellCounts::default() });
        let after = &taken.project.advance;
        assert_eq!(after.table().values(), [14.5, 19.5, 0.0, 14.0, 19.0, 0.0]);
        let origins = [Origin::Interpolated, Origin::Interpolated, Origin::Typed];
        assert_eq!(after.origins()[..3], origins);
        assert_eq!(after.origins()[3..], [Origin::Interpolated, Origin::Measured, Origin::Typed]);
    }

    #[test]
    fn refusals_say_why() {
        let (base, edited) = (base(), raised());
        let table = edited.advance.table();
        let error = |edited: &Project, selection: &Selection| {
            take_back_cells(&base, edited, selection, "base").unwrap_err().to_string()
        };
        assert!(error(&edited, &Selection::none(3, 3)).contains("select the cells"));
        assert!(error(&edited, &Selection::none(2, 3)).contains("select the cells"));
        assert_eq!(
            error(&base, &Selection::all(table)),
            "nothing to take back: 0 of 9 cells taken back, 9 already alike"
        );
        let pressure = crate::compare::samples::over_pressure();
        assert!(error(&pressure, &Selection::all(pressure.advance.table())).contains("throttle"));
    }
}
