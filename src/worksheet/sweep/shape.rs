//! The shape of torque over advance: how much is lost at some distance from best torque.

/// The share of a curve's top at which the flat top ends.
pub(super) const FLAT_LOSS: f64 = 0.01;

/// q(d) = d²·(1 − s·d), the loss at d degrees retarded from best torque (negative: advanced), in units of the
/// curve's bend. The retarded side falls off more slowly than a parabola's, by the skew s.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) struct Shape {
    /// s, per degree.
    pub(super) skew: f64,
}

impl Shape {
    /// The skew comes from a computed burn (single zone, Wiebe function with a = 5 and m = 2 over 45 to 70°, heat
    /// loss), where 0.0105 to 0.0129 fits best; it is set a little lower, towards the parabola. No public source. It is no
    /// threshold of the project: nothing that is read on a brake tells it, and the parabola beside is the check of it.
    pub(super) const SHAPED: Self = Self { skew: 0.008 };
    /// Without any skew.
    pub(super) const PARABOLA: Self = Self { skew: 0.0 };

    /// q(d).
    pub(super) fn loss(self, retard_deg: f64) -> f64 {
        retard_deg * retard_deg * (1.0 - self.skew * retard_deg)
    }

    /// q′(d).
    pub(super) fn slope(self, retard_deg: f64) -> f64 {
        retard_deg * (2.0 - 3.0 * self.skew * retard_deg)
    }

    /// How far retarded the loss is as large as this; `None` beyond what the shape is made for.
    pub(super) fn retard_at(self, loss: f64) -> Option<f64> {
        // Beyond its turning point, at 2/(3s), the cubic falls again.
        let turn = if self.skew > 0.0 { 2.0 / (3.0 * self.skew) } else { f64::INFINITY };
        self.distance(loss, 1.0, turn)
    }

    /// How far advanced the loss is as large as this.
    pub(super) fn advance_at(self, loss: f64) -> Option<f64> {
        self.distance(loss, -1.0, f64::INFINITY)
    }

    fn distance(self, loss: f64, side: f64, turn: f64) -> Option<f64> {
        let is_short = |distance: f64| self.loss(side * distance) < loss;
        let far = (3.0 * loss.max(0.0).sqrt()).min(turn);
        (loss.is_finite() && !is_short(far)).then(|| bisect(0.0, far, is_short))
    }
}

/// Where a condition that holds at `holds` stops to hold on the way to `fails`, to the last digit.
pub(super) fn bisect(mut holds: f64, mut fails: f64, condition: impl Fn(f64) -> bool) -> f64 {
    loop {
        let middle = 0.5 * (holds + fails);
        if middle == holds || middle == fails {
            return middle;
        }
        if condition(middle) {
            holds = middle;
        } else {
            fails = middle;
        }
    }
}

/// Steps of a search by the golden section: enough to narrow a range down to a millionth of it.
const GOLDEN_STEPS: usize = 30;
const GOLDEN: f64 = 0.618_033_988_749_894_9;

/// Where a function is least between two places, if it has one valley there; by the golden section.
pub(super) fn least_between(mut low: f64, mut high: f64, f: impl Fn(f64) -> f64) -> f64 {
    let mut inner = [high - GOLDEN * (high - low), low + GOLDEN * (high - low)];
    let mut values = inner.map(&f);
    for _ in 0..GOLDEN_STEPS {
        if values[0] <= values[1] {
            (high, inner[1], values[1]) = (inner[1], inner[0], values[0]);
            inner[0] = high - GOLDEN * (high - low);
            values[0] = f(inner[0]);
        } else {
            (low, inner[0], values[0]) = (inner[0], inner[1], values[1]);
            inner[1] = low + GOLDEN * (high - low);
            values[1] = f(inner[1]);
        }
    }
    if values[0] <= values[1] { inner[0] } else { inner[1] }
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_abs_diff_eq;

    #[test]
    fn distances_lead_back_to_the_loss() {
        for shape in [Shape::SHAPED, Shape::PARABOLA] {
            for loss in [0.0, 0.25, 4.0, 20.0, 400.0, 1500.0] {
                let (retard, advance) = (shape.retard_at(loss).unwrap(), shape.advance_at(loss).unwrap());
                assert_abs_diff_eq!(shape.loss(retard), loss, epsilon = 1e-9);
                assert_abs_diff_eq!(shape.loss(-advance), loss, epsilon = 1e-9);
                assert!(retard >= advance, "the retarded side falls off more slowly");
            }
        }
        // The cubic turns at 2/(3s) = 83.3°, where it has come to 4/(27s²) = 2314.8.
        assert!(Shape::SHAPED.retard_at(2314.0).is_some() && Shape::SHAPED.retard_at(2316.0).is_none());
        assert!(Shape::SHAPED.retard_at(f64::NAN).is_none() && Shape::PARABOLA.retard_at(1e6).is_some());
    }

    #[test]
    fn the_slope_is_that_of_the_loss() {
        for retard in [-12.0, -0.5, 0.0, 3.0, 20.0] {
            let shape = Shape::SHAPED;
            let by_steps = (shape.loss(retard + 1e-5) - shape.loss(retard - 1e-5)) / 2e-5;
            assert_abs_diff_eq!(shape.slope(retard), by_steps, epsilon = 1e-8);
        }
    }

    #[test]
    fn the_valley_is_found() {
        assert_abs_diff_eq!(least_between(-3.0, 9.0, |x| (x - 2.5).powi(2)), 2.5, epsilon = 1e-5);
        assert_abs_diff_eq!(bisect(1.0, 2.0, |x| x * x < 2.0), std::f64::consts::SQRT_2, epsilon = 1e-15);
    }
}
