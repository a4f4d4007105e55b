//! The built-in runs on every sample project.

use proptest::prelude::*;

use super::trace;
use crate::project::{LoadKind, NewProject, Parts, Project, SAMPLES};
use crate::rig::{BuiltIn, Run, Settings, Summary};
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
