//! Numbers as people read them: a true minus sign, an en dash between the ends of a range, a space before a unit.

use crate::wording::rounded;

/// More decimals than this are never shown.
const MOST_DECIMALS: usize = 9;

/// '2400–4200 rpm', or '2400 rpm' where both ends are the same.
pub fn range((low, high): (f64, f64), unit: &str) -> String {
    let (low, high) = (plain(low), plain(high));
    if low == high { quantity(&low, unit) } else { quantity(&format!("{low}–{high}"), unit) }
}

/// A number with its unit: '23 %', '−2°'.
pub fn quantity(number: &str, unit: &str) -> String {
    match unit {
        "" => number.to_owned(),
        unit if unit == "°" || unit.starts_with("°/") => format!("{number}{unit}"),
        unit => format!("{number} {unit}"),
    }
}

/// A breakpoint with at most two decimals.
pub fn plain(value: f64) -> String {
    let text = format!("{value:.2}");
    match text.trim_end_matches('0').trim_end_matches('.') {
        "-0" => "0".into(),
        text => true_minus(text),
    }
}

/// Degrees to `decimals`; what is not zero gets as many more as it takes not to read as zero.
pub fn degrees(deg: f64, decimals: usize) -> String {
    let reads_as_zero = |text: &str| !text.contains(|digit: char| ('1'..='9').contains(&digit));
    let text = (decimals..=MOST_DECIMALS)
        .map(|decimals| format!("{:.decimals$}", rounded(deg, decimals)))
        .find(|text| !reads_as_zero(text));
    let text = text.unwrap_or_else(|| format!("{:.decimals$}", 0.0));
    format!("{}°", true_minus(&text))
}

/// Degrees with their sign written out, both ways; zero has none.
pub fn signed_degrees(deg: f64, decimals: usize) -> String {
    let text = degrees(deg, decimals);
    if deg > 0.0 && text.contains(|digit: char| ('1'..='9').contains(&digit)) { format!("+{text}") } else { text }
}

/// A share in whole per cent; all but everything is 99, all but nothing is 1.
pub(super) fn percent(share: f64) -> String {
    let rounded = (share * 100.0).round();
    let whole = if share < 1.0 { rounded.min(99.0) } else { rounded };
    let whole = if share > 0.0 { whole.max(1.0) } else { whole };
    format!("{whole}")
}

/// With U+2212 for a leading hyphen.
pub fn true_minus(number: &str) -> String {
    number.strip_prefix('-').map_or_else(|| number.to_owned(), |digits| format!("−{digits}"))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn ranges_and_numbers_read_well() {
        assert_eq!(range((2400.0, 4200.0), "rpm"), "2400–4200 rpm");
        assert_eq!(range((48.0, 48.0), "%"), "48 %");
        assert_eq!(range((33.333_333, 66.5), "kPa"), "33.33–66.5 kPa");
        assert_eq!(quantity("−2", "°"), "−2°");
        assert_eq!((quantity("15", "°/1000 rpm"), quantity("9", "°C")), ("15°/1000 rpm".into(), "9 °C".into()));
        assert_eq!(plain(-10.0), "−10");
        assert_eq!(plain(100.0), "100");
        assert_eq!(plain(0.0), "0");
        assert_eq!((plain(-0.001), plain(-0.0), plain(-0.01)), ("0".into(), "0".into(), "−0.01".into()));
    }

    #[test]
    fn degrees_never_hide_a_change() {
        assert_eq!(degrees(2.0, 1), "2.0°");
        assert_eq!(degrees(0.04, 1), "0.04°");
        assert_eq!(degrees(0.0, 1), "0.0°");
        assert_eq!(degrees(-0.0, 1), "0.0°");
        assert_eq!(signed_degrees(-0.2, 1), "−0.2°");
        assert_eq!(signed_degrees(0.25, 2), "+0.25°");
        assert_eq!(signed_degrees(0.0, 1), "0.0°");
    }

    #[test]
    fn a_share_is_whole_only_when_it_is() {
        let cases = [(1.0, "100"), (0.999, "99"), (0.84, "84"), (0.001, "1"), (0.0, "0")];
        for (share, text) in cases {
            assert_eq!(percent(share), text);
        }
    }
}
