//! Parts of a sheet: a `Ui` for each, and the line between two that can be moved, with the pointer or with arrow keys.

use eframe::egui::{
    self, CursorIcon, EventFilter, Key, Modifiers, Rect, Response, Role, Sense, Ui, UiBuilder, WidgetInfo,
};

use crate::window::kit::theme::kit_sizes::{FOCUS_RING, SPLITTER_REACH, SPLITTER_STEP};
use crate::window::kit::theme::{Theme, color, hairline};

/// Where the part is whose size changes.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(in crate::window) enum Part {
    /// To the right of the line: its width.
    Right,
    /// Below the line: its height.
    Below,
}

/// Draws the splitter along the edge of a part, shows that it can be moved, and returns the requested size, if one is.
pub(in crate::window) fn splitter(
    ui: &mut egui::Ui,
    theme: &Theme,
    part: (Part, Rect),
    name: &str,
    size: f32,
) -> Option<f32> {
    let (side, rect) = part;
    let line = match side {
        Part::Right => {
            Rect::from_x_y_ranges(rect.left() - SPLITTER_REACH..=rect.left() + SPLITTER_REACH, rect.y_range())
        }
        Part::Below => Rect::from_x_y_ranges(rect.x_range(), rect.top() - SPLITTER_REACH..=rect.top() + SPLITTER_REACH),
    };
    let response = ui.interact(line, egui::Id::unique("splitter").with(name), Sense::click_and_drag());
    response.widget_info(|| {
        let mut info = WidgetInfo::labeled(Role::Splitter, true, name);
        info.value = Some(f64::from(size));
        info
    });
    let cursor = if side == Part::Right { CursorIcon::ResizeHorizontal } else { CursorIcon::ResizeVertical };
    let response = response.on_hover_and_drag_cursor(cursor).on_hover_text(told(side));
    paint(ui, theme, (side, rect), &response);
    let dragged_to = response.interact_pointer_pos().filter(|_| response.dragged()).map(|at| match side {
        Part::Right => rect.right() - at.x,
        Part::Below => rect.bottom() - at.y,
    });
    let asked = dragged_to.unwrap_or(size) + keys(ui, side, &response) * SPLITTER_STEP;
    ((asked - size).abs() > f32::EPSILON).then_some(asked)
}

fn told(side: Part) -> &'static str {
    match side {
        Part::Right => "Drag to change the width of the part at its right, or use Left and Right.",
        Part::Below => "Drag to change the height of the part below it, or use Up and Down.",
    }
}

fn paint(ui: &egui::Ui, theme: &Theme, (side, rect): (Part, Rect), response: &Response) {
    let palette = theme.palette;
    let is_live = response.hovered() || response.dragged() || response.has_focus();
    let stroke = match (is_live, side) {
        (true, _) => hairline(color(palette.ink_secondary)),
        (false, Part::Below) => hairline(color(palette.rule)),
        (false, Part::Right) => return,
    };
    match side {
        Part::Right => ui.painter().vline(rect.left(), rect.y_range(), stroke),
        Part::Below => ui.painter().hline(rect.x_range(), rect.top(), stroke),
    };
}

/// By how many steps the arrow keys enlarge the part.
fn keys(ui: &egui::Ui, side: Part, response: &Response) -> f32 {
    if !response.has_focus() {
        return 0.0;
    }
    let arrows = EventFilter { horizontal_arrows: true, vertical_arrows: true, ..EventFilter::default() };
    ui.memory_mut(|memory| memory.set_focus_lock_filter(response.id, arrows));
    let (more, less) = match side {
        Part::Right => (Key::ArrowLeft, Key::ArrowRight),
        Part::Below => (Key::ArrowUp, Key::ArrowDown),
    };
    let count = |key| {
        let presses = ui.input_mut(|input| input.count_and_consume_key(Modifiers::NONE, key));
        f32::from(u8::try_from(presses).unwrap_or(u8::MAX))
    };
    count(more) - count(less)
}

/// A part of a sheet, clipped to its rectangle.
pub fn part(ui: &mut Ui, rect: Rect) -> Ui {
    clipped(ui, UiBuilder::new().max_rect(rect), rect)
}

/// The same with a name that the ids of its widgets begin with, for where parts before it may come and go.
pub fn named_part(ui: &mut Ui, rect: Rect, name: &str) -> Ui {
    clipped(ui, UiBuilder::new().id_salt(name).max_rect(rect), rect)
}

fn clipped(ui: &mut Ui, builder: UiBuilder, rect: Rect) -> Ui {
    let mut part = ui.new_child(builder);
    part.set_clip_rect(rect.expand(FOCUS_RING).intersect(ui.clip_rect()));
    part
}
