//! What is in the cells of the delta: changes and their tints, outlines of regions, and what each is called.

use eframe::egui::{CornerRadius, Shape};

use super::super::comparing::Compared;
use super::super::names;
use crate::compare::{CHANGED_ABOVE_DEG, TableComparison};
use crate::drawing::{ColorMap, Ground};
use crate::table::Cell;
use crate::window::kit::grid::{Contents, Layout, Look, Text, Told, outlines};
use crate::window::kit::theme::{Theme, color};
use crate::window::views::view::View;
use crate::wording::{signed, step_decimals};

/// The points of the delta.
pub(super) struct DeltaCells<'a> {
    compared: &'a Compared,
    table: &'a TableComparison,
    theme: &'a Theme,
    map: ColorMap,
}

impl<'a> DeltaCells<'a> {
    pub(super) fn new(view: &View<'a>, compared: &'a Compared, table: &'a TableComparison) -> Self {
        let map = ColorMap::new(view.theme.palette.look, Ground::Grid);
        Self { compared, table, theme: view.theme, map }
    }

    fn step_deg(&self) -> f64 {
        self.compared.edited().step_deg
    }
}

impl Contents for DeltaCells<'_> {
    fn widest(&self) -> Vec<String> {
        let extremes = [self.table.figures.largest_rise, self.table.figures.largest_fall].into_iter().flatten();
        extremes.map(|extreme| names::delta(extreme.deg, self.step_deg())).chain(["+0.0".into()]).collect()
    }

    fn look(&self, point: Cell) -> Look {
        let deg = self.table.delta.at(point);
        if deg.abs() <= CHANGED_ABOVE_DEG {
            return Look { text: Text::Nothing, fill: None };
        }
        let text = names::delta(deg, self.step_deg());
        // Numbers with more decimals than the others would misalign the decimal points.
        let is_usual = text == signed(deg, step_decimals(self.step_deg()));
        let text = if is_usual { Text::Number(text) } else { Text::Word(text) };
        Look { text, fill: Some(color(self.map.diverging(deg / self.compared.full_deg))) }
    }

    fn told(&self, point: Cell) -> Told {
        let delta = &self.table.delta;
        let words = names::point(self.compared, point, delta.at(point), delta.place(point));
        Told { words, description: String::new() }
    }

    /// Lines round the regions.
    fn above(&self, layout: &Layout) -> Vec<Shape> {
        let ink = color(self.theme.palette.ink);
        let bars = outlines(layout, self.theme.compare.outline_width, &|point| self.compared.region_of(point));
        bars.into_iter().map(|bar| Shape::rect_filled(bar, CornerRadius::ZERO, ink)).collect()
    }
}
