//! Numbers with their units.

use super::number::{at_most, fixed, signed, written};

/// Units that are words, with the word for one of them.
const WORDS: [(&str, &str); 6] = [
    ("readings", "reading"),
    ("conditions", "condition"),
    ("pulses", "pulse"),
    ("pitches", "pitch"),
    ("teeth", "tooth"),
    ("counts", "count"),
];

/// More decimals than this are not shown of a number that was given; those without a unit are factors and shown whole.
fn most_decimals(unit: &str) -> usize {
    match unit {
        "mJ" | "µs" => 1,
        _ => 3,
    }
}

/// The decimals of a number that was computed.
fn decimals(unit: &str) -> usize {
    match unit {
        "rpm" | "kPa" => 0,
        "°C" | "ms" | "s" | "mm" => 2,
        "V" => 3,
        unit if is_degrees(unit) => 2,
        _ => 1,
    }
}

/// Degrees, or degrees per something.
fn is_degrees(unit: &str) -> bool {
    unit == "°" || unit.starts_with("°/")
}

/// A text of a number with its unit: '23 %', '−2.0°', '15°/1000 rpm', '1 pulse'. Only degrees and ratios stand close.
pub fn with_unit(number: &str, unit: &str) -> String {
    if unit.is_empty() || is_degrees(unit) || unit.starts_with(':') {
        return format!("{number}{unit}");
    }
    let one = WORDS.iter().find(|(many, _)| *many == unit).filter(|_| matches!(number, "1" | "−1"));
    format!("{number} {}", one.map_or(unit, |(_, one)| one))
}

/// A number that was given, without its unit: its own digits, to the thousandth at the finest where it has a unit; degrees
/// and degrees per something have at least one decimal.
pub fn given(value: f64, unit: &str) -> String {
    with_a_decimal(if unit.is_empty() { written(value) } else { at_most(value, most_decimals(unit)) }, unit)
}

/// Degrees never read as a whole number.
fn with_a_decimal(text: String, unit: &str) -> String {
    if is_degrees(unit) && !text.contains(['.', 'e', 'n', 'N']) { text + ".0" } else { text }
}

/// The same with its unit: '60 kPa', '26.0°', '0.55 V'.
pub fn quantity(value: f64, unit: &str) -> String {
    with_unit(&given(value, unit), unit)
}

/// The same with its sign: '+1.5°', '−10 %'.
pub fn signed_quantity(value: f64, unit: &str) -> String {
    let text = quantity(value, unit);
    if value > 0.0 { format!("+{text}") } else { text }
}

/// A number that was computed, without its unit.
pub fn figure_number(value: f64, unit: &str) -> String {
    fixed(value, decimals(unit))
}

/// The same with its unit: '90.6 mJ', '2.86 ms', '−3.57°'.
pub fn figure(value: f64, unit: &str) -> String {
    with_unit(&figure_number(value, unit), unit)
}

/// The same with its sign, none at zero: '+4.00°'.
pub fn signed_figure(value: f64, unit: &str) -> String {
    with_unit(&signed(value, decimals(unit)), unit)
}

/// A number that was computed and is held against another one, without its unit: at most the decimals of a [`figure`], none
/// of them a zero at the end, and as many more as it takes to read otherwise than what it is held against.
pub fn held_against(value: f64, bound: f64, unit: &str) -> String {
    let bound = given(bound, unit);
    let texts = (decimals(unit)..=MOST_APART).map(|decimals| with_a_decimal(at_most(value, decimals), unit));
    texts.into_iter().find(|text| *text != bound).unwrap_or(bound)
}

/// More decimals than this are never needed to tell two numbers of a project apart.
const MOST_APART: usize = 9;

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn only_degrees_and_ratios_stand_close() {
        let told = [
            quantity(60.0, "kPa"),
            quantity(26.0, "°"),
            quantity(9.0, "°C"),
            quantity(15.25, "°/1000 rpm"),
            quantity(8.0, "°/1000 rpm"),
            quantity(10.8, ":1"),
            quantity(-0.392_157, ""),
        ];
        assert_eq!(told, ["60 kPa", "26.0°", "9 °C", "15.25°/1000 rpm", "8.0°/1000 rpm", "10.8:1", "−0.392157"]);
    }

    #[test]
    fn units_that_are_words_agree_with_their_number() {
        for (many, one) in WORDS {
            assert_eq!(quantity(1.0, many), format!("1 {one}"));
            for value in [0.0, 0.5, 2.0, 11.0] {
                assert_eq!(quantity(value, many), format!("{} {many}", written(value)));
            }
        }
    }

    #[test]
    fn every_number_has_the_decimals_of_its_unit() {
        assert_eq!([quantity(33.125, "%"), quantity(100.0 / 3.0, "kPa")], ["33.125 %", "33.333 kPa"]);
        assert_eq!([quantity(2.0 / 3.0, "°"), signed_quantity(2.0 / 3.0, "°")], ["0.667°", "+0.667°"]);
        assert_eq!([signed_quantity(-10.0, "%"), signed_quantity(0.0, "°")], ["−10 %", "0.0°"]);
        assert_eq!(
            [figure(90.55, "mJ"), figure(2.857_142, "ms"), figure(37.64, "µs")],
            ["90.6 mJ", "2.86 ms", "37.6 µs"]
        );
        assert_eq!([4.0, -1.5, 0.004].map(|deg| signed_figure(deg, "°")), ["+4.00°", "−1.50°", "0.00°"]);
    }

    #[test]
    fn what_is_held_against_a_bound_has_few_decimals_and_never_reads_like_it() {
        let told = [
            held_against(6.451_612_9, 5.0, "%"),
            held_against(10.0 / 3.0, 3.0, "°/1000 rpm"),
            held_against(16.0, 15.0, "°/1000 rpm"),
            held_against(5.004, 5.0, "%"),
            held_against(15.000_4, 15.0, "°/1000 rpm"),
            held_against(0.912_345, 1.0, "%"),
        ];
        assert_eq!(told, ["6.5", "3.33", "16.0", "5.004", "15.0004", "0.9"]);
        assert_eq!(held_against(5.0, 5.0, "%"), "5");
    }
}
