//! Periods of the wheel: telling the gap from the others, converting between time and angle, and the timing error of a
//! spark predicted from the last one.

use approx::assert_abs_diff_eq;
use proptest::prelude::*;

use super::{WHEELS, bench, count, is_edge, is_spark, lock, run, steady, swinging, trace};
use crate::project::Wheel;
use crate::rig::{EdgeTimes, Event, Layout, Motion, Rig, Settings, What};

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

/// The timing error in degrees of a spark `ahead_deg` after an edge, predicted from the period of `pitch_deg`
/// before it.
fn predicted_error_deg(motion: &Motion, edge_deg: f64, pitch_deg: f64, ahead_deg: f64) -> f64 {
    let (before_s, edge_s) = (motion.time_s(edge_deg - pitch_deg).unwrap(), motion.time_s(edge_deg).unwrap());
    let spark_s = edge_s + ahead_deg * (edge_s - before_s) / pitch_deg;
    motion.crank_deg(spark_s) - edge_deg - ahead_deg
}

/// e = α·θ(θ + Δ)/(2ω̂²) under constant acceleration, derived from p = ωT − αT²/2; figures computed with NumPy and
/// checked there by simulation. Columns: Δ, measured rpm, rpm/s, θ, e.
#[test]
fn agrees_with_figures_computed_elsewhere() {
    let figures = [
        (10.0, 1000.0, 2000.0, 60.0, 0.700_000),
        (10.0, 1000.0, 2000.0, 10.0, 0.033_333),
        (6.0, 1000.0, 2000.0, 60.0, 0.660_000),
        (6.0, 1000.0, 2000.0, 6.0, 0.012_000),
        (10.0, 200.0, 1000.0, 10.0, 0.416_667),
        (10.0, 200.0, 1000.0, 60.0, 8.750_000),
        (10.0, 3000.0, 4000.0, 90.0, 0.333_333),
    ];
    for (pitch_deg, measured_rpm, rpm_per_s, ahead_deg, error_deg) in figures {
        // Under constant acceleration the mean speed of the pitch is the speed at its middle in time.
        let begin_rpm = measured_rpm - rpm_per_s * pitch_deg / (6.0 * measured_rpm) / 2.0;
        let motion = steady(&run(&[(0.0, begin_rpm), (1.0, begin_rpm + rpm_per_s)]));
        let found_deg = predicted_error_deg(&motion, pitch_deg, pitch_deg, ahead_deg);
        assert_abs_diff_eq!(found_deg, error_deg, epsilon = 5e-7);
    }
}

/// ω = 1200·(1 + 0.3·cos 2θ) °/s, where 1200 is not the mean over time; largest errors computed with NumPy.
#[test]
fn cranking_against_compression_agrees_with_figures_computed_elsewhere() {
    let mean_rpm = 200.0 * (1.0 - 0.3_f64 * 0.3).sqrt();
    let motion = swinging(&run(&[(0.0, mean_rpm), (2.0, mean_rpm)]), 0.3, 2, 0.0);
    let worst = |pitch_deg: f64, ahead_deg: f64| {
        let errors =
            (0..3600).map(|tenth| predicted_error_deg(&motion, 360.0 + f64::from(tenth) / 10.0, pitch_deg, ahead_deg));
        errors.map(f64::abs).fold(0.0, f64::max)
    };
    assert_abs_diff_eq!(worst(10.0, 10.0), 1.217, epsilon = 5e-4);
    assert_abs_diff_eq!(worst(6.0, 6.0), 0.421, epsilon = 5e-4);
    assert_abs_diff_eq!(worst(10.0, 60.0), 28.3, epsilon = 0.05);
    assert_abs_diff_eq!(worst(6.0, 60.0), 27.1, epsilon = 0.05);
}

/// Each spark with the edge that decided it and the edge before that one.
fn with_deciding_edges<'e>(
    events: &'e [Event],
    layout: &Layout,
    lead_deg: f64,
) -> Vec<(&'e Event, &'e Event, &'e Event)> {
    let edges: Vec<&Event> = events.iter().filter(is_edge).collect();
    let decided = |spark: &'e Event| {
        let What::Spark { channel, commanded_deg, actual_deg, .. } = spark.what else { panic!("no spark") };
        let tdc_deg = spark.crank_deg + actual_deg;
        assert_abs_diff_eq!(layout.before_tdc_deg(channel, tdc_deg), 0.0, epsilon = 1e-6);
        let target_deg = tdc_deg - commanded_deg;
        let keeps_lead = |edge: &&Event| edge.time_s <= spark.time_s && target_deg - edge.crank_deg >= lead_deg - 1e-9;
        let decides = edges.iter().rposition(keeps_lead).unwrap();
        // Where the charge is short, the edge at which it is set comes too late to keep the lead, and is still
        // the one that decides.
        let is_charge =
            |event: &&Event| matches!(event.what, What::Charge { .. }) && event.what.channel() == Some(channel);
        let charge = events.iter().filter(|event| event.time_s <= spark.time_s).rfind(is_charge).unwrap();
        let sets = edges.iter().rposition(|edge| edge.time_s <= charge.time_s).unwrap();
        let at = decides.max(sets);
        (spark, edges[at], edges[at - 1])
    };
    events.iter().filter(is_spark).map(decided).collect()
}

/// Under constant acceleration, with the last period p over time T ending at speed ω: d = φT/p, error = ωd + αd²/2 − φ.
#[test]
fn every_spark_of_the_rig_obeys_the_closed_form() {
    for (wheel, lead_pitches) in [(WHEELS[0], 0.1), (WHEELS[1], 0.1), (WHEELS[0], 1.5), (WHEELS[1], 0.0)] {
        for rpm_per_s in [300.0, 2500.0, -900.0] {
            let project = bench(6, wheel, |parts| {
                lock(parts, 17.3);
                parts.trigger.lead_pitches = lead_pitches;
            });
            let start_rpm = if rpm_per_s > 0.0 { 250.0 } else { 3000.0 };
            let (events, summary) =
                trace(&project, &run(&[(0.0, start_rpm), (3.0, start_rpm + 3.0 * rpm_per_s)]), Settings::default());
            let layout = Layout::new(&project);
            let sparks = with_deciding_edges(&events, &layout, lead_pitches * wheel.pitch_deg());
            assert!(sparks.len() > 40, "{} sparks", sparks.len());
            let mut largest_deg = 0.0_f64;
            for (spark, edge, before) in sparks {
                let (period_deg, period_s) = (edge.crank_deg - before.crank_deg, edge.time_s - before.time_s);
                let (acceleration, omega) = (6.0 * rpm_per_s, 6.0 * (start_rpm + rpm_per_s * edge.time_s));
                let ahead_deg = spark.crank_deg + spark.what.actual_deg().unwrap() - 17.3 - edge.crank_deg;
                let delay_s = ahead_deg * period_s / period_deg;
                let error_deg = omega * delay_s + 0.5 * acceleration * delay_s * delay_s - ahead_deg;
                let found_deg = spark.what.error_deg().unwrap();
                assert_abs_diff_eq!(found_deg, error_deg, epsilon = 1e-6);
                assert!(found_deg * rpm_per_s > -1e-6, "accelerating is late, slowing is early");
                largest_deg = largest_deg.max(found_deg.abs());
            }
            assert_eq!(summary.max_abs_error_deg, Some(largest_deg));
        }
    }
}

/// Under cyclic variation each spark of the rig is where its deciding edge and the period before that put it,
/// by the closed form of the motion.
#[test]
fn every_spark_of_the_rig_obeys_its_deciding_edge_under_variation() {
    for (wheel, variation, cylinders) in [(WHEELS[0], 0.3, 4), (WHEELS[1], 0.5, 6), (WHEELS[0], 0.15, 8)] {
        let project = bench(cylinders, wheel, |parts| lock(parts, 8.0));
        let settings = Settings { variation, ..Settings::default() };
        let drive = run(&[(0.0, 200.0), (4.0, 260.0)]);
        let motion = Rig::new(&project, settings.clone()).unwrap().motion(&drive);
        let (events, _) = trace(&project, &drive, settings);
        let sparks = with_deciding_edges(&events, &Layout::new(&project), 0.1 * wheel.pitch_deg());
        assert!(sparks.len() > 20, "{} sparks", sparks.len());
        for (spark, edge, before) in sparks {
            let ahead_deg = spark.crank_deg + spark.what.actual_deg().unwrap() - 8.0 - edge.crank_deg;
            let period_deg = edge.crank_deg - before.crank_deg;
            let expected_deg = predicted_error_deg(&motion, edge.crank_deg, period_deg, ahead_deg);
            assert_abs_diff_eq!(spark.what.error_deg().unwrap(), expected_deg, epsilon = 1e-6);
        }
    }
}

#[test]
fn slowing_into_compression_is_early_while_cranking() {
    let project = bench(4, WHEELS[0], |parts| lock(parts, 8.0));
    let settings = Settings { variation: 0.3, ..Settings::default() };
    let (events, _) = trace(&project, &run(&[(0.0, 200.0), (3.0, 200.0)]), settings);
    let errors_deg: Vec<f64> = events.iter().filter_map(|event| event.what.error_deg()).collect();
    assert!(errors_deg.len() > 10 && errors_deg.iter().all(|&deg| (-1.0..-0.05).contains(&deg)), "{errors_deg:?}");
}

/// 100 µs are 3.6° at 6000 rpm: 0.036° for each µs.
#[test]
fn latency_is_lag() {
    let project = bench(4, WHEELS[1], |parts| lock(parts, 20.0));
    let settings = Settings { latency_us: 100.0, ..Settings::default() };
    let (events, summary) = trace(&project, &run(&[(0.0, 6000.0), (1.0, 6000.0)]), settings);
    assert!(summary.sparks > 150);
    for error_deg in events.iter().filter_map(|event| event.what.error_deg()) {
        assert_abs_diff_eq!(error_deg, 3.6, epsilon = 1e-6);
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(48))]

    #[test]
    fn constant_speed_gives_no_error(
        teeth in 12_u16..120, missing in 1_u16..3, speed_rpm in 150.0..9000.0, advance_deg in -10.0..45.0,
        reference_deg in 0.0..360.0, cylinders in 2_u8..5, lead_pitches in 0.0..2.0,
    ) {
        let project = bench(cylinders * 2, Wheel { teeth, missing }, |parts| {
            lock(parts, advance_deg);
            (parts.trigger.reference_deg, parts.trigger.lead_pitches) = (reference_deg, lead_pitches);
        });
        let revolutions_s = 60.0 / speed_rpm;
        let (_, summary) = trace(&project, &run(&[(0.0, speed_rpm), (8.0 * revolutions_s, speed_rpm)]), Settings::default());
        prop_assert!(summary.sparks >= 4 * u64::from(cylinders), "{} sparks", summary.sparks);
        prop_assert!(summary.max_abs_error_deg.unwrap() < 1e-6);
    }
}
