//! Fitting to measured points: a smooth correction to today's table, and how sure each cell is of it.
//!
//! Cells that know more from today's table than from the readings do not move. Points that only bound the table are kept
//! as limits.

mod model;
mod outcome;
#[cfg(test)]
mod tests;

use super::fair::rows::{FreeCells, Row};
use super::fair::solve::{Search, unseen};
use super::fair::{Demands, Target, TargetBound, points_of, refused_limits};
use super::offer::{Deed, Does, Group, Manner, Part, Sentence, WhyNot, fits_any};
use super::operation::{Operation, OperationError};
use super::shaped::{check, free, unless_dust};
use super::smooth::Penalty;
use super::{Shaped, ShapingError, Tool};
use crate::project::{Advance, Origin};
use crate::table::{Selection, Table};
use crate::watch::Watch;
use crate::wording::count;
use model::{Model, Pull, USUAL_BEND_DEG, likely_bend};
pub use outcome::{Fitted, Reading, RestsOn, SURE_MEANS, Sure};

/// Two readings at one place that differ by more than this many of their standard deviations cannot both be right.
const MOST_APART: f64 = 6.0;

/// A few dozen small factorisations.
pub(super) const MANNER: Manner = Manner { at_once_cells: 256, ..Manner::PLAIN };

/// `fit` on the command line.
pub(super) const FIT: Operation = Operation {
    name: "fit",
    about: "Fit the cells to the project's measured points: a smooth correction near them; cells that no point tells of \
            stay as they are",
    arguments: &[],
    takes_whole_table: false,
    tool: |given| {
        let points = points_of(given.project);
        if points.is_empty() {
            let reason = "the project has no measured points; add some".into();
            return Err(OperationError::Unfit { operation: FIT.name, reason });
        }
        Ok(Tool::Fit { points })
    },
};

/// Fitting in the inspector.
pub(super) const SENTENCE: Sentence = Sentence {
    key: "fit",
    group: Group::Fair,
    verb: "Fit to",
    parts: &[Part::Word("measured points")],
    more: None,
    tip: "Bends the selected cells, or the whole table when one is selected, smoothly towards the project's measured points; \
          cells that no point tells of stay as they are, and so do held ones.",
    widens: true,
    deed: |_| Some(&DEED),
    refusal: |asked| points_of(asked.project).is_empty().then_some(WhyNot::UNMEASURED),
    tool: |asked| Tool::Fit { points: points_of(asked.project) },
};

/// Fitting as a command.
pub(super) const DEED: Deed = Deed {
    id: "Fit",
    text: "Fit to measured points",
    tooltip: "Bend the selected cells, or the whole table when one cell is selected, smoothly towards the measured points.",
    unfit: fits_any,
    does: Does::Sentence("fit"),
};

/// What fitting is called in the history.
pub(super) fn label(points: &[Target], scope: &str) -> String {
    format!("Fit {scope} to {}", count(points.len(), "measured point"))
}

/// Fits the free selected cells to measured points.
///
/// # Errors
/// [`ShapingError::NoPoints`] without a reading, [`ShapingError::ReadingsDisagree`] for two at one place that cannot both
/// be right, [`ShapingError::Contradiction`] when the points that only bound the table cannot all be kept, and others when
/// a number is out of range, a result is outside the range of cells, the selection is of no use or the watch stops it.
pub fn fit(
    advance: &Advance,
    selection: &Selection,
    points: &[Target],
    watch: Watch<'_>,
) -> Result<Shaped, ShapingError> {
    check(advance, selection)?;
    let table = advance.table();
    points.iter().try_for_each(|point| point.check(table))?;
    refuse_disagreement(points)?;
    let fit = Fit { advance, points, penalty: Penalty::new(table.speed(), table.load()) };
    if fit.readings().next().is_none() {
        return Err(ShapingError::NoPoints);
    }
    let mut may_move = vec![false; table.values().len()];
    free(advance, selection).for_each(|cell| may_move[table.index(cell)] = true);
    // Nobody can tell how long the search takes.
    let goes_on = |_: Option<f64>| watch.next().is_ok();
    let (fitted, values) = fit.fitted(selection, may_move, Watch::new(&goes_on))?;
    let shaped = Shaped::values(advance, selection, values, Origin::Fitted)?;
    Ok(Shaped { fitted: Some(Box::new(fitted)), ..shaped })
}

/// How sure every cell of a table would be of a fit to measured points, in the order of the table's values; `None` for held
/// cells. No cell moves. Points beyond the axes tell nothing here, nor do those that only bound the table.
///
/// # Errors
/// [`ShapingError::NoPoints`] without a reading within the axes, and others when a number is out of range or the watch
/// stops it.
pub fn how_sure(advance: &Advance, points: &[Target], watch: Watch<'_>) -> Result<Vec<Option<Sure>>, ShapingError> {
    let table = advance.table();
    let within: Vec<Target> = points.iter().filter(|point| tells_of(table, point)).copied().collect();
    within.iter().try_for_each(|point| point.check(table))?;
    if within.is_empty() {
        return Err(ShapingError::NoPoints);
    }
    let may_move: Vec<bool> = table.cells().map(|cell| !advance.held().contains(cell)).collect();
    if !may_move.contains(&true) {
        return Ok(vec![None; may_move.len()]);
    }
    let fit = Fit { advance, points: &within, penalty: Penalty::new(table.speed(), table.load()) };
    let free = FreeCells::new(&may_move, (table.load().len(), table.speed().len()));
    // Nobody can tell how long the factors take.
    let goes_on = |_: Option<f64>| watch.next().is_ok();
    let watch = Watch::new(&goes_on);
    let pulls = fit.pulls(&free);
    let bend_deg = fit.bend_deg(&free, &pulls, watch)?;
    fit.sure(&free, bend_deg, &pulls, watch)
}

/// Whether [`how_sure`] has anything to go by.
pub fn has_readings(table: &Table, points: &[Target]) -> bool {
    points.iter().any(|point| tells_of(table, point))
}

/// Whether a point is a reading within the axes.
fn tells_of(table: &Table, point: &Target) -> bool {
    is_reading(point) && point.is_over(table)
}

/// Refuses two readings at one place that are too far apart.
fn refuse_disagreement(points: &[Target]) -> Result<(), ShapingError> {
    for (index, one) in points.iter().enumerate().filter(|(_, point)| is_reading(point)) {
        let at_same_place = |other: &&Target| (other.speed_rpm, other.load) == (one.speed_rpm, one.load);
        let others = points.iter().skip(index + 1).filter(|other| is_reading(other)).filter(at_same_place);
        for other in others {
            if (one.advance_deg - other.advance_deg).abs() > MOST_APART * one.sd_deg.max(other.sd_deg) {
                return Err(ShapingError::ReadingsDisagree {
                    speed_rpm: one.speed_rpm,
                    load: one.load,
                    by_deg: (one.advance_deg - other.advance_deg).abs(),
                });
            }
        }
    }
    Ok(())
}

const fn is_reading(point: &Target) -> bool {
    matches!(point.bound, TargetBound::About { .. })
}

/// A fit to be made.
struct Fit<'a> {
    advance: &'a Advance,
    points: &'a [Target],
    penalty: Penalty,
}

impl Fit<'_> {
    fn table(&self) -> &Table {
        self.advance.table()
    }

    /// The points that tell a value, with their numbers.
    fn readings(&self) -> impl Iterator<Item = (usize, &Target)> {
        self.points.iter().enumerate().filter(|(_, point)| is_reading(point))
    }

    /// What a table has at a point.
    fn at(&self, point: &Target, values: &[f64]) -> f64 {
        point.shares(self.table()).iter().map(|&(at, share)| share * values[at]).sum()
    }

    /// The readings over free cells, those that reach any.
    fn pulls(&self, free: &FreeCells) -> Vec<Pull> {
        let values = self.table().values();
        let pull = |(_, point): (usize, &Target)| {
            let entries = point.shares(self.table()).into_iter();
            let placed = entries.filter_map(|(at, share)| Some((free.place(at)?, share)));
            let row = Row::new(placed, (0.0, 0.0), |place| values[free.order[place]]);
            Pull { row, above_deg: point.advance_deg - self.at(point, values), sd_deg: point.sd_deg }
        };
        self.readings().map(pull).filter(|pull| pull.row.entries().next().is_some()).collect()
    }

    /// How far the correction bends. A table that was fitted before lies near the points because of them: that they differ
    /// by little is no sign that the correction is stiff, so that a usual bend is the least that is assumed then.
    fn bend_deg(&self, free: &FreeCells, pulls: &[Pull], watch: Watch<'_>) -> Result<f64, ShapingError> {
        let likely_deg = likely_bend(&self.penalty, free, pulls, watch)?;
        let is_fitted = self.advance.origins().contains(&Origin::Fitted);
        Ok(if is_fitted { likely_deg.max(USUAL_BEND_DEG) } else { likely_deg })
    }

    fn fitted(
        &self,
        selection: &Selection,
        may_move: Vec<bool>,
        watch: Watch<'_>,
    ) -> Result<(Fitted, Vec<f64>), ShapingError> {
        let size = (self.table().load().len(), self.table().speed().len());
        let all = FreeCells::new(&may_move, size);
        let pulls = self.pulls(&all);
        let bend_deg = self.bend_deg(&all, &pulls, watch)?;
        let cells = self.sure(&all, bend_deg, &pulls, watch)?;
        let rests_on_readings = |sure: &Option<Sure>| sure.is_some_and(|sure| sure.rests_on != RestsOn::Today);
        let moving: Vec<bool> = cells.iter().map(rests_on_readings).collect();
        let limits = Demands {
            points: self.points.iter().filter(|point| !is_reading(point)).copied().collect(),
            ..Demands::default()
        };
        let limited: Vec<bool> = self.near_limits(&limits.points, &may_move, moving);
        let free = FreeCells::new(&limited, size);
        let pulls = self.pulls(&free);
        let values = self.table().values();
        let rows: Vec<Row> = limits.points.iter().map(|point| self.limit(point, &free)).collect();
        let rows: Vec<Row> = rows.into_iter().filter(|row| row.entries().next().is_some()).collect();
        let model = Model::new(&self.penalty, &free, bend_deg, (&pulls, &rows), watch)?;
        refused_limits(self.advance, selection, &limits, watch)?;
        let search = Search { system: &model.system, rows: &rows, cap: f64::INFINITY, see: &unseen };
        let correction = search.run(None, watch)?.correction;
        let mut fitted = values.to_vec();
        free.order.iter().zip(&correction).for_each(|(&at, by)| fitted[at] = unless_dust(values[at], values[at] + by));
        let readings = self.readings().map(|reading| self.reading(reading, &fitted, &free, &model)).collect();
        Ok((Fitted { bend_deg, cells, readings }, fitted))
    }

    /// The cells that move, with those around a bound that today's table does not keep.
    fn near_limits(&self, limits: &[Target], may_move: &[bool], mut moving: Vec<bool>) -> Vec<bool> {
        for point in limits {
            let (low, high) = point.limits_deg();
            if (low..=high).contains(&self.at(point, self.table().values())) {
                continue;
            }
            for (at, share) in point.shares(self.table()) {
                moving[at] |= share > 0.0 && may_move[at];
            }
        }
        moving
    }

    /// A point that only bounds the table, over the cells that move.
    fn limit(&self, point: &Target, free: &FreeCells) -> Row {
        let values = self.table().values();
        let shares = point.shares(self.table());
        let (low, high) = point.limits_deg();
        let stays = shares.iter().filter(|(at, _)| free.place(*at).is_none());
        let there: f64 = stays.map(|&(at, share)| share * values[at]).sum();
        let moving = shares.iter().filter_map(|&(at, share)| Some((free.place(at)?, share)));
        Row::new(moving, (low - there, high - there), |place| values[free.order[place]])
    }

    /// How sure each cell is.
    fn sure(
        &self,
        free: &FreeCells,
        bend_deg: f64,
        pulls: &[Pull],
        watch: Watch<'_>,
    ) -> Result<Vec<Option<Sure>>, ShapingError> {
        let with = Model::new(&self.penalty, free, bend_deg, (pulls, &[]), watch)?.factor.inverse_diagonal(watch)?;
        let without = Model::new(&self.penalty, free, bend_deg, (&[], &[]), watch)?.factor.inverse_diagonal(watch)?;
        let mut cells = vec![None; self.table().values().len()];
        for ((&at, with), without) in free.order.iter().zip(with).zip(without) {
            let share = (1.0 - with / without).clamp(0.0, 1.0);
            cells[at] = Some(Sure { sd_deg: with.max(0.0).sqrt(), share, rests_on: RestsOn::of(share) });
        }
        Ok(cells)
    }

    fn reading(&self, (number, point): (usize, &Target), values: &[f64], free: &FreeCells, model: &Model) -> Reading {
        let residual_deg = point.advance_deg - self.at(point, values);
        let mut share = vec![0.0; free.order.len()];
        for (at, of) in point.shares(self.table()) {
            if let Some(place) = free.place(at) {
                share[place] += of;
            }
        }
        let solved = model.factor.solve(&share);
        let spread: f64 = solved.iter().zip(&share).map(|(a, b)| a * b).sum();
        let leverage = (spread / (point.sd_deg * point.sd_deg)).clamp(0.0, 1.0);
        let usual_deg = point.sd_deg * (1.0 - leverage).max(f64::EPSILON).sqrt();
        Reading { point: number, residual_deg, standardised: residual_deg / usual_deg, leverage }
    }
}
