//! One surface on the common grid: heights and colours.

use glam::DVec3;

use super::Stop;
use crate::drawing::color::Oklab;
use crate::drawing::{Color, ModelBox, Projector};
use crate::table::{Axis, Lookup, Table};

use super::order::Corner;

/// Direction to the sun in model space, of length 1: from low speed and high load, as on maps. It turns with the model.
const SUN: DVec3 = DVec3::new(-0.46, 0.36, 0.811_911);
/// Lightness for a change of the cosine between sun and slope by one, and its limits.
const RELIEF: f64 = 0.26;
const DARKEST: f64 = -0.10;
const LIGHTEST: f64 = 0.055;

/// A surface; vectors are row by row over the common grid.
#[derive(Clone, Debug, Default)]
pub(super) struct Layer {
    /// Degrees; NaN where this surface has no value.
    pub(super) values: Vec<f64>,
    /// Model heights.
    pub(super) z: Vec<f64>,
    pub(super) colors: Vec<Color>,
    pub(super) filled: bool,
    /// As seen by the camera of the last view.
    pub(super) seen: Vec<Corner>,
}

/// The stops of the common grid: the table's breakpoints, and those of the base within their range.
pub(super) fn stops(own: &Axis, base: Option<&Axis>, to_model: impl Fn(f64) -> f64) -> Vec<Stop> {
    let all = base.map_or_else(|| own.breakpoints().to_vec(), |base| own.union(base));
    let within = all.into_iter().filter(|&at| at >= own.first() && at <= own.last());
    let stop = |at: f64| Stop {
        at,
        model: to_model(at),
        own: own.index_of(at),
        of_base: base.is_some_and(|base| base.index_of(at).is_some()),
        cell: own.locate(at).index,
    };
    within.map(stop).collect()
}

/// Paper a little darker than the sheet, so that a plain surface stands out from it.
pub(super) fn sunk(color: Oklab) -> Oklab {
    let shift = if color.l > 0.5 { -0.055 } else { 0.10 };
    Oklab { l: color.l + shift, ..color }
}

impl Layer {
    /// Sets the heights from a table; NaN outside its axes.
    pub(super) fn place(&mut self, table: &Table, columns: &[Stop], rows: &[Stop], model: &ModelBox) {
        let lookup = Lookup::new(table);
        let inside = |axis: &Axis, at: f64| (axis.first()..=axis.last()).contains(&at);
        self.values.clear();
        for row in rows {
            let covered = inside(table.load(), row.at);
            self.values.extend(columns.iter().map(|column| {
                if covered && inside(table.speed(), column.at) { lookup.at(column.at, row.at) } else { f64::NAN }
            }));
        }
        self.z.clear();
        self.z.extend(self.values.iter().map(|&value| model.z(value)));
        self.filled = false;
    }

    /// `front` − this surface in degrees at each grid point; 0 where this one has no value.
    pub(super) fn differences(&self, front: &Self) -> Vec<f64> {
        let pairs = front.values.iter().zip(&self.values);
        pairs.map(|(front, base)| front - base).map(|d| if d.is_nan() { 0.0 } else { d }).collect()
    }

    /// Colours each vertex by `color(index, degrees)` and hill-shades it: lightness follows the cosine between the sun
    /// and the slope, 0 change on the level (Lambert's law about a level ground).
    pub(super) fn shade(&mut self, (columns, rows): (&[Stop], &[Stop]), color: impl Fn(usize, f64) -> Oklab) {
        let width = columns.len();
        self.filled = true;
        self.colors.clear();
        for j in 0..rows.len() {
            for i in 0..width {
                let index = j * width + i;
                let east = slope(columns, i, |k| self.z[j * width + k]);
                let north = slope(rows, j, |k| self.z[k * width + i]);
                let cosine = (SUN.z - SUN.x * east - SUN.y * north) / (1.0 + east * east + north * north).sqrt();
                #[expect(clippy::cast_possible_truncation, reason = "within ±1")]
                let shift = ((cosine - SUN.z) * RELIEF).clamp(DARKEST, LIGHTEST) as f32;
                let base = color(index, self.values[index]);
                self.colors.push(Oklab { l: (base.l + shift).clamp(0.0, 1.0), ..base }.to_color());
            }
        }
    }

    /// Projects every vertex.
    pub(super) fn project(&mut self, columns: &[Stop], rows: &[Stop], projector: &Projector) {
        self.seen.clear();
        for (j, row) in rows.iter().enumerate() {
            for (i, column) in columns.iter().enumerate() {
                let index = j * columns.len() + i;
                let h = projector.homogeneous(DVec3::new(column.model, row.model, self.z[index]));
                let color = if self.filled { self.colors[index] } else { Color::default() };
                self.seen.push(Corner::new(h, self.values[index], color));
            }
        }
    }
}

/// Slope at stop `at` between its neighbours.
fn slope(stops: &[Stop], at: usize, z: impl Fn(usize) -> f64) -> f64 {
    let (before, after) = (at.saturating_sub(1), (at + 1).min(stops.len() - 1));
    (z(after) - z(before)) / (stops[after].model - stops[before].model)
}
