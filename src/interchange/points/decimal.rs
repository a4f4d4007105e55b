//! Shortest decimals without an allocation.

use crate::wording::shortest;

/// Texts up to this length have at most fifteen digits, and of those one is always the nearest.
const SURE_LENGTH: usize = 16;
/// 2²²: of the values handled here, only its fractions can lie halfway between two decimals of 16 or 17 digits.
const HALFWAY_FRACTIONS: f64 = 4_194_304.0;

/// Appends what [`shortest`] gives. Domain: finite numbers.
///
/// Two decimals can be equally short and equally near; the fast writer then takes the even one, the standard library
/// the upper one. Such values, and those with an exponent, go the standard way.
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
