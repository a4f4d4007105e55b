//! What a merge brings into mine.

use std::fmt;

use crate::compare::FieldDifferences;
use crate::project::{Project, TreeError};
use crate::table::Cell;
use crate::wording::count;

/// How much of a merged project is not as in mine.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Brought {
    /// Cells whose value, hold or origin is another; all of them where the breakpoints are others.
    pub cells: usize,
    /// Other fields.
    pub fields: usize,
    /// Snapshots that are new, gone or others.
    pub snapshots: usize,
}

impl Brought {
    /// Counts what differs between mine and the merged project.
    ///
    /// # Errors
    /// [`TreeError`] never for projects that exist.
    pub fn into_mine(mine: &Project, merged: &Project) -> Result<Self, TreeError> {
        let differences = FieldDifferences::between(mine, merged)?;
        let fields = differences.list.iter().filter(|field| !field.path.starts_with("advance.")).count();
        let has = |project: &Project, snapshot| project.snapshots.contains(snapshot);
        let new = merged.snapshots.iter().filter(|kept| !has(mine, kept)).count();
        let is_gone = |name: &str| merged.snapshots.iter().all(|kept| kept.name != *name);
        let gone = mine.snapshots.iter().filter(|kept| is_gone(&kept.name)).count();
        Ok(Self { cells: cells(mine, merged), fields, snapshots: new + gone })
    }
}

fn cells(mine: &Project, merged: &Project) -> usize {
    let (was, is) = (&mine.advance, &merged.advance);
    let axes = |project: &Project| (project.advance.table().speed().clone(), project.advance.table().load().clone());
    if axes(mine) != axes(merged) {
        return is.table().values().len();
    }
    let differs = |cell: &Cell| {
        was.table().at(*cell).to_bits() != is.table().at(*cell).to_bits()
            || was.origin(*cell) != is.origin(*cell)
            || was.held().contains(*cell) != is.held().contains(*cell)
    };
    is.table().cells().filter(differs).count()
}

impl fmt::Display for Brought {
    /// '12 cells, 3 fields and 1 snapshot', or 'nothing'.
    fn fmt(&self, formatter: &mut fmt::Formatter<'_>) -> fmt::Result {
        let all = [(self.cells, "cell"), (self.fields, "field"), (self.snapshots, "snapshot")];
        let told: Vec<String> =
            all.into_iter().filter(|(number, _)| *number > 0).map(|(number, noun)| count(number, noun)).collect();
        match told.as_slice() {
            [] => formatter.write_str("nothing"),
            [one] => formatter.write_str(one),
            [firsts @ .., last] => write!(formatter, "{} and {last}", firsts.join(", ")),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::compare::samples::everything;
    use crate::project::set_fields;

    #[test]
    fn cells_and_fields_are_counted_apart() {
        let mine = everything();
        let merged = set_fields(&mine, &[("advance.deg[0][0]", "1"), ("notes", "x"), ("step_deg", "0.25")]).unwrap();
        let brought = Brought::into_mine(&mine, &merged).unwrap();
        assert_eq!(
            (brought, brought.to_string()),
            (Brought { cells: 1, fields: 2, snapshots: 0 }, "1 cell and 2 fields".into())
        );
        assert_eq!(Brought::into_mine(&mine, &mine).unwrap().to_string(), "nothing");
        let axes = set_fields(&mine, &[("advance.load[15]", "99")]).unwrap();
        assert_eq!(Brought::into_mine(&mine, &axes).unwrap().cells, 256);
    }
}
