//! Over-speed speeds in the wrong order, or no limit at all.

use super::catalogue::Check;
use super::finding::{Noticed, Place};
use super::subject::{Subject, rpm};
use super::{Change, Cure, Severity, Sheet, Threshold};
use crate::project::{CutPattern, OverSpeed, thresholds};

const HYSTERESIS: Threshold = thresholds::OVER_SPEED_ORDER_HYSTERESIS_RPM;

pub(super) const CHECK: Check = Check {
    id: "over_speed_order",
    title: "Over-speed limit out of order",
    reason: "A limit whose speeds are out of order cuts where it should ease, or switches the sparks on and off many \
             times a second; without a limit a missed gear breaks the engine.",
    thresholds: &[HYSTERESIS],
    find,
};

fn find(subject: &Subject<'_>) -> Vec<Noticed> {
    let over = &subject.limits.over_speed;
    if !over.enabled {
        return vec![off(over)];
    }
    let hysteresis_rpm = subject.threshold(&HYSTERESIS);
    let (cuts_rpm, idle_rpm) = (over.cuts_at_rpm, subject.engine.idle_speed_rpm);
    let alternates = over.pattern == CutPattern::AlternateCoils;
    let told = [
        (cuts_rpm <= idle_rpm).then(|| {
            let message = format!("sparks are cut at {}, not above the idle speed of {}", rpm(cuts_rpm), rpm(idle_rpm));
            noticed(over, Severity::Error, "cuts_at_rpm", "over-speed cut", message, (cuts_rpm, idle_rpm))
        }),
        (over.eases_from_rpm >= cuts_rpm).then(|| {
            let message =
                format!("the limit eases from {}, not below the cut at {}", rpm(over.eases_from_rpm), rpm(cuts_rpm));
            let figures = (over.eases_from_rpm, cuts_rpm);
            noticed(over, Severity::Warning, "eases_from_rpm", "over-speed easing", message, figures)
        }),
        (cuts_rpm - over.fires_again_below_rpm < hysteresis_rpm).then(|| {
            let message =
                format!("sparks cut at {} come back below {}", rpm(cuts_rpm), rpm(over.fires_again_below_rpm));
            let figures = (cuts_rpm - over.fires_again_below_rpm, hysteresis_rpm);
            noticed(over, Severity::Warning, "fires_again_below_rpm", "over-speed hysteresis", message, figures)
        }),
        (alternates && over.cuts_all_at_rpm <= cuts_rpm).then(|| {
            let message = format!(
                "all sparks are cut at {}, not above {}, where every other one is",
                rpm(over.cuts_all_at_rpm),
                rpm(cuts_rpm)
            );
            let figures = (over.cuts_all_at_rpm, cuts_rpm);
            noticed(over, Severity::Warning, "cuts_all_at_rpm", "over-speed full cut", message, figures)
        }),
    ];
    told.into_iter().flatten().collect()
}

fn noticed(
    over: &OverSpeed,
    severity: Severity,
    field: &str,
    words: &str,
    message: String,
    (value, threshold): (f64, f64),
) -> Noticed {
    Noticed {
        severity,
        place: Place::field(Sheet::Limits, format!("limits.over_speed.{field}"), words),
        message,
        remedy: "Put the speeds in order: eases from, fires again below, cuts, cuts all.".into(),
        value,
        threshold,
        unit: "rpm",
        cure: (severity != Severity::Error).then(|| in_order(over)),
    }
}

/// The usual distances from the cut: common practice, no source.
fn in_order(over: &OverSpeed) -> Cure {
    let cut_rpm = over.cuts_at_rpm;
    let field = |name: &str, value: f64| (format!("limits.over_speed.{name}"), value.max(0.0));
    let fields = vec![
        field("eases_from_rpm", cut_rpm - 250.0),
        field("fires_again_below_rpm", cut_rpm - 120.0),
        field("cuts_all_at_rpm", (cut_rpm + 200.0).min(30_000.0)),
    ];
    Cure::new(format!("Put the over-speed speeds in order around the cut at {}", rpm(cut_rpm)), Change::Fields(fields))
}

fn off(over: &OverSpeed) -> Noticed {
    Noticed {
        severity: Severity::Note,
        place: Place::field(Sheet::Limits, "limits.over_speed.enabled", "over-speed limit"),
        message: "no over-speed limit is on".into(),
        remedy: format!("Switch the limit on unless another one is fitted; it is set to {}.", rpm(over.cuts_at_rpm)),
        value: 0.0,
        threshold: 1.0,
        unit: "",
        cure: None,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::checks::fixtures::{cured, only, severity_after, sound};
    use crate::project::Parts;

    /// The fixture eases from 6250, fires again below 6380, cuts at 6500 and cuts all at 6700 rpm.
    #[test]
    fn fires_for_each_speed_out_of_order() {
        type Spoil = fn(&mut Parts);
        let cases: [(Spoil, Option<Severity>); 10] = [
            (|parts| parts.limits.over_speed.eases_from_rpm = 6499.0, None),
            (|parts| parts.limits.over_speed.eases_from_rpm = 6500.0, Some(Severity::Warning)),
            (|parts| parts.limits.over_speed.fires_again_below_rpm = 6450.0, None),
            (|parts| parts.limits.over_speed.fires_again_below_rpm = 6451.0, Some(Severity::Warning)),
            (|parts| parts.limits.over_speed.cuts_all_at_rpm = 6501.0, None),
            (|parts| parts.limits.over_speed.cuts_all_at_rpm = 6500.0, Some(Severity::Warning)),
            (|parts| parts.engine.idle_speed_rpm = 3_000.0, None),
            (|parts| parts.limits.over_speed.enabled = false, Some(Severity::Note)),
            (|parts| parts.limits.over_speed.cuts_at_rpm = 900.0, Some(Severity::Error)),
            (
                |parts| {
                    parts.limits.over_speed.cuts_all_at_rpm = 6000.0;
                    parts.limits.over_speed.pattern = CutPattern::All;
                },
                None,
            ),
        ];
        for (at, (spoil, severity)) in cases.into_iter().enumerate() {
            assert_eq!(severity_after("over_speed_order", spoil), severity, "case {at}");
        }
    }

    #[test]
    fn the_remedy_puts_them_in_order() {
        let start = sound().edit(|parts| parts.limits.over_speed.fires_again_below_rpm = 6600.0).unwrap();
        assert_eq!(only(&start, "over_speed_order").value, -100.0);
        let (after, label) = cured(&start, "over_speed_order");
        assert_eq!(label, "Put the over-speed speeds in order around the cut at 6500 rpm");
        assert_eq!(after.limits.over_speed, sound().limits.over_speed);
    }
}
