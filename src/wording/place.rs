//! Places on the table, stretches of an axis, and what a number may be.

use super::number::written;
use super::quantity::{given, quantity, with_unit};

/// A place on the table: '3000 rpm, 60 kPa'.
pub fn point(speed_rpm: f64, load: f64, load_unit: &str) -> String {
    format!("{}, {}", quantity(speed_rpm, "rpm"), quantity(load, load_unit))
}

/// A stretch with both ends: '2400–4200 rpm', '−20 to 80 °C'; '2400 rpm' where both ends read the same.
pub fn range((low, high): (f64, f64), unit: &str) -> String {
    let joint = if low < 0.0 || high < 0.0 { " to " } else { "–" };
    let (low, high) = (given(low, unit), given(high, unit));
    if low == high { with_unit(&low, unit) } else { with_unit(&format!("{low}{joint}{high}"), unit) }
}

/// What a number may be: '−40..40°', '200..3000 rpm'.
pub fn bounds((low, high): (f64, f64), unit: &str) -> String {
    with_unit(&format!("{}..{}", written(low), written(high)), unit)
}

/// '70 is outside −60..60°': the number with the digits that were given.
pub fn outside(value: f64, within: (f64, f64), unit: &str) -> String {
    let given = if value.is_finite() { written(value) } else { "a number that is not finite".into() };
    format!("{given} is outside {}", bounds(within, unit))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn places_and_stretches_read_well() {
        assert_eq!(point(3000.0, 60.0, "kPa"), "3000 rpm, 60 kPa");
        assert_eq!(range((2400.0, 4200.0), "rpm"), "2400–4200 rpm");
        assert_eq!(range((48.0, 48.0), "%"), "48 %");
        assert_eq!(range((33.333_333, 66.5), "kPa"), "33.333–66.5 kPa");
        assert_eq!(
            (range((-20.0, 80.0), "°C"), range((-5.0, -1.0), "°")),
            ("−20 to 80 °C".into(), "−5.0 to −1.0°".into())
        );
        assert_eq!(outside(70.0, (-60.0, 60.0), "°"), "70 is outside −60..60°");
        assert_eq!(outside(f64::NAN, (0.0, 1.0), ""), "a number that is not finite is outside 0..1");
    }
}
