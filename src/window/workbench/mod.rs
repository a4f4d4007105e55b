//! The whole of the window between frames: carries out what the views asked for.

#[cfg(test)]
mod broken_off;
mod clipboard;
mod deferred;
pub mod desktop;
pub mod ending;
mod file_work;
mod files;
mod gestures;
mod hands;
mod images;
mod keyboard;
mod keys;
mod leaving;
mod notices;
mod nudge;
mod opening;
mod proposals;
mod rig;
pub mod router;
mod run;
mod saving;
mod shown;
mod surroundings;
mod tables;
mod trace;

use std::cell::OnceCell;

use eframe::egui;

use self::file_work::Files;
use self::hands::Gestures;
use self::shown::Shown;
use super::frame;
use super::sheets::Sheets;
use crate::document::{Document, Reread};
use crate::drawing::Look;
use crate::interchange::DecimalMark;
use crate::project::Project;
use crate::window::kit::numbers::{date, look_up_time_zone};
use crate::window::kit::theme::{self, Theme};
use crate::window::state::commands::KeyMap;
use crate::window::state::compare_state::BaseChoice;
use crate::window::state::notice::{Cause, Notice};
use crate::window::state::outbox::{Action, FileAction, Outbox};
use crate::window::state::proposals::{Proposal, Proposer};
use crate::window::state::screen::{Screen, Sheet};
use crate::window::state::selection::CellSelection;
use crate::window::state::settings::Settings;
use crate::window::tasks::base::{Base, BaseKeeper};
use crate::window::tasks::checking::{Cured, Outcome};
use crate::window::views::proposed::Proposed;
use crate::window::views::view::View;
use crate::wording::Refusal;
pub use surroundings::Surroundings;
pub use trace::Trace;

/// Shown for an edit that makes no step.
const NOTHING_CHANGED: &str = "Nothing changed: the project is so already";

/// The open document, the screen and what the views cache.
pub struct Workbench {
    document: Document,
    screen: Screen,
    theme: Theme,
    /// Whether the theme has been given to the widgets.
    is_styled: bool,
    settings: Settings,
    surroundings: Surroundings,
    /// Whether the window may close without asking.
    may_close: bool,
    /// The title last given to the window.
    title: String,
    sheets: Sheets,
    files: Files,
    gestures: Gestures,
    shown: Shown,
    outbox: Outbox,
    /// The number of steps when it was last checked whether one fixed the size of image items.
    steps_seen: usize,
}

impl Workbench {
    /// A workbench for a document, with nothing around it.
    pub fn new(document: Document) -> Self {
        Self::within(document, Surroundings::none())
    }

    /// A workbench for a document in its surroundings.
    pub fn within(document: Document, mut surroundings: Surroundings) -> Self {
        look_up_time_zone();
        let (settings, damage) = surroundings.settings.read();
        let mut screen = Screen::new(document.project().advance.table());
        screen.look = settings.look;
        screen.splits = settings.splits;
        screen.grid.clipboard.mark = if settings.decimal_comma { DecimalMark::Comma } else { DecimalMark::Point };
        screen.notice = damage.map(|text| Notice::problem(text, Cause::Lasting));
        let files = Files::new(&surroundings.data, document.path().map(std::path::Path::to_owned));
        let mut workbench = Self {
            screen,
            theme: Theme::of(Look::Light),
            is_styled: false,
            settings,
            surroundings,
            may_close: false,
            title: String::new(),
            sheets: Sheets::default(),
            files,
            gestures: Gestures::default(),
            shown: Shown::of(&document),
            document,
            outbox: Outbox::default(),
            steps_seen: 1,
        };
        workbench.start();
        workbench
    }

    /// Shows the greetings.
    fn start(&mut self) {
        self.greet();
        if self.surroundings.greets {
            self.files.dialogs.welcome = !self.settings.is_welcomed && self.document.path().is_none();
        }
    }

    /// Reports why another document is shown than was asked for.
    pub fn tell_not_opened(&mut self, why: String) {
        self.files.dialogs.not_opened = Some(why);
    }

    /// The open document.
    pub fn document(&self) -> &Document {
        &self.document
    }

    /// Whether the findings are for the document as it is now, and no remedy is still being previewed.
    pub fn is_checked(&self) -> bool {
        let is_working = |cured: &Cured| matches!(cured.outcome, Outcome::Working);
        self.shown.checker.checked().is_current(&self.document) && !self.shown.checker.cured().is_some_and(is_working)
    }

    /// The state of the screen.
    pub fn screen(&self) -> &Screen {
        &self.screen
    }

    /// Requests something, as a view would.
    pub fn ask(&mut self, message: impl Into<Action>) {
        self.outbox.send(message);
    }

    /// What is done between frames: keys, then everything the views asked for.
    pub fn logic(&mut self, ctx: &egui::Context) {
        self.let_notice_go(ctx);
        self.hear(ctx);
        self.take_dropped_files(ctx);
        self.capture_keys(ctx);
        let mut asked = std::mem::take(&mut self.outbox);
        for action in asked.take() {
            self.carry_out(ctx, action);
        }
        self.run_deferred(ctx);
        self.hear_keyboard(ctx);
        self.go_on_nudging(ctx);
        self.settle_hearing(ctx);
        self.settle(ctx);
        let may_hear = !self.document.gesture_open() && !self.is_typing() && !self.files.dialogs.asks_for_path();
        if self.files.jobs.has_answers() && may_hear {
            ctx.request_repaint();
        }
    }

    /// Draws the window; changes nothing but the views' caches.
    pub fn ui(&mut self, ui: &mut egui::Ui) {
        let mut outbox = std::mem::take(&mut self.outbox);
        let mut sheets = std::mem::take(&mut self.sheets);
        let view = self.view();
        frame::show(ui, &view, &mut outbox, &mut sheets);
        self.sheets = sheets;
        self.gestures.drawn_sheet = self.screen.sheet;
        if let Some(deferred) = &mut self.gestures.deferred {
            deferred.field_was_drawn();
        }
        self.outbox = outbox;
        if !self.outbox.is_empty() {
            // What was requested is carried out in the next frame.
            ui.ctx().request_repaint();
        }
    }

    fn view(&self) -> View<'_> {
        View {
            document: &self.document,
            project: self.shown_instead().unwrap_or_else(|| self.document.project()),
            content_key: self.shown.content_key,
            screen: self.shown.preview_screen.as_ref().unwrap_or(&self.screen),
            selection: &self.screen.selection,
            preview: self.shown.preview.outcome(),
            proposed: self.shown.proposed.as_ref(),
            base: self.shown.base.current(),
            theirs: self.theirs(),
            scales: self.shown.scales.scales(),
            checked: self.shown.checker.checked(),
            cured: self.shown.checker.cured(),
            awaits_remedy: self.shown.awaited_cure.is_some(),
            theme: &self.theme,
            dialogs: &self.files.dialogs,
            keys: &self.settings.keys,
            flashed: None,
            fields: &self.shown.fields,
        }
    }

    /// The project that is shown instead of the document's: with a tool or a remedy applied. Only on sheets
    /// where the table is edited: every other sheet shows the actual project.
    fn shown_instead(&self) -> Option<&Project> {
        if self.screen.sheet != Sheet::Advance {
            return None;
        }
        self.shown.preview.project().or(self.shown.checker.project())
    }

    /// What of the project on show is only proposed.
    fn find_proposed(&self) -> Option<Proposed> {
        let shown = self.shown_instead()?;
        let label = match (self.shown.preview.done(), self.shown.checker.cured()) {
            (Some((tool, done)), _) => tool.label(&done.shaped),
            (None, Some(cured)) => cured.cure.label.clone(),
            (None, None) => return None,
        };
        Some(Proposed::between(&self.document.project().advance, &shown.advance, label))
    }

    fn carry_out(&mut self, ctx: &egui::Context, action: Action) {
        self.surroundings.trace.write(&action);
        match action {
            Action::Run(command) => self.run(ctx, command),
            Action::RunAfterTyping(command) => self.run_after_typing(ctx, command),
            Action::TypeOver(selection, editor) => {
                self.screen.surface.tab &= editor.is_none();
                self.screen.selection = selection;
                self.screen.grid.editor = editor;
            }
            Action::Screen(message) => self.change_screen(ctx, message),
            Action::Shape(tool, cells) => self.commit(Proposal { by: Proposer::Sentence, tool, cells }),
            Action::Edit(label, edit) => {
                let selected = Some(self.screen.selection.cells.clone());
                match self.step(label, selected, |project| edit.apply(project)) {
                    Ok(true) => {}
                    Ok(false) => self.complain(NOTHING_CHANGED),
                    Err(why) => self.complain(why),
                }
            }
            Action::Drag(tool, cells) => drop(self.drag(tool, cells)),
            Action::DragEdit(label, edit) => self.drag_edit(label, &edit),
            Action::DragEnd => self.end_drag(),
            Action::DragCancel => self.cancel_gesture(),
            Action::NudgeStart(by_deg) => self.start_button_nudge(ctx, by_deg),
            Action::Commit(proposal) => self.commit(proposal),
            Action::Cure(cure) => self.cure(cure),
            Action::PreviewCancel => self.give_up_preview(),
            Action::Copy(text) => ctx.copy_text(text),
            Action::Paste(text, answers) => self.paste(text, answers),
            Action::Dialogs(message) => self.files.dialogs.apply(message),
            Action::File(action) => self.file(ctx, action),
        }
    }

    fn file(&mut self, ctx: &egui::Context, action: FileAction) {
        match action {
            FileAction::Choose(job) => self.choose(ctx, job),
            FileAction::TypePath(job) => self.type_path(job, None),
            FileAction::Do(job, path) => self.do_job(ctx, job, path),
            FileAction::Leave(next) => self.leave_for(ctx, next),
            FileAction::SaveAndGoOn => self.save_and_go_on(ctx),
            FileAction::GiveUpAndGoOn => self.give_up_and_go_on(ctx),
            FileAction::Reload => self.read_again(ctx, Reread::Reload),
            FileAction::SaveOver => self.save_over(ctx),
            FileAction::DiscardOffer(place) => self.discard_offer(ctx, place),
            FileAction::KeepOffers => self.keep_offers(),
            FileAction::ReadTableAs(mark) => self.read_table_as(ctx, mark),
            FileAction::ReadMarkedAs(mark) => self.read_marked_as(ctx, mark),
            FileAction::ImportTable => self.import_table(),
            FileAction::WriteImage(files, path) => self.write_image(ctx, files, path),
            FileAction::AcceptChecksum => self.accept_checksum(ctx),
            FileAction::TakeImage => self.take_image(),
            FileAction::Understood => self.understood(),
            FileAction::Welcomed => {
                self.files.dialogs.welcome = false;
                self.settings.is_welcomed = true;
            }
            FileAction::SetKeys(command, keys) => self.set_keys(command, keys),
            FileAction::ResetKeys => self.settings.keys = KeyMap::default(),
            FileAction::Jump(step) => self.jump(step),
        }
    }

    fn report(&mut self, done: Result<(), Refusal>) {
        if let Err(text) = done {
            self.complain(text);
        }
    }

    /// Updates everything that depends on document and screen.
    fn settle(&mut self, ctx: &egui::Context) {
        self.settings.look = self.screen.look;
        if !ctx.input(|input| input.pointer.any_down()) {
            self.settings.splits = self.screen.splits;
        }
        self.settings.decimal_comma = self.screen.grid.clipboard.mark == DecimalMark::Comma;
        if let Some(told) = self.surroundings.settings.keep(&self.settings, ctx) {
            self.complain_of(Cause::Lasting, told);
        }
        self.screen.export.today = date((self.surroundings.clock)());
        self.settle_typing(ctx);
        self.settle_notice();
        self.mind_closing(ctx);
        self.settle_files(ctx);
        self.listen_for_copies(ctx);
        self.set_title(ctx);
        let look = theme::look(self.screen.look, ctx.system_theme());
        if !self.is_styled || look != self.theme.palette.look {
            self.theme = Theme::of(look);
            self.theme.apply(ctx);
            self.is_styled = true;
        }
        let table = self.document.project().advance.table().clone();
        let selection = self.screen.selection.clone();
        self.screen.selection = CellSelection::fitted(selection, &table);
        let (revision, dragged) = (self.document.revision(), self.document.gesture_open());
        self.shown.scales.settle(&table, self.shown.base.current().project.advance.table(), revision, dragged);
        self.tell_of_pinned_items();
        self.settle_remedy(ctx);
        self.settle_preview(ctx);
        self.settle_rig(ctx);
        let content =
            (self.document.revision(), self.shown.preview.serial(), self.shown.checker.serial(), self.screen.sheet);
        if self.shown.keyed != Some(content) {
            self.shown.keyed = Some(content);
            self.shown.content_key += 1;
            self.shown.fields = OnceCell::new();
            self.shown.proposed = self.find_proposed();
        }
        self.settle_base(ctx);
        self.settle_theirs(ctx);
    }

    /// What is merged into the project, once it has been read.
    fn theirs(&self) -> Option<&Base> {
        self.shown.theirs.as_ref()?.found(self.screen.compare.merging.as_ref()?.theirs.as_ref()?)
    }

    /// Finds what is to be merged; if it cannot be found, that is reported, and it is no longer chosen.
    fn settle_theirs(&mut self, ctx: &egui::Context) {
        let choice = self.screen.compare.merging.as_ref().and_then(|merging| merging.theirs.clone());
        let Some(choice) = choice else {
            self.shown.theirs = None;
            return;
        };
        let keeper = self.shown.theirs.get_or_insert_with(|| BaseKeeper::new(&self.document));
        let settled = keeper.settle(&choice, &self.document, ctx);
        if settled.is_err()
            && let Some(merging) = &mut self.screen.compare.merging
        {
            merging.theirs = None;
            self.report_base(&choice, settled);
        }
        if let Some(news) = self.shown.theirs.as_mut().and_then(BaseKeeper::take_news) {
            self.say(news);
        }
    }

    /// Reports why a base is not available, with its path last.
    fn report_base(&mut self, choice: &BaseChoice, settled: Result<(), Refusal>) {
        match (choice, settled) {
            (BaseChoice::File(path), Err(why)) => self.complain_at(path, &why.to_string()),
            (_, settled) => self.report(settled),
        }
    }

    /// If a base cannot be found, that is reported, and the automatic one is used.
    fn settle_base(&mut self, ctx: &egui::Context) {
        let settled = self.shown.base.settle(&self.screen.compare.base, &self.document, ctx);
        if settled.is_err() {
            let choice = std::mem::take(&mut self.screen.compare.base);
            self.report_base(&choice, settled);
            let automatic = self.shown.base.settle(&self.screen.compare.base, &self.document, ctx);
            self.report(automatic);
        }
        if let Some(news) = self.shown.base.take_news() {
            self.say(news);
        }
    }
}
