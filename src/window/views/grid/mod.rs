//! The advance table as a grid of numbers: the grid of `kit` with an editor, a clipboard, contour lines and
//! marks; and what it shares with read-only grids.

mod advance_cells;
mod clipboard;
mod contours;
mod editor;
mod editor_view;
mod headings;
mod keys;
mod question;
mod reading;

use eframe::egui::{self, EventFilter, Rect, pos2, vec2};

use self::advance_cells::{AdvanceCells, Kept};
use crate::drawing::CellSpace;
use crate::project::Project;
use crate::table::Cell;
use crate::window::kit::grid::{Grid, Layout, Measures, Spec};
use crate::window::kit::marks::running_point;
use crate::window::kit::theme::advance_sizes::GRID_HEADING;
use crate::window::state::commands::Command;
use crate::window::state::outbox::Outbox;
use crate::window::state::screen::{Screen, Sheet};
use crate::window::state::screen_message::ScreenMessage;
use crate::window::state::selection::{CellEditor, CellSelection};
use crate::window::views::view::View;

pub use crate::window::state::grid_state::{ClipboardState, Copied, Question};
pub use clipboard::{Pasting, copied, paste};
pub use keys::{commit_editor, commit_editor_before, keys, settle_editor};
pub use question::{mark_buttons, mark_question, show as show_question};
pub use reading::{axes, id, keys_to_read, show_to_read};

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
    let effect = || editor::effect(&view.settled().advance, &view.selection.cells);
    let told = editor::raising(&editor.text, view.keys);
    Some(told.unwrap_or_else(|| format!("Enter {}, Esc does not", effect())))
}

/// What the view caches between frames.
#[derive(Default)]
pub struct GridView {
    grid: Grid,
    kept: Kept,
    /// Whether the cell under the pointer was reported by this view.
    hovers: bool,
    /// Where the editor was painted.
    editor: Option<Rect>,
}

impl GridView {
    /// The size at which every row and column is visible.
    pub fn whole_size(ui: &egui::Ui, view: &View<'_>) -> egui::Vec2 {
        let spec = spec(view, "", "");
        let cells = Measures::new(ui, &spec, &AdvanceCells::to_measure(view)).whole_size(&spec);
        (cells + vec2(2.0 * view.theme.margin, GRID_HEADING + view.theme.gap)).ceil()
    }

    /// Draws the view into the rest of `ui`.
    pub fn show(&mut self, ui: &mut egui::Ui, view: &View<'_>, outbox: &mut Outbox) {
        let rect = ui.available_rect_before_wrap();
        ui.advance_cursor_after_rect(rect);
        let name = match view.project.locked_timing_words() {
            Some(words) => format!("advance table, {words}, no map to drive with"),
            None => "advance table, degrees before top dead centre".to_owned(),
        };
        keep_keyboard(ui, view);
        editor_view::commit_when_left(ui, view, outbox, self.editor);
        let inner = rect.shrink2(vec2(view.theme.margin, 0.0));
        let line = inner.with_max_y(rect.top() + GRID_HEADING);
        let area = Rect::from_min_max(line.left_bottom(), pos2(inner.right(), rect.bottom() - view.theme.gap));
        let is_fresh = self.kept.settle(view);
        let cell_name = if view.flashed.is_some() { "as flashed, advance" } else { "advance" };
        let spec = spec(view, &name, cell_name);
        let shown = self.grid.show(ui, [rect, area], &spec, &self.kept.cells(view), is_fresh);
        reading::heed(view, outbox, &shown);
        if shown.double_clicked {
            outbox.run(Command::EditCell);
        }
        self.hover(view, outbox, shown.hovered);
        show_running_point(ui, view, &shown.layout);
        headings::paint(ui, view, outbox, line, shown.layout.cells.right());
        self.editor = editor_view::paint(ui, view, &shown.layout);
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
        active: view.screen.grid.editor.is_some().then(editor_view::editor_id),
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
