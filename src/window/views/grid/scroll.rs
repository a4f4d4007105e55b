//! Whole rows and columns scroll where the cells do not fit; breakpoints stay.

use std::ops::Range;

use eframe::egui::{self, Id, Rect, Role, Sense, Vec2, WidgetInfo, pos2};

use super::layout::Layout;
use crate::table::Cell;
use crate::window::kit::theme::color;
use crate::window::views::view::View;

/// Thickness of a scroll bar with the room beside it.
pub(in crate::window) const THICKNESS: f32 = 12.0;
/// Width of a bar's handle.
const HANDLE: f32 = 6.0;
/// So many points of the wheel scroll by one row or column.
const ROW_OF_WHEEL: f32 = 24.0;

/// What is scrolled to: the first visible column, and the first visible row counted from the highest load.
#[derive(Default)]
pub(in crate::window) struct Scroll {
    first: (usize, usize),
    wheel: Vec2,
    followed: Option<Cell>,
}

impl Scroll {
    /// The first visible column and row. A cursor that moved comes into view.
    pub(in crate::window) fn place(
        &mut self,
        ui: &egui::Ui,
        view: &View<'_>,
        shown: (usize, usize),
        size: (usize, usize),
    ) -> (usize, usize) {
        self.turn_wheel(ui);
        let cursor = view.screen.selection.cursor;
        if self.followed != Some(cursor) {
            self.followed = Some(cursor);
            self.first.0 = brought_into(self.first.0, shown.0, cursor.speed);
            self.first.1 = brought_into(self.first.1, shown.1, (size.1 - 1).saturating_sub(cursor.load));
        }
        self.first.0 = self.first.0.min(size.0 - shown.0);
        self.first.1 = self.first.1.min(size.1 - shown.1);
        self.first
    }

    #[expect(clippy::cast_possible_truncation, reason = "rows turned in a frame")]
    fn turn_wheel(&mut self, ui: &egui::Ui) {
        let is_over = ui.ctx().read_response(super::layout::id()).is_some_and(|response| response.hovered());
        if !is_over {
            self.wheel = Vec2::ZERO;
            return;
        }
        self.wheel += ui.input(|input| input.smooth_scroll_delta());
        let turned = Vec2::new((self.wheel.x / ROW_OF_WHEEL).trunc(), (self.wheel.y / ROW_OF_WHEEL).trunc());
        self.wheel -= turned * ROW_OF_WHEEL;
        self.first.0 = self.first.0.saturating_add_signed(-turned.x as isize);
        self.first.1 = self.first.1.saturating_add_signed(-turned.y as isize);
    }

    /// Paints the bars and follows a drag on them.
    pub(in crate::window) fn show(&mut self, ui: &egui::Ui, view: &View<'_>, layout: &Layout) {
        let (columns, lines) = layout.window();
        if columns.len() < layout.size.0 {
            let top = layout.cells.bottom() + (THICKNESS - HANDLE) / 2.0;
            let track = Rect::from_min_max(pos2(layout.cells.left(), top), pos2(layout.cells.right(), top + HANDLE));
            self.first.0 = bar(ui, view, Bar { name: "scroll speeds", track, sideways: true }, &columns, layout.size.0);
        }
        if lines.len() < layout.size.1 {
            let left = layout.cells.right() + (THICKNESS - HANDLE) / 2.0;
            let track = Rect::from_min_max(pos2(left, layout.cells.top()), pos2(left + HANDLE, layout.cells.bottom()));
            self.first.1 = bar(ui, view, Bar { name: "scroll loads", track, sideways: false }, &lines, layout.size.1);
        }
    }
}

/// The least change of the first one that shows another.
fn brought_into(first: usize, shown: usize, wanted: usize) -> usize {
    first.clamp((wanted + 1).saturating_sub(shown), wanted)
}

struct Bar {
    name: &'static str,
    track: Rect,
    sideways: bool,
}

/// A bar whose handle shows which part is visible; gives the first one wanted.
#[expect(clippy::cast_possible_truncation, reason = "at most 64")]
fn bar(ui: &egui::Ui, view: &View<'_>, bar: Bar, shown: &Range<usize>, count: usize) -> usize {
    let Bar { name, track, sideways } = bar;
    let response = ui.interact(track.expand(3.0), Id::unique(name), Sense::drag());
    response.widget_info(|| WidgetInfo::labeled(Role::ScrollBar, true, name));
    let length = if sideways { track.width() } else { track.height() };
    let each = length / count as f32;
    let (from, to) = (shown.start as f32 * each, shown.end as f32 * each);
    let mut handle = track;
    if sideways {
        handle = Rect::from_min_max(pos2(track.left() + from, track.top()), pos2(track.left() + to, track.bottom()));
    } else {
        handle.set_top(track.top() + from);
        handle.set_bottom(track.top() + to);
    }
    let palette = view.theme.palette;
    let ink = if response.dragged() || response.hovered() { palette.ink_secondary } else { palette.rule_strong };
    ui.painter().rect_filled(track, HANDLE / 2.0, color(palette.rule));
    ui.painter().rect_filled(handle, HANDLE / 2.0, color(ink));
    let Some(pointer) = response.interact_pointer_pos() else {
        return shown.start;
    };
    let along = if sideways { pointer.x - track.left() } else { pointer.y - track.top() };
    let middle = (along / each - shown.len() as f32 / 2.0).round().max(0.0) as usize;
    middle.min(count - shown.len())
}

#[cfg(test)]
mod tests {
    use super::brought_into;

    #[test]
    fn scrolls_no_further_than_needed() {
        let cases = [((0, 10, 5), 0), ((0, 10, 10), 1), ((5, 10, 2), 2), ((5, 10, 14), 5), ((5, 10, 15), 6)];
        for ((first, shown, wanted), expected) in cases {
            assert_eq!(brought_into(first, shown, wanted), expected);
        }
    }
}
