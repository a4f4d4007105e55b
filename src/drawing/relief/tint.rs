//! What tints a surface: a value for each of the table's cells, a map and a range. Advance is one such layer.

use crate::drawing::ColorMap;
use crate::drawing::color::Oklab;
use crate::table::Table;

/// How values become colours.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum TintMap {
    /// From the lower end of the range to the upper one.
    Sequential,
    /// Away from zero on both sides; the larger end of the range by size has the strongest colour.
    Diverging,
    /// From full strength at the lower end of the range to nothing at the upper one.
    Fading,
    /// Whole numbers from 0 on, each with a colour of its own; the range means nothing.
    Swatches,
}

impl TintMap {
    /// The colour of a value; the paper's where there is none.
    pub(in crate::drawing) fn lab(self, map: &ColorMap, (low, high): (f64, f64), value: f64) -> Oklab {
        if value.is_nan() {
            return map.diverging_lab(0.0);
        }
        let share = (value - low) / if high > low { high - low } else { 1.0 };
        match self {
            Self::Sequential => map.sequential_lab(share),
            Self::Fading => map.diverging_lab(share.clamp(0.0, 1.0) - 1.0),
            Self::Diverging => {
                let full = low.abs().max(high.abs());
                // Beyond the shorter end there is no colour that the scale does not show.
                let within = value.max(low.min(0.0)).min(high.max(0.0));
                map.diverging_lab(if full > 0.0 { within / full } else { 0.0 })
            }
            Self::Swatches => map.swatch_lab(place(value)),
        }
    }
}

/// The place among the swatches that a value stands for; the first for one that is not known.
#[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "a few; `as` saturates")]
pub(super) fn place(value: f64) -> usize {
    value.round() as usize
}

/// A layer of values that tints a surface.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Tint<'a> {
    /// One for each cell of the table that is shown, row by row from the lowest load, in the layer's own unit. NaN where
    /// there is none: paper with a hatch.
    pub values: &'a [f64],
    /// Their colours.
    pub map: TintMap,
    /// The values at the ends of the map; what is beyond has the colour of the end.
    pub range: (f64, f64),
}

impl<'a> Tint<'a> {
    /// The table's own degrees over a range.
    pub fn advance(table: &'a Table, range: (f64, f64)) -> Self {
        Self { values: table.values(), map: TintMap::Sequential, range }
    }

    /// The colour of a value.
    pub(super) fn color(&self, map: &ColorMap, value: f64) -> Oklab {
        let color = self.map.lab(map, self.range, value);
        let is_of_paper = value.is_nan() || matches!(self.map, TintMap::Diverging | TintMap::Fading);
        if is_of_paper { sunk(color) } else { color }
    }
}

/// Paper a little darker than the sheet, so that a plain surface stands out from it.
pub(super) fn sunk(color: Oklab) -> Oklab {
    let shift = if color.l > 0.5 { -0.055 } else { 0.10 };
    Oklab { l: color.l + shift, ..color }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::drawing::{Ground, Look};

    #[test]
    fn no_colour_is_beyond_the_shorter_end_of_a_scale() {
        let map = ColorMap::new(Look::Light, Ground::Grid);
        let lab = |value: f64| TintMap::Diverging.lab(&map, (-2.0, 8.0), value);
        assert_eq!(lab(-6.0), lab(-2.0));
        assert_eq!(lab(-2.0), map.diverging_lab(-0.25));
        assert_eq!(lab(8.0), map.diverging_lab(1.0));
    }

    #[test]
    fn what_fades_is_strongest_at_the_lower_end_and_paper_at_the_upper() {
        for look in Look::ALL {
            let map = ColorMap::new(look, Ground::Grid);
            let lab = |value: f64| TintMap::Fading.lab(&map, (0.0, 4.0), value);
            assert_eq!((lab(0.0), lab(4.0)), (map.diverging_lab(-1.0), map.diverging_lab(0.0)));
            assert_eq!((lab(-1.0), lab(9.0)), (lab(0.0), lab(4.0)));
            let paper = lab(4.0).l;
            assert!((lab(1.0).l - paper).abs() > (lab(2.0).l - paper).abs(), "{look:?}");
        }
    }
}
