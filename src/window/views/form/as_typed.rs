//! The project with what is being typed into it, for pictures that move while one types.

use super::bound::Bound;
use crate::project::Project;
use crate::window::views::view::View;

/// Keeps the project with the typed values from frame to frame.
#[derive(Default)]
pub struct AsTyped {
    kept: Option<Kept>,
}

/// What was on show, the typed texts by path, and the project with them.
type Kept = (u64, Vec<(String, String)>, Project);

impl AsTyped {
    /// The project on show with every typed text that could be taken.
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
