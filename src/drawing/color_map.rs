//! Colours for data: a sequential map for advance, a diverging one for differences; and the range of values
//! that the tints and contour lines of a table cover.

use super::color::Oklab;
use super::{Color, Levels, Look};
use crate::table::Table;

/// What the map is used for.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum Ground {
    /// A grid's cells: tinted paper on which digits keep 7:1.
    Grid,
    /// A surface or a plan: full strength.
    Surface,
}

/// The strongest colour of a difference stands for at least this many degrees, so that a tiny difference does
/// not look large.
pub const LEAST_FULL_DEG: f64 = 1.0;

/// The sequential and the diverging map of a look for one use.
///
/// Both run through Oklab, so equal steps look equal. Sequential: deep violet-blue, blue, blue-green, sand,
/// pale, with strictly rising lightness. Diverging: blue below, orange above, exactly the paper colour at zero,
/// equally strong on both sides. The sunlight look has no tints in its grid and greys on its surface.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ColorMap {
    stops: [Oklab; 5],
    below: Oklab,
    zero: Oklab,
    above: Oklab,
}

/// Hue of the sequential stops: (a, b) in Oklab at full strength.
const HUES: [(f32, f32); 5] = [(0.030, -0.135), (-0.030, -0.095), (-0.040, -0.024), (0.014, 0.042), (0.014, 0.026)];
/// Hue of the two ends of the diverging map, the lower one first.
const BELOW: (f32, f32) = (-0.045, -0.090);
const ABOVE: (f32, f32) = (0.066, 0.080);

impl ColorMap {
    /// The map of a look for a use.
    pub fn new(look: Look, ground: Ground) -> Self {
        let paper = Oklab::from_color(look.palette().paper);
        let (lightness, strength, end) = match (look, ground) {
            (Look::Light, Ground::Grid) => ((0.775, 0.962), 0.46, 0.79),
            (Look::Light, Ground::Surface) => ((0.42, 0.93), 1.0, 0.60),
            (Look::Dark, Ground::Grid) => ((0.235, 0.430), 0.75, 0.424),
            (Look::Dark, Ground::Surface) => ((0.30, 0.76), 0.95, 0.62),
            (Look::Sunlight, Ground::Grid) => ((1.0, 1.0), 0.0, 1.0),
            (Look::Sunlight, Ground::Surface) => ((0.72, 0.98), 0.0, 0.62),
        };
        let (low, high) = lightness;
        let mut place = 0.0_f32;
        let stops = HUES.map(|(a, b)| {
            let stop = Oklab::new(low + (high - low) * place, a * strength, b * strength);
            place += 0.25;
            stop
        });
        let colored = if matches!((look, ground), (Look::Sunlight, Ground::Grid)) { 0.0 } else { strength.max(0.75) };
        let toward = |(a, b): (f32, f32)| Oklab::new(end, paper.a + a * colored, paper.b + b * colored);
        Self { stops, below: toward(BELOW), zero: paper, above: toward(ABOVE) }
    }

    /// The sequential colour at `share` of the range; clamped to 0..=1, NaN gives the lowest.
    pub fn sequential(&self, share: f64) -> Color {
        self.sequential_lab(share).to_color()
    }

    /// The diverging colour at `share` of the largest difference; clamped to −1..=1, NaN gives zero's.
    pub fn diverging(&self, share: f64) -> Color {
        self.diverging_lab(share).to_color()
    }

    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "clamped to 0..=4 first")]
    pub(super) fn sequential_lab(&self, share: f64) -> Oklab {
        let at = if share > 0.0 { share.min(1.0) as f32 * 4.0 } else { 0.0 };
        let index = (at as usize).min(3);
        self.stops[index].lerp(self.stops[index + 1], at - index as f32)
    }

    #[expect(clippy::cast_possible_truncation, reason = "clamped to -1..=1")]
    pub(super) fn diverging_lab(&self, share: f64) -> Oklab {
        let strength = if share.is_nan() { 0.0 } else { share.abs().min(1.0) as f32 };
        self.zero.lerp(if share < 0.0 { self.below } else { self.above }, strength)
    }
}

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

    /// The values at the ends of the tints.
    pub fn range(&self) -> (f64, f64) {
        (self.low, self.high)
    }

    /// The position of a height between the ends, 0 to 1 inside them; the only height of a flat range is at 0, and
    /// others are beyond it by the step of the contours.
    pub fn share(&self, deg: f64) -> f64 {
        let range_deg = self.high - self.low;
        (deg - self.low) / if range_deg > 0.0 { range_deg } else { self.step }
    }

    /// Distance of the contour lines.
    pub fn step(&self) -> f64 {
        self.step
    }

    /// The levels of this scale that a table reaches; beyond the ends they continue with the same step.
    pub fn levels(&self, table: &Table) -> Levels {
        let (low, high) = table.extremes();
        Levels::with_step(low, high, self.step)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::table::Axis;

    /// Simulation of full colour blindness on linear sRGB: G. Machado et al., "A Physiologically-based Model for
    /// Simulation of Color Vision Deficiency", IEEE Transactions on Visualization and Computer Graphics 15, 2009, severity
    /// 1.0; from memory.
    const BLINDNESS: [(&str, [[f32; 3]; 3]); 4] = [
        ("none", [[1.0, 0.0, 0.0], [0.0, 1.0, 0.0], [0.0, 0.0, 1.0]]),
        (
            "protan",
            [
                [0.152_286, 1.052_583, -0.204_868],
                [0.114_503, 0.786_281, 0.099_216],
                [-0.003_882, -0.048_116, 1.051_998],
            ],
        ),
        (
            "deutan",
            [[0.367_322, 0.860_646, -0.227_968], [0.280_085, 0.672_501, 0.047_413], [-0.011_820, 0.042_940, 0.968_881]],
        ),
        (
            "tritan",
            [
                [1.255_528, -0.076_749, -0.178_779],
                [-0.078_411, 0.930_809, 0.147_602],
                [0.004_733, 0.691_367, 0.303_900],
            ],
        ),
    ];

    fn seen(color: Color, matrix: &[[f32; 3]; 3]) -> Oklab {
        let linear = Oklab::from_color(color).to_linear();
        let row = |row: &[f32; 3]| row.iter().zip(linear).map(|(m, x)| m * x).sum::<f32>().clamp(0.0, 1.0);
        Oklab::from_linear([row(&matrix[0]), row(&matrix[1]), row(&matrix[2])])
    }

    fn tinted() -> impl Iterator<Item = (Look, Ground, ColorMap)> {
        let all = Look::ALL.into_iter().flat_map(|look| [Ground::Grid, Ground::Surface].map(|ground| (look, ground)));
        all.filter(|&pair| pair != (Look::Sunlight, Ground::Grid)).map(|(l, g)| (l, g, ColorMap::new(l, g)))
    }

    #[test]
    fn sequential_lightness_rises_strictly() {
        for (look, ground, map) in tinted() {
            let shades = (0..=256).map(|i| map.sequential_lab(f64::from(i) / 256.0).l);
            let shades: Vec<f32> = shades.collect();
            assert!(shades.windows(2).all(|pair| pair[0] < pair[1]), "{look:?} {ground:?}");
        }
    }

    #[test]
    fn neighbouring_steps_differ_for_every_eye() {
        for (look, ground, map) in tinted() {
            for (name, matrix) in &BLINDNESS {
                let steps: Vec<Oklab> = (0..=8).map(|i| seen(map.sequential(f64::from(i) / 8.0), matrix)).collect();
                for pair in steps.windows(2) {
                    let distance = pair[0].distance(pair[1]);
                    assert!(distance > 0.018, "{look:?} {ground:?} {name}: {distance}");
                }
                let sides = [-1.0, 1.0].map(|share| seen(map.diverging(share), matrix));
                assert!(sides[0].distance(sides[1]) > 0.08, "{look:?} {ground:?} {name} diverging");
            }
        }
    }

    #[test]
    fn digits_keep_seven_to_one_on_every_grid_tint() {
        for look in Look::ALL {
            let (map, p) = (ColorMap::new(look, Ground::Grid), look.palette());
            for i in -256..=256 {
                let share = f64::from(i) / 256.0;
                for tint in [map.sequential(share), map.diverging(share)] {
                    assert!(p.ink.contrast(tint) >= 7.0, "{look:?} {share}: {}", p.ink.contrast(tint));
                    let proposed = p.proposed.contrast(tint);
                    assert!(proposed >= 4.5, "{look:?} proposed {share}: {proposed}");
                }
            }
        }
    }

    #[test]
    fn diverging_is_paper_at_zero_and_equal_on_both_sides() {
        for look in Look::ALL {
            for ground in [Ground::Grid, Ground::Surface] {
                let map = ColorMap::new(look, ground);
                assert_eq!(map.diverging(0.0), look.palette().paper);
                assert_eq!(map.diverging(f64::NAN), look.palette().paper);
                for i in 1..=64 {
                    let share = f64::from(i) / 64.0;
                    assert_eq!(map.diverging_lab(share).l, map.diverging_lab(-share).l);
                }
            }
        }
    }

    #[test]
    fn every_map_colour_exists_on_a_screen() {
        for (look, ground, map) in tinted() {
            for i in -64..=64 {
                let share = f64::from(i) / 64.0;
                for lab in [map.sequential_lab(share), map.diverging_lab(share)] {
                    let inside = lab.to_linear().iter().all(|x| (-0.002..=1.002).contains(x));
                    assert!(inside, "{look:?} {ground:?} {share} {:?}", lab.to_linear());
                }
            }
        }
    }

    #[test]
    fn the_sunlit_grid_has_no_tint() {
        let map = ColorMap::new(Look::Sunlight, Ground::Grid);
        for share in [-1.0, 0.0, 0.3, 1.0] {
            assert_eq!((map.sequential(share), map.diverging(share)), (Color::hex(0xFF_FFFF), Color::hex(0xFF_FFFF)));
        }
    }

    fn table(cells: [f64; 4]) -> Table {
        let axis = |top: f64| Axis::new(vec![0.0, top]).unwrap();
        Table::new(axis(6000.0), axis(100.0), cells.to_vec()).unwrap()
    }

    #[test]
    fn ends_are_multiples_of_the_step_around_the_table() {
        let scale = HeightScale::over(&table([8.3, 12.0, 20.0, 37.1]));
        assert_eq!((scale.range(), scale.step()), ((8.0, 38.0), 2.0));
        assert_eq!((scale.share(8.0), scale.share(23.0), scale.share(38.0)), (0.0, 0.5, 1.0));
        // The ends stay when the values move a little.
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
        // A height beyond it, as a proposal may have, is beyond by the step of the contours.
        assert_eq!((scale.share(10.0 + scale.step()), scale.share(10.0 - 2.0 * scale.step())), (1.0, -2.0));
    }
}
