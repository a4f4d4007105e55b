//! From the text of one cell to a number.

use thiserror::Error;

/// The mark between the whole digits and the decimals.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash)]
pub enum DecimalMark {
    /// `28.5`
    Point,
    /// `28,5`
    Comma,
}

impl DecimalMark {
    /// The character itself.
    pub const fn character(self) -> char {
        match self {
            Self::Point => '.',
            Self::Comma => ',',
        }
    }

    /// The other one.
    pub const fn other(self) -> Self {
        match self {
            Self::Point => Self::Comma,
            Self::Comma => Self::Point,
        }
    }
}

/// Which characters may separate thousands. No-break spaces (U+00A0, U+202F) always may.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Thousands {
    /// No-break spaces only: the rule for files.
    Blank,
    /// Also the other decimal mark, as in `1,500.5`: the rule for the clipboard.
    BlankOrMark,
}

/// A number as far as its text alone determines it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Reading {
    /// It is unambiguous.
    Parsed {
        /// Its value.
        value: f64,
        /// The decimal mark it proves, if any.
        mark: Option<DecimalMark>,
    },
    /// Thousands or decimals, as in `1,234`: only the author knows.
    Ambiguous {
        /// The value if the mark is a decimal point.
        point: f64,
        /// The value if the mark is a decimal comma.
        comma: f64,
    },
}

/// Why a text is not a number.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Error)]
pub enum NumberError {
    /// Nothing but blanks.
    #[error("a number is missing")]
    Missing,
    /// Any other text.
    #[error("not a number; digits with one decimal mark are wanted")]
    NotANumber,
    /// A comma in a typed text that may separate thousands or decimals.
    #[error("the comma may part thousands or decimals; leave it out, or write one more decimal")]
    Comma,
    /// Too large for a number.
    #[error("not a finite number")]
    NotFinite,
}

/// Reads a number whose decimal mark is unknown. Accepted are surrounding blanks, a leading + or − (hyphen or
/// U+2212), thousands separated by no-break spaces or by the other mark, and an exponent; not NaN, infinities
/// or hexadecimal.
///
/// # Errors
/// [`NumberError`] if it is a number with neither mark.
pub fn read_number(text: &str) -> Result<Reading, NumberError> {
    let with = |mark| parse_number(text, mark, Thousands::BlankOrMark);
    match (with(DecimalMark::Point), with(DecimalMark::Comma)) {
        (Ok(value), Ok(same)) if value.to_bits() == same.to_bits() => Ok(Reading::Parsed { value, mark: None }),
        (Ok(point), Ok(comma)) => Ok(Reading::Ambiguous { point, comma }),
        (Ok(value), Err(_)) => Ok(Reading::Parsed { value, mark: Some(DecimalMark::Point) }),
        (Err(_), Ok(value)) => Ok(Reading::Parsed { value, mark: Some(DecimalMark::Comma) }),
        (Err(error), Err(_)) => Err(error),
    }
}

/// Reads a number that somebody types: as [`read_number`], but an ambiguous point counts as a decimal point, as
/// in every number that the program shows. An ambiguous comma is refused.
///
/// ```
/// use sparkloft::interchange::typed_number;
///
/// assert_eq!(typed_number("-2,5"), Ok(-2.5));
/// assert!(typed_number("1,000").is_err());
/// ```
///
/// # Errors
/// [`NumberError`] if it is not a number.
pub fn typed_number(text: &str) -> Result<f64, NumberError> {
    match read_number(text)? {
        Reading::Parsed { value, .. } => Ok(value),
        Reading::Ambiguous { .. } if text.contains(',') => Err(NumberError::Comma),
        Reading::Ambiguous { point, .. } => Ok(point),
    }
}

/// Reads a number whose decimal mark is known; otherwise as [`read_number`].
///
/// # Errors
/// [`NumberError`] if it is not a number.
pub fn parse_number(text: &str, mark: DecimalMark, thousands: Thousands) -> Result<f64, NumberError> {
    let text = text.trim();
    if text.is_empty() {
        return Err(NumberError::Missing);
    }
    let plain = plain_form(text, mark, thousands).ok_or(NumberError::NotANumber)?;
    let value: f64 = plain.parse().map_err(|_| NumberError::NotANumber)?;
    if value.is_finite() { Ok(value) } else { Err(NumberError::NotFinite) }
}

/// The number in the form that the standard parser reads: ASCII, a point, no thousands separators.
fn plain_form(text: &str, mark: DecimalMark, thousands: Thousands) -> Option<String> {
    let (sign, unsigned) = split_sign(text);
    let (body, exponent) = match unsigned.split_once(['e', 'E']) {
        Some((body, exponent)) => (body, Some(split_sign(exponent))),
        None => (unsigned, None),
    };
    let (whole, fraction) = body.split_once(mark.character()).unwrap_or((body, ""));
    let whole_digits = join_thousands(whole, mark, thousands)?;
    let grouped = whole_digits.len() != whole.len();
    if whole.is_empty() && fraction.is_empty() || !all_digits(fraction) {
        return None;
    }
    let mut plain = format!("{sign}{whole_digits}.{fraction}");
    if let Some((sign, digits)) = exponent {
        if grouped || digits.is_empty() || !all_digits(digits) {
            return None;
        }
        plain = format!("{plain}e{sign}{digits}");
    }
    Some(plain)
}

fn split_sign(text: &str) -> (&'static str, &str) {
    if let Some(rest) = text.strip_prefix(['-', '\u{2212}']) {
        return ("-", rest);
    }
    ("", text.strip_prefix('+').unwrap_or(text))
}

fn all_digits(text: &str) -> bool {
    text.bytes().all(|byte| byte.is_ascii_digit())
}

/// The whole digits without their thousands separators, which have to be one and the same character, every
/// three digits.
fn join_thousands(whole: &str, mark: DecimalMark, thousands: Thousands) -> Option<String> {
    let Some(parting) = whole.chars().find(|character| !character.is_ascii_digit()) else {
        return Some(whole.to_owned());
    };
    let by_mark = thousands == Thousands::BlankOrMark && parting == mark.other().character();
    if !by_mark && !matches!(parting, '\u{a0}' | '\u{202f}') {
        return None;
    }
    let mut groups = whole.split(parting);
    let first = groups.next()?;
    let first_fits = (1..=3).contains(&first.len()) && all_digits(first) && !first.starts_with('0');
    let rest_fits = groups.all(|group| group.len() == 3 && all_digits(group));
    (first_fits && rest_fits).then(|| whole.replace(parting, ""))
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn sure(text: &str) -> f64 {
        match read_number(text) {
            Ok(Reading::Parsed { value, .. }) => value,
            other => panic!("{text}: {other:?}"),
        }
    }

    #[test]
    fn a_typed_comma_in_doubt_is_refused_and_a_point_stands_before_decimals() {
        for (text, value) in [
            ("1,5", 1.5),
            ("12.125", 12.125),
            ("1,234.5", 1234.5),
            ("1.234,5", 1234.5),
            ("1,2500", 1.25),
            ("0,125", 0.125),
        ] {
            assert_eq!(typed_number(text), Ok(value), "{text}");
        }
        for text in ["1,000", " \u{2212}12,500 ", "6,000"] {
            assert_eq!(typed_number(text), Err(NumberError::Comma), "{text}");
        }
        assert_eq!(
            (typed_number(" "), typed_number("1.2.3")),
            (Err(NumberError::Missing), Err(NumberError::NotANumber))
        );
    }

    #[test]
    fn understands_what_spreadsheets_write() {
        let cases = [
            ("28.5", 28.5),
            ("28,5", 28.5),
            (" +7\t", 7.0),
            ("\u{2212}3,25", -3.25),
            ("\u{a0}1\u{a0}500\u{a0}", 1500.0),
            ("12\u{202f}345,5", 12345.5),
            ("1,500.5", 1500.5),
            ("1.500,5", 1500.5),
            ("1,234,567", 1_234_567.0),
            ("0.125", 0.125),
            ("0,125", 0.125),
            ("1234.567", 1234.567),
            (".5", 0.5),
            ("5.", 5.0),
            ("1e-9", 1e-9),
            ("1.25E+2", 125.0),
        ];
        for (text, value) in cases {
            assert_eq!(sure(text), value, "{text}");
        }
    }

    #[test]
    fn tells_when_a_mark_may_part_thousands() {
        assert_eq!(read_number("1,234"), Ok(Reading::Ambiguous { point: 1234.0, comma: 1.234 }));
        assert_eq!(read_number("-12.345"), Ok(Reading::Ambiguous { point: -12.345, comma: -12345.0 }));
        assert_eq!(parse_number("1,234", DecimalMark::Point, Thousands::BlankOrMark), Ok(1234.0));
        assert_eq!(parse_number("1,234", DecimalMark::Comma, Thousands::BlankOrMark), Ok(1.234));
        assert_eq!(parse_number("1,234", DecimalMark::Point, Thousands::Blank), Err(NumberError::NotANumber));
    }

    #[test]
    fn refuses_what_is_no_number() {
        let wrong = "NaN nan inf -infinity 0x10 1_000 1.2.3 1,2,3 12,34,567 1\u{a0}50 0\u{a0}500 - + . , e5 1e 1e5.0 --1 \
                     28° 5% 1\u{a0}000e3 1\u{a0}000\u{202f}000 ٣";
        for text in wrong.split(' ') {
            assert_eq!(read_number(text), Err(NumberError::NotANumber), "{text}");
        }
        assert_eq!(read_number("1e999"), Err(NumberError::NotFinite));
        assert_eq!(read_number(" \u{a0}\t"), Err(NumberError::Missing));
    }

    proptest! {
        #[test]
        fn reads_back_the_shortest_form_with_either_mark(value in proptest::num::f64::NORMAL | proptest::num::f64::SUBNORMAL) {
            let text = crate::wording::shortest(value);
            let point = parse_number(&text, DecimalMark::Point, Thousands::Blank).unwrap();
            let comma = parse_number(&text.replace('.', ","), DecimalMark::Comma, Thousands::Blank).unwrap();
            prop_assert_eq!(point.to_bits(), value.to_bits());
            prop_assert_eq!(comma.to_bits(), value.to_bits());
        }

        #[test]
        fn any_text_is_a_finite_number_or_an_error(text in "[-+0-9.,eE \u{a0}\u{2212}xnaif]{0,12}") {
            if let Ok(Reading::Parsed { value, .. }) = read_number(&text) {
                prop_assert!(value.is_finite());
            }
        }
    }
}
