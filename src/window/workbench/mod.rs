//! The whole of the window between frames: carries out what the views asked for.

mod clipboard;
mod gestures;
mod run;

use eframe::egui;

use self::gestures::Nudge;
use super::base::BaseKeeper;
use super::commands::KeyMap;
use super::screen::{BaseChoice, CellSelection, Notice, Screen};
use super::sheets::Sheets;
use super::theme::{self, Theme};
use super::{Action, Outbox, View, frame, router};
use crate::document::{Document, Revision};
use crate::drawing::Look;
use crate::project::Project;
use crate::shaping::Tool;
use crate::table::Selection;

/// The open document, the screen and what the views keep for speed.
pub struct Workbench {
    document: Document,
    screen: Screen,
    base: BaseKeeper,
    theme: Theme,
    /// Whether the theme has been given to the widgets.
    is_styled: bool,
    keys: KeyMap,
    sheets: Sheets,
    outbox: Outbox,
    /// The tool of the drag that is going on, to label its step.
    drag: Option<(Tool, Selection)>,
    /// A held key: what it has added so far.
    nudge: Option<Nudge>,
    /// The project with the previewed sentence carried out.
    preview: Option<Project>,
    content_key: u64,
    /// The state of the document that `content_key` stands for.
    keyed: Option<Revision>,
}

impl Workbench {
    /// A workbench for a document.
    pub fn new(document: Document) -> Self {
        let screen = Screen::new(document.project().advance.table());
        let base = BaseKeeper::new(&document);
        Self {
            document,
            screen,
            base,
            theme: Theme::of(Look::Light),
            is_styled: false,
            keys: KeyMap::default(),
            sheets: Sheets::default(),
            outbox: Outbox::default(),
            drag: None,
            nudge: None,
            preview: None,
            content_key: 0,
            keyed: None,
        }
    }

    /// The open document.
    pub fn document(&self) -> &Document {
        &self.document
    }

    /// The state of the screen.
    pub fn screen(&self) -> &Screen {
        &self.screen
    }

    /// Asks for an action, as a view would.
    pub fn ask(&mut self, action: Action) {
        self.outbox.push(action);
    }

    /// What is done between frames: keys, then everything the views asked for.
    pub fn logic(&mut self, ctx: &egui::Context) {
        let mut outbox = std::mem::take(&mut self.outbox);
        router::route(ctx, &self.view(), &mut outbox);
        for action in outbox.take() {
            self.carry_out(ctx, action);
        }
        self.end_nudge_when_released(ctx);
        self.settle(ctx);
    }

    /// Draws the window; changes nothing but what the views keep for speed.
    pub fn ui(&mut self, ui: &mut egui::Ui) {
        let mut outbox = std::mem::take(&mut self.outbox);
        let mut sheets = std::mem::take(&mut self.sheets);
        let view = self.view();
        frame::show(ui, &view, &mut outbox, &mut sheets);
        self.sheets = sheets;
        self.outbox = outbox;
        if !self.outbox.is_empty() {
            // What was asked for is carried out at the next frame.
            ui.ctx().request_repaint();
        }
    }

    fn view(&self) -> View<'_> {
        View {
            document: &self.document,
            project: self.preview.as_ref().unwrap_or_else(|| self.document.project()),
            content_key: self.content_key,
            screen: &self.screen,
            base: self.base.current(),
            theme: &self.theme,
            keys: &self.keys,
        }
    }

    fn carry_out(&mut self, ctx: &egui::Context, action: Action) {
        match action {
            Action::Run(command) => self.run(ctx, command),
            Action::Screen(change) => change(&mut self.screen),
            Action::Shape(tool, cells) => self.shape(&tool, &cells),
            Action::Edit(label, edit) => {
                let selected = Some(self.screen.selection.cells.clone());
                let done = self.document.apply(label, selected, edit);
                self.report(done.map(|_| ()));
            }
            Action::Drag(tool, cells) => drop(self.drag(tool, cells)),
            Action::DragEnd => self.end_drag(),
            Action::DragCancel => {
                self.drag = None;
                self.document.cancel_gesture();
            }
            Action::Copy(text) => ctx.copy_text(text),
            Action::Paste(text, answers) => self.paste(text, answers),
        }
    }

    fn report(&mut self, done: Result<(), String>) {
        if let Err(text) = done {
            self.screen.notice = Some(Notice { text, is_error: true });
        }
    }

    /// Brings what follows from document and screen up to date.
    fn settle(&mut self, ctx: &egui::Context) {
        let look = theme::look(self.screen.look, ctx.system_theme());
        if !self.is_styled || look != self.theme.palette.look {
            self.theme = Theme::of(look);
            self.theme.apply(ctx);
            self.is_styled = true;
        }
        let revision = self.document.revision();
        if self.keyed != Some(revision) {
            self.keyed = Some(revision);
            self.content_key += 1;
        }
        let table = self.document.project().advance.table().clone();
        let selection = self.screen.selection.clone();
        self.screen.selection = CellSelection::fitted(selection, &table);
        self.settle_base(ctx);
    }

    /// A base that cannot be found is told, and the automatic one takes its place.
    fn settle_base(&mut self, ctx: &egui::Context) {
        let settled = self.base.settle(&self.screen.base, &self.document, ctx);
        if settled.is_err() {
            self.screen.base = BaseChoice::Automatic;
            self.report(settled);
            let automatic = self.base.settle(&self.screen.base, &self.document, ctx);
            self.report(automatic);
        }
    }
}
