//! The gap of the wheel where sparks occur.

use super::check::{Check, Ground};
use super::finding::{Noticed, Place};
use super::margin::Bound;
use super::subject::{Subject, degrees};
use super::{Severity, Threshold};
use crate::compare::Section;
use crate::project::{GapPlace, NoFreeReference, thresholds};
use crate::wording::{Unit, bounds, settle};

const FROM: Threshold = thresholds::GAP_CLEAR_FROM_DEG;
const TO: Threshold = thresholds::GAP_CLEAR_TO_DEG;

pub(super) const CHECK: Check = Check {
    id: "gap",
    title: "Gap in the way of sparks",
    reason: "Within the gap the unit has no teeth to time a spark by and reckons on from the tooth before it, so that \
             sparks there are less exact.",
    since: 1,
    sections: &[Section::Trigger],
    is_of_map: false,
    grounds: &[Ground::WHEEL],
    thresholds: &[FROM, TO],
    find,
};

/// Nothing of the gap may lie where sparks occur.
const CLEAR: Bound = Bound::of(0.0, Unit::Degree);

fn find(subject: &Subject<'_>) -> Vec<Noticed> {
    let place = GapPlace::of(subject);
    let true_deg = subject.trigger.reference_deg + subject.trigger.zero_offset_deg;
    let channels = subject.engine.channels.iter().enumerate();
    let over: Vec<(&str, f64)> = channels
        .filter(|(at, _)| subject.is_under(place.clearance_deg(*at, true_deg), CLEAR))
        .map(|(at, channel)| (channel.name.as_str(), place.overlap_deg(at, true_deg)))
        .collect();
    let Some(value) = over.iter().map(|(_, deg)| *deg).reduce(f64::max) else {
        return Vec::new();
    };
    let coils: Vec<&str> = over.iter().map(|(name, _)| *name).collect();
    let (noun, coils) = (if coils.len() == 1 { "coil" } else { "coils" }, coils.join(", "));
    vec![Noticed {
        severity: Severity::Warning,
        place: Place::field("trigger.reference_deg", format!("gap, {noun} {coils}")).of(&*coils),
        message: format!(
            "{} of the gap lie within {} before TDC of {noun} {coils}",
            degrees(value),
            bounds(place.stretch_deg(), Unit::Degree)
        ),
        remedy: match clear(subject, &place) {
            Ok(deg) => {
                format!("Move the sensor or turn the wheel: a reference of {} keeps the gap clear.", degrees(deg))
            }
            Err(NoFreeReference { wheel, least_teeth: Some(teeth), .. }) => format!(
                "Choose another wheel: it takes at least {teeth} teeth with {} missing, or fewer missing ones.",
                wheel.missing
            ),
            Err(_) => "Make the stretch to be kept clear shorter: no wheel is clear of it.".into(),
        },
        value,
        bound: CLEAR,
        cure: None,
    }]
}

/// The whole-degree reference nearest to the present one at which the gap is clear of every pair; if there is
/// none, the middle of those that are clear.
fn clear(subject: &Subject<'_>, place: &GapPlace) -> Result<f64, NoFreeReference> {
    let (own_deg, offset_deg) = (subject.trigger.reference_deg, subject.trigger.zero_offset_deg);
    let middle_deg = place.middle_deg()?;
    let far = |deg: &f64| (deg - own_deg).abs().min(360.0 - (deg - own_deg).abs());
    let clear = (0..360_u16).map(f64::from).filter(|deg| place.is_clear(deg + offset_deg));
    let nearest = clear.min_by(|a, b| far(a).total_cmp(&far(b)));
    Ok(nearest.unwrap_or_else(|| settle((middle_deg - offset_deg).rem_euclid(360.0))))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::checks::fixtures::{of, only, sound};
    use crate::project::Project;

    fn reference(deg: f64) -> Project {
        sound().edit(|parts| parts.trigger.reference_deg = deg).unwrap()
    }

    /// The gap of a 36−1 wheel spans 20 degrees before the reference edge; the coils of a four are 180 degrees
    /// apart.
    #[test]
    fn fires_where_the_gap_reaches_into_the_window() {
        for clear in [45.0, 90.0, 155.0, 225.0, 335.0] {
            assert_eq!(of(&reference(clear), "gap"), [], "{clear}");
        }
        for (deg, coil, overlap) in [(44.0, "A", 1.0), (336.0, "A", 1.0), (156.0, "B", 1.0), (10.0, "A", 20.0)] {
            let found = only(&reference(deg), "gap");
            assert_eq!((found.severity, found.place.words), (Severity::Warning, format!("gap, coil {coil}")), "{deg}");
            assert!((found.value - overlap).abs() < 1e-9, "{deg}: {}", found.value);
        }
    }

    #[test]
    fn a_gap_that_is_clear_nowhere_asks_for_teeth() {
        let change = |parts: &mut crate::project::Parts| {
            let eight = crate::project::NewProject {
                name: "e".into(),
                cylinders: 8,
                load: parts.sensors.load,
                speeds: 8,
                loads: 8,
            };
            parts.engine = eight.create().unwrap().engine.clone();
            parts.trigger.wheel = crate::project::Wheel { teeth: 12, missing: 1 };
        };
        let found = only(&sound().edit(change).unwrap(), "gap");
        assert_eq!(
            found.remedy,
            "Choose another wheel: it takes at least 18 teeth with 1 missing, or fewer missing ones."
        );
    }

    #[test]
    fn the_zero_offset_moves_it_and_the_remedy_names_a_clear_reference() {
        let moved = reference(46.0).edit(|parts| parts.trigger.zero_offset_deg = -2.0).unwrap();
        let found = only(&moved, "gap");
        assert_eq!(found.remedy, "Move the sensor or turn the wheel: a reference of 47.0° keeps the gap clear.");
        assert_eq!(of(&moved.edit(|parts| parts.trigger.reference_deg = 47.0).unwrap(), "gap"), []);
    }
}
