//! Clamp and round: each cell moved to the nearest value allowed.

use super::offer::{Group, Number, Part, Sentence, Step, WhyNot, never_refused, no_deed};
use super::operation::Operation;
use super::shaped::reshape_by_rule;
use super::{Shaped, ShapingError, Tool};
use crate::project::{ADVANCE_RANGE_DEG, Advance};
use crate::table::Selection;
use crate::wording::{Unit, given, quantity, settle};

/// A quotient this close to a half, in proportion, is that half: 0.15 / 0.1 is 1.5 and not 1.4999999999999998.
const TIE_SHARE: f64 = 1e-9;

const LOW: Number = Number {
    name: "clamp from",
    called: "lower bound",
    unit: |_| Unit::Degree,
    range: ADVANCE_RANGE_DEG,
    typed: ADVANCE_RANGE_DEG,
    step: Step::OfProject,
    default: 0.0,
    usual: "00.0",
    plus: false,
    argument: "LO",
    help: "The lower bound, degrees",
};

const HIGH: Number = Number {
    name: "clamp to",
    called: "upper bound",
    default: 40.0,
    argument: "HI",
    help: "The upper bound, degrees",
    ..LOW
};

const STEP: Number = Number {
    name: "round to steps of",
    called: "step",
    range: (1e-6, 90.0),
    typed: (0.01, 90.0),
    step: Step::By(0.1),
    default: 0.5,
    argument: "STEP",
    help: "The step, degrees",
    ..LOW
};

/// `clamp` on the command line.
pub(super) const CLAMP: Operation = Operation {
    name: "clamp",
    about: "Bring cells below LO up to it and cells above HI down to it, in degrees",
    arguments: &[LOW.argument(), HIGH.argument()],
    takes_whole_table: false,
    tool: |given| Ok(Tool::Clamp { low_deg: given.number(LOW.argument)?, high_deg: given.number(HIGH.argument)? }),
};

/// `round` on the command line.
pub(super) const ROUND: Operation = Operation {
    name: "round",
    about: "Round the cells to multiples of STEP degrees",
    arguments: &[STEP.argument()],
    takes_whole_table: false,
    tool: |given| Ok(Tool::Round { step_deg: given.number(STEP.argument)? }),
};

/// Clamping in the inspector.
pub(super) const CLAMP_SENTENCE: Sentence = Sentence {
    key: "clamp",
    group: Group::Set,
    verb: "Clamp",
    parts: &[Part::Number(&LOW), Part::Word("to"), Part::Number(&HIGH)],
    more: None,
    tip: "Brings every value between the two bounds.",
    widens: false,
    deed: no_deed,
    refusal: |asked| {
        let is_backwards = asked.number(&LOW) > asked.number(&HIGH);
        // No short form: it would hide the numbers, which the user has to correct.
        is_backwards.then_some(WhyNot { short: "", long: "The clamp runs backwards: give the lower bound first." })
    },
    tool: |asked| Tool::Clamp { low_deg: asked.number(&LOW), high_deg: asked.number(&HIGH) },
};

/// Rounding in the inspector.
pub(super) const ROUND_SENTENCE: Sentence = Sentence {
    key: "round",
    group: Group::Set,
    verb: "Round to",
    parts: &[Part::Number(&STEP)],
    more: None,
    tip: "Rounds every value to a multiple of the step.",
    widens: false,
    deed: no_deed,
    refusal: never_refused,
    tool: |asked| Tool::Round { step_deg: asked.number(&STEP) },
};

/// What clamping is called in the history.
pub(super) fn clamp_label(low_deg: f64, high_deg: f64, cells: &str) -> String {
    format!("Clamp {cells} to {}..{}", given(low_deg, Unit::Degree), quantity(high_deg, Unit::Degree))
}

/// What rounding is called in the history.
pub(super) fn round_label(step_deg: f64, cells: &str) -> String {
    format!("Round {cells} to steps of {}", quantity(step_deg, Unit::Degree))
}

/// Limits every free cell to `low_deg..=high_deg`.
///
/// # Errors
/// [`ShapingError`] when a bound is outside the range of cells, the bounds run backwards, or the selection is of no
/// use.
pub fn clamp(advance: &Advance, selection: &Selection, low_deg: f64, high_deg: f64) -> Result<Shaped, ShapingError> {
    LOW.check(low_deg)?;
    HIGH.check(high_deg)?;
    if low_deg > high_deg {
        return Err(ShapingError::Backwards { low_deg, high_deg });
    }
    reshape_by_rule(advance, selection, |_, z| z.clamp(low_deg, high_deg))
}

/// Rounds every free cell to the nearest multiple of `step_deg`, halves away from zero, settled to twelve decimals.
///
/// # Errors
/// [`ShapingError`] when the step is outside 0.000001..=90°, a result is outside the range of cells, or the selection
/// is of no use.
pub fn round(advance: &Advance, selection: &Selection, step_deg: f64) -> Result<Shaped, ShapingError> {
    STEP.check(step_deg)?;
    reshape_by_rule(advance, selection, |_, z| to_step(z, step_deg))
}

fn to_step(z: f64, step_deg: f64) -> f64 {
    let steps = z / step_deg;
    let half = steps.abs().floor() + 0.5;
    let tie = (steps.abs() - half).abs() < TIE_SHARE * steps.abs().max(1.0);
    let steps = if tie { half.copysign(steps) } else { steps };
    settle(steps.round() * step_deg)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::shaping::sample::{all, any_advance, any_selection, filled, untouched_keep_bits};
    use proptest::prelude::*;

    fn two(values: [f64; 4]) -> Advance {
        filled(2, 2, &values)
    }

    #[test]
    fn rounds_halves_away_from_zero() {
        let table = two([0.15, -0.25, 28.26, 28.24]);
        let rounded = round(&table, &all(&table), 0.1).unwrap();
        assert_eq!(rounded.advance.table().values(), [0.2, -0.3, 28.3, 28.2]);
        let coarse = round(&two([12.5, -12.5, 12.4, 40.0]), &all(&table), 5.0).unwrap();
        assert_eq!(coarse.advance.table().values(), [15.0, -15.0, 10.0, 40.0]);
    }

    #[test]
    fn clamps_to_bounds() {
        let table = two([-5.0, 10.0, 20.0, 40.0]);
        let clamped = clamp(&table, &all(&table), 0.0, 20.0).unwrap();
        assert_eq!(clamped.advance.table().values(), [0.0, 10.0, 20.0, 20.0]);
        assert_eq!(clamped.changed, 2);
        assert!(matches!(clamp(&table, &all(&table), 20.0, 0.0), Err(ShapingError::Backwards { .. })));
    }

    #[test]
    fn refuses_no_step() {
        let table = two([1.0, 2.0, 3.0, 4.0]);
        assert!(matches!(round(&table, &all(&table), 0.0), Err(ShapingError::Parameter { what: "step", .. })));
    }

    proptest! {
        #[test]
        fn held_and_unselected_keep_their_bits((advance, selection) in any_advance(12).prop_flat_map(any_selection)) {
            let both = [clamp(&advance, &selection, 0.0, 20.0), round(&advance, &selection, 0.3)];
            for shaped in both.into_iter().flatten() {
                untouched_keep_bits(&advance, &selection, &shaped)?;
            }
        }

        #[test]
        fn rounding_and_clamping_twice_is_once(advance in any_advance(8), step in 0.01..3.0) {
            let once = round(&advance, &all(&advance), step);
            prop_assume!(once.is_ok());
            prop_assert_eq!(round(&once.unwrap().advance, &all(&advance), step).unwrap().changed, 0);
            let once = clamp(&advance, &all(&advance), 5.0, 15.0).unwrap();
            prop_assert_eq!(clamp(&once.advance, &all(&advance), 5.0, 15.0).unwrap().changed, 0);
        }
    }
}
