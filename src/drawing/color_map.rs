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
/// equally strong on both sides. Swatches are for things without an order: neighbours differ in lightness as well as in
/// hue. In the sunlight look the digits of a grid stand on white, and a surface is grey; what differs and where values
/// came from is tinted even there, since the digits do not tell it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ColorMap {
    stops: [Oklab; 5],
    below: Oklab,
    zero: Oklab,
    above: Oklab,
    swatches: [Oklab; SWATCHES.len()],
}

/// Hue of the sequential stops: (a, b) in Oklab at full strength.
const HUES: [(f32, f32); 5] = [(0.030, -0.135), (-0.030, -0.095), (-0.040, -0.024), (0.014, 0.042), (0.014, 0.026)];
/// Hue of the two ends of the diverging map, the lower one first.
const BELOW: (f32, f32) = (-0.045, -0.090);
const ABOVE: (f32, f32) = (0.066, 0.080);

/// Swatches: whether one is dark among them, its hue in degrees and its chroma in Oklab at full strength.
const SWATCHES: [(bool, f32, f32); 9] = [
    (false, 95.0, 0.050),
    (true, 70.0, 0.095),
    (false, 240.0, 0.035),
    (true, 255.0, 0.095),
    (false, 320.0, 0.045),
    (true, 315.0, 0.095),
    (false, 160.0, 0.055),
    (true, 150.0, 0.030),
    (false, 35.0, 0.035),
];

impl ColorMap {
    /// The map of a look for a use.
    pub fn new(look: Look, ground: Ground) -> Self {
        let paper = Oklab::from_color(look.palette().paper);
        let (lightness, strength, end) = match (look, ground) {
            (Look::Light, Ground::Grid) => ((0.775, 0.962), 0.46, 0.875),
            (Look::Light, Ground::Surface) => ((0.45, 0.92), 1.0, 0.60),
            (Look::Dark, Ground::Grid) => ((0.235, 0.430), 0.75, 0.424),
            (Look::Dark, Ground::Surface) => ((0.37, 0.75), 0.95, 0.62),
            (Look::Sunlight, Ground::Grid) => ((1.0, 1.0), 0.0, 0.86),
            (Look::Sunlight, Ground::Surface) => ((0.70, 0.96), 0.0, 0.62),
        };
        let (low, high) = lightness;
        let mut place = 0.0_f32;
        let stops = HUES.map(|(a, b)| {
            let stop = Oklab::new(low + (high - low) * place, a * strength, b * strength);
            place += 0.25;
            stop
        });
        // As strong as a screen can show at that lightness.
        let colored = if (look, ground) == (Look::Light, Ground::Grid) { 0.65 } else { strength.max(0.75) };
        let toward = |(a, b): (f32, f32)| Oklab::new(end, paper.a + a * colored, paper.b + b * colored);
        let swatches = swatches(look, ground);
        Self { stops, below: toward(BELOW), zero: paper, above: toward(ABOVE), swatches }
    }

    /// The colour of the thing at that place among the swatches; the last one's beyond them.
    pub fn swatch(&self, place: usize) -> Color {
        self.swatch_lab(place).to_color()
    }

    pub(super) fn swatch_lab(&self, place: usize) -> Oklab {
        self.swatches[place.min(SWATCHES.len() - 1)]
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

fn swatches(look: Look, ground: Ground) -> [Oklab; SWATCHES.len()] {
    let (pale, dark, strength) = match (look, ground) {
        (Look::Light, Ground::Grid) => (0.965, 0.864, 0.5),
        (Look::Light, Ground::Surface) => (0.880, 0.640, 1.1),
        (Look::Dark, Ground::Grid) => (0.280, 0.415, 0.7),
        (Look::Dark, Ground::Surface) => (0.730, 0.480, 1.1),
        (Look::Sunlight, Ground::Grid) => (0.940, 0.820, 0.8),
        (Look::Sunlight, Ground::Surface) => (0.920, 0.700, 0.9),
    };
    SWATCHES.map(|(is_dark, hue_deg, chroma)| {
        let (sin, cos) = hue_deg.to_radians().sin_cos();
        let chroma = chroma * strength;
        Oklab::new(if is_dark { dark } else { pale }, chroma * cos, chroma * sin)
    })
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

    /// The scale over a range that somebody has chosen, with the contour step that suits it; the first is the lower.
    pub fn between(low: f64, high: f64) -> Self {
        Self { low, high, step: Levels::over(low, high).step }
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
                let swatches = (0..SWATCHES.len()).map(|place| map.swatch(place));
                for tint in [map.sequential(share), map.diverging(share)].into_iter().chain(swatches) {
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
                let swatches = (0..SWATCHES.len()).map(|place| map.swatch_lab(place));
                for lab in [map.sequential_lab(share), map.diverging_lab(share)].into_iter().chain(swatches) {
                    let inside = lab.to_linear().iter().all(|x| (-0.002..=1.002).contains(x));
                    assert!(inside, "{look:?} {ground:?} {share} {:?}", lab.to_linear());
                }
            }
        }
    }

    /// The digits tell it already; what they do not tell has tints.
    #[test]
    fn the_sunlit_grid_has_no_tint_for_advance() {
        let map = ColorMap::new(Look::Sunlight, Ground::Grid);
        for share in [-1.0, 0.0, 0.3, 1.0] {
            assert_eq!(map.sequential(share), Color::hex(0xFF_FFFF));
        }
        assert!(map.diverging(1.0) != Color::hex(0xFF_FFFF) && map.diverging(0.0) == Color::hex(0xFF_FFFF));
    }

    /// CIE L*, a*, b* under D65: CIE 15, 'Colorimetry'.
    fn cielab(lab: Oklab) -> [f32; 3] {
        let [r, g, b] = lab.to_linear();
        let xyz = [
            (0.412_456 * r + 0.357_576 * g + 0.180_438 * b) / 0.950_47,
            0.212_673 * r + 0.715_152 * g + 0.072_175 * b,
            (0.019_334 * r + 0.119_192 * g + 0.950_304 * b) / 1.088_83,
        ];
        let [x, y, z] = xyz.map(|t: f32| if t > 0.008_856 { t.cbrt() } else { 7.787 * t + 16.0 / 116.0 });
        [116.0 * y - 16.0, 500.0 * (x - y), 200.0 * (y - z)]
    }

    /// Difference of two colours as an eye sees them: ΔE*ab (CIE 1976), and that of lightness alone.
    fn apart(a: Color, b: Color, matrix: &[[f32; 3]; 3]) -> (f32, f32) {
        let [p, q] = [a, b].map(|color| cielab(seen(color, matrix)));
        let square = |k: usize| (p[k] - q[k]).powi(2);
        ((square(0) + square(1) + square(2)).sqrt(), (p[0] - q[0]).abs())
    }

    /// For every eye the two ends of a diverging scale are further apart than ΔE 15, and each is further than ΔE 10 from
    /// the middle; a difference of 2.3 is just noticed.
    #[test]
    fn ends_and_middle_of_diverging_scales_are_told_apart_by_every_eye() {
        for look in Look::ALL {
            for ground in [Ground::Grid, Ground::Surface] {
                let map = ColorMap::new(look, ground);
                let [low, zero, high] = [-1.0, 0.0, 1.0].map(|share| map.diverging(share));
                for (name, matrix) in &BLINDNESS {
                    for (a, b, least) in [(low, high, 15.0), (low, zero, 10.0), (high, zero, 10.0)] {
                        let (apart, _) = apart(a, b, matrix);
                        assert!(apart > least, "{look:?} {ground:?} {name}: {a:?} {b:?}: {apart}");
                    }
                }
            }
        }
    }

    /// Neighbours in the row of swatches: more than ΔE 10 apart, and more than 8 in lightness, which no eye lacks.
    #[test]
    fn neighbouring_swatches_are_told_apart_by_every_eye() {
        for look in Look::ALL {
            for ground in [Ground::Grid, Ground::Surface] {
                let map = ColorMap::new(look, ground);
                for place in 1..SWATCHES.len() {
                    for (name, matrix) in &BLINDNESS {
                        let (apart, lightness) = apart(map.swatch(place - 1), map.swatch(place), matrix);
                        let told = format!("{look:?} {ground:?} {name} {place}: {apart} {lightness}");
                        assert!(apart > 10.0 && lightness > 8.0, "{told}");
                    }
                }
            }
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
