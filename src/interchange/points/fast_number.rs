//! Plain decimal numbers, read while looking for their end.

/// Powers of ten that a double holds exactly.
const POWERS: [f64; 23] = [
    1e0, 1e1, 1e2, 1e3, 1e4, 1e5, 1e6, 1e7, 1e8, 1e9, 1e10, 1e11, 1e12, 1e13, 1e14, 1e15, 1e16, 1e17, 1e18, 1e19, 1e20,
    1e21, 1e22,
];

/// Up to so many digits an unsigned 64-bit integer does not overflow.
const MOST_DIGITS: usize = 19;

/// Reads `-?digits[.digits]` at the start of `bytes`; gives the number and how long it is. `None` for any other form.
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

/// Reads on while there are digits; wraps when there are too many, which the caller sees by their count.
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
}
