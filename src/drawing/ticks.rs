//! Round numbers for axes and contour levels.

use crate::wording::fixed;

/// The smallest of 1, 2, 5 × 10ⁿ that divides `span` into at most `most` steps.
///
/// Domain: `span` > 0 and finite, `most` ≥ 1; anything else gives 1.
///
/// ```
/// assert_eq!(sparkloft::drawing::nice_step(37.0, 10), 5.0);
/// ```
pub fn nice_step(span: f64, most: usize) -> f64 {
    #[expect(clippy::cast_precision_loss, reason = "a count of ticks")]
    let least = span / most.max(1) as f64;
    if !least.is_normal() || least < 0.0 {
        return 1.0;
    }
    #[expect(clippy::cast_possible_truncation, reason = "the exponent of an f64")]
    let exponent = least.log10().floor() as i32;
    let candidates = [(1.0, 0), (2.0, 0), (5.0, 0), (1.0, 1)].map(|(digit, more)| scaled(digit, exponent + more));
    let fitting = candidates.into_iter().find(|&step| step >= least * (1.0 - 1e-12));
    fitting.unwrap_or_else(|| scaled(2.0, exponent + 1))
}

/// `digit` × 10^`exponent`, the nearest f64 also for negative exponents.
fn scaled(digit: f64, exponent: i32) -> f64 {
    if exponent >= 0 { digit * 10_f64.powi(exponent) } else { digit / 10_f64.powi(-exponent) }
}

/// Round numbers on an axis.
#[derive(Clone, Debug, PartialEq)]
pub struct Ticks {
    /// The distance between them: 1, 2 or 5 × 10ⁿ.
    pub step: f64,
    /// The multiples of the step within the range, ascending.
    pub values: Vec<f64>,
}

impl Ticks {
    /// The multiples of a round step in `low..=high`, with at most `most` steps; empty if the range is.
    pub fn within(low: f64, high: f64, most: usize) -> Self {
        let step = nice_step(high - low, most);
        Self { step, values: multiples(step, low, high).map(|(_, value)| value).collect() }
    }

    /// The text of a value with the decimals that the step needs; U+2212 for a minus.
    pub fn text(&self, value: f64) -> String {
        fixed(value, decimals(self.step))
    }
}

/// How many decimals it takes to write every multiple of a step of 1, 2 or 5 × 10ⁿ.
pub fn decimals(step: f64) -> usize {
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "not negative, at most 324")]
    let count = (-(step * (1.0 + 1e-9)).log10().floor()).max(0.0) as usize;
    count
}

/// `(k, k × step)` for every whole k whose product is in `low..=high`; the multiples are settled decimals.
pub(super) fn multiples(step: f64, low: f64, high: f64) -> impl Iterator<Item = (i64, f64)> {
    #[expect(clippy::cast_possible_truncation, reason = "saturates")]
    let whole = |x: f64| x as i64;
    let slack = step * 1e-9;
    let (first, last) = (whole(((low - slack) / step).ceil()), whole(((high + slack) / step).floor()));
    (first..=last).map(move |k| (k, multiple(step, k)))
}

/// k × `step` as the f64 nearest to that decimal: computed by division, since a step below one is the
/// reciprocal of a whole number or twice that.
#[expect(clippy::cast_precision_loss, reason = "tick numbers are small")]
pub(super) fn multiple(step: f64, k: i64) -> f64 {
    let per_unit = (1.0 / step).round();
    if step < 1.0 && (per_unit * step - 1.0).abs() < 1e-12 { k as f64 / per_unit } else { k as f64 * step }
}

/// `low..=high` widened to multiples of `step`.
pub fn widened(low: f64, high: f64, step: f64) -> (f64, f64) {
    ((low / step).floor() * step, (high / step).ceil() * step)
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    #[test]
    fn steps_are_the_known_ones() {
        for (span, most, step) in
            [(30.0, 16, 2.0), (7000.0, 5, 2000.0), (100.0, 5, 20.0), (1.0, 10, 0.1), (0.3, 2, 0.2)]
        {
            assert_eq!(nice_step(span, most), step, "{span}/{most}");
        }
        assert_eq!(nice_step(0.0, 5), 1.0);
        assert_eq!(nice_step(f64::NAN, 5), 1.0);
        assert_eq!(nice_step(f64::INFINITY, 5), 1.0);
    }

    #[test]
    fn texts_have_the_decimals_of_the_step() {
        let ticks = Ticks::within(-0.4, 0.4, 8);
        assert_eq!(
            ticks.values.iter().map(|&x| ticks.text(x)).collect::<Vec<_>>(),
            ["−0.4", "−0.3", "−0.2", "−0.1", "0.0", "0.1", "0.2", "0.3", "0.4"]
        );
        assert_eq!(Ticks::within(500.0, 7500.0, 4).values, [2000.0, 4000.0, 6000.0]);
        assert_eq!(Ticks::within(5.0, 1.0, 4).values, [] as [f64; 0]);
    }

    proptest! {
        #[test]
        fn ticks_are_few_and_inside(low in -1e5..1e5, span in 1e-3..1e5, most in 1_usize..20) {
            let ticks = Ticks::within(low, low + span, most);
            prop_assert!(ticks.values.len() <= most + 1);
            let slack = ticks.step * 1e-6;
            for x in &ticks.values {
                prop_assert!(*x >= low - slack && *x <= low + span + slack);
            }
            // With the next finer step there would have been too many.
            prop_assert!(ticks.step * (most as f64) < span * 2.5 * (1.0 + 1e-9));
        }
    }
}
