//! Whether limits on cells and between neighbours contradict each other, and which do.
//!
//! Each is a limit on a difference, `z_v − z_u ≤ b`, where a cell's own bound is one against a node that stands for
//! zero. Such limits contradict each other exactly where they make a circle of negative length (R. Bellman, 1958;
//! L. R. Ford, 1956), and those of one circle are a least set: without any one of them the others can be kept. Every such
//! circle leads through zero, since no limit between neighbours alone forbids that they are equal: so the highest that
//! each cell can have, by the shortest way from zero, against its lower bound shows the worst of them. In steps the same
//! holds for whole numbers, since the limits are a network's (A. J. Hoffman & J. B. Kruskal, 1956).

use std::collections::VecDeque;

use super::outcome::DemandKind;
use super::posed::{Form, Limit, Posed};

/// A shortfall of no more than this is rounding error, degrees.
const DUST_DEG: f64 = 1e-9;

/// A demand that takes part in a contradiction.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct Member {
    pub(super) of: DemandKind,
    /// The cells that it is about, as indices into the table's values.
    pub(super) cells: Vec<usize>,
    /// The bound of one cell, or how much higher the second of two may be than the first, degrees.
    pub(super) deg: f64,
    /// How far two cells are apart: rpm or units of load.
    pub(super) span: f64,
    /// Whether it keeps one cell, or a point, from being higher.
    pub(super) is_upper: bool,
    /// By how much the shortfall falls, in degrees, for each degree by which it alone gives way.
    pub(super) share: f64,
    /// Which of the measured points it is.
    pub(super) point: Option<usize>,
}

impl Member {
    /// A bound of one cell.
    pub(super) fn of_cell(of: DemandKind, at: usize, deg: f64, is_upper: bool) -> Self {
        Self { of, cells: vec![at], deg, span: 0.0, is_upper, share: 1.0, point: None }
    }
}

/// Demands that contradict each other, none to spare, and by how much they fall short.
#[derive(Clone, Debug, PartialEq)]
pub(super) struct LeastSet {
    pub(super) short_by_deg: f64,
    pub(super) members: Vec<Member>,
}

/// An end of a limit on a difference.
#[derive(Clone, Copy, Debug)]
enum End {
    /// Zero: the limit is a bound of the other cell.
    Zero,
    /// A cell that may move.
    Cell(usize),
    /// One that stays, so that the limit is a bound of the other cell too.
    Staying(usize),
}

/// A limit: the second end is at most so much above the first.
#[derive(Clone, Copy, Debug)]
struct Edge {
    from: End,
    to: End,
    /// How much, with what stays counted in, degrees.
    deg: f64,
    /// As demanded.
    limit: Limit,
    span: f64,
}

/// The limits, by where they lead.
#[derive(Debug, Default)]
struct Edges {
    /// From zero to a cell.
    upper: Vec<Edge>,
    /// From a cell to zero.
    lower: Vec<Edge>,
    /// From cell to cell.
    between: Vec<Edge>,
    /// Among what stays.
    settled: Vec<Edge>,
}

impl Posed<'_> {
    /// The worst contradiction among all limits but those of points, if there is one.
    pub(super) fn contradiction(&self, form: Form) -> Option<LeastSet> {
        let edges = self.edges(form);
        let (highest_deg, by) = highest(&edges, self.table.values().len());
        let settled = edges.settled.iter().map(|edge| (edge.deg, edge, None));
        let ended = edges.lower.iter().filter_map(|edge| match edge.from {
            End::Cell(at) => Some((highest_deg[at] + edge.deg, edge, Some(at))),
            End::Zero | End::Staying(_) => None,
        });
        let (deg, last, mut at) = settled.chain(ended).min_by(|one, other| one.0.total_cmp(&other.0))?;
        if deg >= -DUST_DEG {
            return None;
        }
        let mut circle = vec![last];
        while let Some(edge) = at.and_then(|at| by[at]) {
            circle.push(edge);
            at = if let End::Cell(before) = edge.from { Some(before) } else { None };
        }
        let members = circle.iter().rev().flat_map(|edge| self.members(edge)).collect();
        Some(LeastSet { short_by_deg: -deg, members })
    }

    /// What a limit consists of: what stays at its first end, itself, what stays at its second end.
    fn members(&self, edge: &Edge) -> Vec<Member> {
        let staying = |end: End, is_upper: bool| {
            let End::Staying(at) = end else { return None };
            Some(Member::of_cell(self.stays[at]?, at, self.table.values()[at], is_upper))
        };
        let Limit { deg, of } = edge.limit;
        let cell = |end: End| match end {
            End::Zero => None,
            End::Cell(at) | End::Staying(at) => Some(at),
        };
        let own = match (cell(edge.from), cell(edge.to)) {
            (Some(from), Some(to)) => {
                Some(Member { cells: vec![from, to], span: edge.span, ..Member::of_cell(of, to, deg, false) })
            }
            (None, Some(at)) => Some(Member::of_cell(of, at, deg, true)),
            (Some(at), None) => Some(Member::of_cell(of, at, -deg, false)),
            (None, None) => None,
        };
        [staying(edge.from, true), own, staying(edge.to, false)].into_iter().flatten().collect()
    }

    fn edges(&self, form: Form) -> Edges {
        let mut edges = Edges::default();
        for bound in &self.bounds {
            let end = self.end(bound.at);
            self.push(&mut edges, form, (End::Zero, end), bound.high, 0.0);
            self.push(&mut edges, form, (end, End::Zero), against(bound.low), 0.0);
        }
        for pair in &self.pairs {
            let (before, after) = (self.end(pair.before), self.end(pair.after));
            self.push(&mut edges, form, (before, after), pair.high, pair.span);
            self.push(&mut edges, form, (after, before), against(pair.low), pair.span);
        }
        edges
    }

    fn end(&self, at: usize) -> End {
        if self.is_free(at) { End::Cell(at) } else { End::Staying(at) }
    }

    /// Takes a limit in, drawn in so that what may move can be a multiple of the step.
    fn push(&self, edges: &mut Edges, form: Form, (from, to): (End, End), limit: Limit, span: f64) {
        if !limit.deg.is_finite() {
            return;
        }
        let there = |end: End| match end {
            End::Zero => Some(0.0),
            End::Cell(_) => None,
            End::Staying(at) => Some(self.table.values()[at]),
        };
        let edge = |deg: f64| Edge { from, to, deg, limit, span };
        match (there(from), there(to)) {
            (Some(from), Some(to)) => edges.settled.push(edge(from + limit.deg - to)),
            (Some(from), None) => edges.upper.push(edge(form.most(from + limit.deg))),
            (None, Some(to)) => edges.lower.push(edge(-form.least(to - limit.deg))),
            (None, None) => edges.between.push(edge(form.most(limit.deg))),
        }
    }
}

/// A lower limit as the upper one of the opposite difference.
fn against(limit: Limit) -> Limit {
    Limit { deg: -limit.deg, of: limit.of }
}

/// The highest that each cell can have, and the limit that keeps it from more.
fn highest(edges: &Edges, cells: usize) -> (Vec<f64>, Vec<Option<&Edge>>) {
    let mut most_deg = vec![f64::INFINITY; cells];
    let mut by: Vec<Option<&Edge>> = vec![None; cells];
    let mut leaving: Vec<Vec<(usize, &Edge)>> = vec![Vec::new(); cells];
    for edge in &edges.between {
        if let (End::Cell(from), End::Cell(to)) = (edge.from, edge.to) {
            leaving[from].push((to, edge));
        }
    }
    for edge in &edges.upper {
        if let End::Cell(at) = edge.to
            && edge.deg < most_deg[at]
        {
            (most_deg[at], by[at]) = (edge.deg, Some(edge));
        }
    }
    let mut queue: VecDeque<usize> = (0..cells).filter(|&at| most_deg[at].is_finite()).collect();
    let mut is_queued: Vec<bool> = most_deg.iter().map(|deg| deg.is_finite()).collect();
    while let Some(at) = queue.pop_front() {
        is_queued[at] = false;
        for &(to, edge) in &leaving[at] {
            if most_deg[at] + edge.deg < most_deg[to] - DUST_DEG {
                (most_deg[to], by[to]) = (most_deg[at] + edge.deg, Some(edge));
                if !is_queued[to] {
                    is_queued[to] = true;
                    queue.push_back(to);
                }
            }
        }
    }
    (most_deg, by)
}
