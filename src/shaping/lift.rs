//! Lift: move a cell and its neighbourhood with a soft falloff.

use super::amounts::{AMOUNT_RANGE_DEG, plus};
use super::error::within;
use super::offer::{Group, Number, Part, Sentence, Step, never_refused, no_deed};
use super::operation::{Argument, Operation, OperationError, Takes};
use super::shaped::{check, reshape};
use super::{Place, Shaped, ShapingError, Tool};
use crate::project::{ADVANCE_RANGE_DEG, Advance, Origin};
use crate::table::{Axis, Cell, Selection, Table};
use crate::wording::{Unit, bounds, count, given_load, quantity, settle, written};

/// The steps that results may be rounded to: finer than anyone sets by hand, and at most a fifth of the range of cells.
const STEP_RANGE_DEG: (f64, f64) = (1e-3, 30.0);

const AMOUNT: Number = Number {
    name: "lift by",
    called: "amount",
    unit: |_| Unit::Degree,
    range: AMOUNT_RANGE_DEG,
    typed: AMOUNT_RANGE_DEG,
    step: Step::OfProject,
    default: 1.0,
    usual: "0.0",
    plus: false,
    argument: "AMOUNT",
    help: "How far the centre moves, degrees",
};

/// How far a lift reaches, in cells.
pub const LIFT_RADIUS: Number = Number {
    name: "lift radius in cells",
    called: "radius in cells",
    unit: |_| Unit::None,
    // From a single cell to more than the diagonal of the largest table.
    range: (1e-3, 128.0),
    typed: (0.5, 64.0),
    step: Step::By(0.5),
    default: 3.0,
    usual: "0.0",
    plus: false,
    argument: "RADIUS",
    help: "Cells this far away stay where they are, counted in cells",
};

/// `lift` on the command line.
pub(super) const LIFT: Operation = Operation {
    name: "lift",
    about: "Lift the cell nearest to SPEED and LOAD by AMOUNT degrees, and its neighbours with a falloff over RADIUS cells",
    arguments: &[
        Argument { name: "SPEED", value_name: "SPEED", help: "Speed of the centre, rpm", takes: Takes::Number },
        Argument { name: "LOAD", value_name: "LOAD", help: "Load of the centre, % or kPa", takes: Takes::Number },
        AMOUNT.argument(),
        LIFT_RADIUS.argument(),
    ],
    takes_whole_table: false,
    tool: |given| {
        let (speed_rpm, load) = (given.number("SPEED")?, given.number("LOAD")?);
        within_axis("SPEED", speed_rpm, given.table.speed())?;
        within_axis("LOAD", load, given.table.load())?;
        let (amount_deg, radius_cells) = (given.number(AMOUNT.argument)?, given.number(LIFT_RADIUS.argument)?);
        Ok(Tool::Lift { centre: nearest_cell(given.table, speed_rpm, load), amount_deg, radius_cells, step_deg: None })
    },
};

fn within_axis(what: &str, value: f64, axis: &Axis) -> Result<(), OperationError> {
    if (axis.first()..=axis.last()).contains(&value) {
        return Ok(());
    }
    let ends = bounds((axis.first(), axis.last()), Unit::None);
    let reason = format!("{what} {} lies outside the table's {ends}", written(value));
    Err(OperationError::Unfit { operation: "lift", reason })
}

/// Lifting in the inspector.
pub(super) const LIFT_SENTENCE: Sentence = Sentence {
    key: "lift",
    group: Group::Fair,
    verb: "Lift by",
    parts: &[Part::Number(&AMOUNT), Part::Word("radius"), Part::Number(&LIFT_RADIUS)],
    more: Some(&[Part::DragSwitch]),
    tip: "Moves the cursor's cell and, less and less, its neighbours within the radius in cells; where several cells are \
          selected, only those. A drag on the surface keeps to the step unless Alt is held.",
    widens: true,
    deed: no_deed,
    refusal: never_refused,
    tool: |asked| Tool::Lift {
        centre: asked.cursor,
        amount_deg: asked.number(&AMOUNT),
        radius_cells: asked.number(&LIFT_RADIUS),
        step_deg: None,
    },
};

/// What lifting is called in the history.
pub(super) fn lift_label(done: &Shaped, centre: Cell, amount_deg: f64, radius_cells: f64) -> String {
    let verb = if amount_deg < 0.0 { "Lower" } else { "Lift" };
    let (cells, by) = (count(done.changed, "cell"), quantity(amount_deg.abs(), Unit::Degree));
    let Place { speed_rpm, load, .. } = Place::of(done.advance.table(), centre);
    let (speed, load) = (quantity(speed_rpm, Unit::Rpm), given_load(load));
    format!("{verb} {cells} by {by} around {speed}, load {load}, radius {}", written(radius_cells))
}

/// The cell whose breakpoints are nearest to a speed and a load.
pub fn nearest_cell(table: &Table, speed_rpm: f64, load: f64) -> Cell {
    Cell::new(table.load().nearest(load), table.speed().nearest(speed_rpm))
}

/// Moves `centre` by `amount_deg`, and the selected cells around it by `amount · ½(1 + cos(π·r/radius))` for
/// `r < radius`. r is the distance in rows and columns, so that a lift feels the same everywhere on uneven axes.
/// Results are settled to twelve decimals. With `step_deg` they are the nearest multiples of that step instead,
/// and cells that would move by less than half a step stay. `selected` of the result counts only the cells
/// within the radius.
///
/// # Errors
/// [`ShapingError`] when the centre lies outside the table, a parameter or a result is out of range, or the
/// selection is of no use.
pub fn lift(
    advance: &Advance,
    selection: &Selection,
    centre: Cell,
    amount_deg: f64,
    radius_cells: f64,
    step_deg: Option<f64>,
) -> Result<Shaped, ShapingError> {
    check(advance, selection)?;
    AMOUNT.check(amount_deg)?;
    LIFT_RADIUS.check(radius_cells)?;
    if let Some(step_deg) = step_deg {
        within("step", step_deg, STEP_RANGE_DEG)?;
    }
    if centre.load >= selection.loads() || centre.speed >= selection.speeds() {
        return Err(ShapingError::NoCell { cell: centre });
    }
    let mut near = Selection::none(selection.loads(), selection.speeds());
    near.extend(selection.cells().filter(|&cell| distance_cells(centre, cell) < radius_cells));
    if near.is_empty() {
        return Ok(Shaped::plain(advance.clone(), 0, 0, 0));
    }
    reshape(advance, &near, Origin::Typed, |cell, z| {
        let by_deg = amount_deg * falloff(distance_cells(centre, cell) / radius_cells);
        step_deg.map_or_else(|| plus(z, by_deg), |step_deg| stepped(z, by_deg, step_deg))
    })
}

/// The multiple of the step nearest to a moved value; the value itself where it moves by less than half a step.
fn stepped(z: f64, by_deg: f64, step_deg: f64) -> f64 {
    let (to_deg, (low, high)) = (z + by_deg, ADVANCE_RANGE_DEG);
    if by_deg.abs() < step_deg / 2.0 {
        return z;
    }
    let steps = (to_deg / step_deg).round();
    // A value within the range must not be rounded out of it, even if the range is no multiple of the step.
    let steps = match steps * step_deg {
        near if near > high && to_deg <= high => steps - 1.0,
        near if near < low && to_deg >= low => steps + 1.0,
        _ => steps,
    };
    settle(steps * step_deg)
}

/// The share of a lift around `centre` that a cell gets, 1 at the centre and 0 from `radius_cells` (above 0) on.
pub fn lift_share(centre: Cell, cell: Cell, radius_cells: f64) -> f64 {
    let distance = distance_cells(centre, cell);
    if distance < radius_cells { falloff(distance / radius_cells) } else { 0.0 }
}

/// The raised cosine: 1 at 0, 0 at 1.
fn falloff(share: f64) -> f64 {
    0.5 * (1.0 + (std::f64::consts::PI * share).cos())
}

fn distance_cells(a: Cell, b: Cell) -> f64 {
    #[expect(clippy::cast_precision_loss, reason = "indices are below 64")]
    let [rows, columns] = [a.load.abs_diff(b.load) as f64, a.speed.abs_diff(b.speed) as f64];
    (rows * rows + columns * columns).sqrt()
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::shaping::sample::{advance, all, any_advance, any_selection, block, held, untouched_keep_bits};
    use approx::assert_abs_diff_eq;
    use proptest::prelude::*;

    /// Values of the raised cosine by hand: ½(1 + cos(π/3)) = 0.75, ½(1 + cos(π√2/3)) = 0.54486
    #[test]
    fn falls_off_as_a_raised_cosine() {
        let start = advance(7, 7, |_, _| 20.0);
        let lifted = lift(&start, &all(&start), Cell::new(3, 3), 2.0, 3.0, None).unwrap();
        let at = |load, speed| lifted.advance.table().at(Cell::new(load, speed));
        assert_eq!(at(3, 3), 22.0);
        assert_abs_diff_eq!(at(3, 4), 21.5, epsilon = 1e-12);
        assert_abs_diff_eq!(at(5, 3), 20.5, epsilon = 1e-12);
        assert_abs_diff_eq!(at(2, 2), 21.089_714_6, epsilon = 1e-7);
        assert_eq!(at(6, 3), 20.0);
        assert_eq!(lifted.changed, 25);
    }

    #[test]
    fn with_a_step_results_are_multiples_of_it() {
        // No cell is on the step before: the corner moves by 2 · 0.054, less than half a step, and stays; the
        // others end on a step.
        let start = advance(7, 7, |_, _| 20.3);
        let lifted = lift(&start, &all(&start), Cell::new(3, 3), 2.2, 3.0, Some(0.5)).unwrap();
        let at = |load, speed| lifted.advance.table().at(Cell::new(load, speed));
        assert_eq!([at(3, 3), at(3, 4), at(2, 2), at(5, 3)], [22.5, 22.0, 21.5, 21.0]);
        assert_eq!([at(5, 5), at(6, 3)], [20.3, 20.3]);
        // The highest step within the range: 90 is no multiple of 0.7, and 89.6 is the last.
        let high = advance(3, 3, |_, _| 89.0);
        let lifted = lift(&high, &all(&high), Cell::new(1, 1), 0.9, 1.0, Some(0.7)).unwrap();
        assert_eq!(lifted.advance.table().at(Cell::new(1, 1)), 89.6);
        assert!(lift(&high, &all(&high), Cell::new(1, 1), 0.9, 1.0, Some(0.0)).is_err());
    }

    #[test]
    fn held_and_unselected_cells_stay() {
        let start = held(&advance(5, 5, |_, _| 20.0), &[Cell::new(2, 2)]);
        let right = block(start.table(), 0..5, 2..5);
        let lifted = lift(&start, &right, Cell::new(2, 2), 2.0, 1.5, None).unwrap();
        assert_eq!((lifted.selected, lifted.held, lifted.changed), (6, 1, 5));
        let outside = lift(&start, &block(start.table(), 0..1, 0..1), Cell::new(4, 4), 2.0, 1.5, None).unwrap();
        assert_eq!(outside.changed, 0);
    }

    #[test]
    fn refuses_no_cell_and_no_radius() {
        let start = advance(3, 3, |_, _| 20.0);
        let at = |cell, radius| lift(&start, &all(&start), cell, 1.0, radius, None).unwrap_err();
        assert!(matches!(at(Cell::new(3, 0), 1.0), ShapingError::NoCell { .. }));
        assert!(matches!(at(Cell::new(0, 0), 0.0), ShapingError::Parameter { .. }));
        assert!(matches!(at(Cell::new(0, 0), f64::NAN), ShapingError::Parameter { .. }));
    }

    #[test]
    fn finds_the_nearest_breakpoints() {
        let start = advance(3, 3, |_, _| 20.0);
        assert_eq!(nearest_cell(start.table(), 1.4, 99.0), Cell::new(2, 1));
    }

    proptest! {
        #[test]
        fn lifts_only_free_selected_cells((advance, selection) in any_advance(10).prop_flat_map(any_selection), radius in 0.5..6.0) {
            let lifted = lift(&advance, &selection, Cell::new(1, 1), 3.0, radius, None).unwrap();
            untouched_keep_bits(&advance, &selection, &lifted)?;
        }
    }
}
