//! Numbers as they stand in sentences.

/// Degrees with a true minus sign: `4.0°`, `−1.5°`.
pub fn deg(value: f64, decimals: usize) -> String {
    number(value, decimals) + "°"
}

/// Degrees with their sign, none at zero: `+4.0°`.
pub fn signed_deg(value: f64, decimals: usize) -> String {
    let text = deg(value, decimals);
    let is_zero = text.chars().all(|c| !c.is_ascii_digit() || c == '0');
    if is_zero || text.starts_with('\u{2212}') { text } else { format!("+{text}") }
}

/// A number with a true minus sign; what rounds to zero has none.
pub fn number(value: f64, decimals: usize) -> String {
    let text = format!("{value:.decimals$}");
    match text.strip_prefix('-') {
        Some(rest) if rest.chars().all(|c| matches!(c, '0' | '.')) => rest.to_owned(),
        Some(rest) => format!("\u{2212}{rest}"),
        None => text,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn signs_are_true_and_zero_has_none() {
        assert_eq!([4.0, -1.5, 0.04, -0.04].map(|x| signed_deg(x, 1)), ["+4.0°", "−1.5°", "0.0°", "0.0°"]);
        assert_eq!([deg(10.0, 0), deg(-10.0, 0), number(-0.2, 0)], ["10°", "−10°", "0"]);
    }
}
