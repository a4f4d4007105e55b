//! Decimal forms of a number.

/// The shortest decimal text that reads back to the same f64; the form of every number in JSON, CSV, TSV, RON and
/// on the clipboard. Plain digits where they are not longer than the form with an exponent; never `-0`.
///
/// Domain: finite numbers. The digits are Rust's shortest round-trip digits (Grisu with Dragon fallback).
pub fn shortest(value: f64) -> String {
    let value = if value == 0.0 { 0.0 } else { value };
    let magnitude = value.abs();
    if magnitude != 0.0 && !(1e-7..1e16).contains(&magnitude) {
        return format!("{value:e}");
    }
    format!("{value}")
}

/// The same digits for people, with a true minus sign.
pub fn written(value: f64) -> String {
    true_minus(shortest(value))
}

fn true_minus(text: String) -> String {
    if text.contains('-') { text.replace('-', "\u{2212}") } else { text }
}

/// Rounds to twelve decimals, so that 28.6 + 0.1 is 28.7 and not 28.700000000000003.
///
/// Goes through the decimal text: exact, and settling twice is settling once. NaN and infinities come back as they are.
pub fn settle(value: f64) -> f64 {
    let settled = format!("{value:.12}").parse().unwrap_or(value);
    settled + 0.0
}

/// '1 cell', '12 cells'.
pub fn count(number: usize, noun: &str) -> String {
    if number == 1 { format!("1 {noun}") } else { format!("{number} {noun}s") }
}

/// How many decimals a step needs: 0.5 one, 0.25 two, 1 one.
pub fn step_decimals(step: f64) -> usize {
    let needed = |decimals: &usize| {
        let text = format!("{step:.decimals$}");
        text.parse::<f64>().is_ok_and(|shown| (shown - step).abs() < 1e-9)
    };
    (1..=3).find(needed).unwrap_or(3)
}

/// A number with so many decimals, rounded by the rule of [`rounded`], and a true minus sign; a value that rounds to zero has no sign.
pub fn fixed(value: f64, decimals: usize) -> String {
    true_minus(format!("{:.decimals$}", rounded(value, decimals)))
}

/// The same with its sign, `+4.0`; what rounds to zero has none.
pub fn signed(value: f64, decimals: usize) -> String {
    let text = fixed(value, decimals);
    if value > 0.0 && text.contains(|digit| matches!(digit, '1'..='9')) { format!("+{text}") } else { text }
}

/// A number rounded to so many decimals, a half away from zero: the rule of every rounding of cells. The half is that of the
/// shortest digits, as they are read: 0.15 becomes 0.2. Never `-0`.
pub fn rounded(value: f64, decimals: usize) -> f64 {
    let digits = format!("{value}");
    let Some((whole, fraction)) = digits.split_once('.').filter(|(_, fraction)| fraction.len() > decimals) else {
        return value + 0.0;
    };
    let kept: f64 = format!("{whole}.{}", &fraction[..decimals]).parse().unwrap_or(value);
    let is_up = fraction.as_bytes().get(decimals).is_some_and(|&digit| digit >= b'5');
    #[expect(clippy::cast_possible_truncation, clippy::cast_possible_wrap, reason = "a few decimals")]
    let unit = if is_up { 10_f64.powi(-(decimals as i32)) } else { 0.0 };
    settle(kept + unit.copysign(value))
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn halves_are_rounded_away_from_zero() {
        let cases =
            [(14.5, 0, 15.0), (-14.5, 0, -15.0), (9.25, 1, 9.3), (0.15, 1, 0.2), (-0.04, 1, 0.0), (28.0, 1, 28.0)];
        for (value, decimals, wanted) in cases {
            assert_eq!(rounded(value, decimals), wanted, "{value}");
        }
        assert_eq!((rounded(0.96, 1), rounded(9.999, 2), rounded(1e-9, 3)), (1.0, 10.0, 0.0));
    }

    #[test]
    fn one_is_no_plural() {
        assert_eq!((count(1, "cell"), count(0, "cell")), ("1 cell".into(), "0 cells".into()));
    }

    #[test]
    fn shortest_writes_plain_digits() {
        let cases = [(28.0, "28"), (28.7, "28.7"), (-0.0, "0"), (-3.25, "-3.25"), (1e21, "1e21"), (1e-9, "1e-9")];
        for (value, text) in cases {
            assert_eq!(shortest(value), text);
        }
    }

    #[test]
    fn settle_removes_the_dust_of_a_sum() {
        assert_eq!(settle(28.6 + 0.1), 28.7);
        assert_eq!(settle(0.1 + 0.2), 0.3);
        assert_eq!(settle(-1e-15).to_bits(), 0.0_f64.to_bits());
    }

    proptest! {
        #[test]
        fn shortest_reads_back_to_the_same_bits(value in proptest::num::f64::NORMAL | proptest::num::f64::SUBNORMAL) {
            prop_assert_eq!(shortest(value).parse::<f64>().unwrap().to_bits(), value.to_bits());
        }

        #[test]
        fn settle_is_idempotent(value in -30000.0..30000.0) {
            prop_assert_eq!(settle(settle(value)).to_bits(), settle(value).to_bits());
        }
    }
}
