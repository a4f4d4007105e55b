//! Findings that were accepted with a reason.

use thiserror::Error;

use super::Finding;
use super::check::check;
use crate::project::{AcceptedFinding, CheckSettings, Fault, Parts, Project};

/// A value that moved by no more than this (relative to values above 1) counts as unchanged.
const UNCHANGED: f64 = 1e-9;

/// Why a finding was not accepted.
#[derive(Clone, Debug, PartialEq, Eq, Error)]
pub enum AcceptError {
    /// No reason was given.
    #[error("an accepted finding needs a reason; write why it is right as it is")]
    NoReason,
    /// The project cannot hold it.
    #[error(transparent)]
    Fault(#[from] Fault),
}

/// Why a finding was accepted, if it was and its value has not changed since.
pub(super) fn reason(settings: &CheckSettings, finding: &Finding) -> Option<String> {
    let mut accepted = settings.accepted.iter();
    accepted.find(|accepted| is_in_force(accepted, finding)).map(|accepted| accepted.reason.clone())
}

fn is_in_force(accepted: &AcceptedFinding, finding: &Finding) -> bool {
    let same_value = (accepted.value - finding.value).abs() <= UNCHANGED * finding.value.abs().max(1.0);
    is_of(accepted, finding) && same_value
}

/// Acceptances of other findings at the same place that still apply: two conditions of one output on the same
/// signal share a place.
fn others_in_force(project: &Project, finding: &Finding) -> Vec<AcceptedFinding> {
    let found = check(finding.id).map(|check| check.findings(project)).unwrap_or_default();
    let others: Vec<&Finding> = found.iter().filter(|other| other.value != finding.value).collect();
    let accepted = project.checks.accepted.iter();
    accepted.filter(|accepted| others.iter().any(|other| is_in_force(accepted, other))).cloned().collect()
}

fn is_of(accepted: &AcceptedFinding, finding: &Finding) -> bool {
    accepted.id == finding.id && accepted.place == finding.place.known_by
}

/// The project in which a finding is accepted for a reason, and the label of the step. Until its value changes,
/// the finding is not counted as open.
///
/// # Errors
/// [`AcceptError`] without a reason, or with one that is too long.
pub fn accept(project: &Project, finding: &Finding, reason: &str) -> Result<(Project, String), AcceptError> {
    let reason = reason.trim();
    if reason.is_empty() {
        return Err(AcceptError::NoReason);
    }
    let entry = AcceptedFinding {
        id: finding.id.into(),
        place: finding.place.known_by.clone(),
        value: finding.value,
        reason: reason.into(),
    };
    let others = others_in_force(project, finding);
    let change = |parts: &mut Parts| {
        parts.checks.accepted.retain(|accepted| !is_of(accepted, finding) || others.contains(accepted));
        parts.checks.accepted.push(entry);
    };
    Ok((project.edit(change)?, format!("Accept finding: {}", finding.message)))
}

/// The project in which an accepted finding is open again, and the label of the step.
///
/// # Errors
/// [`Fault`] never for a project that exists.
pub fn take_back_acceptance(project: &Project, finding: &Finding) -> Result<(Project, String), Fault> {
    let others = others_in_force(project, finding);
    let change = |parts: &mut Parts| {
        parts.checks.accepted.retain(|accepted| !is_of(accepted, finding) || others.contains(accepted));
    };
    Ok((project.edit(change)?, format!("No longer accept finding: {}", finding.message)))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::checks::fixtures::{of, only, sound};
    use crate::checks::{Tally, run};
    use crate::project::{Condition, Signal};

    fn one_pulse(pulses: f64) -> Project {
        sound().edit(|parts| parts.tachometer.pulses_per_revolution = pulses).unwrap()
    }

    #[test]
    fn it_comes_back_when_the_value_changes() {
        let start = one_pulse(1.0);
        let (after, label) =
            accept(&start, &only(&start, "tachometer"), " the instrument is set to two cylinders ").unwrap();
        assert!(label.starts_with("Accept finding: the tachometer gets 1 pulse"), "{label}");
        let accepted = only(&after, "tachometer");
        assert_eq!(accepted.accepted.as_deref(), Some("the instrument is set to two cylinders"));
        assert_eq!((Tally::of(&run(&after)).total(), after.checks.accepted.len()), (0, 1));
        let changed = after.edit(|parts| parts.tachometer.pulses_per_revolution = 4.0).unwrap();
        let back = only(&changed, "tachometer");
        assert!(back.is_open());
        let (again, _) = accept(&changed, &back, "another instrument").unwrap();
        assert_eq!(again.checks.accepted.len(), 1);
    }

    /// A fan that switches too often, listed after another output.
    fn clicking() -> Project {
        let change = |parts: &mut Parts| {
            let fan = parts.outputs.iter_mut().find(|output| output.name == "fan").unwrap();
            fan.conditions = vec![Condition { signal: Signal::Coolant, on: 95.0, off: 94.5 }];
        };
        sound().edit(change).unwrap()
    }

    #[test]
    fn it_stays_when_outputs_are_moved_about_and_not_when_the_output_is_another() {
        let start = clicking();
        let (accepted, _) = accept(&start, &only(&start, "chatter"), "the relay is meant to").unwrap();
        let place = accepted.checks.accepted[0].place.to_string();
        assert_eq!(place, "outputs[fan].conditions[coolant].off");
        let moved = accepted.edit(|parts| parts.outputs.reverse()).unwrap();
        assert!(!only(&moved, "chatter").is_open());
        let condition = Condition { signal: Signal::Speed, on: 3000.0, off: 2000.0 };
        let longer = accepted.edit(|parts| {
            parts.outputs.iter_mut().for_each(|output| output.conditions.insert(0, condition.clone()));
        });
        assert!(!only(&longer.unwrap(), "chatter").is_open());
        let renamed = accepted.edit(|parts| {
            parts.outputs.iter_mut().filter(|output| output.name == "fan").for_each(|fan| fan.name = "pump".into());
        });
        assert!(only(&renamed.unwrap(), "chatter").is_open());
    }

    #[test]
    fn of_two_findings_at_one_place_each_is_accepted_by_itself() {
        let two = clicking().edit(|parts| {
            let fan = parts.outputs.iter_mut().find(|output| output.name == "fan").unwrap();
            fan.conditions.push(Condition { signal: Signal::Coolant, on: 60.0, off: 59.75 });
        });
        let mut project = two.unwrap();
        let found = of(&project, "chatter");
        assert_eq!(found.len(), 2);
        for finding in &found {
            project = accept(&project, finding, "so it is").unwrap().0;
        }
        assert!(of(&project, "chatter").iter().all(|finding| !finding.is_open()));
        let (project, _) = take_back_acceptance(&project, &found[0]).unwrap();
        assert_eq!(of(&project, "chatter").iter().filter(|finding| finding.is_open()).count(), 1);
    }

    #[test]
    fn it_stays_when_breakpoints_come_and_go_elsewhere_or_within() {
        use crate::project::{Advance, Origin};
        use crate::table::{Axis, Cell, Table};
        let bump =
            |speeds: &[f64], loads: &[f64]| {
                let axis = |points: &[f64]| Axis::new(points.to_vec()).unwrap();
                let table = Table::from_fn(axis(speeds), axis(loads), |speed, load| {
                    if (speed, load) == (3000.0, 40.0) { 40.0 } else { 20.0 }
                });
                let advance = Advance::uniform(table.unwrap(), Origin::Typed).unwrap();
                sound().with_advance(advance).unwrap()
            };
        let loads = [0.0, 20.0, 40.0, 60.0, 100.0];
        let start = bump(&[1000.0, 2000.0, 3000.0, 4000.0, 7000.0], &loads);
        let (accepted, _) = accept(&start, &only(&start, "stands_out"), "measured").unwrap();
        assert_eq!(start.advance.table().at(Cell::new(2, 2)), 40.0);
        let carried = |other: Project| other.edit(|parts| parts.checks = accepted.checks.clone()).unwrap();
        let longer = carried(bump(&[500.0, 1000.0, 2000.0, 3000.0, 4000.0, 5500.0, 7000.0], &loads));
        assert!(!only(&longer, "stands_out").is_open());
    }

    #[test]
    fn it_can_be_taken_back_and_needs_a_reason() {
        let start = one_pulse(1.0);
        let finding = only(&start, "tachometer");
        assert_eq!(accept(&start, &finding, " \n").unwrap_err(), AcceptError::NoReason);
        assert!(matches!(accept(&start, &finding, &"x".repeat(2_001)), Err(AcceptError::Fault(_))));
        let (after, _) = accept(&start, &finding, "so it is").unwrap();
        let (open, label) = take_back_acceptance(&after, &finding).unwrap();
        assert_eq!((&open, run(&open)), (&start, run(&start)));
        assert!(label.starts_with("No longer accept finding: the tachometer"), "{label}");
    }
}
