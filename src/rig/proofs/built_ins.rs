//! The built-in runs on every sample project.

use super::trace;
use crate::project::{Project, SAMPLES};
use crate::rig::{BuiltIn, Settings, Summary};
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

#[test]
fn names_are_unique() {
    for (at, run) in BuiltIn::ALL.iter().enumerate() {
        assert!(BuiltIn::ALL[..at].iter().all(|other| other.name() != run.name() && other.label() != run.label()));
    }
}
