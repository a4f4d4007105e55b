//! The advance table as a grid of numbers: the grid of `kit` with an editor, a clipboard, contour lines and
//! marks; and what it shares with read-only grids.

mod advance_cells;
mod clipboard;
mod editor;
mod headings;
mod keys;
mod point_rings;
mod question;

use eframe::egui::{self, EventFilter, Id, Rect, pos2, vec2};

use self::advance_cells::{AdvanceCells, Kept};
pub use self::clipboard::{Pasting, copied, paste};
pub use self::keys::{commit_editor, commit_editor_before, keys, settle_editor};
pub use self::question::{mark_buttons, mark_question, show as show_question};
use crate::drawing::CellSpace;
use crate::project::Project;
use crate::table::Cell;
use crate::window::kit::grid::{Axis, Contents, Grid, Layout, Measures, Shown, Spec, take_keys};
use crate::window::kit::marks::running_point;
use crate::window::kit::theme::Theme;
use crate::window::kit::theme::kit_sizes::TIGHT_GAP;
use crate::window::kit::theme::view_sizes::GRID_HEADING;
use crate::window::state::commands::Command;
use crate::window::state::grid_state::GridMessage;
pub use crate::window::state::grid_state::{ClipboardState, Copied, Question};
use crate::window::state::outbox::Outbox;
use crate::window::state::screen::{Menu, MenuOf, Screen, ScreenMessage, Sheet};
use crate::window::state::selection::{CellEditor, CellSelection};
use crate::window::views::layers;
use crate::window::views::measured;
use crate::window::views::view::View;
use crate::wording::Unit;

/// Gives the keyboard focus to the table, or, if it has the focus, to the control after it.
pub fn toggle_focus(ctx: &egui::Context) {
    ctx.memory_mut(|memory| {
        if memory.has_focus(id()) {
            memory.move_focus(egui::FocusDirection::Next);
        } else {
            memory.request_focus(id());
        }
    });
}

/// Opens the editor on the value of the cursor's cell, with all significant digits.
pub fn edit_in_place(screen: &mut Screen, project: &Project) {
    let table = project.advance.table();
    let cursor = screen.selection.cursor;
    screen.sheet = Sheet::Advance;
    screen.surface.tab = false;
    screen.selection = CellSelection::cell(table, cursor);
    screen.grid.editor = Some(CellEditor::on_value(table.at(cursor)));
}

/// What Enter and Esc will do with the number being typed over cells, or why it will be refused.
pub fn editor_effect(view: &View<'_>) -> Option<String> {
    let editor = view.screen.grid.editor.as_ref()?;
    Some(editor::effect(&editor.text, &view.settled().advance, &view.selection.cells).line())
}

/// The sizes at which every row and column of the table is visible.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct WholeSizes {
    /// With the least cells.
    pub least: egui::Vec2,
    /// With cells as they are where there is room for other things as well.
    pub usual: egui::Vec2,
    /// With the largest; beyond that there is only air.
    pub most: egui::Vec2,
}

/// What the view caches between frames.
#[derive(Default)]
pub struct GridView {
    grid: Grid,
    kept: Kept,
    /// Whether the cell under the pointer was reported by this view.
    hovers: bool,
    /// The measured point under the pointer that this view reported.
    hovered_point: Option<usize>,
    /// Where the editor was painted.
    editor: Option<Rect>,
}

impl GridView {
    /// The sizes at which every row and column is visible; `has_words` as in [`show`](Self::show).
    pub fn sizes(ui: &egui::Ui, view: &View<'_>, has_words: bool) -> WholeSizes {
        let spec = spec(view, "", "");
        let measures = Measures::new(ui, &spec, &AdvanceCells::to_measure(view));
        let words = if has_words { view.theme.small_target } else { 0.0 };
        let lines = words + view.theme.small_target + TIGHT_GAP;
        let around = vec2(2.0 * view.theme.margin, GRID_HEADING + view.theme.gap + lines);
        let size = |cells: egui::Vec2| (cells + around).ceil();
        let grid = &view.theme.grid;
        WholeSizes {
            least: size(measures.least_size(&spec)),
            usual: size(measures.size_of(&spec, grid.usual_cell)),
            most: size(measures.size_of(&spec, grid.largest_cell)),
        }
    }

    /// Draws the view into the rest of `ui`; `has_words` says whether the words that choose the layer stand over the
    /// grid: elsewhere, in a low window, they stand beside its tab.
    pub fn show(&mut self, ui: &mut egui::Ui, view: &View<'_>, outbox: &mut Outbox, has_words: bool) {
        let rect = ui.available_rect_before_wrap();
        ui.advance_cursor_after_rect(rect);
        let name = match view.project.locked_timing_words() {
            Some(words) => format!("advance table, {words}, no map to drive with"),
            None => "advance table, degrees before top dead centre".to_owned(),
        };
        keep_keyboard(ui, view);
        editor::commit_when_left(ui, view, outbox, self.editor);
        let Places { line, words, area, scale } = Places::within(view, rect, has_words);
        let is_fresh = self.kept.settle(view);
        let cell_name = if view.flashed.is_some() { "as flashed, advance" } else { "advance" };
        let spec = spec(view, &name, cell_name);
        let theme = theme_in(ui, view, area);
        let spec = Spec { theme: &theme, ..spec };
        let shown = self.grid.show(ui, [rect, area], &spec, &self.kept.cells(view), is_fresh);
        heed(view, outbox, &shown);
        open_menu(view, outbox, (&spec, &shown), |of| of);
        if shown.double_clicked {
            outbox.run(Command::EditCell);
        }
        self.hover(view, outbox, shown.hovered);
        let ringed = shown.response.hover_pos().and_then(|at| self.kept.ring_at(at));
        measured::hover(view, &mut self.hovered_point, ringed, outbox);
        if let Some(point) = ringed.and_then(|index| view.project.evidence.points.get(index)) {
            measured::tip(ui, view, id(), point);
        }
        show_running_point(ui, view, &shown.layout);
        headings::paint(ui, view, outbox, line, shown.layout.cells.right());
        if has_words {
            layers::row(ui, view, outbox, words);
        }
        layers::legend(ui, view, outbox, scale, &layers::Legend::of(view));
        self.editor = editor::paint(ui, view, &shown.layout);
    }

    /// Reports which cell is under the pointer; only withdraws what this view has reported.
    fn hover(&mut self, view: &View<'_>, outbox: &mut Outbox, cell: Option<Cell>) {
        if cell.is_none() && !self.hovers {
            return;
        }
        self.hovers = cell.is_some();
        if view.screen.pointer.cell != cell {
            outbox.send(ScreenMessage::Point(cell));
        }
    }
}

/// What stands where in the part of a sheet that shows the table.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Places {
    /// The heading.
    pub line: Rect,
    /// The words that choose what the grid shows, under the heading; of no height where they stand elsewhere.
    pub words: Rect,
    /// The grid.
    pub area: Rect,
    /// The scale of its tints.
    pub scale: Rect,
}

impl Places {
    /// The places within a part; `has_words` says whether the words stand there.
    pub fn within(view: &View<'_>, part: Rect, has_words: bool) -> Self {
        let inner = part.shrink2(vec2(view.theme.margin, 0.0));
        let line = inner.with_max_y(part.top() + GRID_HEADING);
        let height = if has_words { view.theme.small_target } else { 0.0 };
        let words = Rect::from_min_size(line.left_bottom(), vec2(line.width(), height));
        let scale = layers::strip(view, part);
        let area = Rect::from_min_max(words.left_bottom(), pos2(inner.right(), scale.top() - TIGHT_GAP));
        Self { line, words, area, scale }
    }
}

/// The theme of the table's grid in an area: as it is, or where all of the table is to be seen, that with which every cell
/// has room.
pub fn theme_in(ui: &egui::Ui, view: &View<'_>, area: Rect) -> Theme {
    if !view.screen.grid.whole {
        return view.theme.clone();
    }
    let mut share = 1.0_f32;
    let mut theme = view.theme.clone();
    // Widths of letters are rounded, so that the first guess may miss.
    for _ in 0..4 {
        let tried = Spec { theme: &theme, ..spec(view, "", "") };
        let whole = Measures::new(ui, &tried, &AdvanceCells::to_measure(view)).whole_size(&tried);
        let by = (area.width() / whole.x).min(area.height() / whole.y);
        if by >= 1.0 {
            break;
        }
        share *= by;
        theme = view.theme.with_smaller_grid(share);
    }
    theme
}

fn spec<'a>(view: &View<'a>, name: &'a str, cell_name: &'a str) -> Spec<'a> {
    let [speeds, loads] = axes(view);
    Spec {
        id: id(),
        name,
        cell_name,
        speeds,
        loads,
        table: view.table(),
        selection: &view.screen.selection,
        hovered: view.screen.pointer.cell,
        active: view.screen.grid.editor.is_some().then(editor::editor_id),
        theme: view.theme,
    }
}

/// Marks where the run on the rig is at present, once it was looked through.
fn show_running_point(ui: &egui::Ui, view: &View<'_>, layout: &Layout) {
    let Some(point) = view.screen.rig.point_on(view.table()) else { return };
    let at = layout.at(CellSpace::new(view.table()).from_axes(point));
    if layout.cells.contains(at) {
        let clip = layout.cells.expand(view.theme.selection_width).intersect(ui.clip_rect());
        running_point(&ui.painter().with_clip_rect(clip), at, view.theme);
    }
}

/// Takes the keyboard focus if nothing else has or wants it, and keeps arrows, Tab and Escape.
fn keep_keyboard(ui: &egui::Ui, view: &View<'_>) {
    if view.screen.finder.is_some() || view.screen.compare.snapshot_form.is_some() || view.dialogs.take_keys() {
        return;
    }
    let all = EventFilter { tab: true, horizontal_arrows: true, vertical_arrows: true, escape: true };
    ui.memory_mut(|memory| {
        if memory.focused().is_none() {
            memory.request_focus(id());
        }
        memory.set_focus_lock_filter(id(), all);
    });
}

/// The id of the widget that has the keyboard focus while cells are looked at or edited, on whichever sheet the
/// table is.
pub fn id() -> Id {
    Id::unique("table of cells")
}

/// The breakpoints of the table on show: speeds, loads.
pub fn axes<'a>(view: &View<'a>) -> [Axis<'a>; 2] {
    let (table, unit) = (view.table(), view.project.sensors.load.unit());
    [Axis::of("speed", Unit::Rpm, table.speed()), Axis::of("load", unit, table.load())]
}

/// Shows a read-only grid with a selection. Like the advance table it gets the keys as long as no other control
/// visibly has the focus; Tab leads out of it. It stands in an area, and reacts to the pointer in the whole round it.
pub fn show_to_read(
    ui: &mut egui::Ui,
    view: &View<'_>,
    outbox: &mut Outbox,
    (grid, [whole, area]): (&mut Grid, [Rect; 2]),
    spec: &Spec<'_>,
    contents: &dyn Contents,
) -> Shown {
    let moving = EventFilter { horizontal_arrows: true, vertical_arrows: true, escape: true, ..EventFilter::default() };
    ui.memory_mut(|memory| memory.set_focus_lock_filter(spec.id, moving));
    let shown = grid.show(ui, [whole, area], spec, contents, true);
    heed(view, outbox, &shown);
    shown
}

/// Opens the menu that was asked for in a grid, or says where the cursor is for one that was opened by a key; `of` is what the
/// grid makes of cells, columns and rows.
pub fn open_menu(
    view: &View<'_>,
    outbox: &mut Outbox,
    (spec, shown): (&Spec<'_>, &Shown),
    of: impl Fn(MenuOf) -> MenuOf,
) {
    if let Some((asked, selection, at)) = &shown.menu {
        select(selection.clone(), outbox);
        outbox.send(ScreenMessage::Menu(Some(Menu { of: of(*asked), at: Some((at.x, at.y)), row: 0 })));
        return;
    }
    let open = view.screen.menu.filter(|menu| menu.at.is_none());
    let cursor = spec.place_of(view.screen.selection.cursor).and_then(|place| shown.layout.cell(place));
    if let Some((open, cell)) = open.zip(cursor) {
        let at = cell.center();
        outbox.send(ScreenMessage::Menu(Some(Menu { at: Some((at.x, at.y)), ..open })));
    }
}

/// Handles the keys of such a grid.
pub fn keys_to_read(ctx: &egui::Context, view: &View<'_>, outbox: &mut Outbox) {
    let screen = view.screen;
    if let Some(selection) = take_keys(ctx, id(), &screen.selection, view.table(), screen.grid.rows) {
        select(selection, outbox);
    }
}

/// Sends the result of a grid: the selection, and how many rows the page keys move by.
pub(in crate::window) fn heed(view: &View<'_>, outbox: &mut Outbox, shown: &Shown) {
    let rows = shown.layout.rows();
    if view.screen.grid.rows != rows {
        outbox.send(GridMessage::Rows(rows));
    }
    if let Some(selection) = &shown.selection {
        select(selection.clone(), outbox);
    }
}

fn select(selection: CellSelection, outbox: &mut Outbox) {
    outbox.send(ScreenMessage::Select(selection));
}
