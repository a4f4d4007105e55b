//! What both sides of a merge changed differently.

use crate::compare::Section;
use crate::project::Tree;
use crate::table::Cell;

/// A unit that both sides changed differently.
#[derive(Clone, Debug, PartialEq)]
pub struct Conflict {
    /// Where it is.
    pub place: ConflictPlace,
    /// What people call it: 'Advance at 2800 rpm, 40 %', 'Over-speed cuts at'.
    pub label: String,
    /// The section that it belongs to; `None` for snapshots and the last export.
    pub section: Option<Section>,
    /// Its values in base, mine and theirs; `None` where a version has no such thing. A cell is a record of
    /// `deg`, `held` and `origin`.
    pub values: [Option<Tree>; 3],
    /// The three values as people read them.
    pub words: [String; 3],
}

/// Where a conflict is.
#[derive(Clone, Debug, PartialEq)]
pub enum ConflictPlace {
    /// A cell of the advance table.
    Cell {
        /// Which.
        cell: Cell,
        /// Its speed breakpoint in rpm.
        speed_rpm: f64,
        /// Its load breakpoint.
        load: f64,
    },
    /// A field or a part, by its path in mine; if mine has none, in theirs or in the base.
    Field {
        /// The dotted path; for several fields that make one unit, the part that contains them; empty for the
        /// whole project.
        path: String,
    },
}
