//! The layers that tint the table: the row of words that chooses one, its values, and the strip that is its scale.

mod legend;

use eframe::egui::{self, Align, Layout, Rect, RichText, UiBuilder, vec2};

pub use self::legend::{Legend, SureLegend, legend};
use crate::drawing::{Against, Layer};
use crate::project::Origin;
use crate::shaping::RestsOn;
use crate::table::{Cell, Table};
use crate::window::kit::patterns::Pattern;
use crate::window::kit::theme::color;
use crate::window::state::commands::Command;
use crate::window::state::layer_state::{LayerMessage, command_row};
use crate::window::state::outbox::Outbox;
use crate::window::views::surface::quiet_button;
use crate::window::views::view::View;
use crate::wording::step_decimals;

/// The base's table, if its rows mean the same as those on show.
pub fn comparable_base<'a>(view: &View<'a>) -> Option<&'a Table> {
    let base = &view.base.project;
    (base.sensors.load == view.project.sensors.load).then(|| base.advance.table())
}

/// The values of the chosen layer, one for each cell on show.
pub fn values(view: &View<'_>) -> Vec<f64> {
    let against = Against { base: comparable_base(view), sure: view.sure.of(view.table()) };
    view.scales.layer.layer.values(view.advance(), against)
}

/// The layer and its value at a cell, for people who read: 'difference +1.5°', 'how sure ±0.9°, measured'; nothing for
/// advance, which is told in any case.
pub fn value_words(view: &View<'_>, cell: Cell, value: f64) -> Option<String> {
    let scale = view.scales.layer;
    let words = || scale.value_words(value, step_decimals(view.project.step_deg));
    let rests_on = rests_on(view, cell).map_or_else(String::new, |what| format!(", {}", what.words()));
    (scale.layer != Layer::Advance).then(|| format!("{} {}{rests_on}", scale.layer.name(), words()))
}

/// What a cell rests on, if the layer of it is on show and that is known.
pub fn rests_on(view: &View<'_>, cell: Cell) -> Option<RestsOn> {
    let is_shown = view.scales.layer.layer == Layer::Sure;
    view.sure.at(view.table(), cell).filter(|_| is_shown).map(|sure| sure.rests_on)
}

/// The pattern that tells what a cell rests on without its colour: what is measured has none.
pub const fn pattern_of_rest(rests_on: RestsOn) -> Pattern {
    match rests_on {
        RestsOn::Measured => Pattern::Plain,
        RestsOn::Leaning => Pattern::Level,
        RestsOn::Today => Pattern::FallingPairs,
    }
}

/// The same for a cell on show.
pub fn words_at(view: &View<'_>, cell: Cell) -> Option<String> {
    let values = if view.scales.layer.layer == Layer::Advance { Vec::new() } else { values(view) };
    value_words(view, cell, values.get(cell.load * view.table().speed().len() + cell.speed).copied()?)
}

/// The pattern that tells an origin without its colour.
pub const fn pattern(origin: Origin) -> Pattern {
    match origin {
        Origin::Typed => Pattern::Plain,
        Origin::Measured => Pattern::Dots,
        Origin::Interpolated => Pattern::Level,
        Origin::Faired => Pattern::Upright,
        Origin::Fitted => Pattern::Falling,
        Origin::Modelled => Pattern::Net,
        Origin::Imported => Pattern::LevelPairs,
        Origin::Starter => Pattern::FewDots,
        Origin::Extended => Pattern::FallingPairs,
    }
}

/// Where the strip stands in the part of a sheet that shows the table.
pub fn strip(view: &View<'_>, part: Rect) -> Rect {
    let bottom = part.bottom() - view.theme.gap;
    part.shrink2(vec2(view.theme.margin, 0.0)).with_min_y(bottom - view.theme.small_target).with_max_y(bottom)
}

/// The row of words that chooses the layer.
pub fn row(ui: &mut egui::Ui, view: &View<'_>, outbox: &mut Outbox, line: Rect) {
    let theme = view.theme;
    let layout = Layout::left_to_right(Align::Center);
    let mut ui = ui.new_child(UiBuilder::new().max_rect(line).layout(layout));
    ui.spacing_mut().item_spacing.x = theme.gap;
    ui.label(RichText::new("layer").size(theme.small).color(color(theme.palette.ink_secondary)));
    for layer in Layer::ALL {
        let [name, ..] = command_row(layer);
        let tooltip = view.keys.tooltip(Command::Layer(layer));
        let chosen = view.screen.layers.layer == layer;
        if quiet_button(&mut ui, theme, layer.name(), name, chosen, &tooltip).clicked() {
            outbox.send(LayerMessage::Choose(layer));
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Colour is not all that tells origins apart, and the hatch is kept for what is not known.
    #[test]
    fn every_origin_has_a_pattern_of_its_own() {
        for (place, origin) in Origin::ALL.into_iter().enumerate() {
            assert_ne!(pattern(origin), Pattern::Hatch);
            assert!(Origin::ALL[..place].iter().all(|other| pattern(*other) != pattern(origin)), "{origin:?}");
        }
    }

    #[test]
    fn what_a_cell_rests_on_has_a_pattern_of_its_own() {
        let patterns = RestsOn::ALL.map(pattern_of_rest);
        assert!(!patterns.contains(&Pattern::Hatch));
        assert!(patterns[0] != patterns[1] && patterns[1] != patterns[2] && patterns[2] != patterns[0]);
    }
}
