//! Light on a surface, as on a shaded map: how much lighter or darker each vertex is than its tint.
//!
//! Two things are lit. The surface itself, by its normals in the box, from several sides at once (multi-directional
//! hill-shading: R. Mark, 'Multidirectional, oblique-weighted, shaded-relief image of the Island of Hawaii', USGS 1992),
//! tells the large forms. What stands above or below its neighbours is lit once more and much exaggerated (a local relief
//! model: R. Hesse, Archaeological Prospection 17, 2010), so that a bump of one degree is seen wherever it lies: on the
//! level, on a slope, in wide cells and in narrow ones. A plane has no local relief, so it has one even lightness.

use crate::drawing::ModelBox;
use crate::table::Table;
use glam::DVec3;

/// A light that shines from one side over the whole surface.
struct Lamp {
    /// Towards it in model space, of length 1.
    from: DVec3,
    /// Lightness for a change of the cosine between lamp and slope by one.
    strength: f64,
    /// The most that it adds or takes.
    most: f64,
}

/// The main lamp stands at the upper left both in the plan and in the three-quarter view; the weaker ones show ridges that
/// run towards it. Each has a limit of its own, so that a slope as bright as one makes it still answers to the others.
const LAMPS: [Lamp; 3] = [
    Lamp { from: DVec3::new(-0.406, 0.579, 0.707), strength: 0.15, most: 0.060 },
    Lamp { from: DVec3::new(-0.683, -0.183, 0.707), strength: 0.07, most: 0.030 },
    Lamp { from: DVec3::new(0.579, 0.406, 0.707), strength: 0.05, most: 0.020 },
];

/// Local relief is measured in degrees, or in this share of the box's height where the box is less than 40° high: there a
/// degree is large to the eye as well.
const UNIT: f64 = ModelBox::HEIGHT / 40.0;
/// Lightness for a local slope of one unit per cell, towards rising speed and towards rising load, as from the main lamp.
const LOCAL_SLOPE: (f64, f64) = (0.160, -0.216);
/// Lightness for one unit above the neighbours: crests are lighter than hollows, so that the two can be told apart.
const LOCAL_RISE: f64 = 0.043;
/// Local relief that gives less lightness than this is damped: the roughness of a table rounded to half degrees.
const LOCAL_QUIET: f64 = 0.03;
/// Up to this lightness local relief is shown in full; beyond, it grows with its logarithm, so that a bump is seen even
/// beside a spike.
const LOCAL_KNEE: f64 = 0.12;

/// The most that light takes from the lightness of a tint, and adds to it, in Oklab.
pub(super) const SHADE_RANGE: (f64, f64) = (-0.28, 0.17);

/// For each vertex of a table, row by row, what light adds to the lightness of its tint (Oklab): 0 for a level plane.
pub(super) fn lightness(table: &Table, model: &ModelBox) -> Vec<f64> {
    let field = Field::new(table, model);
    let rises = field.rises();
    let mut out = Vec::with_capacity(rises.len());
    for j in 0..field.rows.len() {
        for i in 0..field.columns.len() {
            let (east, north) = field.slopes(i, j);
            let local = field.local(&rises, i, j);
            out.push((lamps(east, north) + local).clamp(SHADE_RANGE.0, SHADE_RANGE.1));
        }
    }
    out
}

/// By the lamps alone: Lambert's law about the level ground, each limited softly.
fn lamps(east: f64, north: f64) -> f64 {
    let length = (1.0 + east * east + north * north).sqrt();
    let one = |lamp: &Lamp| {
        let cosine = (lamp.from.z - lamp.from.x * east - lamp.from.y * north) / length;
        soft((cosine - lamp.from.z) * lamp.strength, lamp.most)
    };
    LAMPS.iter().map(one).sum()
}

/// Nearly what it was while small, and never beyond a limit.
fn soft(value: f64, most: f64) -> f64 {
    most * (value / most).tanh()
}

/// Heights in the box over places in it.
struct Field {
    columns: Vec<f64>,
    rows: Vec<f64>,
    z: Vec<f64>,
    /// The height in the box that counts as one unit of local relief.
    unit: f64,
}

impl Field {
    fn new(table: &Table, model: &ModelBox) -> Self {
        Self {
            columns: table.speed().breakpoints().iter().map(|&speed| model.x(speed)).collect(),
            rows: table.load().breakpoints().iter().map(|&load| model.y(load)).collect(),
            z: table.values().iter().map(|&deg| model.z(deg)).collect(),
            unit: model.height_per_deg().min(UNIT),
        }
    }

    fn at(&self, i: usize, j: usize) -> f64 {
        self.z[j * self.columns.len() + i]
    }

    /// Slopes towards rising speed and rising load, between the neighbours.
    fn slopes(&self, i: usize, j: usize) -> (f64, f64) {
        (slope(&self.columns, i, |k| self.at(k, j)), slope(&self.rows, j, |k| self.at(i, k)))
    }

    /// How far each vertex stands above its neighbours: above the chords between them in both directions, along an edge
    /// above the chord in it, at a corner above what its three neighbours lead to. 0 on every plane.
    fn rises(&self) -> Vec<f64> {
        let (width, height) = (self.columns.len(), self.rows.len());
        let mut out = Vec::with_capacity(self.z.len());
        for j in 0..height {
            for i in 0..width {
                let speed = bend(&self.columns, i, |k| self.at(k, j));
                let load = bend(&self.rows, j, |k| self.at(i, k));
                out.push(match (speed, load) {
                    (Some(speed), Some(load)) => f64::midpoint(speed, load),
                    (Some(one), None) | (None, Some(one)) => one,
                    (None, None) => self.twist(i, j),
                });
            }
        }
        out
    }

    /// How far a corner stands above the plane through its three neighbours.
    fn twist(&self, i: usize, j: usize) -> f64 {
        let inward = |at: usize, count: usize| if at == 0 { 1.min(count - 1) } else { at - 1 };
        let (k, l) = (inward(i, self.columns.len()), inward(j, self.rows.len()));
        self.at(i, j) - self.at(k, j) - self.at(i, l) + self.at(k, l)
    }

    /// By local relief: its slope a cell, whatever the cell's width, and its height.
    fn local(&self, rises: &[f64], i: usize, j: usize) -> f64 {
        let (width, height) = (self.columns.len(), self.rows.len());
        let across = |at: usize, count: usize| (at.saturating_sub(1), (at + 1).min(count - 1));
        let ((west, east), (south, north)) = (across(i, width), across(j, height));
        let speed = (rises[j * width + east] - rises[j * width + west]) / 2.0;
        let load = (rises[north * width + i] - rises[south * width + i]) / 2.0;
        let by_slope = speed * LOCAL_SLOPE.0 + load * LOCAL_SLOPE.1;
        let light = (by_slope + rises[j * width + i] * LOCAL_RISE) / self.unit;
        let undamped = light * light / (light * light + LOCAL_QUIET * LOCAL_QUIET);
        LOCAL_KNEE * (light * undamped / LOCAL_KNEE).asinh()
    }
}

/// Slope at place `at` between its neighbours.
fn slope(places: &[f64], at: usize, z: impl Fn(usize) -> f64) -> f64 {
    let (before, after) = (at.saturating_sub(1), (at + 1).min(places.len() - 1));
    (z(after) - z(before)) / (places[after] - places[before])
}

/// How far a place stands above the chord between its neighbours; `None` at either end.
fn bend(places: &[f64], at: usize, z: impl Fn(usize) -> f64) -> Option<f64> {
    let before = at.checked_sub(1)?;
    let after = *places.get(at + 1)?;
    let share = (places[at] - places[before]) / (after - places[before]);
    Some(z(at) - (z(before) + (z(at + 1) - z(before)) * share))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::table::{Axis, Cell};
    use proptest::prelude::*;

    fn plane(a: f64, b: f64) -> (Table, ModelBox) {
        let axis = |list: &[f64]| Axis::new(list.to_vec()).unwrap();
        let (speed, load) =
            (axis(&[500.0, 900.0, 1000.0, 2500.0, 4000.0, 8000.0]), axis(&[0.0, 3.0, 10.0, 40.0, 100.0]));
        let table =
            Table::from_fn(speed, load, |x, y| 20.0 + a * (x - 4000.0) / 4000.0 + b * (y - 50.0) / 50.0).unwrap();
        let model = ModelBox { speed: (500.0, 8000.0), load: (0.0, 100.0), value: (0.0, 40.0) };
        (table, model)
    }

    fn raised(table: &Table, cell: Cell, by_deg: f64) -> Table {
        let mut values = table.values().to_vec();
        values[table.index(cell)] += by_deg;
        table.with_values(values).unwrap()
    }

    proptest! {
        #[test]
        fn a_plane_has_one_lightness(a in -10.0..10.0, b in -10.0..10.0) {
            let (table, model) = plane(a, b);
            let light = lightness(&table, &model);
            prop_assert!(light.iter().all(|one| (one - light[0]).abs() < 1e-9), "{light:?}");
        }

        #[test]
        fn light_keeps_its_range(cells in prop::collection::vec(-20.0..60.0, 30)) {
            let (table, model) = plane(0.0, 0.0);
            let light = lightness(&table.with_values(cells).unwrap(), &model);
            prop_assert!(light.iter().all(|one| (SHADE_RANGE.0..=SHADE_RANGE.1).contains(one)));
        }

        /// 0.052 in Oklab's lightness of a grey is 6 in CIE L*.
        #[test]
        fn a_bump_of_a_degree_is_lit_wherever_it_is(a in -8.0..8.0, b in -8.0..8.0, load in 0_usize..5, speed in 0_usize..6, up: bool) {
            let (table, model) = plane(a, b);
            let clean = lightness(&table, &model);
            let bumped = lightness(&raised(&table, Cell::new(load, speed), if up { 1.0 } else { -1.0 }), &model);
            let most = clean.iter().zip(&bumped).map(|(x, y)| (x - y).abs()).fold(0.0, f64::max);
            prop_assert!(most > 0.06, "{most}");
        }

        /// A spike typed elsewhere makes the box higher, but bumps no fainter.
        #[test]
        fn a_bump_in_a_high_box_is_lit_as_well(load in 0_usize..5, speed in 0_usize..6, high_deg in 40.0..150.0) {
            let (table, model) = plane(4.0, -3.0);
            let model = ModelBox { value: (0.0, high_deg), ..model };
            let clean = lightness(&table, &model);
            let bumped = lightness(&raised(&table, Cell::new(load, speed), 1.0), &model);
            let most = clean.iter().zip(&bumped).map(|(x, y)| (x - y).abs()).fold(0.0, f64::max);
            prop_assert!(most > 0.06, "{most}");
        }
    }

    #[test]
    fn a_level_plane_keeps_its_tint() {
        let (table, model) = plane(0.0, 0.0);
        assert!(lightness(&table, &model).iter().all(|one| one.abs() < 1e-12));
    }

    #[test]
    fn bumps_are_light_towards_the_main_lamp_and_on_top() {
        let (table, model) = plane(0.0, 0.0);
        let at = |light: &[f64], load: usize, speed: usize| light[load * 6 + speed];
        let bump = lightness(&raised(&table, Cell::new(2, 2), 1.0), &model);
        assert!(at(&bump, 2, 2) > 0.02 && at(&bump, 3, 2) > 0.05 && at(&bump, 1, 2) < -0.05);
        assert!(at(&bump, 2, 1) > at(&bump, 2, 3) + 0.05);
        let hollow = lightness(&raised(&table, Cell::new(2, 2), -1.0), &model);
        assert!(at(&hollow, 2, 2) < -0.02 && at(&hollow, 3, 2) < -0.05);
    }
}
