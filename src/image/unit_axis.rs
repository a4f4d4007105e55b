//! The unit's own breakpoints, if it has another number of them than the project.
//!
//! They are spread evenly over the *indices* of the project's axis, keeping the ends: where the project's
//! breakpoints are dense, so are the unit's. A breakpoint between two of the project's is linear between them.
//! If the image holds the axis, the unit's breakpoints are those that it will read there, after rounding: cells
//! are looked up at the very breakpoints between which the unit interpolates, as a unit without floating point
//! computes it.

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

/// Binary digits of the fraction between two breakpoints, unless specified otherwise.
pub const FRACTION_BITS: u32 = 8;
/// More would overflow 64 bits with 32-bit counts.
const MOST_FRACTION_BITS: u32 = 24;

/// A table in counts with integer bilinear interpolation.
///
/// With f fraction bits, between breakpoints x0 and x1: t = ⌊((x − x0) << f) / (x1 − x0)⌋ and
/// z = z0 + (((z1 − z0) · t) >> f) with an arithmetic shift, in 64 bits; along speed in both rows first, then along load.
/// Counts outside the axes are clamped to them. Every step rounds down.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct IntegerLookup {
    speed: Vec<i64>,
    load: Vec<i64>,
    cells: Vec<i64>,
    fraction_bits: u32,
}

impl IntegerLookup {
    /// A table of counts, row by row, over axes in counts, either strictly increasing or, for a negative scale,
    /// strictly decreasing. `None` if the axes are neither, have fewer than two breakpoints, or do not fit the
    /// cells.
    pub(super) fn new(mut speed: Vec<i64>, mut load: Vec<i64>, mut cells: Vec<i64>) -> Option<Self> {
        if speed.len() < 2 || load.len() < 2 || cells.len() != speed.len() * load.len() {
            return None;
        }
        if speed[0] > speed[1] {
            cells.chunks_mut(speed.len()).for_each(<[i64]>::reverse);
            speed.reverse();
        }
        if load[0] > load[1] {
            cells = cells.chunks(speed.len()).rev().flatten().copied().collect();
            load.reverse();
        }
        let increasing = |axis: &[i64]| axis.windows(2).all(|pair| pair[0] < pair[1]);
        let valid = increasing(&speed) && increasing(&load);
        valid.then_some(Self { speed, load, cells, fraction_bits: FRACTION_BITS })
    }

    /// The same with another number of fraction bits; `None` beyond 1 to 24.
    pub fn with_fraction_bits(&self, fraction_bits: u32) -> Option<Self> {
        (1..=MOST_FRACTION_BITS).contains(&fraction_bits).then(|| Self { fraction_bits, ..self.clone() })
    }

    /// Binary digits of the fraction between two breakpoints.
    pub const fn fraction_bits(&self) -> u32 {
        self.fraction_bits
    }

    /// The breakpoints of the speed axis in counts, ascending.
    pub fn speed(&self) -> &[i64] {
        &self.speed
    }

    /// The breakpoints of the load axis in counts, ascending.
    pub fn load(&self) -> &[i64] {
        &self.load
    }

    /// The count at a speed and a load in counts.
    pub fn at(&self, speed: i64, load: i64) -> i64 {
        let (column, along_speed) = self.locate(&self.speed, speed);
        let (row, along_load) = self.locate(&self.load, load);
        let corner = row * self.speed.len() + column;
        let between = |low: usize| self.between(self.cells[low], self.cells[low + 1], along_speed);
        self.between(between(corner), between(corner + self.speed.len()), along_load)
    }

    fn locate(&self, axis: &[i64], x: i64) -> (usize, i64) {
        let x = x.clamp(axis[0], axis[axis.len() - 1]);
        let below = axis.partition_point(|&breakpoint| breakpoint <= x).saturating_sub(1).min(axis.len() - 2);
        let (low, high) = (axis[below], axis[below + 1]);
        (below, ((x - low) << self.fraction_bits) / (high - low))
    }

    const fn between(&self, low: i64, high: i64, t: i64) -> i64 {
        low + (((high - low) * t) >> self.fraction_bits)
    }
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

    /// Worked by hand: x = 30 of 0..90 gives t = ⌊30·256/90⌋ = 85; rows 0 + (100·85 >> 8) = 33 and
    /// 10 + (−61·85 >> 8) = 10 + ⌊−20.25⌋ = −11; y = 1 of 0..3 gives t = 85; 33 + (−44·85 >> 8) = 33 + ⌊−14.6⌋ = 18.
    #[test]
    fn meets_a_case_worked_by_hand() {
        let lookup = IntegerLookup::new(vec![0, 90], vec![0, 3], vec![0, 100, 10, -51]).unwrap();
        assert_eq!(lookup.at(30, 0), 33);
        assert_eq!(lookup.at(30, 3), -11);
        assert_eq!(lookup.at(30, 1), 18);
        assert_eq!((lookup.at(-5, -5), lookup.at(500, 500)), (0, -51));
    }

    #[test]
    fn falling_counts_of_a_negative_scale_are_turned_round() {
        let rising = IntegerLookup::new(vec![0, 10, 30], vec![5, 9], vec![1, 2, 3, 4, 5, 6]).unwrap();
        let falling = IntegerLookup::new(vec![30, 10, 0], vec![9, 5], vec![6, 5, 4, 3, 2, 1]).unwrap();
        assert_eq!(rising, falling);
        assert!(IntegerLookup::new(vec![0, 10, 10], vec![5, 9], vec![0; 6]).is_none());
        assert!(IntegerLookup::new(vec![0, 10], vec![5, 9], vec![0; 6]).is_none());
        assert!(rising.with_fraction_bits(0).is_none() && rising.with_fraction_bits(25).is_none());
    }

    fn any_axis(most: i64) -> impl Strategy<Value = Vec<i64>> {
        proptest::collection::btree_set(-most..most, 2..12).prop_map(|set| set.into_iter().collect())
    }

    fn table() -> impl Strategy<Value = IntegerLookup> {
        let most = 1_i64 << 31;
        (any_axis(most), any_axis(most), 1..=24_u32).prop_flat_map(move |(speed, load, bits)| {
            proptest::collection::vec(-most..most, speed.len() * load.len()).prop_map(move |cells| {
                IntegerLookup::new(speed.clone(), load.clone(), cells).unwrap().with_fraction_bits(bits).unwrap()
            })
        })
    }

    proptest! {
        #[test]
        fn breakpoints_give_cells_and_nothing_leaves_the_corners(lookup in table(), x: i32, y: i32) {
            for (row, &load) in lookup.load.iter().enumerate() {
                for (column, &speed) in lookup.speed.iter().enumerate() {
                    prop_assert_eq!(lookup.at(speed, load), lookup.cells[row * lookup.speed.len() + column]);
                }
            }
            let z = lookup.at(x.into(), y.into());
            prop_assert!(lookup.cells.iter().min().unwrap() <= &z && &z <= lookup.cells.iter().max().unwrap());
        }
    }
}
