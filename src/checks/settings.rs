//! Thresholds that no check knows or uses.

use super::check::Check;
use super::finding::{Noticed, Place};
use super::margin::Bound;
use super::subject::Subject;
use super::{Change, Cure, Severity};
use crate::compare::Section;
use crate::project::{retired_threshold, threshold_named};
use crate::wording::{Unit, outside, quantity};

pub(super) const CHECK: Check = Check {
    id: "settings",
    title: "Threshold not used",
    reason: "A threshold that is not used makes the checks stricter or milder than its writer believes.",
    since: 1,
    sections: &[Section::Checks],
    is_of_map: false,
    grounds: &[],
    thresholds: &[],
    find,
};

fn find(subject: &Subject<'_>) -> Vec<Noticed> {
    let own = subject.checks.thresholds.iter();
    let told = own.filter_map(|(name, &value)| {
        let (message, bound) = match threshold_named(name) {
            None if retired_threshold(name).is_some() => return None,
            None => (format!("no check has a threshold '{name}'"), 0.0),
            Some(known) if !known.allows(value) => {
                let message = format!(
                    "the threshold '{name}' is {}; its default, {}, is used",
                    outside(value, (known.low, known.high), known.unit_in(subject)),
                    quantity(known.default, known.unit_in(subject))
                );
                (message, known.default)
            }
            Some(_) => return None,
        };
        let label = format!("Forget the threshold '{name}'");
        Some(Noticed {
            severity: Severity::Warning,
            place: Place::field(format!("checks.thresholds.{name}"), name.clone()),
            message,
            remedy: "Write the name as it stands among the thresholds, give it a value in its range, or take it out."
                .into(),
            value,
            bound: Bound::of(bound, Unit::None),
            cure: Some(Cure::new(label, Change::ForgetThreshold(name.clone()))),
        })
    });
    told.collect()
}

#[cfg(test)]
mod tests {
    use crate::checks::fixtures::{cured, of, only, sound};
    use crate::project::Project;

    fn with(name: &str, value: f64) -> Project {
        sound().edit(|parts| _ = parts.checks.thresholds.insert(name.into(), value)).unwrap()
    }

    #[test]
    fn fires_for_unknown_names_and_values_out_of_range() {
        assert_eq!(of(&with("stands_out_deg", 60.0), "settings"), []);
        assert!(only(&with("stands_out_deg", 60.5), "settings").message.contains("outside 0..60°"));
        let unknown = with("stand_out_deg", 2.0);
        assert_eq!(only(&unknown, "settings").message, "no check has a threshold 'stand_out_deg'");
        assert_eq!(cured(&unknown, "settings").0, sound());
    }
}
