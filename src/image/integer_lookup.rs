//! The lookup as computed by a unit without floating point.

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

    fn axis(most: i64) -> impl Strategy<Value = Vec<i64>> {
        proptest::collection::btree_set(-most..most, 2..12).prop_map(|set| set.into_iter().collect())
    }

    fn table() -> impl Strategy<Value = IntegerLookup> {
        let most = 1_i64 << 31;
        (axis(most), axis(most), 1..=24_u32).prop_flat_map(move |(speed, load, bits)| {
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
