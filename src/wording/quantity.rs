//! Numbers with their units: quantities, figures, points of the table, ranges along an axis, and allowed
//! ranges.

use super::Unit;
use super::number::{at_most, fixed, signed, written};

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

#[cfg(test)]
mod tests {
    use super::*;

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
}
