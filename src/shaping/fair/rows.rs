//! What is minimised and what limits it, on the free cells of a table alone.
//!
//! The unknown is the correction δ to the present values, never the values themselves, which would lose planes on uneven
//! axes. Minimised is `½ δᵀHδ + gᵀδ` with `H = w I + λ P + Σ ω a aᵀ`; limited are sums `aᵀδ` over at most four cells.

use super::factor::Panels;
use crate::shaping::smooth::Penalty;

/// A limited sum over at most four free cells.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(in crate::shaping) struct Row {
    cells: [usize; 4],
    weights: [f64; 4],
    count: usize,
    /// The least that the sum over the correction may be.
    pub(in crate::shaping) low: f64,
    /// The most.
    pub(in crate::shaping) high: f64,
    /// The sum over the values that are corrected.
    pub(in crate::shaping) now: f64,
}

impl Row {
    /// A sum over the values, limited to `low..=high`, of which the present values are given; entries beyond four and
    /// those of no weight are left out.
    pub(in crate::shaping) fn new(
        entries: impl IntoIterator<Item = (usize, f64)>,
        (low, high): (f64, f64),
        value: impl Fn(usize) -> f64,
    ) -> Self {
        let mut row = Self { cells: [0; 4], weights: [0.0; 4], count: 0, low, high, now: 0.0 };
        for (cell, weight) in entries.into_iter().filter(|(_, weight)| *weight != 0.0).take(4) {
            row.cells[row.count] = cell;
            row.weights[row.count] = weight;
            row.count += 1;
            row.now += weight * value(cell);
        }
        row.low -= row.now;
        row.high -= row.now;
        row
    }

    /// The same sum without limits.
    pub(super) const fn open(self) -> Self {
        Self { low: f64::NEG_INFINITY, high: f64::INFINITY, ..self }
    }

    /// Its cells, by their place among the free ones, with their weights.
    pub(in crate::shaping) fn entries(&self) -> impl Iterator<Item = (usize, f64)> + '_ {
        self.cells.iter().copied().zip(self.weights.iter().copied()).take(self.count)
    }

    /// The sum over other numbers.
    pub(in crate::shaping) fn of(&self, x: &[f64]) -> f64 {
        self.entries().map(|(cell, weight)| weight * x[cell]).sum()
    }

    /// Adds a multiple of its weights.
    pub(super) fn add_to(&self, out: &mut [f64], times: f64) {
        self.entries().for_each(|(cell, weight)| out[cell] += times * weight);
    }

    /// Adds a multiple of the product of its weights with each other.
    pub(in crate::shaping) fn add_square_to(&self, matrix: &mut Panels, times: f64) {
        for (at, (one, a)) in self.entries().enumerate() {
            self.entries().take(at + 1).for_each(|(other, b)| matrix.add(one, other, times * a * b));
        }
    }

    /// How far a sum lies beyond the limits; never below zero.
    pub(in crate::shaping) fn beyond(&self, sum: f64) -> f64 {
        (self.low - sum).max(sum - self.high).max(0.0)
    }
}

/// Which cells may move, in the order in which the system is factorised: the shorter direction fastest.
#[derive(Clone, Debug)]
pub(in crate::shaping) struct FreeCells {
    /// Indices into the table's values.
    pub(in crate::shaping) order: Vec<usize>,
    places: Vec<Option<usize>>,
}

impl FreeCells {
    /// The marked cells of a table with that many rows and columns.
    pub(in crate::shaping) fn new(mask: &[bool], (rows, columns): (usize, usize)) -> Self {
        let used_rows = mask.chunks(columns).filter(|row| row.contains(&true)).count();
        let used_columns =
            (0..columns).filter(|&column| mask.iter().skip(column).step_by(columns).any(|&is| is)).count();
        let by_row = 0..rows * columns;
        let by_column = (0..columns).flat_map(|column| (0..rows).map(move |row| row * columns + column));
        let order: Vec<usize> = if used_columns <= used_rows {
            by_row.filter(|&at| mask[at]).collect()
        } else {
            by_column.filter(|&at| mask[at]).collect()
        };
        let mut places = vec![None; mask.len()];
        order.iter().enumerate().for_each(|(place, &at)| places[at] = Some(place));
        Self { order, places }
    }

    /// The place of a cell among the free ones.
    pub(in crate::shaping) fn place(&self, at: usize) -> Option<usize> {
        self.places.get(at).copied().flatten()
    }
}

/// How much each part of what is minimised weighs.
#[derive(Clone, Copy, Debug)]
pub(in crate::shaping) struct Weights {
    /// Of the squares of the corrections.
    pub(in crate::shaping) stay: f64,
    /// Of the squares of the bends: λ.
    pub(in crate::shaping) bend: f64,
}

/// The matrix H and the vector g.
#[derive(Clone, Debug)]
pub(in crate::shaping) struct System {
    /// H with room for the products of the rows.
    pub(in crate::shaping) matrix: Panels,
    /// Where the entries of each row of H begin in `entries`; one more than there are rows.
    begins: Vec<usize>,
    entries: Vec<(usize, f64)>,
    pub(in crate::shaping) diagonal: Vec<f64>,
    pub(in crate::shaping) gradient: Vec<f64>,
}

impl System {
    /// Sets the system up. `soft` are sums with the weight of their square; `rows` only say where the matrix needs room.
    pub(in crate::shaping) fn new(
        penalty: &Penalty,
        free: &FreeCells,
        weights: Weights,
        soft: &[(Row, f64)],
        rows: &[Row],
        gradient: Vec<f64>,
    ) -> Self {
        let size = free.order.len();
        let mut lists: Vec<Vec<(usize, f64)>> = Vec::with_capacity(size);
        for &at in &free.order {
            let coupled = penalty.coupled(at).filter_map(|other| Some((free.place(other)?, penalty.entry(at, other))));
            lists.push(coupled.map(|(place, entry)| (place, weights.bend * entry)).collect());
        }
        for (place, list) in lists.iter_mut().enumerate() {
            add_entry(list, place, weights.stay);
        }
        for (row, weight) in soft {
            for (one, a) in row.entries() {
                row.entries().for_each(|(other, b)| add_entry(&mut lists[one], other, weight * a * b));
            }
        }
        Self::of_lists(&lists, rows, gradient)
    }

    /// A system whose matrix is the identity.
    pub(super) fn identity(size: usize, rows: &[Row]) -> Self {
        let lists: Vec<Vec<(usize, f64)>> = (0..size).map(|place| vec![(place, 1.0)]).collect();
        Self::of_lists(&lists, rows, vec![0.0; size])
    }

    fn of_lists(lists: &[Vec<(usize, f64)>], rows: &[Row], gradient: Vec<f64>) -> Self {
        let least =
            |(place, list): (usize, &Vec<(usize, f64)>)| list.iter().map(|entry| entry.0).fold(place, usize::min);
        let mut firsts: Vec<usize> = lists.iter().enumerate().map(least).collect();
        for row in rows {
            let first = row.entries().map(|(cell, _)| cell).min().unwrap_or(0);
            row.entries().for_each(|(cell, _)| firsts[cell] = firsts[cell].min(first));
        }
        let mut matrix = Panels::zeros(&firsts);
        let mut begins = Vec::with_capacity(lists.len() + 1);
        let mut diagonal = vec![0.0; lists.len()];
        let mut entries = Vec::new();
        begins.push(0);
        for (place, list) in lists.iter().enumerate() {
            for &(other, entry) in list {
                if other <= place {
                    matrix.add(place, other, entry);
                }
                if other == place {
                    diagonal[place] += entry;
                }
            }
            entries.extend_from_slice(list);
            begins.push(entries.len());
        }
        Self { matrix, begins, entries, diagonal, gradient }
    }

    /// How many unknowns there are.
    pub(in crate::shaping) fn size(&self) -> usize {
        self.diagonal.len()
    }

    /// H x.
    pub(in crate::shaping) fn apply(&self, x: &[f64]) -> Vec<f64> {
        let rows = self.begins.windows(2).map(|ends| &self.entries[ends[0]..ends[1]]);
        rows.map(|row| row.iter().map(|&(other, entry)| entry * x[other]).sum()).collect()
    }

    /// The entries of a column of H, by their row.
    pub(super) fn column(&self, place: usize) -> impl Iterator<Item = (usize, f64)> + '_ {
        let ends = self.begins.get(place).zip(self.begins.get(place + 1));
        ends.and_then(|(from, to)| self.entries.get(*from..*to)).unwrap_or_default().iter().copied()
    }

    /// The middle one of the diagonal's entries.
    pub(super) fn median_diagonal(&self) -> f64 {
        let mut sorted = self.diagonal.clone();
        sorted.sort_by(f64::total_cmp);
        sorted.get(sorted.len() / 2).copied().unwrap_or(1.0)
    }
}

fn add_entry(list: &mut Vec<(usize, f64)>, place: usize, value: f64) {
    match list.iter_mut().find(|entry| entry.0 == place) {
        Some(entry) => entry.1 += value,
        None => list.push((place, value)),
    }
}
