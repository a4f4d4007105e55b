//! The numbers that can be edited in the inspector and the panel of breakpoints.

use crate::interchange::{NumberError, typed_number};
use crate::project::LoadKind;
use crate::shaping::{Along, Step};
use crate::window::state::inspector_state::Field;
use crate::window::views::view::View;
use crate::wording::{Refusal, Unit, outside, settle};

impl Field {
    /// Its name for people who cannot see where it is.
    pub fn name(self) -> String {
        match self {
            Self::Amount(number) => number.name.into(),
            Self::Breakpoint(along, index) => format!("{along} breakpoint {}", index + 1),
            Self::InsertAt => "insert breakpoint at".into(),
            Self::Speeds => "number of speeds".into(),
            Self::Loads => "number of loads".into(),
        }
    }

    /// The unit shown after it.
    pub fn unit(self, load: LoadKind, along: Along) -> Unit {
        let axis = |along| match along {
            Along::Speed => Unit::Rpm,
            Along::Load => load.unit(),
        };
        match self {
            Self::Amount(number) => (number.unit)(load),
            Self::Speeds | Self::Loads => Unit::None,
            Self::Breakpoint(along, _) => axis(along),
            Self::InsertAt => axis(along),
        }
    }

    /// How much the Up and Down keys change it by.
    pub fn step(self, view: &View<'_>) -> f64 {
        match self {
            Self::Amount(number) => match number.step {
                Step::OfProject => view.project.step_deg,
                Step::By(step) => step,
            },
            Self::Speeds | Self::Loads => 1.0,
            Self::Breakpoint(Along::Speed, _) => 50.0,
            Self::Breakpoint(Along::Load, _) => 1.0,
            Self::InsertAt if view.screen.inspector.breakpoints.along == Along::Speed => 50.0,
            Self::InsertAt => 1.0,
        }
    }

    /// The range that the field accepts; the tools may refuse more.
    pub const fn range(self) -> (f64, f64) {
        match self {
            Self::Amount(number) => number.typed,
            Self::Speeds | Self::Loads => (2.0, 64.0),
            _ => (-1e6, 1e6),
        }
    }

    /// Reads what was typed.
    ///
    /// # Errors
    /// What is wrong with it and what is expected.
    pub fn read(self, text: &str) -> Result<f64, Refusal> {
        let value = read_amount(text).map_err(|error| Refusal::new(format!("{}: {error}", self.name())))?;
        let (low, high) = self.range();
        if (low..=high).contains(&value) {
            return Ok(value);
        }
        Err(Refusal::new(format!("{} {}", self.name(), outside(value, self.range(), Unit::None))))
    }

    /// One step up or down from a value.
    pub fn stepped(self, value: f64, steps: f64, view: &View<'_>) -> f64 {
        let (low, high) = self.range();
        settle(value + steps * self.step(view)).clamp(low, high)
    }
}

/// Units that may be typed after a number.
const UNITS: [&str; 5] = ["°", "%", "rpm", "kPa", "cells"];

/// Reads a typed number by the usual rules; a unit after it is allowed.
///
/// # Errors
/// [`NumberError`] if it is not a number.
pub fn read_amount(text: &str) -> Result<f64, NumberError> {
    let text = text.trim();
    let bare = UNITS.iter().find_map(|unit| text.strip_suffix(unit)).unwrap_or(text).trim_end();
    typed_number(bare)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::shaping::numbers;

    fn field(name: &str) -> Field {
        Field::Amount(numbers().find(|number| number.name == name).unwrap())
    }

    #[test]
    fn amounts_take_point_comma_and_unit() {
        for (text, value) in
            [("1.5", 1.5), (" 1,5 ", 1.5), ("-2°", -2.0), ("\u{2212}0,25 °", -0.25), ("3200 rpm", 3200.0), ("5 %", 5.0)]
        {
            assert_eq!(read_amount(text), Ok(value), "{text}");
        }
        for text in ["", "one", "1.2.3", "1,2,3", "1,000"] {
            assert!(read_amount(text).is_err(), "{text}");
        }
    }

    #[test]
    fn a_number_out_of_range_names_field_and_range() {
        assert_eq!(
            field("smoothing strength").read("11").unwrap_err().to_string(),
            "smoothing strength 11 is outside 0..10"
        );
        assert_eq!(
            field("set to").read("x").unwrap_err().to_string(),
            "set to: not a number; digits with one decimal mark are wanted"
        );
    }
}
