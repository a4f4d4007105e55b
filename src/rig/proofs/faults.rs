//! Edges missing, added, jittering, or not coming at all.

use proptest::prelude::*;

use super::{WHEELS, bench, count, is_edge, lock, run, trace};
use crate::project::{Project, Wheel};
use crate::rig::{EdgeTimes, Event, Layout, Loss, Rig, Run, Settings, Summary, What};
use crate::spark::State;

/// Checks that there is no spark and no charge while out of sync, and that whatever was charging when sync was
/// lost was let down.
fn check_silence(events: &[Event]) {
    let mut in_sync = false;
    for event in events {
        match event.what {
            What::Sync => in_sync = true,
            What::SyncLost(_) => in_sync = false,
            What::Spark { .. } | What::Charge { .. } | What::Cut { .. } | What::Skip { .. } => {
                assert!(in_sync, "{event:?} out of sync");
            }
            _ => {}
        }
    }
    let ended = count(events, "spark") + count(events, "let_down");
    assert!((0..=4).contains(&(count(events, "charge") - ended)), "a charge neither fired nor was let down");
}

fn faulty(wheel: Wheel, settings: Settings) -> (Vec<Event>, Summary) {
    let project = bench(6, wheel, |parts| lock(parts, 15.0));
    trace(&project, &run(&[(0.0, 900.0), (3.0, 1500.0)]), settings)
}

#[test]
fn a_dropped_edge_costs_sync_once_and_it_is_found_again() {
    let mut let_downs = 0;
    for wheel in WHEELS {
        for tenth in 0..40 {
            let dropped_at_s = vec![1.0 + f64::from(tenth) / 100.0];
            let (events, summary) = faulty(wheel, Settings { dropped_at_s, ..Settings::default() });
            check_silence(&events);
            assert!((1..=2).contains(&summary.sync_losses), "{}", summary.sync_losses);
            assert_eq!(summary.syncs, summary.sync_losses + 1);
            let lost = events.iter().find(|event| event.what.name() == "sync_lost").unwrap();
            assert!(events.iter().any(|event| event.time_s > lost.time_s && event.what.name() == "spark"));
            assert!(summary.max_abs_error_deg.unwrap() < wheel.gap_deg() + 0.5);
            let_downs += summary.let_downs;
        }
    }
    assert!(let_downs > 0, "no coil was charging at any of the losses");
}

#[test]
fn an_extra_edge_costs_sync_and_it_is_found_again() {
    for wheel in WHEELS {
        for place in 0..40 {
            let extra_at_s = vec![1.0013 + f64::from(place) / 777.0];
            let (events, summary) = faulty(wheel, Settings { extra_at_s, ..Settings::default() });
            check_silence(&events);
            assert!((1..=2).contains(&summary.sync_losses), "{}", summary.sync_losses);
            assert_eq!(summary.syncs, summary.sync_losses + 1);
        }
    }
}

/// With latency the unit sees every edge late, but still sees every fault.
#[test]
fn latency_hides_no_fault() {
    let project = bench(4, WHEELS[0], |parts| lock(parts, 10.0));
    let steady = run(&[(0.0, 6000.0), (1.0, 6000.0)]);
    for latency_us in [0.0, 20.0, 100.0, 500.0, 1000.0] {
        for place in 0..30 {
            let extra_at_s = vec![0.500_02 + f64::from(place) * 1.1e-5];
            let settings = Settings { extra_at_s, latency_us, ..Settings::default() };
            let lost = trace(&project, &steady, settings.clone()).1.sync_losses;
            assert!((1..=2).contains(&lost), "{settings:?}: {lost}");
        }
    }
    let before = Settings { extra_at_s: vec![-0.1, -1e-9], ..Settings::default() };
    assert_eq!(trace(&project, &steady, before).0, trace(&project, &steady, Settings::default()).0);
}

#[test]
fn small_jitter_costs_no_sync_and_shows_in_the_error() {
    let settings = Settings { jitter_us: 10.0, seed: 3, ..Settings::default() };
    let (events, summary) = faulty(WHEELS[0], settings.clone());
    check_silence(&events);
    assert_eq!((summary.syncs, summary.sync_losses), (1, 0));
    let largest_deg = summary.max_abs_error_deg.unwrap();
    // ±10 µs are ±0.09° at 1500 rpm; over 1.1 pitches the prediction at most trebles it, and 200 rpm/s add
    // little.
    assert!((0.03..0.4).contains(&largest_deg), "{largest_deg}");
    assert_eq!(faulty(WHEELS[0], settings.clone()).0, events);
    assert_ne!(faulty(WHEELS[0], Settings { seed: 4, ..settings }).0, events);
}

#[test]
fn a_stall_loses_sync_and_turning_again_finds_it() {
    let project = bench(4, WHEELS[0], |parts| lock(parts, 10.0));
    for place in 0..20 {
        let at_s = 1.0 + f64::from(place) / 100.0;
        let stops = [(0.0, 300.0), (at_s, 300.0), (at_s + 1e-4, 0.0)];
        let goes_on = [(at_s + 2.0, 0.0), (at_s + 2.5, 300.0), (at_s + 4.5, 300.0)];
        let (events, summary) = trace(&project, &run(&[stops, goes_on].concat()), Settings::default());
        check_silence(&events);
        assert_eq!((summary.syncs, summary.sync_losses), (2, 1));
        let at = events.iter().position(|event| event.what == What::SyncLost(Loss::Stall)).unwrap();
        let last_edge = events[..at].iter().rfind(is_edge).unwrap();
        assert!((events[at].time_s - last_edge.time_s - 0.5).abs() < 1e-12);
        // The engine stands still for two seconds; 0.5 s pass before the stall is noticed, and it takes a while
        // to reach 50 rpm again.
        assert!(summary.state_s(State::Stopped) > 1.5);
    }
}

#[test]
fn at_walking_pace_a_stall_is_five_periods() {
    // 10 rpm: a pitch takes a sixth of a second.
    let project = bench(4, WHEELS[0], |parts| lock(parts, 10.0));
    let (events, summary) =
        trace(&project, &run(&[(0.0, 10.0), (14.0, 10.0), (14.001, 0.0), (20.0, 0.0)]), Settings::default());
    assert_eq!((summary.syncs, summary.sync_losses, summary.sparks), (1, 1, 0));
    let lost = events.iter().find(|event| event.what == What::SyncLost(Loss::Stall)).unwrap();
    let last_edge = events.iter().rfind(is_edge).unwrap();
    assert!((lost.time_s - last_edge.time_s - 5.0 / 6.0).abs() < 1e-9);
}

/// When edges pass the sensor in a run, faults included: the real ones, without the first one at or after each
/// drop, and the extra ones, provided that a real one comes after them.
fn passing(project: &Project, run: &Run, settings: &Settings) -> Vec<f64> {
    let motion = Rig::new(project, settings.clone()).unwrap().motion(run);
    let mut times_s: Vec<f64> = EdgeTimes::new(&motion, &Layout::new(project)).map(|(time_s, _)| time_s).collect();
    let last_s = times_s.last().copied().unwrap_or(f64::NEG_INFINITY);
    let mut drops_s = settings.dropped_at_s.clone();
    drops_s.sort_by(f64::total_cmp);
    for drop_s in drops_s {
        if let Some(at) = times_s.iter().position(|time_s| *time_s >= drop_s) {
            times_s.remove(at);
        }
    }
    times_s.extend(settings.extra_at_s.iter().filter(|extra_s| **extra_s >= run.start_s() && **extra_s < last_s));
    times_s.sort_by(f64::total_cmp);
    times_s
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(64))]

    #[test]
    fn never_a_spark_out_of_sync(
        dropped_at_s in proptest::collection::vec(0.0..3.0, 0..6),
        extra_at_s in proptest::collection::vec(0.0..3.0, 0..6),
        jitter_us in prop_oneof![Just(0.0), 0.0..400.0],
        variation in prop_oneof![Just(0.0), 0.0..0.5],
        latency_us in prop_oneof![Just(0.0), 0.0..1000.0],
        gaps_to_sync in 1_u8..3,
        wheel in prop_oneof![Just(WHEELS[0]), Just(WHEELS[1]), Just(Wheel { teeth: 24, missing: 2 })],
        speeds_rpm in proptest::collection::vec(0.0..6000.0, 4),
    ) {
        let project = bench(4, wheel, |parts| parts.trigger.gaps_to_sync = gaps_to_sync);
        let settings = Settings { dropped_at_s, extra_at_s, jitter_us, variation, latency_us, ..Settings::default() };
        let points: Vec<(f64, f64)> = speeds_rpm.iter().zip(0_u8..).map(|(&rpm, at)| (f64::from(at), rpm)).collect();
        let drive = run(&points);
        let (events, summary) = trace(&project, &drive, settings.clone());
        check_silence(&events);
        // Every fault takes effect: without jitter the edges seen are those that passed, all equally late.
        let seen_s: Vec<f64> = events.iter().filter(is_edge).map(|event| event.time_s).collect();
        if jitter_us == 0.0 {
            let late = |time_s: f64| time_s + latency_us / 1e6;
            let mut expected_s: Vec<f64> = passing(&project, &drive, &settings).into_iter().map(late).collect();
            expected_s.retain(|time_s| *time_s <= drive.end_s());
            prop_assert_eq!(seen_s, expected_s);
        } else {
            // With jitter they are as many, but some may be delayed past the end of the run.
            let (passed, beyond_s) = (passing(&project, &drive, &settings), (latency_us + jitter_us) / 1e6);
            let sure = passed.iter().filter(|time_s| **time_s + beyond_s <= drive.end_s()).count();
            prop_assert!((sure..=passed.len()).contains(&seen_s.len()), "{} of {}", seen_s.len(), passed.len());
        }
        prop_assert!(events.windows(2).all(|pair| pair[0].time_s <= pair[1].time_s));
        prop_assert!(summary.syncs.abs_diff(summary.sync_losses) <= 1);
        prop_assert_eq!(count(&events, "sync_lost") as u64, summary.sync_losses);
    }
}
