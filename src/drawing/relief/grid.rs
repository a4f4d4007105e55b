//! The common grid of both surfaces: the breakpoints of the table, and those of the base within their range.

use crate::table::{Axis, Position, Table};

/// A coordinate of the common grid.
#[derive(Clone, Copy, Debug)]
pub(super) struct Stop {
    /// In axis units.
    pub(super) at: f64,
    /// In model space.
    pub(super) model: f64,
    /// The table's breakpoint here.
    pub(super) own: Option<usize>,
    /// The base's breakpoint here.
    pub(super) of_base: Option<usize>,
    /// The table's cell from here on.
    pub(super) cell: usize,
}

/// The stops of the common grid: the table's breakpoints, and those of the base and `more` within their range.
pub(super) fn stops(own: &Axis, base: Option<&Axis>, more: &[f64], to_model: impl Fn(f64) -> f64) -> Vec<Stop> {
    let mut all = base.map_or_else(|| own.breakpoints().to_vec(), |base| own.union(base));
    all.extend(more.iter().filter(|at| at.is_finite()));
    all.sort_by(f64::total_cmp);
    all.dedup();
    let within = all.into_iter().filter(|&at| at >= own.first() && at <= own.last());
    let stop = |at: f64| Stop {
        at,
        model: to_model(at),
        own: own.index_of(at),
        of_base: base.and_then(|base| base.index_of(at)),
        cell: own.locate(at).index,
    };
    within.map(stop).collect()
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

    /// The value of the nearest cell, for values with nothing between them.
    pub(super) fn nearest(&self, values: &[f64], out: &mut Vec<f64>) {
        let index = |position: &Position| position.index + usize::from(position.fraction > 0.5);
        out.clear();
        for row in &self.rows {
            let places = self.columns.iter().map(|column| index(row) * self.width + index(column));
            out.extend(places.map(|place| values.get(place).copied().unwrap_or(f64::NAN)));
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

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn values_spread_over_the_grid_and_none_stay_none() {
        let axis = |list: &[f64]| Axis::new(list.to_vec()).unwrap();
        let table = Table::new(axis(&[0.0, 4.0]), axis(&[0.0, 2.0]), vec![0.0; 4]).unwrap();
        let base = axis(&[1.0, 4.0]);
        let columns = stops(table.speed(), Some(&base), &[], |x| x / 4.0);
        let rows = stops(table.load(), None, &[], |y| y / 2.0);
        let mut out = Vec::new();
        let spread = Spread::new(&table, &columns, &rows);
        spread.over(&[0.0, 8.0, 4.0, 12.0], &mut out);
        assert_eq!(out, [0.0, 2.0, 8.0, 4.0, 6.0, 12.0]);
        // A value that is none takes none of its neighbours with it.
        spread.over(&[0.0, f64::NAN, 4.0, 12.0], &mut out);
        assert!(out[1].is_nan() && out[2].is_nan());
        assert_eq!([out[0], out[3], out[4], out[5]], [0.0, 4.0, 6.0, 12.0]);
        spread.over(&[1.0], &mut out);
        assert!(out[5].is_nan());
    }
}
