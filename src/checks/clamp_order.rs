//! A floor above the ceiling, or above what launch asks for.

use super::check::Check;
use super::finding::{Noticed, Place};
use super::margin::Bound;
use super::subject::{Subject, degrees};
use super::{Change, Cure, Severity};

pub(super) const CHECK: Check = Check {
    id: "clamp_order",
    title: "Floor in the way",
    reason: "No advance goes below the floor: what asks for less does not get it.",
    since: 1,
    sections: &[Section::Limits],
    is_of_map: false,
    grounds: &[],
    thresholds: &[],
    find,
};

fn find(subject: &Subject<'_>) -> Vec<Noticed> {
    let (clamp, launch, cranking) = (&subject.limits.clamp, &subject.limits.launch, &subject.limits.cranking);
    if clamp.floor_deg > clamp.ceiling_deg {
        return vec![floor_above_ceiling(clamp.floor_deg, clamp.ceiling_deg)];
    }
    let told = |is_used: bool, name: &str, deg: f64| {
        (is_used && clamp.floor_deg > deg).then(|| below_floor(clamp.floor_deg, name, deg))
    };
    let asked = [told(launch.enabled, "launch", launch.advance_deg), told(true, "cranking", cranking.advance_deg)];
    asked.into_iter().flatten().collect()
}

use crate::compare::Section;
use crate::wording::Unit;

const FLOOR: &str = "limits.clamp.floor_deg";

fn floor_above_ceiling(value: f64, threshold: f64) -> Noticed {
    Noticed {
        severity: Severity::Error,
        place: Place::field(FLOOR, "floor and ceiling"),
        message: format!("the floor of {} is above the ceiling of {}", degrees(value), degrees(threshold)),
        remedy: "Set the floor below the ceiling: as it is, every spark comes at the ceiling.".into(),
        value,
        bound: Bound::of(threshold, Unit::Degree),
        cure: None,
    }
}

/// `name` is that of the limit that asks for less than the floor.
fn below_floor(floor_deg: f64, name: &str, deg: f64) -> Noticed {
    let label = format!("Lower the floor to {}", degrees(deg));
    Noticed {
        severity: Severity::Warning,
        place: Place::field(format!("limits.{name}.advance_deg"), format!("floor and {name}")),
        message: format!("{name} asks for {}, but the floor is {}", degrees(deg), degrees(floor_deg)),
        remedy: format!("Lower the floor to the {name} advance, or raise that."),
        value: floor_deg,
        bound: Bound::of(deg, Unit::Degree),
        cure: Some(Cure::new(label, Change::Fields(vec![(FLOOR.into(), deg)]))),
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::checks::fixtures::{cured, severity_after, sound};

    #[test]
    fn fires_above_ceiling_launch_and_cranking() {
        let floor = |deg: f64| severity_after("clamp_order", move |parts| parts.limits.clamp.floor_deg = deg);
        assert_eq!((floor(8.0), floor(8.5), floor(45.5)), (None, Some(Severity::Warning), Some(Severity::Error)));
        let launch = |deg: f64| {
            let change = move |parts: &mut crate::project::Parts| {
                (parts.limits.launch.enabled, parts.limits.clamp.floor_deg) = (true, deg);
            };
            severity_after("clamp_order", change)
        };
        assert_eq!((launch(0.0), launch(0.5)), (None, Some(Severity::Warning)));
    }

    #[test]
    fn the_remedy_lowers_the_floor() {
        let start = sound().edit(|parts| parts.limits.clamp.floor_deg = 10.0).unwrap();
        assert_eq!(cured(&start, "clamp_order").1, "Lower the floor to 8.0°");
    }
}
