//! The figures that findings are held against, and their place in the project.

use crate::project::{Fault, Project};
use crate::wording::{bounds, outside, quantity};

pub use crate::project::Threshold;

impl Threshold {
    /// The values it may have, in words.
    pub fn range(&self) -> String {
        bounds((self.low, self.high), self.unit)
    }

    /// The project with the threshold set, and the label of the step. The default is not kept in the project.
    ///
    /// # Errors
    /// [`Fault`] for a figure outside its range.
    pub fn set(&self, project: &Project, value: f64) -> Result<(Project, String), Fault> {
        if !self.allows(value) {
            let message = outside(value, (self.low, self.high), self.unit);
            return Err(Fault::new(format!("checks.thresholds.{}", self.name), message));
        }
        let is_default = value == self.default;
        let changed = project.edit(|parts| {
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

/// Beyond a bound by more than the dust of a sum: what every check asks of its figures.
pub(super) fn exceeds(value: f64, bound: f64) -> bool {
    value > bound + 1e-9
}

#[cfg(test)]
mod tests {
    use crate::checks::fixtures::sound;
    use crate::checks::{CHECKS, threshold};
    use crate::project::THRESHOLDS;

    #[test]
    fn every_threshold_of_the_catalogue_belongs_to_a_check() {
        let of_checks: Vec<_> = CHECKS.iter().flat_map(|check| check.thresholds).copied().collect();
        assert_eq!(of_checks.len(), THRESHOLDS.len());
        assert!(THRESHOLDS.iter().all(|threshold| of_checks.contains(threshold)));
    }

    #[test]
    fn only_what_differs_from_the_default_is_kept() {
        let (start, bump) = (sound(), threshold("stands_out_deg").unwrap());
        let (own, label) = bump.set(&start, 3.0).unwrap();
        assert_eq!((bump.of(&own), label.as_str()), (3.0, "Set threshold 'Stands out, warning from' to 3.0°"));
        let (reset, label) = bump.set(&own, 2.5).unwrap();
        assert_eq!((reset, label.as_str()), (start.clone(), "Reset threshold 'Stands out, warning from' to 2.5°"));
        let fault = bump.set(&start, 61.0).unwrap_err().to_string();
        assert_eq!(fault, "checks.thresholds.stands_out_deg: 61 is outside 0..60°");
        assert_eq!(threshold("chatter_load").unwrap().unit_in(&start), "%");
    }
}
