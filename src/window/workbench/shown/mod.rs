//! What is shown besides the document and the screen: base, findings, what a tool would do, scales.

mod bases;
mod patience;
mod proposals;

use std::cell::OnceCell;

use eframe::egui;

use self::patience::Patience;
use crate::checks::Cure;
use crate::document::{Document, Revision};
use crate::drawing::Layer;
use crate::project::{Project, Tree};
use crate::shaping::{Shaped, Tool};
use crate::table::Selection;
use crate::window::kit::theme::Theme;
use crate::window::state::commands::KeyMap;
use crate::window::state::dialogs::Dialogs;
use crate::window::state::inspector_state::Proposal;
use crate::window::state::layer_state::LayerState;
use crate::window::state::projects::ProjectTabs;
use crate::window::state::screen::{Screen, Sheet};
use crate::window::state::selection::CellSelection;
use crate::window::state::surface_state::Beside;
use crate::window::tasks::base::{Base, BaseKeeper};
use crate::window::tasks::checking::{Checked, Checker, Cured, Outcome};
use crate::window::tasks::how_sure::{SureKeeper, SureShown};
use crate::window::tasks::preview::Previewer;
use crate::window::views::measured::beside_of;
use crate::window::views::region_here::RegionHere;
use crate::window::views::scales::{ScaleKeeper, Scaled};
use crate::window::views::view::Proposed;
use crate::window::views::view::View;
use crate::wording::Refusal;

/// What is computed for display; all of it can be computed again, and none of it changes the document.
pub(super) struct Shown {
    base: BaseKeeper,
    /// What is merged into the project.
    theirs: Option<BaseKeeper>,
    /// What the previewed tool would do.
    preview: Previewer,
    /// Until when the tool and the remedy that are pointed at are not previewed yet.
    patience: Patience<Proposal>,
    patience_of_cure: Patience<Cure>,
    checker: Checker,
    /// A tool to be applied as soon as its result is known, and the state for which it was requested.
    awaited: Option<(Proposal, Revision)>,
    /// A remedy to be carried out as soon as its result is known, and the state for which it was requested.
    awaited_cure: Option<(Cure, Revision)>,
    /// The screen with its selection fitted to a previewed table of another size.
    preview_screen: Option<Screen>,
    /// The scales of the table's views.
    scales: ScaleKeeper,
    /// What is shown and only proposed.
    proposed: Option<Proposed>,
    content_key: u64,
    /// The state of the document, of the preview and of the remedy shown, the sheet, and whether the base is shown in its
    /// place: what `content_key` stands for.
    keyed: Option<(Revision, u64, u64, (Sheet, bool))>,
    /// The fields of the project that `content_key` stands for, once they were asked for.
    fields: OnceCell<Tree>,
    region_here: RegionHere,
    /// How sure the cells are.
    sure: SureKeeper,
}

/// What views can read besides the project shown and its screen.
pub(super) struct Around<'a> {
    pub(super) dialogs: &'a Dialogs,
    pub(super) projects: &'a ProjectTabs,
    pub(super) keys: &'a KeyMap,
    pub(super) theme: &'a Theme,
}

/// A tool that the workbench is to apply now as one step.
pub(super) enum ToApply {
    /// Its result is known.
    Shaped(Tool, Shaped),
    /// Its result is found quickly.
    Tool(Tool, Selection),
}

/// The result of a remedy that the workbench is to make one step now.
pub(super) struct Remedied {
    pub(super) label: String,
    pub(super) after: Result<Project, Refusal>,
}

impl Shown {
    /// For a document that was just opened.
    pub(super) fn of(document: &Document) -> Self {
        let base = BaseKeeper::new(document);
        let scales = ScaleKeeper::new(&Scaled::of(
            document.project(),
            base.current(),
            &LayerState::default(),
            &SureShown::default(),
            Beside::Nothing,
        ));
        Self {
            base,
            theirs: None,
            preview: Previewer::default(),
            patience: Patience::default(),
            patience_of_cure: Patience::default(),
            checker: Checker::default(),
            awaited: None,
            awaited_cure: None,
            preview_screen: None,
            scales,
            proposed: None,
            content_key: 0,
            keyed: None,
            fields: OnceCell::new(),
            region_here: RegionHere::default(),
            sure: SureKeeper::default(),
        }
    }

    /// Switches to another document.
    pub(super) fn turn_to(&mut self, document: &Document) {
        self.base = BaseKeeper::new(document);
        self.theirs = None;
        self.preview = Previewer::default();
        self.sure.forget();
        (self.awaited, self.awaited_cure, self.preview_screen, self.keyed) = (None, None, None, None);
    }

    /// What views can read.
    pub(super) fn view<'a>(&'a self, document: &'a Document, screen: &'a Screen, around: Around<'a>) -> View<'a> {
        let Around { dialogs, projects, keys, theme } = around;
        View {
            document,
            project: self.instead(screen).unwrap_or_else(|| document.project()),
            content_key: self.content_key,
            screen: self.preview_screen.as_ref().unwrap_or(screen),
            selection: &screen.selection,
            preview: self.preview.outcome(),
            proposed: self.proposed.as_ref(),
            base: self.base.current(),
            theirs: self.theirs(&screen.compare),
            scales: self.scales.scales(),
            checked: self.checker.checked(),
            cured: self.checker.cured(),
            awaits_remedy: self.awaited_cure.is_some(),
            theme,
            projects,
            dialogs,
            keys,
            flashed: None,
            fields: &self.fields,
            region_here: &self.region_here,
            sure: self.sure.shown(),
        }
    }

    /// What the project is compared with.
    pub(super) fn base(&self) -> &Base {
        self.base.current()
    }

    /// What the checks found when they were last done.
    pub(super) fn checked(&self) -> &Checked {
        self.checker.checked()
    }

    /// Whether the findings are for the document as it is now, and no remedy is still being previewed.
    pub(super) fn is_checked(&self, document: &Document) -> bool {
        let is_working = |cured: &Cured| matches!(cured.outcome, Outcome::Working);
        self.checker.checked().is_current(document) && !self.checker.cured().is_some_and(is_working)
    }

    /// The project that is shown instead of the document's: with a tool or a remedy applied. Only on sheets
    /// where the table is edited: every other sheet shows the actual project.
    fn instead(&self, screen: &Screen) -> Option<&Project> {
        if screen.sheet != Sheet::Advance {
            return None;
        }
        if screen.shows_base {
            return Some(&self.base.current().project);
        }
        self.preview.project().or(self.checker.project())
    }

    /// What of the project on show is only proposed.
    fn find_proposed(&self, document: &Document, screen: &Screen) -> Option<Proposed> {
        let shown = self.instead(screen).filter(|_| !screen.shows_base)?;
        let label = match (self.preview.done(), self.checker.cured()) {
            (Some((tool, done)), _) => tool.label(&done.shaped),
            (None, Some(cured)) => cured.cure.label.clone(),
            (None, None) => return None,
        };
        Some(Proposed::between(&document.project().advance, &shown.advance, label))
    }

    /// Fits the selection of the screen on show to the previewed table, where that has another size.
    pub(super) fn fit_screen(&mut self, screen: &Screen) {
        let table = self.instead(screen).map(|shown| shown.advance.table());
        self.preview_screen = table.filter(|table| !screen.selection.cells.fits(table)).map(|table| {
            let mut fitted = screen.clone();
            fitted.selection = CellSelection::fitted(fitted.selection, table);
            fitted.pointer.cell = None;
            fitted
        });
    }

    /// Updates the content key, and what depends on it, if what is shown has changed.
    pub(super) fn settle_content(&mut self, document: &Document, screen: &Screen) {
        let shown = (screen.sheet, screen.shows_base);
        let content = (document.revision(), self.preview.serial(), self.checker.serial(), shown);
        if self.keyed != Some(content) {
            self.keyed = Some(content);
            self.content_key += 1;
            self.fields = OnceCell::new();
            self.proposed = self.find_proposed(document, screen);
        }
    }

    /// Has it found how sure the cells on show are, if that is looked at. While something is dragged, what was known before
    /// stays; and so it does under a preview, which is no table of the project's yet.
    pub(super) fn settle_sure(&mut self, ctx: &egui::Context, document: &Document, screen: &Screen) {
        let is_looked_at = screen.layers.layer == Layer::Sure || screen.surface.chosen_beside == Some(Beside::Sure);
        if !is_looked_at || document.gesture_open() {
            return self.sure.leave();
        }
        let shows_base = screen.shows_base && screen.sheet == Sheet::Advance;
        let project = if shows_base { &self.base.current().project } else { document.project() };
        self.sure.settle(project, ctx);
    }

    /// Updates the scales; they do not change for the state that a drag led to.
    pub(super) fn settle_scales(&mut self, document: &Document, screen: &Screen, led_to: Option<Revision>) {
        if let Some(revision) = led_to {
            self.scales.keep_for(revision);
        }
        let beside = beside_of(&screen.surface, document.project());
        let of = Scaled::of(document.project(), self.base.current(), &screen.layers, self.sure.shown(), beside);
        self.scales.settle(&of, document.revision(), document.gesture_open());
    }

    /// Lets the scales be fitted to the table at the next update, even after a drag.
    pub(super) fn let_scales_go(&mut self) {
        self.scales.let_go();
    }
}

#[cfg(test)]
impl Shown {
    pub(super) fn awaits_tool(&self) -> bool {
        self.awaited.is_some()
    }

    pub(super) fn awaits_remedy(&self) -> bool {
        self.awaited_cure.is_some()
    }

    pub(super) fn is_previewing(&self) -> bool {
        self.preview.is_at_work()
    }
}
