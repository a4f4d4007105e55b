//! Taking, changing and deleting snapshots.

use std::sync::Arc;

use crate::project::{Project, Snapshot};
use crate::wording::Refusal;

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
