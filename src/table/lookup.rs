//! Bilinear lookup, one point or many.

use super::{Axis, MAX_BREAKPOINTS, Table};

/// Between `low` (fraction 0) and `high` (fraction 1); exact at both ends and never outside them.
///
/// Measuring from the nearer end keeps the result exact at either end, constant between equal ends, and between
/// them in spite of rounding.
///
/// Both results are computed and one is selected with a bit mask: with random fractions a branch would be
/// mispredicted half of the time, which takes longer than all the rest.
#[inline]
pub fn blend(low: f64, high: f64, fraction: f64) -> f64 {
    let rise = high - low;
    let from_low = low + fraction * rise;
    let from_high = high - (1.0 - fraction) * rise;
    let is_near_low = u64::from(fraction < 0.5).wrapping_neg();
    f64::from_bits((from_low.to_bits() & is_near_low) | (from_high.to_bits() & !is_near_low))
}

/// One half of an interval between two breakpoints, and how far a coordinate lies from the breakpoint at its
/// outer end.
///
/// Measured from the nearer breakpoint, a value is exact at both ends of an interval, constant between equal
/// ends and never outside them in spite of rounding, as with [`blend`], but without choosing between two
/// results for every value.
#[derive(Clone, Copy, Debug, PartialEq)]
struct Near {
    /// Twice the interval's index, plus one in the upper half of the interval.
    half: usize,
    /// Distance from the nearer breakpoint as a share of the interval: 0 to 0.5 in the lower half, -0.5 to 0 in
    /// the upper.
    share: f64,
}

impl Near {
    /// Finds it by binary search.
    fn new(axis: &Axis, x: f64) -> Self {
        let half = half_of(axis, x);
        let (nearer, width) = measure(axis.breakpoints(), half);
        Self { half, share: (x.clamp(axis.first(), axis.last()) - nearer) / width }
    }
}

/// The half interval that `x` lies in, clamped to the axis.
///
/// Kept out of line: inlined into the loop over many points it would take registers that every point needs.
#[inline(never)]
fn half_of(axis: &Axis, x: f64) -> usize {
    let index = axis.locate(x).index;
    2 * index + usize::from(x >= middle(axis.breakpoints(), index))
}

/// Where the upper half of an interval begins.
fn middle(breakpoints: &[f64], index: usize) -> f64 {
    0.5 * (breakpoints[index] + breakpoints[index + 1])
}

/// The breakpoint at the end of a half interval and the width of the whole interval.
fn measure(breakpoints: &[f64], half: usize) -> (f64, f64) {
    let index = half / 2;
    (breakpoints[half.div_ceil(2)], breakpoints[index + 1] - breakpoints[index])
}

/// What a half interval along speed needs of two neighbouring rows: the values at the nearer speed in the lower and
/// the upper row, then what each rises over the whole interval.
type Pair = [f64; 4];

fn pair(lower: &[f64], upper: &[f64], half: usize) -> Pair {
    let (nearer, index) = (half.div_ceil(2), half / 2);
    [lower[nearer], upper[nearer], lower[index + 1] - lower[index], upper[index + 1] - upper[index]]
}

/// Linear along speed in the lower and the upper row, then linear along load.
#[inline]
fn bilinear(pair: &Pair, along_speed: f64, load: Near) -> f64 {
    let along = |row: usize| pair[row] + along_speed * pair[row + 2];
    // The nearer row is chosen by index: with random loads a branch would be mispredicted half of the time.
    along(load.half & 1) + load.share * (along(1) - along(0))
}

/// A table prepared for many lookups: finding the cell takes constant time instead of a search, and the values
/// that a lookup needs lie next to each other in memory.
#[derive(Clone, Debug)]
pub struct Lookup {
    speed: Finder,
    load: Finder,
    /// For every two neighbouring rows, from the lowest up: one entry per half interval along speed.
    pairs: Vec<Pair>,
    halves_per_row: usize,
}

impl Lookup {
    /// Prepares a table.
    pub fn new(table: &Table) -> Self {
        let halves_per_row = 2 * (table.speed().len() - 1);
        let pairs = (1..table.load().len()).flat_map(|load| {
            let (lower, upper) = (table.row(load - 1), table.row(load));
            (0..halves_per_row).map(move |half| pair(lower, upper, half))
        });
        let (speed, load) = (Finder::new(table.speed()), Finder::new(table.load()));
        Self { speed, load, pairs: pairs.collect(), halves_per_row }
    }

    /// The same value, to the bit, as [`Table::lookup`].
    #[inline(always)]
    pub fn at(&self, speed: f64, load: f64) -> f64 {
        let (speed, load) = (self.speed.locate(speed), self.load.locate(load));
        bilinear(&self.pairs[load.half / 2 * self.halves_per_row + speed.half], speed.share, load)
    }

    /// Looks up `speed[i], load[i]` into `out[i]`, as far as the shortest of the three goes.
    pub fn fill(&self, speed: &[f64], load: &[f64], out: &mut [f64]) {
        for ((z, &x), &y) in out.iter_mut().zip(speed).zip(load) {
            *z = self.at(x, y);
        }
    }

    /// The same for a single point, without preparing the table.
    pub(super) fn once(table: &Table, speed: f64, load: f64) -> f64 {
        let (speed, load) = (Near::new(table.speed(), speed), Near::new(table.load(), load));
        let row = load.half / 2;
        bilinear(&pair(table.row(row), table.row(row + 1), speed.half), speed.share, load)
    }
}

/// An axis cut into equal slots. Most slots lie within one half interval or contain one boundary between two,
/// so that one comparison tells which it is.
#[derive(Clone, Debug)]
struct Finder {
    axis: Axis,
    first: f64,
    last: f64,
    slots_per_unit: f64,
    slots: Box<[Slot; SLOT_MASK + 1]>,
    /// The nearer breakpoint and the width of the whole interval, one per half interval.
    halves: Box<[(f64, f64); 2 * MAX_BREAKPOINTS]>,
}

#[derive(Clone, Copy, Debug)]
struct Slot {
    /// From this coordinate on it is the next half interval.
    next_from: f64,
    /// The half interval that the slot begins in.
    half: u32,
    /// Whether the slot contains more than one boundary, so that only a search tells.
    is_crowded: bool,
}

/// Enough that a slot of a sensible axis rarely is crowded; the slots fit into the first-level cache.
const SLOTS: f64 = 256.0;
/// Keeps any slot number within the list, even that of NaN.
const SLOT_MASK: usize = 511;
/// Adding this to a number below 2³¹ leaves its nearest whole number in the lowest bits.
const ROUNDER: f64 = 4_503_599_627_370_496.0;

impl Finder {
    fn new(axis: &Axis) -> Self {
        let breakpoints = axis.breakpoints();
        let start = |half: usize| {
            if half.is_multiple_of(2) { breakpoints[half / 2] } else { middle(breakpoints, half / 2) }
        };
        let mut slots = Box::new([Slot { next_from: f64::INFINITY, half: 0, is_crowded: false }; SLOT_MASK + 1]);
        let mut centre = 0.0;
        for slot in slots.iter_mut() {
            // A little more than half a slot to either side, so that rounding cannot move a coordinate into a
            // slot that does not know its half interval.
            let bound = |offset: f64| half_of(axis, axis.first() + axis.span() * ((centre + offset) / SLOTS));
            let (from, to) = (bound(-0.51), bound(0.51));
            let next_from = if to > from { start(from + 1) } else { f64::INFINITY };
            *slot = Slot { next_from, half: u32::try_from(from).unwrap_or(0), is_crowded: to > from + 1 };
            centre += 1.0;
        }
        let mut halves = Box::new([(0.0, 1.0); 2 * MAX_BREAKPOINTS]);
        for (half, place) in halves.iter_mut().enumerate().take(2 * (breakpoints.len() - 1)) {
            *place = measure(breakpoints, half);
        }
        let (first, last) = (axis.first(), axis.last());
        Self { axis: axis.clone(), first, last, slots_per_unit: SLOTS / axis.span(), slots, halves }
    }

    #[inline(always)]
    fn locate(&self, x: f64) -> Near {
        // Like `f64::clamp`, which would also check the order of its bounds for every point.
        let x = if x < self.first { self.first } else { x };
        let x = if x > self.last { self.last } else { x };
        #[expect(clippy::cast_possible_truncation, reason = "only the lowest bits count")]
        let number = ((x - self.first) * self.slots_per_unit + ROUNDER).to_bits() as usize;
        let slot = self.slots[number & SLOT_MASK];
        let half = if slot.is_crowded {
            half_of(&self.axis, x)
        } else {
            slot.half as usize + usize::from(x >= slot.next_from)
        };
        let half = half % (2 * MAX_BREAKPOINTS);
        let (nearer, width) = self.halves[half];
        Near { half, share: (x - nearer) / width }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_abs_diff_eq;
    use proptest::prelude::*;

    /// Test table whose expected values were computed with SciPy's `RegularGridInterpolator`, method linear.
    fn reference() -> Table {
        let speed = Axis::new(vec![800.0, 1500.0, 2500.0, 4000.0]).unwrap();
        let load = Axis::new(vec![30.0, 60.0, 100.0]).unwrap();
        let rows = [[22.0, 30.0, 36.0, 40.0], [18.0, 25.0, 31.0, 34.0], [10.0, 16.0, 22.0, 27.0]];
        Table::new(speed, load, rows.concat()).unwrap()
    }

    #[test]
    fn agrees_with_scipy() {
        let table = reference();
        assert_abs_diff_eq!(table.lookup(2000.0, 80.0), 23.5, epsilon = 1e-9);
        assert_abs_diff_eq!(table.lookup(1000.0, 45.0), 22.142_857_143, epsilon = 1e-9);
        assert_abs_diff_eq!(table.lookup(3250.0, 97.0), 25.1, epsilon = 1e-9);
    }

    #[test]
    fn clamps_outside_the_axes() {
        let table = reference();
        assert_eq!(table.lookup(0.0, 0.0), 22.0);
        assert_eq!(table.lookup(1e9, 1e9), 27.0);
    }

    /// Bound of linear interpolation h²/8·max|f″| (C. de Boor, "A Practical Guide to Splines", Springer, 1978,
    /// chapter III, from memory), met by sin on [0, π/2] with h = π/8.
    #[test]
    fn error_stays_within_the_bound_of_linear_interpolation() {
        let quarter = std::f64::consts::FRAC_PI_2;
        let speed = Axis::new((0..5).map(|i| quarter * f64::from(i) / 4.0).collect()).unwrap();
        let load = Axis::new(vec![0.0, 1.0]).unwrap();
        let table = Table::from_fn(speed, load, |x, _| x.sin()).unwrap();
        let worst =
            (0..=40_000).map(|i| quarter * f64::from(i) / 40_000.0).map(|x| (x.sin() - table.lookup(x, 0.5)).abs());
        let worst = worst.fold(0.0, f64::max);
        assert_abs_diff_eq!(worst, 0.018_846_3, epsilon = 1e-7);
        assert!(worst < 0.019_276_6);
    }

    fn any_axis() -> impl Strategy<Value = Axis> {
        (-500.0..500.0, proptest::collection::vec(1.0..50.0, 1..64)).prop_filter_map("crowded", |(start, gaps)| {
            let mut x: f64 = start;
            let tail = gaps
                .into_iter()
                .map(|gap: f64| {
                    x += gap;
                    x
                })
                .collect::<Vec<_>>();
            Axis::new(std::iter::once(start).chain(tail).collect()).ok()
        })
    }

    fn any_table() -> impl Strategy<Value = Table> {
        (any_axis(), any_axis()).prop_flat_map(|(speed, load)| {
            proptest::collection::vec(-60.0..90.0, speed.len() * load.len())
                .prop_map(move |values| Table::new(speed.clone(), load.clone(), values).unwrap())
        })
    }

    proptest! {
        #[test]
        fn stays_within_its_corners(table in any_table(), x in -700.0..4000.0, y in -700.0..4000.0) {
            let (i, j) = (table.speed().locate(x).index, table.load().locate(y).index);
            let corners = [(j, i), (j, i + 1), (j + 1, i), (j + 1, i + 1)].map(|(load, speed)| table.row(load)[speed]);
            let (low, high) = corners.iter().fold((f64::MAX, f64::MIN), |(l, h), &z| (l.min(z), h.max(z)));
            let z = table.lookup(x, y);
            prop_assert!(low <= z && z <= high);
        }

        #[test]
        fn is_the_cell_at_its_breakpoints(table in any_table()) {
            let prepared = Lookup::new(&table);
            for cell in table.cells() {
                let (x, y) = (table.speed().breakpoints()[cell.speed], table.load().breakpoints()[cell.load]);
                prop_assert_eq!(table.lookup(x, y).to_bits(), table.at(cell).to_bits());
                prop_assert_eq!(prepared.at(x, y).to_bits(), table.at(cell).to_bits());
            }
        }

        #[test]
        fn prepared_and_plain_agree_to_the_bit(table in any_table(), x in -700.0..4000.0, y in -700.0..4000.0) {
            prop_assert_eq!(Lookup::new(&table).at(x, y).to_bits(), table.lookup(x, y).to_bits());
        }
    }
}
