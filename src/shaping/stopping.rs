//! Tests: a long tool stops in the round in which it is told to.

use std::cell::RefCell;

use proptest::prelude::*;

use super::sample::{advance, all, any_advance, held};
use super::{Demands, Shaped, ShapingError, Tool};
use crate::project::Advance;
use crate::table::Cell;
use crate::watch::{Stopped, Watch, stopped_after};

const STOPPED: Result<Shaped, ShapingError> = Err(ShapingError::Stopped(Stopped));

/// How often a tool asks, and what it returns when it is stopped at round `stop_at`, counted from 0.
fn watched(tool: &Tool, start: &Advance, stop_at: usize) -> (usize, Result<Shaped, ShapingError>) {
    stopped_after(stop_at, |watch| tool.apply_watched(start, &all(start), watch))
}

fn bumpy(held_every: usize) -> Advance {
    let bump = |x: f64, y: f64| 20.0 + 8.0 * (x * 1.3).sin() * (y * 0.7).cos() + if x > 30.0 { 12.0 } else { 0.0 };
    let start = advance(64, 64, bump);
    let cells: Vec<Cell> = start.table().cells().step_by(held_every).collect();
    held(&start, &cells)
}

fn long_tools() -> [(Tool, Advance); 4] {
    let limit = Tool::LimitSlope { per_1000rpm: 200.0, per_load_unit: 0.3 };
    let fair = Tool::Fair { demands: Demands { within_deg: Some(2.0), ..Demands::default() } };
    [
        (Tool::Smooth { strength: 10.0, most_deg: 150.0 }, bumpy(10)),
        (Tool::Smooth { strength: 0.8, most_deg: 150.0 }, bumpy(211)),
        (limit, advance(64, 64, |x, y| 20.0 + 8.0 * (x * 1.3).sin() * (y * 0.7).cos())),
        (fair, advance(16, 16, |x, y| 20.0 + 8.0 * (x * 1.3).sin() * (y * 0.7).cos())),
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
            assert_eq!(watched(&tool, &start, stop_at), (stop_at + 1, STOPPED), "{tool:?}");
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
    let [(smooth, start), _, (limit, steep), _] = long_tools();
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
                prop_assert_eq!(watched(&tool, &start, stop_at), (stop_at + 1, STOPPED));
            }
        }
    }
}
