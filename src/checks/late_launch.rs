//! Launch sparks so late that they light the inlet of a carburettor.

use super::catalogue::Check;
use super::finding::{Noticed, Place};
use super::subject::{Subject, degrees};
use super::threshold::exceeds;
use super::{Change, Cure, Severity, Sheet, Threshold};
use crate::project::{Mixture, thresholds};

const LATEST: Threshold = thresholds::LATE_LAUNCH_DEG;

pub(super) const CHECK: Check = Check {
    id: "late_launch",
    title: "Launch sparks late",
    reason: "A very late spark is still burning when the inlet valve opens, and lights the mixture in the carburettor.",
    thresholds: &[LATEST],
    find,
};

fn find(subject: &Subject<'_>) -> Vec<Noticed> {
    let (launch, threshold) = (&subject.limits.launch, subject.threshold(&LATEST));
    let is_late = exceeds(threshold, launch.advance_deg);
    if !launch.enabled || subject.engine.mixture != Mixture::Carburettors || !is_late {
        return Vec::new();
    }
    let field = "limits.launch.advance_deg";
    let label = format!("Set the launch advance to {}", degrees(threshold));
    vec![Noticed {
        severity: Severity::Warning,
        place: Place::field(Sheet::Limits, field, "launch advance"),
        message: format!("launch retards to {} on carburettors", degrees(launch.advance_deg)),
        remedy: format!("Let launch retard to {} at the latest.", degrees(threshold)),
        value: launch.advance_deg,
        threshold,
        unit: "°",
        cure: Some(Cure::new(label, Change::Fields(vec![(field.into(), threshold)]))),
    }]
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::checks::fixtures::{cured, of, sound};
    use crate::project::Project;

    fn launch(advance_deg: f64, mixture: Mixture) -> Project {
        let change = |parts: &mut crate::project::Parts| {
            (parts.limits.launch.enabled, parts.limits.launch.advance_deg) = (true, advance_deg);
            parts.engine.mixture = mixture;
        };
        sound().edit(change).unwrap()
    }

    #[test]
    fn fires_below_minus_five_on_carburettors() {
        assert_eq!(of(&launch(-5.0, Mixture::Carburettors), "late_launch"), []);
        assert_eq!(of(&launch(-8.0, Mixture::Injection), "late_launch"), []);
        let (after, label) = cured(&launch(-5.5, Mixture::Carburettors), "late_launch");
        assert_eq!((label.as_str(), after.limits.launch.advance_deg), ("Set the launch advance to −5.0°", -5.0));
    }
}
