//! Limits that let more pass than they do by default, each with its reason. They are shown next to the findings
//! everywhere but are not findings themselves: the more the limits let pass, the less it means that nothing was
//! found.

use super::Place;
use crate::project::{Parts, THRESHOLDS, Threshold};
use crate::wording::{Unit, count, lower_first, one_line, quantity};

/// Shown when an old file gives no reason.
pub const NO_REASON: &str = "no reason given";

/// A limit that lets more pass than by default.
#[derive(Clone, Debug, PartialEq)]
pub struct Relaxed {
    /// Which threshold.
    pub threshold: &'static Threshold,
    /// Its value.
    pub value: f64,
    /// Why, on one line; `None` if no reason was given.
    pub reason: Option<String>,
    unit: Unit,
}

/// The limits that are relaxed, in the order of the catalogue.
pub fn relaxed(parts: &Parts) -> Vec<Relaxed> {
    let told = THRESHOLDS.iter().filter_map(|threshold| {
        let value = threshold.of(parts);
        threshold.is_relaxed_at(value).then(|| {
            let reason = parts.checks.threshold_reasons.get(threshold.name).map(|reason| reason.trim());
            let reason = reason.filter(|reason| !reason.is_empty()).map(|reason| one_line(reason).into_owned());
            Relaxed { threshold, value, reason, unit: threshold.unit_in(parts) }
        })
    });
    told.collect()
}

/// '5 limits relaxed'; `None` if none is.
pub fn relaxed_words(parts: &Parts) -> Option<String> {
    let relaxed = relaxed(parts).len();
    (relaxed > 0).then(|| format!("{} relaxed", count(relaxed, "limit")))
}

impl Relaxed {
    /// Why it matters.
    pub const WHY: &'static str = "What a relaxed limit lets pass is found by no check.";

    /// Where it is set.
    pub fn place(&self) -> Place {
        let name = self.threshold.name;
        Place::field(format!("checks.thresholds.{name}"), name)
    }

    /// Its unit in the project.
    pub const fn unit(&self) -> Unit {
        self.unit
    }

    /// Its value and the default: 'stands out, warning from: 4.0° instead of 2.5°'.
    pub fn words(&self) -> String {
        let [value, default] = [self.value, self.threshold.default].map(|figure| quantity(figure, self.unit));
        format!("{}: {value} instead of {default}", lower_first(self.threshold.label))
    }

    /// Why it is relaxed, or that no reason was given.
    pub fn reason_words(&self) -> &str {
        self.reason.as_deref().unwrap_or(NO_REASON)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::checks::fixtures::sound;
    use crate::checks::{run, threshold};

    fn with(name: &str, value: f64, reason: Option<&str>) -> Vec<Relaxed> {
        let change = |parts: &mut Parts| {
            parts.checks.thresholds.insert(name.into(), value);
            if let Some(reason) = reason {
                parts.checks.threshold_reasons.insert(name.into(), reason.into());
            }
        };
        let project = sound().edit(change).unwrap();
        assert_eq!(run(&project).len(), run(&sound()).len());
        relaxed(&project)
    }

    #[test]
    fn only_what_lets_more_pass_is_relaxed() {
        assert_eq!(relaxed_words(&sound()), None);
        assert_eq!(with("stands_out_deg", 2.0, None), []);
        assert_eq!(with("coil_energy_mj", 31.0, None), []);
        // A value that is not used relaxes nothing.
        let unused = sound().edit(|parts| _ = parts.checks.thresholds.insert("stands_out_deg".into(), 99.0)).unwrap();
        assert_eq!(relaxed(&unused), []);
        let more = with("stands_out_deg", 4.0, Some(" rough\nby design "));
        assert_eq!(more[0].words(), "stands out, warning from: 4.0° instead of 2.5°");
        assert_eq!(more[0].reason_words(), "rough\\nby design");
        let less = with("coil_energy_mj", 25.0, None);
        assert_eq!(less[0].words(), "stored energy, at least: 25 mJ instead of 30 mJ");
        assert_eq!(less[0].reason_words(), NO_REASON);
    }

    /// The side on which a limit lets more pass agrees with its label.
    #[test]
    fn labels_say_on_which_side_more_passes() {
        use crate::project::{Looser, THRESHOLDS};
        for threshold in THRESHOLDS {
            let (label, looser) = (threshold.label, threshold.looser);
            if label.contains("at least") {
                assert_eq!(looser, Looser::Below, "{label}");
            }
            if label.contains("at most") || label.contains("warning from") || label.contains("error from") {
                assert_eq!(looser, Looser::Above, "{label}");
            }
        }
        assert!(threshold("gap_clear_from_deg").unwrap().is_relaxed_at(0.0));
        assert!(threshold("gap_clear_to_deg").unwrap().is_relaxed_at(40.0));
    }
}
