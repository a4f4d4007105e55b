//! Reads plain decimal numbers while looking for their end, and writes shortest decimals without allocating.

use crate::wording::shortest;

/// Powers of ten that an f64 holds exactly.
const POWERS: [f64; 23] = [
    1e0, 1e1, 1e2, 1e3, 1e4, 1e5, 1e6, 1e7, 1e8, 1e9, 1e10, 1e11, 1e12, 1e13, 1e14, 1e15, 1e16, 1e17, 1e18, 1e19, 1e20,
    1e21, 1e22,
];

/// The most digits that never overflow an unsigned 64-bit integer.
const MOST_DIGITS: usize = 19;

/// Reads `-?digits[.digits]` at the start of `bytes`; returns the number and its length. `None` for any other
/// form.
///
/// Up to 2⁵³ the digits and the power of ten are both exact, so one division is correctly rounded (Clinger, "How to
/// read floating point numbers accurately", 1990); longer ones go to the general reader.
#[inline]
pub(super) fn plain_number(bytes: &[u8]) -> Option<(f64, usize)> {
    let negative = bytes.first() == Some(&b'-');
    let start = usize::from(negative);
    let (whole, mut end) = digits(bytes, start, 0);
    let mut mantissa = whole;
    let mut count = end - start;
    let mut decimals = 0;
    if bytes.get(end) == Some(&b'.') {
        let point = end;
        (mantissa, end) = digits(bytes, point + 1, whole);
        decimals = end - point - 1;
        count += decimals;
    }
    if count == 0 {
        return None;
    }
    if count > MOST_DIGITS || mantissa > 1 << 53 {
        return general(bytes.get(..end)?).map(|value| (value, end));
    }
    #[expect(clippy::cast_precision_loss, reason = "not above 2^53")]
    let value = mantissa as f64 / POWERS.get(decimals)?;
    Some((if negative { -value } else { value }, end))
}

/// Continues while there are digits; overflow wraps, which the caller notices by their count.
#[inline]
fn digits(bytes: &[u8], mut at: usize, mut value: u64) -> (u64, usize) {
    while let Some(digit) = bytes.get(at).map(|byte| byte.wrapping_sub(b'0')).filter(|&digit| digit < 10) {
        value = value.wrapping_mul(10).wrapping_add(u64::from(digit));
        at += 1;
    }
    (value, at)
}

#[cold]
fn general(bytes: &[u8]) -> Option<f64> {
    fast_float2::parse::<f64, _>(bytes).ok().filter(|value| value.is_finite())
}

/// Texts up to this length have at most fifteen digits, and then one decimal is always the nearest.
const SURE_LENGTH: usize = 16;
/// 2²²: of the values handled here, only multiples of 1/2²² can lie halfway between two decimals of 16 or 17 digits.
const HALFWAY_FRACTIONS: f64 = 4_194_304.0;

/// Appends what [`shortest`] gives. Domain: finite numbers.
///
/// Two decimals can be equally short and equally near; the fast writer then takes the even one, the standard
/// library the upper one. Such values, and those with an exponent, are left to the standard library.
#[inline]
pub(in crate::interchange) fn push_shortest(out: &mut Vec<u8>, value: f64) {
    let plain_in_both = (1e-4..1e15).contains(&value.abs());
    let mut buffer = zmij::Buffer::new();
    let text = if plain_in_both { buffer.format_finite(value) } else { "" };
    let may_be_halfway = text.len() > SURE_LENGTH && (value * HALFWAY_FRACTIONS).fract() == 0.0;
    if !plain_in_both || may_be_halfway {
        out.extend_from_slice(shortest(value).as_bytes());
        return;
    }
    out.extend_from_slice(text.strip_suffix(".0").unwrap_or(text).as_bytes());
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn stops_where_the_number_ends() {
        assert_eq!(plain_number(b"3200.5,20"), Some((3200.5, 6)));
        assert_eq!(plain_number(b"-7\r\n"), Some((-7.0, 2)));
        assert_eq!(plain_number(b".5;"), Some((0.5, 2)));
        assert_eq!(plain_number(b"5."), Some((5.0, 2)));
        assert_eq!(plain_number(b"1e5"), Some((1.0, 1)));
        for other in ["", "-", ".", "-.", "+1", " 1", "nan", "\"1\""] {
            assert_eq!(plain_number(other.as_bytes()), None, "{other}");
        }
        assert_eq!(plain_number("9".repeat(400).as_bytes()), None);
    }

    proptest! {
        #![proptest_config(ProptestConfig::with_cases(4000))]

        #[test]
        fn is_correctly_rounded(text in "-?[0-9]{1,20}(\\.[0-9]{0,24})?") {
            let (value, end) = plain_number(text.as_bytes()).unwrap();
            prop_assert_eq!(end, text.len());
            prop_assert_eq!(value.to_bits(), text.parse::<f64>().unwrap().to_bits());
        }
    }

    fn pushed(value: f64) -> String {
        let mut out = Vec::new();
        push_shortest(&mut out, value);
        String::from_utf8(out).unwrap()
    }

    #[test]
    fn edges_are_the_same_as_shortest() {
        for value in [
            0.5 + 0.5_f64.powi(17),
            2_576_091_960_009_661.0 / 4.0,
            0.0,
            -0.0,
            1e-4,
            9.9e-5,
            1e15,
            1e16,
            123_456_789_012_345.0,
            28.0,
            -28.5,
            0.1,
            1e-7,
            1e300,
        ] {
            assert_eq!(pushed(value), shortest(value));
        }
    }

    proptest! {
        #![proptest_config(ProptestConfig::with_cases(4000))]

        #[test]
        fn is_the_same_as_shortest(any in proptest::num::f64::NORMAL | proptest::num::f64::SUBNORMAL, deg in -60.0..90.0) {
            prop_assert_eq!(pushed(any), shortest(any));
            prop_assert_eq!(pushed(deg), shortest(deg));
        }

        #[test]
        fn is_the_same_halfway_between_two_decimals(whole in 0..1_u64 << 53, bits in 1..40_i32) {
            #[expect(clippy::cast_precision_loss, reason = "below 2^53")]
            let value = whole as f64 * 0.5_f64.powi(bits);
            prop_assert_eq!(pushed(value), shortest(value));
            let fewer = (value * 1024.0).trunc() / 1024.0 + 0.5_f64.powi(bits.min(22));
            prop_assert_eq!(pushed(fewer), shortest(fewer));
        }
    }
}
