//! The project with what is being typed into it, for pictures that follow the typing.

use super::bound::Bound;
use crate::project::Project;
use crate::window::views::view::View;

/// Caches the project with the typed values from frame to frame.
#[derive(Default)]
pub struct AsTyped {
    kept: Option<Kept>,
}

/// The content key of the project on show, the typed texts by path, and the project with them.
type Kept = (u64, Vec<(String, String)>, Project);

impl AsTyped {
    /// The project on show, with every typed text that is acceptable.
    pub fn get(&mut self, view: &View<'_>) -> Project {
        let typed: Vec<(String, String)> = view
            .screen
            .form
            .all()
            .filter(|(_, typed)| typed.refusal.is_none())
            .map(|(path, typed)| (path.to_owned(), typed.text.clone()))
            .collect();
        if let Some((key, texts, project)) = &self.kept
            && *key == view.content_key
            && *texts == typed
        {
            return project.clone();
        }
        let mut project = view.project.clone();
        for (path, text) in &typed {
            let set = Bound::of(view, path).and_then(|bound| bound.set(&project, text).ok().flatten());
            if let Some((_, after)) = set {
                project = after;
            }
        }
        self.kept = Some((view.content_key, typed, project.clone()));
        project
    }
}
