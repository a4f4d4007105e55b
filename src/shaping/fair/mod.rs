//! Fairing under demands: the least bent table that stays near today's and keeps all that is demanded of it.
//!
//! Minimised is what [`smooth`](super::smooth()) minimises, `Σ(z − d)² + λ(‖Dx z‖² + ‖Dy z‖²)`, with so large a λ that
//! the table becomes as smooth as the demands let it. Demands that contradict each other are told as a least set of them;
//! none is relaxed in silence.

mod contradiction;
mod demands;
mod elastic;
pub(super) mod factor;
mod operation;
mod outcome;
mod polish;
mod posed;
mod ranges;
mod rounding;
pub(super) mod rows;
pub(super) mod solve;
mod words;

use std::collections::BTreeMap;

use super::shaped::{check, unless_dust};
use super::smooth::Penalty;
use super::{Shaped, ShapingError};
use crate::project::{Advance, Origin};
use crate::table::{Cell, Selection};
use crate::watch::Watch;
use crate::wording::settle;
use contradiction::LeastSet;
pub use demands::{Ceiling, Demands, Target, TargetBound, points_in_use, points_of};
pub(super) use operation::{DEED, FAIR, MANNER, SENTENCE, label};
pub use outcome::{Clash, Contradiction, DemandKind, Faired, Standing};
use posed::{Form, Posed, RowOf};
pub use ranges::{NOT_RISING, SLOPE_LOAD, SLOPE_SPEED, STEP, WITHIN};
use rounding::Rounding;
use rows::{FreeCells, Row, System, Weights};
use solve::{Search, Solution, Start, unseen};

/// λ of fairing: a bump of 40 cells is halved, so that what is left of the bends is what the demands ask for.
const BEND: f64 = 1e6;
/// How much narrower the tolerances of points are tried, so that rounding finds room in them, in steps.
const ROOMS: [f64; 3] = [0.5, 0.25, 0.0];
/// A cell that would not move further than this if a limit alone gave way does not stand at it, degrees.
const AT_LIMIT_DEG: f64 = 1e-6;

/// Where an earlier fairing ended, from which one under nearly the same demands sets out.
#[derive(Clone, Debug, PartialEq)]
pub struct Near {
    values: Vec<f64>,
    forces: BTreeMap<Key, f64>,
}

/// A row as it is known from one fairing to the next.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
enum Key {
    Bound(usize),
    Pair(usize, usize),
    Point(usize),
}

/// Fairs the free selected cells under demands.
///
/// # Errors
/// [`ShapingError::Contradiction`] with a least set of demands that cannot all be kept, [`ShapingError::FairUnsolved`]
/// when the search misses its end, and others when a number is out of range, a result is outside the range of cells,
/// the selection is of no use or the watch stops it: it is asked before every factorisation and every four rows of one.
pub fn fair(
    advance: &Advance,
    selection: &Selection,
    demands: &Demands,
    watch: Watch<'_>,
) -> Result<Shaped, ShapingError> {
    Ok(Fairer::new(advance, selection, demands)?.fair(None, watch, &unseen)?.0)
}

/// Refuses points that cannot all be kept.
pub(super) fn refused_limits(
    advance: &Advance,
    selection: &Selection,
    limits: &Demands,
    watch: Watch<'_>,
) -> Result<(), ShapingError> {
    if limits.points.is_empty() {
        return Ok(());
    }
    Fairer::new(advance, selection, limits)?.solved(None, watch, &unseen).map(|_| ())
}

/// Fairing prepared for a table, a selection and demands: for live previews.
#[derive(Clone, Debug)]
pub struct Fairer<'a> {
    advance: &'a Advance,
    reached: Selection,
    posed: Posed<'a>,
    penalty: Penalty,
    bend: f64,
}

/// A search with what it was for.
struct Attempt {
    form: Form,
    values: Vec<f64>,
    free: FreeCells,
    system: System,
    rows: Vec<Row>,
    of: Vec<RowOf>,
    solution: Solution,
    cap: f64,
}

impl<'a> Fairer<'a> {
    /// Prepares fairing.
    ///
    /// # Errors
    /// [`ShapingError`] when a number is out of range or the selection is of no use.
    pub fn new(advance: &'a Advance, selection: &Selection, demands: &'a Demands) -> Result<Self, ShapingError> {
        check(advance, selection)?;
        let table = advance.table();
        demands.check(table)?;
        let mut reached = selection.clone();
        demands.idle.iter().flat_map(Selection::cells).for_each(|cell| reached.set(cell, false));
        if reached.is_empty() {
            return Err(ShapingError::AllIdle);
        }
        let posed = Posed::new(advance, selection, demands);
        Ok(Self { advance, reached, posed, penalty: Penalty::new(table.speed(), table.load()), bend: BEND })
    }

    /// Fairs, from where an earlier fairing ended if one is given, and shows the table after every step.
    ///
    /// # Errors
    /// As [`fair`].
    pub fn fair(
        &self,
        near: Option<&Near>,
        watch: Watch<'_>,
        see: &dyn Fn(&[f64]),
    ) -> Result<(Shaped, Near), ShapingError> {
        self.refuse_contradictions()?;
        // Nobody can tell how many factorisations it takes.
        let goes_on = |_: Option<f64>| watch.next().is_ok();
        let attempt = self.solved(near, Watch::new(&goes_on), see)?;
        let values = self.values(&attempt)?;
        let faired = Faired {
            standing: self.standing(&attempt),
            largest_change_deg: farthest_deg(self.advance.table().values(), &values),
            points_among_fixed: self.posed.points_among_fixed(),
            points_out: if attempt.form.step_deg.is_some() { self.points_out(&values) } else { Vec::new() },
        };
        let shaped = Shaped::values(self.advance, &self.reached, values, Origin::Faired)?;
        Ok((Shaped { faired: Some(Box::new(faired)), ..shaped }, self.near(&attempt)))
    }

    /// Refuses what the limits on cells and between neighbours, and points among cells that stay, contradict.
    fn refuse_contradictions(&self) -> Result<(), ShapingError> {
        if let Some(set) = self.posed.contradiction(Form::default()) {
            return Err(ShapingError::Contradiction(Box::new(self.posed.told(&set))));
        }
        let Some(step_deg) = self.posed.demands.step_deg else { return Ok(()) };
        let on = |step_deg: f64| Form { step_deg: Some(step_deg), ..Form::default() };
        let Some(set) = self.posed.contradiction(on(step_deg)) else { return Ok(()) };
        let others = [2.0, 5.0, 10.0].map(|parts| settle(step_deg / parts));
        let others: Vec<f64> =
            others.into_iter().filter(|&other| self.posed.contradiction(on(other)).is_none()).collect();
        Err(ShapingError::Contradiction(Box::new(self.posed.told_on_step(&set, step_deg, &others))))
    }

    /// The first form of the demands that can be kept, with forces up to the price or, where that stands in the way of
    /// what can be kept, as large as they need to be.
    fn solved(&self, near: Option<&Near>, watch: Watch<'_>, see: &dyn Fn(&[f64])) -> Result<Attempt, ShapingError> {
        if let Some(attempt) = self.tried(false, near, watch, see)? {
            return Ok(attempt);
        }
        self.tried(true, near, watch, see)?
            .ok_or(ShapingError::FairUnsolved { missed_deg: elastic::DUST_DEG, allowed_deg: elastic::DUST_DEG })
    }

    /// The first form that can be kept: with tolerances of points that leave room for rounding, else with as much as there
    /// is. `None` if nothing forbids it, and yet the price kept the search from it.
    fn tried(
        &self,
        is_uncapped: bool,
        near: Option<&Near>,
        watch: Watch<'_>,
        see: &dyn Fn(&[f64]),
    ) -> Result<Option<Attempt>, ShapingError> {
        let step_deg = self.posed.demands.step_deg;
        if let Some(step_deg) = step_deg.filter(|_| !self.posed.points.is_empty()) {
            for room in ROOMS {
                let form =
                    Form { step_deg: Some(step_deg), narrower_deg: room * step_deg, is_uncapped, ..Form::default() };
                match self.attempt(form, near, watch, see) {
                    Ok(attempt) if !self.falls_short(&attempt) && self.keeps_strict(&attempt) => {
                        return Ok(Some(attempt));
                    }
                    Ok(_) | Err(ShapingError::FairUnsolved { .. }) => {}
                    Err(error) => return Err(error),
                }
            }
        }
        let has_points = !self.posed.points.is_empty();
        let step = if has_points { None } else { step_deg };
        let form = Form { step_deg: step, is_uncapped, ..Form::default() };
        let plain = self.attempt(form, near, watch, see)?;
        if self.falls_short(&plain) {
            let out = self.out_of_reach(&plain);
            let set = self.posed.least_set(&out, (&plain.of, &plain.solution), plain.cap, watch)?;
            let Some(set) = set else { return Ok(None) };
            return Err(ShapingError::Contradiction(Box::new(self.posed.told(&set))));
        }
        let Some(step_deg) = step_deg.filter(|_| has_points) else { return Ok(Some(plain)) };
        self.on_step(step_deg, near, watch, see).map(Some)
    }

    /// On steps a point may be out of reach that can be passed otherwise: then it is told beside the table. What must not
    /// be exceeded gets the room that rounding can need.
    fn on_step(
        &self,
        step_deg: f64,
        near: Option<&Near>,
        watch: Watch<'_>,
        see: &dyn Fn(&[f64]),
    ) -> Result<Attempt, ShapingError> {
        for room in ROOMS {
            let narrower_deg = room * step_deg;
            let form = Form { step_deg: Some(step_deg), narrower_deg, frees_points: true, ..Form::default() };
            match self.attempt(form, near, watch, see) {
                Ok(attempt) if self.keeps_strict(&attempt) => return Ok(attempt),
                Ok(_) | Err(ShapingError::FairUnsolved { .. }) => {}
                Err(error) => return Err(error),
            }
        }
        let nearest = self.attempt(Form { step_deg: Some(step_deg), ..Form::default() }, near, watch, see)?;
        let set = self.exceeded(&nearest);
        Err(ShapingError::Contradiction(Box::new(self.posed.told_on_step(&set, step_deg, &[]))))
    }

    /// What must not be exceeded and is by a table on the step that comes nearest to it.
    fn exceeded(&self, nearest: &Attempt) -> LeastSet {
        let corrected = || moved(&nearest.values, &nearest.free, &nearest.solution.correction);
        let values = self.values(nearest).unwrap_or_else(|_| corrected());
        let mut short_by_deg = elastic::DUST_DEG;
        let mut members = Vec::new();
        for (index, point) in self.posed.points.iter().enumerate().filter(|(_, point)| point.is_strict()) {
            let out_deg = point.out_deg(&values);
            if out_deg > elastic::DUST_DEG {
                short_by_deg = short_by_deg.max(out_deg);
                members.extend(self.posed.side(RowOf::Point(index), true).map(|(member, _)| member));
            }
        }
        LeastSet { short_by_deg, members }
    }

    /// Whether the rounded table lies under all that must not be exceeded.
    fn keeps_strict(&self, attempt: &Attempt) -> bool {
        let strict = || self.posed.points.iter().filter(|point| point.is_strict());
        strict().next().is_none()
            || self
                .values(attempt)
                .is_ok_and(|values| strict().all(|point| point.out_deg(&values) <= elastic::DUST_DEG))
    }

    /// Whether not all rows could be kept.
    fn falls_short(&self, attempt: &Attempt) -> bool {
        elastic::falls_short(&attempt.rows, &attempt.solution.correction) || !self.out_of_reach(attempt).is_empty()
    }

    /// Points around which no cell may move, and whose limits they break.
    fn out_of_reach(&self, attempt: &Attempt) -> Vec<RowOf> {
        let points = self.posed.points.iter().enumerate().filter(|(_, point)| {
            let reaches = |&(at, share): &(usize, f64)| share > 0.0 && attempt.free.place(at).is_some();
            !point.shares.iter().any(reaches) && point.out_deg(&attempt.values) > elastic::DUST_DEG
        });
        points.map(|(index, _)| RowOf::Point(index)).collect()
    }

    fn attempt(
        &self,
        form: Form,
        near: Option<&Near>,
        watch: Watch<'_>,
        see: &dyn Fn(&[f64]),
    ) -> Result<Attempt, ShapingError> {
        let (values, free) = self.posed.begin(form);
        let (rows, of) = self.posed.rows(&free, &values, form);
        let gradient = if self.penalty.is_plane(&values) {
            vec![0.0; free.order.len()]
        } else {
            let bent = self.penalty.apply(&values);
            free.order.iter().map(|&at| self.bend * bent[at]).collect()
        };
        let weights = Weights { stay: 1.0, bend: self.bend };
        let system = System::new(&self.penalty, &free, weights, &[], &rows, gradient);
        let is_elastic = !self.posed.points.is_empty() && !form.frees_points && !form.is_uncapped;
        let cap = if is_elastic { elastic::price(&system) } else { f64::INFINITY };
        let is_let_go = |index: usize| self.posed.points.get(index).is_some_and(|point| !point.is_strict());
        let is_free = |of: &RowOf| form.frees_points && matches!(*of, RowOf::Point(index) if is_let_go(index));
        let kept = rows.iter().zip(&of).map(|(row, of)| if is_free(of) { row.open() } else { *row });
        let kept: Vec<Row> = kept.collect();
        let start = near.map(|near| Start {
            correction: free.order.iter().map(|&at| near.values[at] - values[at]).collect(),
            forces: of.iter().map(|&of| near.forces.get(&self.key(of)).copied().unwrap_or(0.0)).collect(),
        });
        let shown = |correction: &[f64]| see(&moved(&values, &free, correction));
        let solution = Search { system: &system, rows: &kept, cap, see: &shown }.run(start.as_ref(), watch)?;
        Ok(Attempt { form, values, free, system, rows, of, solution, cap })
    }

    /// The values of the whole table.
    fn values(&self, attempt: &Attempt) -> Result<Vec<f64>, ShapingError> {
        let Attempt { form, values, free, system, rows, of, solution, .. } = attempt;
        if let Some(step_deg) = form.step_deg {
            let present = free.order.iter().map(|&at| values[at]).collect();
            let strict = |of: &RowOf| matches!(*of, RowOf::Point(index) if self.posed.points[index].is_strict());
            let is_strict = of.iter().map(strict).collect();
            let rounding = Rounding { system, rows, of, values: present, step_deg, is_strict };
            let steps = rounding.steps(&solution.correction);
            let steps = steps.ok_or(ShapingError::FairUnsolved { missed_deg: step_deg, allowed_deg: 0.0 })?;
            let mut rounded = values.clone();
            free.order.iter().zip(steps).for_each(|(&at, steps)| rounded[at] = settle(steps * step_deg));
            return Ok(rounded);
        }
        let mut faired = moved(values, free, &solution.correction);
        for bound in self.posed.bounds.iter().filter(|bound| free.place(bound.at).is_some()) {
            faired[bound.at] = faired[bound.at].clamp(bound.low.deg, bound.high.deg);
        }
        let present = self.advance.table().values();
        Ok(present.iter().zip(faired).map(|(&present, faired)| unless_dust(present, faired)).collect())
    }

    /// Which cells stand at which demands, and which way they would go.
    fn standing(&self, attempt: &Attempt) -> Vec<Standing> {
        let cells: Vec<Cell> = self.advance.table().cells().collect();
        let mut standing = Vec::new();
        for ((row, &of), &force) in attempt.rows.iter().zip(&attempt.of).zip(&attempt.solution.forces) {
            let at = self.kind(of, force > 0.0);
            for (place, weight) in row.entries() {
                let onward_deg = weight * force / attempt.system.diagonal[place];
                if onward_deg.abs() > AT_LIMIT_DEG {
                    standing.push(Standing { cell: cells[attempt.free.order[place]], at, onward_deg });
                }
            }
        }
        standing.sort_by(|one, other| {
            one.cell.cmp(&other.cell).then(other.onward_deg.abs().total_cmp(&one.onward_deg.abs()))
        });
        standing
    }

    fn kind(&self, of: RowOf, is_upper: bool) -> DemandKind {
        let side = |low: posed::Limit, high: posed::Limit| if is_upper { high.of } else { low.of };
        match of {
            RowOf::Bound(index) => side(self.posed.bounds[index].low, self.posed.bounds[index].high),
            RowOf::Pair(index) => side(self.posed.pairs[index].low, self.posed.pairs[index].high),
            RowOf::Point(index) => self.posed.points[index].kind,
        }
    }

    fn points_out(&self, values: &[f64]) -> Vec<(usize, f64)> {
        let measured = self.posed.points.iter().filter(|point| point.kind == DemandKind::Point);
        let out = measured.map(|point| (point.point, point.out_deg(values)));
        out.filter(|(_, deg)| *deg > elastic::DUST_DEG).collect()
    }

    fn near(&self, attempt: &Attempt) -> Near {
        let forces = attempt.of.iter().zip(&attempt.solution.forces).filter(|(_, force)| **force != 0.0);
        Near {
            values: moved(&attempt.values, &attempt.free, &attempt.solution.correction),
            forces: forces.map(|(&of, &force)| (self.key(of), force)).collect(),
        }
    }

    fn key(&self, of: RowOf) -> Key {
        match of {
            RowOf::Bound(index) => Key::Bound(self.posed.bounds[index].at),
            RowOf::Pair(index) => Key::Pair(self.posed.pairs[index].before, self.posed.pairs[index].after),
            RowOf::Point(index) => Key::Point(self.posed.points[index].point),
        }
    }
}

/// The largest difference between two tables' cells, degrees.
fn farthest_deg(one: &[f64], other: &[f64]) -> f64 {
    one.iter().zip(other).map(|(one, other)| (one - other).abs()).fold(0.0, f64::max)
}

/// The values with the free ones corrected.
fn moved(values: &[f64], free: &FreeCells, correction: &[f64]) -> Vec<f64> {
    let mut moved = values.to_vec();
    free.order.iter().zip(correction).for_each(|(&at, by)| moved[at] += by);
    moved
}

#[cfg(test)]
mod tests;
