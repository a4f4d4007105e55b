//! Setting the thresholds that findings depend on.

use thiserror::Error;

use crate::project::{Fault, Project};
use crate::wording::{bounds, outside, quantity};

pub use crate::project::Threshold;

impl Threshold {
    /// The values it may have, in words.
    pub fn range(&self) -> String {
        bounds((self.low, self.high), self.unit)
    }

    /// The project with the threshold set, and the label of the step. The default is not kept in the project. A
    /// value that lets more pass than the default needs a reason, which is kept with it; other values have
    /// none.
    ///
    /// # Errors
    /// [`SetThresholdError`] for a value outside its range, and for one that needs a reason and has none.
    pub fn set(&self, project: &Project, value: f64, reason: &str) -> Result<(Project, String), SetThresholdError> {
        if !self.allows(value) {
            let message = outside(value, (self.low, self.high), self.unit);
            return Err(Fault::new(format!("checks.thresholds.{}", self.name), message).into());
        }
        let (is_default, is_relaxed, reason) = (value == self.default, self.is_relaxed_at(value), reason.trim());
        if is_relaxed && reason.is_empty() {
            return Err(SetThresholdError::NoReason);
        }
        let changed = project.edit(|parts| {
            if is_relaxed {
                parts.checks.threshold_reasons.insert(self.name.into(), reason.into());
            } else {
                parts.checks.threshold_reasons.remove(self.name);
            }
            if is_default {
                parts.checks.thresholds.remove(self.name);
            } else {
                parts.checks.thresholds.insert(self.name.into(), value);
            }
        })?;
        let figure = quantity(value, self.unit_in(project));
        let verb = if is_default { "Reset" } else { "Set" };
        Ok((changed, format!("{verb} threshold '{}' to {figure}", self.label)))
    }
}

/// Why a threshold was not set. The project is unchanged.
#[derive(Clone, Debug, PartialEq, Eq, Error)]
pub enum SetThresholdError {
    /// It would let more pass, and no reason was given.
    #[error("a limit that lets more pass than usual needs a reason; write why")]
    NoReason,
    /// The project cannot hold it.
    #[error(transparent)]
    Fault(#[from] Fault),
}

/// Whether a value is beyond a bound by more than rounding error: every check compares in this way.
pub(super) fn exceeds(value: f64, bound: f64) -> bool {
    value > bound + 1e-9
}

#[cfg(test)]
mod tests {
    use super::SetThresholdError;
    use crate::checks::fixtures::sound;
    use crate::checks::{CHECKS, threshold};
    use crate::project::THRESHOLDS;
    use crate::wording::Unit;

    #[test]
    fn every_threshold_of_the_catalogue_belongs_to_a_check() {
        let of_checks: Vec<_> = CHECKS.iter().flat_map(|check| check.thresholds).copied().collect();
        assert_eq!(of_checks.len(), THRESHOLDS.len());
        assert!(THRESHOLDS.iter().all(|threshold| of_checks.contains(threshold)));
    }

    #[test]
    fn only_what_differs_from_the_default_is_kept() {
        let (start, bump) = (sound(), threshold("stands_out_deg").unwrap());
        assert_eq!(bump.set(&start, 3.0, " "), Err(SetThresholdError::NoReason));
        let (own, label) = bump.set(&start, 3.0, " rough by design ").unwrap();
        assert_eq!((bump.of(&own), label.as_str()), (3.0, "Set threshold 'Stands out, warning from' to 3.0°"));
        assert_eq!(own.checks.threshold_reasons["stands_out_deg"], "rough by design");
        let (reset, label) = bump.set(&own, 2.5, "").unwrap();
        assert_eq!((reset, label.as_str()), (start.clone(), "Reset threshold 'Stands out, warning from' to 2.5°"));
        let (strict, _) = bump.set(&own, 2.0, "not kept").unwrap();
        assert!(strict.checks.threshold_reasons.is_empty());
        let fault = bump.set(&start, 61.0, "so").unwrap_err().to_string();
        assert_eq!(fault, "checks.thresholds.stands_out_deg: 61 is outside 0..60°");
        assert_eq!(threshold("chatter_load").unwrap().unit_in(&start), Unit::Percent);
    }
}
