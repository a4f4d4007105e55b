//! The sheets, one under the other.

use eframe::egui::{self, Rect, Role, Sense, WidgetInfo, pos2, vec2};

use crate::window::screen::Sheet;
use crate::window::theme::{color, strong_galley};
use crate::window::{Outbox, View};

pub(super) fn show(ui: &mut egui::Ui, view: &View<'_>, outbox: &mut Outbox) {
    let theme = view.theme;
    ui.spacing_mut().item_spacing.y = 0.0;
    ui.add_space(theme.gap / 2.0);
    for sheet in Sheet::ALL {
        let active = sheet == view.screen.sheet;
        let (rect, response) = ui.allocate_exact_size(vec2(theme.rail_width, theme.rail_step), Sense::click());
        response.widget_info(|| WidgetInfo::selected(Role::Tab, true, active, sheet.name()));
        let palette = theme.palette;
        if active {
            let mark = egui::Rect::from_min_size(rect.left_top(), vec2(theme.rail_mark, rect.height()));
            ui.painter().rect_filled(mark, 0.0, color(palette.accent));
        }
        let ink = if active || response.hovered() { palette.ink } else { palette.ink_secondary };
        name(ui.painter(), view, rect, sheet, active, color(ink));
        if response.clicked() {
            outbox.screen(move |screen| screen.go_to(sheet));
        }
    }
}

/// A sheet's name, on two lines where one has no room.
fn name(painter: &egui::Painter, view: &View<'_>, rect: Rect, sheet: Sheet, active: bool, ink: egui::Color32) {
    let theme = view.theme;
    let left = theme.margin + 2.0;
    let galley = painter.layout(sheet.name().to_owned(), theme.body_font(), ink, rect.width() - left);
    let at = pos2(rect.left() + left, rect.center().y - galley.size().y / 2.0);
    if active {
        strong_galley(painter, at, galley, ink);
    } else {
        painter.galley(at, galley, ink);
    }
}
