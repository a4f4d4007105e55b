//! An over-speed limit above what the engine itself withstands.

use super::check::Check;
use super::finding::{Noticed, Place};
use super::margin::Bound;
use super::subject::{Subject, rpm};
use super::{Change, Cure, Severity};
use crate::compare::Section;
use crate::project::SPEED_RANGE_RPM;
use crate::wording::{Unit, settle};

pub(super) const CHECK: Check = Check {
    id: "over_speed_safe",
    title: "Limit above the safe speed",
    reason: "A limit above the speed that valves and rods stand protects nothing.",
    since: 2,
    sections: &[Section::Limits],
    is_of_map: false,
    grounds: &[],
    thresholds: &[],
    find,
};

fn find(subject: &Subject<'_>) -> Vec<Noticed> {
    let over = &subject.limits.over_speed;
    let Some(safe_rpm) = subject.engine.highest_safe_speed_rpm else {
        return Vec::new();
    };
    let cuts_rpm = over.cuts_at_rpm;
    let safe = Bound::of(safe_rpm, Unit::Rpm);
    if !over.enabled || !subject.is_over(cuts_rpm, safe) {
        return Vec::new();
    }
    let down_rpm = cuts_rpm - safe_rpm;
    // The whole limit moves, so that its speeds stay in order.
    let fields = [
        ("eases_from_rpm", over.eases_from_rpm),
        ("cuts_at_rpm", cuts_rpm),
        ("fires_again_below_rpm", over.fires_again_below_rpm),
        ("cuts_all_at_rpm", over.cuts_all_at_rpm),
    ];
    let (low, high) = SPEED_RANGE_RPM;
    let lowered = fields
        .map(|(name, speed_rpm)| (format!("limits.over_speed.{name}"), settle(speed_rpm - down_rpm).clamp(low, high)));
    // If the limit cannot be that low, the tuner has to think about it.
    let fits = lowered.iter().all(|(path, value)| {
        crate::project::field(path)
            .is_some_and(|field| field.kind.refusal(&crate::project::Tree::Number(*value)).is_none())
    });
    let label = format!("Let the over-speed limit cut at {}", rpm(safe_rpm));
    vec![Noticed {
        severity: Severity::Warning,
        place: Place::field("limits.over_speed.cuts_at_rpm", "over-speed cut"),
        message: format!("sparks are cut at {}, but the engine stands {}", rpm(cuts_rpm), rpm(safe_rpm)),
        remedy: format!("Cut at {} or below.", rpm(safe_rpm)),
        value: cuts_rpm,
        bound: safe,
        cure: fits.then(|| Cure::new(label, Change::Fields(lowered.to_vec()))),
    }]
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::checks::fixtures::{cured, of, only, sound};
    use crate::project::Project;

    /// The fixture cuts at 6500 rpm.
    fn safe_at(safe_rpm: Option<f64>) -> Project {
        sound().edit(|parts| parts.engine.highest_safe_speed_rpm = safe_rpm).unwrap()
    }

    #[test]
    fn fires_above_the_engines_own_speed() {
        assert_eq!(of(&safe_at(None), "over_speed_safe"), []);
        assert_eq!(of(&safe_at(Some(6500.0)), "over_speed_safe"), []);
        let found = only(&safe_at(Some(6400.0)), "over_speed_safe");
        assert_eq!(found.severity, Severity::Warning);
        assert_eq!(found.message, "sparks are cut at 6500 rpm, but the engine stands 6400 rpm");
        let off = safe_at(Some(6400.0)).edit(|parts| parts.limits.over_speed.enabled = false).unwrap();
        assert_eq!(of(&off, "over_speed_safe"), []);
    }

    #[test]
    fn the_remedy_moves_the_whole_limit() {
        let (after, label) = cured(&safe_at(Some(6000.0)), "over_speed_safe");
        let over = &after.limits.over_speed;
        assert_eq!(label, "Let the over-speed limit cut at 6000 rpm");
        assert_eq!((over.eases_from_rpm, over.fires_again_below_rpm, over.cuts_all_at_rpm), (5750.0, 5880.0, 6200.0));
    }
}
