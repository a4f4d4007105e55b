//! Bilinear lookup, one point or many.

use super::{Axis, Position, Table};

/// Between `low` (fraction 0) and `high` (fraction 1); exact at both ends and never outside them.
///
/// Measured from the nearer end: this keeps the result exact at either end, constant between equal ends, and within
/// them in spite of rounding.
#[inline]
pub fn blend(low: f64, high: f64, fraction: f64) -> f64 {
    let rise = high - low;
    let from_low = low + fraction * rise;
    let from_high = high - (1.0 - fraction) * rise;
    if fraction < 0.5 { from_low } else { from_high }
}

/// A table prepared for many lookups: finding the cell takes a constant time instead of a search.
#[derive(Clone, Debug)]
pub struct Lookup<'a> {
    table: &'a Table,
    speed: Finder<'a>,
    load: Finder<'a>,
}

impl<'a> Lookup<'a> {
    /// Prepares a table.
    pub fn new(table: &'a Table) -> Self {
        Self { table, speed: Finder::new(table.speed()), load: Finder::new(table.load()) }
    }

    /// The same value, to the bit, as [`Table::lookup`].
    #[inline]
    pub fn at(&self, speed: f64, load: f64) -> f64 {
        Self::interpolate(self.table, self.speed.locate(speed), self.load.locate(load))
    }

    /// Looks up `speed[i], load[i]` into `out[i]`, as far as the shortest of the three goes.
    pub fn fill(&self, speed: &[f64], load: &[f64], out: &mut [f64]) {
        for ((z, &x), &y) in out.iter_mut().zip(speed).zip(load) {
            *z = self.at(x, y);
        }
    }

    #[inline]
    pub(super) fn interpolate(table: &Table, speed: Position, load: Position) -> f64 {
        let columns = table.speed().len();
        let corner = load.index * columns + speed.index;
        let z = table.values();
        let lower = blend(z[corner], z[corner + 1], speed.fraction);
        let upper = blend(z[corner + columns], z[corner + columns + 1], speed.fraction);
        blend(lower, upper, load.fraction)
    }
}

/// Equal slots over an axis, each remembering the breakpoint below its start; from there it is a step or two.
#[derive(Clone, Debug)]
struct Finder<'a> {
    axis: &'a Axis,
    slots_per_unit: f64,
    below: Box<[u8; SLOTS]>,
}

/// Enough that a slot of a sensible axis rarely holds more than one breakpoint; fits the first cache.
const SLOTS: usize = 256;

impl<'a> Finder<'a> {
    fn new(axis: &'a Axis) -> Self {
        let mut below = Box::new([0; SLOTS]);
        for (slot, index) in below.iter_mut().enumerate() {
            #[expect(clippy::cast_precision_loss, reason = "slot numbers are small")]
            let start = axis.first() + axis.span() * (slot as f64 / SLOTS as f64);
            *index = u8::try_from(axis.locate(start).index).unwrap_or(0);
        }
        #[expect(clippy::cast_precision_loss, reason = "256 is exact")]
        let slots_per_unit = SLOTS as f64 / axis.span();
        Self { axis, slots_per_unit, below }
    }

    #[inline]
    fn locate(&self, x: f64) -> Position {
        let breakpoints = self.axis.breakpoints();
        let x = x.clamp(self.axis.first(), self.axis.last());
        #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "saturates, and is then capped")]
        let slot = ((x - self.axis.first()) * self.slots_per_unit) as usize;
        let mut index = usize::from(self.below[slot.min(SLOTS - 1)]);
        while index > 0 && x < breakpoints[index] {
            index -= 1;
        }
        while index + 2 < breakpoints.len() && x >= breakpoints[index + 1] {
            index += 1;
        }
        Position { index, fraction: self.axis.fraction(index, x) }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_abs_diff_eq;
    use proptest::prelude::*;

    /// The worked table of the outside reference: SciPy's `RegularGridInterpolator`, method linear.
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

    /// Bound of linear interpolation h²/8·max|f″| (any numerical analysis text), met by sin on [0, π/2] with h = π/8.
    #[test]
    fn error_stays_within_the_published_bound() {
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
