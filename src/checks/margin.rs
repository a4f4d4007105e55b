//! How near a check came to finding something: what was measured against what is allowed.

use super::finding::{exceeds, found};
use super::{Check, Threshold};
use crate::project::{Looser, Parts};
use crate::wording::{Unit, quantity};

/// A value and the bound that a check held it against.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Margin {
    /// What was measured.
    pub value: f64,
    /// The most, or the least, that it may be.
    pub allowed: f64,
    /// The unit of both.
    pub unit: Unit,
    /// On which side of the bound it may not be: [`Looser::Above`] if the bound says how much there may be.
    pub looser: Looser,
}

impl Margin {
    /// How far the value is within its bound; negative beyond it.
    pub fn room(&self) -> f64 {
        match self.looser {
            Looser::Above => self.allowed - self.value,
            Looser::Below => self.value - self.allowed,
        }
    }

    /// Whether the bound is kept: the check finds nothing here.
    pub fn is_kept(&self) -> bool {
        match self.looser {
            Looser::Above => !exceeds(self.value, self.allowed),
            Looser::Below => !exceeds(self.allowed, self.value),
        }
    }

    /// Whether it has less room than another, as a share of what is allowed.
    pub(super) fn is_nearer_than(&self, other: &Self) -> bool {
        let share = |margin: &Self| margin.room() / margin.allowed.abs().max(1e-3);
        match (self.is_kept(), other.is_kept()) {
            (true, false) => false,
            (false, true) => true,
            _ => share(self) < share(other),
        }
    }

    /// The value and the bound, each with its unit.
    pub fn figures(&self) -> [String; 2] {
        [found(self.value, self.allowed, self.unit), quantity(self.allowed, self.unit)]
    }

    /// '14.0° against at most 15.0°'.
    pub fn words(&self) -> String {
        let [value, allowed] = self.figures();
        let side = if self.looser == Looser::Above { "at most" } else { "at least" };
        format!("{value} against {side} {allowed}")
    }

    /// The threshold of a check that is its bound; `None` if the bound is none, or computed from one.
    pub fn threshold(&self, check: &Check, parts: &Parts) -> Option<&'static Threshold> {
        threshold_of(check, parts, self.allowed, self.unit)
    }
}

/// The threshold of a check with this value.
pub(super) fn threshold_of(check: &Check, parts: &Parts, value: f64, unit: Unit) -> Option<&'static Threshold> {
    check.thresholds.iter().find(|threshold| threshold.of(parts) == value && threshold.unit_in(parts) == unit)
}

/// A check that looked at a project, and what came nearest to its bound.
#[derive(Clone, Copy, Debug)]
pub struct Looked {
    /// Which.
    pub check: &'static Check,
    /// What came nearest to a bound; `None` where the check has no figure, or nothing to look at.
    pub margin: Option<Margin>,
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::checks::run_with_margins;
    use crate::project::{Project, SAMPLES};
    use crate::watch::Watch;

    /// Checks that also find what was never tried out, of which they have no figure.
    const OTHERS_TOO: [&str; 2] = ["reach", "top_row"];

    fn looked(project: &Project) -> Vec<Looked> {
        let (findings, looked) = run_with_margins(project, Watch::NOBODY).unwrap();
        for Looked { check, margin } in &looked {
            let Some(margin) = margin else { continue };
            let count = findings.iter().filter(|finding| finding.id == check.id).count();
            if !margin.is_kept() {
                assert!(count > 0, "{}: {margin:?} but no finding", check.id);
            } else if !OTHERS_TOO.contains(&check.id) {
                assert_eq!(count, 0, "{}: {margin:?}", check.id);
            }
        }
        looked
    }

    /// A margin is negative exactly where the check finds something, with thresholds moved just to and just beyond what
    /// was measured as well.
    #[test]
    fn a_margin_is_used_up_exactly_where_something_is_found() {
        let mut moved = std::collections::BTreeSet::new();
        for sample in SAMPLES {
            let project = sample.project().unwrap();
            for Looked { check, margin } in looked(&project) {
                let Some((margin, threshold)) = margin.and_then(|m| Some((m, m.threshold(check, &project)?))) else {
                    continue;
                };
                for by in [0.0, -1e-3, 1e-3] {
                    let value = margin.value + by;
                    if !threshold.allows(value) {
                        continue;
                    }
                    let set = |parts: &mut Parts| {
                        parts.checks.thresholds.insert(threshold.name.into(), value);
                        parts.checks.threshold_reasons.insert(threshold.name.into(), "tried".into());
                    };
                    let after = project.edit(set).unwrap();
                    let own = looked(&after).into_iter().find(|looked| looked.check.id == check.id).unwrap();
                    let own = own.margin.unwrap();
                    if by != 0.0 && own.threshold(check, &after) == Some(threshold) {
                        assert_eq!(own.is_kept(), own.room() > 0.0, "{}: {own:?}", threshold.name);
                    }
                    moved.insert(threshold.name);
                }
            }
        }
        assert!(moved.len() >= 12, "{moved:?}");
    }

    #[test]
    fn a_sound_sample_tells_how_near_it_is() {
        let project = SAMPLES[0].project().unwrap();
        let looked = looked(&project);
        let figures = looked.iter().filter(|looked| looked.margin.is_some()).count();
        assert!(figures >= 15 && looked.len() > figures, "{figures} of {}", looked.len());
        let slope = looked.iter().find(|looked| looked.check.id == "slope_speed").unwrap().margin.unwrap();
        let steepest = crate::checks::check("slope_speed").unwrap();
        assert!(slope.is_kept() && slope.threshold(steepest, &project).is_some(), "{slope:?}");
    }
}
