//! Time ↔ angle.

use approx::assert_abs_diff_eq;
use proptest::prelude::*;

use super::run;
use crate::rig::{Motion, Swing};

/// Accelerating by 1000 rpm/s from standstill: 6000·t²/2 degrees.
#[test]
fn standstill_acceleration_and_standstill_again() {
    let motion = Motion::new(&run(&[(0.0, 0.0), (1.0, 1000.0), (2.0, 0.0), (3.0, 0.0), (4.0, 600.0)]), None);
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
        for swing in [None, Some(Swing::new(depth, 2, fastest_deg))] {
            let motion = Motion::new(&run, swing);
            let time_s = share * run.end_s();
            prop_assert!((motion.time_s(motion.crank_deg(time_s)).unwrap() - time_s).abs() < 1e-9);
        }
    }

    /// The mean speed over whole periods is the run's, whatever the variation.
    #[test]
    fn variation_keeps_the_mean_speed(depth in 0.0..0.5, fastest_deg in 0.0..360.0, speed_rpm in 100.0..500.0) {
        let swing = Swing::new(depth, 3, fastest_deg);
        let motion = Motion::new(&run(&[(0.0, speed_rpm), (10.0, speed_rpm)]), Some(swing));
        let turn_s = motion.time_s(720.0).unwrap() - motion.time_s(360.0).unwrap();
        prop_assert!((turn_s - 60.0 / speed_rpm).abs() < 1e-9);
    }
}
