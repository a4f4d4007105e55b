//! Over-speed speeds in the wrong order, or no limit at all.

use super::check::Check;
use super::finding::{Noticed, Place};
use super::margin::{Bound, exceeds};
use super::subject::{Subject, rpm};
use super::{Change, Cure, Severity, Threshold};
use crate::compare::Section;
use crate::project::{CutPattern, OverSpeed, SPEED_RANGE_RPM, thresholds};
use crate::wording::{Unit, settle};

const HYSTERESIS: Threshold = thresholds::OVER_SPEED_ORDER_HYSTERESIS_RPM;
const SECOND_CUT: Threshold = thresholds::OVER_SPEED_ORDER_SECOND_CUT_RPM;
const SECOND_CUT_MOST: Threshold = thresholds::OVER_SPEED_ORDER_SECOND_CUT_MOST_RPM;

pub(super) const CHECK: Check = Check {
    id: "over_speed_order",
    title: "Over-speed limit out of order",
    reason: "A limit whose speeds are out of order cuts where it should ease, or switches the sparks on and off many \
             times a second; without a limit a missed gear breaks the engine.",
    since: 1,
    sections: &[Section::Limits],
    is_of_map: false,
    grounds: &[],
    thresholds: &[HYSTERESIS, SECOND_CUT, SECOND_CUT_MOST],
    find,
};

fn find(subject: &Subject<'_>) -> Vec<Noticed> {
    let over = &subject.limits.over_speed;
    if !over.enabled {
        return vec![off(over)];
    }
    let apart = Apart {
        hysteresis: subject.bound(&HYSTERESIS),
        second_cut: (subject.bound(&SECOND_CUT), subject.bound(&SECOND_CUT_MOST)),
    };
    let ordered = in_order(over, &apart);
    let left = faults(subject, &ordered, &apart);
    // The margin is that of the project, not of what the remedy makes of it.
    subject.take_nearest();
    let (cuts_rpm, idle_rpm) = (over.cuts_at_rpm, subject.engine.idle_speed_rpm);
    let faults = faults(subject, over, &apart).into_iter().map(|fault| {
        // If the cut leaves no room for the right order, another cut is needed, and that is for the tuner to
        // choose.
        let is_cured = left.iter().all(|left| left.field != fault.field);
        Noticed { cure: is_cured.then(|| cure(&ordered)), ..noticed(Severity::Warning, fault) }
    });
    let below_idle = (cuts_rpm <= idle_rpm).then(|| Fault {
        field: "cuts_at_rpm",
        words: "over-speed cut",
        message: format!("sparks are cut at {}, not above the idle speed of {}", rpm(cuts_rpm), rpm(idle_rpm)),
        value: cuts_rpm,
        bound: Bound::of(idle_rpm, Unit::Rpm),
    });
    below_idle.map(|fault| noticed(Severity::Error, fault)).into_iter().chain(faults).collect()
}

/// How far apart the speeds must be.
struct Apart {
    hysteresis: Bound,
    /// Between the first and the second cut: the least and the most.
    second_cut: (Bound, Bound),
}

/// A speed out of order.
struct Fault {
    field: &'static str,
    words: &'static str,
    message: String,
    value: f64,
    bound: Bound,
}

/// What is out of order among the limit's own speeds.
fn faults(subject: &Subject<'_>, over: &OverSpeed, apart: &Apart) -> Vec<Fault> {
    let (eases_rpm, cuts_rpm, again_rpm) = (over.eases_from_rpm, over.cuts_at_rpm, over.fires_again_below_rpm);
    let alternates = over.pattern == CutPattern::AlternateCoils;
    let &Apart { hysteresis, second_cut: (least, most) } = apart;
    let told = [
        (eases_rpm >= cuts_rpm).then(|| Fault {
            field: "eases_from_rpm",
            words: "over-speed easing",
            message: format!("the limit eases from {}, not below the cut at {}", rpm(eases_rpm), rpm(cuts_rpm)),
            value: eases_rpm,
            bound: Bound::of(cuts_rpm, Unit::Rpm),
        }),
        subject.is_under(cuts_rpm - again_rpm, hysteresis).then(|| Fault {
            field: "fires_again_below_rpm",
            words: "over-speed hysteresis",
            message: format!("sparks cut at {} come back below {}", rpm(cuts_rpm), rpm(again_rpm)),
            value: settle(cuts_rpm - again_rpm),
            bound: hysteresis,
        }),
        (alternates && second_cut_fault(subject, over, apart.second_cut)).then(|| {
            let above_rpm = settle(over.cuts_all_at_rpm - cuts_rpm);
            let is_early = exceeds(least.allowed, above_rpm) || above_rpm <= 0.0;
            let (word, bound_rpm) = if is_early { ("only", least.allowed) } else { ("as much as", most.allowed) };
            let message = if above_rpm <= 0.0 {
                format!(
                    "all sparks are cut at {}, not above {}, where every other one is",
                    rpm(over.cuts_all_at_rpm),
                    rpm(cuts_rpm)
                )
            } else {
                format!(
                    "all sparks are cut at {}, {word} {} above the first cut",
                    rpm(over.cuts_all_at_rpm),
                    rpm(above_rpm)
                )
            };
            Fault {
                field: "cuts_all_at_rpm",
                words: "over-speed full cut",
                message,
                value: over.cuts_all_at_rpm,
                bound: Bound::of(settle(cuts_rpm + bound_rpm), Unit::Rpm),
            }
        }),
    ];
    told.into_iter().flatten().collect()
}

/// Whether the second cut is too close to the first, so that the engine runs into the hard cut, or so far above
/// it that half the sparks are enough to drive the engine there.
fn second_cut_fault(subject: &Subject<'_>, over: &OverSpeed, (least, most): (Bound, Bound)) -> bool {
    let above_rpm = over.cuts_all_at_rpm - over.cuts_at_rpm;
    let is_beyond = subject.is_under(above_rpm, least) || subject.is_over(above_rpm, most);
    is_beyond || above_rpm <= 0.0
}

fn noticed(severity: Severity, fault: Fault) -> Noticed {
    let Fault { field, words, message, value, bound } = fault;
    Noticed {
        severity,
        place: Place::field(format!("limits.over_speed.{field}"), words),
        message,
        remedy: "Put the speeds in order: eases from, fires again below, cuts, cuts all.".into(),
        value,
        bound,
        cure: None,
    }
}

/// The usual distances from the cut, but at least those required: common practice, no source.
fn in_order(over: &OverSpeed, apart: &Apart) -> OverSpeed {
    let (cut_rpm, (least, most)) = (over.cuts_at_rpm, apart.second_cut);
    OverSpeed {
        eases_from_rpm: settle((cut_rpm - 250.0).max(0.0)),
        fires_again_below_rpm: settle((cut_rpm - apart.hysteresis.allowed.max(120.0)).max(0.0)),
        cuts_all_at_rpm: settle((cut_rpm + 200.0_f64.min(most.allowed).max(least.allowed)).min(SPEED_RANGE_RPM.1)),
        ..over.clone()
    }
}

fn cure(ordered: &OverSpeed) -> Cure {
    let field = |name: &str, value: f64| (format!("limits.over_speed.{name}"), value);
    let fields = vec![
        field("eases_from_rpm", ordered.eases_from_rpm),
        field("fires_again_below_rpm", ordered.fires_again_below_rpm),
        field("cuts_all_at_rpm", ordered.cuts_all_at_rpm),
    ];
    let label = format!("Put the over-speed speeds in order around the cut at {}", rpm(ordered.cuts_at_rpm));
    Cure::new(label, Change::Fields(fields))
}

fn off(over: &OverSpeed) -> Noticed {
    Noticed {
        severity: Severity::Warning,
        place: Place::field("limits.over_speed.enabled", "over-speed limit"),
        message: "no over-speed limit is on".into(),
        remedy: format!("Switch the limit on unless another one is fitted; it is set to {}.", rpm(over.cuts_at_rpm)),
        value: 0.0,
        bound: Bound::of(1.0, Unit::None),
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
        let cases: [(Spoil, Option<Severity>); 12] = [
            (|parts| parts.limits.over_speed.eases_from_rpm = 6499.0, None),
            (|parts| parts.limits.over_speed.eases_from_rpm = 6500.0, Some(Severity::Warning)),
            (|parts| parts.limits.over_speed.fires_again_below_rpm = 6450.0, None),
            (|parts| parts.limits.over_speed.fires_again_below_rpm = 6451.0, Some(Severity::Warning)),
            (|parts| parts.limits.over_speed.cuts_all_at_rpm = 6550.0, None),
            (|parts| parts.limits.over_speed.cuts_all_at_rpm = 6549.0, Some(Severity::Warning)),
            (|parts| parts.limits.over_speed.cuts_all_at_rpm = 7000.0, None),
            (|parts| parts.limits.over_speed.cuts_all_at_rpm = 7001.0, Some(Severity::Warning)),
            (|parts| parts.engine.idle_speed_rpm = 3_000.0, None),
            (|parts| parts.limits.over_speed.enabled = false, Some(Severity::Warning)),
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
    fn the_remedy_minds_the_hysteresis_asked_for_and_the_highest_speed_there_is() {
        let change =
            |parts: &mut Parts| _ = parts.checks.thresholds.insert("over_speed_order_hysteresis_rpm".into(), 200.0);
        let (after, _) = cured(&sound().edit(change).unwrap(), "over_speed_order");
        assert_eq!(after.limits.over_speed.fires_again_below_rpm, 6300.0);
        let highest = |parts: &mut Parts| {
            let over = &mut parts.limits.over_speed;
            (over.cuts_at_rpm, over.cuts_all_at_rpm) = (30_000.0, 30_000.0);
        };
        assert_eq!(only(&sound().edit(highest).unwrap(), "over_speed_order").cure, None);
    }

    #[test]
    fn the_remedy_puts_them_in_order() {
        let start = sound().edit(|parts| parts.limits.over_speed.fires_again_below_rpm = 6600.0).unwrap();
        assert_eq!(only(&start, "over_speed_order").value, -100.0);
        let (after, label) = cured(&start, "over_speed_order");
        assert_eq!(label, "Put the over-speed speeds in order around the cut at 6500 rpm");
        assert_eq!(after.limits.over_speed, sound().limits.over_speed);
    }

    #[test]
    fn a_second_cut_too_near_or_too_far_is_told_and_put_right() {
        let at = |rpm: f64| sound().edit(|parts| parts.limits.over_speed.cuts_all_at_rpm = rpm).unwrap();
        let message = |rpm: f64| only(&at(rpm), "over_speed_order").message;
        assert_eq!(message(6510.0), "all sparks are cut at 6510 rpm, only 10 rpm above the first cut");
        assert_eq!(message(9000.0), "all sparks are cut at 9000 rpm, as much as 2500 rpm above the first cut");
        assert_eq!(message(6400.0), "all sparks are cut at 6400 rpm, not above 6500 rpm, where every other one is");
        assert_eq!(only(&at(9000.0), "over_speed_order").threshold, 7000.0);
        assert_eq!(cured(&at(9000.0), "over_speed_order").0.limits.over_speed.cuts_all_at_rpm, 6700.0);
    }
}
