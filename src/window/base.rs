//! The table that the working table is compared with.

use super::screen::BaseChoice;
use crate::document::Document;
use crate::project::{Project, read};

/// What the project is compared with, and what to call it.
#[derive(Clone, Debug)]
pub struct Base {
    /// The state compared with.
    pub project: Project,
    /// What to call it.
    pub name: String,
}

impl Base {
    /// Finds the base that was chosen.
    ///
    /// # Errors
    /// A sentence when the snapshot, step or file is not there or cannot be read.
    pub fn resolve(choice: &BaseChoice, document: &Document) -> Result<Self, String> {
        match choice {
            BaseChoice::Automatic => Ok(Self::automatic(document)),
            BaseChoice::Snapshot(name) => {
                Self::snapshot(document, name).ok_or_else(|| format!("There is no snapshot '{name}' any more"))
            }
            BaseChoice::Step(index) => {
                let step = document.steps().get(*index).ok_or_else(|| format!("There is no step {index}"))?;
                Ok(Self { project: step.project.as_state(), name: format!("step: {}", step.label) })
            }
            BaseChoice::File(path) => {
                let bytes = std::fs::read(path).map_err(|error| format!("{}: {error}", path.display()))?;
                let project = read(&bytes).map_err(|error| format!("{}: {error}", path.display()))?;
                let name = path.file_name().map_or_else(String::new, |name| name.to_string_lossy().into_owned());
                Ok(Self { project, name: format!("file: {name}") })
            }
        }
    }

    fn snapshot(document: &Document, name: &str) -> Option<Self> {
        let snapshot = document.project().snapshots.iter().find(|snapshot| snapshot.name == name)?;
        Some(Self { project: snapshot.state.clone(), name: snapshot.name.clone() })
    }

    /// The newest snapshot, or the state in which the file was opened.
    pub fn automatic(document: &Document) -> Self {
        let newest = document.project().snapshots.last();
        newest.map_or_else(
            || Self { project: document.steps()[0].project.as_state(), name: "as opened".into() },
            |snapshot| Self { project: snapshot.state.clone(), name: snapshot.name.clone() },
        )
    }
}
