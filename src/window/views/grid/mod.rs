//! The table as a grid of numbers: one painted widget with its own keys, mouse, editor and clipboard.
//!
//! Rows are loads, the highest at the top; columns are speeds. Where the cells do not fit, whole rows and columns
//! scroll under breakpoints that stay.

mod clipboard;
mod contours;
mod editor;
mod editor_view;
mod ground;
mod headings;
mod keys;
mod layout;
mod motion;
mod names;
mod outline;
mod pointer;
mod question;
mod scroll;

use eframe::egui::{self, EventFilter, Role, Sense, WidgetInfo};

use self::ground::Ground;
use self::layout::Layout;
use self::pointer::Press;
use self::scroll::Scroll;
use crate::project::Project;
use crate::window::state::grid_state::GridMessage;
use crate::window::state::outbox::Outbox;
use crate::window::state::screen::{Screen, Sheet};
use crate::window::state::selection::{CellEditor, CellSelection};
use crate::window::views::view::View;

pub use crate::window::state::grid_state::{ClipboardState, Copied, Question};
pub use clipboard::{Pasting, copied, paste};
pub use keys::{commit_editor, keys, settle_editor};
pub use layout::id;
pub use question::{mark_buttons, mark_question, show as show_question};

/// Gives the keyboard to the table, or, when it has it, to the control after it.
pub fn toggle_focus(ctx: &egui::Context) {
    ctx.memory_mut(|memory| {
        if memory.has_focus(id()) {
            memory.move_focus(egui::FocusDirection::Next);
        } else {
            memory.request_focus(id());
        }
    });
}

/// Opens the editor on the value of the cursor's cell, with every digit that counts.
pub fn edit_in_place(screen: &mut Screen, project: &Project) {
    let table = project.advance.table();
    let cursor = screen.selection.cursor;
    screen.sheet = Sheet::Advance;
    screen.surface.tab = false;
    screen.selection = CellSelection::cell(table, cursor);
    screen.grid.editor = Some(CellEditor::on_value(table.at(cursor)));
}

/// What Enter and Esc will do with the number that is being typed over cells, or why it will be refused.
pub fn editor_effect(view: &View<'_>) -> Option<String> {
    let editor = view.screen.grid.editor.as_ref()?;
    let effect = || editor::effect(&view.settled().advance, &view.selection.cells);
    let told = editor::raising(&editor.text, view.keys);
    Some(told.unwrap_or_else(|| format!("Enter {}, Esc does not", effect())))
}

/// What the view keeps for speed between frames.
#[derive(Default)]
pub struct GridView {
    ground: Ground,
    scroll: Scroll,
    press: Option<Press>,
    /// Whether the cell under the pointer is told by this view.
    hovers: bool,
    /// Where the editor was painted.
    editor: Option<egui::Rect>,
}

impl GridView {
    /// The size at which every row and column is seen.
    pub fn whole_size(ui: &egui::Ui, view: &View<'_>) -> egui::Vec2 {
        layout::whole_size(ui, view)
    }

    /// Draws the view into the rest of `ui`.
    pub fn show(&mut self, ui: &mut egui::Ui, view: &View<'_>, outbox: &mut Outbox) {
        let rect = ui.available_rect_before_wrap();
        let response = ui.interact(rect, id(), Sense::click_and_drag());
        ui.advance_cursor_after_rect(rect);
        let name = match view.project.locked_timing_words() {
            Some(words) => format!("advance table, {words}, no map to drive with"),
            None => "advance table, degrees before top dead centre".to_owned(),
        };
        response.widget_info(|| WidgetInfo::labeled(Role::Grid, true, &name));
        keep_keyboard(ui, view);
        editor_view::commit_when_left(ui, view, outbox, self.editor);
        let layout = Layout::new(ui, view, rect, &mut self.scroll);
        if view.screen.grid.rows != layout.rows() {
            outbox.send(GridMessage::Rows(layout.rows()));
        }
        pointer::follow(ui, view, outbox, &layout, &response, &mut self.press);
        pointer::edit(outbox, &layout, &response);
        pointer::hover(view, outbox, &layout, &response, &mut self.hovers);
        headings::paint(ui, view, outbox, &layout);
        self.ground.paint(ui, view, &layout);
        outline::paint(ui, view, &layout);
        self.editor = editor_view::paint(ui, view, &layout);
        self.scroll.show(ui, view, &layout);
        names::tell(ui, view, outbox, &layout, self.ground.changed());
    }
}

/// Takes the keyboard where nothing else has or wants it, and keeps arrows, Tab and Escape.
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
