//! What a worksheet answers: figures, verdicts in words, and the button that makes one step of it.

use eframe::egui::{self, Align2, Button, Label, Rect, RichText, Role, Sense, WidgetInfo, pos2, vec2};

use crate::window::kit::marks;
use crate::window::kit::theme::chart_sizes::CHART;
use crate::window::kit::theme::engine_sizes::SIZES;
use crate::window::kit::theme::gaps::{COLUMN_INSET, LINE_GAP, MARK_FLATTER, MARK_INSET, REMARK_DOT};
use crate::window::kit::theme::{Theme, color};
use crate::window::state::edits::WorksheetEdit;
use crate::window::state::outbox::Outbox;
use crate::window::views::view::View;
use crate::wording::Refusal;
use crate::worksheet::{Gravity, Verdict};

/// The verdicts, each with the mark and the word of its weight.
pub(super) fn verdicts<V: Verdict>(ui: &mut egui::Ui, theme: &Theme, verdicts: &[V]) {
    for verdict in verdicts {
        said(ui, theme, verdict.gravity(), &verdict.words());
    }
}

/// One sentence with the mark of its weight.
pub(super) fn said(ui: &mut egui::Ui, theme: &Theme, gravity: Gravity, words: &str) {
    let palette = theme.palette;
    let (word, ink) = match gravity {
        Gravity::Obstacle => ("Stop. ", palette.error),
        Gravity::Warning => ("Look into it. ", palette.warning),
        Gravity::Note | Gravity::Good => ("", palette.ink),
    };
    ui.horizontal_top(|ui| {
        ui.spacing_mut().item_spacing.x = theme.gap;
        let (rect, _) = ui.allocate_exact_size(vec2(SIZES.mark + MARK_INSET, theme.body + LINE_GAP), Sense::hover());
        let mark = Rect::from_center_size(rect.center(), vec2(SIZES.mark, SIZES.mark - MARK_FLATTER));
        match gravity {
            Gravity::Obstacle | Gravity::Warning => {
                marks::warning(ui.painter(), mark, color(ink), color(palette.paper))
            }
            Gravity::Note => drop(ui.painter().circle_filled(mark.center(), REMARK_DOT, color(palette.ink_secondary))),
            Gravity::Good => tick(ui.painter(), mark, color(palette.ink)),
        }
        ui.add(Label::new(RichText::new(format!("{word}{words}")).color(color(palette.ink))).wrap());
    });
}

/// A check mark.
fn tick(painter: &egui::Painter, rect: Rect, ink: egui::Color32) {
    let at = |x: f32, y: f32| pos2(rect.left() + x * rect.width(), rect.top() + y * rect.height());
    let line = vec![at(0.05, 0.55), at(0.38, 0.9), at(0.95, 0.1)];
    painter.add(egui::Shape::line(line, egui::Stroke::new(CHART.main, ink)));
}

/// On the button where there is nothing to apply.
pub(super) const NOTHING_TO_APPLY: &str = "Nothing to apply";

/// A button that makes one step. It stands above everything whose number of lines depends on the answer, so that it stays
/// where it is; disabled, with the reason as its tooltip, where there is nothing to apply.
pub(super) fn apply(
    ui: &mut egui::Ui,
    outbox: &mut Outbox,
    label: Result<String, Refusal>,
    edit: impl FnOnce() -> WorksheetEdit,
) {
    apply_or(ui, outbox, NOTHING_TO_APPLY, label, edit);
}

/// The same with other words where there is nothing to do.
pub(super) fn apply_or(
    ui: &mut egui::Ui,
    outbox: &mut Outbox,
    nothing: &str,
    label: Result<String, Refusal>,
    edit: impl FnOnce() -> WorksheetEdit,
) {
    let label = match label {
        Ok(label) => label,
        Err(why) => return refused(ui, nothing, &why.to_string()),
    };
    ui.add_space(LINE_GAP);
    let button = ui.add(Button::new(&label)).on_hover_text("Applies this to the project as one step.");
    if button.clicked() {
        outbox.edit(label, edit());
    }
    ui.add_space(LINE_GAP);
}

/// The button where there is nothing to do, and why.
pub(super) fn refused(ui: &mut egui::Ui, nothing: &str, why: &str) {
    ui.add_space(LINE_GAP);
    ui.add_enabled(false, Button::new(nothing)).on_disabled_hover_text(why);
    ui.add_space(LINE_GAP);
}

/// One line of a table of figures: texts, each right-aligned in its column; the first line is its head.
pub(super) fn figures(ui: &mut egui::Ui, theme: &Theme, cells: &[String], is_head: bool) {
    let (rect, response) = ui.allocate_exact_size(vec2(ui.available_width(), SIZES.figure_line), Sense::hover());
    let words = cells.join(" · ");
    response.widget_info(|| WidgetInfo::labeled(Role::Label, true, &words));
    #[expect(clippy::cast_precision_loss, reason = "a handful of columns")]
    let width = SIZES.figure.min(rect.width() / cells.len().max(1) as f32);
    let (font, ink) = if is_head {
        (theme.small_font(), color(theme.palette.ink_secondary))
    } else {
        (theme.body_font(), color(theme.palette.ink))
    };
    let mut right = rect.left();
    for cell in cells {
        right += width;
        ui.painter().text(pos2(right - COLUMN_INSET, rect.center().y), Align2::RIGHT_CENTER, cell, font.clone(), ink);
    }
}

/// Words in the place of an answer that there is not.
pub(super) fn no_answer(ui: &mut egui::Ui, view: &View<'_>, why: &str) {
    said(ui, view.theme, Gravity::Note, why);
}
