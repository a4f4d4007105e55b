//! One surface on the common grid: heights and colours.

use glam::DVec3;

use super::grid::{Spread, Stop};
use super::light;
use crate::drawing::color::Oklab;
use crate::drawing::{Color, ModelBox, Projector};
use crate::table::{Axis, Lookup, Table};

use super::order::Corner;

/// No tint becomes darker or lighter than this by light: hues end in black and white.
const DARKEST: f32 = 0.28;
const LIGHTEST: f32 = 0.97;

/// A surface; vectors are row by row over the common grid.
#[derive(Clone, Debug, Default)]
pub(super) struct Layer {
    /// Degrees; NaN where this surface has no value.
    pub(super) values: Vec<f64>,
    /// Model heights.
    pub(super) z: Vec<f64>,
    /// What light adds to the lightness of the tint.
    light: Vec<f64>,
    pub(super) colors: Vec<Color>,
    pub(super) filled: bool,
    /// Where the layer that tints it has no value; empty if it has one everywhere.
    pub(super) unknown: Vec<bool>,
    /// The place of each tint among things with nothing between them; empty if tints blend.
    pub(super) places: Vec<usize>,
    /// Columns and rows of its own table.
    pub(super) shape: (usize, usize),
    /// As seen by the camera of the last view.
    pub(super) seen: Vec<Corner>,
}

impl Layer {
    /// Sets heights and light from a table; heights are NaN outside its axes.
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
        self.shape = (table.speed().len(), table.load().len());
        let lit = light::lightness(table, model);
        Spread::new(table, columns, rows).over(&lit, &mut self.light);
        self.filled = false;
    }

    /// A surface of degrees on the common grid that is never filled.
    pub(super) fn of_degrees(values: Vec<f64>, model: &ModelBox) -> Self {
        let z = values.iter().map(|&deg| model.z(deg)).collect();
        Self { values, z, ..Self::default() }
    }

    /// `front` − this surface in degrees at each grid point; 0 where this one has no value.
    pub(super) fn differences(&self, front: &Self) -> Vec<f64> {
        let pairs = front.values.iter().zip(&self.values);
        pairs.map(|(front, base)| front - base).map(|d| if d.is_nan() { 0.0 } else { d }).collect()
    }

    /// Colours each vertex by `color(index, degrees)`, and lights it.
    pub(super) fn shade(&mut self, color: impl Fn(usize, f64) -> Oklab) {
        self.filled = true;
        self.unknown.clear();
        self.places.clear();
        self.colors.clear();
        let lit = self.values.iter().zip(&self.light).enumerate();
        self.colors.extend(lit.map(|(index, (&value, &light))| lighter(color(index, value), light).to_color()));
    }

    /// Projects every vertex.
    pub(super) fn project(&mut self, columns: &[Stop], rows: &[Stop], projector: &Projector) {
        self.seen.clear();
        for (j, row) in rows.iter().enumerate() {
            for (i, column) in columns.iter().enumerate() {
                let index = j * columns.len() + i;
                let h = projector.homogeneous(DVec3::new(column.model, row.model, self.z[index]));
                let color = if self.filled { self.colors[index] } else { Color::default() };
                let is_unknown = self.unknown.get(index).copied().unwrap_or(false);
                let corner = Corner::new(h, self.values[index], color);
                let place = self.places.get(index).copied().unwrap_or(0);
                self.seen.push(corner.over((column.model, row.model), is_unknown).of_place(place));
            }
        }
    }
}

/// A tint in another light; it keeps its hue, by which its place on the scale is told.
#[expect(clippy::cast_possible_truncation, reason = "within ±1")]
pub(super) fn lighter(tint: Oklab, light: f64) -> Oklab {
    Oklab { l: (tint.l + light as f32).clamp(DARKEST, LIGHTEST), ..tint }
}

#[cfg(test)]
mod tests {
    use super::super::light::SHADE_RANGE;
    use super::*;
    use crate::drawing::{ColorMap, Ground, Look};

    /// Light changes lightness alone, so hue and chroma still tell where a tint stands on its scale; those of the tint that
    /// is seen, as far as the screen has it.
    #[test]
    fn a_tint_in_any_light_still_tells_its_place_on_the_scale() {
        for look in [Look::Light, Look::Dark] {
            let map = ColorMap::new(look, Ground::Surface);
            for share in (0..=20).map(|i| f64::from(i) / 20.0) {
                for light in [SHADE_RANGE.0, 0.0, SHADE_RANGE.1] {
                    let seen = Oklab::from_color(lighter(map.sequential_lab(share), light).to_color());
                    let off = |share: f64| {
                        let tint = map.sequential_lab(share);
                        // Between tints whose hue is alike, lightness helps a little.
                        (tint.a - seen.a).hypot(tint.b - seen.b) + 0.03 * (tint.l - seen.l).abs()
                    };
                    let told = (0..=100).map(|i| f64::from(i) / 100.0).min_by(|&a, &b| off(a).total_cmp(&off(b)));
                    let told = told.unwrap();
                    assert!((told - share).abs() <= 0.2, "{look:?}: {share} in {light} looks like {told}");
                }
            }
        }
    }

    /// The range of lightness (CIE L*, of greys) that a surface is drawn in: neither black nor paper's white.
    #[test]
    fn light_neither_crushes_dark_tints_nor_burns_pale_ones() {
        for look in Look::ALL {
            let map = ColorMap::new(look, Ground::Surface);
            for share in (0..=20).map(|i| f64::from(i) / 20.0) {
                let [dark, plain, pale] =
                    [SHADE_RANGE.0, 0.0, SHADE_RANGE.1].map(|light| lighter(map.sequential_lab(share), light).l);
                assert!(dark >= DARKEST && pale <= LIGHTEST);
                // A bump darkens every tint by 6 L* or more, even where other light darkens it already.
                assert!(plain - dark > 0.085, "{look:?} {share}: {plain} {dark}");
            }
        }
    }
}
