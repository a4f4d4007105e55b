//! Cranking speeds in the wrong order.

use super::Severity;
use super::check::{Check, Ground};
use super::finding::{Noticed, Place};
use super::margin::Bound;
use super::subject::{Subject, rpm};
use crate::compare::Section;
use crate::wording::Unit;

pub(super) const CHECK: Check = Check {
    id: "cranking_order",
    title: "Cranking speeds out of order",
    reason: "When cranking is left too late, the engine idles on the cranking advance; when its speeds overlap, the \
             advance jumps to and fro while the engine starts.",
    since: 1,
    sections: &[Section::Limits],
    is_of_map: false,
    grounds: &[Ground::IDLE],
    thresholds: &[],
    find,
};

fn find(subject: &Subject<'_>) -> Vec<Noticed> {
    let (cranking, idle_rpm) = (&subject.limits.cranking, subject.engine.idle_speed_rpm);
    let blended_rpm = cranking.leave_at_rpm + cranking.blend_rpm;
    let told = |field: &str, value: f64, threshold: f64, what: String| {
        (value > threshold).then(|| Noticed {
            severity: Severity::Warning,
            place: Place::field(format!("limits.cranking.{field}"), what.clone()),
            message: format!("{what} at {}, above {}", rpm(value), rpm(threshold)),
            remedy: "Put the speeds in order: no spark below, cranking below, cranking left, idle.".into(),
            value,
            bound: Bound::of(threshold, Unit::Rpm),
            cure: None,
        })
    };
    let pairs = [
        told("no_spark_below_rpm", cranking.no_spark_below_rpm, cranking.below_rpm, "the first spark comes".into()),
        told("below_rpm", cranking.below_rpm, cranking.leave_at_rpm, "cranking begins again".into()),
        told("blend_rpm", blended_rpm, idle_rpm, "the way out of cranking ends".into()),
    ];
    pairs.into_iter().flatten().collect()
}

#[cfg(test)]
mod tests {
    use crate::checks::fixtures::{only, severity_after, sound};

    #[test]
    fn fires_for_each_pair_that_is_the_wrong_way_about() {
        assert_eq!(severity_after("cranking_order", |parts| parts.limits.cranking.blend_rpm = 400.0), None);
        assert_eq!(severity_after("cranking_order", |parts| parts.limits.cranking.no_spark_below_rpm = 400.0), None);
        let first = sound().edit(|parts| parts.limits.cranking.no_spark_below_rpm = 450.0).unwrap();
        assert_eq!(only(&first, "cranking_order").message, "the first spark comes at 450 rpm, above 400 rpm");
        let again = sound().edit(|parts| parts.limits.cranking.below_rpm = 510.0).unwrap();
        assert_eq!(only(&again, "cranking_order").message, "cranking begins again at 510 rpm, above 500 rpm");
        let idle = sound().edit(|parts| parts.limits.cranking.blend_rpm = 410.0).unwrap();
        assert_eq!(only(&idle, "cranking_order").message, "the way out of cranking ends at 910 rpm, above 900 rpm");
    }
}
