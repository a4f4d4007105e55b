//! Every pair fires once per revolution at its commanded angle.

use super::{WHEELS, bench, count, is_spark, lock, run, trace};
use crate::project::Parts;
use crate::rig::{Settings, What};

/// Speeds held for some turns each, with ramps between: 150 to 9000 rpm.
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

/// Drives the sweep and checks each channel's sparks: one for each of its dead centres after the first, each of them where
/// it was commanded to within what the ramp's acceleration can do.
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
            // Dead centre from reference and zero offset alone.
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
                    // Other references for each offset, so that together they cover the circle in 12° steps.
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

/// With a table that rises with speed and the ramp out of cranking.
#[test]
fn with_an_advance_that_changes_all_the_way() {
    for wheel in WHEELS {
        for cylinders in [4, 6, 8] {
            check(cylinders, wheel, |_| ());
        }
    }
}
