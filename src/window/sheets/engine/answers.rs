//! What a worksheet answers: figures, verdicts in words, a plot of what over what, and the button that makes one step of it.

use eframe::egui::{self, Align2, Button, Label, Rect, RichText, Role, Sense, WidgetInfo, pos2, vec2};

use crate::checks::Severity;
use crate::drawing::{ChartSpec, round_range};
use crate::window::kit::chart::Chart;
use crate::window::kit::marks;
use crate::window::kit::scene_painter::viewport;
use crate::window::kit::theme::engine_sheet_sizes::{COLUMN_INSET, ENGINE_SIZES};
use crate::window::kit::theme::kit_sizes::{CHART, LINE_GAP, MARK, MARK_INSET};
use crate::window::kit::theme::{Theme, color};
use crate::window::state::edits::WorksheetEdit;
use crate::window::state::outbox::Outbox;
use crate::window::views::form;
use crate::window::views::view::View;
use crate::wording::{Refusal, Unit, figure};
use crate::worksheet::{Gravity, Verdict};

/// The parts of an answer.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Part {
    /// What was measured and computed, drawn and in figures.
    Picture,
    /// What it means, and the button that makes one step of it.
    Verdict,
}

/// The verdicts, each with the mark and the word of its weight.
pub(super) fn verdicts<V: Verdict>(ui: &mut egui::Ui, theme: &Theme, verdicts: &[V]) {
    for verdict in verdicts {
        said(ui, theme, verdict.gravity(), &verdict.words());
    }
}

/// The severity whose mark a weight has; none for what is as it should be.
const fn severity(gravity: Gravity) -> Option<Severity> {
    match gravity {
        Gravity::Obstacle => Some(Severity::Error),
        Gravity::Warning => Some(Severity::Warning),
        Gravity::Note => Some(Severity::Note),
        Gravity::Good => None,
    }
}

/// One sentence with the mark of its weight.
pub(super) fn said(ui: &mut egui::Ui, theme: &Theme, gravity: Gravity, words: &str) {
    let palette = theme.palette;
    let (word, ink) = match gravity {
        Gravity::Obstacle => ("Stop. ", palette.error),
        Gravity::Warning => ("Look into it. ", palette.warning),
        Gravity::Note => ("", palette.ink_secondary),
        Gravity::Good => ("", palette.ink),
    };
    ui.horizontal_top(|ui| {
        ui.spacing_mut().item_spacing.x = theme.gap;
        let (rect, _) = ui.allocate_exact_size(vec2(MARK.x + MARK_INSET, theme.body + LINE_GAP), Sense::hover());
        let mark = Rect::from_center_size(rect.center(), MARK);
        match severity(gravity) {
            Some(severity) => _ = ui.painter().add(marks::severity(mark, severity, color(ink))),
            None => marks::tick(ui.painter(), mark, egui::Stroke::new(CHART.main, color(palette.ink))),
        }
        ui.add(Label::new(RichText::new(format!("{word}{words}")).color(color(palette.ink))).wrap());
    });
}

/// The button's text if there is nothing to apply.
pub(super) const NOTHING_TO_APPLY: &str = "Nothing to apply";

/// A button that makes one step. It is above everything whose number of lines depends on the answer, so that it
/// does not move; if there is nothing to apply it is disabled, with the reason as its tooltip.
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
    let (rect, response) = ui.allocate_exact_size(vec2(ui.available_width(), ENGINE_SIZES.figure_line), Sense::hover());
    let words = cells.join(" · ");
    response.widget_info(|| WidgetInfo::labeled(Role::Label, true, &words));
    #[expect(clippy::cast_precision_loss, reason = "a handful of columns")]
    let width = ENGINE_SIZES.figure.min(rect.width() / cells.len().max(1) as f32);
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

/// Words in place of a missing answer.
pub(super) fn no_answer(ui: &mut egui::Ui, view: &View<'_>, why: &str) {
    said(ui, view.theme, Gravity::Note, why);
}

/// Words in place of a picture whose readings are missing.
pub(super) fn no_picture(ui: &mut egui::Ui, view: &View<'_>) {
    form::note(ui, view.theme, "Drawn as soon as the readings are there.");
}

/// A scale: what it is called, its unit, and its ends.
#[derive(Clone, Copy)]
pub(super) struct Scale {
    name: &'static str,
    unit: Unit,
    range: (f64, f64),
}

impl Scale {
    /// From the least to the greatest of some values, with round ends; at least `least` wide.
    pub(super) fn around(name: &'static str, unit: Unit, values: impl Iterator<Item = f64>, least: f64) -> Self {
        let (low, high) = values.fold((f64::INFINITY, f64::NEG_INFINITY), |(low, high), x| (low.min(x), high.max(x)));
        let range = if low <= high { (low, high) } else { (0.0, least) };
        Self { name, unit, range: round_range(range, least, 6) }
    }

    pub(super) const fn new(name: &'static str, unit: Unit, low: f64, high: f64) -> Self {
        Self { name, unit, range: (low, high) }
    }
}

/// Takes the room and draws the scales; `words` is what the plot says, for those who cannot see it.
pub(super) fn plot<'a>(ui: &mut egui::Ui, theme: &'a Theme, along: Scale, up: Scale, words: &str) -> Option<Chart<'a>> {
    let (rect, response) = ui.allocate_exact_size(vec2(ui.available_width(), ENGINE_SIZES.plot_height), Sense::hover());
    response.widget_info(|| WidgetInfo::labeled(Role::Image, true, words));
    ui.add_space(theme.gap);
    let ink = color(theme.palette.ink_secondary);
    let heading = format!("{} over {}", up.name, along.name);
    ui.painter().text(rect.left_top(), egui::Align2::LEFT_TOP, heading, theme.small_font(), ink);
    let place = Rect::from_min_max(pos2(rect.left(), rect.top() + ENGINE_SIZES.plot_heading), rect.max);
    let units = (along.unit, up.unit);
    let (rect, along, up, gutter) = (viewport(place), along.range, up.range, CHART.gutter);
    let spec = ChartSpec { rect, along, up, units, gutter, is_upright: true, rows_below: 0.0 };
    let chart = Chart::new(ui.painter(), theme, &spec)?;
    chart.paint_scales();
    Some(chart)
}

/// Tells what a line reads under the pointer.
pub(super) fn readout(ui: &egui::Ui, chart: &Chart<'_>, line: &[(f64, f64)], along: Scale, up: Scale) {
    chart.readout(ui, line, |x, y| format!("{} · {}", figure(x, along.unit), figure(y, up.unit)));
}
