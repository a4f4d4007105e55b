//! Layers: what the tint of a table's cells stands for, and the scale that turns values into tints.
//!
//! Every view of a table asks here: grid, surface and pictures have the same values, the same range and the same colours.

use super::color::Oklab;
use super::{Color, ColorMap, HeightScale, LEAST_FULL_DEG, Tint, TintMap};
use crate::drawing::chart::axis::{multiples, nice_step};
use crate::project::{ADVANCE_RANGE_DEG, Advance, Origin};
use crate::shaping::larger_curvature;
use crate::table::{Cell, Lookup, Table};
use crate::wording::{Refusal, Unit, bounds, change, fixed, outside, settle, signed, with_unit, written};

/// What tints a table.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum Layer {
    /// The degrees themselves.
    #[default]
    Advance,
    /// Degrees more or less than in the base.
    Difference,
    /// How strongly a cell stands above its neighbours or below them.
    Curvature,
    /// Where the values came from.
    Origin,
}

/// Whatever is curved less than this is not tinted strongly: rounding to half a degree curves a plane that much.
const LEAST_CURVED: f64 = 0.5;
/// So many of the cells decide the range of curvature; a few sharp bends would pale all others. They have the strongest
/// colour, and the scale says that there is more.
const CURVED_SHARE: f64 = 0.9;
/// Largest degrees that the range of a difference or of a curvature may have.
const MOST_DIVERGING: (f64, f64) = (-150.0, 150.0);
/// About so many steps are marked along a diverging scale.
const MARKS: usize = 8;

impl Layer {
    /// All layers, in the order in which they are offered.
    pub const ALL: [Self; 4] = [Self::Advance, Self::Difference, Self::Curvature, Self::Origin];

    /// The word for it.
    pub const fn name(self) -> &'static str {
        match self {
            Self::Advance => "advance",
            Self::Difference => "difference",
            Self::Curvature => "curvature",
            Self::Origin => "origin",
        }
    }

    /// The layer of that name.
    pub fn of_name(name: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|layer| layer.name() == name)
    }

    /// The unit of its values.
    pub const fn unit(self) -> Unit {
        match self {
            Self::Advance | Self::Difference => Unit::Degree,
            Self::Curvature => Unit::DegreePerSpacing2,
            Self::Origin => Unit::None,
        }
    }

    /// How its values become colours.
    pub const fn map(self) -> TintMap {
        match self {
            Self::Advance => TintMap::Sequential,
            Self::Difference | Self::Curvature => TintMap::Diverging,
            Self::Origin => TintMap::Swatches,
        }
    }

    /// The words for what is below zero, at zero and above it, of a layer with a zero.
    pub const fn sides(self) -> Option<[&'static str; 3]> {
        match self {
            Self::Difference => Some(["less", "as in the base", "more"]),
            Self::Curvature => Some(["hollow", "straight", "bump"]),
            Self::Advance | Self::Origin => None,
        }
    }

    /// Why a cell may have no value in it.
    pub const fn unknown(self) -> &'static str {
        match self {
            Self::Difference => "not in the base",
            Self::Curvature => "a corner has no chord",
            Self::Advance | Self::Origin => "unknown",
        }
    }

    /// The same in a word or two.
    pub const fn unknown_briefly(self) -> &'static str {
        match self {
            Self::Difference => "no base",
            Self::Curvature => "corner",
            Self::Advance | Self::Origin => "unknown",
        }
    }

    /// Whether its values are numbers along a scale.
    pub fn has_range(self) -> bool {
        self.map() != TintMap::Swatches
    }

    /// A value for each cell, row by row from the lowest load, in the unit of the layer; NaN where it is not known. An
    /// origin is its place in [`Origin::ALL`]. `base` has the same kind of load.
    pub fn values(self, advance: &Advance, base: Option<&Table>) -> Vec<f64> {
        match self {
            Self::Advance => advance.table().values().to_vec(),
            Self::Origin => advance.origins().iter().map(|origin| place_of(*origin)).collect(),
            Self::Difference | Self::Curvature => self.values_of(advance.table(), base),
        }
    }

    /// The same of a table; origins are not known.
    fn values_of(self, table: &Table, base: Option<&Table>) -> Vec<f64> {
        let none = || vec![f64::NAN; table.values().len()];
        match self {
            Self::Advance => table.values().to_vec(),
            Self::Difference => base.map_or_else(none, |base| differences(table, base)),
            Self::Curvature => {
                let deg = |cell: Cell| larger_curvature(table, cell).map_or(f64::NAN, |(deg, _)| settle(deg));
                table.cells().map(deg).collect()
            }
            Self::Origin => none(),
        }
    }

    /// The values that a scale counts: none for origins, which have no range.
    fn values_along(self, table: &Table, base: Option<&Table>) -> Vec<f64> {
        if self == Self::Origin { Vec::new() } else { self.values_of(table, base) }
    }

    /// Checks a range that a user wants.
    ///
    /// # Errors
    /// What is wrong with it, and what would do.
    pub fn check_range(self, (low, high): (f64, f64)) -> Result<(), Refusal> {
        let limits = if self == Self::Advance { ADVANCE_RANGE_DEG } else { MOST_DIVERGING };
        if let Some(wrong) = [low, high].into_iter().find(|deg| !(limits.0..=limits.1).contains(deg)) {
            return Err(Refusal::new(outside(wrong, limits, self.unit())).at("range"));
        }
        let told = bounds((low, high), self.unit());
        match () {
            () if low >= high => Err(Refusal::new(format!("{told} is no range: begin it below its end")).at("range")),
            () if self.map() == TintMap::Diverging && (low >= 0.0 || high <= 0.0) => {
                let why = format!("{told} leaves out zero, the middle of the scale: begin below 0 and end above it");
                Err(Refusal::new(why).at("range"))
            }
            () => Ok(()),
        }
    }
}

/// The table less the base at the table's breakpoints; NaN beyond the base's axes.
fn differences(table: &Table, base: &Table) -> Vec<f64> {
    let lookup = Lookup::new(base);
    let (speed, load) = (base.speed().first()..=base.speed().last(), base.load().first()..=base.load().last());
    let (speeds, loads) = (table.speed().breakpoints(), table.load().breakpoints());
    let difference = |cell: Cell| {
        let (x, y) = (speeds[cell.speed], loads[cell.load]);
        if speed.contains(&x) && load.contains(&y) { settle(table.at(cell) - lookup.at(x, y)) } else { f64::NAN }
    };
    table.cells().map(difference).collect()
}

#[expect(clippy::cast_precision_loss, reason = "a few origins")]
fn place_of(origin: Origin) -> f64 {
    Origin::ALL.iter().position(|other| *other == origin).map_or(f64::NAN, |place| place as f64)
}

/// The origin that a value of [`Layer::Origin`] stands for.
pub fn origin_of(value: f64) -> Option<Origin> {
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "a few origins; `as` saturates")]
    let place = value.round() as usize;
    Origin::ALL.get(place).copied().filter(|_| !value.is_nan())
}

/// A mark along a scale.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct ScaleMark {
    /// The value.
    pub value: f64,
    /// Where it is: 0 at the lower end, 1 at the upper one.
    pub share: f64,
    /// Whether its number is told: a major contour line, or any mark of a diverging scale.
    pub is_major: bool,
}

/// The scale of a layer: which values the ends of its colours stand for.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct LayerScale {
    /// The layer.
    pub layer: Layer,
    /// The values at the ends.
    pub range: (f64, f64),
    /// Whether the user has fixed the range.
    pub is_fixed: bool,
    /// Whether values lie beyond the lower and the upper end.
    pub beyond: (bool, bool),
    /// Whether some values are not known.
    pub has_unknown: bool,
    heights: HeightScale,
}

impl LayerScale {
    /// The scale of a table in a layer: over a range that the user has fixed, otherwise over what there is, rounded
    /// outwards.
    pub fn over(layer: Layer, table: &Table, base: Option<&Table>, fixed: Option<(f64, f64)>) -> Self {
        Self::of_values(layer, &layer.values_along(table, base), HeightScale::over(table), fixed)
    }

    /// The same scale for another table: it says anew what lies beyond its ends and whether some values are not known.
    #[must_use]
    pub fn kept_for(&self, table: &Table, base: Option<&Table>) -> Self {
        self.telling(&self.layer.values_along(table, base))
    }

    fn telling(self, values: &[f64]) -> Self {
        let (low, high) = self.range;
        let is_there = |is: &dyn Fn(f64) -> bool| self.layer.has_range() && values.iter().any(|&value| is(value));
        let beyond = (is_there(&|value| value < low), is_there(&|value| value > high));
        Self { beyond, has_unknown: values.iter().any(|value| value.is_nan()), ..self }
    }

    /// The scale of differences in degrees.
    pub fn of_differences(deg: &[f64], fixed: Option<(f64, f64)>) -> Self {
        Self::of_values(Layer::Difference, deg, HeightScale::between(0.0, 1.0), fixed)
    }

    /// The scale of degrees of advance over the heights of a table, such as that table with the trims added.
    pub fn of_advance(deg: &[f64], heights: HeightScale, is_fixed: bool) -> Self {
        let scale = Self::of_values(Layer::Advance, deg, heights, is_fixed.then(|| heights.range()));
        Self { heights, ..scale }
    }

    fn of_values(layer: Layer, values: &[f64], heights: HeightScale, fixed: Option<(f64, f64)>) -> Self {
        let fixed = fixed.filter(|_| layer.has_range());
        let heights = match fixed {
            Some((low, high)) if layer == Layer::Advance => HeightScale::between(low, high),
            _ => heights,
        };
        let full = |least: f64, share: f64| {
            let full = rounded_up(size_of_most(values, share).max(least));
            (-full, full)
        };
        let range = fixed.unwrap_or_else(|| match layer {
            Layer::Advance => heights.range(),
            Layer::Difference => full(LEAST_FULL_DEG, 1.0),
            Layer::Curvature => full(LEAST_CURVED, CURVED_SHARE),
            Layer::Origin => (0.0, 0.0),
        });
        let is_fixed = fixed.is_some();
        Self { layer, range, is_fixed, beyond: (false, false), has_unknown: false, heights }.telling(values)
    }

    /// The heights behind a scale of advance: its contour lines.
    pub fn heights(&self) -> HeightScale {
        self.heights
    }

    /// The value with the strongest colour of a diverging scale.
    pub fn full(&self) -> f64 {
        self.range.0.abs().max(self.range.1.abs())
    }

    /// The layer of values that tints a surface.
    pub fn tint<'a>(&self, values: &'a [f64]) -> Tint<'a> {
        Tint { values, map: self.layer.map(), range: self.range }
    }

    /// The colour of a value; the paper's where it is not known.
    pub fn color(&self, map: &ColorMap, value: f64) -> Color {
        self.lab(map, value).to_color()
    }

    fn lab(&self, map: &ColorMap, value: f64) -> Oklab {
        self.layer.map().lab(map, self.range, value)
    }

    /// The value at a share of the scale's length.
    pub fn at(&self, share: f64) -> f64 {
        self.range.0 + (self.range.1 - self.range.0) * share
    }

    /// The marks along it, between its ends: contour lines, or round numbers with zero among them.
    pub fn marks(&self) -> Vec<ScaleMark> {
        let (low, high) = self.range;
        let share = |value: f64| (value - low) / (high - low);
        let inside = |mark: &ScaleMark| mark.share > 0.0 && mark.share < 1.0;
        let marks: Vec<ScaleMark> = match self.layer.map() {
            TintMap::Swatches => Vec::new(),
            TintMap::Sequential => {
                let levels = super::Levels::with_step(low, high, self.heights.step());
                levels.iter().map(|(value, is_major)| ScaleMark { value, share: share(value), is_major }).collect()
            }
            TintMap::Diverging => {
                let steps = multiples(nice_step(high - low, MARKS), low, high);
                steps.map(|(_, value)| ScaleMark { value, share: share(value), is_major: true }).collect()
            }
        };
        marks.into_iter().filter(inside).collect()
    }

    /// The unit behind the numbers of a scale; a long one is told once, beside them.
    pub fn unit_of_ends(&self) -> Unit {
        if self.layer.unit() == Unit::Degree { Unit::Degree } else { Unit::None }
    }

    /// The numbers at both ends: '8°', '−2°'; '≤ −2°' where there are values beyond.
    pub fn ends(&self) -> [String; 2] {
        let number = |value: f64| {
            let sign = if self.layer.map() == TintMap::Diverging && value > 0.0 { "+" } else { "" };
            with_unit(&format!("{sign}{}", written(settle(value))), self.unit_of_ends())
        };
        let (low, high) = (number(self.range.0), number(self.range.1));
        let [least, most] = [("\u{2264}", self.beyond.0, low), ("\u{2265}", self.beyond.1, high)]
            .map(|(sign, is_beyond, number)| if is_beyond { format!("{sign} {number}") } else { number });
        [least, most]
    }

    /// A value in words: '+1.5°', '−0.84°/spacing²', 'typed'; why there is none where it is not known.
    pub fn value_words(&self, value: f64, decimals: usize) -> String {
        match self.layer {
            _ if value.is_nan() => self.layer.unknown().to_owned(),
            Layer::Advance => with_unit(&fixed(value, decimals), Unit::Degree),
            Layer::Origin => origin_of(value).map_or("unknown", Origin::name).to_owned(),
            Layer::Difference => with_unit(&change(value, decimals), Unit::Degree),
            Layer::Curvature => with_unit(&signed(value, 2), self.layer.unit()),
        }
    }

    /// The scale in a sentence, for people who cannot see it.
    pub fn words(&self, origins: &[Origin]) -> String {
        let mut words = format!("Scale of {}", self.layer.name());
        let [low, high] = self.ends();
        match self.layer.map() {
            TintMap::Swatches => {
                let names: Vec<&str> = origins.iter().map(|origin| origin.name()).collect();
                words.push_str(&format!(": {}", names.join(", ")));
            }
            TintMap::Sequential => {
                let step = with_unit(&written(self.heights.step()), Unit::Degree);
                words.push_str(&format!(": {low} to {high}, contour lines every {step}"));
            }
            TintMap::Diverging => {
                let [below, zero, above] = self.layer.sides().unwrap_or_default();
                words.push_str(&format!(": {below} {low}, 0 {zero}, {above} {high}"));
            }
        }
        if self.layer == Layer::Curvature {
            words.push_str(", in degrees per squared mean spacing of the breakpoints");
        }
        if self.is_fixed {
            words.push_str(", fixed range");
        }
        if self.has_unknown {
            words.push_str(&format!(", hatched: {}", self.layer.unknown()));
        }
        words
    }
}

/// The size that a share of the known values do not exceed; 0 if none is known.
fn size_of_most(values: &[f64], share: f64) -> f64 {
    let mut sizes: Vec<f64> = values.iter().filter(|value| !value.is_nan()).map(|value| value.abs()).collect();
    sizes.sort_by(f64::total_cmp);
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, clippy::cast_precision_loss, reason = "a share")]
    let place = (sizes.len().saturating_sub(1) as f64 * share).ceil() as usize;
    sizes.get(place).copied().unwrap_or(0.0)
}

/// The next round number that is not below one above 0.
fn rounded_up(value: f64) -> f64 {
    let unit = 10_f64.powf(value.log10().floor());
    let rounds = [1.0, 1.5, 2.0, 2.5, 3.0, 4.0, 5.0, 6.0, 8.0, 10.0];
    let round = rounds.into_iter().find(|round| round * unit >= value * (1.0 - 1e-12)).unwrap_or(10.0);
    settle(round * unit)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::drawing::{Ground, Look};
    use crate::table::Axis;

    fn axis(list: &[f64]) -> Axis {
        Axis::new(list.to_vec()).unwrap()
    }

    fn table(speeds: &[f64], loads: &[f64], z: impl Fn(f64, f64) -> f64) -> Table {
        Table::from_fn(axis(speeds), axis(loads), z).unwrap()
    }

    const SPEEDS: [f64; 4] = [500.0, 1000.0, 3000.0, 6000.0];
    const LOADS: [f64; 3] = [0.0, 40.0, 100.0];

    fn advance(z: impl Fn(f64, f64) -> f64) -> Advance {
        Advance::uniform(table(&SPEEDS, &LOADS, z), Origin::Typed).unwrap()
    }

    #[test]
    fn a_difference_beyond_the_base_or_without_one_is_unknown() {
        let now = advance(|x, y| x / 500.0 + y / 10.0 + 1.5);
        let base = table(&[800.0, 7000.0], &[0.0, 50.0], |x, y| x / 500.0 + y / 10.0);
        let values = Layer::Difference.values(&now, Some(&base));
        let known = now.table().cells().map(|cell| cell.speed > 0 && cell.load < 2).collect::<Vec<_>>();
        for (value, known) in values.iter().zip(known) {
            if known { assert_eq!(*value, 1.5) } else { assert!(value.is_nan()) }
        }
        assert!(Layer::Difference.values(&now, None).iter().all(|value| value.is_nan()));
        let scale = LayerScale::over(Layer::Difference, now.table(), Some(&base), None);
        assert!(scale.has_unknown && scale.range == (-1.5, 1.5));
        assert!(scale.words(&[]).ends_with(", hatched: not in the base"), "{}", scale.words(&[]));
    }

    #[test]
    fn corners_alone_have_no_curvature() {
        let values = Layer::Curvature.values(&advance(|x, y| 30.0 - x / 500.0 + y / 20.0), None);
        for (cell, value) in table(&SPEEDS, &LOADS, |_, _| 0.0).cells().zip(values) {
            let is_corner = [0, 3].contains(&cell.speed) && [0, 2].contains(&cell.load);
            assert_eq!(value.is_nan(), is_corner);
            assert!(is_corner || value.abs() < 1e-9);
        }
    }

    #[test]
    fn an_origin_comes_back_from_its_value() {
        for origin in Origin::ALL {
            let of = Advance::uniform(table(&SPEEDS, &LOADS, |_, _| 20.0), origin).unwrap();
            assert!(Layer::Origin.values(&of, None).iter().all(|&value| origin_of(value) == Some(origin)));
        }
        assert_eq!((origin_of(f64::NAN), origin_of(99.0)), (None, None));
    }

    #[test]
    fn ranges_are_round_and_the_users_own_stand() {
        let rising = table(&SPEEDS, &LOADS, |x, _| 9.0 + x / 250.0);
        let advance = LayerScale::over(Layer::Advance, &rising, None, None);
        assert_eq!((advance.range, advance.ends()), ((10.0, 34.0), ["10°", "34°"].map(String::from)));
        let fixed = LayerScale::over(Layer::Advance, &rising, None, Some((12.0, 40.0)));
        assert_eq!((fixed.range, fixed.heights().range()), ((12.0, 40.0), (12.0, 40.0)));
        assert_eq!(fixed.ends(), ["≤ 12°", "40°"]);
        assert_eq!(fixed.words(&[]), "Scale of advance: ≤ 12° to 40°, contour lines every 2°, fixed range");
        assert!(fixed.marks().iter().all(|mark| (mark.value / 2.0).fract() == 0.0));
        let flat = table(&SPEEDS, &LOADS, |_, _| 20.0);
        assert_eq!(LayerScale::over(Layer::Difference, &flat, Some(&flat), None).range, (-1.0, 1.0));
        assert_eq!(LayerScale::over(Layer::Curvature, &flat, None, None).range, (-0.5, 0.5));
        assert_eq!([0.5, 1.2, 2.1, 4.6, 7.0, 9.1, 12.0].map(rounded_up), [0.5, 1.5, 2.5, 5.0, 8.0, 10.0, 15.0]);
    }

    /// One sharp bend does not pale all others, and the scale says that it is beyond.
    #[test]
    fn most_cells_decide_the_range_of_curvature() {
        let steps: Vec<f64> = (0..=20).map(|k| f64::from(k) * 5.0).collect();
        let bump = |x: f64, y: f64| if (x, y) == (50.0, 50.0) { 9.0 } else { x * x / 100.0 };
        let scale = LayerScale::over(Layer::Curvature, &table(&steps, &steps, bump), None, None);
        assert_eq!((scale.range, scale.beyond), ((-0.5, 0.5), (true, true)));
        assert_eq!(scale.ends(), ["≤ −0.5", "≥ +0.5"]);
        let zero = scale.marks().into_iter().find(|mark| mark.value == 0.0).unwrap();
        assert_eq!(zero.share, 0.5);
    }

    #[test]
    fn ranges_that_make_no_scale_are_refused() {
        let refused = |layer: Layer, range| layer.check_range(range).unwrap_err().to_string();
        assert!(refused(Layer::Advance, (20.0, 20.0)).contains("no range"));
        assert!(refused(Layer::Difference, (1.0, 3.0)).contains("leaves out zero"));
        assert!(refused(Layer::Advance, (f64::NAN, 3.0)).contains("not finite"));
        assert!(refused(Layer::Advance, (0.0, 400.0)).contains("outside"));
        assert!(Layer::Advance.check_range((5.0, 45.0)).is_ok() && Layer::Curvature.check_range((-2.0, 3.0)).is_ok());
    }

    #[test]
    fn every_layer_is_known_by_its_name_and_tints_a_value() {
        let advance = advance(|x, y| x / 500.0 + (y / 30.0).sin());
        let flat = table(&SPEEDS, &LOADS, |_, _| 8.0);
        for layer in Layer::ALL {
            assert_eq!(Layer::of_name(layer.name()), Some(layer));
            let scale = LayerScale::over(layer, advance.table(), Some(&flat), None);
            for look in Look::ALL {
                let map = ColorMap::new(look, Ground::Grid);
                assert_eq!(scale.color(&map, f64::NAN), look.palette().paper);
                let tints: Vec<Color> =
                    layer.values(&advance, Some(&flat)).iter().map(|&value| scale.color(&map, value)).collect();
                let is_plain = look == Look::Sunlight && layer == Layer::Advance;
                assert_eq!(tints.iter().all(|tint| *tint == look.palette().paper), is_plain, "{look:?} {layer:?}");
            }
        }
        assert_eq!(Layer::of_name("nothing"), None);
    }
}
