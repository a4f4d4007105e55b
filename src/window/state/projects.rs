//! The projects that are open beside one another: who is who, and what their tabs say.

use std::path::{Path, PathBuf};

/// One of the open projects, as long as it is open; the number is never given to another.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub struct ProjectId(pub u64);

/// What is to be known of an open project without looking into it.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct ProjectTab {
    /// Which project.
    pub id: ProjectId,
    /// What it is called.
    pub name: String,
    /// Its file; none if it was never saved.
    pub path: Option<PathBuf>,
    /// Whether it has changes that are not in its file.
    pub is_changed: bool,
}

/// The open projects in the order of their tabs; one of them is shown.
#[derive(Clone, Debug, Default, PartialEq, Eq)]
pub struct ProjectTabs {
    /// All of them.
    pub list: Vec<ProjectTab>,
    /// The index of the one that is shown.
    pub shown: usize,
}

impl ProjectTabs {
    /// The project that is shown.
    pub fn shown_id(&self) -> Option<ProjectId> {
        self.list.get(self.shown).map(|tab| tab.id)
    }

    /// Whether there is anything to choose from, so that the row of tabs is shown.
    pub fn has_several(&self) -> bool {
        self.list.len() > 1
    }

    /// The projects that are not shown.
    pub fn others(&self) -> impl Iterator<Item = &ProjectTab> {
        self.list.iter().enumerate().filter(|(place, _)| *place != self.shown).map(|(_, tab)| tab)
    }

    /// The next project after the one shown, or the one before it, round and round; none if there is no other.
    pub fn beside(&self, is_next: bool) -> Option<ProjectId> {
        if !self.has_several() {
            return None;
        }
        let by = if is_next { 1 } else { self.list.len() - 1 };
        self.list.get((self.shown + by) % self.list.len()).map(|tab| tab.id)
    }

    /// The project with this very path.
    pub fn with_path(&self, path: &Path) -> Option<ProjectId> {
        self.list.iter().find(|tab| tab.path.as_deref() == Some(path)).map(|tab| tab.id)
    }

    /// Every file that is open, with its project.
    pub fn files(&self) -> Vec<(ProjectId, PathBuf)> {
        self.list.iter().filter_map(|tab| Some((tab.id, tab.path.clone()?))).collect()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn tabs(count: u64, shown: usize) -> ProjectTabs {
        let tab = |id| ProjectTab { id: ProjectId(id), name: id.to_string(), path: None, is_changed: false };
        ProjectTabs { list: (0..count).map(tab).collect(), shown }
    }

    #[test]
    fn next_and_previous_go_round_and_lead_nowhere_from_a_single_project() {
        let beside = |shown, is_next| tabs(3, shown).beside(is_next).map(|id| id.0);
        assert_eq!([0, 1, 2].map(|shown| beside(shown, true)), [Some(1), Some(2), Some(0)]);
        assert_eq!([0, 1, 2].map(|shown| beside(shown, false)), [Some(2), Some(0), Some(1)]);
        assert_eq!((tabs(1, 0).beside(true), tabs(0, 0).beside(false)), (None, None));
        assert_eq!(tabs(3, 1).others().map(|tab| tab.id.0).collect::<Vec<_>>(), [0, 2]);
    }
}
