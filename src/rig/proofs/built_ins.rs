//! The built-in runs on every sample project, and runs compared with their parts and with themselves.

use std::ops::ControlFlow;

use proptest::prelude::*;

use super::{WHEELS, bench, is_edge, run, trace};
use crate::project::{LoadKind, NewProject, Parts, Project, SAMPLES};
use crate::rig::{BuiltIn, Event, Rig, Run, Settings, Sink, Summary};
use crate::spark::State;

fn drive(project: &Project, run: BuiltIn) -> Summary {
    trace(project, &run.run(project).unwrap(), Settings::default()).1
}

fn samples() -> impl Iterator<Item = Project> {
    SAMPLES.iter().map(|sample| sample.project().unwrap())
}

#[test]
fn each_goes_through_on_every_sample_without_losing_sync() {
    for project in samples() {
        for run in BuiltIn::ALL {
            let summary = drive(&project, run);
            let stalls = u64::from(run == BuiltIn::RunDown);
            assert_eq!((summary.syncs, summary.sync_losses), (1, stalls), "{} {}", project.name, run.name());
            assert!(summary.sparks > 50, "{} {}", project.name, run.name());
            assert!(summary.max_abs_error_deg.unwrap() < 5.0, "{} {}: {summary:?}", project.name, run.name());
        }
    }
}

#[test]
fn each_shows_what_it_is_for() {
    for project in samples() {
        let project = project.edit(|parts| parts.limits.launch.enabled = true).unwrap();
        let started = drive(&project, BuiltIn::CrankAndStart);
        assert!(started.state_s(State::Cranking) > 1.0 && started.state_s(State::Running) > 4.0);
        let idling = drive(&project, BuiltIn::Idle);
        assert!(idling.state_s(State::Running) > 9.5 && idling.cuts == 0);
        assert!(idling.max_abs_error_deg.unwrap() < 1e-6);
        let sweep = drive(&project, BuiltIn::SweepToTheLimit);
        assert!(sweep.cuts > 0 && sweep.state_s(State::OverSpeed) > 0.1, "{}", project.name);
        let launch = drive(&project, BuiltIn::Launch);
        assert!(launch.state_s(State::LaunchCut) > 0.1 && launch.cuts > 0, "{}", project.name);
        let down = drive(&project, BuiltIn::RunDown);
        assert!(down.state_s(State::Stopped) > 0.5 && down.state_s(State::Cranking) > 0.1);
        let cold = drive(&project, BuiltIn::ColdStart);
        assert!(cold.duration_s > 50.0 && cold.state_s(State::Cranking) > 2.0);
    }
}

/// The starter turns the engine unevenly whatever other variation is asked for; no other run varies by itself.
#[test]
fn crank_and_start_swings_below_the_cranking_speed() {
    for project in samples() {
        let cranking_rpm = project.limits.cranking.below_rpm;
        for run in BuiltIn::ALL {
            let own = run.run(&project).unwrap().own_variation().map(|own| (own.variation, own.below_rpm));
            assert_eq!(own, (run == BuiltIn::CrankAndStart).then_some((0.3, cranking_rpm)), "{}", run.name());
        }
        let swinging = BuiltIn::CrankAndStart.run(&project).unwrap();
        let steady = Run::new(swinging.rows().to_vec()).unwrap();
        let told = |run: &Run| trace(&project, run, Settings::default()).0;
        assert_ne!(told(&swinging), told(&steady), "{}", project.name);
    }
}

/// Over pressure the sweep goes up to the limit twice: along the top row, and along the highest pressure.
#[test]
fn the_sweep_goes_along_the_highest_pressure_as_well() {
    for project in samples() {
        let sweep = BuiltIn::SweepToTheLimit.run(&project).unwrap();
        let top_rpm = project.limits.over_speed.cuts_at_rpm;
        let mut loads: Vec<f64> =
            sweep.rows().iter().filter(|row| row.speed_rpm > top_rpm).map(|row| row.load).collect();
        loads.sort_by(f64::total_cmp);
        loads.dedup_by(|a, b| (*a - *b).abs() < 1e-9);
        let last = project.advance.table().load().last();
        let expected = match project.sensors.load {
            LoadKind::Pressure => vec![project.engine.highest_pressure_kpa, last],
            LoadKind::Throttle => vec![last],
        };
        let is_there = loads.len() == expected.len() && loads.iter().zip(&expected).all(|(a, b)| (a - b).abs() < 1e-9);
        assert!(is_there, "{}: {loads:?}", project.name);
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(48))]

    /// Whatever the limits of a project, even at the ends of their ranges, every run can be made and driven to
    /// its end.
    #[test]
    fn each_can_be_made_for_any_project(
        cuts_rpm in speed(100.0), again_rpm in speed(0.0), launch_rpm in speed(0.0), arms_rpm in speed(0.0),
        drop_rpm in prop_oneof![Just(0.0), Just(5000.0), 0.0..5000.0], idle_rpm in prop_oneof![Just(200.0), Just(3000.0)],
        lowest_v in prop_oneof![Just(4.0), Just(60.0), 4.0..60.0], enabled: bool, pressure: bool,
    ) {
        let load = if pressure { LoadKind::Pressure } else { LoadKind::Throttle };
        let new = NewProject { name: "any".into(), cylinders: 4, load, speeds: 8, loads: 8 };
        let change = |parts: &mut Parts| {
            let (over, launch) = (&mut parts.limits.over_speed, &mut parts.limits.launch);
            (over.enabled, over.cuts_at_rpm, over.fires_again_below_rpm) = (enabled, cuts_rpm, again_rpm);
            (launch.enabled, launch.cuts_at_rpm, launch.arms_below_rpm) = (enabled, launch_rpm, arms_rpm);
            launch.resume_drop_rpm = drop_rpm;
            parts.engine.idle_speed_rpm = idle_rpm;
            (parts.sensors.lowest_battery_v, parts.sensors.highest_battery_v) = (lowest_v, 60.0);
        };
        let project = new.create().unwrap().edit(change).unwrap();
        for run in BuiltIn::ALL {
            prop_assert!(run.run(&project).is_ok(), "{}: {:?}", run.name(), run.run(&project));
        }
    }
}

fn speed(least_rpm: f64) -> impl Strategy<Value = f64> {
    prop_oneof![Just(least_rpm), Just(29_990.0), Just(30_000.0), least_rpm..30_000.0]
}

#[test]
fn names_are_unique() {
    for (at, run) in BuiltIn::ALL.iter().enumerate() {
        assert!(BuiltIn::ALL[..at].iter().all(|other| other.name() != run.name() && other.label() != run.label()));
    }
}

/// A rig cannot know what comes: whatever happens in a run happens, to the bit, in every run that continues it.
/// Counts, times in each state and outputs of the whole are the sums of those of its parts.
fn check_going_on(points: &[(f64, f64)], at: usize, settings: &Settings) -> Result<(), TestCaseError> {
    let project = bench(4, WHEELS[0], |parts| parts.limits.over_speed.enabled = true);
    let (whole, whole_sums) = trace(&project, &run(points), settings.clone());
    let (part, part_sums) = trace(&project, &run(&points[..=at]), settings.clone());
    prop_assert_eq!(&whole[..part.len()], &part[..]);
    let rest = &whole[part.len()..];
    let of_rest = |name: &str| super::count(rest, name) as u64;
    let sums = |sums: &Summary| [sums.edges, sums.gaps, sums.syncs, sums.sync_losses, sums.sparks, sums.cuts];
    let names = ["edge", "gap", "sync", "sync_lost", "spark", "cut"];
    for ((whole, part), name) in sums(&whole_sums).into_iter().zip(sums(&part_sums)).zip(names) {
        prop_assert_eq!(whole, part + of_rest(name));
    }
    for summary in [&whole_sums, &part_sums] {
        prop_assert!((summary.states_s.iter().sum::<f64>() - summary.duration_s).abs() < 1e-9);
    }
    for state in State::ALL {
        prop_assert!(whole_sums.state_s(state) >= part_sums.state_s(state) - 1e-9);
    }
    let largest = |sums: &Summary| sums.max_abs_error_deg.unwrap_or(0.0);
    let of_rest = rest.iter().filter_map(|event| event.what.error_deg()).map(f64::abs).fold(0.0, f64::max);
    prop_assert_eq!(largest(&whole_sums), largest(&part_sums).max(of_rest));
    Ok(())
}

/// Two runs each begin with the reference edge: joined where the first has made whole turns, no edge is lost.
#[test]
fn edges_of_joined_runs_are_the_sum_of_their_parts() {
    let project = bench(4, WHEELS[1], |_| ());
    // 10 and 30 turns.
    let (first, second) = ([(0.0, 600.0), (1.0, 600.0)], [(0.0, 600.0), (2.0, 1200.0)]);
    let joined = [(0.0, 600.0), (1.0, 600.0), (3.0, 1200.0)];
    let of = |points: &[(f64, f64)]| trace(&project, &run(points), Settings::default());
    let ((first, first_sums), (second, second_sums), (joined, joined_sums)) = (of(&first), of(&second), of(&joined));
    // The last edge of the first is the first of the second.
    assert_eq!(joined_sums.edges, first_sums.edges + second_sums.edges - 1);
    assert_eq!(joined_sums.duration_s, first_sums.duration_s + second_sums.duration_s);
    let places = |events: &[Event], later: f64| -> Vec<f64> {
        events.iter().filter(is_edge).map(|event| event.time_s + later).collect()
    };
    let parts = [places(&first, 0.0), places(&second, 1.0)[1..].to_vec()].concat();
    for (whole, part) in places(&joined, 0.0).iter().zip(&parts) {
        assert!((whole - part).abs() < 1e-9);
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(32))]

    #[test]
    fn going_on_changes_nothing_that_was(
        speeds_rpm in proptest::collection::vec(0.0..7000.0, 3..6), variation in prop_oneof![Just(0.0), 0.0..0.4],
    ) {
        let points: Vec<(f64, f64)> = speeds_rpm.iter().zip(0_u8..).map(|(&rpm, at)| (f64::from(at) * 0.6, rpm)).collect();
        check_going_on(&points, points.len() - 2, &Settings { variation, ..Settings::default() })?;
    }

    /// An additional row on the line between its neighbours changes nothing.
    #[test]
    fn a_row_between_changes_nothing(speeds_rpm in proptest::collection::vec(150.0..7000.0, 2..5), share in 0.05..0.95) {
        let project = bench(6, WHEELS[1], |_| ());
        let points: Vec<(f64, f64)> = speeds_rpm.iter().zip(0_u8..).map(|(&rpm, at)| (f64::from(at), rpm)).collect();
        let plain = run(&points);
        let mut rows = plain.rows().to_vec();
        rows.insert(1, plain.at(share));
        let (before, before_sums) = trace(&project, &plain, Settings::default());
        let (after, after_sums) = trace(&project, &Run::new(rows).unwrap(), Settings::default());
        prop_assert_eq!(before_sums.sparks, after_sums.sparks);
        for (before, after) in before.iter().zip(&after) {
            prop_assert_eq!(before.what.name(), after.what.name());
            prop_assert!((before.time_s - after.time_s).abs() < 1e-8);
            prop_assert!((before.crank_deg - after.crank_deg).abs() < 1e-5);
        }
    }
}

#[test]
fn the_same_run_gives_the_same_events_to_the_bit() {
    let project = bench(8, WHEELS[0], |_| ());
    let settings = Settings { variation: 0.2, jitter_us: 3.0, dropped_at_s: vec![1.2], ..Settings::default() };
    let drive = run(&[(0.0, 0.0), (1.0, 600.0), (3.0, 6000.0)]);
    let text = |(events, summary): (Vec<Event>, Summary)| format!("{events:?} {summary:?}");
    assert_eq!(text(trace(&project, &drive, settings.clone())), text(trace(&project, &drive, settings)));
}

/// Takes a number of events, then stops the run.
struct Few(usize, Vec<Event>);

impl Sink for Few {
    fn take(&mut self, event: &Event) -> ControlFlow<()> {
        self.1.push(*event);
        if self.1.len() == self.0 { ControlFlow::Break(()) } else { ControlFlow::Continue(()) }
    }
}

#[test]
fn a_run_can_be_broken_off() {
    let project = bench(4, WHEELS[0], |_| ());
    let drive = run(&[(0.0, 900.0), (3.0, 6000.0)]);
    let (events, _) = trace(&project, &drive, Settings::default());
    for most in [1, 75, 500] {
        let mut few = Few(most, Vec::new());
        let summary = Rig::new(&project, Settings::default()).unwrap().run(&drive, &mut few);
        assert_eq!(few.1, events[..most]);
        assert_eq!(summary.duration_s, events[most - 1].time_s);
    }
}

#[test]
fn the_reference_edge_at_the_start_is_the_first_event() {
    let project = bench(4, WHEELS[0], |_| ());
    for speed_rpm in [0.0, 3000.0] {
        let (events, _) = trace(&project, &run(&[(5.0, speed_rpm), (6.0, 3000.0)]), Settings::default());
        assert_eq!((events[0].what.name(), events[0].time_s, events[0].crank_deg), ("edge", 5.0, 0.0));
    }
}

#[test]
fn the_summary_is_written_by_name() {
    let project = bench(4, WHEELS[0], |_| ());
    let (_, summary) = trace(&project, &run(&[(0.0, 0.0), (1.0, 0.0)]), Settings::default());
    let json = serde_json::to_value(&summary).unwrap();
    assert_eq!(json["states"]["stopped"], 1.0);
    assert_eq!(json["states"].as_object().unwrap().len(), 7);
    assert_eq!(json["outputs"]["fan"], serde_json::json!({ "switches": 0, "on_s": 0.0 }));
    assert_eq!(json["max_abs_error_deg"], serde_json::Value::Null);
    assert_eq!((&json["duration_s"], &json["edges"]), (&serde_json::json!(1.0), &serde_json::json!(1)));
}
