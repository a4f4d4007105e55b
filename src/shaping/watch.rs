//! The watch over a long-running tool: it is asked before every round and can make the tool stop.

use std::fmt;

use super::ShapingError;

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
            (Tool::Smooth { strength: 10.0, most_deg: 150.0 }, bumpy(10)),
            (Tool::Smooth { strength: 0.8, most_deg: 150.0 }, bumpy(211)),
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
            for tool in [Tool::Smooth { strength, most_deg: 150.0 }, limit] {
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
