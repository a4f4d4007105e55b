//! Other versions of the project: snapshots that are taken, changed and deleted, parts of the base that are taken back, and a
//! merge.

use std::sync::Arc;

use crate::compare::{
    Conflict, ConflictPlace, FieldDifference, Merge, Section, TakeBackError, TakenBack, Version, take_back_cells,
    take_back_fields, take_back_sections,
};
use crate::project::{Project, Snapshot};
use crate::table::{Cell, Selection};
use crate::watch::Watch;
use crate::window::state::compare_state::Decisions;
use crate::wording::Refusal;

/// Which parts of the base to take back.
#[derive(Clone, Debug, PartialEq)]
pub enum TakenParts {
    /// Cells of the advance table.
    Cells(Selection),
    /// Single fields.
    Fields(Vec<FieldDifference>),
    /// A whole section.
    Section(Section),
}

/// Taking parts of the base back.
#[derive(Clone, Debug, PartialEq)]
pub struct TakeBackEdit {
    /// Which.
    pub parts: TakenParts,
    /// The name of the base.
    pub name: String,
    /// The base.
    pub base: Project,
}

impl TakeBackEdit {
    /// The project with these parts, the label of the step, and how many cells came back.
    ///
    /// # Errors
    /// [`TakeBackError`] if they cannot be taken back; the project is unchanged.
    pub fn take(&self, project: &Project) -> Result<TakenBack, TakeBackError> {
        match &self.parts {
            TakenParts::Cells(cells) => take_back_cells(&self.base, project, cells, &self.name),
            TakenParts::Fields(fields) => {
                let fields: Vec<&FieldDifference> = fields.iter().collect();
                take_back_fields(&self.base, project, &fields, &self.name)
            }
            TakenParts::Section(section) => take_back_sections(&self.base, project, &[*section], &self.name),
        }
    }

    pub(super) fn apply(&self, project: &Project) -> Result<Project, Refusal> {
        self.take(project).map(|taken| taken.project).map_err(Refusal::from)
    }
}

/// A merge with its decisions. It is computed again if the step starts from another project than it was shown
/// for.
#[derive(Clone, Debug, PartialEq)]
pub struct MergeEdit {
    /// What was decided of the conflicts.
    pub decisions: Decisions,
    /// What both started from.
    pub base: Project,
    /// The other version.
    pub theirs: Project,
    /// The project for which the merge was shown, and its result.
    pub shown: (Project, Result<Project, Refusal>),
}

impl MergeEdit {
    pub(super) fn apply(&self, mine: &Project) -> Result<Project, Refusal> {
        let (shown_for, shown) = &self.shown;
        if mine.is_same(shown_for) { shown.clone() } else { self.merge(mine) }
    }

    fn merge(&self, mine: &Project) -> Result<Project, Refusal> {
        let versions = [&self.base, mine, &self.theirs];
        let merge = Merge::new(&self.base, mine, &self.theirs, Watch::NOBODY)?;
        let decision = |conflict: usize| {
            let name = merge.conflicts().get(conflict).map(|conflict| decision_key(versions, conflict));
            name.and_then(|name| self.decisions.get(&name).copied())
        };
        if let Some(open) = (0..merge.conflicts().len()).find(|conflict| decision(*conflict).is_none()) {
            let label = merge.conflicts().get(open).map_or("", |conflict| conflict.label.as_str());
            return Err(Refusal::new(format!("{label} has changed meanwhile and is to be decided")));
        }
        resolve(&merge, versions, &self.decisions, |conflict| decision(conflict).unwrap_or(Version::Mine))
    }
}

/// The merged project: conflicts as `choose` has them by their index, other cells as decided, or from the side that changed
/// them.
///
/// # Errors
/// Why the decisions do not fit together.
pub fn resolve(
    merge: &Merge,
    versions: [&Project; 3],
    decisions: &Decisions,
    choose: impl Fn(usize) -> Version,
) -> Result<Project, Refusal> {
    let of_cell = |cell: Cell| decisions.get(&cell_key(versions, cell)).copied();
    merge.resolve_cells(choose, of_cell).map_err(Refusal::from)
}

/// The key of a decision about a conflict between base, mine and theirs, which still applies when the merge is computed anew
/// and the conflict is still there.
pub fn decision_key(versions: [&Project; 3], conflict: &Conflict) -> String {
    match &conflict.place {
        ConflictPlace::Cell { cell, .. } => cell_key(versions, *cell),
        ConflictPlace::Field { path } => format!("{path} {}", conflict.label),
    }
}

/// The key of the decision for a cell of base, mine and theirs, whether it is a conflict or was changed on one side only. It
/// holds for these three states of the cell: what was decided of others must not drop a change that came later.
pub fn cell_key(versions: [&Project; 3], cell: Cell) -> String {
    let state = |project: &Project| {
        let (table, advance) = (project.advance.table(), &project.advance);
        let is_there = cell.load < table.load().len() && cell.speed < table.speed().len();
        is_there
            .then(|| format!("{} {} {}", table.at(cell), advance.held().contains(cell), advance.origin(cell).letter()))
    };
    let states = versions.map(|project| state(project).unwrap_or_default()).join(", ");
    format!("advance[{}][{}]: {states}", cell.load, cell.speed)
}

/// A change to the project's snapshots.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum SnapshotEdit {
    /// Keep the project as it is now.
    Take {
        /// Under this name.
        name: String,
        /// What there is to say about it.
        note: String,
        /// When, in the form of the project file.
        taken_at: String,
    },
    /// Give a snapshot another name or note.
    Change {
        /// Its present name.
        of: String,
        /// Its new name.
        name: String,
        /// Its new note.
        note: String,
    },
    /// Delete a snapshot, by its name.
    Delete(String),
}

impl SnapshotEdit {
    /// The project with the change.
    ///
    /// # Errors
    /// Why it is not possible; the project is unchanged.
    pub fn apply(&self, project: &Project) -> Result<Project, Refusal> {
        let edited = match self.clone() {
            Self::Take { name, note, taken_at } => {
                let snapshot = Snapshot { name, note, taken_at, state: project.as_state() };
                project.edit(|parts| parts.snapshots.push(Arc::new(snapshot)))
            }
            Self::Change { of, name, note } => {
                let at = place(project, &of)?;
                project.edit(|parts| {
                    if let Some(snapshot) = parts.snapshots.get_mut(at) {
                        *snapshot = Arc::new(Snapshot { name, note, ..Snapshot::clone(snapshot) });
                    }
                })
            }
            Self::Delete(name) => {
                let at = place(project, &name)?;
                project.edit(|parts| drop(parts.snapshots.remove(at)))
            }
        };
        edited.map_err(Refusal::from)
    }
}

fn place(project: &Project, name: &str) -> Result<usize, Refusal> {
    let found = project.snapshots.iter().position(|snapshot| snapshot.name == name);
    found.ok_or_else(|| Refusal::new(format!("There is no snapshot '{name}' any more")))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::project::{LoadKind, NewProject};

    /// What was decided of a cell holds for the values that it was decided for: once mine has become the base's again, the
    /// other's change is taken.
    #[test]
    fn a_decision_about_other_values_drops_no_change() {
        let new = NewProject { name: "trial".into(), cylinders: 4, load: LoadKind::Throttle, speeds: 8, loads: 8 };
        let base = new.create().unwrap();
        let cell = Cell::new(3, 3);
        let with = |by_deg: f64| {
            let table = base.advance.table();
            let mut values = table.values().to_vec();
            values[table.index(cell)] += by_deg;
            let advance = base.advance.with_values(values, crate::project::Origin::Typed).unwrap();
            base.edit(|parts| parts.advance = advance).unwrap()
        };
        let (mine, theirs) = (with(4.0), with(2.0));
        let decisions: Decisions = [(cell_key([&base, &mine, &theirs], cell), Version::Mine)].into();
        let shown = (mine.clone(), Err(Refusal::new("not shown")));
        let edit = MergeEdit { decisions, base: base.clone(), theirs: theirs.clone(), shown };
        assert_eq!(edit.merge(&mine).unwrap().advance.table(), mine.advance.table());
        assert_eq!(edit.merge(&base).unwrap().advance.table(), theirs.advance.table());
    }

    #[test]
    fn snapshots_are_taken_changed_and_deleted() {
        let new = NewProject { name: "trial".into(), cylinders: 4, load: LoadKind::Throttle, speeds: 8, loads: 8 };
        let project = new.create().unwrap();
        let take = |project: &Project, name: &str, note: &str| {
            let taken_at = "2026-03-21T17:05:00Z".to_owned();
            SnapshotEdit::Take { name: name.to_owned(), note: note.to_owned(), taken_at }.apply(project)
        };
        let one = take(&project, "run 7", "fuel 98").unwrap();
        assert_eq!((one.snapshots[0].taken_at.as_str(), &one.snapshots[0].state), ("2026-03-21T17:05:00Z", &project));
        let two = take(&one, "run 8", "").unwrap();
        assert!(two.snapshots[1].state.snapshots.is_empty());
        assert!(take(&two, "run 8", "").unwrap_err().to_string().contains("run 8"));
        let change = SnapshotEdit::Change { of: "run 7".into(), name: "run 7 b".into(), note: "fuel 95".into() };
        let renamed = change.apply(&two).unwrap();
        assert_eq!((renamed.snapshots[0].name.as_str(), renamed.snapshots[0].note.as_str()), ("run 7 b", "fuel 95"));
        assert_eq!(renamed.snapshots[0].state, two.snapshots[0].state);
        let delete = SnapshotEdit::Delete("run 8".into());
        assert_eq!(delete.apply(&two).unwrap(), one);
        assert!(delete.apply(&one).is_err());
    }
}
