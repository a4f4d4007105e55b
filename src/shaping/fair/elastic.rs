//! Contradictions in which measured points take part: found with limits that give way at a price, then reduced until
//! nothing can be left out (J. W. Chinneck & E. W. Dravnieks, 1991).

use super::contradiction::{LeastSet, Member};
use super::posed::{Bound, Posed, RowOf};
use super::rows::{Row, System};
use super::solve::{Search, Solution, unseen};
use crate::shaping::ShapingError;
use crate::watch::Watch;

/// The price of a degree, in units of the matrix' middle diagonal entry: so high that nothing gives way that need not.
const PRICE: f64 = 1e5;
/// A sum of shortfalls up to this is rounding error.
pub(super) const DUST_DEG: f64 = 1e-6;
/// A force of less than this share of the price says nothing.
const SAYS_NOTHING: f64 = 1e-3;

/// The price for a system.
pub(super) fn price(system: &System) -> f64 {
    PRICE * system.median_diagonal()
}

/// How far all sums together lie beyond their limits.
pub(super) fn shortfall_deg(rows: &[Row], correction: &[f64]) -> f64 {
    rows.iter().map(|row| row.beyond(row.of(correction))).sum()
}

/// Whether rows cannot all be kept, by what a search at the price came to.
pub(super) fn falls_short(rows: &[Row], correction: &[f64]) -> bool {
    shortfall_deg(rows, correction) > DUST_DEG
}

/// One side of a limit, or a cell that stays, in the small problem to be reduced.
#[derive(Clone)]
struct Candidate {
    member: Member,
    row: Row,
}

impl Posed<'_> {
    /// A least set of demands that contradict each other: around a point that no cell can move for, or from the forces of
    /// a search at the price. `None` if they can all be kept, and only the price was too low.
    pub(super) fn least_set(
        &self,
        out_of_reach: &[RowOf],
        (of, solution): (&[RowOf], &Solution),
        price: f64,
        watch: Watch<'_>,
    ) -> Result<Option<LeastSet>, ShapingError> {
        let says = of.iter().zip(&solution.forces).filter(|(_, force)| force.abs() >= SAYS_NOTHING * price);
        let mut sides: Vec<(RowOf, bool)> = says.map(|(&of, force)| (of, *force > 0.0)).collect();
        if let Some(&point) = out_of_reach.first() {
            let around = self.entries(point);
            let is_around = |bound: &Bound| around.iter().any(|&(at, _)| at == bound.at);
            let bounds = (0..self.bounds.len()).filter(|&index| is_around(&self.bounds[index])).map(RowOf::Bound);
            sides = bounds.chain([point]).flat_map(|of| [(of, true), (of, false)]).collect();
        }
        let (mut size, mut all) = self.candidates(&sides);
        if !is_impossible(size, &all, watch)? {
            // The forces did not name everything: all sides of all limits will do.
            let every: Vec<(RowOf, bool)> = of.iter().flat_map(|&of| [(of, true), (of, false)]).collect();
            (size, all) = self.candidates(&every);
            if !is_impossible(size, &all, watch)? {
                return Ok(None);
            }
        }
        let least = reduced(size, all, watch)?;
        let solution = search(size, &least, watch)?;
        let rows: Vec<Row> = least.iter().map(|candidate| candidate.row).collect();
        let short_by_deg = shortfall_deg(&rows, &solution.correction);
        let most = solution.forces.iter().map(|force| force.abs()).fold(0.0, f64::max);
        if short_by_deg <= DUST_DEG || most == 0.0 {
            return Ok(None);
        }
        let members = least.into_iter().zip(&solution.forces);
        let members = members.map(|(Candidate { member, .. }, force)| {
            // What stays is in the way on the side from which it is pushed.
            let is_upper = if self.has_both_sides(&member) { *force > 0.0 } else { member.is_upper };
            Member { share: force.abs() / most, is_upper, ..member }
        });
        Ok(Some(LeastSet { short_by_deg, members: members.collect() }))
    }

    /// The sides of these limits and the cells that stay among theirs, over all cells of theirs as unknowns.
    fn candidates(&self, sides: &[(RowOf, bool)]) -> (usize, Vec<Candidate>) {
        let mut cells: Vec<usize> = sides.iter().flat_map(|&(of, _)| self.entries(of)).map(|(at, _)| at).collect();
        cells.sort_unstable();
        cells.dedup();
        let values = self.table.values();
        let row = |entries: &[(usize, f64)], limits: (f64, f64)| {
            let placed = entries.iter().filter_map(|&(at, weight)| Some((cells.binary_search(&at).ok()?, weight)));
            Row::new(placed, limits, |place| values[cells[place]])
        };
        let mut candidates = Vec::new();
        for &(of, is_upper) in sides {
            if let Some((member, bound_deg)) = self.side(of, is_upper) {
                let limits = if is_upper { (f64::NEG_INFINITY, bound_deg) } else { (bound_deg, f64::INFINITY) };
                candidates.push(Candidate { member, row: row(&self.entries(of), limits) });
            }
        }
        for &at in &cells {
            if let Some(of) = self.stays[at] {
                let member = Member::of_cell(of, at, values[at], true);
                candidates.push(Candidate { member, row: row(&[(at, 1.0)], (values[at], values[at])) });
            }
        }
        (cells.len(), candidates)
    }

    /// Whether it says where a cell stays.
    fn has_both_sides(&self, member: &Member) -> bool {
        member.cells.iter().any(|&at| self.stays[at] == Some(member.of))
    }

    /// The cells of a limit with their weights.
    fn entries(&self, of: RowOf) -> Vec<(usize, f64)> {
        match of {
            RowOf::Bound(index) => vec![(self.bounds[index].at, 1.0)],
            RowOf::Pair(index) => vec![(self.pairs[index].after, 1.0), (self.pairs[index].before, -1.0)],
            RowOf::Point(index) => {
                self.points[index].shares.iter().copied().filter(|(_, share)| *share != 0.0).collect()
            }
        }
    }

    /// One side of a limit, and its bound; `None` if that side is open.
    pub(super) fn side(&self, of: RowOf, is_upper: bool) -> Option<(Member, f64)> {
        let (member, deg) = match of {
            RowOf::Bound(index) => {
                let bound = &self.bounds[index];
                let limit = if is_upper { bound.high } else { bound.low };
                (Member::of_cell(limit.of, bound.at, limit.deg, is_upper), limit.deg)
            }
            RowOf::Pair(index) => {
                let pair = &self.pairs[index];
                let limit = if is_upper { pair.high } else { pair.low };
                let cells = if is_upper { vec![pair.before, pair.after] } else { vec![pair.after, pair.before] };
                let member = Member::of_cell(limit.of, pair.after, limit.deg.abs(), is_upper);
                (Member { cells, span: pair.span, ..member }, limit.deg)
            }
            RowOf::Point(index) => {
                let point = &self.points[index];
                let deg = if is_upper { point.high_deg } else { point.low_deg };
                let cells = self.entries(of).into_iter().map(|(at, _)| at).collect();
                let member = Member::of_cell(point.kind, point.shares[0].0, deg, is_upper);
                (Member { cells, point: Some(point.point), ..member }, deg)
            }
        };
        deg.is_finite().then_some((member, deg))
    }
}

/// Leaves out whatever can be left out: many at a time at first, one at a time in the end.
fn reduced(size: usize, mut all: Vec<Candidate>, watch: Watch<'_>) -> Result<Vec<Candidate>, ShapingError> {
    let mut chunk = all.len().div_ceil(2);
    while chunk >= 1 {
        let mut at = 0;
        while at < all.len() {
            let end = all.len().min(at + chunk);
            let mut rest = all.clone();
            rest.drain(at..end);
            if is_impossible(size, &rest, watch)? {
                all = rest;
            } else {
                at = end;
            }
        }
        chunk /= 2;
    }
    Ok(all)
}

fn is_impossible(size: usize, candidates: &[Candidate], watch: Watch<'_>) -> Result<bool, ShapingError> {
    let solution = search(size, candidates, watch)?;
    let rows: Vec<Row> = candidates.iter().map(|candidate| candidate.row).collect();
    Ok(falls_short(&rows, &solution.correction))
}

fn search(size: usize, candidates: &[Candidate], watch: Watch<'_>) -> Result<Solution, ShapingError> {
    let rows: Vec<Row> = candidates.iter().map(|candidate| candidate.row).collect();
    let system = System::identity(size, &rows);
    Search { system: &system, rows: &rows, cap: price(&system), see: &unseen }.run(None, watch)
}
