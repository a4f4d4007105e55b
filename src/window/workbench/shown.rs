//! What is shown besides the document and the screen: base, findings, what a tool would do, scales.

use std::cell::OnceCell;

use crate::checks::Cure;
use crate::document::{Document, Revision};
use crate::project::Tree;
use crate::window::state::proposals::Proposal;
use crate::window::state::screen::{Screen, Sheet};
use crate::window::tasks::base::BaseKeeper;
use crate::window::tasks::checking::Checker;
use crate::window::tasks::preview::Previewer;
use crate::window::views::proposed::Proposed;
use crate::window::views::scales::ScaleKeeper;

/// What is computed for display, and what waits for it. What counts is in the document and the screen.
pub(super) struct Shown {
    pub(super) base: BaseKeeper,
    /// What is merged into the project.
    pub(super) theirs: Option<BaseKeeper>,
    /// What the previewed tool would do.
    pub(super) preview: Previewer,
    pub(super) checker: Checker,
    /// A tool to be applied as soon as its result is known, and the state for which it was requested.
    pub(super) awaited: Option<(Proposal, Revision)>,
    /// A remedy to be carried out as soon as its result is known, and the state for which it was requested.
    pub(super) awaited_cure: Option<(Cure, Revision)>,
    /// The screen with its selection fitted to a previewed table of another size.
    pub(super) preview_screen: Option<Screen>,
    /// The scales of the table's views.
    pub(super) scales: ScaleKeeper,
    /// What is shown and only proposed.
    pub(super) proposed: Option<Proposed>,
    pub(super) content_key: u64,
    /// The state of the document, of the preview and of the remedy shown that `content_key` stands for.
    pub(super) keyed: Option<(Revision, u64, u64, Sheet)>,
    /// The fields of the project that `content_key` stands for, once they were asked for.
    pub(super) fields: OnceCell<Tree>,
}

impl Shown {
    /// For a document that was just opened.
    pub(super) fn of(document: &Document) -> Self {
        let base = BaseKeeper::new(document);
        let scales = ScaleKeeper::new(document.project().advance.table(), base.current().project.advance.table());
        Self {
            base,
            theirs: None,
            preview: Previewer::default(),
            checker: Checker::default(),
            awaited: None,
            awaited_cure: None,
            preview_screen: None,
            scales,
            proposed: None,
            content_key: 0,
            keyed: None,
            fields: OnceCell::new(),
        }
    }
}
