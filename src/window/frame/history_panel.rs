//! Every step, to jump to any of them.

use eframe::egui::{self, Align2, Rect, Role, ScrollArea, Sense, WidgetInfo, vec2};

use crate::document::Step;
use crate::window::commands::Command;
use crate::window::theme::{color, strong_label};
use crate::window::{FileAction, Outbox, View, numbers};

const ROW: f32 = 26.0;

const NOTHING_IS_LOST: &str = "Undoing and then editing keeps the undone steps: 'Back to' marks the place. Click any step to \
     go there; nothing is ever deleted.";

pub(super) fn show(ui: &mut egui::Ui, view: &View<'_>, outbox: &mut Outbox) {
    super::panel_head(ui, view, outbox, "History", Command::History);
    ui.label(
        egui::RichText::new(NOTHING_IS_LOST).size(view.theme.small).color(color(view.theme.palette.ink_secondary)),
    );
    ui.add_space(view.theme.gap);
    ui.spacing_mut().item_spacing.y = 0.0;
    let steps = view.document.steps();
    let current = view.document.current_step();
    ScrollArea::vertical().auto_shrink(false).stick_to_bottom(true).show_rows(ui, ROW, steps.len(), |ui, range| {
        for index in range {
            let Some(step) = steps.get(index) else { continue };
            if row(ui, view, step, index, current).clicked() && index != current {
                outbox.file(FileAction::Jump(index));
            }
        }
    });
}

fn row(ui: &mut egui::Ui, view: &View<'_>, step: &Step, index: usize, current: usize) -> egui::Response {
    let (theme, palette) = (view.theme, view.theme.palette);
    let (rect, response) = ui.allocate_exact_size(vec2(ui.available_width(), ROW), Sense::click());
    let is_current = index == current;
    let time = numbers::time(step.at);
    response.widget_info(|| WidgetInfo::selected(Role::ListItem, true, is_current, format!("{}, {time}", step.label)));
    if response.hovered() || response.has_focus() {
        ui.painter().rect_filled(rect, 0.0, color(palette.field_hover));
    }
    if is_current {
        ui.painter().rect_filled(rect, 0.0, color(palette.selection));
        let mark = Rect::from_min_size(rect.left_top(), vec2(theme.rail_mark, rect.height()));
        ui.painter().rect_filled(mark, 0.0, color(palette.accent));
    }
    let ink = color(if index > current { palette.ink_disabled } else { palette.ink });
    let weak = color(if index > current { palette.ink_disabled } else { palette.ink_secondary });
    let inner = rect.shrink2(vec2(10.0, 0.0));
    let at = ui.painter().text(inner.right_center(), Align2::RIGHT_CENTER, &time, theme.small_font(), weak);
    let room = Rect::from_min_max(inner.left_top(), egui::pos2(at.left() - 8.0, inner.bottom()));
    ui.scope_builder(
        egui::UiBuilder::new().max_rect(room).layout(egui::Layout::left_to_right(egui::Align::Center)),
        |ui| {
            ui.visuals_mut().override_text_color = Some(ink);
            if is_current {
                strong_label(ui, &step.label, theme.body_font());
            } else {
                ui.add(egui::Label::new(&step.label).truncate().selectable(false));
            }
        },
    );
    let ahead = if index > current { "\nUndone; redo or a click brings it back" } else { "" };
    response.on_hover_text(format!("{} · {time}{ahead}", step.label))
}
