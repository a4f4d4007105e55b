//! Findings accepted in files of older versions stay accepted.

use proptest::prelude::*;

use super::{Finding, accept, check, run};
use crate::compare::samples::any_project;
use crate::project::{Chamber, FindingPlace, Project, Upgrade, as_version_1, read_upgrading};

/// Files as version 1 wrote them, with every finding accepted, also in the kept states.
const ALL_ACCEPTED: [&str; 4] = [
    include_str!("../../tests/frozen/v1/all-accepted-single-seater.ron"),
    include_str!("../../tests/frozen/v1/all-accepted-boosted-six.ron"),
    include_str!("../../tests/frozen/v1/all-accepted-launch-eight.ron"),
    include_str!("../../tests/frozen/v1/all-accepted-neglected-four.ron"),
];

#[test]
fn every_finding_accepted_in_a_frozen_file_is_found_at_its_place() {
    let mut ids = std::collections::BTreeSet::new();
    for text in ALL_ACCEPTED {
        let (project, _) = read_upgrading(text.as_bytes()).unwrap();
        let kept = project.snapshots.iter().map(|kept| &kept.state);
        let exported = project.last_export.iter().map(|export| &export.state);
        for state in kept.chain(exported).chain([&project]) {
            let found = run(state);
            assert!(!state.checks.accepted.is_empty());
            // Checks of the advance table no longer examine a locked-timing copy.
            let is_looked_at = |place: &FindingPlace| state.locked_timing_deg.is_none() || place.field != "advance";
            for accepted in state.checks.accepted.iter().filter(|accepted| is_looked_at(&accepted.place)) {
                let is_there =
                    found.iter().any(|found| found.id == accepted.id && found.place.known_by == accepted.place);
                assert!(is_there, "{}: {} of '{}'", project.name, accepted.place, accepted.id);
                ids.insert(accepted.id.clone());
            }
        }
    }
    assert_eq!(ids.len(), 33, "every check of version 1: {ids:?}");
}

/// A project as version 1 could have it: without anything that version 1 did not know, and with every finding
/// accepted.
fn all_accepted(project: &Project) -> Project {
    let known = project.edit(|parts| {
        parts.checks.accepted.clear();
        parts.typed_readings.clear();
        parts.evidence = Default::default();
        parts.combustion = Default::default();
        parts.runs.clear();
        parts.checks.threshold_reasons.clear();
        parts.image.coverage = Default::default();
        (parts.engine.chamber, parts.engine.highest_safe_speed_rpm) = (Chamber::TwoValveSidePlug, None);
        parts.coil.secondary_voltage_kv = None;
        // The readings were taken with the present sensor.
        (parts.timing_light.sensor, parts.timing_light.latency_us) = (parts.trigger.sensor, parts.trigger.latency_us);
    });
    let known = known.unwrap();
    let findings = run(&known);
    // At that time, readings that disagree were not a finding.
    let is_known = |finding: &&Finding| finding.id != "zero_proof" || finding.place.known_by.of.is_empty();
    let known_then = findings.iter().filter(|finding| check(finding.id).unwrap().since == 1).filter(is_known);
    known_then.fold(known, |project, finding| accept(&project, finding, "so it is").map_or(project, |done| done.0))
}

/// An older rule required a number of readings. An acceptance of too few stays in force as long as readings are
/// missing.
#[test]
fn accepted_that_there_are_too_few_readings_stays_accepted() {
    let text = as_version_1(
        &crate::checks::fixtures::sound()
            .edit(|parts| {
                parts.timing_light.readings.truncate(2);
                parts.checks.thresholds.insert("zero_proof_readings".into(), 6.0);
                let place = crate::project::FindingPlace::field("timing_light.readings");
                let accepted = crate::project::AcceptedFinding {
                    id: "zero_proof".into(),
                    place,
                    value: 2.0,
                    reason: "the rest is to come".into(),
                };
                parts.checks.accepted.push(accepted);
            })
            .unwrap(),
    );
    let (read, _) = read_upgrading(text.as_bytes()).unwrap();
    assert_eq!(read.checks.thresholds["zero_proof_readings"], 6.0);
    let found = crate::checks::fixtures::only(&read, "zero_proof");
    assert_eq!(found.accepted.as_deref(), Some("the rest is to come"), "{found:?}");
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(96))]

    #[test]
    fn any_project_written_as_version_1_has_the_same_meaning(project in any_project()) {
        let project = all_accepted(&project);
        let (read, upgrade) = read_upgrading(as_version_1(&project).as_bytes()).unwrap();
        prop_assert_eq!(upgrade, Some(Upgrade { from: 1, remarks: Vec::new() }));
        // What the upgrade fills in counts as assumed.
        let project = project.edit(|parts| parts.assumed = ["engine.chamber".to_owned()].into()).unwrap();
        prop_assert_eq!(&read, &project);
        prop_assert_eq!(run(&read), run(&project));
    }
}
