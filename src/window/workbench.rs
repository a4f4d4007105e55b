//! The whole of the window between frames: carries out what the views asked for.

use eframe::egui;

use super::base::Base;
use super::commands::{Availability, Command, KeyMap, availability};
use super::screen::{CellSelection, LookChoice, Notice, Screen, Sheet, SidePanel};
use super::sheets::Sheets;
use super::theme::{self, Theme};
use super::{Action, Outbox, View, frame, router};
use crate::document::{Document, Revision};
use crate::drawing::{Camera, Look, View as CameraView};
use crate::project::Project;
use crate::shaping::{Side, Tool, Way};
use crate::table::Selection;

/// The open document, the screen and what the views keep for speed.
pub struct Workbench {
    document: Document,
    screen: Screen,
    base: Base,
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

/// Raising or lowering by a held key: one step, however often the key repeats.
struct Nudge {
    command: Command,
    total_deg: f64,
}

impl Workbench {
    /// A workbench for a document.
    pub fn new(document: Document) -> Self {
        let screen = Screen::new(document.project().advance.table());
        let base = Base::automatic(&document);
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
            base: &self.base,
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
            Action::Drag(tool, cells) => self.drag(tool, cells),
            Action::DragEnd => self.end_drag(),
            Action::DragCancel => {
                self.drag = None;
                self.document.cancel_gesture();
            }
            Action::Copy(text) => ctx.copy_text(text),
            Action::Paste(_) => {}
        }
    }

    fn run(&mut self, ctx: &egui::Context, command: Command) {
        if let Availability::Not(reason) = availability(command, &self.view()) {
            self.screen.notice = Some(Notice { text: format!("{}: {reason}", command.text()), is_error: true });
            return;
        }
        let step = self.document.project().step_deg;
        let cells = self.screen.selection.cells.clone();
        match command {
            Command::Undo => drop(self.document.undo()),
            Command::Redo => drop(self.document.redo()),
            Command::Raise => self.nudge(command, step),
            Command::Lower => self.nudge(command, -step),
            Command::RaiseTen => self.nudge(command, 10.0 * step),
            Command::LowerTen => self.nudge(command, -10.0 * step),
            Command::FillDown => self.shape(&Tool::Fill { from: Side::HighLoad }, &cells),
            Command::FillRight => self.shape(&Tool::Fill { from: Side::LowSpeed }, &cells),
            Command::Interpolate => self.shape(&Tool::Interpolate(Way::Edges), &cells),
            Command::Fair => self.shape(&Tool::Smooth { strength: self.screen.amounts.fair_strength }, &cells),
            Command::ToggleHold => self.toggle_hold(),
            Command::SelectAll => self.select_all(),
            Command::History => self.toggle_panel(SidePanel::History),
            Command::Keys => self.toggle_panel(SidePanel::Keys),
            Command::Finder => self.screen.finder = self.screen.finder.is_none().then(String::new),
            Command::ToggleContours => self.screen.grid_contours = !self.screen.grid_contours,
            Command::ToggleOrigins => self.screen.grid_origins = !self.screen.grid_origins,
            Command::ArmLift => self.screen.lift_armed = !self.screen.lift_armed,
            Command::SurfaceTab => self.screen.surface_tab = !self.screen.surface_tab,
            Command::ViewFront => self.screen.camera = Camera::view(CameraView::Front),
            Command::ViewSide => self.screen.camera = Camera::view(CameraView::Side),
            Command::ViewPlan => self.screen.camera = Camera::view(CameraView::Plan),
            Command::ViewThreeQuarter => self.screen.camera = Camera::view(CameraView::ThreeQuarter),
            Command::SheetAdvance => self.screen.sheet = Sheet::Advance,
            Command::SheetCompare => self.screen.sheet = Sheet::Compare,
            Command::LookSystem => self.screen.look = LookChoice::System,
            Command::LookLight => self.screen.look = LookChoice::Fixed(Look::Light),
            Command::LookDark => self.screen.look = LookChoice::Fixed(Look::Dark),
            Command::LookSunlight => self.screen.look = LookChoice::Fixed(Look::Sunlight),
            Command::Quit => ctx.send_viewport_cmd(egui::ViewportCommand::Close),
            _ => {}
        }
    }

    fn shape(&mut self, tool: &Tool, cells: &Selection) {
        let shaped = match tool.apply(&self.document.project().advance, cells) {
            Ok(shaped) => shaped,
            Err(error) => return self.report(Err(error.to_string())),
        };
        let label = tool.label(&shaped);
        let told = if shaped.held > 0 { format!("{label}; {} held cells stayed", shaped.held) } else { label.clone() };
        let done = self.document.apply(label, Some(cells.clone()), |project| project.with_advance(shaped.advance));
        let done = done.map(|_| ()).map_err(|fault| fault.to_string());
        if done.is_ok() {
            self.screen.notice = Some(Notice { text: told, is_error: false });
        }
        self.report(done);
    }

    fn drag(&mut self, tool: Tool, cells: Selection) {
        if !self.document.gesture_open() {
            self.document.begin_gesture();
        }
        let done = self.document.preview(|start| {
            let shaped = tool.apply(&start.advance, &cells).map_err(|error| error.to_string())?;
            start.with_advance(shaped.advance).map_err(|fault| fault.to_string())
        });
        if done.is_ok() {
            self.drag = Some((tool, cells));
        }
        self.report(done);
    }

    fn end_drag(&mut self) {
        let Some((tool, cells)) = self.drag.take() else {
            return self.document.cancel_gesture();
        };
        let start = self.document.steps()[self.document.current_step()].project.clone();
        match tool.apply(&start.advance, &cells) {
            Ok(shaped) => drop(self.document.finish_gesture(tool.label(&shaped), Some(cells))),
            Err(error) => {
                self.document.cancel_gesture();
                self.report(Err(error.to_string()));
            }
        }
    }

    /// Shows a previewed sentence's result in place of the document's project, or no longer.
    #[expect(dead_code, reason = "for previews of sentences")]
    fn set_preview(&mut self, preview: Option<Project>) {
        self.preview = preview;
        self.content_key += 1;
    }

    fn nudge(&mut self, command: Command, by_deg: f64) {
        let before = self.nudge.take().filter(|nudge| nudge.command == command).map_or(0.0, |nudge| nudge.total_deg);
        if before == 0.0 && self.document.gesture_open() {
            self.end_drag();
        }
        let total_deg = before + by_deg;
        self.drag(Tool::Add { deg: total_deg }, self.screen.selection.cells.clone());
        self.nudge = Some(Nudge { command, total_deg });
    }

    fn end_nudge_when_released(&mut self, ctx: &egui::Context) {
        let Some(nudge) = &self.nudge else {
            return;
        };
        let keys = self.keys.of(nudge.command);
        let still_down = ctx.input(|input| keys.iter().any(|shortcut| input.keys_down.contains(&shortcut.key)));
        if !still_down {
            self.nudge = None;
            self.end_drag();
        }
    }

    fn toggle_hold(&mut self) {
        let cells = self.screen.selection.cells.clone();
        let held = self.document.project().advance.held();
        let all_held = cells.cells().all(|cell| held.contains(cell));
        self.shape(&if all_held { Tool::Release } else { Tool::Hold { measured: false } }, &cells);
    }

    fn select_all(&mut self) {
        self.screen.selection.cells = Selection::all(self.document.project().advance.table());
    }

    fn toggle_panel(&mut self, panel: SidePanel) {
        self.screen.panel = if self.screen.panel == Some(panel) { None } else { Some(panel) };
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
    }
}
