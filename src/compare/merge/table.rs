//! The advance table: cell by cell where all three have the same axes, otherwise as one unit.

use super::conflict_words::{CellState, Teller};
use super::version::{Conflict, State, Verdict, Version, verdict};
use crate::project::{Advance, Fault, Project};
use crate::table::{Cell, Selection};
use crate::watch::{Stopped, Watch};

/// The merged table.
#[derive(Clone, Debug)]
pub(super) enum TableMerge {
    /// Decided: one side's table. `is_by_cell` where the axes of all three are alike.
    Settled { advance: Advance, is_by_cell: bool },
    /// One unit that is still to be decided: the index of its conflict.
    Open(usize),
    /// Decided except for these cells.
    Cells { advance: Advance, open: Vec<OpenCell> },
}

/// A cell to be decided.
#[derive(Clone, Debug)]
pub(super) struct OpenCell {
    cell: Cell,
    conflict: usize,
    versions: [CellState; 3],
}

/// Merges the three tables; `group` is what was decided for the group that the table belongs to, if it belongs
/// to one.
pub(super) fn merge(
    versions: &[Project; 3],
    group: Option<State>,
    teller: &Teller<'_>,
    conflicts: &mut Vec<Conflict>,
    watch: Watch<'_>,
) -> Result<TableMerge, Stopped> {
    let advances = versions.each_ref().map(|project| &project.advance);
    let whole = |version: Version, is_by_cell| {
        let advance = advances[version.index()].clone();
        TableMerge::Settled { advance, is_by_cell }
    };
    match group {
        Some(State::Take(version)) => return Ok(whole(version, false)),
        Some(State::Open(conflict)) => return Ok(TableMerge::Open(conflict)),
        None => {}
    }
    let [base, mine, theirs] = advances.map(|advance| (advance.table().speed(), advance.table().load()));
    let is_by_cell = mine == base && theirs == base;
    if let Verdict::Take(version) = verdict(advances) {
        return Ok(whole(version, is_by_cell));
    }
    if !is_by_cell {
        conflicts.push(teller.table());
        return Ok(TableMerge::Open(conflicts.len() - 1));
    }
    cells(advances, teller, conflicts, watch)
}

fn cells(
    advances: [&Advance; 3],
    teller: &Teller<'_>,
    conflicts: &mut Vec<Conflict>,
    watch: Watch<'_>,
) -> Result<TableMerge, Stopped> {
    let mut states: Vec<CellState> = Vec::new();
    let mut open = Vec::new();
    for cell in advances[0].table().cells() {
        watch.next()?;
        let versions = advances.map(|advance| CellState::of(advance, cell));
        let version = match verdict(versions.each_ref()) {
            Verdict::Take(version) => version,
            Verdict::Conflict => {
                conflicts.push(teller.cell(cell, versions));
                open.push(OpenCell { cell, conflict: conflicts.len() - 1, versions });
                Version::Base
            }
        };
        states.push(versions[version.index()]);
    }
    // Every state comes from a valid table, so a refusal would be a mistake in this program; the table is then
    // one conflict.
    Ok(match with_states(advances[0], &states) {
        Ok(advance) => TableMerge::Cells { advance, open },
        Err(_) => {
            conflicts.push(teller.table());
            TableMerge::Open(conflicts.len() - 1)
        }
    })
}

/// The table with these cell states, row by row.
fn with_states(advance: &Advance, states: &[CellState]) -> Result<Advance, Fault> {
    let fault = |error: &dyn std::fmt::Display| Fault::new("advance", error.to_string());
    let table = advance.table().with_values(states.iter().map(|state| state.deg).collect());
    let table = table.map_err(|error| fault(&error))?;
    let mut held = Selection::none(table.load().len(), table.speed().len());
    held.extend(table.cells().zip(states).filter(|(_, state)| state.is_held).map(|(cell, _)| cell));
    let origins = states.iter().map(|state| state.origin).collect();
    Advance::new(table, held, origins).map_err(|error| fault(&error))
}

impl TableMerge {
    /// Whether each cell can be taken from any version.
    pub(super) fn is_by_cell(&self) -> bool {
        matches!(self, Self::Settled { is_by_cell: true, .. } | Self::Cells { .. })
    }

    /// The table with every conflict decided; of the other cells, those for which `of_cell` names a version are taken from
    /// there, if the table is merged by cell.
    pub(super) fn resolve(
        &self,
        versions: &[Project; 3],
        choose: &impl Fn(usize) -> Version,
        of_cell: &impl Fn(Cell) -> Option<Version>,
    ) -> Result<Advance, Fault> {
        let (advance, open): (_, &[OpenCell]) = match self {
            Self::Settled { advance, is_by_cell: false } => return Ok(advance.clone()),
            Self::Open(conflict) => return Ok(versions[choose(*conflict).index()].advance.clone()),
            Self::Settled { advance, .. } => (advance, &[]),
            Self::Cells { advance, open } => (advance, open),
        };
        let state = |cell: Cell| {
            let of = of_cell(cell).map_or(advance, |version| &versions[version.index()].advance);
            CellState::of(of, cell)
        };
        let mut states: Vec<CellState> = advance.table().cells().map(state).collect();
        for OpenCell { cell, conflict, versions } in open {
            states[advance.table().index(*cell)] = versions[choose(*conflict).index()];
        }
        with_states(advance, &states)
    }
}
