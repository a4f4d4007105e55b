//! Whole rows and columns scroll if the cells do not all fit; breakpoints stay.

use std::ops::Range;

use eframe::egui::{self, Id, Rect, Role, Sense, Vec2, WidgetInfo, pos2};

use super::layout::Layout;
use super::spec::Spec;
use crate::table::Cell;
use crate::window::kit::theme::kit_sizes::SCROLL_REACH;
use crate::window::kit::theme::{Theme, color};

/// How many points of the wheel scroll by one row or column.
const ROW_OF_WHEEL: f32 = 24.0;

/// The scroll position: the first visible column, and the first visible row counted from the highest load.
#[derive(Default)]
pub(super) struct Scroll {
    first: (usize, usize),
    wheel: Vec2,
    followed: Option<Cell>,
    /// A cell other than the cursor that is to be scrolled into view.
    wanted: Option<Cell>,
}

impl Scroll {
    /// Scrolls a cell into view when the grid is next laid out.
    pub(super) fn bring(&mut self, place: Cell) {
        self.wanted = Some(place);
    }

    /// The first visible column and row. A cursor that has moved is scrolled into view.
    pub(super) fn place(
        &mut self,
        ui: &egui::Ui,
        id: Id,
        cursor: Option<Cell>,
        shown: (usize, usize),
        size: (usize, usize),
    ) -> (usize, usize) {
        self.turn_wheel(ui, id, (size.0 - shown.0, size.1 - shown.1));
        let moved = cursor.filter(|_| self.followed != cursor);
        self.followed = cursor;
        for place in [moved, self.wanted.take()].into_iter().flatten() {
            self.first.0 = brought_into(self.first.0, shown.0, place.speed);
            self.first.1 = brought_into(self.first.1, shown.1, (size.1 - 1).saturating_sub(place.load));
        }
        self.first.0 = self.first.0.min(size.0 - shown.0);
        self.first.1 = self.first.1.min(size.1 - shown.1);
        self.first
    }

    #[expect(clippy::cast_possible_truncation, reason = "rows turned in a frame")]
    fn turn_wheel(&mut self, ui: &egui::Ui, id: Id, hidden: (usize, usize)) {
        let is_over = ui.ctx().read_response(id).is_some_and(|response| response.hovered());
        if !is_over {
            self.wheel = Vec2::ZERO;
            return;
        }
        self.wheel += ui.input_mut(|input| {
            let delta = input.smooth_scroll_delta();
            // The page around the grid does not scroll with it.
            for (axis, hidden) in [hidden.0, hidden.1].into_iter().enumerate() {
                if hidden > 0 {
                    input.smooth_scroll_delta[axis] = 0.0;
                }
            }
            delta
        });
        let turned = Vec2::new((self.wheel.x / ROW_OF_WHEEL).trunc(), (self.wheel.y / ROW_OF_WHEEL).trunc());
        self.wheel -= turned * ROW_OF_WHEEL;
        self.first.0 = self.first.0.saturating_add_signed(-turned.x as isize);
        self.first.1 = self.first.1.saturating_add_signed(-turned.y as isize);
    }

    /// Paints the bars and follows a drag on them.
    pub(super) fn show(&mut self, ui: &egui::Ui, spec: &Spec<'_>, layout: &Layout) {
        let (columns, lines) = layout.window();
        let (cells, handle) = (layout.cells, spec.theme.grid.handle);
        let aside = (spec.theme.grid.bar - handle) / 2.0;
        let bar = |axis: &'static str, track: Rect, sideways: bool| Bar { id: spec.id, axis, track, sideways };
        if columns.len() < layout.size.0 {
            let top = cells.bottom() + aside;
            let track = Rect::from_min_max(pos2(cells.left(), top), pos2(cells.right(), top + handle));
            self.first.0 = bar(spec.speeds.name, track, true).show(ui, spec.theme, &columns, layout.size.0);
        }
        if lines.len() < layout.size.1 {
            let left = cells.right() + aside;
            let track = Rect::from_min_max(pos2(left, cells.top()), pos2(left + handle, cells.bottom()));
            self.first.1 = bar(spec.loads.name, track, false).show(ui, spec.theme, &lines, layout.size.1);
        }
    }
}

/// The new first index, changed as little as possible, for which the wanted one is visible.
fn brought_into(first: usize, shown: usize, wanted: usize) -> usize {
    first.clamp((wanted + 1).saturating_sub(shown), wanted)
}

struct Bar {
    id: Id,
    axis: &'static str,
    track: Rect,
    sideways: bool,
}

impl Bar {
    /// Paints a bar whose handle shows which part is visible; returns the first index wanted.
    #[expect(clippy::cast_possible_truncation, reason = "at most 128")]
    fn show(&self, ui: &egui::Ui, theme: &Theme, shown: &Range<usize>, count: usize) -> usize {
        let Self { id, axis, track, sideways } = *self;
        let response = ui.interact(track.expand(SCROLL_REACH), id.with(("scroll", axis)), Sense::drag());
        response.widget_info(|| WidgetInfo::labeled(Role::ScrollBar, true, format!("scroll {axis}s")));
        let length = if sideways { track.width() } else { track.height() };
        let each = length / count as f32;
        let (from, to) = (shown.start as f32 * each, shown.end as f32 * each);
        let handle = if sideways {
            Rect::from_x_y_ranges(track.left() + from..=track.left() + to, track.y_range())
        } else {
            Rect::from_x_y_ranges(track.x_range(), track.top() + from..=track.top() + to)
        };
        let palette = theme.palette;
        let ink = if response.dragged() || response.hovered() { palette.ink_secondary } else { palette.rule_strong };
        let radius = theme.grid.handle / 2.0;
        ui.painter().rect_filled(track, radius, color(palette.rule));
        ui.painter().rect_filled(handle, radius, color(ink));
        let Some(pointer) = response.interact_pointer_pos() else {
            return shown.start;
        };
        let along = if sideways { pointer.x - track.left() } else { pointer.y - track.top() };
        let middle = (along / each - shown.len() as f32 / 2.0).round().max(0.0) as usize;
        middle.min(count - shown.len())
    }
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
