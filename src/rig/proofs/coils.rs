//! Dwell, current and energy at the spark.

use approx::assert_abs_diff_eq;

use super::{WHEELS, bench, lock, run, trace};
use crate::project::Parts;
use crate::rig::{Row, Run, Settings, What};
use crate::table::Curve;

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
