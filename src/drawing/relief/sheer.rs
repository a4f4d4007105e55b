//! What stands beside a table without being one, and so is never filled: a ceiling as a sheet of hatching, and a band as two
//! nets of long dashes. The table is seen through both.

use super::Relief;
use super::grid::{Spread, Stop};
use super::layer::Layer;
use super::order::{Corner, Piece, Side};
use crate::drawing::{ModelBox, Palette, Scene};
use crate::project::Parts;
use crate::table::Table;

/// Distance of the lines of a ceiling's hatch in model space, across both axes: wide enough to see the table between them.
const SHEET_STEP: f32 = 0.045;
const SHEET_WIDTH: f32 = 0.9;
const EDGE_WIDTH: f32 = 1.4;
const NET_WIDTH: f32 = 1.1;
/// A net has no more meshes along an axis.
const NET_GAPS: usize = 5;
/// Where the table rises through a ceiling, the line is as wide as this, so that land stands out of water.
pub(super) const SHORE_WIDTH: f32 = 2.5;
/// Length of a dash with its gap along an axis in model space, and the share of it that is drawn.
const DASH: f32 = 0.05;
const DASH_SHARE: f32 = 0.64;

/// Degrees over a grid of speeds and loads of its own, straight between them and nowhere else.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Sheet {
    /// Speeds in rpm, rising.
    pub speeds_rpm: Vec<f64>,
    /// Loads in the load unit, rising.
    pub loads: Vec<f64>,
    /// Degrees before TDC, speed by speed for each load.
    pub deg: Vec<f64>,
}

/// What stands beside the table.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Sheer<'a> {
    /// What the table may not exceed.
    Ceiling(&'a Sheet),
    /// So many degrees above and below every cell of the table; NaN where that is not known.
    Band(&'a [f64]),
}

/// How the layers of a view's sheer surfaces are drawn.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub(super) enum SheerStyle {
    #[default]
    Hatched,
    Dashed,
}

impl Sheet {
    /// The full-load line less what the trims may add, wherever the table can come close to it; `None` if it is switched off
    /// or bounds nothing of the table.
    pub fn ceiling(project: &Parts) -> Option<Self> {
        let (line, table) = (&project.full_load_line, project.advance.table());
        if !line.enabled || line.from_load >= table.load().last() {
            return None;
        }
        let points = project.full_load_points();
        let deg = |&(speed_rpm, load): &(f64, f64)| line.allowed_deg(speed_rpm, load) - project.trims.most_deg(load);
        let rising = |of: fn(&(f64, f64)) -> f64| {
            let mut all: Vec<f64> = points.iter().map(of).collect();
            all.sort_by(f64::total_cmp);
            all.dedup();
            all
        };
        Some(Self {
            speeds_rpm: rising(|point| point.0),
            loads: rising(|point| point.1),
            deg: points.iter().map(deg).collect(),
        })
    }

    /// The ends of both axes: speeds, then loads; `None` unless both have two places at least.
    pub(super) fn ends(&self) -> Option<[(f64, f64); 2]> {
        let ends = |list: &[f64]| match list {
            [first, .., last] => Some((*first, *last)),
            _ => None,
        };
        Some([ends(&self.speeds_rpm)?, ends(&self.loads)?])
    }

    /// The lowest and the highest degrees; `None` without any.
    pub fn extremes(&self) -> Option<(f64, f64)> {
        let mut all = self.deg.iter().copied().filter(|deg| deg.is_finite());
        let first = all.next()?;
        Some(all.fold((first, first), |(low, high), deg| (low.min(deg), high.max(deg))))
    }

    /// Degrees at a place; NaN beyond its ends.
    pub(super) fn at(&self, speed_rpm: f64, load: f64) -> f64 {
        let (Some(column), Some(row)) = (share_of(&self.speeds_rpm, speed_rpm), share_of(&self.loads, load)) else {
            return f64::NAN;
        };
        let cell =
            |row: usize, column: usize| self.deg.get(row * self.speeds_rpm.len() + column).copied().unwrap_or(f64::NAN);
        let along = |row: usize| cell(row, column.0) + (cell(row, column.0 + 1) - cell(row, column.0)) * column.1;
        along(row.0) + (along(row.0 + 1) - along(row.0)) * row.1
    }
}

/// Between which two of a rising list a value lies, and where between them.
fn share_of(list: &[f64], at: f64) -> Option<(usize, f64)> {
    let (first, last) = (list.first()?, list.last()?);
    if !(*first..=*last).contains(&at) {
        return None;
    }
    let before = list.partition_point(|stop| *stop <= at).saturating_sub(1).min(list.len().checked_sub(2)?);
    Some((before, (at - list[before]) / (list[before + 1] - list[before])))
}

impl Sheer<'_> {
    /// The surfaces on the common grid of a table whose own is `front`.
    pub(super) fn layers(
        &self,
        (table, front): (&Table, &Layer),
        (columns, rows): (&[Stop], &[Stop]),
        model: &ModelBox,
    ) -> (Vec<Layer>, SheerStyle) {
        match self {
            Self::Ceiling(sheet) => {
                let places = rows.iter().flat_map(|row| columns.iter().map(move |column| (column.at, row.at)));
                let deg = places.map(|(speed_rpm, load)| sheet.at(speed_rpm, load)).collect();
                (vec![Layer::of_degrees(deg, model)], SheerStyle::Hatched)
            }
            Self::Band(within_deg) => {
                let mut within = Vec::new();
                Spread::new(table, columns, rows).over(within_deg, &mut within);
                // The box stands still, whatever the band is found to be: what is wider ends at its top and floor.
                let (low, high) = model.value;
                let edge = |sign: f64| {
                    let deg = front.values.iter().zip(&within).map(|(deg, by)| (deg + sign * by).clamp(low, high));
                    Layer::of_degrees(deg.collect(), model)
                };
                (vec![edge(-1.0), edge(1.0)], SheerStyle::Dashed)
            }
        }
    }
}

impl Relief {
    /// What runs along side `k` of a cell, on a stop of the grid, where a sheer surface passes it.
    pub(super) fn sheer_side(&self, k: usize, stop: &Stop, mesh: impl Fn(usize) -> Side) -> Side {
        match (self.sheer_style, stop.own) {
            (SheerStyle::Dashed, Some(at)) if self.is_in_net(k, at) => mesh(at),
            (SheerStyle::Hatched, _) if self.is_edge(k, stop) => Side::Mesh(u8::MAX),
            _ => Side::Bare,
        }
    }

    /// A net has few lines, so that the table is seen through it: at both ends of the axis, and as many between.
    fn is_in_net(&self, k: usize, at: usize) -> bool {
        let axis = if k.is_multiple_of(2) { self.table.load() } else { self.table.speed() };
        let last = axis.len() - 1;
        at.is_multiple_of(last.div_ceil(NET_GAPS)) || at == last
    }

    fn is_edge(&self, k: usize, stop: &Stop) -> bool {
        let Some([speeds, loads]) = self.sheet_ends else { return false };
        let along_speed = k.is_multiple_of(2);
        let (ends, own) = if along_speed { (loads, self.table.load()) } else { (speeds, self.table.speed()) };
        stop.at == ends.0.max(own.first()) || stop.at == ends.1.min(own.last())
    }
}

/// Draws a piece of a sheer surface.
pub(super) fn draw(piece: &Piece, style: SheerStyle, palette: &Palette, scene: &mut Scene) {
    match style {
        SheerStyle::Hatched => {
            piece.hatch(SHEET_STEP, |from, to| scene.line(from, to, SHEET_WIDTH, palette.ink_secondary));
            for (from, to, side) in piece.sides() {
                if side != Side::Bare {
                    scene.line(from.at, to.at, EDGE_WIDTH, palette.ink);
                }
            }
        }
        SheerStyle::Dashed => {
            for (from, to, side) in piece.sides() {
                if let Side::Mesh(share) = side {
                    let alpha = u16::from(palette.ink.a) * u16::from(share) / 255;
                    let ink = palette.ink.with_alpha(u8::try_from(alpha).unwrap_or(u8::MAX));
                    dashes(from, to, |from, to| scene.line(from, to, NET_WIDTH, ink));
                }
            }
        }
    }
}

/// The dashes of a side; they go on from cell to cell, since they follow from the place in the plan.
fn dashes(from: &Corner, to: &Corner, mut draw: impl FnMut(crate::drawing::Point, crate::drawing::Point)) {
    let (start, end) = (from.across(), to.across());
    let length = end - start;
    if length == 0.0 {
        return;
    }
    let (low, high) = (start.min(end), start.max(end));
    let mut dash = (low / DASH).floor() * DASH;
    while dash < high {
        let (begins, ends) = (dash.max(low), (dash + DASH * DASH_SHARE).min(high));
        if begins < ends {
            let at = |across: f32| from.place_toward(to, (across - start) / length);
            draw(at(begins), at(ends));
        }
        dash += DASH;
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_sheet_is_straight_between_its_places_and_ends_with_them() {
        let sheet =
            Sheet { speeds_rpm: vec![1000.0, 3000.0], loads: vec![80.0, 100.0], deg: vec![20.0, 30.0, 10.0, 20.0] };
        assert_eq!([sheet.at(2000.0, 80.0), sheet.at(2000.0, 90.0), sheet.at(3000.0, 100.0)], [25.0, 20.0, 20.0]);
        assert!([(999.0, 90.0), (2000.0, 79.0), (2000.0, 101.0)].iter().all(|at| sheet.at(at.0, at.1).is_nan()));
        assert_eq!((sheet.extremes(), sheet.ends()), (Some((10.0, 30.0)), Some([(1000.0, 3000.0), (80.0, 100.0)])));
        assert_eq!((Sheet::default().extremes(), Sheet::default().ends()), (None, None));
    }
}
