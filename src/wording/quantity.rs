//! Numbers as text: their decimal forms, and with their units as quantities, figures, points of the table, ranges
//! along an axis, and allowed ranges.

use super::Unit;

/// A number that is text already, with its unit: '23 %', '−2.0°', '15°/1000 rpm', '1 pulse'. Only degrees and
/// ratios stand without a space.
pub fn with_unit(number: &str, unit: Unit) -> String {
    let text = if matches!(number, "1" | "−1") { unit.text_of_one() } else { unit.text() };
    if unit.stands_close() { format!("{number}{text}") } else { format!("{number} {text}") }
}

/// A number that was given, without its unit: its own digits, to at most three decimals if it has a unit;
/// degrees and degrees per something have at least one decimal.
pub fn given(value: f64, unit: Unit) -> String {
    with_a_decimal(if unit.is_none() { written(value) } else { at_most(value, unit.most_decimals()) }, unit)
}

/// A load without its unit: the digits are the same in every unit of load.
pub fn given_load(load: f64) -> String {
    given(load, Unit::Kilopascal)
}

/// Adds a decimal to degrees that would read as a whole number.
fn with_a_decimal(text: String, unit: Unit) -> String {
    if unit.is_degrees() && !text.contains(['.', 'e', 'n', 'N']) { text + ".0" } else { text }
}

/// The same with its unit: '60 kPa', '26.0°', '0.55 V'.
///
/// ```
/// use sparkloft::wording::{Unit, quantity};
///
/// assert_eq!(quantity(26.0, Unit::Degree), "26.0°");
/// assert_eq!(quantity(100.0 / 3.0, Unit::Kilopascal), "33.333 kPa");
/// assert_eq!(quantity(1.0, Unit::Pulse), "1 pulse");
/// ```
pub fn quantity(value: f64, unit: Unit) -> String {
    with_unit(&given(value, unit), unit)
}

/// The same with its sign: '+1.5°', '−10 %'.
pub fn signed_quantity(value: f64, unit: Unit) -> String {
    let text = quantity(value, unit);
    if value > 0.0 { format!("+{text}") } else { text }
}

/// A number that was computed, without its unit.
pub fn figure_number(value: f64, unit: Unit) -> String {
    fixed(value, unit.decimals())
}

/// The same with its unit: '90.6 mJ', '2.86 ms', '−3.57°'.
///
/// ```
/// use sparkloft::wording::{Unit, figure};
///
/// assert_eq!(figure(2.857_142, Unit::Millisecond), "2.86 ms");
/// assert_eq!(figure(-3.5, Unit::Degree), "−3.50°");
/// ```
pub fn figure(value: f64, unit: Unit) -> String {
    with_unit(&figure_number(value, unit), unit)
}

/// The same with its sign, none at zero: '+4.00°'.
pub fn signed_figure(value: f64, unit: Unit) -> String {
    with_unit(&signed(value, unit.decimals()), unit)
}

/// A number that was computed and is compared with a bound, without its unit: at most the decimals of a
/// [`figure`] and no trailing zeros, but as many more decimals as it takes to read differently from the bound.
pub fn held_against(value: f64, bound: f64, unit: Unit) -> String {
    let bound = given(bound, unit);
    let texts = (unit.decimals()..=MOST_APART).map(|decimals| with_a_decimal(at_most(value, decimals), unit));
    texts.into_iter().find(|text| *text != bound).unwrap_or(bound)
}

/// More decimals than this are never needed to tell two numbers of a project apart.
const MOST_APART: usize = 9;

/// A point of the table: '3000 rpm, 60 kPa'.
pub fn point(speed_rpm: f64, load: f64, load_unit: Unit) -> String {
    format!("{}, {}", quantity(speed_rpm, Unit::Rpm), quantity(load, load_unit))
}

/// A range with both ends: '2400–4200 rpm', '−20 to 80 °C'; '2400 rpm' where both ends read the same.
pub fn range((low, high): (f64, f64), unit: Unit) -> String {
    let joint = if low < 0.0 || high < 0.0 { " to " } else { "–" };
    let (low, high) = (given(low, unit), given(high, unit));
    if low == high { with_unit(&low, unit) } else { with_unit(&format!("{low}{joint}{high}"), unit) }
}

/// The range that a number may lie in: '−40..40°', '200..3000 rpm'.
pub fn bounds((low, high): (f64, f64), unit: Unit) -> String {
    with_unit(&format!("{}..{}", written(low), written(high)), unit)
}

/// '70 is outside −60..60°': the number keeps the digits in which it was given.
pub fn outside(value: f64, within: (f64, f64), unit: Unit) -> String {
    let given = if value.is_finite() { written(value) } else { "a number that is not finite".into() };
    format!("{given} is outside {}", bounds(within, unit))
}

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
    // Most numbers have none.
    if text.as_bytes().contains(&b'-') { text.replace('-', "\u{2212}") } else { text.to_owned() }
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
    settled_shortly(value).unwrap_or_else(|| settled_by_text(value))
}

fn settled_by_text(value: f64) -> f64 {
    let settled = format!("{value:.12}").parse().unwrap_or(value);
    settled + 0.0
}

/// What most numbers of a project settle to, without a text. A number with at most twelve binary decimals has at most
/// twelve decimals and stands as it is. Below 4096 numbers lie less than 5e-13 apart, so that one within 2.5e-13 of the
/// nearest to a decimal of four places rounds to just that decimal.
fn settled_shortly(value: f64) -> Option<f64> {
    if (value * 4096.0).fract() == 0.0 {
        return Some(value + 0.0);
    }
    let nearest = (value * 1e4).round() / 1e4;
    (value.abs() < 4096.0 && (value - nearest).abs() < 2.5e-13).then_some(nearest + 0.0)
}

/// How many decimals a step needs: 0.5 one, 0.25 two, 1 one.
pub fn step_decimals(step: f64) -> usize {
    let needed = |decimals: &usize| {
        if has_at_most(step, *decimals) {
            return true;
        }
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

/// Whether a number is known at once to have no more decimals, as those of a project mostly have: one with so many binary
/// decimals has no more decimal ones.
fn has_at_most(value: f64, decimals: usize) -> bool {
    let binary = f64::from(1_u32 << decimals.min(12));
    value.abs() < 1e9 && (value * binary).fract() == 0.0
}

/// A number rounded to that many decimals, halves away from zero: the rule by which every cell is rounded. What
/// counts as a half is decided by the shortest digits, as people read them: 0.15 becomes 0.2. Never `-0`.
pub fn rounded(value: f64, decimals: usize) -> f64 {
    if has_at_most(value, decimals) { value + 0.0 } else { rounded_by_digits(value, decimals) }
}

fn rounded_by_digits(value: f64, decimals: usize) -> f64 {
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
    fn only_degrees_and_ratios_stand_close() {
        let told = [
            quantity(60.0, Unit::Kilopascal),
            quantity(26.0, Unit::Degree),
            quantity(9.0, Unit::Celsius),
            quantity(15.25, Unit::DegreePer1000Rpm),
            quantity(8.0, Unit::DegreePer1000Rpm),
            quantity(10.8, Unit::ToOne),
            quantity(-0.392_157, Unit::None),
        ];
        assert_eq!(told, ["60 kPa", "26.0°", "9 °C", "15.25°/1000 rpm", "8.0°/1000 rpm", "10.8:1", "−0.392157"]);
    }

    #[test]
    fn units_that_are_words_agree_with_their_number() {
        let words = [Unit::Reading, Unit::Condition, Unit::Pulse, Unit::Pitch, Unit::Tooth, Unit::Count].map(|unit| {
            for value in [0.0, 0.5, 2.0, 11.0] {
                assert_eq!(quantity(value, unit), format!("{} {unit}", written(value)));
            }
            (quantity(1.0, unit), unit.text())
        });
        let wanted = [
            ("1 reading", "readings"),
            ("1 condition", "conditions"),
            ("1 pulse", "pulses"),
            ("1 pitch", "pitches"),
            ("1 tooth", "teeth"),
            ("1 count", "counts"),
        ];
        assert_eq!(words, wanted.map(|(one, many)| (one.to_owned(), many)));
        assert_eq!(quantity(-1.0, Unit::Pulse), "−1 pulse");
    }

    #[test]
    fn every_number_has_the_decimals_of_its_unit() {
        assert_eq!(
            [quantity(33.125, Unit::Percent), quantity(100.0 / 3.0, Unit::Kilopascal)],
            ["33.125 %", "33.333 kPa"]
        );
        assert_eq!(
            [quantity(2.0 / 3.0, Unit::Degree), signed_quantity(2.0 / 3.0, Unit::Degree)],
            ["0.667°", "+0.667°"]
        );
        assert_eq!([signed_quantity(-10.0, Unit::Percent), signed_quantity(0.0, Unit::Degree)], ["−10 %", "0.0°"]);
        assert_eq!(
            [figure(90.55, Unit::Millijoule), figure(2.857_142, Unit::Millisecond), figure(37.64, Unit::Microsecond)],
            ["90.6 mJ", "2.86 ms", "37.6 µs"]
        );
        assert_eq!([4.0, -1.5, 0.004].map(|deg| signed_figure(deg, Unit::Degree)), ["+4.00°", "−1.50°", "0.00°"]);
    }

    #[test]
    fn what_is_held_against_a_bound_has_few_decimals_and_never_reads_like_it() {
        let told = [
            held_against(6.451_612_9, 5.0, Unit::Percent),
            held_against(10.0 / 3.0, 3.0, Unit::DegreePer1000Rpm),
            held_against(16.0, 15.0, Unit::DegreePer1000Rpm),
            held_against(5.004, 5.0, Unit::Percent),
            held_against(15.000_4, 15.0, Unit::DegreePer1000Rpm),
            held_against(0.912_345, 1.0, Unit::Percent),
        ];
        assert_eq!(told, ["6.5", "3.33", "16.0", "5.004", "15.0004", "0.9"]);
        assert_eq!(held_against(5.0, 5.0, Unit::Percent), "5");
    }

    #[test]
    fn places_and_stretches_read_well() {
        assert_eq!(point(3000.0, 60.0, Unit::Kilopascal), "3000 rpm, 60 kPa");
        assert_eq!(range((2400.0, 4200.0), Unit::Rpm), "2400–4200 rpm");
        assert_eq!(range((48.0, 48.0), Unit::Percent), "48 %");
        assert_eq!(range((33.333_333, 66.5), Unit::Kilopascal), "33.333–66.5 kPa");
        assert_eq!(
            (range((-20.0, 80.0), Unit::Celsius), range((-5.0, -1.0), Unit::Degree)),
            ("−20 to 80 °C".into(), "−5.0 to −1.0°".into())
        );
        assert_eq!(outside(70.0, (-60.0, 60.0), Unit::Degree), "70 is outside −60..60°");
        assert_eq!(outside(f64::NAN, (0.0, 1.0), Unit::None), "a number that is not finite is outside 0..1");
    }

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
        fn settling_shortly_is_settling_by_text(
            count in -50_000_000..50_000_000_i64,
            unit in prop_oneof![Just(1e-4), Just(1e-3), Just(0.05), Just(0.25), Just(1.0 / 4096.0), Just(1.0 / 8192.0), Just(1e-5)],
            dust in -4000..4000_i64,
        ) {
            let value = count as f64 * unit;
            for value in [value, f64::from_bits(value.to_bits().wrapping_add_signed(dust)), value + dust as f64 * 1e-15] {
                prop_assert_eq!(settle(value).to_bits(), settled_by_text(value).to_bits(), "{}", value);
            }
        }

        #[test]
        fn settling_shortly_is_settling_by_text_of_any_number(value in proptest::num::f64::ANY) {
            let (shortly, by_text) = (settle(value), settled_by_text(value));
            prop_assert!(shortly.to_bits() == by_text.to_bits() || shortly.is_nan() && by_text.is_nan());
        }

        #[test]
        fn what_needs_no_rounding_is_known_without_its_digits(
            count in -50_000_000..50_000_000_i64,
            unit in prop_oneof![Just(1.0), Just(0.05), Just(0.25), Just(1.0 / 4096.0), Just(1e-5), Just(1e3)],
            decimals in 0..10_usize,
        ) {
            let value = count as f64 * unit;
            let (at_once, by_digits) = (rounded(value, decimals), rounded_by_digits(value, decimals));
            prop_assert_eq!(at_once.to_bits(), by_digits.to_bits(), "{} to {}", value, decimals);
        }

        #[test]
        fn settle_is_idempotent(value in -30000.0..30000.0) {
            prop_assert_eq!(settle(settle(value)).to_bits(), settle(value).to_bits());
        }
    }
}
