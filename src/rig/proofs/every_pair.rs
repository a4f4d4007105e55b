//! Every pair fires once per revolution at its commanded angle, with the dwell, current and energy that its coil has.

use approx::assert_abs_diff_eq;
use proptest::prelude::*;

use super::{WHEELS, bench, count, is_spark, lock, row, run, trace};
use crate::project::Parts;
use crate::rig::{Row, Run, Settings, What};
use crate::table::Curve;

/// Speeds each held for some turns, with ramps between: 150 to 9000 rpm.
fn sweep() -> Vec<(f64, f64)> {
    let speeds_rpm = [150.0, 320.0, 480.0, 900.0, 2000.0, 4100.0, 6800.0, 9000.0];
    let mut points = Vec::new();
    let mut time_s = 0.0;
    for speed_rpm in speeds_rpm {
        points.push((time_s, speed_rpm));
        time_s += 4.0 * 60.0 / speed_rpm;
        points.push((time_s, speed_rpm));
        time_s += 1.5 * 60.0 / speed_rpm;
    }
    points
}

/// Drives the sweep and checks each channel's sparks: one for each of its dead centres after the first, each at
/// the commanded angle up to what the ramp's acceleration can account for.
fn check(cylinders: u8, wheel: crate::project::Wheel, change: impl FnOnce(&mut Parts)) {
    let project = bench(cylinders, wheel, change);
    let true_reference_deg = project.trigger.reference_deg + project.trigger.zero_offset_deg;
    let spacing_deg = 720.0 / f64::from(cylinders);
    let points = sweep();
    let (events, summary) = trace(&project, &run(&points), Settings::default());
    let is_steady = |time_s: f64| points.chunks(2).any(|held| held[0].0 + 1e-9 < time_s && time_s < held[1].0);
    for channel in 0..usize::from(cylinders) / 2 {
        let sparks: Vec<_> =
            events.iter().filter(is_spark).filter(|event| event.what.channel() == Some(channel)).collect();
        let place_deg = f64::from(u8::try_from(channel).unwrap()) * spacing_deg;
        let mut last_turn = None;
        for spark in &sparks {
            let What::Spark { commanded_deg, actual_deg, .. } = spark.what else { panic!("no spark") };
            // Dead centre is computed here from reference and zero offset alone.
            let turns = (spark.crank_deg + actual_deg - true_reference_deg - place_deg) / 360.0;
            assert!((turns - turns.round()).abs() < 1e-9, "{turns}");
            assert!(last_turn.is_none_or(|last: f64| turns.round() == last + 1.0), "after {last_turn:?} came {turns}");
            last_turn = Some(turns.round());
            let error_deg = commanded_deg - actual_deg;
            let allowed_deg = if is_steady(spark.time_s) { 3.0 } else { 12.0 };
            assert!(error_deg.abs() < allowed_deg, "{error_deg}° at {} s", spark.time_s);
        }
        assert!(sparks.len() > 30, "{} sparks", sparks.len());
    }
    assert_eq!((summary.skips, summary.cuts, summary.let_downs, summary.sync_losses), (0, 0, 0, 0));
    assert_eq!(
        count(&events, "charge").abs_diff(count(&events, "spark")).min(2),
        count(&events, "charge") - count(&events, "spark")
    );
}

#[test]
fn whatever_wheel_cylinders_zero_offset_and_reference() {
    for wheel in WHEELS {
        for cylinders in [4, 6, 8] {
            for (at, zero_offset_deg) in [-15.0, -6.5, 0.0, 3.25, 15.0].into_iter().enumerate() {
                for step in 0_u8..6 {
                    // A different reference for each offset, so that together they cover the circle in 12°
                    // steps.
                    let reference_deg = f64::from(step) * 60.0 + 12.0 * f64::from(u8::try_from(at).unwrap());
                    check(cylinders, wheel, |parts| {
                        lock(parts, 22.5);
                        (parts.trigger.zero_offset_deg, parts.trigger.reference_deg) = (zero_offset_deg, reference_deg);
                    });
                }
            }
        }
    }
}

/// With a table that rises with speed, and the ramp out of cranking.
#[test]
fn with_an_advance_that_changes_all_the_way() {
    for wheel in WHEELS {
        for cylinders in [4, 6, 8] {
            check(cylinders, wheel, |_| ());
        }
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(128))]

    /// At a steady speed every pair fires once a revolution exactly where commanded, computed from reference
    /// and zero offset alone.
    #[test]
    fn wherever_the_reference_is(
        wheel in prop_oneof![Just(WHEELS[0]), Just(WHEELS[1])],
        cylinders in prop_oneof![Just(4_u8), Just(6), Just(8)],
        zero_offset_deg in -15.0..=15.0,
        reference_deg in 0.0..=360.0,
        speed_rpm in 150.0..=9000.0,
        advance_deg in -5.0..45.0,
    ) {
        let project = bench(cylinders, wheel, |parts| {
            lock(parts, advance_deg);
            (parts.trigger.zero_offset_deg, parts.trigger.reference_deg) = (zero_offset_deg, reference_deg);
        });
        let (events, summary) = trace(&project, &run(&[(0.0, speed_rpm), (720.0 / speed_rpm, speed_rpm)]), Settings::default());
        prop_assert_eq!((summary.cuts, summary.let_downs, summary.sync_losses), (0, 0, 0));
        // The first coil event after sync is found may come too late to be charged for.
        prop_assert!(summary.skips <= u64::from(cylinders / 2), "{} skips", summary.skips);
        for channel in 0..usize::from(cylinders / 2) {
            let place_deg = reference_deg + zero_offset_deg + 720.0 / f64::from(cylinders) * f64::from(u8::try_from(channel).unwrap());
            let turns: Vec<f64> = events
                .iter()
                .filter(|event| is_spark(event) && event.what.channel() == Some(channel))
                .map(|spark| (spark.crank_deg + advance_deg - place_deg) / 360.0)
                .collect();
            // Twelve turns, of which two are spent finding sync and one may be split between start and end.
            prop_assert!(turns.len() >= 9, "{} sparks", turns.len());
            for turn in &turns {
                prop_assert!((turn - turn.round()).abs() < 1e-6 / 360.0, "{} of a turn off", turn - turn.round());
            }
            prop_assert!(turns.windows(2).all(|pair| pair[1].round() == pair[0].round() + 1.0));
        }
    }

    /// Whatever table, trims and limits ask for, no spark is commanded beyond floor or ceiling.
    #[test]
    fn no_spark_is_commanded_beyond_floor_and_ceiling(
        floor_deg in -10.0..15.0,
        span_deg in 0.0..20.0,
        coolant_c in -40.0..120.0,
        points in proptest::collection::vec(0.0..8000.0, 3..6),
        limited in any::<bool>(),
    ) {
        let ceiling_deg = floor_deg + span_deg;
        let project = bench(4, WHEELS[0], |parts| {
            (parts.limits.clamp.floor_deg, parts.limits.clamp.ceiling_deg) = (floor_deg, ceiling_deg);
            (parts.limits.over_speed.enabled, parts.safety_margin.enabled) = (limited, true);
        });
        let rows = points.iter().zip(0_u8..).map(|(&speed_rpm, at)| Row {
            coolant_c: Some(coolant_c),
            ..row(f64::from(at) * 0.5, speed_rpm)
        });
        let (events, _) = trace(&project, &Run::new(rows.collect()).unwrap(), Settings::default());
        for spark in events.iter().filter(is_spark) {
            let commanded_deg = spark.what.commanded_deg().unwrap();
            prop_assert!((floor_deg..=ceiling_deg).contains(&commanded_deg), "{}", commanded_deg);
        }
    }
}

fn dwell(parts: &mut Parts, dwell_ms: f64) {
    lock(parts, 20.0);
    parts.coil.dwell_ms = Curve::from_points(&[(6.0, dwell_ms), (16.0, dwell_ms)]).unwrap();
}

/// 0.5 Ω and 3.7 mH without losses, 14 V: 9.33222 A after 3 ms (computed with NumPy).
#[test]
fn each_spark_carries_the_current_of_its_dwell() {
    let project = bench(4, WHEELS[0], |parts| {
        dwell(parts, 3.0);
        (parts.coil.temperature_c, parts.coil.harness_ohm, parts.coil.driver_drop_v) = (20.0, 0.0, 0.0);
    });
    let (events, summary) = trace(&project, &run(&[(0.0, 3000.0), (1.0, 3000.0)]), Settings::default());
    for event in &events {
        if let What::Spark { dwell_ms, current_a, energy_mj, .. } = event.what {
            assert_abs_diff_eq!(dwell_ms, 3.0, epsilon = 1e-6);
            assert_abs_diff_eq!(current_a, 9.33222, epsilon = 1e-5);
            assert_abs_diff_eq!(energy_mj, 0.5 * 3.7 * current_a * current_a, epsilon = 1e-9);
        }
    }
    assert_abs_diff_eq!(summary.max_dwell_ms.unwrap(), summary.min_dwell_ms.unwrap(), epsilon = 1e-6);
    assert_eq!((summary.short_dwells, summary.skips), (0, 0));
}

/// A coil fires once a revolution, every 60000/rpm ms: 3 ms are 5, 30 and 40 % of that at 1000, 6000 and 8000
/// rpm.
#[test]
fn duty_of_three_milliseconds() {
    for (speed_rpm, duty) in [(1000.0, 0.05), (6000.0, 0.30), (8000.0, 0.40)] {
        let project = bench(4, WHEELS[1], |parts| dwell(parts, 3.0));
        let (events, _) = trace(&project, &run(&[(0.0, speed_rpm), (1.0, speed_rpm)]), Settings::default());
        let of_first = |event: &&crate::rig::Event| super::is_spark(event) && event.what.channel() == Some(0);
        let sparks_s: Vec<f64> = events.iter().filter(of_first).map(|event| event.time_s).collect();
        assert_abs_diff_eq!(3e-3 / (sparks_s[3] - sparks_s[2]), duty, epsilon = 1e-9);
    }
}

/// At 7000 rpm, leaving 1 ms for the spark, the longest dwell is 60000/7000 − 1 = 7.5714 ms.
#[test]
fn a_charge_waits_until_the_spark_before_is_over() {
    let project = bench(6, WHEELS[1], |parts| dwell(parts, 40.0));
    let (events, summary) = trace(&project, &run(&[(0.0, 7000.0), (1.0, 7000.0)]), Settings::default());
    let dwells_ms: Vec<f64> = events.iter().filter(super::is_spark).filter_map(dwell_of).collect();
    // Each channel's first charge begins only when sync is found.
    for dwell_ms in &dwells_ms[3..] {
        assert_abs_diff_eq!(*dwell_ms, 7.5714, epsilon = 5e-5);
    }
    assert!(summary.short_dwells >= summary.sparks);
}

fn dwell_of(event: &crate::rig::Event) -> Option<f64> {
    if let What::Spark { dwell_ms, .. } = event.what { Some(dwell_ms) } else { None }
}

#[test]
fn dwell_follows_the_battery() {
    let project = bench(4, WHEELS[0], |parts| lock(parts, 10.0));
    let at = |time_s, battery_v| Row { battery_v, ..super::row(time_s, 1000.0) };
    let sagging = Run::new(vec![at(0.0, 14.0), at(2.0, 14.0), at(2.001, 8.0), at(4.0, 8.0)]).unwrap();
    let (events, summary) = trace(&project, &sagging, Settings::default());
    for event in events.iter().filter(super::is_spark) {
        let expected_ms = if event.time_s < 2.0 { 2.6 } else { 7.0 };
        let is_between = (2.0..2.02).contains(&event.time_s);
        assert!(is_between || (dwell_of(event).unwrap() - expected_ms).abs() < 1e-6);
    }
    assert_abs_diff_eq!(summary.max_dwell_ms.unwrap(), 7.0, epsilon = 1e-6);
    assert!(summary.min_energy_mj.unwrap() > 30.0);
}

#[test]
fn a_charge_too_late_for_half_a_millisecond_is_skipped() {
    // Sync is found 10° after the reference edge; at 6000 rpm a spark 15° after it leaves 0.14 ms.
    let project = bench(4, WHEELS[0], |parts| {
        dwell(parts, 3.0);
        (parts.trigger.reference_deg, parts.trigger.lead_pitches) = (35.0, 0.0);
    });
    let (events, summary) = trace(&project, &run(&[(0.0, 6000.0), (0.1, 6000.0)]), Settings::default());
    let skip = events.iter().find(|event| event.what.name() == "skip").unwrap();
    let What::Skip { channel, commanded_deg, dwell_ms } = skip.what else { panic!("no skip") };
    assert_eq!((summary.skips, channel, commanded_deg, skip.crank_deg), (1, 0, 20.0, 730.0));
    assert_abs_diff_eq!(dwell_ms, 5.0 / 36.0, epsilon = 1e-6);
    assert!(summary.min_dwell_ms.unwrap() > 0.5);
}
