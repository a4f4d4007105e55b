//! Time ↔ angle.

use approx::assert_abs_diff_eq;
use proptest::prelude::*;

use super::{run, steady, swinging};

/// Accelerating by 1000 rpm/s from standstill: 6000·t²/2 degrees.
#[test]
fn standstill_acceleration_and_standstill_again() {
    let motion = steady(&run(&[(0.0, 0.0), (1.0, 1000.0), (2.0, 0.0), (3.0, 0.0), (4.0, 600.0)]));
    assert_eq!(motion.crank_deg(0.5), 750.0);
    assert_abs_diff_eq!(motion.time_s(750.0).unwrap(), 0.5, epsilon = 1e-15);
    assert_eq!((motion.crank_deg(1.0), motion.crank_deg(2.0), motion.crank_deg(3.0)), (3000.0, 6000.0, 6000.0));
    assert_abs_diff_eq!(motion.time_s(6000.0).unwrap(), 2.0, epsilon = 1e-7);
    assert!(motion.time_s(6000.1).unwrap() > 3.0);
    assert_eq!((motion.time_s(-1.0), motion.time_s(1e6)), (None, None));
    assert_eq!((motion.crank_deg(-5.0), motion.time_s(0.0)), (0.0, Some(0.0)));
}

proptest! {
    #[test]
    fn time_and_angle_are_each_others_inverse(
        speeds_rpm in proptest::collection::vec(50.0..9000.0, 2..8), share in 0.0..1.0,
        depth in 0.0..0.5, fastest_deg in 0.0..360.0,
    ) {
        let points: Vec<(f64, f64)> = speeds_rpm.iter().zip(0_u8..).map(|(&rpm, at)| (f64::from(at) * 0.7, rpm)).collect();
        let run = run(&points);
        let slow = run.clone().unsteady(depth, 1500.0);
        for motion in [steady(&run), swinging(&run, depth, 2, fastest_deg), swinging(&slow, 0.1, 2, fastest_deg)] {
            let time_s = share * run.end_s();
            prop_assert!((motion.time_s(motion.crank_deg(time_s)).unwrap() - time_s).abs() < 1e-9);
        }
    }

    /// The mean speed over whole periods is the run's, whatever the variation.
    #[test]
    fn variation_keeps_the_mean_speed(depth in 0.0..0.5, fastest_deg in 0.0..360.0, speed_rpm in 100.0..500.0) {
        let motion = swinging(&run(&[(0.0, speed_rpm), (10.0, speed_rpm)]), depth, 3, fastest_deg);
        let turn_s = motion.time_s(720.0).unwrap() - motion.time_s(360.0).unwrap();
        prop_assert!((turn_s - 60.0 / speed_rpm).abs() < 1e-9);
    }

    /// A variation of the run's own holds below its speed and nowhere else, and the crank never jumps.
    #[test]
    fn own_variation_holds_below_its_speed(
        speeds_rpm in proptest::collection::vec(50.0..900.0, 2..8), depth in 0.01..0.5, fastest_deg in 0.0..360.0,
    ) {
        let points: Vec<(f64, f64)> = speeds_rpm.iter().zip(0_u8..).map(|(&rpm, at)| (f64::from(at) * 0.7, rpm)).collect();
        let run = run(&points).unsteady(depth, 400.0);
        let motion = swinging(&run, 0.0, 2, fastest_deg);
        let step_s = run.end_s() / 2000.0;
        let mut is_seen = false;
        for step in 1..2000 {
            let time_s = f64::from(step) * step_s;
            let [before, now, after] = [-1e-6, 0.0, 1e-6].map(|by_s| motion.crank_deg(time_s + by_s));
            let (mean, rate) = (run.at(time_s).speed_rpm * 6.0, (after - before) / 2e-6);
            prop_assert!(before <= now && now <= after);
            if run.at(time_s).speed_rpm > 401.0 {
                prop_assert!((rate - mean).abs() < 1e-3 * mean, "{rate} at a mean of {mean}");
            }
            is_seen |= (rate - mean).abs() > 0.5 * depth * mean;
        }
        let slow_s = points.windows(2).filter(|pair| pair[0].1 < 380.0 && pair[1].1 < 380.0).count();
        prop_assert!(is_seen || slow_s == 0);
    }
}
