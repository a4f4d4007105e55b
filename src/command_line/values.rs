//! Types for values on the command line.

use std::str::FromStr;

use clap::builder::PossibleValue;

use crate::interchange::DecimalMark;
use crate::project::{Chamber, Induction};
use crate::wording::Refusal;

/// A range given by both ends, in axis units.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Range(pub(super) (f64, f64));

impl FromStr for Range {
    type Err = Refusal;

    fn from_str(text: &str) -> Result<Self, Refusal> {
        let (low, high) = text
            .split_once("..")
            .ok_or_else(|| Refusal::new("write a range as LOWEST..HIGHEST, one breakpoint as 40..40"))?;
        Ok(Self((number(low)?, number(high)?)))
    }
}

/// A finite number with a decimal point.
pub(super) fn number(text: &str) -> Result<f64, Refusal> {
    let value = text.trim().parse().ok().filter(|value: &f64| value.is_finite());
    value.ok_or_else(|| Refusal::new(format!("'{text}' is not a number")))
}

/// The size of a table, SPEEDSxLOADS. Whether the size is possible is for the project to decide.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) struct Size {
    pub(super) speeds: usize,
    pub(super) loads: usize,
}

impl FromStr for Size {
    type Err = Refusal;

    fn from_str(text: &str) -> Result<Self, Refusal> {
        let parts = text.split_once(['x', 'X', '×']);
        let parts = parts.and_then(|(speeds, loads)| Some((speeds.parse().ok()?, loads.parse().ok()?)));
        let (speeds, loads) =
            parts.ok_or_else(|| Refusal::new("write a size as SPEEDSxLOADS, such as 16x12; 2x2 to 64x64"))?;
        Ok(Self { speeds, loads })
    }
}

impl clap::ValueEnum for Chamber {
    fn value_variants<'a>() -> &'a [Self] {
        &Self::ALL
    }

    fn to_possible_value(&self) -> Option<PossibleValue> {
        let help = match self {
            Self::SideValve => "Valves beside the bore",
            Self::TwoValveSidePlug => "Two valves, the plug at the side",
            Self::TwoValveHemispherical => "Two valves, hemispherical",
            Self::TwoValveTwoPlugs => "Two valves and two plugs",
            Self::FourValveCentralPlug => "Four valves, the plug in the middle",
            Self::FastBurnHighTumble => "Made to burn fast: high tumble",
        };
        Some(PossibleValue::new(self.name().replace('_', "-")).help(help))
    }
}

impl clap::ValueEnum for Induction {
    fn value_variants<'a>() -> &'a [Self] {
        &[Self::NaturallyAspirated, Self::Boosted, Self::Supercharged]
    }

    fn to_possible_value(&self) -> Option<PossibleValue> {
        let (name, help) = match self {
            Self::NaturallyAspirated => ("naturally-aspirated", "Drawn in by the pistons alone"),
            Self::Boosted => ("boosted", "Pressed in by a turbocharger"),
            Self::Supercharged => ("supercharged", "Pressed in by a supercharger"),
        };
        Some(PossibleValue::new(name).help(help))
    }
}

/// What stands before decimals in a file.
#[derive(Clone, Copy, Debug, PartialEq, Eq, clap::ValueEnum)]
pub(super) enum Mark {
    /// 12.5; commas may part thousands
    Point,
    /// 12,5; points may part thousands
    Comma,
}

impl From<Mark> for DecimalMark {
    fn from(mark: Mark) -> Self {
        match mark {
            Mark::Point => Self::Point,
            Mark::Comma => Self::Comma,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn ranges_may_be_negative_and_fractional() {
        let cases = [("2800..3700", (2800.0, 3700.0)), ("-5..10", (-5.0, 10.0)), ("-0.5..-.25", (-0.5, -0.25))];
        for (text, range) in cases {
            assert_eq!(text.parse(), Ok(Range(range)));
        }
        for bad in ["", "5", "..", "1..", "..2", "a..b", "1..inf", "NaN..2", "1e999..2"] {
            assert!(bad.parse::<Range>().is_err(), "{bad}");
        }
    }

    #[test]
    fn sizes_are_two_whole_numbers() {
        for text in ["16x12", "16X12", "16×12"] {
            assert_eq!(text.parse(), Ok(Size { speeds: 16, loads: 12 }));
        }
        for bad in ["16", "16x", "x16", "-1x2", "1.5x2", "16x12x3"] {
            assert!(bad.parse::<Size>().is_err(), "{bad}");
        }
    }
}
