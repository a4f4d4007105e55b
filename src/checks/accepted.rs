//! Findings that were accepted with a reason.

use thiserror::Error;

use super::Finding;
use crate::project::{AcceptedFinding, CheckSettings, Fault, Parts, Project};

/// A value that moved by no more than this has not changed.
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
    let same_value =
        |accepted: &AcceptedFinding| (accepted.value - finding.value).abs() <= UNCHANGED * finding.value.abs().max(1.0);
    let mut accepted = settings.accepted.iter();
    accepted.find(|accepted| is_of(accepted, finding) && same_value(accepted)).map(|accepted| accepted.reason.clone())
}

fn is_of(accepted: &AcceptedFinding, finding: &Finding) -> bool {
    accepted.id == finding.id && accepted.place == finding.place.words
}

/// The project in which a finding is accepted for a reason, and the label of the step. Until the value changes it counts
/// no more.
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
        place: finding.place.words.clone(),
        value: finding.value,
        reason: reason.into(),
    };
    let change = |parts: &mut Parts| {
        parts.checks.accepted.retain(|accepted| !is_of(accepted, finding));
        parts.checks.accepted.push(entry);
    };
    Ok((project.edit(change)?, format!("Accept finding: {}", finding.message)))
}

/// The project in which an accepted finding counts again, and the label of the step.
///
/// # Errors
/// [`Fault`] never for a project that exists.
pub fn take_back_acceptance(project: &Project, finding: &Finding) -> Result<(Project, String), Fault> {
    let change = |parts: &mut Parts| parts.checks.accepted.retain(|accepted| !is_of(accepted, finding));
    Ok((project.edit(change)?, format!("No longer accept finding: {}", finding.message)))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::checks::fixtures::{only, sound};
    use crate::checks::{Tally, run};

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
