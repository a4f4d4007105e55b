//! How a throttle fills the manifold.

use std::f64::consts::FRAC_PI_2;

use serde::Serialize;

/// Ratio of specific heats of air.
const GAMMA: f64 = 1.4;
/// Below this ratio of pressures the flow is choked: (2/(γ+1))^(γ/(γ−1)).
const CHOKED_RATIO: f64 = 0.528_281_787_717_173_6;
/// The angle of a closed plate, in degrees. Common practice, no source.
const CLOSED_DEG: f64 = 7.0;
/// The speed at which K is told, in rpm.
const AT_RPM: f64 = 2500.0;
/// So many halvings find a pressure to the last digit.
const HALVINGS: usize = 60;
/// Standard atmosphere in kPa.
pub const STANDARD_ATMOSPHERE_KPA: f64 = 101.325;

/// Throttle and engine as three figures: K(n)·f(x)·Ψ(r) = n·r with r manifold over ambient pressure, n the speed in rpm and
/// K(n) = K·(n/2500)^e.
///
/// The flow is that of an orifice, Cd·A·p/√(RT)·Ψ(r), and the engine draws η·p·r/(RT)·Vd·n/120 (Heywood, Internal
/// Combustion Engine Fundamentals, 1988, ch. 7, from memory): Cd, area, displacement and filling are all in K. The free
/// area is f = (1 − l)(1 − cos ψ/cos ψ₀) + l of a plate without its shaft, which K takes in.
#[derive(Clone, Copy, Debug, PartialEq, Serialize)]
pub struct Filling {
    /// K at 2500 rpm, in rpm.
    pub size_rpm: f64,
    /// What passes the closed plate, as a share of the open bore.
    pub leak: f64,
    /// By which power of speed K grows.
    pub exponent: f64,
    /// Pressure of the air around, kPa.
    pub ambient_kpa: f64,
}

/// Why no throttle opening gives a pressure.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Unreachable {
    /// Closed it lets more air in.
    BelowClosed,
    /// Wide open it lets less air in.
    BeyondOpen,
}

/// What a change of the figures does to r, per unit of ln K, ln l and e.
pub(super) type Slopes = [f64; 3];

impl Filling {
    /// A guess for an engine of which nothing was logged: one plate of 50 mm for 2 l, and filling that falls with speed.
    /// Common practice, no source.
    pub fn guessed(displacement_l: f64, ambient_kpa: f64) -> Self {
        Self { size_rpm: 28_000.0 * 2.0 / displacement_l, leak: 0.012, exponent: -0.3, ambient_kpa }
    }

    /// Manifold pressure in kPa at a speed in rpm above 0 and an opening in %, clamped to 0..=100.
    pub fn pressure_kpa(&self, speed_rpm: f64, opening_pct: f64) -> f64 {
        self.ratio(speed_rpm, opening_pct) * self.ambient_kpa
    }

    /// The opening in % that gives a manifold pressure in kPa at a speed in rpm, in closed form.
    ///
    /// # Errors
    /// [`Unreachable`] where none does.
    pub fn opening_pct(&self, speed_rpm: f64, pressure_kpa: f64) -> Result<f64, Unreachable> {
        let ratio = pressure_kpa / self.ambient_kpa;
        if ratio >= 1.0 {
            return Err(Unreachable::BeyondOpen);
        }
        let free = speed_rpm * ratio / (self.size_at(speed_rpm) * flow(ratio));
        if free < self.leak {
            return Err(Unreachable::BelowClosed);
        }
        if free > 1.0 {
            return Err(Unreachable::BeyondOpen);
        }
        let closed = CLOSED_DEG.to_radians();
        let angle = ((1.0 - (free - self.leak) / (1.0 - self.leak)) * closed.cos()).clamp(-1.0, 1.0).acos();
        Ok(((angle - closed) / (FRAC_PI_2 - closed) * 100.0).clamp(0.0, 100.0))
    }

    /// Manifold over ambient pressure. One side falls with it and the other rises, so that there is one.
    pub(super) fn ratio(&self, speed_rpm: f64, opening_pct: f64) -> f64 {
        let passes = self.size_at(speed_rpm) * self.free(opening_pct);
        let choked = passes * flow(CHOKED_RATIO) / speed_rpm;
        if choked <= CHOKED_RATIO {
            return choked;
        }
        let (mut low, mut high) = (CHOKED_RATIO, 1.0);
        for _ in 0..HALVINGS {
            let middle = 0.5 * (low + high);
            if passes * flow(middle) > speed_rpm * middle {
                low = middle;
            } else {
                high = middle;
            }
        }
        0.5 * (low + high)
    }

    /// What a change of the figures does to a ratio that was found: the implicit derivative.
    pub(super) fn slopes(&self, speed_rpm: f64, opening_pct: f64, ratio: f64) -> Slopes {
        let free = self.free(opening_pct);
        let passes = self.size_at(speed_rpm) * free;
        let by_size = passes * flow(ratio) / (speed_rpm - passes * flow_slope(ratio));
        let by_leak = by_size * self.leak * (1.0 - plate(opening_pct)) / free;
        [by_size, by_leak, by_size * (speed_rpm / AT_RPM).ln()]
    }

    fn size_at(&self, speed_rpm: f64) -> f64 {
        self.size_rpm * (speed_rpm / AT_RPM).powf(self.exponent)
    }

    /// The free area as a share of the open bore.
    fn free(&self, opening_pct: f64) -> f64 {
        (1.0 - self.leak) * plate(opening_pct) + self.leak
    }

    /// K that a logged place alone would give, without an exponent; for a start.
    pub(super) fn size_from(leak: f64, speed_rpm: f64, opening_pct: f64, ratio: f64) -> f64 {
        let free = (1.0 - leak) * plate(opening_pct) + leak;
        speed_rpm * ratio / (free * flow(ratio))
    }
}

/// The free area of a plate without leak, as a share of the bore.
fn plate(opening_pct: f64) -> f64 {
    let closed = CLOSED_DEG.to_radians();
    let angle = closed + (FRAC_PI_2 - closed) * opening_pct.clamp(0.0, 100.0) / 100.0;
    (1.0 - angle.cos() / closed.cos()).max(0.0)
}

/// Ψ(r) = √(2γ/(γ−1)·(r^(2/γ) − r^((γ+1)/γ))), constant where the flow is choked.
fn flow(ratio: f64) -> f64 {
    let ratio = ratio.clamp(CHOKED_RATIO, 1.0);
    let inner = ratio.powf(2.0 / GAMMA) - ratio.powf((GAMMA + 1.0) / GAMMA);
    (2.0 * GAMMA / (GAMMA - 1.0) * inner.max(0.0)).sqrt()
}

/// dΨ/dr, 0 where the flow is choked.
fn flow_slope(ratio: f64) -> f64 {
    let value = flow(ratio);
    if ratio <= CHOKED_RATIO || value < 1e-9 {
        return 0.0;
    }
    let inner = 2.0 * ratio.powf(2.0 / GAMMA - 1.0) - (GAMMA + 1.0) * ratio.powf(1.0 / GAMMA);
    inner / (GAMMA - 1.0) / value
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_abs_diff_eq;

    const FILLING: Filling =
        Filling { size_rpm: 30_000.0, leak: 0.012, exponent: -0.3, ambient_kpa: STANDARD_ATMOSPHERE_KPA };

    /// The critical ratio and flow of air: (2/2.4)^3.5, by hand.
    #[test]
    fn the_flow_is_that_of_a_nozzle() {
        assert_abs_diff_eq!(CHOKED_RATIO, (2.0_f64 / 2.4).powf(3.5), epsilon = 1e-12);
        assert_abs_diff_eq!(flow(0.3), 0.684_731_456, epsilon = 1e-9);
        assert_abs_diff_eq!(flow(1.0), 0.0, epsilon = 1e-7);
        for ratio in [0.6, 0.8, 0.95] {
            let difference = (flow(ratio + 1e-6) - flow(ratio - 1e-6)) / 2e-6;
            assert_abs_diff_eq!(flow_slope(ratio), difference, epsilon = 1e-6);
        }
    }

    /// Values of an independent computation with SciPy.
    #[test]
    fn pressures_by_speed_and_opening() {
        for (speed_rpm, opening_pct, kpa) in [
            (850.0, 0.0, 40.614_096),
            (850.0, 3.0, 60.887_492),
            (2000.0, 10.0, 44.355_175),
            (2000.0, 20.0, 80.633_986),
            (4000.0, 20.0, 39.694_213),
            (4000.0, 50.0, 91.909_446),
            (6000.0, 100.0, 98.002_636),
        ] {
            assert_abs_diff_eq!(FILLING.pressure_kpa(speed_rpm, opening_pct), kpa, epsilon = 1e-6);
        }
    }

    /// Values of an independent computation with SciPy.
    #[test]
    fn openings_by_speed_and_pressure() {
        for (speed_rpm, kpa, opening_pct) in [
            (2000.0, 60.0, 13.501_235),
            (2000.0, 40.0, 8.941_703),
            (3000.0, 90.0, 36.884_972),
            (5000.0, 98.0, 85.231_046),
            (1000.0, 98.0, 21.601_622),
        ] {
            assert_abs_diff_eq!(FILLING.opening_pct(speed_rpm, kpa).unwrap(), opening_pct, epsilon = 1e-6);
        }
        assert_eq!(FILLING.opening_pct(1000.0, 25.0), Err(Unreachable::BelowClosed));
        assert_eq!(FILLING.opening_pct(6000.0, 100.0), Err(Unreachable::BeyondOpen));
        assert_eq!(FILLING.opening_pct(1000.0, 120.0), Err(Unreachable::BeyondOpen));
    }

    #[test]
    fn there_and_back_is_the_same_opening() {
        for speed_rpm in [900.0, 2200.0, 4100.0, 6500.0] {
            for opening_pct in [0.5, 3.0, 11.0, 27.0, 48.0, 73.0] {
                let back = FILLING.opening_pct(speed_rpm, FILLING.pressure_kpa(speed_rpm, opening_pct));
                // Where a wide throttle changes the pressure by nothing any more, digits are lost.
                let epsilon = if FILLING.pressure_kpa(speed_rpm, opening_pct) > 100.0 { 1e-6 } else { 1e-9 };
                assert_abs_diff_eq!(back.unwrap(), opening_pct, epsilon = epsilon);
            }
        }
    }

    #[test]
    fn slopes_are_those_of_the_ratio() {
        for (speed_rpm, opening_pct) in [(1500.0, 8.0), (3000.0, 30.0), (5500.0, 12.0), (2500.0, 90.0)] {
            let ratio = FILLING.ratio(speed_rpm, opening_pct);
            let found = FILLING.slopes(speed_rpm, opening_pct, ratio);
            let moved = |filling: Filling| (filling.ratio(speed_rpm, opening_pct) - ratio) / 1e-6;
            let expected = [
                moved(Filling { size_rpm: FILLING.size_rpm * 1e-6_f64.exp(), ..FILLING }),
                moved(Filling { leak: FILLING.leak * 1e-6_f64.exp(), ..FILLING }),
                moved(Filling { exponent: FILLING.exponent + 1e-6, ..FILLING }),
            ];
            for (found, expected) in found.into_iter().zip(expected) {
                assert_abs_diff_eq!(found, expected, epsilon = 1e-5);
            }
        }
    }

    /// One throttle of 50 mm, Cd 0.7, 2.0 l, filling 0.85, 20 °C: Cd·A·√(RT)·120/(η·Vd) = 28 143.9 rpm, by hand.
    #[test]
    fn the_guess_is_of_the_right_size() {
        let area_m2 = std::f64::consts::PI / 4.0 * 0.05 * 0.05;
        let size_rpm = 0.7 * area_m2 * (287.05_f64 * 293.15).sqrt() * 120.0 / (0.85 * 2e-3);
        assert_abs_diff_eq!(size_rpm, 28_143.9, epsilon = 5.0);
        assert_abs_diff_eq!(Filling::guessed(2.0, 100.0).size_rpm, size_rpm, epsilon = 0.01 * size_rpm);
        assert_abs_diff_eq!(Filling::guessed(4.0, 100.0).size_rpm, 14_000.0);
    }
}
