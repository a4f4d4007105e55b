//! What tints a surface: a value for each of the table's cells, a map and a range. Advance is one such layer.

use crate::drawing::ColorMap;
use crate::drawing::color::Oklab;
use crate::table::{Position, Table};

use super::{Stop, layer};

/// How values become colours.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum TintMap {
    /// From the lower end of the range to the upper one.
    Sequential,
    /// Away from zero on both sides; the larger end of the range by size has the strongest colour.
    Diverging,
}

/// A layer of values that tints a surface.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Tint<'a> {
    /// One for each cell of the table that is shown, row by row from the lowest load, in the layer's own unit. NaN where
    /// there is none: plain paper.
    pub values: &'a [f64],
    /// Their colours.
    pub map: TintMap,
    /// The values at the ends of the map; what is beyond has the colour of the end.
    pub range: (f64, f64),
}

impl<'a> Tint<'a> {
    /// The table's own degrees over a range.
    pub fn advance(table: &'a Table, range: (f64, f64)) -> Self {
        Self { values: table.values(), map: TintMap::Sequential, range }
    }

    /// The colour of a value.
    pub(super) fn color(&self, map: &ColorMap, value: f64) -> Oklab {
        let (low, high) = self.range;
        if value.is_nan() {
            return layer::sunk(map.diverging_lab(0.0));
        }
        match self.map {
            TintMap::Sequential => map.sequential_lab((value - low) / if high > low { high - low } else { 1.0 }),
            TintMap::Diverging => {
                let full = low.abs().max(high.abs());
                layer::sunk(map.diverging_lab(if full > 0.0 { value / full } else { 0.0 }))
            }
        }
    }
}

/// Where the points of the common grid lie among the cells of a table.
pub(super) struct Spread {
    columns: Vec<Position>,
    rows: Vec<Position>,
    width: usize,
}

impl Spread {
    pub(super) fn new(table: &Table, columns: &[Stop], rows: &[Stop]) -> Self {
        let (speed, load) = (table.speed(), table.load());
        Self {
            columns: columns.iter().map(|stop| speed.locate(stop.at)).collect(),
            rows: rows.iter().map(|stop| load.locate(stop.at)).collect(),
            width: speed.len(),
        }
    }

    /// Values for the cells of the table, as values for the points of the grid, in between bilinear. A list that does not
    /// fit the table has no values.
    pub(super) fn over(&self, values: &[f64], out: &mut Vec<f64>) {
        out.clear();
        for row in &self.rows {
            for column in &self.columns {
                let at = |load: usize, speed: usize| values.get(load * self.width + speed).copied().unwrap_or(f64::NAN);
                let along = |load: usize| between(column.fraction, |k| at(load, column.index + k));
                out.push(between(row.fraction, |k| along(row.index + k)));
            }
        }
    }
}

/// Between two values; at either of them the other is not asked for.
fn between(fraction: f64, value: impl Fn(usize) -> f64) -> f64 {
    if fraction <= 0.0 {
        value(0)
    } else if fraction >= 1.0 {
        value(1)
    } else {
        value(0) + (value(1) - value(0)) * fraction
    }
}
