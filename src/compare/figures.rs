//! The difference of two tables in a few numbers.

use super::Delta;
use super::delta::is_change;
use crate::wording::{Unit, change, change_size, quantity, rounded, with_unit, written};

/// A delta of at most this, in either direction, counts as alike in [`Figures::share_within_half_degree`].
pub const WITHIN_DEG: f64 = 0.5;

/// Must be shown next to the figures wherever they appear.
pub const UNWEIGHTED_NOTE: &str =
    "Every breakpoint counts the same, so the figures lean towards where breakpoints stand close together.";

/// A delta and where it is.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Extreme {
    /// The delta in degrees, edited − base.
    pub deg: f64,
    /// At which speed.
    pub speed_rpm: f64,
    /// At which load, in the load unit.
    pub load: f64,
}

/// Figures over all points of a delta, each point weighted equally. Of equal extremes, the one at the lowest
/// load, then at the lowest speed, is given.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Figures {
    /// How many points were compared.
    pub points: usize,
    /// How many of them are changed.
    pub changed: usize,
    /// The mean delta.
    pub mean_deg: f64,
    /// The root mean square of the delta.
    pub rms_deg: f64,
    /// The largest positive delta; `None` when no point rises.
    pub largest_rise: Option<Extreme>,
    /// The largest negative delta; `None` when no point falls.
    pub largest_fall: Option<Extreme>,
    /// The share, 0 to 1, of points within ±0.5°.
    pub share_within_half_degree: f64,
}

impl Figures {
    /// The figures of a delta.
    pub fn of(delta: &Delta) -> Self {
        let deg = delta.deg();
        let points = deg.len();
        let mean = |sum: f64| sum / count(points);
        Self {
            points,
            changed: deg.iter().filter(|deg| is_change(**deg)).count(),
            mean_deg: mean(deg.iter().sum()),
            rms_deg: mean(deg.iter().map(|deg| deg * deg).sum()).sqrt(),
            largest_rise: largest(delta, 1.0),
            largest_fall: largest(delta, -1.0),
            share_within_half_degree: mean(count(deg.iter().filter(|deg| deg.abs() <= WITHIN_DEG).count())),
        }
    }

    /// Everything but the places, on one line, degrees to `decimals`.
    pub fn words(&self, decimals: usize) -> String {
        format!(
            "{} of {} points changed · mean {} · RMS {} · {} within ±{}",
            self.changed,
            self.points,
            with_unit(&change(self.mean_deg, decimals), Unit::Degree),
            with_unit(&change_size(self.rms_deg, decimals), Unit::Degree),
            with_unit(&percent(self.share_within_half_degree), Unit::Percent),
            quantity(WITHIN_DEG, Unit::Degree),
        )
    }
}

/// A share in whole per cent; anything short of everything is at most 99, anything above nothing at least 1.
fn percent(share: f64) -> String {
    let near = rounded(share * 100.0, 0);
    let whole = if share < 1.0 { near.min(99.0) } else { near };
    written(if share > 0.0 { whole.max(1.0) } else { whole })
}

/// The largest changed delta in the direction of `sign`.
fn largest(delta: &Delta, sign: f64) -> Option<Extreme> {
    let changed = delta.points().filter(|(_, deg)| is_change(*deg) && deg * sign > 0.0);
    let (point, deg) = changed.reduce(|best, next| if next.1 * sign > best.1 * sign { next } else { best })?;
    let (speed_rpm, load) = delta.place(point);
    Some(Extreme { deg, speed_rpm, load })
}

#[expect(clippy::cast_precision_loss, reason = "at most 128 × 128 points")]
fn count(points: usize) -> f64 {
    points as f64
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::compare::samples::{advance, project};
    use crate::project::Origin;

    fn figures(base: [f64; 6], edited: [f64; 6]) -> Figures {
        let with =
            |cells: [f64; 6]| project(advance((&[1000.0, 2000.0, 3000.0], &[0.0, 100.0]), &cells, Origin::Typed));
        Figures::of(&Delta::between(&with(base), &with(edited)).unwrap())
    }

    /// By hand: deltas 0, 1, −2, 0.5, 0, 1: sum 0.5, squares 0 + 1 + 4 + 0.25 + 0 + 1 = 6.25.
    #[test]
    fn worked_by_hand() {
        let figures = figures([10.0; 6], [10.0, 11.0, 8.0, 10.5, 10.0, 11.0]);
        assert_eq!((figures.points, figures.changed), (6, 4));
        assert_eq!(figures.mean_deg, 0.5 / 6.0);
        assert_eq!(figures.rms_deg, (6.25_f64 / 6.0).sqrt());
        assert_eq!(figures.largest_rise, Some(Extreme { deg: 1.0, speed_rpm: 2000.0, load: 0.0 }));
        assert_eq!(figures.largest_fall, Some(Extreme { deg: -2.0, speed_rpm: 3000.0, load: 0.0 }));
        assert_eq!(figures.share_within_half_degree, 0.5);
        assert_eq!(figures.words(1), "4 of 6 points changed · mean +0.1° · RMS 1.0° · 50 % within ±0.5°");
    }

    #[test]
    fn a_share_is_whole_only_when_it_is() {
        let cases = [(1.0, "100"), (0.999, "99"), (0.84, "84"), (0.001, "1"), (0.0, "0")];
        for (share, text) in cases {
            assert_eq!(percent(share), text);
        }
    }

    #[test]
    fn without_a_rise_there_is_no_largest_one() {
        let figures = figures([10.0; 6], [10.0, 10.0, 9.0, 10.0, 10.0, 10.0 + 1e-10]);
        assert_eq!(figures.largest_rise, None);
        assert_eq!(figures.changed, 1);
        assert_eq!(figures.largest_fall.map(|fall| fall.deg), Some(-1.0));
    }

    #[test]
    fn equal_tables_have_nothing_to_tell() {
        let figures = figures([10.0; 6], [10.0; 6]);
        assert_eq!((figures.changed, figures.largest_rise, figures.largest_fall), (0, None, None));
        assert_eq!(figures.words(1), "0 of 6 points changed · mean 0.0° · RMS 0.0° · 100 % within ±0.5°");
    }
}
