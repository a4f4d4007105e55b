//! How sure the cells are of a fit to the measured points, and what else a layer's values are found by.

use crate::shaping::Sure;
use crate::table::Table;

/// What a layer's values are found by, besides the table.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Against<'a> {
    /// The base, if there is one; its load is of the same kind.
    pub base: Option<&'a Table>,
    /// How sure the cells are.
    pub sure: HowSure<'a>,
}

impl<'a> Against<'a> {
    /// A base, and nothing of how sure cells are.
    pub const fn base(base: Option<&'a Table>) -> Self {
        Self { base, sure: HowSure::NoPoints }
    }
}

/// How sure the cells of a table would be of a fit to its measured points, as far as that is known.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub enum HowSure<'a> {
    /// No point that is in use lies within the axes.
    #[default]
    NoPoints,
    /// It is still being found, or could not be.
    NotKnown,
    /// Of every cell, in the order of the table's values; `None` for held ones, which no fit moves.
    Of(&'a [Option<Sure>]),
}

impl HowSure<'_> {
    /// That of a cell, by its index into the table's values.
    pub fn at(self, index: usize) -> Option<Sure> {
        match self {
            Self::NoPoints | Self::NotKnown => None,
            Self::Of(cells) => cells.get(index).copied().flatten(),
        }
    }

    /// The ± of every cell of a table, see [`Sure::within_deg`]; NaN where there is none.
    pub fn values(self, table: &Table) -> Vec<f64> {
        let within_deg = |index: usize| self.at(index).map_or(f64::NAN, |sure| sure.within_deg());
        (0..table.values().len()).map(within_deg).collect()
    }

    /// Why a cell has none, and the same in a word or two.
    pub(super) const fn unknown(self) -> [&'static str; 2] {
        match self {
            Self::NoPoints => ["no measured points", "no points"],
            Self::NotKnown => ["not known yet", "not yet"],
            Self::Of(_) => ["held", "held"],
        }
    }
}
