//! Taking parts of the base back into the edited project. Each is one step: all of it, or a refusal and nothing.

mod cells;
mod fields;
#[cfg(test)]
mod proofs;

use thiserror::Error;

use super::TableAxis;
use crate::project::{Fault, LoadKind, Project, TreeError};

pub use cells::{CellCounts, take_back_cells};
pub use fields::{take_back_fields, take_back_sections};

/// The edited project with something of the base in it.
#[derive(Clone, Debug, PartialEq)]
pub struct TakenBack {
    /// The project after it.
    pub project: Project,
    /// What the step is called: 'Take back 28 cells from start of season'.
    pub label: String,
    /// What became of the selected cells; all zero where fields or sections were taken back.
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
    /// Fields or sections over load, one project over throttle and the other over pressure.
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
    /// Every selected cell stays as it is.
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
    /// The field is not in both projects in the same place; the comparison is older than one of them.
    #[error("{path} has changed since the projects were compared; compare them again")]
    Gone {
        /// The field.
        path: String,
    },
    /// What would come out is no valid project.
    #[error("taken back alone this does not fit the rest: {0}; take back what belongs to it in the same step")]
    DoesNotFit(Fault),
    /// One of the two is a locked-timing copy.
    #[error(
        "one of the two is a locked-timing copy, the other is not, or at another advance: parts of them are never mixed; take back everything, or open the real project"
    )]
    Locked,
    /// A mistake in this program; any test that takes a field back finds it.
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
