//! The unit's own breakpoints, if it has another number of them than the project.
//!
//! They are spread evenly over the *indices* of the project's axis, keeping the ends: where the project's
//! breakpoints are dense, so are the unit's. A breakpoint between two of the project's is linear between them.
//! If the image holds the axis, the unit's breakpoints are those that it will read there, after rounding: cells
//! are looked up at the very breakpoints between which the unit interpolates.

use super::number::{physical, quantise};
use super::{ImageError, Place, Raw};
use crate::project::{Content, Item, Parts};
use crate::table::{Axis, blend};
use crate::wording::settle;

/// `count` breakpoints, 2 or more, spread over the indices of `axis`; its own breakpoints if it has `count` of them.
pub(super) fn spread(axis: &Axis, count: usize) -> Vec<f64> {
    let breakpoints = axis.breakpoints();
    let (last, steps) = (breakpoints.len() - 1, count.saturating_sub(1).max(1));
    let place = |step: usize| {
        let (below, rest) = (step * last / steps, step * last % steps);
        if rest == 0 {
            return breakpoints[below];
        }
        #[expect(clippy::cast_precision_loss, reason = "at most 64 steps")]
        let fraction = rest as f64 / steps as f64;
        settle(blend(breakpoints[below], breakpoints[below + 1], fraction))
    };
    (0..count).map(place).collect()
}

/// How many numbers an item has along the axis that `axis` holds.
pub(super) fn points_along(project: &Parts, item: &Item, axis: Content) -> usize {
    let size = project.content_size(item);
    if axis == Content::AdvanceLoads { size.loads } else { size.speeds }
}

/// Of several items with the same content, the one that counts: the first of the project's size, or else the
/// first.
pub(super) fn leading_item(project: &Parts, content: Content) -> Option<&Item> {
    let mut items = project.image.items.iter().filter(|item| item.content == content);
    let own_size = |item: &&Item| {
        let unsized_item = Item { speeds: None, loads: None, ..(*item).clone() };
        project.content_size(item) == project.content_size(&unsized_item)
    };
    items.clone().find(own_size).or_else(|| items.next())
}

/// The item that holds the axis of another one: the first of that content with as many breakpoints. `None` if
/// the image holds no such axis at all, as for a unit with fixed breakpoints.
///
/// # Errors
/// [`ImageError::SizesDiffer`] if the image holds such axes, but none with as many breakpoints.
pub(super) fn axis_item<'a>(project: &'a Parts, item: &Item, axis: Content) -> Result<Option<&'a Item>, ImageError> {
    let points = points_along(project, item, axis);
    let mut candidates = project.image.items.iter().filter(|other| other.content == axis).peekable();
    let Some(&first) = candidates.peek() else {
        return Ok(None);
    };
    let fitting = candidates.find(|other| points_along(project, other, axis) == points);
    fitting.map(Some).ok_or_else(|| ImageError::SizesDiffer {
        item: item.name.clone(),
        points,
        of: of(axis),
        axis_item: first.name.clone(),
        axis_points: points_along(project, first, axis),
    })
}

const fn of(axis: Content) -> &'static str {
    match axis {
        Content::AdvanceSpeeds => "speeds",
        Content::DwellVoltages => "voltages",
        Content::CoolantTrimTemperatures | Content::AirTrimTemperatures => "temperatures",
        Content::FullLoadSpeeds => "speeds",
        _ => "loads",
    }
}

/// The axis of an item's values in the unit. It is the project's if both have as many breakpoints.
///
/// # Errors
/// [`ImageError`] if the sizes differ, or if rounded breakpoints do not make an axis.
pub(super) fn unit_axis(project: &Parts, item: &Item, content: Content, own: &Axis) -> Result<Axis, ImageError> {
    let held_by = axis_item(project, item, content)?;
    let points = points_along(project, item, content);
    if points == own.len() {
        return Ok(own.clone());
    }
    let spread = spread(own, points);
    let breakpoints = held_by.map_or_else(|| Ok(spread.clone()), |axis| as_read(axis, &spread))?;
    Axis::new(breakpoints).map_err(|error| ImageError::UnitAxis { item: item.name.clone(), points, error })
}

/// Breakpoints as the unit reads them, if an item holds them.
fn as_read(axis: &Item, breakpoints: &[f64]) -> Result<Vec<f64>, ImageError> {
    let refused = |index, value, raw| ImageError::out_of_range(axis, Place::Breakpoint { index }, value, raw);
    let raw = |(index, &x): (usize, &f64)| quantise(x, axis).map_err(|raw| refused(index, x, raw));
    let raws = breakpoints.iter().enumerate().map(raw).collect::<Result<Vec<Raw>, _>>()?;
    check_apart(axis, breakpoints, &raws)?;
    Ok(raws.into_iter().map(|raw| physical(raw, axis)).collect())
}

/// Refuses breakpoints of an axis item that become the same number.
///
/// # Errors
/// [`ImageError::BreakpointsMeet`] naming both.
pub(super) fn check_apart(item: &Item, breakpoints: &[f64], raws: &[Raw]) -> Result<(), ImageError> {
    let Some(at) = raws.windows(2).position(|pair| pair[0] == pair[1]) else {
        return Ok(());
    };
    let (lower, upper, raw) = (breakpoints[at], breakpoints[at + 1], raws[at]);
    Err(ImageError::BreakpointsMeet { item: item.name.clone(), lower, upper, raw })
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn axis() -> Axis {
        Axis::new(vec![800.0, 1500.0, 2500.0, 4000.0, 7000.0]).unwrap()
    }

    #[test]
    fn breakpoints_are_picked_or_put_between() {
        assert_eq!(spread(&axis(), 5), axis().breakpoints());
        assert_eq!(spread(&axis(), 3), [800.0, 2500.0, 7000.0]);
        assert_eq!(spread(&axis(), 2), [800.0, 7000.0]);
        assert_eq!(spread(&axis(), 9), [800.0, 1150.0, 1500.0, 2000.0, 2500.0, 3250.0, 4000.0, 5500.0, 7000.0]);
        // Indices 0, 4/3, 8/3 and 4: 1500 + 1000/3 and 2500 + 1500·2/3.
        assert_eq!(spread(&axis(), 4), [800.0, 5500.0 / 3.0, 3500.0, 7000.0].map(settle));
    }

    proptest! {
        #[test]
        fn ends_stay_and_breakpoints_increase(gaps in proptest::collection::vec(40.0..500.0, 1..63), count in 2..=64_usize) {
            let mut x = 500.0;
            let list = std::iter::once(x).chain(gaps.into_iter().map(|gap| { x += gap; x })).collect::<Vec<f64>>();
            let axis = Axis::new(list).unwrap();
            let spread = spread(&axis, count);
            prop_assert_eq!((spread[0], spread[count - 1]), (axis.first(), axis.last()));
            prop_assert!(spread.windows(2).all(|pair| pair[0] < pair[1]));
        }
    }
}
