//! Breakpoints proposed for an axis of another length.

use crate::table::{Axis, AxisError, blend};
use crate::wording::settle;

/// Steps that proposals are rounded to, in axis units, the coarsest first.
const ROUND_STEPS: [f64; 9] = [500.0, 100.0, 50.0, 10.0, 5.0, 1.0, 0.5, 0.1, 0.05];
/// Rounding moves no breakpoint by more than this share of the closest gap.
const ROUNDING_SHARE: f64 = 0.1;

/// Proposes `count` breakpoints between the ends of an axis, dense where the axis is dense: breakpoint `i` lies
/// `i·(n − 1)/(count − 1)` intervals along the present `n` breakpoints. The inner ones are rounded as far as
/// their gaps allow. The present count gives the present axis.
///
/// # Errors
/// [`AxisError`] when the count is out of range or the breakpoints would crowd each other.
pub fn resized(axis: &Axis, count: usize) -> Result<Axis, AxisError> {
    if count == axis.len() {
        return Ok(axis.clone());
    }
    let even = Axis::new((0..count).map(|place| along(axis, place, count)).collect())?;
    let rounded = ROUND_STEPS.iter().find_map(|&step| rounded(&even, step));
    Ok(rounded.unwrap_or(even))
}

fn along(axis: &Axis, place: usize, count: usize) -> f64 {
    let (steps, most) = (place * (axis.len() - 1), count.saturating_sub(1).max(1));
    let low = (steps / most).min(axis.len() - 2);
    #[expect(clippy::cast_precision_loss, reason = "below 64 · 64")]
    let fraction = (steps - low * most) as f64 / most as f64;
    blend(axis.breakpoints()[low], axis.breakpoints()[low + 1], fraction)
}

fn rounded(axis: &Axis, step: f64) -> Option<Axis> {
    let points = axis.breakpoints();
    let closest = points.windows(2).map(|pair| pair[1] - pair[0]).fold(f64::INFINITY, f64::min);
    let last = points.len() - 1;
    let round =
        |(place, &x): (usize, &f64)| if place == 0 || place == last { x } else { settle((x / step).round() * step) };
    let moved: Vec<f64> = points.iter().enumerate().map(round).collect();
    let near = moved.iter().zip(points).all(|(new, old)| (new - old).abs() <= ROUNDING_SHARE * closest);
    if near { Axis::new(moved).ok() } else { None }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::shaping::sample::any_axis;
    use proptest::prelude::*;

    fn axis(list: &[f64]) -> Axis {
        Axis::new(list.to_vec()).unwrap()
    }

    #[test]
    fn stays_dense_where_it_was_dense_and_round() {
        let speeds = axis(&[500.0, 750.0, 1000.0, 1500.0, 2500.0, 4000.0, 7000.0]);
        assert_eq!(resized(&speeds, 4).unwrap(), axis(&[500.0, 1000.0, 2500.0, 7000.0]));
        assert_eq!(resized(&speeds, 5).unwrap(), axis(&[500.0, 900.0, 1500.0, 3250.0, 7000.0]));
        assert_eq!(resized(&axis(&[0.0, 50.0, 100.0]), 5).unwrap(), axis(&[0.0, 25.0, 50.0, 75.0, 100.0]));
        assert_eq!(resized(&speeds, 7).unwrap(), speeds);
    }

    #[test]
    fn refuses_counts_that_make_no_axis() {
        for count in [0, 1, 65] {
            assert_eq!(resized(&axis(&[0.0, 1.0]), count), Err(AxisError::Count { count }));
        }
    }

    proptest! {
        #[test]
        fn has_the_count_and_the_ends(old in any_axis(40), count in 2..=64_usize) {
            let Ok(new) = resized(&old, count) else { return Ok(()) };
            prop_assert_eq!(new.len(), count);
            prop_assert_eq!((new.first(), new.last()), (old.first(), old.last()));
        }
    }
}
