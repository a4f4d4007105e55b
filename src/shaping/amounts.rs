//! Set, type, add and scale: tools that compute each cell by itself.

use super::offer::{Group, Number, Part, Sentence, Step, never_refused, no_deed};
use super::operation::Operation;
use super::shaped::{check, reshape, reshape_by_rule};
use super::{Shaped, ShapingError, Tool};
use crate::project::{ADVANCE_RANGE_DEG, Advance, Origin};
use crate::table::Selection;
use crate::wording::{Unit, quantity, settle, signed_quantity};

/// No two cells differ by more, so no larger amount can be of use.
pub(super) const AMOUNT_RANGE_DEG: (f64, f64) = (-150.0, 150.0);
const SCALE_RANGE_PERCENT: (f64, f64) = (-1000.0, 1000.0);

const VALUE: Number = Number {
    name: "set to",
    called: "advance",
    unit: |_| Unit::Degree,
    range: ADVANCE_RANGE_DEG,
    typed: ADVANCE_RANGE_DEG,
    step: Step::OfProject,
    default: 20.0,
    usual: "00.0",
    plus: false,
    argument: "V",
    help: "Degrees",
};

const AMOUNT: Number = Number {
    name: "raise or lower by",
    called: "amount",
    range: AMOUNT_RANGE_DEG,
    typed: AMOUNT_RANGE_DEG,
    default: 1.0,
    usual: "+0.0",
    ..VALUE
};

const PERCENTAGE: Number = Number {
    name: "scale by",
    called: "percentage",
    unit: |_| Unit::Percent,
    range: SCALE_RANGE_PERCENT,
    typed: SCALE_RANGE_PERCENT,
    step: Step::By(1.0),
    default: 5.0,
    usual: "00.0",
    plus: false,
    argument: "PERCENT",
    help: "By how many per cent",
};

/// `set` on the command line.
pub(super) const SET: Operation = Operation {
    name: "set",
    about: "Set the cells to V degrees",
    arguments: &[VALUE.argument()],
    takes_whole_table: false,
    tool: |given| Ok(Tool::Set { deg: given.number(VALUE.argument)? }),
};

/// `add` on the command line.
pub(super) const ADD: Operation = Operation {
    name: "add",
    about: "Add V degrees to the cells; negative takes advance out",
    arguments: &[AMOUNT.argument()],
    takes_whole_table: false,
    tool: |given| Ok(Tool::Add { deg: given.number(AMOUNT.argument)? }),
};

/// `scale` on the command line.
pub(super) const SCALE: Operation = Operation {
    name: "scale",
    about: "Scale the cells by PERCENT: 10 multiplies by 1.10, -10 by 0.90",
    arguments: &[PERCENTAGE.argument()],
    takes_whole_table: false,
    tool: |given| Ok(Tool::Scale { percent: given.number(PERCENTAGE.argument)? }),
};

/// Raising and lowering in the inspector.
pub(super) const RAISE_SENTENCE: Sentence = Sentence {
    key: "raise",
    group: Group::Set,
    verb: "Raise or lower by",
    parts: &[Part::Number(&AMOUNT)],
    more: None,
    tip: "Adds the amount to every free selected cell; a minus sign lowers.",
    widens: false,
    deed: no_deed,
    refusal: never_refused,
    tool: |asked| Tool::Add { deg: asked.number(&AMOUNT) },
};

/// Setting in the inspector.
pub(super) const SET_SENTENCE: Sentence = Sentence {
    key: "set",
    group: Group::Set,
    verb: "Set to",
    parts: &[Part::Number(&VALUE)],
    more: None,
    tip: "Gives every free selected cell this value.",
    widens: false,
    deed: no_deed,
    refusal: never_refused,
    tool: |asked| Tool::Set { deg: asked.number(&VALUE) },
};

/// Scaling in the inspector.
pub(super) const SCALE_SENTENCE: Sentence = Sentence {
    key: "scale",
    group: Group::Set,
    verb: "Scale by",
    parts: &[Part::Number(&PERCENTAGE)],
    more: None,
    tip: "Changes every cell by so many per cent of itself.",
    widens: false,
    deed: no_deed,
    refusal: never_refused,
    tool: |asked| Tool::Scale { percent: asked.number(&PERCENTAGE) },
};

/// What setting is called in the history.
pub(super) fn set_label(deg: f64, cells: &str) -> String {
    format!("Set {cells} to {}", quantity(deg, Unit::Degree))
}

/// What typing is called in the history.
pub(super) fn type_label(deg: f64, cells: &str, into_held: bool) -> String {
    let cells = if into_held { "a held cell" } else { cells };
    format!("Type {} into {cells}", quantity(deg, Unit::Degree))
}

/// What adding is called in the history.
pub(super) fn add_label(deg: f64, cells: &str) -> String {
    let verb = if deg < 0.0 { "Lower" } else { "Raise" };
    format!("{verb} {cells} by {}", quantity(if deg < 0.0 { -deg } else { deg }, Unit::Degree))
}

/// What scaling is called in the history.
pub(super) fn scale_label(percent: f64, cells: &str) -> String {
    format!("Scale {cells} by {}", signed_quantity(percent, Unit::Percent))
}

/// Sets every free cell to `deg`, degrees before TDC.
///
/// # Errors
/// [`ShapingError`] when `deg` is outside the range of cells or the selection is of no use.
pub fn set(advance: &Advance, selection: &Selection, deg: f64) -> Result<Shaped, ShapingError> {
    VALUE.check(deg)?;
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
    AMOUNT.check(deg)?;
    reshape(advance, selection, Origin::Typed, |_, z| plus(z, deg))
}

/// Changes every free cell by `percent` of itself (10 multiplies by 1.10), settled to twelve decimals.
///
/// # Errors
/// [`ShapingError`] when a result is outside the range of cells or the selection is of no use.
pub fn scale(advance: &Advance, selection: &Selection, percent: f64) -> Result<Shaped, ShapingError> {
    PERCENTAGE.check(percent)?;
    let scaled = |z: f64| if percent == 0.0 { z } else { settle(z * (100.0 + percent) / 100.0) };
    reshape_by_rule(advance, selection, |_, z| scaled(z))
}

/// `z + deg` without the rounding error of the sum.
pub(super) fn plus(z: f64, deg: f64) -> f64 {
    if deg == 0.0 { z } else { settle(z + deg) }
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
        let none = Selection::none(2, 2);
        assert_eq!(add(&table, &none, 1.0), Err(ShapingError::NothingSelected));
        assert_eq!(add(&table, &Selection::none(3, 2), 1.0), Err(ShapingError::Size));
    }

    proptest! {
        #[test]
        fn held_and_unselected_keep_their_bits((advance, selection) in any_advance(12).prop_flat_map(any_selection)) {
            for shaped in [
                set(&advance, &selection, 12.3), scale(&advance, &selection, -10.0), add(&advance, &selection, -0.7),
            ].into_iter().flatten() {
                untouched_keep_bits(&advance, &selection, &shaped)?;
            }
        }

        #[test]
        fn nothing_added_changes_nothing(advance in any_advance(8)) {
            prop_assert_eq!(add(&advance, &all(&advance), 0.0).unwrap().changed, 0);
            prop_assert_eq!(scale(&advance, &all(&advance), 0.0).unwrap().changed, 0);
        }
    }
}
