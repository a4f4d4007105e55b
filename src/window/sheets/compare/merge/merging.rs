//! The merge that the sheet shows, computed on a thread once for each three projects and set of decisions.

use std::collections::HashMap;
use std::sync::Arc;

use eframe::egui;

use super::region_choices::{ChangedRegion, regions};
use crate::compare::{Brought, Conflict, ConflictPlace, FieldDifference, FieldDifferences, Merge, Section, Version};
use crate::project::Project;
use crate::table::{Cell, Table};
use crate::watch::Watch;
use crate::window::state::compare_state::Decisions;
use crate::window::state::edits::{cell_key, decision_key, resolve};
use crate::window::tasks::task::{Same, Task};
use crate::window::views::view::View;
use crate::wording::Refusal;

/// What a merge depends on. Equal keys share the projects in memory, so they are equal in content.
#[derive(Clone)]
struct Key {
    versions: [Project; 3],
    decisions: Decisions,
}

impl Key {
    fn of(view: &View<'_>) -> Option<Self> {
        let (theirs, merging) = (view.theirs?, view.screen.compare.merging.as_ref()?);
        let versions = [view.base.project.clone(), view.document.project().clone(), theirs.project.clone()];
        Some(Self { versions, decisions: merging.decisions.clone() })
    }

    fn has_same_projects(&self, other: &Self) -> bool {
        self.versions.iter().zip(&other.versions).all(|(one, other)| one.is_same(other))
    }
}

impl Same for Key {
    fn is_same(&self, other: &Self) -> bool {
        self.has_same_projects(other) && self.decisions == other.decisions
    }
}

/// Which side changed a cell.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum ChangedBy {
    /// Neither.
    Nobody,
    /// Mine.
    Mine,
    /// Theirs.
    Theirs,
    /// Both in the same way.
    Both,
    /// Both differently: the index of the conflict.
    Conflict(usize),
}

/// A merge with the projects it was made from, and the result of the decisions.
pub(super) struct Merged {
    key: Key,
    merge: Arc<Merge>,
    /// What was decided of each conflict.
    decided: Vec<Option<Version>>,
    /// The merged project, with undecided conflicts as in mine; or why the decisions do not fit together.
    pub(super) result: Result<Project, Refusal>,
    /// How much of the result differs from mine.
    pub(super) brought: Brought,
    /// The fields that differ from mine.
    pub(super) other_fields: Vec<FieldDifference>,
    /// Who changed each cell of the table, row by row; empty if the tables do not have the same breakpoints.
    changed_by: Vec<ChangedBy>,
    /// The changed cells by region, if each cell can be taken from any version.
    pub(super) regions: Vec<ChangedRegion>,
}

impl Merged {
    fn new(key: Key, known: Option<Arc<Merge>>, watch: Watch<'_>) -> Result<Self, Refusal> {
        let [base, mine, theirs] = &key.versions;
        let merge = match known {
            Some(merge) => merge,
            None => Arc::new(Merge::new(base, mine, theirs, watch)?),
        };
        let versions = [base, mine, theirs];
        let decision = |conflict: &Conflict| key.decisions.get(&decision_key(versions, conflict)).copied();
        let decided: Vec<Option<Version>> = merge.conflicts().iter().map(decision).collect();
        let decide = |conflict: usize| decided.get(conflict).copied().flatten().unwrap_or(Version::Mine);
        let result = resolve(&merge, versions, &key.decisions, decide);
        let (mut brought, mut other_fields) = (Brought::default(), Vec::new());
        if let Ok(merged) = &result {
            let differences = FieldDifferences::between(mine, merged, watch)?;
            brought = Brought::into_mine(mine, merged, &differences);
            other_fields = differences.list;
            other_fields.retain(|field| field.section != Section::Advance);
        }
        let changed_by = changed_by(&key.versions, merge.conflicts());
        let table = mine.advance.table();
        let who = |cell: Cell| changed_by.get(table.index(cell)).copied().unwrap_or(ChangedBy::Nobody);
        let regions = if merge.is_by_cell() { regions(table, who) } else { Vec::new() };
        Ok(Self { key, merge, decided, result, brought, other_fields, changed_by, regions })
    }

    /// Everything to be decided.
    pub(super) fn conflicts(&self) -> &[Conflict] {
        self.merge.conflicts()
    }

    /// What was decided for a conflict, by its index.
    pub(super) fn decision(&self, conflict: usize) -> Option<Version> {
        self.decided.get(conflict).copied().flatten()
    }

    /// How many conflicts are to be decided still.
    pub(super) fn undecided(&self) -> usize {
        self.decided.iter().filter(|decision| decision.is_none()).count()
    }

    /// A version.
    pub(super) fn version(&self, version: Version) -> &Project {
        &self.key.versions[version.index()]
    }

    /// The table to show: the merged one, or mine while the decisions do not fit together.
    pub(super) fn table(&self) -> &Table {
        let project = self.result.as_ref().unwrap_or_else(|_| self.version(Version::Mine));
        project.advance.table()
    }

    /// Who changed a cell of the table that is shown.
    pub(super) fn changed_by(&self, cell: Cell) -> ChangedBy {
        self.changed_by.get(self.table().index(cell)).copied().unwrap_or(ChangedBy::Nobody)
    }

    /// The place among the regions of the one that a cell is in.
    pub(super) fn region_of(&self, cell: Cell) -> Option<usize> {
        self.regions.iter().position(|region| region.cells.contains(&cell))
    }

    /// Which version a cell that is no conflict was decided to come from.
    pub(super) fn decided_cell(&self, cell: Cell) -> Option<Version> {
        self.key.decisions.get(&self.cell_key(cell)).copied().filter(|_| !self.regions.is_empty())
    }

    /// The key of the decision for a cell.
    pub(super) fn cell_key(&self, cell: Cell) -> String {
        cell_key(self.key.versions.each_ref(), cell)
    }

    /// The key of the decision about a conflict.
    pub(super) fn decision_key(&self, conflict: &Conflict) -> String {
        decision_key(self.key.versions.each_ref(), conflict)
    }

    /// Whether the three tables have the same breakpoints, so that it is known who changed which cell.
    pub(super) fn is_by_cell(&self) -> bool {
        !self.changed_by.is_empty()
    }
}

fn changed_by(versions: &[Project; 3], conflicts: &[Conflict]) -> Vec<ChangedBy> {
    let [base, mine, theirs] = versions.each_ref().map(|project| &project.advance);
    let axes = [base, mine, theirs].map(|advance| (advance.table().speed(), advance.table().load()));
    if axes[1] != axes[0] || axes[2] != axes[0] {
        return Vec::new();
    }
    let state = |advance: &crate::project::Advance, cell: Cell| {
        (advance.table().at(cell).to_bits(), advance.held().contains(cell), advance.origin(cell))
    };
    let place = |(number, conflict): (usize, &Conflict)| match conflict.place {
        ConflictPlace::Cell { cell, .. } => Some(((cell.load, cell.speed), number)),
        ConflictPlace::Field { .. } => None,
    };
    let open: HashMap<(usize, usize), usize> = conflicts.iter().enumerate().filter_map(place).collect();
    let who = |cell: Cell| {
        let [was, by_mine, by_theirs] = [base, mine, theirs].map(|advance| state(advance, cell));
        match (by_mine != was, by_theirs != was) {
            (false, false) => ChangedBy::Nobody,
            (true, false) => ChangedBy::Mine,
            (false, true) => ChangedBy::Theirs,
            (true, true) if by_mine == by_theirs => ChangedBy::Both,
            (true, true) => open.get(&(cell.load, cell.speed)).map_or(ChangedBy::Both, |&at| ChangedBy::Conflict(at)),
        }
    };
    base.table().cells().map(who).collect()
}

/// Keeps the latest merge, and the one a worker is at.
#[derive(Default)]
pub(super) struct Merging {
    newest: Task<Key, Merged>,
}

impl Merging {
    /// The merge to show; during a computation, the previous one if it is of the same projects. An error if
    /// there is none.
    pub(super) fn get(&mut self, view: &View<'_>, ctx: &egui::Context) -> Result<Option<Arc<Merged>>, Refusal> {
        self.of(Key::of(view), ctx)
    }

    fn of(&mut self, key: Option<Key>, ctx: &egui::Context) -> Result<Option<Arc<Merged>>, Refusal> {
        let Some(key) = key else {
            self.newest.forget();
            return Ok(None);
        };
        self.newest.receive();
        let before = self.newest.newest().map(|(_, merged)| merged).filter(|merged| merged.key.has_same_projects(&key));
        let (known, before) = (before.map(|merged| Arc::clone(&merged.merge)), before.cloned());
        let wanted = key.clone();
        self.newest.give_up_others(&key);
        self.newest.ask(&key, ctx, "the merge", move |link| {
            let goes_on = |_| !link.is_stopped();
            Merged::new(wanted, known, Watch::new(&goes_on))
        });
        match (self.newest.fault_of(&key), self.newest.shown(&key)) {
            (Some(fault), _) => Err(fault.clone().into()),
            (None, Some(merged)) => Ok(Some(Arc::clone(merged))),
            (None, None) => Ok(before),
        }
    }

    /// Whether the result of `get` reflects the present decisions.
    pub(super) fn is_settled(&self) -> bool {
        self.newest.working().is_none()
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::project::SAMPLES;

    /// A merge is stopped when one of its versions changes, and when the merge is closed.
    #[test]
    fn an_outdated_merge_ends() {
        let base = SAMPLES[0].project().unwrap();
        let key = |gap_mm: f64| {
            let mine = base.edit(|parts| parts.engine.plug_gap_mm = gap_mm).unwrap();
            Key { versions: [base.clone(), mine, base.clone()], decisions: Decisions::default() }
        };
        for newer in [Some(key(0.75)), None] {
            let (mut merging, ctx) = (Merging::default(), egui::Context::default());
            let (outdated, wanted) = (key(0.65), key(0.65));
            let held = merging.newest.ask_held(&outdated, &ctx, |link| {
                let goes_on = |_| !link.is_stopped();
                Merged::new(wanted, None, Watch::new(&goes_on))
            });
            merging.of(newer.clone(), &ctx).unwrap();
            assert_eq!(held.let_go(), Some(Refusal::new("stopped")));
            merging.newest.wait();
            assert!(newer.is_none_or(|newer| merging.newest.shown(&newer).is_some()));
        }
    }
}
