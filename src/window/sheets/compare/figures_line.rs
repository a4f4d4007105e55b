//! The difference in figures, and what lies outside the comparison.

use eframe::egui::{self, Label};

use super::comparing::Compared;
use super::names;
use super::rows::{second, small};
use crate::compare::{Extreme, TableComparison, UNWEIGHTED_NOTE};
use crate::window::View;
use crate::window::numbers::decimals;

/// Draws the figures in one or two lines.
pub(super) fn show(ui: &mut egui::Ui, view: &View<'_>, compared: &Compared, table: &TableComparison) {
    let theme = view.theme;
    ui.spacing_mut().item_spacing.y = 1.0;
    let digits = decimals(compared.edited().step_deg);
    let figures = second(table.figures.words(digits), theme);
    ui.add(Label::new(figures).truncate()).on_hover_text(UNWEIGHTED_NOTE);
    let extremes = extremes(compared, table);
    if !extremes.is_empty() {
        ui.add(Label::new(small(extremes, theme)).truncate());
    }
    let outside: Vec<String> = table.delta.not_compared().iter().map(ToString::to_string).collect();
    if !outside.is_empty() {
        let told = format!("{}.", outside.join("; "));
        ui.add(Label::new(small(told, theme)).truncate());
    }
    ui.add(Label::new(small(UNWEIGHTED_NOTE, theme)).truncate());
}

/// How many lines there are.
pub(super) fn lines(table: &TableComparison) -> usize {
    let has_extremes = table.figures.changed > 0;
    2 + usize::from(has_extremes) + usize::from(!table.delta.not_compared().is_empty())
}

fn extremes(compared: &Compared, table: &TableComparison) -> String {
    let tell = |what: &str, extreme: Option<Extreme>| {
        let extreme = extreme?;
        let deg = names::delta(extreme.deg, compared.edited().step_deg);
        Some(format!("largest {what} {deg}° at {}", names::place(compared, (extreme.speed_rpm, extreme.load))))
    };
    let told = [tell("rise", table.figures.largest_rise), tell("fall", table.figures.largest_fall)];
    told.into_iter().flatten().collect::<Vec<_>>().join(" · ")
}
