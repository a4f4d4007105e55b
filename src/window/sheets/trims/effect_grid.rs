//! The table with the trims added, or the change alone, as a grid to look at and to point into.

use eframe::egui::{Rect, Ui, UiBuilder, pos2};

use super::effect::{Effect, Trimmed};
use crate::drawing::{ColorMap, Ground};
use crate::table::Cell;
use crate::window::kit::grid::{Contents, Grid, Look, Measures, Spec, Text, Told, axis_name};
use crate::window::kit::theme::color;
use crate::window::state::outbox::Outbox;
use crate::window::views::grid::{axes, id, show_to_read};
use crate::window::views::view::View;
use crate::wording::{signed, step_decimals};

/// What the grid keeps between frames.
#[derive(Default)]
pub(super) struct EffectGrid {
    grid: Grid,
}

struct EffectCells<'a> {
    view: &'a View<'a>,
    effect: &'a Effect,
    map: ColorMap,
}

impl EffectGrid {
    /// The height at which every row is seen.
    pub(super) fn whole_height(ui: &Ui, effect: &Effect, view: &View<'_>) -> f32 {
        let spec = spec(view, "");
        Measures::new(ui, &spec, &EffectCells::new(effect, view)).whole_size(&spec).y.ceil()
    }

    /// Draws the grid into a place, and the name of the speed axis into the line over it; the answer is the cell under the
    /// pointer.
    pub(super) fn show(
        &mut self,
        ui: &mut Ui,
        (rect, line): (Rect, Rect),
        effect: &Effect,
        view: &View<'_>,
        outbox: &mut Outbox,
    ) -> Option<Cell> {
        let mut ui = ui.new_child(UiBuilder::new().max_rect(rect).id_salt("trimmed table"));
        let name = if view.screen.trims.shows_change { "Change by the trims" } else { "Table with trims" };
        let spec = spec(view, name);
        let cells = EffectCells::new(effect, view);
        let shown = show_to_read(&mut ui, view, outbox, (&mut self.grid, rect), &spec, &cells);
        let tip = pos2(shown.layout.cells.right(), line.center().y);
        axis_name(&ui, view.theme, &spec.speeds, tip, line.left());
        shown.response.on_hover_text("Click a cell, or go with the arrow keys, to read what its advance is made of.");
        shown.hovered
    }
}

fn spec<'a>(view: &View<'a>, name: &'a str) -> Spec<'a> {
    let [speeds, loads] = axes(view);
    Spec {
        id: id(),
        name,
        cell_name: "advance with trims",
        speeds,
        loads,
        table: view.table(),
        selection: &view.screen.selection,
        hovered: None,
        active: None,
        theme: view.theme,
    }
}

impl<'a> EffectCells<'a> {
    fn new(effect: &'a Effect, view: &'a View<'a>) -> Self {
        Self { view, effect, map: ColorMap::new(view.theme.palette.look, Ground::Grid) }
    }

    fn at(&self, cell: Cell) -> Trimmed {
        self.effect.at(self.view.table().index(cell))
    }

    fn change(&self, trimmed: Trimmed) -> String {
        signed(trimmed.change_deg, step_decimals(self.view.project.step_deg))
    }

    fn text(&self, trimmed: Trimmed) -> Text {
        match self.view.screen.trims.shows_change {
            true if trimmed.change_deg == 0.0 => Text::Nothing,
            true => Text::Number(self.change(trimmed)),
            false => Text::Number(self.view.degrees(trimmed.with_deg)),
        }
    }
}

impl Contents for EffectCells<'_> {
    fn widest(&self) -> Vec<String> {
        let extremes = self.effect.extremes();
        let numbers = extremes.map(|trimmed| match self.view.screen.trims.shows_change {
            true => self.change(trimmed),
            false => self.view.degrees(trimmed.with_deg),
        });
        // Two digits at least, so that nothing jumps when a value passes ten.
        numbers.into_iter().chain([self.view.degrees(88.0)]).collect()
    }

    fn look(&self, cell: Cell) -> Look {
        let trimmed = self.at(cell);
        let tint = if self.view.screen.trims.shows_change {
            self.map.diverging(trimmed.change_deg / self.effect.full_deg())
        } else {
            self.map.sequential(self.view.scales.heights.share(trimmed.with_deg))
        };
        Look { text: self.text(trimmed), fill: Some(color(tint)) }
    }

    fn told(&self, cell: Cell) -> Told {
        let trimmed = self.at(cell);
        let (deg, by) = (self.view.degrees(trimmed.with_deg), self.change(trimmed));
        Told { words: format!("{deg} degrees, trimmed by {by}"), description: String::new() }
    }
}
