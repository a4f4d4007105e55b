//! The number of a region of change: the same in the grid, in the list and on the surface. A click on any of them chooses
//! the region, and it is marked as chosen in all.

use eframe::egui::{
    self, CornerRadius, FontId, Painter, Pos2, Rect, Response, Role, Sense, StrokeKind, Vec2, WidgetInfo, vec2,
};

use super::comparing::Compared;
use crate::compare::Region;
use crate::table::Cell;
use crate::window::kit::grid::Layout;
use crate::window::kit::theme::table_sheet_sizes::{BADGE_RING, BADGE_TARGET, BETWEEN_CELLS, DIGITS_SHARE};
use crate::window::kit::theme::{Theme, color, hairline, ring};
use crate::window::state::outbox::Outbox;
use crate::window::state::screen::ScreenMessage;
use crate::window::state::selection::CellSelection;

/// How a number is painted.
#[derive(Clone, Copy)]
pub(super) struct Badge {
    /// The place of its region among all.
    pub(super) number: usize,
    /// 1 is the usual size.
    pub(super) size: f32,
    /// Whether its region is the one under the cursor.
    pub(super) is_chosen: bool,
}

/// Paints a region's number in a disc, with a ring round it if the region is chosen.
pub(super) fn paint(painter: &Painter, at: Pos2, badge: Badge, theme: &Theme) -> Rect {
    let palette = theme.palette;
    let radius = theme.compare.badge_radius * badge.size;
    let text = (badge.number + 1).to_string();
    let galley = painter.layout_no_wrap(text, FontId::proportional(theme.small * badge.size), color(palette.paper));
    let width = (galley.size().x + 0.9 * radius).max(2.0 * radius);
    let disc = Rect::from_center_size(at, vec2(width, 2.0 * radius));
    painter.rect_filled(disc, radius, color(palette.ink));
    painter.galley(at - galley.size() / 2.0, galley, color(palette.paper));
    if badge.is_chosen {
        // Between disc and ring some paper, so that the ring is seen on any tint.
        let round = disc.expand(BADGE_RING);
        painter.rect_stroke(round, rounding(round), ring(color(palette.paper)), StrokeKind::Inside);
        painter.rect_stroke(round, rounding(round), ring(color(palette.accent)), StrokeKind::Outside);
    }
    disc
}

/// A number that is painted at a place and can be pressed; `place` says where it is to those who listen: 'in the grid';
/// `told` is what it stands for.
pub(super) fn button(ui: &egui::Ui, theme: &Theme, (at, badge): (Pos2, Badge), place: &str, told: &str) -> Response {
    let disc = paint(ui.painter(), at, badge, theme);
    let id = ui.scope_id().with(("number of a region", place, badge.number));
    // As large as a line of a list, which is a larger target in the sun.
    let size = disc.expand(BADGE_TARGET).size().max(Vec2::splat(theme.compare.line_height));
    let target = Rect::from_center_size(disc.center(), size).intersect(ui.clip_rect());
    let response = ui.interact(target, id, Sense::click());
    let name = format!("region {} {place}", badge.number + 1);
    response.widget_info(|| WidgetInfo::selected(Role::Button, true, badge.is_chosen, &name));
    if response.hovered() || response.has_focus() {
        let round = disc.expand(BADGE_RING);
        ui.painter().rect_stroke(round, rounding(round), hairline(color(theme.palette.ink)), StrokeKind::Outside);
    }
    response.on_hover_text(format!("Region {}. {told}", badge.number + 1))
}

/// How large a number between four cells can be without covering a digit or a sign.
pub(super) fn size_between(ui: &egui::Ui, theme: &Theme, layout: &Layout, cell: Vec2) -> f32 {
    let font = theme.digits_font_of(layout.digits);
    let digits = ui.painter().layout_no_wrap("+00.0".to_owned(), font, egui::Color32::BLACK).size();
    let free = (cell - digits * DIGITS_SHARE) / 2.0;
    (free.max(Vec2::ZERO).length() / theme.compare.badge_radius).clamp(BETWEEN_CELLS, 1.0)
}

/// The first of some points with the highest load: a region's number stands at its corner. The points are sorted.
pub(super) fn upper_left(points: &[Cell]) -> Option<Cell> {
    let top = points.last()?.load;
    points.iter().copied().find(|point| point.load == top)
}

fn rounding(rect: Rect) -> CornerRadius {
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "a few points")]
    CornerRadius::same((rect.height() / 2.0).ceil() as u8)
}

/// Selects the cells of a region, with the cursor at its peak.
pub(super) fn choose(compared: &Compared, region: &Region, outbox: &mut Outbox) {
    let cells = compared.cells_of(region);
    let table = compared.edited().advance.table();
    let peak = table.load().index_of(region.peak.load).zip(table.speed().index_of(region.peak.speed_rpm));
    let peak = peak.map(|(load, speed)| Cell::new(load, speed));
    let Some(cursor) = peak.or_else(|| cells.cells().next()) else {
        return outbox.say("This region lies between the table's breakpoints: it has no cell to select");
    };
    outbox.send(ScreenMessage::Select(CellSelection { cells, cursor, anchor: cursor }));
}
