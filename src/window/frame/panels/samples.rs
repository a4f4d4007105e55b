//! The samples, each with a line of description.

use eframe::egui::{self, Align2, Role, Sense, WidgetInfo, vec2};

use super::close;
use crate::project::SAMPLES;
use crate::window::kit::theme::frame_sizes::{ROW_GAP, SAMPLE_INSET, SAMPLE_LINE, SAMPLE_ROW};
use crate::window::kit::theme::{color, strong_text};
use crate::window::state::file_jobs::Next;
use crate::window::state::outbox::{FileAction, Outbox};
use crate::window::views::view::View;

pub(super) fn show(ui: &mut egui::Ui, view: &View<'_>, outbox: &mut Outbox) {
    let theme = view.theme;
    ui.label("Four invented cars; each opens as a project of its own.");
    ui.spacing_mut().item_spacing.y = ROW_GAP;
    for (place, sample) in SAMPLES.iter().enumerate() {
        let (rect, response) = ui.allocate_exact_size(vec2(ui.available_width(), SAMPLE_ROW), Sense::click());
        response.widget_info(|| WidgetInfo::labeled(Role::Button, true, format!("Open {}", sample.name)));
        if response.hovered() || response.has_focus() {
            ui.painter().rect_filled(rect, f32::from(theme.radius), color(theme.palette.field_hover));
        }
        let at = rect.left_center() + vec2(SAMPLE_INSET, 0.0);
        let (ink, weak) = (color(theme.palette.ink), color(theme.palette.ink_secondary));
        strong_text(
            ui.painter(),
            at - vec2(0.0, SAMPLE_LINE),
            Align2::LEFT_CENTER,
            sample.name,
            theme.body_font(),
            ink,
        );
        ui.painter().text(
            at + vec2(0.0, SAMPLE_LINE),
            Align2::LEFT_CENTER,
            sample.description,
            theme.small_font(),
            weak,
        );
        if response.on_hover_text(format!("Open {}: {}", sample.name, sample.description)).clicked() {
            outbox.file(FileAction::Leave(Next::Sample(place)));
        }
    }
    ui.add_space(theme.gap);
    if ui.button("Cancel").on_hover_text("Put this away; nothing happens. (Esc)").clicked() {
        close(outbox);
    }
}
