//! Layers: what the tint of a table's cells stands for, and the scale that turns values into tints.
//!
//! Every view of a table asks here: grid, surface and pictures have the same values, the same range and the same colours.

#[cfg(test)]
mod tests;

use super::color::Oklab;
use super::{Against, Color, ColorMap, HeightScale, HowSure, LEAST_FULL_DEG, Tint, TintMap};
use crate::drawing::chart::axis::{multiples, nice_step};
use crate::project::{ADVANCE_RANGE_DEG, Advance, Origin};
use crate::shaping::{SURE_MEANS, larger_curvature};
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
    /// How sure the cells are of a fit to the measured points: the ± within which it is right about nine times in ten.
    Sure,
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
    pub const ALL: [Self; 5] = [Self::Advance, Self::Difference, Self::Curvature, Self::Origin, Self::Sure];

    /// The word for it.
    pub const fn name(self) -> &'static str {
        match self {
            Self::Advance => "advance",
            Self::Difference => "difference",
            Self::Curvature => "curvature",
            Self::Origin => "origin",
            Self::Sure => "how sure",
        }
    }

    /// Its name on the command line and in settings: without spaces.
    pub const fn key(self) -> &'static str {
        match self {
            Self::Sure => "how-sure",
            Self::Advance | Self::Difference | Self::Curvature | Self::Origin => self.name(),
        }
    }

    /// The layer of that key.
    pub fn of_key(key: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|layer| layer.key() == key)
    }

    /// The unit of its values.
    pub const fn unit(self) -> Unit {
        match self {
            Self::Advance | Self::Difference | Self::Sure => Unit::Degree,
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
            Self::Sure => TintMap::Fading,
        }
    }

    /// The words for what is below zero, at zero and above it, of a layer with a zero.
    pub const fn sides(self) -> Option<[&'static str; 3]> {
        match self {
            Self::Difference => Some(["less", "as in the base", "more"]),
            Self::Curvature => Some(["hollow", "straight", "bump"]),
            Self::Advance | Self::Origin | Self::Sure => None,
        }
    }

    /// Why a cell may have no value in it, and the same in a word or two.
    const fn unknown(self, sure: HowSure<'_>) -> [&'static str; 2] {
        match self {
            Self::Difference => ["not in the base", "no base"],
            Self::Curvature => ["a corner has no chord", "corner"],
            Self::Sure => sure.unknown(),
            Self::Advance | Self::Origin => ["unknown", "unknown"],
        }
    }

    /// Whether its values are numbers along a scale.
    pub fn has_range(self) -> bool {
        self.map() != TintMap::Swatches
    }

    /// A value for each cell, row by row from the lowest load, in the unit of the layer; NaN where it is not known. An
    /// origin is its place in [`Origin::ALL`].
    pub fn values(self, advance: &Advance, against: Against<'_>) -> Vec<f64> {
        match self {
            Self::Advance => advance.table().values().to_vec(),
            Self::Origin => advance.origins().iter().map(|origin| place_of(*origin)).collect(),
            Self::Difference | Self::Curvature | Self::Sure => self.values_of(advance.table(), against),
        }
    }

    /// The same of a table; origins are not known.
    fn values_of(self, table: &Table, against: Against<'_>) -> Vec<f64> {
        let none = || vec![f64::NAN; table.values().len()];
        match self {
            Self::Advance => table.values().to_vec(),
            Self::Difference => against.base.map_or_else(none, |base| differences(table, base)),
            Self::Curvature => {
                let deg = |cell: Cell| larger_curvature(table, cell).map_or(f64::NAN, |(deg, _)| settle(deg));
                table.cells().map(deg).collect()
            }
            Self::Origin => none(),
            Self::Sure => against.sure.values(table),
        }
    }

    /// The values that a scale counts: none for origins, which have no range.
    fn values_along(self, table: &Table, against: Against<'_>) -> Vec<f64> {
        if self == Self::Origin { Vec::new() } else { self.values_of(table, against) }
    }

    /// Checks a range that a user wants.
    ///
    /// # Errors
    /// What is wrong with it, and what would do.
    pub fn check_range(self, (low, high): (f64, f64)) -> Result<(), Refusal> {
        let limits = match self {
            Self::Advance => ADVANCE_RANGE_DEG,
            Self::Sure => (0.0, MOST_DIVERGING.1),
            Self::Difference | Self::Curvature | Self::Origin => MOST_DIVERGING,
        };
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
    /// Why they are not, and the same in a word or two.
    unknown: [&'static str; 2],
    heights: HeightScale,
}

impl LayerScale {
    /// The scale of a table in a layer: over a range that the user has fixed, otherwise over what there is, rounded
    /// outwards.
    pub fn over(layer: Layer, table: &Table, against: Against<'_>, fixed: Option<(f64, f64)>) -> Self {
        let scale = Self::of_values(layer, &layer.values_along(table, against), HeightScale::over(table), fixed);
        Self { unknown: layer.unknown(against.sure), ..scale }
    }

    /// The same scale for another table: it says anew what lies beyond its ends and whether some values are not known.
    #[must_use]
    pub fn kept_for(&self, table: &Table, against: Against<'_>) -> Self {
        let told = self.telling(&self.layer.values_along(table, against));
        Self { unknown: self.layer.unknown(against.sure), ..told }
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
            Layer::Sure => (0.0, full(LEAST_FULL_DEG, 1.0).1),
        });
        let is_fixed = fixed.is_some();
        let unknown = layer.unknown(HowSure::NoPoints);
        Self { layer, range, is_fixed, beyond: (false, false), has_unknown: false, unknown, heights }.telling(values)
    }

    /// Why some values are not known.
    pub const fn unknown(&self) -> &'static str {
        self.unknown[0]
    }

    /// The same in a word or two.
    pub const fn unknown_briefly(&self) -> &'static str {
        self.unknown[1]
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
            TintMap::Diverging | TintMap::Fading => {
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
            let sign = match self.layer.map() {
                TintMap::Diverging if value > 0.0 => "+",
                TintMap::Fading if value > 0.0 => "\u{b1}",
                _ => "",
            };
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
            _ if value.is_nan() => self.unknown().to_owned(),
            Layer::Advance => with_unit(&fixed(value, decimals), Unit::Degree),
            Layer::Origin => origin_of(value).map_or("unknown", Origin::name).to_owned(),
            Layer::Difference => with_unit(&change(value, decimals), Unit::Degree),
            Layer::Curvature => with_unit(&signed(value, 2), self.layer.unit()),
            Layer::Sure => format!("\u{b1}{}", with_unit(&fixed(value, 1), Unit::Degree)),
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
            TintMap::Fading => {
                words.push_str(&format!(": {low} to {high}, {SURE_MEANS}"));
            }
        }
        if self.layer == Layer::Curvature {
            words.push_str(", in degrees per squared mean spacing of the breakpoints");
        }
        if self.is_fixed {
            words.push_str(", fixed range");
        }
        if self.has_unknown {
            words.push_str(&format!(", hatched: {}", self.unknown()));
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
