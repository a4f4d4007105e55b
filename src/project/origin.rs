//! Where a cell's value came from.

use serde::{Deserialize, Serialize};

/// Where a cell's value came from.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Origin {
    /// Entered by hand, or moved by hand.
    Typed,
    /// Found on the engine.
    Measured,
    /// Computed between other cells.
    Interpolated,
    /// Moved by fairing or a slope limit.
    Faired,
    /// Fitted to measurements.
    Fitted,
    /// Computed from a model.
    Modelled,
    /// Read from a file or pasted.
    Imported,
    /// Part of a new project's starting table.
    Starter,
    /// Extrapolated beyond where the engine was ever run.
    Extended,
}

impl Origin {
    /// Every origin, in the order of the legend.
    pub const ALL: [Self; 9] = [
        Self::Typed,
        Self::Measured,
        Self::Interpolated,
        Self::Faired,
        Self::Fitted,
        Self::Modelled,
        Self::Imported,
        Self::Starter,
        Self::Extended,
    ];

    /// The word for it.
    pub const fn name(self) -> &'static str {
        match self {
            Self::Typed => "typed",
            Self::Measured => "measured",
            Self::Interpolated => "interpolated",
            Self::Faired => "faired",
            Self::Fitted => "fitted",
            Self::Modelled => "modelled",
            Self::Imported => "imported",
            Self::Starter => "starter",
            Self::Extended => "extended",
        }
    }

    /// The letter that stands for it in a project file; upper case there when the cell is held.
    pub const fn letter(self) -> char {
        match self {
            Self::Typed => 't',
            Self::Measured => 'm',
            Self::Interpolated => 'i',
            Self::Faired => 's',
            Self::Fitted => 'f',
            Self::Modelled => 'd',
            Self::Imported => 'p',
            Self::Starter => 'a',
            Self::Extended => 'x',
        }
    }

    /// Whether a tool computed it from other cells and nobody has checked it yet.
    pub const fn is_computed(self) -> bool {
        matches!(self, Self::Interpolated | Self::Faired | Self::Extended)
    }

    /// The origin with that letter, lower case.
    pub fn from_letter(letter: char) -> Option<Self> {
        Self::ALL.into_iter().find(|origin| origin.letter() == letter)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn letters_are_unique_and_read_back() {
        for origin in Origin::ALL {
            assert_eq!(Origin::from_letter(origin.letter()), Some(origin));
        }
        assert_eq!(Origin::from_letter('T'), None);
    }
}
