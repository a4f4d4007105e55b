//! The range that the tints of a table stand for and the step of its contour lines, rounded outwards, so that grid and
//! surface share them and small edits do not move them.

use super::Levels;
use crate::table::Table;

/// The scale of a table's heights, in degrees.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct HeightScale {
    low: f64,
    high: f64,
    step: f64,
}

impl HeightScale {
    /// The scale for a table: its extremes, rounded outwards to the contour step that suits them.
    pub fn over(table: &Table) -> Self {
        let (low, high) = table.extremes();
        let step = Levels::over(low, high).step;
        Self { low: (low / step).floor() * step, high: (high / step).ceil() * step, step }
    }

    /// The ends of the tints.
    pub fn range(&self) -> (f64, f64) {
        (self.low, self.high)
    }

    /// Where a height lies between the ends, 0 to 1 inside them; a flat range has no share but 0.
    pub fn share(&self, deg: f64) -> f64 {
        (deg - self.low) / (self.high - self.low).max(f64::MIN_POSITIVE)
    }

    /// Distance of the contour lines.
    pub fn step(&self) -> f64 {
        self.step
    }

    /// The levels of this scale that a table reaches; beyond the ends they go on at the same step.
    pub fn levels(&self, table: &Table) -> Levels {
        let (low, high) = table.extremes();
        Levels::with_step(low, high, self.step)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::table::Axis;

    fn table(cells: [f64; 4]) -> Table {
        let axis = |top: f64| Axis::new(vec![0.0, top]).unwrap();
        Table::new(axis(6000.0), axis(100.0), cells.to_vec()).unwrap()
    }

    #[test]
    fn ends_are_multiples_of_the_step_around_the_table() {
        let scale = HeightScale::over(&table([8.3, 12.0, 20.0, 37.1]));
        assert_eq!((scale.range(), scale.step()), ((8.0, 38.0), 2.0));
        assert_eq!((scale.share(8.0), scale.share(23.0), scale.share(38.0)), (0.0, 0.5, 1.0));
        // Moved a little, the ends stay.
        assert_eq!(HeightScale::over(&table([8.3, 12.0, 20.0, 37.9])), scale);
    }

    #[test]
    fn levels_go_on_beyond_the_ends_at_the_same_step() {
        let scale = HeightScale::over(&table([8.3, 12.0, 20.0, 37.1]));
        let levels: Vec<f64> = scale.levels(&table([8.3, 12.0, 20.0, 43.0])).iter().map(|(level, _)| level).collect();
        assert_eq!((levels.first(), levels.last(), levels.len()), (Some(&10.0), Some(&42.0), 17));
    }

    #[test]
    fn a_flat_table_has_one_shade() {
        let scale = HeightScale::over(&table([10.0; 4]));
        assert!(scale.step() > 0.0);
        assert_eq!(scale.share(10.0), 0.0);
    }
}
