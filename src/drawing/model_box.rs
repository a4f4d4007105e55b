//! The box that holds a surface: from axis coordinates and degrees to model space.

use glam::DVec3;

use super::chart::axis::{nice_step, widened};
use crate::table::Table;

/// Height of the box relative to its width: high enough to read the shape, low enough to look over the crest.
const HEIGHT: f64 = 0.45;
/// A surface with less relief than this, in degrees, is not stretched to the full height.
const LEAST_RANGE_DEG: f64 = 10.0;

/// The ranges shown. x = speed and y = load run over 0..=1, z over 0..=[`ModelBox::height`] for the value
/// range.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ModelBox {
    /// Speed at x = 0 and x = 1, rpm.
    pub speed: (f64, f64),
    /// Load at y = 0 and y = 1.
    pub load: (f64, f64),
    /// Degrees at the floor and at the top.
    pub value: (f64, f64),
}

impl ModelBox {
    /// Height of every box in model space.
    pub const HEIGHT: f64 = HEIGHT;
    /// The middle of every box in model space.
    pub const CENTER: DVec3 = DVec3::new(0.5, 0.5, HEIGHT / 2.0);

    /// The box around a table, high enough for a second one as well. Its value range is widened to round
    /// numbers, so that it stays the same while single cells change.
    pub fn around(table: &Table, base: Option<&Table>) -> Self {
        Self::around_with(table, base, None)
    }

    /// The same, high enough for what lies between `others_deg` as well.
    pub fn around_with(table: &Table, base: Option<&Table>, others_deg: Option<(f64, f64)>) -> Self {
        let (mut low, mut high) = table.extremes();
        if let Some((others_low, others_high)) = others_deg {
            (low, high) = (low.min(others_low), high.max(others_high));
        }
        if let Some((base_low, base_high)) = base.map(Table::extremes) {
            (low, high) = (low.min(base_low), high.max(base_high));
        }
        if low >= 0.0 && low < high * 0.6 {
            low = 0.0;
        }
        let middle = f64::midpoint(low, high);
        let half = (high - low).max(LEAST_RANGE_DEG) / 2.0;
        let (low, high) = (low.min(middle - half), high.max(middle + half));
        let value = widened(low, high, nice_step(high - low, 5));
        let (speed, load) = (table.speed(), table.load());
        Self { speed: (speed.first(), speed.last()), load: (load.first(), load.last()), value }
    }

    /// Height of the box in model space.
    pub const fn height(&self) -> f64 {
        HEIGHT
    }

    /// The middle of the box, about which a camera turns.
    pub const fn center(&self) -> DVec3 {
        Self::CENTER
    }

    /// x of a speed in rpm.
    pub fn x(&self, speed_rpm: f64) -> f64 {
        (speed_rpm - self.speed.0) / (self.speed.1 - self.speed.0)
    }

    /// y of a load.
    pub fn y(&self, load: f64) -> f64 {
        (load - self.load.0) / (self.load.1 - self.load.0)
    }

    /// z of a value in degrees.
    pub fn z(&self, value_deg: f64) -> f64 {
        (value_deg - self.value.0) / (self.value.1 - self.value.0) * HEIGHT
    }

    /// The model point of a speed, a load and a value.
    pub fn point(&self, speed_rpm: f64, load: f64, value_deg: f64) -> DVec3 {
        DVec3::new(self.x(speed_rpm), self.y(load), self.z(value_deg))
    }

    /// Height of one degree in model space.
    pub fn height_per_deg(&self) -> f64 {
        HEIGHT / (self.value.1 - self.value.0)
    }

    /// The speed and load over which a model point lies.
    pub fn axis_point(&self, x: f64, y: f64) -> (f64, f64) {
        let along = |(low, high): (f64, f64), t: f64| low + (high - low) * t;
        (along(self.speed, x), along(self.load, y))
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::table::Axis;

    fn table(value: f64) -> Table {
        let speed = Axis::new(vec![500.0, 2000.0, 7500.0]).unwrap();
        Table::from_fn(speed, Axis::new(vec![0.0, 100.0]).unwrap(), |x, _| value + x / 1000.0).unwrap()
    }

    #[test]
    fn corners_of_the_box_are_the_ends_of_the_axes() {
        let model = ModelBox::around(&table(20.0), None);
        assert_eq!(model.point(500.0, 0.0, model.value.0), DVec3::ZERO);
        assert_eq!(model.point(7500.0, 100.0, model.value.1), DVec3::new(1.0, 1.0, model.height()));
        assert_eq!(model.axis_point(0.5, 0.25), (4000.0, 25.0));
    }

    #[test]
    fn the_range_is_round_and_holds_both_tables() {
        let model = ModelBox::around(&table(20.0), Some(&table(31.3)));
        assert_eq!(model.value, (0.0, 40.0));
        assert_eq!(ModelBox::around_with(&table(20.0), None, Some((18.0, 44.0))).value, (0.0, 50.0));
        let flat = ModelBox::around(&table(0.0).with_values(vec![12.0; 6]).unwrap(), None);
        assert!(flat.value.1 - flat.value.0 >= LEAST_RANGE_DEG);
    }
}
