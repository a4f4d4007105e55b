//! The wheel's gap where sparks are placed.

use super::catalogue::Check;
use super::finding::{Noticed, Place};
use super::subject::{Subject, degrees};
use super::threshold::exceeds;
use super::{Severity, Sheet, Threshold};
use crate::project::thresholds;
use crate::rig::Layout;
use crate::wording::bounds;

const FROM: Threshold = thresholds::GAP_CLEAR_FROM_DEG;
const TO: Threshold = thresholds::GAP_CLEAR_TO_DEG;

pub(super) const CHECK: Check = Check {
    id: "gap",
    title: "Gap in the way of sparks",
    reason: "Within the gap the unit has no teeth to time a spark by and reckons on from the tooth before it, so that \
             sparks there are less exact.",
    thresholds: &[FROM, TO],
    find,
};

/// Degrees of the gap that lie in the window before TDC of a channel, were the reference moved by so many degrees.
fn overlap_deg(layout: &Layout, channel: usize, (from_deg, to_deg): (f64, f64), moved_deg: f64) -> f64 {
    let gap_deg = layout.wheel().gap_deg();
    // The gap ends at the reference edge and passes before it.
    let end_deg = layout.before_tdc_deg(channel, -moved_deg);
    let turns = [-360.0, 0.0, 360.0].into_iter();
    let part = |turn: f64| (end_deg + turn + gap_deg).min(to_deg) - (end_deg + turn).max(from_deg);
    turns.map(part).map(|deg| deg.max(0.0)).sum()
}

fn find(subject: &Subject<'_>) -> Vec<Noticed> {
    let (layout, window) = (Layout::new(subject), (subject.threshold(&FROM), subject.threshold(&TO)));
    let channels = subject.engine.channels.iter().enumerate();
    let over: Vec<(&str, f64)> = channels
        .map(|(at, channel)| (channel.name.as_str(), overlap_deg(&layout, at, window, 0.0)))
        .filter(|(_, deg)| exceeds(*deg, 0.0))
        .collect();
    let Some(value) = over.iter().map(|(_, deg)| *deg).reduce(f64::max) else {
        return Vec::new();
    };
    let coils: Vec<&str> = over.iter().map(|(name, _)| *name).collect();
    let (noun, coils) = (if coils.len() == 1 { "coil" } else { "coils" }, coils.join(", "));
    vec![Noticed {
        severity: Severity::Warning,
        place: Place::field(Sheet::Engine, "trigger.reference_deg", format!("gap, {noun} {coils}")).of(&*coils),
        message: format!(
            "{} of the gap lie within {} before TDC of {noun} {coils}",
            degrees(value),
            bounds(window, "°")
        ),
        remedy: clear(subject, &layout, window).map_or_else(
            || "Choose a wheel with more teeth or fewer missing ones.".into(),
            |deg| format!("Move the sensor or turn the wheel: a reference of {} keeps the gap clear.", degrees(deg)),
        ),
        value,
        threshold: 0.0,
        unit: "°",
        cure: None,
    }]
}

/// The whole reference nearest to the present one at which the gap is clear of every pair.
fn clear(subject: &Subject<'_>, layout: &Layout, window: (f64, f64)) -> Option<f64> {
    let own_deg = subject.trigger.reference_deg;
    let is_clear = |reference_deg: &f64| {
        let moved_deg = reference_deg - own_deg;
        (0..layout.channels()).all(|channel| !exceeds(overlap_deg(layout, channel, window, moved_deg), 0.0))
    };
    let mut candidates: Vec<f64> = (0..360_u16).map(f64::from).collect();
    let far = |deg: &f64| (deg - own_deg).abs().min(360.0 - (deg - own_deg).abs());
    candidates.sort_by(|a, b| far(a).total_cmp(&far(b)));
    candidates.into_iter().find(is_clear)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::checks::fixtures::{of, only, sound};
    use crate::project::Project;

    fn reference(deg: f64) -> Project {
        sound().edit(|parts| parts.trigger.reference_deg = deg).unwrap()
    }

    /// The gap of a 36−1 wheel spans 20 degrees before the reference edge; a four's coils are 180 degrees apart.
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
    fn the_zero_offset_moves_it_and_the_remedy_names_a_clear_reference() {
        let moved = reference(46.0).edit(|parts| parts.trigger.zero_offset_deg = -2.0).unwrap();
        let found = only(&moved, "gap");
        assert_eq!(found.remedy, "Move the sensor or turn the wheel: a reference of 47.0° keeps the gap clear.");
        assert_eq!(of(&moved.edit(|parts| parts.trigger.reference_deg = 47.0).unwrap(), "gap"), []);
    }
}
