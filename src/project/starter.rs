//! The starting table of a new project: gentle enough to start and warm an engine, to be reshaped from there.
//!
//! Shape and figures: common practice, no source. Flat around idle so that idling does not hunt, rising with speed to
//! its full-load value, more advance at part load where the charge burns slowly, less in boost.

use super::{Advance, AdvanceError, LoadKind, Origin};
use crate::table::{Axis, AxisError, Curve, CurveError, Table};

/// Full-load advance over speed.
const FULL_LOAD: [(f64, f64); 6] =
    [(1200.0, 12.0), (2000.0, 18.0), (3000.0, 23.0), (4500.0, 26.0), (6000.0, 28.0), (7000.0, 28.0)];
/// How much of the part-load addition applies over speed. With it the advance climbs by 13° per 1000 rpm at most, so that
/// rounding to half degrees stays below what is steep.
const PART_LOAD_SHARE: [(f64, f64); 2] = [(1200.0, 0.0), (3400.0, 1.0)];
/// Degrees more than at full load, over throttle opening.
const THROTTLE_ADDITION: [(f64, f64); 7] =
    [(0.0, 7.0), (6.0, 8.0), (15.0, 9.0), (25.0, 8.5), (45.0, 5.0), (75.0, 1.0), (100.0, 0.0)];
/// Degrees more than at 100 kPa, over manifold pressure.
const PRESSURE_ADDITION: [(f64, f64); 6] =
    [(20.0, 11.0), (35.0, 12.0), (50.0, 11.0), (75.0, 5.5), (100.0, 0.0), (120.0, -3.0)];

/// Why no starting table could be made.
#[derive(Clone, Debug, PartialEq, thiserror::Error)]
pub(super) enum StarterError {
    #[error(transparent)]
    Axis(#[from] AxisError),
    #[error(transparent)]
    Curve(#[from] CurveError),
    #[error(transparent)]
    Table(#[from] crate::table::TableError),
    #[error(transparent)]
    Advance(#[from] AdvanceError),
}

/// A starting table with `speeds` × `loads` breakpoints, cells in half degrees.
pub(super) fn table(load: LoadKind, speeds: usize, loads: usize) -> Result<Advance, StarterError> {
    let full_load = Curve::from_points(&FULL_LOAD)?;
    let share = Curve::from_points(&PART_LOAD_SHARE)?;
    let addition = Curve::from_points(match load {
        LoadKind::Throttle => &THROTTLE_ADDITION,
        LoadKind::Pressure => &PRESSURE_ADDITION,
    })?;
    let deg = |speed: f64, load: f64| {
        let deg = full_load.lookup(speed) + share.lookup(speed) * addition.lookup(load);
        (deg * 2.0).round() / 2.0
    };
    let table = Table::from_fn(speed_axis(speeds)?, load_axis(load, loads)?, deg)?;
    Ok(Advance::uniform(table, Origin::Starter)?)
}

/// 500 to 7000 rpm, closer together at low speed, at round numbers.
fn speed_axis(count: usize) -> Result<Axis, AxisError> {
    let round_to = if count <= 16 { 100.0 } else { 10.0 };
    spread(count, 500.0, 7000.0, 0.4, round_to)
}

fn load_axis(load: LoadKind, count: usize) -> Result<Axis, AxisError> {
    match load {
        LoadKind::Throttle => {
            spread(count, 0.0, 100.0, if count <= 32 { 0.4 } else { 0.0 }, if count <= 16 { 1.0 } else { 0.1 })
        }
        LoadKind::Pressure => spread(count, 20.0, 120.0, 0.0, if count <= 21 { 5.0 } else { 0.1 }),
    }
}

/// `count` breakpoints from `low` to `high`, the gaps widening as a power of 1 + `bend` (less for many breakpoints, so
/// that the first gap stays above 1 % of the range), rounded.
fn spread(count: usize, low: f64, high: f64, bend: f64, round_to: f64) -> Result<Axis, AxisError> {
    #[expect(clippy::cast_precision_loss, reason = "an axis has at most 64 breakpoints")]
    let (intervals, crowding) = (count.max(2) as f64 - 1.0, (16.0 / count.max(16) as f64));
    let exponent = 1.0 + bend * crowding;
    #[expect(clippy::cast_precision_loss, reason = "an axis has at most 64 breakpoints")]
    let at = |index: usize| low + (high - low) * (index as f64 / intervals).powf(exponent);
    Axis::new((0..count).map(|index| crate::wording::settle((at(index) / round_to).round() * round_to)).collect())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::project::thresholds::CROWDED_PCT;

    #[test]
    fn every_size_has_a_table_without_crowded_breakpoints() {
        for load in [LoadKind::Throttle, LoadKind::Pressure] {
            for size in 2..=64 {
                let advance = table(load, size, size).unwrap();
                assert_eq!(advance.table().speed().crowded(CROWDED_PCT.default / 100.0), None, "{size} speeds");
                assert_eq!(advance.table().load().crowded(CROWDED_PCT.default / 100.0), None, "{size} loads, {load:?}");
            }
        }
    }

    #[test]
    fn is_flat_at_idle_and_falls_with_load() {
        let advance = table(LoadKind::Pressure, 16, 16).unwrap();
        let table = advance.table();
        assert_eq!(table.lookup(600.0, 40.0), 12.0);
        assert_eq!(table.lookup(1200.0, 40.0), 12.0);
        for speed in 0..16 {
            let column: Vec<f64> = table.column(speed).skip(3).collect();
            assert!(column.windows(2).all(|pair| pair[1] <= pair[0]));
        }
    }
}
