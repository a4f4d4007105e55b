//! The window between frames: carries out what the views requested. It is the conductor of `Files`, `Gestures` and
//! `Shown`, and passes on to one what another returns.

mod base_shown;
#[cfg(test)]
mod broken_off;
mod clipboard;
pub mod desktop;
mod file_work;
mod files;
mod gestures;
mod keyboard;
mod keys;
mod leaving;
mod notices;
mod projects;
pub mod router;
mod run;
mod shelf;
mod shown;
mod steps;
mod trace;
mod window_place;

use eframe::egui;

use self::files::Files;
use self::gestures::Gestures;
use self::shelf::Shelf;
use self::shown::{Around, Shown};
use super::frame;
use super::sheets::Sheets;
use crate::document::{Document, Reread, SaveTo};
use crate::drawing::Look;
use crate::image::OnMismatch;
use crate::interchange::DecimalMark;
use crate::window::kit::numbers::{date, look_up_time_zone};
use crate::window::kit::theme::{self, Theme};
use crate::window::state::commands::KeyMap;
use crate::window::state::inspector_state::{Proposal, Proposer};
use crate::window::state::notice::{Cause, Notice};
use crate::window::state::outbox::{Action, FileAction, Outbox};
use crate::window::state::projects::ProjectTabs;
use crate::window::state::screen::Screen;
use crate::window::state::selection::CellSelection;
use crate::window::state::settings::{Settings, WindowPlace};
use crate::window::tasks::base::Base;
use crate::window::views::view::View;
pub use desktop::Surroundings;
pub use trace::Trace;

/// Shown for an edit that makes no step.
const NOTHING_CHANGED: &str = "Nothing changed: the project is so already";

/// The document that is shown, its screen and what the views cache; the other open projects are on the shelf.
pub struct Workbench {
    document: Document,
    screen: Screen,
    shelf: Shelf,
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
        screen.slices.hides_comb = settings.hides_comb;
        screen.sheet = settings.sheet;
        screen.layers = settings.layers.clone();
        screen.grid.clipboard.mark = if settings.decimal_comma { DecimalMark::Comma } else { DecimalMark::Point };
        screen.notice = damage.map(|text| Notice::problem(text, Cause::Lasting));
        let files = Files::new(&surroundings.data, document.path().map(std::path::Path::to_owned));
        let mut workbench = Self {
            screen,
            shelf: Shelf::new(&document),
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
        workbench.greet();
        let is_first = !workbench.settings.is_welcomed && workbench.document.path().is_none();
        if workbench.surroundings.greets {
            workbench.files.set_welcome(is_first);
        }
        workbench
    }

    /// Reports why another document is shown than was asked for.
    pub fn tell_not_opened(&mut self, why: String) {
        self.files.tell_not_opened(why);
    }

    /// The open document.
    pub fn document(&self) -> &Document {
        &self.document
    }

    /// Whether the findings are for the document as it is now, and no remedy is still being previewed.
    pub fn is_checked(&self) -> bool {
        self.shown.is_checked(&self.document)
    }

    /// The open projects.
    pub fn projects(&self) -> &ProjectTabs {
        self.shelf.tabs()
    }

    /// What the project shown is compared with.
    pub fn base(&self) -> &Base {
        self.shown.base()
    }

    /// The state of the screen.
    pub fn screen(&self) -> &Screen {
        &self.screen
    }

    /// Where the window was when it was last closed.
    pub fn place(&self) -> Option<WindowPlace> {
        self.settings.place
    }

    /// Keeps for the next start which sheet is open and where the window is, before the program ends.
    pub fn keep_place(&mut self, ctx: &egui::Context, place: Option<WindowPlace>) {
        self.settings.sheet = self.screen.sheet;
        self.settings.place = place.or(self.settings.place);
        self.settle_settings(ctx);
    }

    /// Requests something, as a view would.
    pub fn ask(&mut self, message: impl Into<Action>) {
        self.outbox.send(message);
    }

    /// What is done between frames: keys, then everything the views asked for.
    pub fn logic(&mut self, ctx: &egui::Context) {
        notices::let_notice_go(ctx, &mut self.screen);
        clipboard::forget_changes(ctx, &mut self.screen);
        self.settle_base_shown(ctx);
        self.hear(ctx);
        self.take_dropped_files(ctx);
        self.capture_keys(ctx);
        let mut asked = std::mem::take(&mut self.outbox);
        // What leads to another project comes last: all the rest was asked of the one that was shown.
        let (last, first): (Vec<_>, Vec<_>) = asked.take().into_iter().partition(Action::turns_to_another);
        for action in first.into_iter().chain(last) {
            self.carry_out(ctx, action);
        }
        self.run_deferred(ctx);
        self.hear_keyboard(ctx);
        self.gestures.go_on_nudging(ctx, &mut self.document, &mut self.screen, &self.settings.keys);
        self.gestures.settle_hearing(ctx);
        self.settle(ctx);
        let dialogs = self.files.dialogs();
        let asks = dialogs.asks_for_path() || self.files.asks_something();
        let is_busy = self.document.gesture_open() || self.screen.is_typing() || asks;
        if self.files.has_answers() && !is_busy {
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
        self.gestures.drawn(self.screen.sheet, ui.ctx());
        self.outbox = outbox;
        if !self.outbox.is_empty() {
            // What was requested is carried out in the next frame.
            ui.ctx().request_repaint();
        }
    }

    fn view(&self) -> View<'_> {
        let around = Around {
            dialogs: self.files.dialogs(),
            projects: self.shelf.tabs(),
            keys: &self.settings.keys,
            theme: &self.theme,
        };
        self.shown.view(&self.document, &self.screen, around)
    }

    /// Carries out at once what `ask` requests, instead of in the next frame.
    fn do_at_once(&mut self, ctx: &egui::Context, ask: impl FnOnce(&View<'_>, &mut Outbox)) {
        let mut outbox = std::mem::take(&mut self.outbox);
        ask(&self.view(), &mut outbox);
        for action in outbox.take() {
            self.carry_out(ctx, action);
        }
    }

    fn carry_out(&mut self, ctx: &egui::Context, action: Action) {
        self.surroundings.trace.write(&action);
        if self.screen.shows_base && !base_shown::only_looks(&action) {
            return;
        }
        match action {
            Action::Run(command) => self.run(ctx, command),
            Action::RunAfterTyping(command) => self.gestures.defer(ctx, &self.screen, command),
            Action::TypeOver(selection, editor) => {
                self.screen.surface.tab &= editor.is_none();
                self.screen.selection = selection;
                self.screen.grid.editor = editor;
            }
            Action::Screen(message) => self.change_screen(ctx, message),
            Action::Shape(tool, cells) => self.commit(Proposal { by: Proposer::Sentence, tool, cells }),
            Action::Edit(label, edit) => self.edit(label, &edit),
            Action::Drag(tool, cells) => {
                self.gestures.drag_tool(&mut self.document, &mut self.screen, tool, cells);
            }
            Action::DragEdit(label, edit) => {
                self.gestures.drag_edit(&mut self.document, &mut self.screen, label, &edit);
            }
            Action::DragEnd => self.gestures.end_drag(&mut self.document, &mut self.screen),
            Action::DragCancel => self.gestures.cancel(&mut self.document),
            Action::NudgeStart(by_deg) => {
                self.gestures.start_button_nudge(ctx, &mut self.document, &mut self.screen, by_deg);
            }
            Action::Commit(proposal) => self.commit(proposal),
            Action::Cure(cure) => self.cure(cure),
            Action::PreviewCancel => self.shown.give_up_preview(&mut self.screen),
            Action::Copy(text) => ctx.copy_text(text),
            Action::Paste(text, answers) => self.paste(&text, answers),
            Action::PasteTold => self.paste_told(),
            Action::Dialogs(message) => self.files.apply(message),
            Action::File(action) => self.file(ctx, action),
        }
    }

    fn file(&mut self, ctx: &egui::Context, action: FileAction) {
        match action {
            FileAction::Choose(job) => self.choose(ctx, job),
            FileAction::TypePath(job) => self.files.type_path(&self.document, job, None),
            FileAction::Do(job, path) => self.do_job(ctx, job, path),
            FileAction::Leave(next) => self.leave_for(ctx, next),
            FileAction::SaveAndGoOn => {
                if let Some(next) = self.files.take_question() {
                    self.save_here(ctx, Some(next));
                }
            }
            FileAction::GiveUpAndGoOn => {
                if let Some(next) = self.files.take_question() {
                    self.give_up_for(ctx, next);
                }
            }
            FileAction::Reload => self.read_again(ctx, Reread::Reload),
            FileAction::SaveOver => {
                let then = self.files.put_off_by_conflict();
                self.save(ctx, SaveTo::Over, then);
            }
            FileAction::DiscardOffer(place) => self.files.discard_offer(ctx, place),
            FileAction::KeepOffers => self.files.keep_offers(),
            FileAction::ReadTableAs(mark) => self.files.read_table_as(ctx, mark),
            FileAction::ReadMarkedAs(mark) => self.read_marked_as(ctx, mark),
            FileAction::ImportTable => self.import_table(),
            FileAction::WriteImage(files, path) => self.write_image(ctx, files, path),
            FileAction::AcceptChecksum => {
                if let Some(path) = self.files.image_looked_at() {
                    self.read_image(ctx, path, OnMismatch::Accept);
                }
            }
            FileAction::TakeImage => self.take_image(),
            FileAction::Understood => {
                self.files.set_caution(false);
                self.keep_understood();
            }
            FileAction::Welcomed => {
                self.files.set_welcome(false);
                self.settings.is_welcomed = true;
            }
            FileAction::SetKeys(command, keys) => self.set_keys(command, keys),
            FileAction::ResetKeys => self.settings.keys = KeyMap::default(),
            FileAction::Jump(step) => self.jump(step),
        }
    }

    /// Updates everything that depends on document and screen.
    fn settle(&mut self, ctx: &egui::Context) {
        self.shelf.settle(&self.document);
        self.settle_settings(ctx);
        self.screen.export.today = date((self.surroundings.clock)());
        self.settle_typing(ctx);
        self.settle_notice();
        self.mind_closing(ctx);
        self.files.settle(ctx, &self.document, &mut self.screen);
        notices::listen_for_copies(ctx, &mut self.document);
        notices::set_title(ctx, &mut self.title, &self.document);
        self.settle_theme(ctx);
        let selection = self.screen.selection.clone();
        self.screen.selection = CellSelection::fitted(selection, self.document.project().advance.table());
        self.shown.settle_sure(ctx, &self.document, &self.screen);
        self.shown.settle_scales(&self.document, &self.screen, self.gestures.take_led_to());
        notices::tell_of_pinned_items(&mut self.steps_seen, &self.document, &mut self.screen);
        self.settle_proposals(ctx);
        let now_s = ctx.input(|input| input.time);
        if self.screen.rig.settle(self.document.project(), now_s) {
            ctx.request_repaint();
        }
        self.shown.settle_content(&self.document, &self.screen);
        self.shown.settle_base(ctx, &self.document, &mut self.screen, |id| self.shelf.state_of(id));
        self.shown.settle_theirs(ctx, &self.document, &mut self.screen);
    }

    /// Saves the settings that belong to the user and not to a project.
    fn settle_settings(&mut self, ctx: &egui::Context) {
        self.settings.look = self.screen.look;
        if !ctx.input(|input| input.pointer.any_down()) {
            self.settings.splits = self.screen.splits;
        }
        if self.screen.layers.typing.is_none() {
            self.settings.layers = self.screen.layers.clone();
        }
        self.settings.hides_comb = self.screen.slices.hides_comb;
        self.settings.decimal_comma = self.screen.grid.clipboard.mark == DecimalMark::Comma;
        self.keep_open_files();
        if let Some(told) = self.surroundings.settings.keep(&self.settings, ctx) {
            self.screen.complain_of(Cause::Lasting, told);
        }
    }

    /// Removes a problem when its cause is gone.
    fn settle_notice(&mut self) {
        let now = self.screen.moment(self.document.revision());
        if notices::is_over(&self.view(), &self.screen, &now) {
            self.screen.notice = None;
        } else if let Some(notice) = self.screen.notice.as_mut().filter(|notice| notice.is_error) {
            notice.told_at.get_or_insert(now);
        }
    }

    fn settle_theme(&mut self, ctx: &egui::Context) {
        let look = theme::look(self.screen.look, ctx.system_theme());
        if !self.is_styled || look != self.theme.palette.look {
            self.theme = Theme::of(look);
            self.theme.apply(ctx);
            self.is_styled = true;
        }
    }

    /// Updates findings, remedy and preview, and makes a step of what was waited for.
    fn settle_proposals(&mut self, ctx: &egui::Context) {
        if let Some(remedied) = self.shown.settle_remedy(ctx, &self.document, &mut self.screen) {
            self.take_remedied(remedied);
            self.shown.settle_checks(ctx, &self.document, &self.screen);
        }
        if let Some(tool) = self.shown.settle_preview(ctx, &self.document, &mut self.screen) {
            self.apply_tool(tool);
            self.shown.preview_shown(ctx, &self.document, &self.screen);
        }
        self.shown.fit_screen(&self.screen);
    }
}
