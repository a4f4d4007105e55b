//! Manifold pressure from throttle opening, where nothing was measured that would tell it better.

use super::Description;

/// Angle of the plate when it is closed, degrees. Assumed.
const CLOSED_DEG: f64 = 7.0;
/// What leaks past the closed plate, as a share of the open one. Assumed.
const LEAK: f64 = 0.004;
/// Wide open at rated speed the manifold has this share of the pressure around. Assumed.
const OPEN_RATIO: f64 = 0.95;
/// Below this ratio nothing is told.
const LEAST_RATIO: f64 = 0.15;
/// Critical ratio of a flow of air, γ = 1.4.
const CHOKED_RATIO: f64 = 0.5283;
const HALVINGS: usize = 40;

/// Manifold pressure in kPa at a throttle opening in % and a speed in rpm; `None` where it would be below 0.15 of the
/// pressure around: the throttle is as good as closed.
///
/// Continuity through one butterfly: flow as of an isentropic nozzle (Heywood, 1988, ch. 7 and appendix C, from memory)
/// against a displacement that fills alike at every speed, the plate sized so that 0.95 of the pressure around are there
/// when it is open at rated speed. Assumed.
pub(super) fn pressure_kpa(description: &Description, opening_pct: f64, speed_rpm: f64) -> Option<f64> {
    let open = description.rated_speed_rpm * OPEN_RATIO / (area(1.0) * flow(OPEN_RATIO));
    let passes = open * area(opening_pct.clamp(0.0, 100.0) / 100.0);
    let falls_short = |ratio: f64| ratio * speed_rpm < passes * flow(ratio);
    if !falls_short(LEAST_RATIO) {
        return None;
    }
    let (mut low, mut high) = (LEAST_RATIO, 1.0);
    for _ in 0..HALVINGS {
        let middle = 0.5 * (low + high);
        if falls_short(middle) {
            low = middle;
        } else {
            high = middle;
        }
    }
    Some(0.5 * (low + high) * description.ambient_kpa)
}

/// The free area of the plate at a share of its opening, as a share of its bore.
fn area(opening: f64) -> f64 {
    let closed = CLOSED_DEG.to_radians();
    let angle = closed + (std::f64::consts::FRAC_PI_2 - closed) * opening;
    (1.0 - angle.cos() / closed.cos()).max(0.0) + LEAK
}

/// Mass flow over its unit at a ratio of pressures, γ = 1.4.
fn flow(ratio: f64) -> f64 {
    let gamma: f64 = 1.4;
    if ratio <= CHOKED_RATIO {
        return gamma.sqrt() * (2.0 / (gamma + 1.0)).powf((gamma + 1.0) / (2.0 * (gamma - 1.0)));
    }
    let rest = (1.0 - ratio.powf((gamma - 1.0) / gamma)).max(0.0);
    ratio.powf(1.0 / gamma) * (2.0 * gamma / (gamma - 1.0) * rest).sqrt()
}

#[cfg(test)]
mod tests {
    use super::*;
    use approx::assert_relative_eq;

    /// Values of an independent computation with NumPy.
    #[test]
    fn pressures_are_those_of_the_flow_through_one_plate() {
        let at = |opening_pct, speed_rpm| pressure_kpa(&Description::default(), opening_pct, speed_rpm);
        let expected = [
            (1000.0, [Some(19.6), Some(40.7), Some(81.4), Some(97.4), Some(99.9)]),
            (3000.0, [None, None, Some(34.0), Some(80.4), Some(98.7)]),
            (6000.0, [None, None, Some(17.0), Some(49.4), Some(95.0)]),
        ];
        for (speed_rpm, pressures) in expected {
            for (opening_pct, pressure) in [5.0, 10.0, 20.0, 40.0, 100.0].into_iter().zip(pressures) {
                let found = at(opening_pct, speed_rpm);
                assert_eq!(found.is_some(), pressure.is_some(), "{speed_rpm} rpm, {opening_pct} %");
                let (found, pressure) = (found.unwrap_or_default(), pressure.unwrap_or_default());
                assert_relative_eq!(found, pressure, max_relative = 2e-3);
            }
        }
    }
}
