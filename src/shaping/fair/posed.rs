//! The demands as limits on the cells of a table: on one cell, between two neighbours, and at measured points.

use super::demands::{Demands, Target};
use super::outcome::DemandKind;
use super::rows::{FreeCells, Row};
use crate::project::{ADVANCE_RANGE_DEG, Advance};
use crate::table::{Cell, Selection, Table};
use crate::wording::settle;

/// A difference in steps this close to a whole number is that number.
pub(super) const STEP_DUST: f64 = 1e-9;
/// An interval narrower than this leaves a cell no choice.
const NO_WIDTH_DEG: f64 = 1e-9;

/// One side of an interval.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Limit {
    /// Degrees; infinite where there is none.
    pub(super) deg: f64,
    pub(super) of: DemandKind,
}

/// The interval of a cell's value.
#[derive(Clone, Debug)]
pub(super) struct Bound {
    pub(super) at: usize,
    pub(super) low: Limit,
    pub(super) high: Limit,
}

/// The interval of a neighbour's value less that of the one before.
#[derive(Clone, Debug)]
pub(super) struct Pair {
    pub(super) before: usize,
    pub(super) after: usize,
    /// How far they are apart: rpm or units of load.
    pub(super) span: f64,
    pub(super) low: Limit,
    pub(super) high: Limit,
}

/// What the cells around a measured point, or a place of the full-load line between them, must come to.
#[derive(Clone, Debug)]
pub(super) struct Passed {
    pub(super) kind: DemandKind,
    /// Which of the points; those of the full-load line count on from the measured ones.
    pub(super) point: usize,
    pub(super) shares: [(usize, f64); 4],
    pub(super) low_deg: f64,
    pub(super) high_deg: f64,
}

impl Passed {
    /// Whether it must never be exceeded, not by rounding either: knock lies above it.
    pub(super) fn is_strict(&self) -> bool {
        self.low_deg == f64::NEG_INFINITY
    }

    /// How far the table lies beyond what it may be there, degrees; below zero within.
    pub(super) fn out_deg(&self, values: &[f64]) -> f64 {
        let deg: f64 = self.shares.iter().map(|&(at, share)| share * values[at]).sum();
        (self.low_deg - deg).max(deg - self.high_deg)
    }
}

/// Which limit a row of the system is, by its index among its like.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum RowOf {
    Bound(usize),
    Pair(usize),
    Point(usize),
}

/// A table with the limits that demands put on it.
#[derive(Clone, Debug)]
pub(super) struct Posed<'a> {
    pub(super) table: &'a Table,
    pub(super) demands: &'a Demands,
    /// Why each cell stays; `None` for one that may move.
    pub(super) stays: Vec<Option<DemandKind>>,
    pub(super) bounds: Vec<Bound>,
    pub(super) pairs: Vec<Pair>,
    pub(super) points: Vec<Passed>,
}

/// How the limits are put into rows.
#[derive(Clone, Copy, Debug, Default)]
pub(super) struct Form {
    /// Limits on one and two cells are drawn in to multiples of this, degrees.
    pub(super) step_deg: Option<f64>,
    /// Tolerances of points are narrower by this, degrees.
    pub(super) narrower_deg: f64,
    /// Whether points are let go.
    pub(super) frees_points: bool,
    /// Whether forces may become as large as they need to be.
    pub(super) is_uncapped: bool,
}

impl Form {
    pub(super) fn least(self, deg: f64) -> f64 {
        self.step_deg.map_or(deg, |step| ((deg / step) - STEP_DUST).ceil() * step)
    }

    pub(super) fn most(self, deg: f64) -> f64 {
        self.step_deg.map_or(deg, |step| ((deg / step) + STEP_DUST).floor() * step)
    }
}

impl<'a> Posed<'a> {
    pub(super) fn new(advance: &'a Advance, selection: &Selection, demands: &'a Demands) -> Self {
        let table = advance.table();
        let is_idle = |cell: Cell| demands.idle.as_ref().is_some_and(|idle| idle.contains(cell));
        let why = |cell: Cell| match cell {
            _ if !selection.contains(cell) => Some(DemandKind::NotSelected),
            _ if is_idle(cell) => Some(DemandKind::Idle),
            _ => advance.held().contains(cell).then_some(DemandKind::Held),
        };
        let stays: Vec<_> = table.cells().map(why).collect();
        let mut posed = Self { table, demands, stays, bounds: Vec::new(), pairs: Vec::new(), points: Vec::new() };
        posed.bound_cells();
        posed.bound_pairs();
        posed.bound_points(&demands.points);
        posed.bound_places();
        posed
    }

    /// Whether a cell may move.
    pub(super) fn is_free(&self, at: usize) -> bool {
        self.stays[at].is_none()
    }

    /// Whether a demand asks something of a cell that stays: of a held one among those that were chosen.
    fn is_chosen(&self, at: usize) -> bool {
        matches!(self.stays[at], None | Some(DemandKind::Held))
    }

    fn bound_cells(&mut self) {
        let values = self.table.values().iter().enumerate();
        for (at, &deg) in values {
            if !self.is_chosen(at) {
                continue;
            }
            let by_deg = self.demands.within_deg.filter(|_| self.is_free(at)).unwrap_or(f64::INFINITY);
            let side = |deg| Limit { deg, of: DemandKind::Within };
            let (mut low_deg, mut high_deg) = (settle(deg - by_deg), settle(deg + by_deg));
            if self.is_free(at) {
                // No fairing ends where no cell may be.
                (low_deg, high_deg) = (low_deg.max(ADVANCE_RANGE_DEG.0), high_deg.min(ADVANCE_RANGE_DEG.1));
            }
            let (low, mut high) = (side(low_deg), side(high_deg));
            let ceiling_deg = self.demands.ceiling.as_ref().map_or(f64::INFINITY, |ceiling| ceiling.of(at));
            if ceiling_deg < high.deg {
                high = Limit { deg: ceiling_deg, of: DemandKind::FullLoadLine };
            }
            if low.deg.is_finite() || high.deg.is_finite() {
                self.bounds.push(Bound { at, low, high });
            }
        }
    }

    fn bound_pairs(&mut self) {
        let (table, demands) = (self.table, self.demands);
        let per_rpm = demands.max_slope_per_1000rpm.map_or(f64::INFINITY, |deg| deg / 1000.0);
        let per_load = demands.max_slope_per_load.unwrap_or(f64::INFINITY);
        let not_rising_from = demands.not_rising_above.unwrap_or(f64::INFINITY);
        let (speeds, loads) = (table.speed().breakpoints(), table.load().breakpoints());
        // Once for each step of an axis: settling costs more than all the rest.
        let limits_deg = |breakpoints: &[f64], per_unit: f64| -> Vec<f64> {
            let limit_deg = |span: f64| if per_unit.is_finite() { settle(per_unit * span) } else { f64::INFINITY };
            breakpoints.windows(2).map(|ends| limit_deg(ends[1] - ends[0])).collect()
        };
        let (along_speed_deg, along_load_deg) = (limits_deg(speeds, per_rpm), limits_deg(loads, per_load));
        for before in table.cells() {
            let at = table.index(before);
            if let Some(&deg) = along_speed_deg.get(before.speed) {
                let span = speeds[before.speed + 1] - speeds[before.speed];
                let limit = |deg| Limit { deg, of: DemandKind::SlopeSpeed };
                let after = table.index(Cell::new(before.load, before.speed + 1));
                self.bound_pair(Pair { before: at, after, span, low: limit(-deg), high: limit(deg) });
            }
            if let Some(&deg) = along_load_deg.get(before.load) {
                let span = loads[before.load + 1] - loads[before.load];
                let limit = |deg| Limit { deg, of: DemandKind::SlopeLoad };
                let after = table.index(Cell::new(before.load + 1, before.speed));
                let may_rise = loads[before.load] < not_rising_from;
                let high = if may_rise { limit(deg) } else { Limit { deg: 0.0, of: DemandKind::NotRising } };
                self.bound_pair(Pair { before: at, after, span, low: limit(-deg), high });
            }
        }
    }

    /// Takes a pair in if it is limited and something of it is asked for.
    fn bound_pair(&mut self, pair: Pair) {
        let [one, other] = [pair.before, pair.after];
        let is_asked = self.is_free(one) || self.is_free(other) || (self.is_chosen(one) && self.is_chosen(other));
        if is_asked && (pair.low.deg.is_finite() || pair.high.deg.is_finite()) {
            self.pairs.push(pair);
        }
    }

    fn bound_points(&mut self, points: &[Target]) {
        for (point, target) in points.iter().enumerate() {
            let shares = target.shares(self.table);
            if shares.iter().any(|&(at, share)| share > 0.0 && self.is_chosen(at)) {
                let (low_deg, high_deg) = target.limits_deg();
                self.points.push(Passed { kind: DemandKind::Point, point, shares, low_deg, high_deg });
            }
        }
    }

    /// The points around which nothing may move, and nothing is held among what was chosen: they take no part.
    pub(super) fn points_among_fixed(&self) -> Vec<usize> {
        let takes_part = |point: usize| self.points.iter().any(|passed| passed.point == point);
        (0..self.demands.points.len()).filter(|&point| !takes_part(point)).collect()
    }

    /// Bounds the places of the ceiling between the cells, but for those that lie under it whenever the cells around do.
    fn bound_places(&mut self) {
        let Some(ceiling) = &self.demands.ceiling else { return };
        for (index, place) in ceiling.places().iter().enumerate() {
            let shares = place.shares(self.table);
            let around = || shares.iter().filter(|(_, share)| *share > 0.0);
            if !around().any(|&(at, _)| self.is_free(at)) {
                continue;
            }
            let by_cells_deg: f64 = around().map(|&(at, share)| share * ceiling.of(at)).sum();
            if by_cells_deg <= place.most_deg && around().all(|&(at, _)| self.is_chosen(at)) {
                continue;
            }
            let (low_deg, high_deg, point) = (f64::NEG_INFINITY, place.most_deg, self.demands.points.len() + index);
            self.points.push(Passed { kind: DemandKind::FullLoadLine, point, shares, low_deg, high_deg });
        }
    }

    /// The values from which the cells that may move are corrected, and which these are: not those that their interval
    /// leaves no choice, which already have their value there.
    pub(super) fn begin(&self, form: Form) -> (Vec<f64>, FreeCells) {
        let mut values = self.table.values().to_vec();
        let mut may_move: Vec<bool> = self.stays.iter().map(Option::is_none).collect();
        for bound in self.bounds.iter().filter(|bound| self.is_free(bound.at)) {
            let (low, high) = (form.least(bound.low.deg), form.most(bound.high.deg));
            if high - low >= NO_WIDTH_DEG {
                continue;
            }
            may_move[bound.at] = false;
            let is_there = values[bound.at] >= low - NO_WIDTH_DEG && values[bound.at] <= high + NO_WIDTH_DEG;
            if !is_there || form.step_deg.is_some() {
                values[bound.at] = settle(high);
            }
        }
        let size = (self.table.load().len(), self.table.speed().len());
        (values, FreeCells::new(&may_move, size))
    }

    /// The limits as rows over the free cells, and which each is; what stays is moved over to the limits.
    pub(super) fn rows(&self, free: &FreeCells, values: &[f64], form: Form) -> (Vec<Row>, Vec<RowOf>) {
        let (mut rows, mut of) = (Vec::new(), Vec::new());
        let mut push = |entries: &[(usize, f64)], (low, high): (f64, f64), form: Form, what: RowOf| {
            let stays = entries.iter().filter(|(at, _)| free.place(*at).is_none());
            let there: f64 = stays.map(|&(at, weight)| weight * values[at]).sum();
            let moving = entries.iter().filter_map(|&(at, weight)| Some((free.place(at)?, weight)));
            let limits = (form.least(low - there), form.most(high - there));
            let row = Row::new(moving, limits, |place| values[free.order[place]]);
            if row.entries().next().is_some() {
                rows.push(row);
                of.push(what);
            }
        };
        for (index, bound) in self.bounds.iter().enumerate() {
            push(&[(bound.at, 1.0)], (bound.low.deg, bound.high.deg), form, RowOf::Bound(index));
        }
        for (index, pair) in self.pairs.iter().enumerate() {
            let entries = [(pair.after, 1.0), (pair.before, -1.0)];
            push(&entries, (pair.low.deg, pair.high.deg), form, RowOf::Pair(index));
        }
        for (index, point) in self.points.iter().enumerate() {
            let (mut low, mut high) = (point.low_deg + form.narrower_deg, point.high_deg - form.narrower_deg);
            if low > high {
                (low, high) = (f64::midpoint(low, high), f64::midpoint(low, high));
            }
            push(&point.shares, (low, high), Form::default(), RowOf::Point(index));
        }
        (rows, of)
    }
}
