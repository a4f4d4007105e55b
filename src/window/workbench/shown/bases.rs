//! What the project is compared with, and what is merged into it.

use std::path::PathBuf;

use eframe::egui;

use super::Shown;
use crate::document::Document;
use crate::project::Project;
use crate::window::state::compare_state::{BaseChoice, CompareState, MergeScreen};
use crate::window::state::projects::ProjectId;
use crate::window::state::screen::{Screen, Sheet};
use crate::window::tasks::base::{Base, BaseKeeper};
use crate::wording::Refusal;

impl Shown {
    /// What is merged into the project, once it has been read.
    pub(super) fn theirs(&self, compare: &CompareState) -> Option<&Base> {
        self.theirs.as_ref()?.found(compare.merging.as_ref()?.theirs.as_ref()?)
    }

    /// Reads a project file, even if it is the base already, and compares with it.
    pub(in crate::window::workbench) fn compare_with(&mut self, screen: &mut Screen, path: PathBuf) {
        self.base.forget_file();
        screen.compare.base = BaseChoice::File(path);
        screen.go_to(Sheet::Compare);
    }

    /// Reads a project file, even if it is theirs already, and merges it.
    pub(in crate::window::workbench) fn merge_with(&mut self, screen: &mut Screen, path: PathBuf) {
        self.theirs = None;
        let merging = screen.compare.merging.get_or_insert_default();
        *merging = MergeScreen { theirs: Some(BaseChoice::File(path)), ..MergeScreen::default() };
        screen.go_to(Sheet::Compare);
    }

    /// If a base cannot be found, that is reported, and the automatic one is used. `other` finds the state and the name of
    /// another open project: it is looked up when it is chosen, and whenever this project is shown again, since the other
    /// can change only in between.
    pub(in crate::window::workbench) fn settle_base(
        &mut self,
        ctx: &egui::Context,
        document: &Document,
        screen: &mut Screen,
        other: impl Fn(ProjectId) -> Option<(Project, String)>,
    ) {
        let choice = &screen.compare.base;
        if let BaseChoice::Project(id) = choice
            && self.base.found(choice).is_none()
            && let Some((project, name)) = other(*id)
        {
            self.base.take_project(choice, &project, name, document);
        }
        if let Err(why) = self.base.settle(&screen.compare.base, document, ctx) {
            let choice = std::mem::take(&mut screen.compare.base);
            complain_of_base(screen, &choice, why);
            if let Err(why) = self.base.settle(&screen.compare.base, document, ctx) {
                screen.complain(why);
            }
        }
        if let Some(news) = self.base.take_news() {
            screen.say(news);
        }
    }

    /// Finds what is to be merged; if it cannot be found, that is reported, and it is no longer chosen.
    pub(in crate::window::workbench) fn settle_theirs(
        &mut self,
        ctx: &egui::Context,
        document: &Document,
        screen: &mut Screen,
    ) {
        let choice = screen.compare.merging.as_ref().and_then(|merging| merging.theirs.clone());
        let Some(choice) = choice else {
            self.theirs = None;
            return;
        };
        let keeper = self.theirs.get_or_insert_with(|| BaseKeeper::new(document));
        if let Err(why) = keeper.settle(&choice, document, ctx)
            && let Some(merging) = &mut screen.compare.merging
        {
            merging.theirs = None;
            complain_of_base(screen, &choice, why);
        }
        if let Some(news) = keeper.take_news() {
            screen.say(news);
        }
    }
}

/// Reports why a base is not available, with its path last.
fn complain_of_base(screen: &mut Screen, choice: &BaseChoice, why: Refusal) {
    match choice {
        BaseChoice::File(path) => screen.complain_at(path, &why.to_string()),
        _ => screen.complain(why),
    }
}
