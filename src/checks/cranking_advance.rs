//! So much advance while the engine is started that it may kick back.

use super::check::Check;
use super::finding::{Noticed, Place};
use super::margin::{Bound, exceeds};
use super::subject::{Subject, degrees, rpm, sort};
use super::{Change, Cure, Severity, Threshold};
use crate::compare::Section;
use crate::project::{LoadKind, thresholds};

const WARNING: Threshold = thresholds::CRANKING_ADVANCE_DEG;
const ERROR: Threshold = thresholds::CRANKING_ADVANCE_ERROR_DEG;
const STARTER: Threshold = thresholds::CRANKING_ADVANCE_UP_TO_RPM;

pub(super) const CHECK: Check = Check {
    id: "cranking_advance",
    title: "Early while starting",
    reason: "Turned slowly, an engine is pushed back by a spark that comes early: it breaks the starter, its ring gear \
             or a wrist.",
    since: 2,
    sections: &[Section::Limits],
    is_of_map: false,
    grounds: &[],
    thresholds: &[WARNING, ERROR, STARTER],
    find,
};

/// What the remedy sets: common practice, no source.
const USUAL_DEG: f64 = 10.0;
/// The speed step in which blend and table are examined: during the blend the advance is a parabola between
/// breakpoints.
const STEP_RPM: f64 = 10.0;

fn find(subject: &Subject<'_>) -> Vec<Noticed> {
    let (held, blended) = (held(subject), blended(subject));
    held.into_iter().chain(blended).collect()
}

fn severity(subject: &Subject<'_>, deg: f64, is_turned_by_starter: bool) -> Option<(Severity, Bound)> {
    let (warning, error) = (subject.bound(&WARNING), subject.bound(&ERROR));
    let least = if is_turned_by_starter { warning.lower(error) } else { error };
    if !subject.is_over(deg, least) {
        return None;
    }
    Some(if exceeds(deg, error.allowed) { (Severity::Error, error) } else { (Severity::Warning, warning) })
}

/// The cranking advance itself.
fn held(subject: &Subject<'_>) -> Option<Noticed> {
    let (field, value) = ("limits.cranking.advance_deg", subject.limits.cranking.advance_deg);
    let (severity, bound) = severity(subject, value, true)?;
    let set_deg = USUAL_DEG.min(subject.threshold(&WARNING)).min(subject.threshold(&ERROR));
    let label = format!("Set the cranking advance to {}", degrees(set_deg));
    Some(Noticed {
        severity,
        place: Place::field(field, "cranking advance"),
        message: format!("the engine is cranked with {} of advance", degrees(value)),
        remedy: format!("Crank with {} or less; 5° to 10° is usual.", degrees(set_deg)),
        value,
        bound,
        cure: Some(Cure::new(label, Change::Fields(vec![(field.into(), set_deg)]))),
    })
}

/// What blend and table give between the end of cranking and idle, if that is more than the cranking advance.
/// As long as the starter may still turn the engine, the limits are the same as while cranking; above that only
/// the error limit applies.
fn blended(subject: &Subject<'_>) -> Option<Noticed> {
    let starter_rpm = subject.threshold(&STARTER);
    let own_deg = subject.limits.cranking.advance_deg;
    let told = speeds(subject).into_iter().filter_map(|speed_rpm| {
        let deg = starting_deg(subject, speed_rpm);
        let told = severity(subject, deg, speed_rpm <= starter_rpm).filter(|_| exceeds(deg, own_deg));
        told.map(|(severity, bound)| (severity, bound, speed_rpm, deg))
    });
    let worse = |worst: (Severity, Bound, f64, f64), next: (Severity, Bound, f64, f64)| {
        if (next.0, worst.3) < (worst.0, next.3) { next } else { worst }
    };
    let (severity, bound, speed_rpm, value) = told.reduce(worse)?;
    Some(Noticed {
        severity,
        place: Place::field("limits.cranking.leave_at_rpm", "the way out of cranking"),
        message: format!("before it idles the engine already gets {} at {}", degrees(value), rpm(speed_rpm)),
        remedy: "Leave cranking later, blend over more speed, or lower the first columns of the table at idle load."
            .into(),
        value,
        bound,
        cure: None,
    })
}

/// The speeds above the end of cranking up to idle.
fn speeds(subject: &Subject<'_>) -> Vec<f64> {
    let (cranking, idle_rpm) = (&subject.limits.cranking, subject.engine.idle_speed_rpm);
    let from_rpm = cranking.leave_at_rpm.max(cranking.no_spark_below_rpm);
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "a few thousand steps at most")]
    let steps = ((idle_rpm - from_rpm) / STEP_RPM).clamp(0.0, 5_000.0) as u16;
    let mut speeds: Vec<f64> = (0..=steps).map(|step| from_rpm + STEP_RPM * f64::from(step)).collect();
    speeds.extend(subject.table().speed().breakpoints());
    speeds.extend([cranking.leave_at_rpm + cranking.blend_rpm, subject.threshold(&STARTER), idle_rpm]);
    speeds.retain(|speed_rpm| (from_rpm..=idle_rpm).contains(speed_rpm));
    sort(&mut speeds);
    speeds
}

/// Blend and table at a speed, without trims: at idle load, and over pressure also at atmospheric pressure,
/// which is what the manifold has before the engine draws air.
fn starting_deg(subject: &Subject<'_>, speed_rpm: f64) -> f64 {
    let cranking = &subject.limits.cranking;
    let left = match cranking.blend_rpm {
        blend_rpm if blend_rpm > 0.0 => ((speed_rpm - cranking.leave_at_rpm) / blend_rpm).clamp(0.0, 1.0),
        _ => 1.0,
    };
    let at_idle = subject.table().lookup(speed_rpm, subject.engine.idle_load);
    let table_deg = match subject.sensors.load {
        LoadKind::Throttle => at_idle,
        LoadKind::Pressure => at_idle.max(subject.table().lookup(speed_rpm, 100.0)),
    };
    cranking.advance_deg + left * (table_deg - cranking.advance_deg)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::checks::fixtures::{along_speed, cured, of, only, severity_after, sound};
    use crate::project::Project;

    #[test]
    fn fires_above_thirteen_and_twenty_degrees() {
        let after = |deg: f64| severity_after("cranking_advance", |parts| parts.limits.cranking.advance_deg = deg);
        assert_eq!(
            [13.0, 13.1, 20.0, 20.1].map(after),
            [None, Some(Severity::Warning), Some(Severity::Warning), Some(Severity::Error)]
        );
        let start = sound().edit(|parts| parts.limits.cranking.advance_deg = 16.0).unwrap();
        assert_eq!(only(&start, "cranking_advance").message, "the engine is cranked with 16.0° of advance");
        let (after, label) = cured(&start, "cranking_advance");
        assert_eq!((label.as_str(), after.limits.cranking.advance_deg), ("Set the cranking advance to 10.0°", 10.0));
    }

    /// Cranking is left at 150 rpm; idle is at 900 rpm.
    fn left_early(deg: f64, blend_rpm: f64) -> Project {
        let table = along_speed(&[300.0, 900.0, 6500.0], &[deg, deg, 30.0]);
        let early = |parts: &mut crate::project::Parts| {
            let cranking = &mut parts.limits.cranking;
            (cranking.below_rpm, cranking.leave_at_rpm, cranking.blend_rpm) = (100.0, 150.0, blend_rpm);
        };
        table.edit(early).unwrap()
    }

    #[test]
    fn what_the_table_gives_while_the_starter_turns_counts() {
        assert_eq!(of(&left_early(13.0, 0.0), "cranking_advance"), []);
        let found = only(&left_early(16.0, 0.0), "cranking_advance");
        assert_eq!((found.severity, found.value), (Severity::Warning, 16.0));
        assert_eq!(found.message, "before it idles the engine already gets 16.0° at 150 rpm");
        // With a blend over 500 rpm, 8 degrees have only become 12 at 400 rpm.
        assert_eq!(of(&left_early(16.0, 500.0), "cranking_advance"), []);
        assert_eq!(of(&left_early(19.0, 500.0), "cranking_advance").len(), 1);
    }

    #[test]
    fn up_to_idle_the_error_counts() {
        let from_500 = |deg| along_speed(&[500.0, 900.0, 6500.0], &[deg, deg, 30.0]);
        assert_eq!(of(&from_500(20.0), "cranking_advance"), []);
        let found = only(&from_500(20.5), "cranking_advance");
        assert_eq!((found.severity, found.threshold), (Severity::Error, 20.0));
    }
}
