//! Cyclic speed variation: the crank slows into each compression and speeds up after it.

/// ω(θ) = ω̄·(1 + c·cos(k(θ − θ0))) with ω̄ = mean/√(1 − c²), so that the run's speed is the mean over time.
///
/// Its *even angle* is where the crank would be without the variation: the even angle grows at the run's speed. Writing
/// ψ = k(θ − θ0), dψ/(1 + c·cos ψ) integrates to 2/√(1 − c²)·atan(√((1 − c)/(1 + c))·tan(ψ/2)) (any table of integrals),
/// so that the even angle's phase is 2·atan(√((1 − c)/(1 + c))·tan(ψ/2)), and the other way about with the root inverted.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Swing {
    periods: f64,
    fastest_deg: f64,
    root: f64,
}

impl Swing {
    /// A variation of `depth` (0..=0.5) with `periods` to a revolution, fastest at `fastest_deg` of crank.
    pub fn new(depth: f64, periods: u8, fastest_deg: f64) -> Self {
        Self { periods: f64::from(periods.max(1)), fastest_deg, root: ((1.0 - depth) / (1.0 + depth)).sqrt() }
    }

    /// The even angle at a crank angle, both in degrees.
    pub fn even_deg(&self, crank_deg: f64) -> f64 {
        self.turned(crank_deg, self.root)
    }

    /// The crank angle at an even angle, both in degrees.
    pub fn crank_deg(&self, even_deg: f64) -> f64 {
        self.turned(even_deg, 1.0 / self.root)
    }

    /// Only the small difference is computed, so that the many turns before it cost no digits.
    fn turned(&self, deg: f64, root: f64) -> f64 {
        let phase_deg = self.periods * (deg - self.fastest_deg);
        let phase = (phase_deg - 360.0 * (phase_deg / 360.0).round()).to_radians();
        let (sine, cosine) = (phase / 2.0).sin_cos();
        deg + (2.0 * (root * sine).atan2(cosine) - phase).to_degrees() / self.periods
    }
}

#[cfg(test)]
mod tests {
    use approx::assert_abs_diff_eq;
    use proptest::prelude::*;

    use super::*;

    /// The closed form against the rule of Simpson over dθ/(1 + c·cos(k(θ − θ0))), times √(1 − c²).
    #[test]
    fn agrees_with_the_integral() {
        let (depth, fastest_deg) = (0.5_f64, 33.0);
        let swing = Swing::new(depth, 3, fastest_deg);
        let slowness = |deg: f64| 1.0 / (1.0 + depth * (3.0 * (deg - fastest_deg)).to_radians().cos());
        let (steps, width) = (20_000, 500.0 / 20_000.0);
        let weight = |step: i32| if step == 0 || step == steps { 1.0 } else { f64::from(2 + 2 * (step % 2)) };
        let sum: f64 = (0..=steps).map(|step| weight(step) * slowness(f64::from(step) * width)).sum();
        let integral = sum * width / 3.0 * (1.0 - depth * depth).sqrt();
        assert_abs_diff_eq!(swing.even_deg(500.0) - swing.even_deg(0.0), integral, epsilon = 1e-9);
    }

    proptest! {
        #[test]
        fn is_undone_exactly_and_keeps_whole_turns(
            depth in 0.0..0.5, periods in 2_u8..5, fastest_deg in -360.0..720.0, deg in -1e5..1e6,
        ) {
            let swing = Swing::new(depth, periods, fastest_deg);
            prop_assert!((swing.crank_deg(swing.even_deg(deg)) - deg).abs() < 1e-9);
            prop_assert!((swing.even_deg(deg + 360.0) - swing.even_deg(deg) - 360.0).abs() < 1e-9);
        }
    }
}
