//! Why a tool gives no table: it refuses, or the watch that a long-running tool asks before every round makes it stop.

use std::fmt;

use thiserror::Error;

use super::{Along, Side};
use crate::project::{ADVANCE_RANGE_DEG, AdvanceError};
use crate::table::{AxisError, Cell, Table};
use crate::wording::{Unit, bounds, given_load, outside, quantity, rounded, scientific, with_unit, written};

/// A cell with its breakpoints and value, to identify it in a message.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Place {
    /// Its indices.
    pub cell: Cell,
    /// Its speed breakpoint.
    pub speed_rpm: f64,
    /// Its load breakpoint, % or kPa.
    pub load: f64,
    /// Its value, degrees before TDC.
    pub deg: f64,
}

impl Place {
    pub(super) fn of(table: &Table, cell: Cell) -> Self {
        let speed_rpm = table.speed().breakpoints()[cell.speed];
        Self { cell, speed_rpm, load: table.load().breakpoints()[cell.load], deg: table.at(cell) }
    }
}

impl fmt::Display for Place {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let [deg, speed] = [quantity(self.deg, Unit::Degree), quantity(self.speed_rpm, Unit::Rpm)];
        write!(f, "{deg} at {speed}, load {}", given_load(self.load))
    }
}

/// Why a tool refuses. The table stays as it was.
#[derive(Clone, Debug, PartialEq, Error)]
pub enum ShapingError {
    /// A selection made for another table size.
    #[error("the selection is for another table size; select again")]
    Size,
    /// No cell is selected.
    #[error("no cell is selected; select the cells to reshape")]
    NothingSelected,
    /// A parameter is NaN, infinite or outside its range.
    #[error("{what} {}", outside(*.value, (*.low, *.high), Unit::None))]
    Parameter {
        /// Which parameter.
        what: &'static str,
        /// The value refused.
        value: f64,
        /// The lowest allowed.
        low: f64,
        /// The highest allowed.
        high: f64,
    },
    /// The lower bound of a clamp is above the upper.
    #[error("clamping to {} runs backwards; give the lower bound first", bounds((*.low_deg, *.high_deg), Unit::Degree))]
    Backwards {
        /// As given.
        low_deg: f64,
        /// As given.
        high_deg: f64,
    },
    /// A tool that needs a block was given other cells.
    #[error("the selected cells fill no rectangle; {tool} needs a block")]
    NoBlock {
        /// What needs it.
        tool: &'static str,
    },
    /// A cell that is not in the table.
    #[error("the table has no cell in load row {row}, speed column {column}", row = .cell.load + 1, column = .cell.speed + 1)]
    NoCell {
        /// The cell.
        cell: Cell,
    },
    /// There is no row or column beside the selection to repeat.
    #[error("nothing lies beside the selection towards the {side}; leave the line to repeat unselected")]
    NothingBeside {
        /// Towards which edge.
        side: Side,
    },
    /// No selected cell reaches the edge.
    #[error("no selected cell reaches the {side}; select the cells up to that edge")]
    EdgeNotReached {
        /// Which edge.
        side: Side,
    },
    /// Too few cells are left to extend from.
    #[error(
        "extending to the {side} needs {needed} unselected cells beside the selection in every line; line {line} has {found}"
    )]
    NothingToExtend {
        /// Which edge.
        side: Side,
        /// Which row or column, counted from 1.
        line: usize,
        /// How many are needed: two for linear, one for flat.
        needed: usize,
        /// How many there are.
        found: usize,
    },
    /// Cells that may not move differ by more than the limit allows.
    #[error(
        "the limit allows {} between {from} and {to}, and neither may move; release one, select more, or allow more",
        quantity(*.allowed_deg, Unit::Degree)
    )]
    SlopeForbidden {
        /// One of the two.
        from: Place,
        /// The other.
        to: Place,
        /// The largest difference that the limit allows between them.
        allowed_deg: f64,
    },
    /// The search for the nearest table did not converge.
    #[error(
        "the nearest table within so small a slope limit was not found to 0.000001° in {steps} steps; allow more, or 0 for \
         a level table, or select fewer cells"
    )]
    SlopeUnsolved {
        /// How many steps were made.
        steps: usize,
    },
    /// The smoothing system was not solved accurately enough.
    #[error(
        "smoothing missed its minimum (gradient {}, allowed {}); breakpoints may be too close",
        scientific(*.gradient), scientific(*.allowed)
    )]
    SmoothUnsolved {
        /// The largest component of the gradient.
        gradient: f64,
        /// The largest allowed.
        allowed: f64,
    },
    /// Whoever watches the tool had it stop.
    #[error("stopped; the table is as it was")]
    Stopped,
    /// Numbers can only be kept if the table has as many breakpoints as before.
    #[error(
        "{speeds} speeds and {loads} loads cannot keep the numbers of {old_speeds} speeds and {old_loads} loads; give as many breakpoints, or keep the surface"
    )]
    KeepNumbers {
        /// New speed breakpoints.
        speeds: usize,
        /// New load breakpoints.
        loads: usize,
        /// Present speed breakpoints.
        old_speeds: usize,
        /// Present load breakpoints.
        old_loads: usize,
    },
    /// The new breakpoints do not make an axis.
    #[error("{along} breakpoints: {error}")]
    Axis {
        /// Which axis.
        along: Along,
        /// What is wrong.
        error: AxisError,
    },
    /// A result is out of range.
    #[error(
        "the result {} at {}, load {} is outside {}; select fewer cells, ask for less, or hold what must stay",
        with_unit(&result(.0.deg), Unit::Degree), quantity(.0.speed_rpm, Unit::Rpm), given_load(.0.load), bounds(ADVANCE_RANGE_DEG, Unit::Degree)
    )]
    Result(Place),
    /// The result is not a valid advance table.
    #[error(transparent)]
    Advance(#[from] AdvanceError),
}

/// A result at the smallest step there is, or with all its decimals where it would otherwise read as allowed.
fn result(deg: f64) -> String {
    let near = rounded(deg, 2);
    let is_told = !(ADVANCE_RANGE_DEG.0..=ADVANCE_RANGE_DEG.1).contains(&near);
    written(if is_told { near } else { deg })
}

/// Refuses a parameter that is NaN or outside `range`.
pub(super) fn within(what: &'static str, value: f64, range: (f64, f64)) -> Result<(), ShapingError> {
    let (low, high) = range;
    if (low..=high).contains(&value) { Ok(()) } else { Err(ShapingError::Parameter { what, value, low, high }) }
}

/// Is asked before every round of a tool whether to go on. It is told how far the tool is, as a share 0..=1 of
/// the longest that it may take, if that is known. A tool that is stopped returns [`ShapingError::Stopped`] at
/// once, and no table.
#[derive(Clone, Copy)]
pub struct Watch<'a>(&'a dyn Fn(Option<f64>) -> bool);

impl<'a> Watch<'a> {
    /// Never stops the tool.
    pub const NOBODY: Watch<'static> = Watch(&|_| true);

    /// Goes on for as long as `goes_on` returns true.
    pub const fn new(goes_on: &'a dyn Fn(Option<f64>) -> bool) -> Self {
        Self(goes_on)
    }

    /// To be called before every round but the last: `done` of at most `most` rounds are done.
    pub(crate) fn round(self, done: usize, most: usize) -> Result<(), ShapingError> {
        #[expect(clippy::cast_precision_loss, reason = "far fewer than 2^52 rounds")]
        self.ask(Some(done as f64 / most as f64))
    }

    /// The same where nobody can tell how many rounds remain.
    pub(super) fn next(self) -> Result<(), ShapingError> {
        self.ask(None)
    }

    fn ask(self, share: Option<f64>) -> Result<(), ShapingError> {
        if (self.0)(share) { Ok(()) } else { Err(ShapingError::Stopped) }
    }
}

impl fmt::Debug for Watch<'_> {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("Watch")
    }
}

#[cfg(test)]
mod tests {
    use std::cell::{Cell as Counter, RefCell};

    use super::*;
    use crate::project::Advance;
    use crate::shaping::sample::{advance, all, any_advance, held};
    use crate::shaping::{Shaped, Tool};
    use crate::table::Cell;
    use proptest::prelude::*;

    /// How often a tool asks, and what it returns when it is stopped at round `stop_at`, counted from 0.
    fn watched(tool: &Tool, start: &Advance, stop_at: usize) -> (usize, Result<Shaped, ShapingError>) {
        let asked = Counter::new(0);
        let goes_on = |share: Option<f64>| {
            assert!(share.is_none_or(|share| (0.0..=1.0).contains(&share)));
            asked.set(asked.get() + 1);
            asked.get() <= stop_at
        };
        let shaped = tool.apply_watched(start, &all(start), Watch::new(&goes_on));
        (asked.get(), shaped)
    }

    fn bumpy(held_every: usize) -> Advance {
        let bump = |x: f64, y: f64| 20.0 + 8.0 * (x * 1.3).sin() * (y * 0.7).cos() + if x > 30.0 { 12.0 } else { 0.0 };
        let start = advance(64, 64, bump);
        let cells: Vec<Cell> = start.table().cells().step_by(held_every).collect();
        held(&start, &cells)
    }

    fn long_tools() -> [(Tool, Advance); 3] {
        let limit = Tool::LimitSlope { per_1000rpm: 200.0, per_load_unit: 0.3 };
        [
            (Tool::Smooth { strength: 10.0 }, bumpy(10)),
            (Tool::Smooth { strength: 0.8 }, bumpy(211)),
            (limit, advance(64, 64, |x, y| 20.0 + 8.0 * (x * 1.3).sin() * (y * 0.7).cos())),
        ]
    }

    #[test]
    fn a_stop_is_noticed_in_the_round_in_which_it_comes() {
        for (tool, start) in long_tools() {
            let before = start.clone();
            let (rounds, whole) = watched(&tool, &start, usize::MAX);
            assert!(rounds >= 2, "{tool:?}: {rounds}");
            assert_eq!(whole, tool.apply(&start, &all(&start)), "whoever watches changes nothing");
            for stop_at in [0, 1, rounds / 2, rounds - 1] {
                assert_eq!(watched(&tool, &start, stop_at), (stop_at + 1, Err(ShapingError::Stopped)), "{tool:?}");
                assert_eq!(start, before);
            }
        }
    }

    /// Rounds are short: on the largest table a factorisation asks every four rows, the search of the slope
    /// limit every step.
    #[test]
    fn long_work_has_many_rounds_and_tells_how_far_it_is() {
        let shares = RefCell::new(Vec::new());
        let goes_on = |share: Option<f64>| {
            shares.borrow_mut().extend(share);
            true
        };
        let [(smooth, start), _, (limit, steep)] = long_tools();
        smooth.apply_watched(&start, &all(&start), Watch::new(&goes_on)).unwrap();
        assert!(shares.borrow().len() >= 64 * 64 * 9 / 10 / 4, "{}", shares.borrow().len());
        assert!(shares.borrow().is_sorted());
        shares.borrow_mut().clear();
        limit.apply_watched(&steep, &all(&steep), Watch::new(&goes_on)).unwrap();
        assert!(shares.borrow().len() >= 20 && shares.borrow().is_sorted(), "{}", shares.borrow().len());
    }

    proptest! {
        #![proptest_config(ProptestConfig::with_cases(48))]

        #[test]
        fn wherever_it_is_stopped_a_tool_gives_no_table(
            start in any_advance(16), strength in 0.1..10.0, slope in 1.0..5000.0, part in 0.0..1.0_f64,
        ) {
            let limit = Tool::LimitSlope { per_1000rpm: slope, per_load_unit: slope / 1000.0 };
            for tool in [Tool::Smooth { strength }, limit] {
                let (rounds, whole) = watched(&tool, &start, usize::MAX);
                prop_assert_eq!(&whole, &tool.apply(&start, &all(&start)));
                if rounds > 0 {
                    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "a part of the rounds")]
                    let stop_at = (part * rounds as f64) as usize;
                    prop_assert_eq!(watched(&tool, &start, stop_at), (stop_at + 1, Err(ShapingError::Stopped)));
                }
            }
        }
    }
}
