//! Which neighbours the limit applies to, and whether the cells that may not move leave room for it.

use std::cmp::Ordering;
use std::collections::BinaryHeap;

use super::{Bound, TOLERANCE_DEG};
use crate::shaping::Along;
use crate::table::{Cell, Selection, Table};

/// Two neighbours, as indices into the table's values, and how far they may differ.
#[derive(Clone, Copy, Debug)]
pub(super) struct Pair {
    pub(super) a: usize,
    pub(super) b: usize,
    pub(super) limit_deg: f64,
}

/// Every pair that the limit applies to, and for each cell the pairs it belongs to.
#[derive(Debug)]
pub(super) struct Pairs {
    pub(super) list: Vec<Pair>,
    of_cell: Vec<Vec<usize>>,
}

/// Two cells that may not move and differ by more than the limits along the path between them allow.
#[derive(Debug)]
pub(super) struct Conflict {
    pub(super) from: usize,
    pub(super) to: usize,
    pub(super) allowed_deg: f64,
}

impl Pairs {
    /// The pairs that `bound` selects, each with its limit from `allowed_deg`; pairs without a limit are left
    /// out.
    pub(super) fn new(
        table: &Table,
        selection: &Selection,
        bound: Bound,
        allowed_deg: impl Fn(Along, f64, f64) -> f64,
    ) -> Self {
        let is_bound = |one: Cell, other: Cell| match bound {
            Bound::Selected => selection.contains(one) && selection.contains(other),
            Bound::AndNeighbours => selection.contains(one) || selection.contains(other),
        };
        let (x, y) = (table.speed().breakpoints(), table.load().breakpoints());
        let mut pairs = Self { list: Vec::new(), of_cell: vec![Vec::new(); table.values().len()] };
        for cell in table.cells() {
            let Cell { load, speed } = cell;
            let mut bind = |other: Cell, limit_deg: f64| {
                if limit_deg.is_finite() && is_bound(cell, other) {
                    pairs.add(Pair { a: table.index(cell), b: table.index(other), limit_deg });
                }
            };
            if speed + 1 < x.len() {
                bind(Cell::new(load, speed + 1), allowed_deg(Along::Speed, x[speed], x[speed + 1]));
            }
            if load + 1 < y.len() {
                bind(Cell::new(load + 1, speed), allowed_deg(Along::Load, y[load], y[load + 1]));
            }
        }
        pairs
    }

    fn add(&mut self, pair: Pair) {
        self.of_cell[pair.a].push(self.list.len());
        self.of_cell[pair.b].push(self.list.len());
        self.list.push(pair);
    }

    /// The pairs of a cell: their index, the other cell, and the sign of this cell in `a − b`.
    pub(super) fn around_cell(&self, at: usize) -> impl Iterator<Item = (usize, usize, f64)> + '_ {
        self.of_cell[at].iter().map(move |&number| {
            let Pair { a, b, .. } = self.list[number];
            if a == at { (number, b, 1.0) } else { (number, a, -1.0) }
        })
    }

    /// Whether values are within every limit.
    pub(super) fn hold(&self, z: &[f64]) -> bool {
        self.list.iter().all(|pair| (z[pair.a] - z[pair.b]).abs() <= pair.limit_deg + TOLERANCE_DEG)
    }

    /// Two fixed cells between which no values can be within the limits, if there are any.
    ///
    /// Such values exist if and only if no fixed value lies above the lowest upper bound that the other fixed
    /// values impose on it, each plus the limits along the shortest path (E. J. McShane's extension, 1934); the
    /// bounds come from one shortest-path search from all fixed cells at once (E. W. Dijkstra, 1959).
    pub(super) fn conflict(&self, z: &[f64], may_move: &[bool]) -> Option<Conflict> {
        let mut bound = vec![(f64::INFINITY, usize::MAX); z.len()];
        let mut queue = BinaryHeap::new();
        for at in (0..z.len()).filter(|&at| !may_move[at] && !self.of_cell[at].is_empty()) {
            bound[at] = (z[at], at);
            queue.push(Reach { deg: z[at], at, from: at });
        }
        while let Some(Reach { deg, at, from }) = queue.pop() {
            if bound[at] != (deg, from) {
                continue;
            }
            for (number, other, _) in self.around_cell(at) {
                let reached = deg + self.list[number].limit_deg;
                if !may_move[other] && reached < z[other] - TOLERANCE_DEG {
                    return Some(Conflict { from, to: other, allowed_deg: reached - z[from] });
                }
                if reached < bound[other].0 && may_move[other] {
                    bound[other] = (reached, from);
                    queue.push(Reach { deg: reached, at: other, from });
                }
            }
        }
        None
    }
}

/// A bound that has reached a cell; the lowest comes first.
struct Reach {
    deg: f64,
    at: usize,
    from: usize,
}

impl Ord for Reach {
    fn cmp(&self, other: &Self) -> Ordering {
        other.deg.total_cmp(&self.deg).then(other.at.cmp(&self.at)).then(other.from.cmp(&self.from))
    }
}

impl PartialOrd for Reach {
    fn partial_cmp(&self, other: &Self) -> Option<Ordering> {
        Some(self.cmp(other))
    }
}

impl PartialEq for Reach {
    fn eq(&self, other: &Self) -> bool {
        self.cmp(other) == Ordering::Equal
    }
}

impl Eq for Reach {}
