//! What comes from another version of the project: parts of the base that are taken back, and a merge.

use crate::compare::{
    Conflict, ConflictPlace, FieldDifference, Merge, Section, TakeBackError, TakenBack, Version, take_back_cells,
    take_back_fields, take_back_sections,
};
use crate::project::Project;
use crate::table::Selection;
use crate::watch::Watch;
use crate::window::state::compare_state::Decisions;
use crate::wording::Refusal;

/// Which parts of the base come back.
#[derive(Clone, Debug, PartialEq)]
pub enum TakenParts {
    /// Cells of the advance table.
    Cells(Selection),
    /// Single fields.
    Fields(Vec<FieldDifference>),
    /// A whole section.
    Section(Section),
}

/// Parts of the base that come back.
#[derive(Clone, Debug, PartialEq)]
pub struct TakeBackEdit {
    /// Which.
    pub parts: TakenParts,
    /// What the base is called.
    pub name: String,
    /// The base.
    pub base: Project,
}

impl TakeBackEdit {
    /// The project with them, what its step is called, and how many cells came back.
    ///
    /// # Errors
    /// [`TakeBackError`] where they cannot come back; the project is as it was.
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

/// A merge with its decisions. It is made again should the step start from another project than it was shown for.
#[derive(Clone, Debug, PartialEq)]
pub struct MergeEdit {
    /// What was decided of the conflicts.
    pub decisions: Decisions,
    /// What both started from.
    pub base: Project,
    /// The other version.
    pub theirs: Project,
    /// The project for which the merge was shown, and what came of it.
    pub shown: (Project, Result<Project, Refusal>),
}

impl MergeEdit {
    pub(super) fn apply(&self, mine: &Project) -> Result<Project, Refusal> {
        let (shown_for, shown) = &self.shown;
        if mine.is_same(shown_for) { shown.clone() } else { self.merge(mine) }
    }

    fn merge(&self, mine: &Project) -> Result<Project, Refusal> {
        let merge = Merge::new(&self.base, mine, &self.theirs, Watch::NOBODY)?;
        let decision = |conflict: usize| {
            let name = merge.conflicts().get(conflict).map(decision_key);
            name.and_then(|name| self.decisions.get(&name).copied())
        };
        if let Some(open) = (0..merge.conflicts().len()).find(|conflict| decision(*conflict).is_none()) {
            let label = merge.conflicts().get(open).map_or("", |conflict| conflict.label.as_str());
            return Err(Refusal::new(format!("{label} has changed meanwhile and is to be decided")));
        }
        merge.resolve(|conflict| decision(conflict).unwrap_or(Version::Mine)).map_err(Refusal::from)
    }
}

/// Under which name a decision is kept: it stays when the merge is made anew and the conflict is still there.
pub fn decision_key(conflict: &Conflict) -> String {
    match &conflict.place {
        ConflictPlace::Cell { cell, .. } => format!("advance[{}][{}]", cell.load, cell.speed),
        ConflictPlace::Field { path } => format!("{path} {}", conflict.label),
    }
}
