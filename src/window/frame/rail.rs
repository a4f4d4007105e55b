//! The sheets, one under the other.

use eframe::egui::{self, Role, Sense, WidgetInfo, pos2, vec2};

use crate::window::screen::Sheet;
use crate::window::theme::{color, strong_text};
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
        let at = pos2(rect.left() + theme.margin + 2.0, rect.center().y);
        let side = egui::Align2::LEFT_CENTER;
        if active {
            strong_text(ui.painter(), at, side, sheet.name(), theme.body_font(), color(ink));
        } else {
            ui.painter().text(at, side, sheet.name(), theme.body_font(), color(ink));
        }
        if response.clicked() {
            outbox.screen(move |screen| screen.sheet = sheet);
        }
    }
}
