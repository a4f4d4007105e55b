//! The sheets, one under the other.

use eframe::egui::emath::GuiRounding;
use eframe::egui::{self, Align2, Rect, Role, Sense, StrokeKind, WidgetInfo, pos2, vec2};

use crate::window::kit::marks;
use crate::window::kit::theme::frame_sizes::{RAIL_MARK_AIR, RAIL_NAME_INSET};
use crate::window::kit::theme::kit_sizes::{MARK, RING_INSET};
use crate::window::kit::theme::{color, ring, severity_ink, strong_galley};
use crate::window::state::commands::Command;
use crate::window::state::outbox::Outbox;
use crate::window::state::screen::ScreenMessage;
use crate::window::state::screen::Sheet;
use crate::window::views::view::View;

pub(super) fn show(ui: &mut egui::Ui, view: &View<'_>, outbox: &mut Outbox) {
    let theme = view.theme;
    ui.spacing_mut().item_spacing.y = 0.0;
    ui.add_space(theme.gap / 2.0);
    for &sheet in Sheet::ALL {
        let active = sheet == view.screen.sheet;
        let (rect, response) = ui.allocate_exact_size(vec2(theme.rail_width, theme.rail_step), Sense::click());
        response.widget_info(|| WidgetInfo::selected(Role::Tab, true, active, sheet.row().name));
        let palette = theme.palette;
        if active {
            let mark = egui::Rect::from_min_size(rect.left_top(), vec2(theme.rail_mark, rect.height()));
            ui.painter().rect_filled(mark, 0.0, color(palette.accent));
        }
        if response.has_focus() {
            let stroke = ring(color(palette.ink));
            ui.painter().rect_stroke(rect.shrink(RING_INSET), f32::from(theme.radius), stroke, StrokeKind::Inside);
        }
        let ink =
            if active || response.hovered() || response.has_focus() { palette.ink } else { palette.ink_secondary };
        name(ui.painter(), view, rect, sheet, active, color(ink));
        if sheet == Sheet::Checks {
            count(ui.painter(), view, rect);
        }
        if response.on_hover_text(view.keys.tooltip(Command::Sheet(sheet))).clicked() {
            outbox.send(ScreenMessage::Show(sheet));
        }
    }
}

/// How many findings are open, with the shape of the worst.
fn count(painter: &egui::Painter, view: &View<'_>, rect: Rect) {
    let (theme, tally) = (view.theme, view.checked.tally);
    let Some(worst) = tally.worst() else {
        return;
    };
    let ink = severity_ink(theme, worst);
    let at = rect.right_center() - vec2(theme.gap, 0.0);
    let text = painter.text(at, Align2::RIGHT_CENTER, tally.total().to_string(), theme.small_font(), color(ink));
    // On whole pixels: its lines are thin, and half a line looks cut off.
    let corner = pos2(text.left() - RAIL_MARK_AIR - MARK.x, rect.center().y - MARK.y / 2.0);
    let mark = Rect::from_min_size(corner.round_to_pixels(painter.pixels_per_point()), MARK);
    painter.add(marks::severity(mark, worst, color(ink)));
}

/// A sheet's name, on two lines if one has no room.
fn name(painter: &egui::Painter, view: &View<'_>, rect: Rect, sheet: Sheet, active: bool, ink: egui::Color32) {
    let theme = view.theme;
    let left = theme.margin + RAIL_NAME_INSET;
    let galley = painter.layout(sheet.row().name.to_owned(), theme.body_font(), ink, rect.width() - left);
    let at = pos2(rect.left() + left, rect.center().y - galley.size().y / 2.0);
    if active {
        strong_galley(painter, at, galley, ink);
    } else {
        painter.galley(at, galley, ink);
    }
}
