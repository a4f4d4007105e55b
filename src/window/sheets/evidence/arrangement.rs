//! Where the frames of the sweeps stand: as in the table, speed to the right and load upwards.

use std::collections::HashSet;

/// Speeds closer than this share of the lower one are one column; loads closer than this share of the greatest are one row.
const SPEED_SHARE: f64 = 0.06;
const LOAD_SHARE: f64 = 0.05;
/// If fewer than this share of the places would be taken, the frames stand one after the other instead.
const LEAST_TAKEN: f64 = 0.3;

/// The arrangement of some operating points.
#[derive(Clone, Debug, Default, PartialEq)]
pub(super) struct Arrangement {
    /// The speed of each column in rpm, rising; empty if the frames stand one after the other.
    pub(super) speeds_rpm: Vec<f64>,
    /// The load of each row, falling; empty if the frames stand one after the other.
    pub(super) loads: Vec<f64>,
    /// Row and column of each point, in the order in which they were given.
    pub(super) places: Vec<(usize, usize)>,
    /// How many rows and columns there are.
    pub(super) size: (usize, usize),
    /// The point at each place, row by row.
    points: Vec<Option<usize>>,
}

impl Arrangement {
    /// Arranges operating points, (speed, load) each. Where they lie on no grid, `columns` stand in a row.
    pub(super) fn of(points: &[(f64, f64)], columns: usize) -> Self {
        let top = points.iter().fold(0.0_f64, |top, point| top.max(point.1));
        let speeds_rpm = clusters(points.iter().map(|point| point.0), |low| low * SPEED_SHARE);
        let mut loads = clusters(points.iter().map(|point| point.1), |_| top * LOAD_SHARE);
        loads.reverse();
        let place = |&(speed, load): &(f64, f64)| (nearest(&loads, load), nearest(&speeds_rpm, speed));
        let places: Vec<(usize, usize)> = points.iter().map(place).collect();
        let is_taken_twice = places.iter().collect::<HashSet<_>>().len() < places.len();
        #[expect(clippy::cast_precision_loss, reason = "a few hundred points")]
        let taken = points.len() as f64 / (speeds_rpm.len() * loads.len()).max(1) as f64;
        if is_taken_twice || taken < LEAST_TAKEN {
            return Self::in_order(points, columns);
        }
        let size = (loads.len(), speeds_rpm.len());
        Self { speeds_rpm, loads, points: by_place(&places, size), places, size }
    }

    /// One after the other, the highest load first, and of each load the lowest speed first.
    fn in_order(points: &[(f64, f64)], columns: usize) -> Self {
        let columns = columns.max(1);
        let mut order: Vec<usize> = (0..points.len()).collect();
        order.sort_by(|&a, &b| points[b].1.total_cmp(&points[a].1).then(points[a].0.total_cmp(&points[b].0)));
        let mut places = vec![(0, 0); points.len()];
        for (at, point) in order.into_iter().enumerate() {
            places[point] = (at / columns, at % columns);
        }
        let size = (points.len().div_ceil(columns), columns.min(points.len()));
        Self { points: by_place(&places, size), places, size, ..Self::default() }
    }

    /// Whether the frames stand as in the table.
    pub(super) fn is_grid(&self) -> bool {
        !self.loads.is_empty()
    }

    /// The point at a place.
    pub(super) fn at(&self, place: (usize, usize)) -> Option<usize> {
        let is_inside = place.0 < self.size.0 && place.1 < self.size.1;
        is_inside.then(|| self.points.get(place.0 * self.size.1 + place.1).copied().flatten()).flatten()
    }

    /// The point that is next from another in a direction, rows down and columns to the right.
    pub(super) fn beside(&self, from: usize, (down, right): (isize, isize)) -> Option<usize> {
        let mut place = *self.places.get(from)?;
        loop {
            let row = place.0.checked_add_signed(down).filter(|row| *row < self.size.0)?;
            let column = place.1.checked_add_signed(right).filter(|column| *column < self.size.1)?;
            place = (row, column);
            if let Some(found) = self.at(place) {
                return Some(found);
            }
        }
    }
}

/// The point at each of the places of a grid, row by row.
fn by_place(places: &[(usize, usize)], (rows, columns): (usize, usize)) -> Vec<Option<usize>> {
    let mut points = vec![None; rows * columns];
    for (point, &(row, column)) in places.iter().enumerate() {
        if let Some(there) = points.get_mut(row * columns + column) {
            *there = Some(point);
        }
    }
    points
}

/// The means of runs of values in which each is less than `apart` above the one before.
fn clusters(values: impl Iterator<Item = f64>, apart: impl Fn(f64) -> f64) -> Vec<f64> {
    let mut sorted: Vec<f64> = values.collect();
    sorted.sort_by(f64::total_cmp);
    let mut runs: Vec<Vec<f64>> = Vec::new();
    for value in sorted {
        match runs.last_mut() {
            Some(run) if run.last().is_some_and(|last| value - last <= apart(*last)) => run.push(value),
            _ => runs.push(vec![value]),
        }
    }
    #[expect(clippy::cast_precision_loss, reason = "a few hundred points")]
    let mean = |run: &Vec<f64>| run.iter().sum::<f64>() / run.len() as f64;
    runs.iter().map(mean).collect()
}

fn nearest(middles: &[f64], value: f64) -> usize {
    let near = middles.iter().enumerate().min_by(|a, b| (a.1 - value).abs().total_cmp(&(b.1 - value).abs()));
    near.map_or(0, |(at, _)| at)
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn points_of_a_grid_stand_as_in_the_table() {
        let points = [(2000.0, 100.0), (3150.0, 100.0), (2012.0, 75.5), (3140.0, 74.0), (4200.0, 75.0), (4190.0, 28.0)];
        let found = Arrangement::of(&points, 5);
        assert_eq!(found.size, (3, 3));
        assert_eq!(found.places, [(0, 0), (0, 1), (1, 0), (1, 1), (1, 2), (2, 2)]);
        assert_eq!(found.speeds_rpm, [2006.0, 3145.0, 4195.0]);
        assert_eq!(found.at((2, 0)), None);
        assert_eq!(found.beside(4, (1, 0)), Some(5));
        assert_eq!(found.beside(0, (0, 1)), Some(1));
        assert_eq!(found.beside(5, (0, -1)), None, "nothing in that row");
    }

    #[test]
    fn points_on_no_grid_stand_one_after_the_other() {
        let points: Vec<(f64, f64)> =
            (0..9).map(|at| (1000.0 + 700.0 * f64::from(at), 20.0 + 9.0 * f64::from(at))).collect();
        let found = Arrangement::of(&points, 4);
        assert!(!found.is_grid());
        assert_eq!((found.size, found.places[8], found.places[0]), ((3, 4), (0, 0), (2, 0)));
    }

    proptest! {
        #[test]
        fn every_point_has_a_place_of_its_own(
            points in proptest::collection::vec((500.0..8000.0, 5.0..100.0), 0..40), columns in 0_usize..8,
        ) {
            let found = Arrangement::of(&points, columns);
            prop_assert_eq!(found.places.len(), points.len());
            for (at, place) in found.places.iter().enumerate() {
                prop_assert!(place.0 < found.size.0 && place.1 < found.size.1);
                prop_assert!(!found.places[..at].contains(place));
                prop_assert_eq!(found.at(*place), Some(at));
            }
        }
    }
}
