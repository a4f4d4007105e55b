//! Set, type, add, scale, clamp and round: each cell for itself.

use super::error::within;
use super::shaped::{check, reshape, reshape_by_rule};
use super::{Shaped, ShapingError};
use crate::project::{ADVANCE_RANGE_DEG, Advance, Origin};
use crate::table::Selection;
use crate::wording::settle;

/// No sum or difference of two cells is larger.
pub(super) const AMOUNT_RANGE_DEG: (f64, f64) = (-150.0, 150.0);
const SCALE_RANGE_PERCENT: (f64, f64) = (-1000.0, 1000.0);
const STEP_RANGE_DEG: (f64, f64) = (1e-6, 90.0);
/// A quotient this close to a half, in proportion, is that half: 0.15 / 0.1 is 1.5 and not 1.4999999999999998.
const TIE_SHARE: f64 = 1e-9;

/// Sets every free cell to `deg`, degrees before TDC.
///
/// # Errors
/// [`ShapingError`] when `deg` is outside the range of cells or the selection is of no use.
pub fn set(advance: &Advance, selection: &Selection, deg: f64) -> Result<Shaped, ShapingError> {
    within("advance", deg, ADVANCE_RANGE_DEG)?;
    reshape(advance, selection, Origin::Typed, |_, _| deg)
}

/// As [`set`], for a number typed by hand: into exactly one held cell it is allowed, and the cell stays held.
///
/// # Errors
/// As from [`set`].
pub fn type_into(advance: &Advance, selection: &Selection, deg: f64) -> Result<Shaped, ShapingError> {
    check(advance, selection)?;
    let single = selection.count() == 1 && selection.cells().all(|cell| advance.held().contains(cell));
    if !single {
        return set(advance, selection, deg);
    }
    let typed = set(&advance.with_held(selection, false), selection, deg)?;
    Ok(Shaped { advance: typed.advance.with_held(selection, true), into_held: true, ..typed })
}

/// Adds `deg` to every free cell, settled to twelve decimals. Adding nothing changes nothing.
///
/// # Errors
/// [`ShapingError`] when a result is outside the range of cells or the selection is of no use.
pub fn add(advance: &Advance, selection: &Selection, deg: f64) -> Result<Shaped, ShapingError> {
    within("amount", deg, AMOUNT_RANGE_DEG)?;
    reshape(advance, selection, Origin::Typed, |_, z| plus(z, deg))
}

/// Changes every free cell by `percent` of itself (10 multiplies by 1.10), settled to twelve decimals.
///
/// # Errors
/// [`ShapingError`] when a result is outside the range of cells or the selection is of no use.
pub fn scale(advance: &Advance, selection: &Selection, percent: f64) -> Result<Shaped, ShapingError> {
    within("percentage", percent, SCALE_RANGE_PERCENT)?;
    let scaled = |z: f64| if percent == 0.0 { z } else { settle(z * (100.0 + percent) / 100.0) };
    reshape_by_rule(advance, selection, |_, z| scaled(z))
}

/// Brings every free cell into `low_deg..=high_deg`.
///
/// # Errors
/// [`ShapingError`] when a bound is outside the range of cells, the bounds run backwards, or the selection is of no
/// use.
pub fn clamp(advance: &Advance, selection: &Selection, low_deg: f64, high_deg: f64) -> Result<Shaped, ShapingError> {
    within("lower bound", low_deg, ADVANCE_RANGE_DEG)?;
    within("upper bound", high_deg, ADVANCE_RANGE_DEG)?;
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
    within("step", step_deg, STEP_RANGE_DEG)?;
    reshape_by_rule(advance, selection, |_, z| to_step(z, step_deg))
}

/// `z + deg` without the dust of the sum.
pub(super) fn plus(z: f64, deg: f64) -> f64 {
    if deg == 0.0 { z } else { settle(z + deg) }
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
    use crate::shaping::Place;
    use crate::shaping::sample::{all, any_advance, any_selection, filled, held, one, untouched_keep_bits};
    use crate::table::Cell;
    use proptest::prelude::*;

    fn two(values: [f64; 4]) -> Advance {
        filled(2, 2, &values)
    }

    #[test]
    fn set_reaches_free_cells_only() {
        let held = held(&two([1.0, 2.0, 3.0, 4.0]), &[Cell::new(0, 1)]);
        let shaped = set(&held, &all(&held), 2.5).unwrap();
        assert_eq!(shaped.advance.table().values(), [2.5, 2.0, 2.5, 2.5]);
        assert_eq!((shaped.selected, shaped.changed, shaped.held), (4, 3, 1));
    }

    #[test]
    fn typing_into_one_held_cell_keeps_it_held() {
        let cell = Cell::new(0, 1);
        let held = held(&two([1.0, 2.0, 3.0, 4.0]), &[cell]);
        let typed = type_into(&held, &one(&held, cell), 9.0).unwrap();
        assert!(typed.into_held && typed.advance.held().contains(cell));
        assert_eq!(typed.advance.table().at(cell), 9.0);
        assert_eq!((typed.held, typed.changed), (0, 1));
        assert_eq!(type_into(&held, &all(&held), 9.0).unwrap().advance.table().at(cell), 2.0);
        assert_eq!(set(&held, &one(&held, cell), 9.0).unwrap().changed, 0);
    }

    #[test]
    fn sums_and_products_are_settled() {
        let table = two([28.6, 0.1, -3.0, 20.0]);
        let raised = add(&table, &all(&table), 0.1).unwrap();
        assert_eq!(raised.advance.table().values(), [28.7, 0.2, -2.9, 20.1]);
        let scaled = scale(&table, &all(&table), 10.0).unwrap();
        assert_eq!(scaled.advance.table().values(), [31.46, 0.11, -3.3, 22.0]);
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
    fn refuses_results_and_parameters_out_of_range() {
        let table = two([1.0, 2.0, 3.0, 89.5]);
        let error = add(&table, &all(&table), 1.0).unwrap_err();
        let ShapingError::Result(Place { cell, deg, .. }) = error else { panic!("{error}") };
        assert_eq!((cell, deg), (Cell::new(1, 1), 90.5));
        let told = |percent: f64| scale(&table, &all(&table), percent).unwrap_err().to_string();
        assert!(told(3.33333).starts_with("the result 92.48° at "), "{}", told(3.33333));
        assert!(told(3.33333).ends_with("select fewer cells, ask for less, or hold what must stay"));
        assert!(told(0.559).starts_with("the result 90.000"), "{}", told(0.559));
        for bad in [f64::NAN, f64::INFINITY, 91.0] {
            assert!(matches!(set(&table, &all(&table), bad), Err(ShapingError::Parameter { .. })));
        }
        assert!(matches!(round(&table, &all(&table), 0.0), Err(ShapingError::Parameter { what: "step", .. })));
        let none = Selection::none(2, 2);
        assert_eq!(add(&table, &none, 1.0), Err(ShapingError::NothingSelected));
        assert_eq!(add(&table, &Selection::none(3, 2), 1.0), Err(ShapingError::Size));
    }

    proptest! {
        #[test]
        fn held_and_unselected_keep_their_bits((advance, selection) in any_advance(12).prop_flat_map(any_selection)) {
            for shaped in [
                set(&advance, &selection, 12.3), scale(&advance, &selection, -10.0), clamp(&advance, &selection, 0.0, 20.0),
                round(&advance, &selection, 0.3), add(&advance, &selection, -0.7),
            ].into_iter().flatten() {
                untouched_keep_bits(&advance, &selection, &shaped)?;
            }
        }

        #[test]
        fn nothing_added_changes_nothing(advance in any_advance(8)) {
            prop_assert_eq!(add(&advance, &all(&advance), 0.0).unwrap().changed, 0);
            prop_assert_eq!(scale(&advance, &all(&advance), 0.0).unwrap().changed, 0);
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
