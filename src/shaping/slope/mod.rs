//! Limit slope: the nearest table in which neighbours differ by no more than allowed.

mod nearest;
mod pairs;

use super::offer::{Group, Manner, Number, Part, Sentence, Step, never_refused, no_deed};
use super::operation::Operation;
use super::shaped::{check, free, reshape, unless_dust};
use super::{Along, Place, Shaped, ShapingError, Tool, Watch};
use crate::project::{Advance, LoadKind, Origin};
use crate::table::Selection;
use crate::wording::{Unit, quantity};
use pairs::Pairs;

const PER_1000_RPM: Number = Number {
    name: "slope limit along speed",
    called: "slope per 1000 rpm",
    unit: |_| Unit::DegreePer1000Rpm,
    range: (0.0, 1e6),
    typed: (0.0, 1e6),
    step: Step::By(0.5),
    default: 12.0,
    usual: "00.0",
    plus: false,
    argument: "PER_1000RPM",
    help: "Most degrees per 1000 rpm",
};

const PER_LOAD_UNIT: Number = Number {
    name: "slope limit along load",
    called: "slope per unit of load",
    unit: LoadKind::slope_unit,
    step: Step::By(0.1),
    default: 0.5,
    argument: "PER_LOAD_UNIT",
    help: "Most degrees per % or kPa",
    ..PER_1000_RPM
};

/// An iterative search: with more cells than this it may take longer than a frame.
pub(super) const MANNER: Manner = Manner { at_once_cells: 64, ..Manner::PLAIN };

/// `limit-slope` on the command line.
pub(super) const LIMIT_SLOPE: Operation = Operation {
    name: "limit-slope",
    about: "Bring neighbours closer, with the least change, until none differ by more than the limits; cells that are not \
            selected are not looked at",
    arguments: &[PER_1000_RPM.argument(), PER_LOAD_UNIT.argument()],
    takes_whole_table: false,
    tool: |given| {
        let per_1000rpm = given.number(PER_1000_RPM.argument)?;
        Ok(Tool::LimitSlope { per_1000rpm, per_load_unit: given.number(PER_LOAD_UNIT.argument)? })
    },
};

/// Limiting the slope in the inspector.
pub(super) const SLOPE_SENTENCE: Sentence = Sentence {
    key: "slope",
    group: Group::Fair,
    verb: "Limit slope",
    parts: &[Part::Number(&PER_LOAD_UNIT)],
    more: Some(&[Part::Number(&PER_1000_RPM)]),
    tip: "Moves the cells as little as possible so that neighbours among them differ by no more than this. Cells that are \
          not selected are not looked at.",
    widens: true,
    deed: no_deed,
    refusal: never_refused,
    tool: |asked| Tool::LimitSlope {
        per_1000rpm: asked.number(&PER_1000_RPM),
        per_load_unit: asked.number(&PER_LOAD_UNIT),
    },
};

/// What limiting the slope is called in the history.
pub(super) fn label(per_1000rpm: f64, per_load_unit: f64, scope: &str) -> String {
    let [speed, load] = [per_1000rpm, per_load_unit].map(|slope| quantity(slope, Unit::Degree));
    format!("Limit slope of {scope} to {speed} per 1000 rpm, {load} per unit of load")
}

/// A difference counts as within its limit if it exceeds it by no more than this.
const TOLERANCE_DEG: f64 = 1e-9;

/// Which pairs of neighbours the limit applies to.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Bound {
    /// Pairs of which both cells are selected; cells outside the selection are ignored.
    Selected,
    /// Pairs of which at least one cell is selected.
    AndNeighbours,
}

/// Moves the free selected cells as little as possible (least squares, to 1e-6°) so that neighbours differ by
/// no more than `per_1000rpm`·Δspeed/1000 along speed and `per_load_unit`·Δload along load, in degrees. The
/// limit applies to pairs of which both cells are selected; the rest of the table is ignored.
///
/// # Errors
/// [`ShapingError::SlopeForbidden`] names two held cells that differ too much, whether or not they are
/// neighbours; [`ShapingError::SlopeUnsolved`] when the search does not converge; others when a parameter is
/// out of range or the selection is of no use.
pub fn limit_slope(
    advance: &Advance,
    selection: &Selection,
    per_1000rpm: f64,
    per_load_unit: f64,
) -> Result<Shaped, ShapingError> {
    limit_slope_watched(advance, selection, (per_1000rpm, per_load_unit), Watch::NOBODY)
}

/// As [`limit_slope`], watched: the search for the nearest table asks before every step.
///
/// # Errors
/// As [`limit_slope`], and [`ShapingError::Stopped`].
pub fn limit_slope_watched(
    advance: &Advance,
    selection: &Selection,
    (per_1000rpm, per_load_unit): (f64, f64),
    watch: Watch<'_>,
) -> Result<Shaped, ShapingError> {
    PER_1000_RPM.check(per_1000rpm)?;
    PER_LOAD_UNIT.check(per_load_unit)?;
    let allowed_deg = |along: Along, low: f64, high: f64| match along {
        Along::Speed => per_1000rpm * (high - low) / 1000.0,
        Along::Load => per_load_unit * (high - low),
    };
    limit_slope_by(advance, selection, Bound::Selected, allowed_deg, watch)
}

/// The same with a limit for each pair of neighbours that `bound` selects: `allowed_deg` gives the degrees, 0
/// or more, by which cells at two breakpoints of an axis may differ; infinite means no limit.
///
/// # Errors
/// As [`limit_slope_watched`]; if neighbours are bound, unselected cells may be what differs too much as well.
pub fn limit_slope_by(
    advance: &Advance,
    selection: &Selection,
    bound: Bound,
    allowed_deg: impl Fn(Along, f64, f64) -> f64,
    watch: Watch<'_>,
) -> Result<Shaped, ShapingError> {
    check(advance, selection)?;
    let table = advance.table();
    let mut may_move = vec![false; table.values().len()];
    for cell in free(advance, selection) {
        may_move[table.index(cell)] = true;
    }
    let pairs = Pairs::new(table, selection, bound, allowed_deg);
    if let Some(conflict) = pairs.conflict(table.values(), &may_move) {
        let place =
            |at: usize| Place::of(table, crate::table::Cell::new(at / table.speed().len(), at % table.speed().len()));
        let (from, to) = (place(conflict.from), place(conflict.to));
        return Err(ShapingError::SlopeForbidden { from, to, allowed_deg: conflict.allowed_deg });
    }
    let limited = if pairs.hold(table.values()) {
        table.values().to_vec()
    } else {
        nearest::within_limits(&pairs, table.values(), &may_move, watch)?
    };
    reshape(advance, selection, Origin::Faired, |cell, z| unless_dust(z, limited[table.index(cell)]))
}

#[cfg(test)]
mod tests;
