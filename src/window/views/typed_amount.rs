//! A number typed over others: what they become, how much is added to them, or what they are multiplied by.
//!
//! `+1`, `+=1` and `-=1.5` add and take away, `*1.05` multiplies, `+5%` and `-5%` change by a part. A minus alone
//! belongs to the number, since values below zero are common: `-2` sets −2.

use crate::wording::{Refusal, settle};

/// What a typed text asks for.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Typed {
    /// This value instead of the present one.
    Value(f64),
    /// So much more than now; less if it is negative.
    Add(f64),
    /// So many per cent more than now: 5 multiplies by 1.05.
    Scale {
        /// By how much, per cent.
        percent: f64,
    },
}

/// What a plus right before a number means.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Plus {
    /// It adds.
    Adds,
    /// It is a part of the number, where values are shown with their sign.
    OfNumber,
}

impl Typed {
    /// Reads a text; `number` reads the number in it.
    ///
    /// # Errors
    /// What is missing or ambiguous, with what to type instead; or what `number` refuses.
    pub fn read(text: &str, plus: Plus, number: impl Fn(&str) -> Result<f64, Refusal>) -> Result<Self, Refusal> {
        let bare = text.trim();
        if let Some(factor) = bare.strip_prefix(['*', '\u{d7}']) {
            return Self::multiplied(bare, factor, number);
        }
        let (part, is_percent) = bare.strip_suffix('%').map_or((bare, false), |part| (part.trim_end(), true));
        let Some((sign, after)) = signed(part) else {
            return if is_percent { Err(unsigned_percent(bare)) } else { number(bare).map(Self::Value) };
        };
        let (amount, adds) = match after.strip_prefix('=') {
            Some(amount) => (amount, true),
            None => (after, is_percent || (sign > 0.0 && plus == Plus::Adds)),
        };
        if !adds {
            return number(bare).map(Self::Value);
        }
        if amount.trim().is_empty() {
            return Err(Refusal::new(format!("type an amount after '{bare}'")));
        }
        if !part.contains('=') && signed(amount.trim()).is_some() {
            return Err(Refusal::new(format!("'{bare}' has two signs; type one of them")));
        }
        let amount = settle(sign * number(amount.trim())?);
        Ok(if is_percent { Self::Scale { percent: amount } } else { Self::Add(amount) })
    }

    fn multiplied(whole: &str, factor: &str, number: impl Fn(&str) -> Result<f64, Refusal>) -> Result<Self, Refusal> {
        let factor = factor.trim();
        if factor.is_empty() {
            return Err(Refusal::new(format!("type a factor after '{whole}', such as 1.05")));
        }
        if factor.ends_with('%') {
            let told = "multiplies by a part; type a factor such as *1.05, or a change such as +5%";
            return Err(Refusal::new(format!("'{whole}' {told}")));
        }
        Ok(Self::Scale { percent: settle(number(factor)? * 100.0 - 100.0) })
    }

    /// What becomes of a value.
    pub fn of(self, value: f64) -> f64 {
        match self {
            Self::Value(to) => to,
            Self::Add(by) => settle(value + by),
            Self::Scale { percent } => settle(value * (100.0 + percent) / 100.0),
        }
    }

    /// Whether it counts from the present value.
    pub const fn is_relative(self) -> bool {
        !matches!(self, Self::Value(_))
    }
}

/// Whether a text is meant to count from the present value, though it may not be complete.
pub fn looks_relative(text: &str, plus: Plus) -> bool {
    let bare = text.trim();
    bare.contains(['*', '\u{d7}', '=', '%']) || (plus == Plus::Adds && bare.starts_with('+'))
}

/// The sign that a text begins with, and what follows.
fn signed(text: &str) -> Option<(f64, &str)> {
    let plus = text.strip_prefix('+').map(|after| (1.0, after));
    plus.or_else(|| text.strip_prefix(['-', '\u{2212}']).map(|after| (-1.0, after)))
}

fn unsigned_percent(whole: &str) -> Refusal {
    Refusal::new(format!("'{whole}' has no sign; type +{whole} for more or -{whole} for less"))
}

#[cfg(test)]
mod tests {
    use proptest::prelude::*;

    use super::*;
    use crate::interchange::typed_number;

    fn read(text: &str, plus: Plus) -> Result<Typed, String> {
        let number = |text: &str| typed_number(text).map_err(|error| Refusal::new(error.to_string()));
        Typed::read(text, plus, number).map_err(|refusal| refusal.to_string())
    }

    #[test]
    fn signs_factors_and_parts_count_from_what_is_there() {
        let percent = |percent| Typed::Scale { percent };
        let cases = [
            ("12.5", Typed::Value(12.5)),
            ("-2", Typed::Value(-2.0)),
            ("\u{2212}2,5", Typed::Value(-2.5)),
            ("+1", Typed::Add(1.0)),
            (" + 1,5 ", Typed::Add(1.5)),
            ("+=1.5", Typed::Add(1.5)),
            ("-=1.5", Typed::Add(-1.5)),
            ("\u{2212}= 1,5", Typed::Add(-1.5)),
            ("-=-2", Typed::Add(2.0)),
            ("*1.05", percent(5.0)),
            ("* 1,05", percent(5.0)),
            ("\u{d7}0.9", percent(-10.0)),
            ("+5%", percent(5.0)),
            ("-5 %", percent(-5.0)),
            ("-=5%", percent(-5.0)),
        ];
        for (text, typed) in cases {
            assert_eq!(read(text, Plus::Adds), Ok(typed), "{text}");
        }
    }

    #[test]
    fn where_values_have_signs_a_plus_belongs_to_the_number() {
        assert_eq!(read("+3", Plus::OfNumber), Ok(Typed::Value(3.0)));
        assert_eq!(read("+=3", Plus::OfNumber), Ok(Typed::Add(3.0)));
        assert_eq!(read("+3%", Plus::OfNumber), Ok(Typed::Scale { percent: 3.0 }));
        assert!(looks_relative("+3", Plus::Adds) && !looks_relative("+3", Plus::OfNumber));
    }

    #[test]
    fn what_is_incomplete_or_ambiguous_is_refused_with_what_to_type() {
        let cases = [
            ("+", "type an amount after '+'"),
            ("-=", "type an amount after '-='"),
            ("+%", "type an amount after '+%'"),
            ("*", "type a factor after '*', such as 1.05"),
            ("*5%", "'*5%' multiplies by a part; type a factor such as *1.05, or a change such as +5%"),
            ("5%", "'5%' has no sign; type +5% for more or -5% for less"),
            ("+-2", "'+-2' has two signs; type one of them"),
            ("--2%", "'--2%' has two signs; type one of them"),
        ];
        for (text, why) in cases {
            assert_eq!(read(text, Plus::Adds).unwrap_err(), why, "{text}");
        }
        for text in ["", "+a", "*1.2.3", "=2", "+=1=2", "--2", "1+1", "2*3", "+1,234", "%"] {
            assert!(read(text, Plus::Adds).is_err(), "{text}");
        }
    }

    proptest! {
        #[test]
        fn what_is_added_is_what_was_typed(value in -60.0..90.0, thousandths in 0..40_000_i32) {
            let (value, by) = (settle(value), f64::from(thousandths) / 1000.0);
            for (sign, by) in [('+', by), ('-', -by)] {
                let typed = read(&format!("{sign}={}", by.abs()), Plus::Adds).unwrap();
                prop_assert!(typed.is_relative());
                prop_assert!((typed.of(value) - (value + by)).abs() < 1e-9);
            }
        }

        #[test]
        fn a_factor_and_its_part_are_the_same(value in -60.0..90.0, percent in -90..300_i32) {
            let factor = read(&format!("*{}", f64::from(100 + percent) / 100.0), Plus::Adds).unwrap();
            prop_assert_eq!(factor, read(&format!("{percent:+}%"), Plus::Adds).unwrap());
            prop_assert!((factor.of(value) - value * f64::from(100 + percent) / 100.0).abs() < 1e-9);
        }

        #[test]
        fn no_text_breaks_it(text in "[-+*×%=0-9.,− ]{0,10}") {
            drop(read(&text, Plus::Adds));
            drop(read(&text, Plus::OfNumber));
        }
    }
}
