//! How a table is continued towards or beyond an edge: along a robust slope, not rising in the upper half of the
//! load axis, and never rougher than it is.

use super::{Along, Keep, Shaped, ShapingError, Side, change_axes, insert_breakpoint};
use crate::project::{ADVANCE_RANGE_DEG, Advance, AdvanceError, Origin};
use crate::table::{Axis, Cell, Selection, Table};
use crate::wording::settle;

/// One in this many of the cells before the edge decides how the table goes on: those nearest to it.
const SHARE: usize = 3;
/// In this many steps the slopes of neighbouring lines are blended until the new line is no rougher than the
/// old ones.
const BLENDS: u8 = 16;
/// Roughness that exceeds the table's own by no more than this is rounding error.
const DUST_DEG: f64 = 1e-9;

/// What is known of neighbouring rows or columns, and how they may go on.
pub(super) struct Known<'a> {
    /// Coordinates along the lines, in axis units, the nearest to the edge first; at least two.
    pub(super) at: &'a [f64],
    /// The values of each line at those places.
    pub(super) lines: Vec<Vec<f64>>,
    /// Coordinates of the lines themselves, on the other axis.
    pub(super) across: &'a [f64],
    /// Whether the lines may rise towards the edge.
    pub(super) may_rise: bool,
}

impl Known<'_> {
    /// How many of the known coordinates decide.
    fn counted(&self) -> usize {
        self.at.len().div_ceil(SHARE).max(2).min(self.at.len())
    }

    /// The values of each line at a coordinate beyond the last known one.
    pub(super) fn onward(&self, at: f64) -> Vec<f64> {
        let count = self.counted();
        let run = at - self.at[0];
        let slope = |line: &Vec<f64>| {
            let points: Vec<(f64, f64)> = self.at.iter().copied().zip(line.iter().copied()).take(count).collect();
            let rise = robust_slope(&points) * run;
            if self.may_rise { rise } else { rise.min(0.0) }
        };
        let rises: Vec<f64> = self.lines.iter().map(slope).collect();
        let common = median(rises.clone());
        let bounds = self.roughness_bounds(count);
        let blended = |step: u8| -> Vec<f64> {
            let share = f64::from(step) / f64::from(BLENDS);
            let line = |(line, rise): (&Vec<f64>, &f64)| line[0] + rise + share * (common - rise);
            self.lines.iter().zip(&rises).map(line).collect()
        };
        let is_smooth = |values: &Vec<f64>| {
            let own = roughness(self.across, values);
            own.iter().zip(&bounds).all(|(own, bound)| *own <= bound + DUST_DEG)
        };
        (0..=BLENDS).map(blended).find(is_smooth).unwrap_or_else(|| blended(BLENDS))
    }

    /// For each line, the most by which one of the deciding values lies off the chord between the neighbouring
    /// lines.
    fn roughness_bounds(&self, count: usize) -> Vec<f64> {
        let of = |place: usize| {
            let values: Vec<f64> = self.lines.iter().map(|line| line[place]).collect();
            roughness(self.across, &values)
        };
        let first = of(0);
        (1..count).map(of).fold(first, |most, next| most.iter().zip(&next).map(|(a, b)| a.max(*b)).collect())
    }
}

/// How far each value lies off the chord between its neighbours; 0 at both ends.
fn roughness(across: &[f64], values: &[f64]) -> Vec<f64> {
    let mut off = vec![0.0; values.len()];
    for (at, slot) in off.iter_mut().enumerate().skip(1).take(values.len().saturating_sub(2)) {
        let share = (across[at] - across[at - 1]) / (across[at + 1] - across[at - 1]);
        *slot = (values[at] - values[at - 1] - share * (values[at + 1] - values[at - 1])).abs();
    }
    off
}

/// The median of the slopes between all pairs of points, which nearly a third of bad points hardly move: H.
/// Theil, "A rank-invariant method of linear and polynomial regression analysis", Indagationes Mathematicae 12
/// (1950), from memory. At least two points, no two at the same coordinate.
fn robust_slope(points: &[(f64, f64)]) -> f64 {
    let pairs = points.iter().enumerate().flat_map(|(at, a)| points[at + 1..].iter().map(move |b| (a, b)));
    median(pairs.map(|(a, b)| (b.1 - a.1) / (b.0 - a.0)).collect())
}

fn median(mut values: Vec<f64>) -> f64 {
    values.sort_by(f64::total_cmp);
    let middle = values.len() / 2;
    match values.len() {
        0 => 0.0,
        len if len % 2 == 1 => values[middle],
        _ => f64::midpoint(values[middle - 1], values[middle]),
    }
}

/// Whether a line towards an edge may rise from a coordinate on: along load not in the upper half of the axis,
/// since a denser charge wants less advance.
pub(super) fn may_rise(to: Side, axis: &Axis, at: f64) -> bool {
    to != Side::HighLoad || at <= f64::midpoint(axis.first(), axis.last())
}

/// Adds a breakpoint beyond the upper end of an axis. Along speed the table continues flat; along load it
/// continues as the rows before it do, but falls no further than `least_deg` if the last row lies above that.
///
/// # Errors
/// [`ShapingError`] when the axis is full, or the breakpoint lies within it, crowds the last one or is out of range.
pub fn extend_axis(advance: &Advance, along: Along, at: f64, least_deg: f64) -> Result<Shaped, ShapingError> {
    let longer = insert_breakpoint(advance, along, at)?;
    with_last_line(advance, longer, along, least_deg)
}

/// Moves the last breakpoint of an axis further up, and fills its cells as [`extend_axis`] would.
///
/// # Errors
/// As [`extend_axis`].
pub fn stretch_axis(advance: &Advance, along: Along, at: f64, least_deg: f64) -> Result<Shaped, ShapingError> {
    let table = advance.table();
    let axis = along.axis(table);
    let moved = axis.with_moved(axis.len() - 1, at).map_err(|error| ShapingError::Axis { along, error })?;
    let stretched = match along {
        Along::Speed => change_axes(advance, moved, table.load().clone(), Keep::Surface)?,
        Along::Load => change_axes(advance, table.speed().clone(), moved, Keep::Surface)?,
    };
    with_last_line(advance, stretched, along, least_deg)
}

fn with_last_line(before: &Advance, shaped: Shaped, along: Along, least_deg: f64) -> Result<Shaped, ShapingError> {
    let (old, new) = (before.table(), shaped.advance.table());
    let (axis, at) = (along.axis(old), along.axis(new).last());
    if along == Along::Speed || at <= axis.last() {
        return Ok(shaped);
    }
    let lines = old.speed().len();
    let inward = (0..axis.len()).rev();
    let places: Vec<f64> = inward.clone().map(|row| axis.breakpoints()[row]).collect();
    let line = |column: usize| inward.clone().map(|row| old.at(Cell::new(row, column))).collect();
    let known = Known {
        at: &places,
        lines: (0..lines).map(line).collect(),
        across: old.speed().breakpoints(),
        may_rise: may_rise(Side::HighLoad, along.axis(new), at),
    };
    let row = new.load().len() - 1;
    let mut values = new.values().to_vec();
    for (column, (deg, line)) in known.onward(at).into_iter().zip(&known.lines).enumerate() {
        let least = line[0].min(least_deg).max(ADVANCE_RANGE_DEG.0);
        values[new.index(Cell::new(row, column))] = settle(deg.max(least));
    }
    let advance = extended_row(&shaped.advance, values, row)?;
    Ok(Shaped { advance, ..shaped })
}

fn extended_row(advance: &Advance, values: Vec<f64>, row: usize) -> Result<Advance, AdvanceError> {
    let table: &Table = advance.table();
    let mut cells = Selection::none(table.load().len(), table.speed().len());
    cells.extend((0..table.speed().len()).map(|speed| Cell::new(row, speed)));
    Ok(advance.with_values(values, Origin::Extended)?.with_origin(&cells, Origin::Extended))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::shaping::sample::{any_advance, over};
    use proptest::prelude::*;

    /// Falls by a degree and a half per 10 kPa, every cell rounded to half a degree.
    fn rounded() -> Advance {
        let speeds: Vec<f64> = (0..10).map(|at| 1000.0 + 600.0 * f64::from(at)).collect();
        let loads = [30.0, 45.0, 60.0, 70.0, 80.0, 90.0, 100.0, 108.0, 116.0];
        over(&speeds, &loads, |speed, load| ((30.0 + speed / 700.0 - 0.15 * load) * 2.0).round() / 2.0)
    }

    /// From the last two rows alone, 64 kPa further there would be steps of up to 8 degrees from column to
    /// column.
    #[test]
    fn half_degree_steps_are_not_carried_far_beyond_the_edge() {
        let start = rounded();
        let after = extend_axis(&start, Along::Load, 180.0, -10.0).unwrap().advance;
        let table = after.table();
        let last = table.load().len() - 1;
        for column in 0..table.speed().len() {
            let exact = 30.0 + table.speed().breakpoints()[column] / 700.0 - 0.15 * 180.0;
            let deg = table.at(Cell::new(last, column));
            assert!((deg - exact).abs() < 1.0, "{column}: {deg} for {exact}");
            assert_eq!(after.origin(Cell::new(last, column)), Origin::Extended);
            assert_eq!(after.origin(Cell::new(last - 1, column)), Origin::Starter);
        }
    }

    #[test]
    fn a_bad_cell_among_the_last_ones_does_not_lead_it() {
        let start = over(&[1000.0, 2000.0], &[40.0, 50.0, 60.0, 70.0, 80.0, 90.0, 100.0, 110.0, 120.0], |_, load| {
            if load == 110.0 { 22.0 } else { 40.0 - 0.2 * load }
        });
        let known: Vec<(f64, f64)> = [(120.0, 16.0), (110.0, 22.0), (100.0, 20.0)].to_vec();
        assert!((robust_slope(&known) - (-0.2)).abs() < 1e-12);
        let after = extend_axis(&start, Along::Load, 140.0, -10.0).unwrap().advance;
        assert!((after.table().lookup(1000.0, 140.0) - 12.0).abs() < 1e-9);
    }

    #[test]
    fn the_last_row_can_be_moved_instead() {
        let start = rounded();
        let after = stretch_axis(&start, Along::Load, 180.0, -10.0).unwrap().advance;
        let longer = extend_axis(&start, Along::Load, 180.0, -10.0).unwrap().advance;
        assert_eq!(after.table().load().len(), start.table().load().len());
        assert_eq!(after.table().row(8), longer.table().row(9));
        assert_eq!(after.origin(Cell::new(8, 3)), Origin::Extended);
        assert_eq!(after.origin(Cell::new(7, 3)), Origin::Starter);
    }

    #[test]
    fn along_speed_it_goes_on_flat() {
        let start = rounded();
        let after = extend_axis(&start, Along::Speed, 9000.0, -10.0).unwrap().advance;
        let table = after.table();
        let top = table.speed().len() - 1;
        for row in 0..table.load().len() {
            assert_eq!(table.at(Cell::new(row, top)), start.table().at(Cell::new(row, top - 1)));
            assert_eq!(after.origin(Cell::new(row, top)), Origin::Extended);
        }
    }

    proptest! {
        /// Whatever the table: never rising with load, and along the row never further off a chord than the
        /// rows it continues.
        #[test]
        fn never_up_and_never_rougher(start in any_advance(14), share in 0.02..1.0_f64) {
            let table = start.table();
            let at = table.load().last() + share * table.load().span();
            let Ok(shaped) = extend_axis(&start, Along::Load, at, -60.0) else { return Ok(()) };
            let new = shaped.advance.table();
            let rows = table.load().len();
            let across = table.speed().breakpoints();
            let counted = rows.div_ceil(SHARE).max(2).min(rows);
            let own = roughness(across, new.row(rows));
            let is_clamped = new.row(rows).contains(&ADVANCE_RANGE_DEG.0);
            for (column, own) in own.iter().copied().enumerate() {
                prop_assert!(new.at(Cell::new(rows, column)) <= table.at(Cell::new(rows - 1, column)) + 1e-9);
                let most = (rows - counted..rows).map(|row| roughness(across, table.row(row))[column]).fold(0.0, f64::max);
                prop_assert!(is_clamped || own <= most + 1e-6, "{own} over {most}");
            }
        }
    }
}
