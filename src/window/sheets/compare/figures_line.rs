//! The difference in figures, and what lies outside the comparison.

use eframe::egui::{self, Align, Rect, pos2, vec2};

use super::comparing::Compared;
use super::names;
use super::rows::{second, small, text};
use crate::compare::{Extreme, TableComparison, UNWEIGHTED_NOTE};
use crate::window::views::view::View;
use crate::wording::{Unit, step_decimals, with_unit};

/// Draws the figures and the extremes one above the other; right of them, from `split` on, how far the figures can be
/// trusted and what was not compared.
pub(super) fn show(ui: &mut egui::Ui, view: &View<'_>, (compared, table): (&Compared, &TableComparison), split: f32) {
    let theme = view.theme;
    let whole = ui.max_rect();
    let height = theme.compare.small_line_height;
    let part = |left: f32, right: f32, row: f32| {
        Rect::from_min_size(pos2(left, whole.top() + row * height), vec2((right - left).max(0.0), height))
    };
    let digits = step_decimals(compared.edited().step_deg);
    let figures = second(table.figures.words(digits), theme);
    let end = split - theme.gap;
    let outside: Vec<String> = table.delta.not_compared().iter().map(ToString::to_string).collect();
    let outside = if outside.is_empty() { None } else { Some(format!("{}.", outside.join("; "))) };
    let tooltip = format!("{}\n{UNWEIGHTED_NOTE}", extremes(compared, table));
    text(ui, part(whole.left(), end, 0.0), Align::Min, figures).on_hover_text(tooltip);
    if whole.height() < 2.0 * height {
        // What is missing from the figures comes before how they are to be read.
        let told = outside.unwrap_or_else(|| UNWEIGHTED_NOTE.into());
        text(ui, part(split, whole.right(), 0.0), Align::Min, small(told, theme));
        return;
    }
    text(ui, part(whole.left(), end, 1.0), Align::Min, small(extremes(compared, table), theme));
    text(ui, part(split, whole.right(), 0.0), Align::Min, small(UNWEIGHTED_NOTE, theme));
    if let Some(outside) = outside {
        text(ui, part(split, whole.right(), 1.0), Align::Min, small(outside, theme));
    }
}

fn extremes(compared: &Compared, table: &TableComparison) -> String {
    let tell = |what: &str, extreme: Option<Extreme>| {
        let extreme = extreme?;
        let deg = with_unit(&names::delta(extreme.deg, compared.edited().step_deg), Unit::Degree);
        Some(format!("largest {what} {deg} at {}", names::place(compared, (extreme.speed_rpm, extreme.load))))
    };
    let told = [tell("rise", table.figures.largest_rise), tell("fall", table.figures.largest_fall)];
    let told: Vec<String> = told.into_iter().flatten().collect();
    if told.is_empty() { "no point rises or falls".into() } else { told.join(" · ") }
}
