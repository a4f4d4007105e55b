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
    true_minus(&shortest(value))
}

/// The same with at least one decimal, as degrees are shown.
pub fn exact(value: f64) -> String {
    let text = written(value);
    if text.contains(['.', 'e']) { text } else { text + ".0" }
}

/// Replaces ASCII minus signs in a number by true ones, for text that a program produced.
pub fn true_minus(text: &str) -> String {
    text.replace('-', "\u{2212}")
}

/// Replaces true minus signs by ASCII ones, for text that a program reads back.
pub fn ascii(text: &str) -> String {
    text.replace('\u{2212}', "-")
}

/// Rounds to twelve decimals, so that 28.6 + 0.1 is 28.7 and not 28.700000000000003.
///
/// Goes through the decimal text, so the result is exact and settling it again changes nothing. NaN and
/// infinities come back as they are.
pub fn settle(value: f64) -> f64 {
    let settled = format!("{value:.12}").parse().unwrap_or(value);
    settled + 0.0
}

/// How many decimals a step needs: 0.5 one, 0.25 two, 1 one.
pub fn step_decimals(step: f64) -> usize {
    let needed = |decimals: &usize| {
        let text = format!("{step:.decimals$}");
        text.parse::<f64>().is_ok_and(|shown| (shown - step).abs() < 1e-9)
    };
    (1..=3).find(needed).unwrap_or(3)
}

/// A number with that many decimals, rounded by the rule of [`rounded`], with a true minus sign; a value that
/// rounds to zero has no sign.
pub fn fixed(value: f64, decimals: usize) -> String {
    true_minus(&fixed_ascii(value, decimals))
}

/// The same in ASCII, for files.
pub fn fixed_ascii(value: f64, decimals: usize) -> String {
    format!("{:.decimals$}", rounded(value, decimals))
}

/// With six decimals and an exponent, for coefficients of any size: '1.129241e−3'.
pub fn scientific(value: f64) -> String {
    true_minus(&format!("{value:.6e}"))
}

/// A number with that many decimals and its sign, `+4.0`; a value that rounds to zero has none.
pub fn signed(value: f64, decimals: usize) -> String {
    let text = fixed(value, decimals);
    if value > 0.0 && !reads_as_zero(&text) { format!("+{text}") } else { text }
}

/// A number with at most that many decimals and no trailing zeros. A value other than zero never reads as zero.
pub fn at_most(value: f64, decimals: usize) -> String {
    let settled = settle(value);
    let near = rounded(settled, decimals);
    written(if near == 0.0 { settled } else { near })
}

/// A change with its sign and that many decimals, or as many more as it takes not to read as zero.
pub fn change(value: f64, decimals: usize) -> String {
    let texts = (decimals..=MOST_DECIMALS).map(|decimals| signed(value, decimals));
    texts.into_iter().find(|text| !reads_as_zero(text)).unwrap_or_else(|| fixed(0.0, decimals))
}

/// The size of a change by the same rule, without its sign.
pub fn change_size(value: f64, decimals: usize) -> String {
    let text = change(value.abs(), decimals);
    text.strip_prefix('+').map_or(text.clone(), str::to_owned)
}

/// More decimals than this are never shown.
const MOST_DECIMALS: usize = 9;

fn reads_as_zero(text: &str) -> bool {
    !text.contains(|digit: char| matches!(digit, '1'..='9'))
}

/// A number rounded to that many decimals, halves away from zero: the rule by which every cell is rounded. What
/// counts as a half is decided by the shortest digits, as people read them: 0.15 becomes 0.2. Never `-0`.
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
    fn signs_are_true_and_zero_has_none() {
        assert_eq!([1.5, 0.01, -0.5, -0.04].map(|deg| signed(deg, 1)), ["+1.5", "0.0", "−0.5", "0.0"]);
        assert_eq!([-0.04, -2.0].map(|deg| fixed(deg, 1)), ["0.0", "−2.0"]);
        assert_eq!(scientific(-1.129_241e-3), "−1.129241e−3");
        assert_eq!((fixed_ascii(-0.04, 1), fixed_ascii(-0.06, 1)), ("0.0".into(), "-0.1".into()));
        assert_eq!([28.25, 14.5, 28.0].map(|deg| fixed_ascii(deg, 0)), ["28", "15", "28"]);
        assert_eq!(ascii(&true_minus("-40..40")), "-40..40");
    }

    #[test]
    fn what_is_not_zero_never_reads_as_zero() {
        assert_eq!(
            [33.125, 2.0 / 3.0, -10.0, 0.0, -0.0, 4e-4, 1e-17].map(|x| at_most(x, 3)),
            ["33.125", "0.667", "−10", "0", "0", "0.0004", "0"]
        );
        assert_eq!(
            [-2.0, 0.5, 0.04, -1e-6, 0.0].map(|deg| change(deg, 1)),
            ["−2.0", "+0.5", "+0.04", "−0.000001", "0.0"]
        );
        assert_eq!([-2.0, 0.04, 0.0].map(|deg| change_size(deg, 1)), ["2.0", "0.04", "0.0"]);
    }

    #[test]
    fn decimals_follow_the_step() {
        let cases = [(1.0, 1), (0.5, 1), (0.1, 1), (0.25, 2), (0.125, 3), (0.01, 2)];
        for (step, expected) in cases {
            assert_eq!(step_decimals(step), expected, "{step}");
        }
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
