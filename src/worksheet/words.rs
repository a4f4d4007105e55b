//! Degrees as they stand in sentences.

use crate::wording::{fixed, signed};

/// Degrees with a true minus sign: `4.0°`, `−1.5°`.
pub fn deg(value: f64, decimals: usize) -> String {
    fixed(value, decimals) + "°"
}

/// Degrees with their sign, none at zero: `+4.0°`.
pub fn signed_deg(value: f64, decimals: usize) -> String {
    signed(value, decimals) + "°"
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn signs_are_true_and_zero_has_none() {
        assert_eq!([4.0, -1.5, 0.04, -0.04].map(|x| signed_deg(x, 1)), ["+4.0°", "−1.5°", "0.0°", "0.0°"]);
        assert_eq!([deg(10.0, 0), deg(-10.0, 0)], ["10°", "−10°"]);
    }
}
