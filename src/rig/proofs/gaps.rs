//! Telling the gap from the other periods, and converting between time and angle.

use proptest::prelude::*;

use super::{WHEELS, bench, count, lock, run, steady, swinging, trace};
use crate::project::Wheel;
use crate::rig::{EdgeTimes, Layout, Motion, Settings};
use approx::assert_abs_diff_eq;

/// Every period of a run with the angle it spans.
fn periods(motion: &Motion, wheel: Wheel) -> Vec<(f64, bool)> {
    let project = bench(4, wheel, |_| ());
    let edges: Vec<(f64, f64)> = EdgeTimes::new(motion, &Layout::new(&project)).collect();
    edges.windows(2).map(|pair| (pair[1].0 - pair[0].0, pair[1].1 - pair[0].1 > 1.5 * wheel.pitch_deg())).collect()
}

/// 36−1: pitch 10°, 35 edges, gap 20°; 60−2: pitch 6°, 58 edges, gap 18°. At 6000 rpm a pitch lasts 277.7778 and
/// 166.6667 µs: rpm = Δ°/(6T). Common practice, no source.
#[test]
fn the_two_common_wheels() {
    for (wheel, edges, pitch_us, ratio) in [(WHEELS[0], 35, 277.7778, 2.0), (WHEELS[1], 58, 166.6667, 3.0)] {
        let motion = steady(&run(&[(0.0, 6000.0), (0.02, 6000.0)]));
        let periods = periods(&motion, wheel);
        assert_eq!(periods.iter().position(|&(_, is_gap)| is_gap), Some(edges - 1));
        assert_abs_diff_eq!(periods[0].0 * 1e6, pitch_us, epsilon = 1e-4);
        assert_abs_diff_eq!(periods[edges - 1].0 / periods[0].0, ratio, epsilon = 1e-9);
    }
}

/// Gap over the period before it at 200 rpm under ±2000 rpm/s, computed with NumPy.
#[test]
fn one_sided_ratios_agree_with_figures_computed_elsewhere() {
    for (wheel, rising, falling) in [(WHEELS[0], 1.7755, 2.2903), (WHEELS[1], 2.7316, 3.3465)] {
        for (rpm_per_s, expected) in [(2000.0, rising), (-2000.0, falling)] {
            // The speed is 200 rpm at the edge where the gap begins.
            let (pitch_deg, gap_deg) = (wheel.pitch_deg(), wheel.gap_deg());
            let begin_rpm = (200.0_f64 * 200.0 - 2.0 * rpm_per_s * pitch_deg / 6.0).sqrt();
            let motion = steady(&run(&[(0.0, begin_rpm), (0.09, begin_rpm + 0.09 * rpm_per_s)]));
            let times_s = [0.0, pitch_deg, pitch_deg + gap_deg].map(|deg| motion.time_s(deg).unwrap());
            let ratio = (times_s[2] - times_s[1]) / (times_s[1] - times_s[0]);
            assert_abs_diff_eq!(ratio, expected, epsilon = 5e-5);
        }
    }
}

/// √(p²/(previous·next)) stays at 1.70 or more for gaps and at 1.21 or less for other periods, up to a
/// variation of 0.5 of any phase (computed with NumPy), so that thresholds of 1.5 and 2.0 work.
#[test]
fn the_two_sided_ratio_stands_the_strongest_variation() {
    for wheel in WHEELS {
        let (mut least_gap, mut largest_other) = (f64::MAX, 0.0_f64);
        for compressions in [2, 3, 4] {
            for fastest_deg in 0..60 {
                let fastest_deg = f64::from(fastest_deg) * 3.0;
                let motion = swinging(&run(&[(0.0, 200.0), (1.0, 200.0)]), 0.5, compressions, fastest_deg);
                let periods = periods(&motion, wheel);
                for three in periods.windows(3) {
                    let ratio = (three[1].0 * three[1].0 / (three[0].0 * three[2].0)).sqrt();
                    if three[1].1 {
                        least_gap = least_gap.min(ratio);
                    } else {
                        largest_other = largest_other.max(ratio);
                    }
                }
            }
        }
        // The reference figures are given to two decimals.
        assert!(least_gap >= 1.695, "{least_gap}");
        assert!(largest_other <= 1.215, "{largest_other}");
    }
}

#[test]
fn sync_comes_after_two_gaps_or_after_one_on_request() {
    for (gaps_to_sync, turns) in [(2, 2.0), (1, 1.0)] {
        let project = bench(4, WHEELS[0], |parts| {
            lock(parts, 10.0);
            parts.trigger.gaps_to_sync = gaps_to_sync;
        });
        let (events, summary) = trace(&project, &run(&[(0.0, 200.0), (2.0, 200.0)]), Settings::default());
        let sync = events.iter().find(|event| event.what.name() == "sync").unwrap();
        // The gap is recognised one edge after it ended.
        assert_eq!(sync.crank_deg, turns * 360.0 + 10.0);
        assert_eq!((summary.syncs, summary.sync_losses), (1, 0));
        let first_deg = summary.degrees_before_first_spark.unwrap();
        // The reference edge stands 100° before the first pair's dead centre.
        assert_abs_diff_eq!(first_deg, turns * 360.0 + 100.0 - 10.0, epsilon = 1e-6);
    }
}

#[test]
fn the_strongest_variation_never_costs_sync() {
    for wheel in WHEELS {
        for cylinders in [4, 6, 8] {
            let project = bench(cylinders, wheel, |parts| lock(parts, 10.0));
            for fastest_deg in [0.0, 25.0, 50.0, 75.0, 100.0, 125.0, 150.0, 175.0] {
                let settings = Settings { variation: 0.5, fastest_deg: Some(fastest_deg), ..Settings::default() };
                let (events, summary) = trace(&project, &run(&[(0.0, 200.0), (2.0, 300.0)]), settings);
                assert_eq!((summary.syncs, summary.sync_losses), (1, 0));
                assert_eq!(count(&events, "gap"), 8);
            }
        }
    }
}

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

    /// A run's own variation applies below its speed and nowhere else, and the crank never jumps.
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
