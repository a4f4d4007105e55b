//! Launch sparks so late that they light the inlet of a carburettor, or burn in the turbine.

use super::check::{Check, Ground};
use super::finding::{Noticed, Place};
use super::subject::{Subject, degrees};
use super::{Change, Cure, Severity, Threshold};
use crate::compare::Section;
use crate::project::{Induction, Mixture, Parts, thresholds};

const LATEST: Threshold = thresholds::LATE_LAUNCH_DEG;

pub(super) const CHECK: Check = Check {
    id: "late_launch",
    title: "Launch sparks late",
    reason: "A very late spark burns in the exhaust, where it overheats valves and turbine, and is still burning when the \
             inlet valve opens, where it lights the mixture in a carburettor.",
    since: 1,
    sections: &[Section::Limits],
    is_of_map: false,
    grounds: &[Ground::MIXTURE],
    thresholds: &[LATEST],
    find,
};

/// What a late spark would ignite or burn. Boost is assumed to come from a turbocharger unless the project says
/// otherwise.
fn endangered(parts: &Parts) -> Option<&'static str> {
    match parts.engine.mixture {
        Mixture::Carburettors => Some("on carburettors"),
        Mixture::Injection => (parts.engine.induction == Induction::Boosted).then_some("into a turbocharger"),
    }
}

fn find(subject: &Subject<'_>) -> Vec<Noticed> {
    let (launch, bound) = (&subject.limits.launch, subject.bound(&LATEST));
    let is_late = || subject.is_under(launch.advance_deg, bound);
    let Some(endangered) = endangered(subject).filter(|_| launch.enabled && is_late()) else {
        return Vec::new();
    };
    let field = "limits.launch.advance_deg";
    let label = format!("Set the launch advance to {}", degrees(bound.allowed));
    vec![Noticed {
        severity: Severity::Warning,
        place: Place::field(field, "launch advance"),
        message: format!("launch retards to {} {endangered}", degrees(launch.advance_deg)),
        remedy: format!("Let launch retard to {} at the latest.", degrees(bound.allowed)),
        value: launch.advance_deg,
        bound,
        cure: Some(Cure::new(label, Change::Fields(vec![(field.into(), bound.allowed)]))),
    }]
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::checks::fixtures::{cured, of, sound};
    use crate::project::Project;

    fn launch(advance_deg: f64, mixture: Mixture) -> Project {
        let change = |parts: &mut Parts| {
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

    #[test]
    fn a_turbocharger_bears_no_more() {
        let turbo = |advance_deg: f64| {
            let boost = |parts: &mut Parts| parts.engine.induction = Induction::Boosted;
            launch(advance_deg, Mixture::Injection).edit(boost).unwrap()
        };
        assert_eq!(of(&turbo(-5.0), "late_launch"), []);
        let found = crate::checks::fixtures::only(&turbo(-8.0), "late_launch");
        assert_eq!(found.message, "launch retards to −8.0° into a turbocharger");
        cured(&turbo(-8.0), "late_launch");
    }
}
