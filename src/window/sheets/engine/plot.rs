//! A worksheet's plot: what it is over what, and a chart below.

use eframe::egui::{self, Rect, Role, Sense, WidgetInfo, pos2, vec2};

use crate::drawing::{ChartSpec, round_range};
use crate::window::kit::chart::Chart;
use crate::window::kit::scene_painter::viewport;
use crate::window::kit::theme::engine_sheet_sizes::ENGINE_SIZES;
use crate::window::kit::theme::kit_sizes::CHART;
use crate::window::kit::theme::{Theme, color};
use crate::wording::{Unit, figure};

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
