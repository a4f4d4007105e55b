//! The editor as it is seen and read: the text with its caret over the cursor's cell, and what Enter will do.

use eframe::egui::{self, Id, Pos2, Rect, Role, Sense, Stroke, StrokeKind, UiBuilder, WidgetInfo, pos2};

use super::editor::{effect, raising};
use crate::window::kit::grid::Layout;
use crate::window::kit::theme::advance_sizes::EDITOR_PAD;
use crate::window::kit::theme::gaps::{BUBBLE, BUBBLE_AWAY, CARET_ROOM};
use crate::window::kit::theme::kit_sizes::HAIRLINE;
use crate::window::kit::theme::{color, hairline, ring};
use crate::window::state::grid_state::GridMessage;
use crate::window::state::outbox::Outbox;
use crate::window::views::view::View;

/// Where the editor is in the tree of names.
pub(in crate::window) fn editor_id() -> Id {
    super::reading::id().with("editor")
}

/// A press anywhere else ends the editor: with a step when its text is a number, else without.
pub(in crate::window) fn commit_when_left(ui: &egui::Ui, view: &View<'_>, outbox: &mut Outbox, shown: Option<Rect>) {
    if view.screen.grid.editor.is_none() {
        return;
    }
    let pressed = ui.input(|input| if input.pointer.any_pressed() { input.pointer.interact_pos() } else { None });
    let is_left = pressed.is_some_and(|at| !shown.is_some_and(|rect| rect.contains(at)));
    if is_left && !super::commit_editor(view, outbox) {
        outbox.send(GridMessage::CloseEditor);
    }
}

/// Paints the open editor; gives the area it takes.
pub(in crate::window) fn paint(ui: &mut egui::Ui, view: &View<'_>, layout: &Layout) -> Option<Rect> {
    let editor = view.screen.grid.editor.as_ref()?;
    let cell = layout.cell(view.screen.selection.cursor)?;
    let (theme, palette) = (view.theme, view.theme.palette);
    let ink = color(palette.ink);
    let galley = ui.painter().layout_no_wrap(editor.text.clone(), theme.digits_font(), ink);
    let wide = cell.width().max(galley.size().x + 2.0 * EDITOR_PAD + CARET_ROOM);
    let right = (cell.left() + wide).min(ui.max_rect().right());
    let rect = Rect::from_min_max(pos2(right - wide, cell.top()), pos2(right, cell.bottom())).expand(HAIRLINE);
    let painter = ui.painter();
    painter.rect_filled(rect, 0.0, color(palette.field));
    let stroke = Stroke::new(theme.selection_width, color(palette.accent));
    painter.rect_stroke(rect, 0.0, stroke, StrokeKind::Inside);
    let at = pos2(rect.right() - EDITOR_PAD - galley.size().x, rect.center().y - galley.size().y / 2.0);
    let caret = galley.pos_from_cursor(egui::text::CCursor::new(editor.caret));
    painter.galley(at, galley, ink);
    let caret = caret.translate(at.to_vec2());
    painter.vline(caret.left(), caret.y_range(), ring(ink));
    let effect = raising(&editor.text, view.keys)
        .unwrap_or_else(|| effect(&view.document.project().advance, &view.screen.selection.cells));
    bubble(ui, view, rect, &effect);
    tell(ui, rect, &editor.text, &effect);
    Some(rect)
}

/// Says beside the editor what Enter will do.
fn bubble(ui: &egui::Ui, view: &View<'_>, editor: Rect, text: &str) {
    let (theme, palette) = (view.theme, view.theme.palette);
    let galley = ui.painter().layout_no_wrap(text.to_owned(), theme.small_font(), color(palette.ink));
    let size = galley.size() + 2.0 * BUBBLE;
    let bounds = ui.max_rect();
    let below = editor.bottom() + BUBBLE_AWAY;
    let y = if below + size.y > bounds.bottom() { editor.top() - BUBBLE_AWAY - size.y } else { below };
    let x = editor.left().min(bounds.right() - size.x).max(bounds.left());
    let rect = Rect::from_min_size(Pos2::new(x, y), size);
    let painter = ui.painter();
    painter.rect_filled(rect, f32::from(theme.radius), color(palette.paper));
    let stroke = hairline(color(palette.rule_strong));
    painter.rect_stroke(rect, f32::from(theme.radius), stroke, StrokeKind::Inside);
    painter.galley(rect.min + BUBBLE, galley, color(palette.ink));
}

fn tell(ui: &mut egui::Ui, rect: Rect, text: &str, effect: &str) {
    ui.scope_builder(UiBuilder::new().accessibility_parent(super::reading::id()), |ui| {
        let response = ui.interact(rect, editor_id(), Sense::hover());
        response.widget_info(|| WidgetInfo {
            current_text_value: Some(text.to_owned()),
            ..WidgetInfo::labeled(Role::TextInput, true, format!("number for the selected cells; Enter {effect}"))
        });
    });
}
