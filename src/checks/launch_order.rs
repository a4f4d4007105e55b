//! Launch speeds in the wrong order.

use super::check::Check;
use super::finding::{Noticed, Place};
use super::margin::Bound;
use super::subject::{Subject, rpm};
use super::{Change, Cure, Severity};
use crate::compare::Section;
use crate::wording::Unit;

pub(super) const CHECK: Check = Check {
    id: "launch_order",
    title: "Launch out of order",
    reason: "A launch limit that is armed above its own speed cuts in while the car is driven; one above the \
             over-speed limit never acts.",
    since: 1,
    sections: &[Section::Limits],
    is_of_map: false,
    grounds: &[],
    thresholds: &[],
    find,
};

fn find(subject: &Subject<'_>) -> Vec<Noticed> {
    let (launch, over) = (&subject.limits.launch, &subject.limits.over_speed);
    if !launch.enabled {
        return Vec::new();
    }
    let retards = launch.retards_from_rpm;
    let limit = if over.enabled { over.eases_from_rpm } else { f64::INFINITY };
    let told = [
        (launch.arms_below_rpm >= retards).then(|| {
            let message = format!(
                "launch can be armed up to {}, not below {}, from where it retards",
                rpm(launch.arms_below_rpm),
                rpm(retards)
            );
            let half_rpm = (retards / 2.0 / 100.0).round().min((retards / 100.0).ceil() - 1.0) * 100.0;
            let label = format!("Let launch arm below {}", rpm(half_rpm));
            let change = Change::Fields(vec![("limits.launch.arms_below_rpm".into(), half_rpm)]);
            // If launch retards from standstill on, there is no speed below which it could arm.
            let cure = (half_rpm >= 0.0).then(|| Cure::new(label, change));
            (noticed("arms_below_rpm", "launch arming", message, (launch.arms_below_rpm, retards)), cure)
        }),
        (retards >= launch.cuts_at_rpm).then(|| {
            let message =
                format!("launch retards from {}, not below its cut at {}", rpm(retards), rpm(launch.cuts_at_rpm));
            (noticed("retards_from_rpm", "launch retard", message, (retards, launch.cuts_at_rpm)), None)
        }),
        (launch.resume_drop_rpm <= 0.0).then(|| {
            let message = format!("launch fires again at {} itself, where it cuts", rpm(launch.cuts_at_rpm));
            (noticed("resume_drop_rpm", "launch resume drop", message, (launch.resume_drop_rpm, 0.0)), None)
        }),
        (launch.cuts_at_rpm >= limit).then(|| {
            let message = format!(
                "launch cuts at {}, not below {}, where the over-speed limit eases in",
                rpm(launch.cuts_at_rpm),
                rpm(limit)
            );
            (noticed("cuts_at_rpm", "launch cut", message, (launch.cuts_at_rpm, limit)), None)
        }),
    ];
    told.into_iter().flatten().map(|(noticed, cure)| Noticed { cure, ..noticed }).collect()
}

fn noticed(field: &str, words: &str, message: String, (value, threshold): (f64, f64)) -> Noticed {
    Noticed {
        severity: Severity::Warning,
        place: Place::field(format!("limits.launch.{field}"), words),
        message,
        remedy: "Put the speeds in order: arms below, retards from, cuts, over-speed limit.".into(),
        value,
        bound: Bound::of(threshold, Unit::Rpm),
        cure: None,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::checks::fixtures::{cured, only, sound};
    use crate::project::{Launch, Project};

    /// Arms below 1500, retards from 3500, cuts at 4200 rpm; the over-speed limit eases from 6250.
    fn launch(change: impl FnOnce(&mut Launch)) -> Project {
        let spoil = |parts: &mut crate::project::Parts| {
            parts.limits.launch.enabled = true;
            change(&mut parts.limits.launch);
        };
        sound().edit(spoil).unwrap()
    }

    fn count(change: impl FnOnce(&mut Launch)) -> usize {
        crate::checks::fixtures::of(&launch(change), "launch_order").len()
    }

    #[test]
    fn fires_for_each_speed_out_of_order() {
        assert_eq!(count(|_| ()), 0);
        assert_eq!(count(|launch| launch.arms_below_rpm = 3499.0), 0);
        assert_eq!(count(|launch| launch.arms_below_rpm = 3500.0), 1);
        assert_eq!(count(|launch| launch.retards_from_rpm = 4200.0), 1);
        assert_eq!(count(|launch| launch.resume_drop_rpm = 0.0), 1);
        assert_eq!(count(|launch| launch.cuts_at_rpm = 6249.0), 0);
        assert_eq!(count(|launch| launch.cuts_at_rpm = 6250.0), 1);
        assert_eq!(count(|launch| (launch.enabled, launch.arms_below_rpm) = (false, 5000.0)), 0);
        let found = only(&launch(|launch| launch.cuts_at_rpm = 6400.0), "launch_order");
        assert_eq!((found.value, found.threshold, found.severity), (6400.0, 6250.0, Severity::Warning));
    }

    #[test]
    fn the_remedy_arms_below_however_early_it_retards() {
        for retards_rpm in [0.5, 50.0, 99.0, 100.0, 101.0, 150.0, 200.0] {
            let early = launch(|launch| launch.retards_from_rpm = retards_rpm);
            assert!(cured(&early, "launch_order").0.limits.launch.arms_below_rpm < retards_rpm);
        }
        assert_eq!(only(&launch(|launch| launch.retards_from_rpm = 0.0), "launch_order").cure, None);
    }

    #[test]
    fn the_remedy_lowers_the_arming_speed() {
        let (after, label) = cured(&launch(|launch| launch.arms_below_rpm = 5000.0), "launch_order");
        assert_eq!((label.as_str(), after.limits.launch.arms_below_rpm), ("Let launch arm below 1800 rpm", 1800.0));
    }
}
